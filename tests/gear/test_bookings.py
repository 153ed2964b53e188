"""Bookings: no unit twice on a day, all or nothing, and what follows for the kit of a shoot."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitplan.errors import NotFree, StoreError
from kitplan.gear.history import Booked, Booking, Own
from kitplan.gear.kit import Away, Kit, Unit
from kitplan.gear.records import Case
from kitplan.gear.store import Store

BOX = Case(id="box", name="box", volume_l=60, most_load_kg=20)
KIT = Kit(
    items=(BOX,),
    units=tuple(Unit(id=f"box-{number}", item="box", owner="Ana") for number in (1, 2, 3)),
)
TODAY = date(2027, 5, 1)


def may(day: int) -> date:
    """Return a day of May."""
    return date(2027, 5, day)


def booking(name: str, *booked: tuple[int, int, int], **facts: str) -> Booking:
    """Return a booking of boxes: (number, first day, last day)."""
    rows = tuple(Booked(unit=f"box-{n}", begins=may(a), ends=may(b)) for n, a, b in booked)
    given = {"title": name.capitalize(), "plan": name, **facts}
    return Booking(id=name, booked=rows, **given)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An inventory with three boxes, on the first of May."""
    clock = lambda: datetime(2027, 5, 1, 12, tzinfo=UTC)  # noqa: E731
    with Store.open(tmp_path / "i.sqlite", writing=True, who="Ana", clock=clock) as opened:
        opened.save_kit(KIT, replace=False)
        yield opened


def away_of(store: Store, unit: str, own: Own | None = None) -> tuple[Away, ...]:
    """Return when a unit is away from a shoot, or from anybody."""
    kit = store.load_for(own or Own())
    return next(each.away for each in kit.units if each.id == unit)


def test_a_booking_comes_back_as_it_was_made(store: Store) -> None:
    """With a day between on which others may have the unit."""
    made = booking("gala", (1, 3, 4), (1, 6, 6), (2, 3, 6))
    assert store.bookings.book(made) is None
    assert store.bookings.all() == (made,)
    assert (made.begins, made.ends, made.units) == (may(3), may(6), ("box-1", "box-2"))


def test_nobody_gets_a_unit_that_is_booked(store: Store) -> None:
    """The refusal says which booking of which days has what; nothing of the new one is entered."""
    store.bookings.book(booking("gala", (1, 3, 5), (2, 3, 5)))
    with pytest.raises(NotFree) as caught:
        store.bookings.book(booking("fair", (1, 5, 6), (2, 5, 6), (3, 5, 6)))
    (reason,) = caught.value.reasons
    assert reason == "booked for Gala (gala), 3 May 2027 to 5 May 2027: box-1, box-2"
    assert [each.id for each in store.bookings.all()] == ["gala"]


@pytest.mark.parametrize(
    ("first", "last"), [(1, 2), (6, 6), (8, 9)], ids=["before", "between", "after"]
)
def test_the_days_around_are_free(store: Store, first: int, last: int) -> None:
    """Up to the day before, from the day after, and between two stretches of one booking."""
    store.bookings.book(booking("gala", (1, 3, 5), (1, 7, 7)))
    store.bookings.book(booking("fair", (1, first, last)))
    assert [each.id for each, _ in store.bookings.of("box-1")].count("fair") == 1


def test_booking_again_replaces_its_own(store: Store) -> None:
    """And the ledger tells only what has changed: box 1 stays, box 2 goes, box 3 comes."""
    first = booking("gala", (1, 3, 5), (2, 3, 5))
    store.bookings.book(first)
    before = len(store.ledger.entries())
    again = booking("gala", (1, 3, 5), (3, 3, 5))
    assert store.bookings.book(again) == first
    new = store.ledger.entries()[before:]
    assert [(e.part, e.id, e.before is None) for e in new] == [
        ("booked", "box-2", False),
        ("booked", "box-3", True),
    ]
    assert store.bookings.find("gala") == again


def test_a_change_that_is_refused_leaves_the_old_booking(store: Store) -> None:
    """Atomic: what was booked is still booked."""
    store.bookings.book(booking("fair", (2, 3, 5)))
    old = booking("gala", (1, 3, 5))
    store.bookings.book(old)
    with pytest.raises(NotFree, match="Fair"):
        store.bookings.book(booking("gala", (2, 3, 5)))
    assert store.bookings.find("gala") == old


