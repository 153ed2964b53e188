"""Faults and repairs, what is due, wear, and health from runs, in the inventory."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from kitplan.errors import BadInput, StoreError
from kitplan.gear.history import Own, Run
from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Battery, Body, Lens, Sound
from kitplan.gear.store import Store
from kitplan.gear.store.finding import Question
from tests.gear.test_records import BODY, OPTIC

TODAY = datetime(2027, 5, 15, 12, tzinfo=UTC)
DAY = TODAY.date()
CAM = Body.model_validate(
    BODY | {"battery": "cell", "battery_min": 100, "measured": ("battery_min",)}
)
TOY = CAM.model_copy(update={"id": "toy", "measured": ()})
KIT = Kit(
    items=(
        CAM,
        Battery(id="cell", name="cell"),
        Battery(id="spare", name="spare"),
        Sound(id="rec", name="rec", what="recorder", battery="spare", battery_min=300),
        Lens(**OPTIC, id="wide", name="wide", mount="E", image_circle_mm=43),
    ),
    units=(
        Unit(id="cam-1", item="cam", owner="Ana", firmware="1.2"),
        Unit(id="cell-1", item="cell", owner="Ana"),
        Unit(id="cell-2", item="cell", owner="Ben", health=0.75),
        Unit(id="spare-1", item="spare", owner="Ben"),
        Unit(id="wide-1", item="wide", owner="Ana", service_due=date(2027, 5, 14)),
    ),
)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An inventory file at noon of a day in May, open for writing."""
    path = tmp_path / "i.sqlite"
    with Store.open(path, writing=True, who="Ana", clock=lambda: TODAY) as open_store:
        open_store.save_kit(KIT, replace=False)
        yield open_store


def unit(store: Store, unit_id: str) -> Unit:
    """Return a unit as it is on record."""
    return store.units_by_id([unit_id])[unit_id]


def run(minutes: float, unit_id: str = "cell-1", **facts: Any) -> Run:
    """Return a run to flat on the day."""
    given = {"unit": unit_id, "minutes": minutes, "day": DAY, "is_to_flat": True}
    return Run.model_validate(given | facts)


def matters(store: Store, **facts: Any) -> list[tuple[str, str]]:
    """Return what wants to be looked after, by unit."""
    return [(notice.matter, notice.unit) for notice in store.care.notices(**facts)]


def holds(store: Store) -> bool:
    """Whether the ledger tells of the state that there is."""
    return store.ledger.replayed() == store.ledger.present()


# -- faults ----------------------------------------------------------------------------------------


def test_a_fault_grounds_a_unit_until_it_is_mended(store: Store) -> None:
    """Condition and repair change together, there and back."""
    repair = store.care.fault("wide-1", "ring slips", expected=date(2027, 5, 20))
    assert (repair.begins, repair.ended) == (DAY, None)
    assert (unit(store, "wide-1").condition, unit(store, "wide-1").fault) == (
        "in-repair",
        "ring slips",
    )
    store.care.mended("wide-1", cost=80, condition="worn", note="new ring")
    assert (unit(store, "wide-1").condition, unit(store, "wide-1").fault) == ("worn", "")
    (closed,) = store.care.repairs("wide-1")
    assert (closed.fault, closed.ended, closed.cost) == ("ring slips", DAY, 80)
    assert closed.note == "new ring"
    assert holds(store)


def test_a_fault_that_leaves_it_usable(store: Store) -> None:
    """It is worn and can be planned with; a second one that grounds it does."""
    store.care.fault("wide-1", "scratch", is_usable=True)
    assert unit(store, "wide-1").is_free_on(DAY)
    store.care.fault("wide-1", "ring slips")
    assert unit(store, "wide-1").fault == "scratch; ring slips"
    assert not unit(store, "wide-1").is_free_on(DAY)
    store.care.fault("wide-1", "cap lost", is_usable=True)  # the ring slips all the same
    assert unit(store, "wide-1").condition == "in-repair"
    assert len(store.care.repairs("wide-1")) == 1


def test_faults_that_cannot_be(store: Store) -> None:
    """Of no unit, of one that is gone, back before it begins; mended where nothing is wrong."""
    with pytest.raises(StoreError, match=r"there is no unit 'wide-2'.*Did you mean 'wide-1'"):
        store.care.fault("wide-2", "ring slips")
    store.retire_unit("cell-2")
    with pytest.raises(StoreError, match="cell-2 is retired"):
        store.care.fault("cell-2", "swollen")
    with pytest.raises(BadInput, match="expected 2027-05-14 is before begins 2027-05-15"):
        store.care.fault("wide-1", "ring slips", expected=date(2027, 5, 14))
    with pytest.raises(BadInput, match="fault is ' '"):
        store.care.fault("wide-1", " ")
    with pytest.raises(StoreError, match="nothing is known to be wrong with wide-1"):
        store.care.mended("wide-1")
    assert store.care.repairs("wide-1") == ()
    assert unit(store, "wide-1") == KIT.units[4]


