"""Finding units by words, whereabouts and days."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitplan.gear.history import Own
from kitplan.gear.kit import Away, Kit, Unit
from kitplan.gear.records import Battery, Case, Lens
from kitplan.gear.store import Store
from kitplan.gear.store.finding import Question
from tests.gear.test_records import OPTIC

TODAY = datetime(2027, 5, 15, 12, tzinfo=UTC)
DAY = TODAY.date()
WIDE = Lens(**OPTIC, id="wide", name="Größe 8-16 f/2 zoom", mount="MFT", image_circle_mm=43)
KIT = Kit(
    items=(
        WIDE,
        Lens(**OPTIC, id="tele", name='70-200 "the big one"', mount="E", image_circle_mm=43),
        Battery(id="cell", name="cell", note="for the 100% zoom_case"),
        Case(id="bag", name="bag", volume_l=20, most_load_kg=10),
        Case(id="crate", name="crate", volume_l=60, most_load_kg=20),
    ),
    units=(
        Unit(id="wide-1", item="wide", owner="Ana", serial="SN-0042", case="bag-1"),
        Unit(id="wide-2", item="wide", owner="Ben", shelf="shelf 3"),
        Unit(id="tele-1", item="tele", owner="Ben Ö", note="lent by the ö club"),
        Unit(id="bag-1", item="bag", owner="Ana", case="crate-1"),
        Unit(id="crate-1", item="crate", owner="Ana", condition="worn"),
    ),
)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """A new inventory file with the small kit, at noon of a day in May."""
    path = tmp_path / "i.sqlite"
    with Store.open(path, writing=True, who="Ana", clock=lambda: TODAY) as open_store:
        open_store.save_kit(KIT, replace=False)
        yield open_store


def found(store: Store, *words: str, **facts: Any) -> list[str]:
    """Return the ids of what fits; of items without units theirs."""
    return [each.unit or each.item for each in store.finding.find(Question(words, **facts))]


def places(store: Store) -> dict[str, str]:
    """Return where every unit is."""
    return {each.unit: each.where for each in store.finding.find(Question())}


@pytest.mark.parametrize(
    ("words", "units"),
    [
        (("wide",), ["wide-1", "wide-2"]),
        (("ZOOM", "ana"), ["wide-1"]),  # one word of the item, one of the unit, any case
        (("ana", "zoom"), ["wide-1"]),
        (("ana zoom",), ["wide-1"]),
        (("GRÖSSE",), []),  # not the same letters
        (("GRÖßE",), ["wide-1", "wide-2"]),
        (("zoom", "tele"), []),  # both have to fit
        (("f/2",), ["wide-1", "wide-2"]),
        (("8-",), ["wide-1", "wide-2"]),  # fewer than three letters
        (("a", "N-00"), ["wide-1"]),
        (("Ö",), ["tele-1"]),
        (('"the',), ["tele-1"]),
        (("mft",), ["wide-1", "wide-2"]),  # a fact of the item
        (("shelf",), ["wide-2"]),
        (("worn",), ["crate-1"]),
        (("100%",), ["cell"]),  # an item of which there is no unit
        (("0%",), ["cell"]),
        (("m_",), ["cell"]),  # and _ is no joker
        (("NEAR(wide", "OR"), []),
        (("*",), []),
    ],
)
def test_words_are_found_anywhere(store: Store, words: tuple[str, ...], units: list[str]) -> None:
    """All of them in the unit or its item."""
    assert found(store, *words) == units


def test_words_follow_changes(store: Store) -> None:
    """Of the unit, of its item, of what is wrong with it."""
    store.change_unit("wide-1", {"shelf": "attic"})
    store.change_item("wide", {"name": "fisheye", "mount": "E"})
    store.care.fault("wide-2", "mould inside")
    assert found(store, "attic") == ["wide-1"]
    assert found(store, "fisheye") == ["wide-1", "wide-2"]
    assert found(store, "mft") == []
    assert found(store, "mould") == ["wide-2"]


def test_filters_narrow_it_down(store: Store) -> None:
    """Kind, owner, condition; with words or without."""
    assert found(store, kind="case") == ["bag-1", "crate-1"]
    assert found(store, "Ana", kind="lens") == ["wide-1"]
    assert found(store, owner="Ben") == ["wide-2"]
    assert found(store, condition="worn") == ["crate-1"]
    assert found(store, "zoom", kind="battery") == ["cell"]
    assert found(store, "zoom", kind="battery", owner="Ana") == []


def test_it_says_where_everything_is(store: Store) -> None:
    """With somebody, in repair, booked, away, in a case, on a shelf, else with its owner."""
    assert places(store) == {
        "wide-1": "in bag-1",
        "wide-2": "on shelf 3",
        "tele-1": "with Ben Ö",
        "bag-1": "in crate-1",
        "crate-1": "with Ana",
    }
    store.change_unit("wide-2", {"away": [{"begins": "2027-05-15", "why": "on holiday"}]})
    store.change_unit("tele-1", {"condition": "missing"})
    store.care.fault("crate-1", "hinge", expected=date(2027, 5, 20))
    store.loans.sign_out(["wide-1"], "Cleo", due=date(2027, 5, 18))
    assert places(store) == {
        "wide-1": "with Cleo",
        "wide-2": "on holiday",
        "tele-1": "missing",
        "bag-1": "in crate-1",
        "crate-1": "in repair",
    }
    until = {each.unit: (each.since, each.until) for each in store.finding.find(Question())}
    assert until["wide-1"] == (DAY, date(2027, 5, 18))
    assert until["wide-2"] == (DAY, None)
    assert until["crate-1"] == (DAY, date(2027, 5, 20))
    assert until["bag-1"] == (None, None)


def test_where_finds_cases_shelves_people(store: Store) -> None:
    """A case holds what is in cases inside it; what belongs in it is found where it is out."""
    assert found(store, where="crate-1") == ["wide-1", "bag-1"]
    store.add_unit(Unit(id="bag-11", item="bag", owner="Ana"))
    store.add_unit(Unit(id="wide-3", item="wide", owner="Ana", case="bag-11"))
    assert found(store, where="bag-1") == ["wide-1"]
    assert found(store, where="in bag") == ["wide-1", "wide-3"]
    assert found(store, where="shelf 3") == ["wide-2"]
    assert found(store, where="SHELF") == ["wide-2"]
    store.loans.sign_out(["wide-1", "wide-2"], "Cleo")
    assert found(store, where="cleo") == ["wide-1", "wide-2"]
    assert found(store, where="shelf 3") == ["wide-2"]
    assert found(store, where="crate-1") == ["wide-1", "bag-1"]
    store.care.fault("tele-1", "fungus")
    assert found(store, where="in repair") == ["tele-1"]
    assert found(store, where="%") == []


def booked(store: Store, unit: str, begins: str, ends: str, number: int = 1) -> None:
    """Book a unit by hand."""
    with store._desk.writing("booked"):
        row = {"id": f"gala-{number}", "title": "Gala", "begins": begins, "ends": ends}
        store._desk.add("bookings", row)
        store._desk.add(
            "booked", {"booking": row["id"], "unit": unit, "begins": begins, "ends": ends}
        )


def test_what_is_booked_for_today(store: Store) -> None:
    """It says for what and until when; from the day after nothing."""
    booked(store, "wide-1", "2027-05-14", "2027-05-15")
    booked(store, "wide-2", "2027-05-16", "2027-05-17", 2)
    assert found(store, where="booked for gala") == ["wide-1"]
    assert places(store)["wide-2"] == "on shelf 3"


days = st.dates(date(2027, 5, 10), date(2027, 5, 20))
spans = st.tuples(days, days).map(sorted)
past = st.dates(date(2027, 5, 10), DAY)
maybe = st.none()


@st.composite
def histories(draw: st.DrawFn) -> dict[str, Any]:
    """Draw what may keep a unit from a shoot."""
    begins, ends = draw(spans)
    return {
        "condition": draw(st.sampled_from(["good", "worn", "in-repair", "missing"])),
        "window": draw(maybe | spans),
        "away": draw(maybe | st.sampled_from([(begins, ends), (begins, None)])),
        "lent": draw(maybe | st.tuples(past, maybe | days)),
        "booked": draw(maybe | spans),
        "fault": draw(maybe | st.tuples(past, maybe | days, st.booleans())),
    }


def unit_of(number: int, history: dict[str, Any]) -> Unit:
    """Return a unit as it is on record before anything happens to it."""
    begins, ends = history["window"] or (None, None)
    away = history["away"]
    return Unit(
        id=f"u-{number}",
        item="wide",
        owner="Ana",
        available_from=begins,
        available_until=ends,
        away=(Away(begins=away[0], ends=away[1], why="away"),) if away else (),
    )


def happens(store: Store, unit: str, number: int, history: dict[str, Any]) -> None:
    """Let everything happen to a unit, each on its day."""
    if history["lent"]:
        begins, due = history["lent"]
        store._desk.clock = partial(TODAY.replace, day=begins.day)
        store.loans.sign_out([unit], "Ben", due=due)
    if history["booked"]:
        begins, ends = history["booked"]
        booked(store, unit, str(begins), str(ends), number)
    if history["condition"] != "good":
        store.change_unit(unit, {"condition": history["condition"]})
    if history["fault"] and history["condition"] != "missing":
        begins, expected, is_usable = history["fault"]
        known = expected if expected is not None and expected >= begins else None
        store._desk.clock = partial(TODAY.replace, day=begins.day)
        store.care.fault(unit, "bent", expected=known, is_usable=is_usable)
    store._desk.clock = lambda: TODAY


@given(drawn=st.lists(histories(), min_size=1, max_size=6), asked=spans)
@settings(max_examples=40, deadline=None)
def test_free_agrees_with_what_planning_sees(
    drawn: list[dict[str, Any]], asked: list[date]
) -> None:
    """What is found free is what a shoot with nothing of its own could plan with on all days."""
    units = tuple(unit_of(number, each) for number, each in enumerate(drawn))
    first, last = asked
    with Store.in_memory(Kit(items=(WIDE,), units=units)) as store:
        for number, each in enumerate(drawn):
            happens(store, units[number].id, number, each)
        free = [
            unit.id
            for unit in store.load_for(Own()).units
            if all(
                unit.is_free_on(first + timedelta(days=ahead))
                for ahead in range((last - first).days + 1)
            )
        ]
        assert found(store, free=(first, last)) == free
        assert store.ledger.replayed() == store.ledger.present()