def test_another_shoot_of_the_same_name_takes_nothing_away(store: Store) -> None:
    """Files may be called alike: the title must agree before a booking is replaced."""
    store.bookings.book(booking("show", (1, 3, 5)))
    with pytest.raises(StoreError, match=r"of another shoot, Show.*--as"):
        store.bookings.book(booking("show", (2, 3, 5), title="Other"))


def test_the_file_itself_refuses_a_second_booking(store: Store, tmp_path: Path) -> None:
    """Whatever program writes: a trigger guards new rows and changed ones."""
    store.bookings.book(booking("gala", (1, 3, 5)))
    store.bookings.book(booking("fair", (1, 7, 8)))
    with sqlite3.connect(tmp_path / "i.sqlite") as db:
        with pytest.raises(sqlite3.IntegrityError, match="booked already"):
            db.execute(
                "INSERT INTO booked (booking, unit, begins, ends) "
                "VALUES ('fair', 'box-1', '2027-05-05', '2027-05-05')"
            )
        with pytest.raises(sqlite3.IntegrityError, match="booked already"):
            db.execute("UPDATE booked SET begins = '2027-05-05' WHERE booking = 'fair'")
    db.close()


def test_a_released_booking_is_free_and_on_record(store: Store) -> None:
    """The ledger still knows it."""
    made = booking("gala", (1, 3, 5))
    store.bookings.book(made)
    assert store.bookings.release("gala") == made
    store.bookings.book(booking("fair", (1, 3, 5)))
    assert [e.what for e in store.ledger.entries(record_id="gala")] == ["booked", "released"]
    assert store.ledger.replayed() == store.ledger.present()
    with pytest.raises(StoreError, match="Did you mean 'fair'"):
        store.bookings.release("fai")


def test_a_unit_that_does_not_exist_is_not_booked(store: Store) -> None:
    """Such as one of a plan that was made with another kit."""
    with pytest.raises(StoreError, match="not in the inventory: box-9"):
        store.bookings.book(booking("gala", (9, 3, 5)))


@pytest.mark.parametrize(
    ("facts", "reason"),
    [
        ({"condition": "in-repair"}, "in repair, so not there on 3 May 2027: box-1"),
        ({"condition": "retired"}, "retired, so not there on 3 May 2027: box-1"),
        (
            {"available_from": "2027-05-04"},
            "lent by its owner only from 4 May 2027, so not there on 3 May 2027: box-1",
        ),
        (
            {"available_until": "2027-05-04"},
            "lent by its owner only until 4 May 2027, so not there on 5 May 2027: box-1",
        ),
        (
            {"away": [{"begins": "2027-05-05", "ends": "2027-05-09", "why": "on holiday"}]},
            "on holiday until 9 May 2027, so not there on 5 May 2027: box-1",
        ),
    ],
    ids=["in repair", "retired", "owner from", "owner until", "away"],
)
def test_other_things_stand_in_the_way(store: Store, facts: dict[str, str], reason: str) -> None:
    """Condition, the owner's window, days away: with the first day that is lost."""
    store.change_unit("box-1", facts)
    with pytest.raises(NotFree) as caught:
        store.bookings.book(booking("gala", (1, 3, 5), (2, 3, 5)))
    assert caught.value.reasons == (reason,)


def test_a_loan_stands_in_the_way_until_it_is_due(store: Store) -> None:
    """Due on the third: booked from the fourth on."""
    store.loans.sign_out(["box-1"], "Ben", due=may(3))
    with pytest.raises(NotFree, match="signed out to Ben until 3 May 2027"):
        store.bookings.book(booking("gala", (1, 3, 5)))
    store.bookings.book(booking("gala", (1, 4, 5)))


