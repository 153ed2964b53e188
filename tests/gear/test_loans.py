"""Loans: out and back, all or nothing, and what a count changes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from kitplan.errors import BadInput, NotFree, StoreError
from kitplan.gear.history import Loan
from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Battery, Case
from kitplan.gear.store import Store

NOW = datetime(2027, 5, 1, 12, tzinfo=UTC)
CRATE = Case(id="crate", name="crate", volume_l=60, most_load_kg=20)
KIT = Kit(
    items=(Battery(id="cell", name="cell"), CRATE),
    units=(
        *(Unit(id=f"cell-{n}", item="cell", owner="Ana", case="pouch-1") for n in (1, 2)),
        *(Unit(id=f"cell-{n}", item="cell", owner="Ben") for n in (3, 4)),
        Unit(id="crate-1", item="crate", owner="Ana"),
        Unit(id="pouch-1", item="crate", owner="Ana", case="crate-1"),
        Unit(id="broken", item="cell", owner="Ana", condition="in-repair"),
        Unit(id="lost", item="cell", owner="Ana", condition="missing", case="crate-1"),
    ),
)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An inventory whose clock stands at noon of the first of May."""
    opened = Store.open(tmp_path / "i.sqlite", writing=True, who="Thea", clock=lambda: NOW)
    with opened as store:
        store.save_kit(KIT, replace=False)
        yield store


def held(store: Store) -> dict[str, str]:
    """Return who has what."""
    return {loan.unit: loan.person for loan in store.loans.open()}


def test_a_loan_says_who_when_and_in_what_condition(store: Store) -> None:
    """And for which list, and until when."""
    found = store.loans.sign_out(
        ["cell-1"], " Ben  ", due=date(2027, 5, 3), list_name="gala/show", note="red tape"
    )
    loan = Loan(
        unit="cell-1",
        person="Ben",
        list="gala/show",
        out_at=NOW,
        due=date(2027, 5, 3),
        condition_out="good",
        note="red tape",
    )
    assert found.loans == (loan,)
    assert store.loans.holder("cell-1") == loan
    assert store.loans.of("cell-1") == (loan,)
    assert store.loans.holder("cell-2") is None
    assert [loan.is_overdue(date(2027, 5, day)) for day in (3, 4)] == [False, True]


def test_nothing_goes_where_anything_stands_in_the_way(store: Store) -> None:
    """All of it is told at once, each reason with its units."""
    store.loans.sign_out(["cell-1", "cell-2"], "Ben")
    with pytest.raises(NotFree) as caught:
        store.loans.sign_out(["cell-3", "cell-1", "cell-2", "broken", "lost"], "Cleo")
    assert caught.value.reasons == (
        "cell-1, cell-2 are with Ben since 1 May 2027",
        "broken is in repair",
        "lost is missing",
    )
    assert held(store) == {"cell-1": "Ben", "cell-2": "Ben"}


def test_what_is_free_may_go_alone(store: Store) -> None:
    """The rest stays, with its reasons."""
    store.loans.sign_out(["cell-1"], "Ben")
    found = store.loans.sign_out(["cell-1", "cell-3", "lost"], "Cleo", only_free=True)
    assert [loan.unit for loan in found.loans] == ["cell-3"]
    assert found.left == {"cell-1": "with Ben since 1 May 2027", "lost": "missing"}


def test_what_the_person_has_stays_and_gets_the_new_day(store: Store) -> None:
    """However the name is spelt; without a day the old one holds."""
    store.loans.sign_out(["cell-1"], "Ben", due=date(2027, 5, 3))
    found = store.loans.sign_out(["cell-1", "cell-2"], "ben", due=date(2027, 5, 9))
    assert [(loan.unit, loan.due) for loan in found.already] == [("cell-1", date(2027, 5, 9))]
    assert [loan.unit for loan in found.loans] == ["cell-2"]
    (kept,) = store.loans.sign_out(["cell-1"], "Ben").already
    assert kept.due == date(2027, 5, 9)
    assert len(store.loans.of("cell-1")) == 1


@pytest.mark.parametrize(
    ("person", "message"),
    [("", "person is"), ("A\u202aB", None), ("A\x07", "invisible character U\\+0007")],
)
def test_a_person_has_a_name_that_can_be_shown(
    store: Store, person: str, message: str | None
) -> None:
    """Else nothing is written."""
    if message is None:
        store.loans.sign_out(["cell-1"], person)
        assert held(store) == {"cell-1": person}
        return
    with pytest.raises(BadInput, match=message):
        store.loans.sign_out(["cell-1"], person)
    assert held(store) == {}


def test_unknown_units_are_told_together(store: Store) -> None:
    """One with the name that it most likely meant."""
    with pytest.raises(StoreError, match=r"no unit 'cel-1'. Did you mean 'cell-1'\?"):
        store.loans.sign_out(["cel-1"], "Ben")
    with pytest.raises(StoreError, match="these units are unknown: x, y"):
        store.loans.sign_back(["cell-1", "x", "y"])