def test_what_was_set_to_in_repair_by_hand_can_be_mended(store: Store) -> None:
    """There is no repair to close then."""
    store.change_unit("wide-1", {"condition": "in-repair"})
    assert store.care.mended("wide-1") is None
    assert unit(store, "wide-1").condition == "good"


def test_what_comes_back_broken_goes_into_repair(store: Store) -> None:
    """With what was said of it; the repair that is open already stays as it is."""
    store.loans.sign_out(["wide-1", "cam-1", "cell-1"], "Ben")
    store.care.fault("cam-1", "door sticks", is_usable=True)
    store.loans.sign_back(["wide-1"], condition="in-repair", note="front lens\nscratched")
    store.loans.settle(
        ["cam-1", "cell-1"], conditions={"cam-1": "in-repair", "cell-1": "in-repair"}
    )
    assert [unit(store, each).fault for each in ("wide-1", "cam-1", "cell-1")] == [
        "front lens scratched",
        "door sticks",
        "came back broken",
    ]
    assert {len(store.care.repairs(each)) for each in ("wide-1", "cam-1", "cell-1")} == {1}
    assert ("in repair", "cell-1") in matters(store)
    assert holds(store)


# -- what wants to be looked after -----------------------------------------------------------------


def test_what_wants_to_be_looked_after(store: Store) -> None:
    """The most urgent first; what is far ahead or not there any more is not said."""
    store.add_unit(Unit(id="cam-2", item="cam", owner="Ben", firmware="1.1"))
    store.add_unit(Unit(id="cam-3", item="cam", owner="Ben", firmware="1.2"))
    store.change_unit("cam-3", {"service_due": "2027-06-14", "condition": "worn"})
    store.change_unit("cell-1", {"service_due": "2027-06-15"})  # 31 days ahead
    store.care.fault("spare-1", "swollen", expected=date(2027, 5, 15))
    assert matters(store) == [
        ("service overdue", "wide-1"),
        ("in repair", "spare-1"),
        ("service due", "cam-3"),
        ("old pack", "cell-2"),
        ("worn", "cam-3"),
        ("firmware", "cam-2"),
    ]
    assert ("service due", "cell-1") in matters(store, within_days=31)
    assert {owner for _, owner in matters(store, owner="Ana")} == {"wide-1"}
    for unit_id in ("wide-1", "cell-2"):
        store.retire_unit(unit_id)
    assert ("old pack", "cell-2") not in matters(store)
    assert ("service overdue", "wide-1") not in matters(store)


def test_a_repair_that_should_be_over_is_late(store: Store, tmp_path: Path) -> None:
    """The day after it was expected."""
    store.care.fault("cam-1", "door", expected=date(2027, 5, 16))
    path = tmp_path / "i.sqlite"
    for day, matter in ((16, "in repair"), (17, "repair late")):
        later = TODAY.replace(day=day)
        with Store.open(path, writing=False, clock=lambda later=later: later) as other:  # type: ignore[misc]
            assert (matter, "cam-1") in matters(other)


def test_an_old_pack_is_one_below_four_fifths(store: Store) -> None:
    """Only of batteries: no other thing has a health."""
    store.change_unit("cell-2", {"health": 0.8})
    store.change_unit("wide-1", {"health": 0.5})
    assert "old pack" not in {matter for matter, _ in matters(store)}


def test_wear_counts_what_a_unit_went_through(store: Store) -> None:
    """Loans, bookings, runs and full charges: 50 of 100 min and 100 of 100 are one and a half."""
    store.loans.sign_out(["cell-1"], "Ben", list_name="gala/show")
    store.loans.sign_back(["cell-1"])
    store.loans.sign_out(["cell-1", "wide-1"], "Ben")
    store.care.note([run(50), run(100)])
    wear = {each.unit: each for each in store.care.wear()}
    assert wear.keys() == {"cell-1", "wide-1"}
    cell = wear["cell-1"]
    assert (cell.times_out, cell.lists, cell.bookings, cell.charges) == (2, 1, 0, 2)
    assert (cell.minutes, cell.cycles) == (150, 1.5)
    assert wear["wide-1"].cycles is None
    assert [each.unit for each in store.care.wear(["wide-1", "cam-1"])] == ["wide-1"]


# -- runs ------------------------------------------------------------------------------------------


def test_runs_change_the_health_and_say_why(store: Store) -> None:
    """Three runs to flat of 100 measured minutes; the ledger has runs and reason in one change."""
    store.care.note([run(60), run(70)])
    assert unit(store, "cell-1").health == 1
    (found,) = store.care.note([run(65)])
    assert (found.before, found.after) == (1, 0.65)
    assert unit(store, "cell-1").health == 0.65
    last = store.ledger.entries(record_id="cell-1", last=1)[0]
    assert last.what == "health from runs: 3 runs, 3 to flat; in cam last 65 of 100 min"
    assert last.changed == {"health": (1, 0.65)}
    assert holds(store)