def test_the_kit_of_a_shoot_lacks_what_others_have(store: Store) -> None:
    """Its own booking and its own loan do not count; what is exported knows of neither."""
    store.bookings.book(booking("gala", (1, 3, 5)))
    store.loans.sign_out(["box-2"], "Ben", due=may(9), list_name="gala/show")
    booked = Away(begins=may(3), ends=may(5), why="booked for Gala")
    lent = Away(begins=TODAY, ends=may(9), why="signed out to Ben")
    assert away_of(store, "box-1") == (booked,)
    assert away_of(store, "box-2") == (lent,)
    assert away_of(store, "box-1", Own((("gala", "Gala"),))) == ()
    assert away_of(store, "box-2", Own((("gala", "Gala"),))) == ()
    assert away_of(store, "box-1", Own((("gala", "Another gala"),))) == (booked,)
    assert store.load() == KIT


@pytest.mark.parametrize(
    ("due", "ends"), [(None, None), (may(1), may(1)), (date(2027, 4, 30), None)]
)
def test_what_is_overdue_is_away_until_further_notice(
    store: Store, due: date | None, ends: date | None
) -> None:
    """So is what has no due day; today is the first of May."""
    store.loans.sign_out(["box-1"], "Ben", due=due)
    (away,) = away_of(store, "box-1")
    assert away.ends == ends
    assert str(away).endswith("further notice" if ends is None else "1 May 2027")


def test_a_unit_in_repair_is_away_until_it_is_expected(store: Store) -> None:
    """The reason names the fault; from the day after it can be planned and booked, as worn."""
    store.care.fault("box-1", "loose lid", expected=date(2027, 5, 10))
    (away,) = away_of(store, "box-1")
    assert str(away) == "in repair (loose lid) until 10 May 2027"
    box = next(unit for unit in store.load_for(Own()).units if unit.id == "box-1")
    assert [box.is_free_on(date(2027, 5, day)) for day in (10, 11)] == [False, True]
    assert (box.condition, box.fault) == ("worn", "loose lid")
    with pytest.raises(NotFree, match="loose lid"):
        store.bookings.book(booking("gala", (1, 10, 11)))
    store.bookings.book(booking("gala", (1, 11, 12)))


def test_a_unit_in_repair_without_a_day_is_away_until_further_notice(store: Store) -> None:
    """And so for every day; one that works in spite of its fault is there."""
    store.care.fault("box-1", "loose lid")
    store.care.fault("box-2", "scratch", is_usable=True)
    (away,) = away_of(store, "box-1")
    assert away.ends is None
    assert away_of(store, "box-2") == ()
    free = {u.id: u.is_free_on(date(2030, 1, 1)) for u in store.load_for(Own()).units}
    assert not free["box-1"]
    assert free["box-2"]


MOVES = st.lists(
    st.tuples(
        st.sampled_from("abc"),
        st.lists(
            st.tuples(st.integers(1, 3), st.integers(1, 9), st.integers(0, 3)),
            min_size=1,
            max_size=3,
            unique_by=lambda row: row[:2],
        ),
        st.booleans(),
    ),
    max_size=12,
)


@given(moves=MOVES)
@settings(max_examples=25, deadline=None)
def test_random_bookings_agree_with_a_plain_diary(
    moves: list[tuple[str, list[tuple[int, int, int]], bool]],
) -> None:
    """A set of (unit, day) for each booking says what must be taken and what refused."""
    diary: dict[str, set[tuple[int, date]]] = {}
    with Store.in_memory(KIT) as store:
        for name, rows, is_released in moves:
            if is_released and name in diary:
                store.bookings.release(name)
                del diary[name]
                continue
            wanted = {
                (number, may(first) + timedelta(days=ahead))
                for number, first, more in rows
                for ahead in range(more + 1)
            }
            others = set().union(*(days for each, days in diary.items() if each != name))
            made = booking(name, *((n, first, first + more) for n, first, more in rows))
            if wanted & others:
                with pytest.raises(NotFree):
                    store.bookings.book(made)
            else:
                store.bookings.book(made)
                diary[name] = wanted
        assert {each.id for each in store.bookings.all()} == diary.keys()
        for each in store.bookings.all():
            days = {
                (int(row.unit[-1]), row.begins + timedelta(days=ahead))
                for row in each.booked
                for ahead in range((row.ends - row.begins).days + 1)
            }
            assert days == diary[each.id]
        assert store.ledger.replayed() == store.ledger.present()