def test_what_others_have_booked_stays(store: Store) -> None:
    """From today until the loan is due; a shoot may have what it booked itself."""
    desk = store._desk
    with desk.writing("booked"):
        span = {"begins": "2027-05-03", "ends": "2027-05-05"}
        desk.add("bookings", {"id": "gala", "title": "Gala", "plan": "gala"} | span)
        desk.add("booked", {"booking": "gala", "unit": "cell-1"} | span)
    with pytest.raises(NotFree, match="cell-1 is booked for Gala from 3 May 2027") as caught:
        store.loans.sign_out(["cell-1"], "Ben", due=date(2027, 5, 3))
    assert caught.value.fix == (
        "Take the rest with --what-is-free, or give out what is booked with --even-if-booked"
    )
    store.loans.sign_out(["cell-1"], "Ben", due=date(2027, 5, 2))
    store.loans.sign_back(["cell-1"])
    store.loans.sign_out(["cell-1"], "Ben", due=date(2027, 5, 4), list_name="gala/show")
    store.loans.sign_back(["cell-1"])
    store.loans.sign_out(["cell-1"], "Ben", due=date(2027, 5, 4), despite_bookings=True)
    store.loans.sign_back(["cell-1"])
    later = store.loans.sign_out(["cell-1", "cell-2"], "Ben").booked_later
    assert later == {"cell-1": "booked for Gala from 3 May 2027"}
    store.loans.sign_out(["cell-1"], "Ben", due=date(2027, 5, 2))
    assert store.loans.sign_out(["cell-1"], "Ben").booked_later == {}


# -- back ------------------------------------------------------------------------------------------


def test_units_come_back_one_by_one(store: Store) -> None:
    """What does not come stays out; worse condition goes on record."""
    store.loans.sign_out(["cell-1", "cell-2"], "Ben", note="red tape")
    (loan,) = store.loans.sign_back(["cell-2"], condition="worn", note="scratched")
    assert (loan.back_at, loan.condition_back, loan.note) == (NOW, "worn", "red tape scratched")
    assert held(store) == {"cell-1": "Ben"}
    assert store.units_by_id(["cell-2"])["cell-2"].condition == "worn"


def test_what_is_not_out_cannot_come_back(store: Store) -> None:
    """Then nothing does."""
    store.loans.sign_out(["cell-1"], "Ben")
    with pytest.raises(NotFree, match="cell-2 is not signed out"):
        store.loans.sign_back(["cell-1", "cell-2"])
    assert held(store) == {"cell-1": "Ben"}


def test_what_was_missing_comes_back_with_its_condition(store: Store) -> None:
    """Somebody has to say what it is like."""
    with pytest.raises(NotFree, match="lost is missing on record: say what it is like"):
        store.loans.sign_back(["lost"])
    assert store.loans.sign_back(["lost"], condition="worn") == ()
    assert store.units_by_id(["lost"])["lost"].condition == "worn"


# -- counts ----------------------------------------------------------------------------------------


def test_a_case_holds_what_lives_in_it_and_is_in(store: Store) -> None:
    """Cases within, but neither what is out nor what is missing."""
    assert set(store.loans.at_home("crate-1")) == {"crate-1", "pouch-1", "cell-1", "cell-2"}
    store.loans.sign_out(["cell-1"], "Ben")
    assert set(store.loans.at_home("pouch-1")) == {"pouch-1", "cell-2"}


def test_a_count_is_one_change(store: Store) -> None:
    """What is there comes back, what is lost is missing, what is broken wants repair."""
    store.loans.sign_out(["cell-1", "cell-2", "cell-3"], "Ben")
    closed = store.loans.settle(
        ["cell-1", "cell-4", "lost"], missing=["cell-2"], conditions={"cell-1": "in-repair"}
    )
    assert {loan.unit: loan.condition_back for loan in closed} == {
        "cell-1": "in-repair",
        "cell-2": "missing",
    }
    assert held(store) == {"cell-3": "Ben"}
    conditions = {unit.id: unit.condition for unit in store.units()}
    assert (conditions["cell-1"], conditions["cell-2"]) == ("in-repair", "missing")
    assert (conditions["cell-4"], conditions["lost"]) == ("good", "good")
    (change,) = store.ledger.changes(last=1)
    assert (change.what, len(change.entries)) == ("counted", 7)  # two of them of the repair


def test_who_had_signed_for_what_came_has_the_other_now(store: Store) -> None:
    """Ben brings Cleo's cell: so Cleo has his, until the same day."""
    store.loans.sign_out(["cell-1"], "Ben")
    store.loans.sign_out(["cell-2"], "Cleo", due=date(2027, 5, 3))
    store.loans.settle(swaps=[("cell-1", "cell-2")])
    (loan,) = store.loans.open()
    assert (loan.unit, loan.person, loan.due) == ("cell-1", "Cleo", date(2027, 5, 3))


def test_what_was_swapped_for_a_thing_at_home_counts_as_back(store: Store) -> None:
    """Ben took the wrong one of two alike: the right one never left."""
    store.loans.sign_out(["cell-1"], "Ben")
    (loan,) = store.loans.settle(swaps=[("cell-1", "cell-2")])
    assert held(store) == {}
    assert loan.note == "cell-2 came in its place"