def test_the_order_in_which_runs_are_noted_does_not_matter(store: Store) -> None:
    """They count by their days: of six the first one drops out."""
    days = [
        run(share, day=date(2027, 5, day)) for day, share in enumerate((90, 80, 80, 50, 50, 50), 1)
    ]
    store.care.note(reversed(days))
    assert unit(store, "cell-1").health == 0.5


def test_a_trial_writes_nothing(store: Store) -> None:
    """It says what would come of it."""
    before = store.ledger.present()
    (found,) = store.care.note([run(60), run(60), run(60)], is_trial=True)
    assert found.after == 0.6
    assert store.ledger.present() == before


def test_without_a_measurement_the_best_runs_stand_in(store: Store) -> None:
    """Of any pack of the kind: 290 min, the second longest, is what a new one gives."""
    store.add_unit(Unit(id="spare-2", item="spare", owner="Ben"))
    best = [run(minutes, "spare-2") for minutes in (270, 280, 290, 300)]
    first = store.care.note(best[:2])[0]
    assert first.why.startswith("nobody knows what a new one gives in rec")
    assert first.hint == ""
    assert store.care.note(best[2:])[0].hint == (
        "battery_min of rec is assumed at 300; by its best runs it is 290: set it, and name it "
        "under measured"
    )
    store.care.note([run(145, "spare-1"), run(145, "spare-1"), run(200, "spare-1")])
    assert unit(store, "spare-1").health == 0.5
    assert unit(store, "spare-2").health == 0.96  # its own, 280 of 290
    assert {each.cycles for each in store.care.wear(["spare-1"])} == {1.69}


def test_what_a_battery_ran_in(store: Store) -> None:
    """The only thing that takes it, else it has to be said; minutes compare within one thing."""
    store.care.note([run(60)])
    assert [each.body for each in store.care.runs("cell-1")] == ["cam"]
    store.add_item(TOY)
    with pytest.raises(StoreError, match=r"may have run in any of 2 things.*--body: cam, toy"):
        store.care.note([run(60)])
    with pytest.raises(StoreError, match=r"rec takes no cell.*Known here: cam, toy"):
        store.care.note([run(60, body="rec")])
    store.care.note([run(200, body="toy"), run(200, body="toy"), run(60, body="cam")])
    assert unit(store, "cell-1").health == 1  # toy: nobody knows; cam: two runs


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (run(60, "wide-1"), "wide-1 is no battery"),
        (run(60, "cell-3"), "there is no unit 'cell-3'.*Did you mean 'cell-"),
        (run(60, day=date(2027, 5, 16)), "2027-05-16 is still to come"),
    ],
)
def test_runs_that_cannot_be(store: Store, wrong: Run, message: str) -> None:
    """Nothing of what was noted with it is written."""
    with pytest.raises(StoreError, match=message):
        store.care.note([run(60), wrong])
    assert store.care.runs("cell-1") == ()


def test_runs_out_of_a_plan_are_noted_once(store: Store) -> None:
    """A sheet that is read again changes nothing; by hand the same minutes may come twice."""
    planned = run(60, note="gala/show A")
    for _ in range(2):
        store.care.note([planned])
    assert len(store.care.runs("cell-1")) == 1
    for _ in range(2):
        store.care.note([run(60)])
    assert len(store.care.runs("cell-1")) == 3


@pytest.fixture
def two_at_night(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Store]:
    """The same inventory at two in the morning of the 16th, where UTC still has the 15th."""
    monkeypatch.setenv("TZ", "Etc/GMT-3")
    time.tzset()
    late = datetime(2027, 5, 15, 23, tzinfo=UTC)
    with Store.open(tmp_path / "n.sqlite", writing=True, who="Ana", clock=lambda: late) as store:
        store.save_kit(KIT, replace=False)
        yield store
    monkeypatch.undo()
    time.tzset()


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone cannot be set here")
def test_days_are_those_of_the_crews_calendar(two_at_night: Store) -> None:
    """What is noted, broken or signed out at two in the morning belongs to the day that it is."""
    night = date(2027, 5, 16)
    two_at_night.care.note([run(50, day=night)])
    assert two_at_night.care.fault("wide-1", "ring slips").begins == night
    two_at_night.loans.sign_out(["cam-1"], "Ben")
    kit = two_at_night.load_for(Own())
    begins = {unit.id: away.begins for unit in kit.units for away in unit.away}
    assert begins == {"wide-1": night, "cam-1": night}
    found = two_at_night.finding.find(Question(words=("cam-1",)))
    assert [each.since for each in found] == [night]
