"""Random histories of an inventory: whatever happens, the ledger tells it, and loans hold."""

from __future__ import annotations

from contextlib import ExitStack, suppress
from datetime import UTC, date, datetime, timedelta
from itertools import combinations
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, get_args

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from kitplan.errors import BadInput, KitplanError, NotFree, StoreError
from kitplan.gear.history import Booked, Booking, Part, Run
from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import USABLE, Battery, Body, Condition
from kitplan.gear.store import Store
from tests.gear.test_records import BODY
from tests.strategies import names, notes

PEOPLE = st.sampled_from(["Ana", "Ben", "Cleo Ö"])
DAYS = st.dates(date(2027, 5, 1), date(2027, 6, 30))
CONDITIONS = st.sampled_from(get_args(Condition))


class Histories(RuleBasedStateMachine):
    """An inventory, and beside it what a person with a notebook would know: who has what, and what
    each thing is like.
    """

    def __init__(self) -> None:
        super().__init__()
        self.stack = ExitStack()
        self.now = datetime(2027, 5, 1, 12, tzinfo=UTC)
        self.holders: dict[str, str] = {}
        self.conditions: dict[str, Condition] = {}
        self.num_items = 0

    @initialize()
    def open(self) -> None:
        """Begin with an empty inventory whose clock is ours."""
        folder = self.stack.enter_context(TemporaryDirectory())
        self.path = Path(folder) / "inventory.sqlite"
        opened = Store.open(self.path, writing=True, who="Thea", clock=self._tick)
        self.store = self.stack.enter_context(opened)
        self.store._desk.db.execute("PRAGMA synchronous = OFF")  # no power cuts here

    def _tick(self) -> datetime:
        self.now += timedelta(hours=5)
        return self.now

    def some(self, data: st.DataObject) -> list[str]:
        """Return a few units."""
        return data.draw(st.lists(st.sampled_from(sorted(self.conditions)), max_size=4))

    @rule(number=st.integers(1, 4), name=names, note=notes, mass_kg=st.floats(0, 1e5))
    def add(self, number: int, name: str, note: str, mass_kg: float) -> None:
        """A new item with units."""
        self.num_items += 1
        item = f"i{self.num_items}"
        units = [Unit(id=f"{item}-{n}", item=item, owner=name[:200]) for n in range(number)]
        self.store.add_item(Battery(id=item, name=name, mass_kg=mass_kg, note=note), units)
        power = {"id": f"cam-{item}", "battery": item, "battery_min": 90}
        self.store.add_item(Body.model_validate(BODY | power | {"measured": ("battery_min",)}))
        self.conditions |= {unit.id: unit.condition for unit in units}

    @precondition(lambda self: self.conditions)
    @rule(data=st.data(), health=st.floats(0.01, 1), value=st.floats(0, 1e5))
    def change(self, data: st.DataObject, health: float, value: float) -> None:
        """Facts of a unit and of its item."""
        unit = data.draw(st.sampled_from(sorted(self.conditions)))
        self.store.change_unit(unit, {"health": health, "value": value})
        self.store.change_item(unit.partition("-")[0], {"mass_kg": value})

    @precondition(lambda self: self.conditions)
    @rule(data=st.data(), condition=CONDITIONS)
    def set_condition(self, data: st.DataObject, condition: Condition) -> None:
        """What a unit is like, said without any loan."""
        unit = data.draw(st.sampled_from(sorted(self.conditions)))
        self.store.change_unit(unit, {"condition": condition})
        self.conditions[unit] = condition

    @precondition(lambda self: self.conditions)
    @rule(data=st.data(), person=PEOPLE, due=st.none() | DAYS, only_free=st.booleans(), note=notes)
    def sign_out(
        self, data: st.DataObject, person: str, due: date | None, only_free: bool, note: str
    ) -> None:
        """A few units to somebody: all, or none, or what is free."""
        wanted = set(self.some(data))
        own = {unit for unit in wanted if self.holders.get(unit) == person}
        free = {u for u in wanted - own if u not in self.holders and self.conditions[u] in USABLE}
        try:
            found = self.store.loans.sign_out(
                sorted(wanted),
                person,
                due=due,
                note=note,
                only_free=only_free,
                despite_bookings=True,
            )
        except NotFree as error:
            assert not only_free
            assert wanted - own - free
            named = " ".join(error.reasons)
            missing = [unit for unit in wanted - own - free if unit not in named]
            assert missing == []
            return
        assert {loan.unit for loan in found.loans} == free
        assert {loan.unit for loan in found.already} == own
        assert found.left.keys() == wanted - own - free
        self.holders |= dict.fromkeys(free, person)

    @precondition(lambda self: self.conditions)
    @rule(data=st.data(), condition=st.none() | CONDITIONS)
    def sign_back(self, data: st.DataObject, condition: Condition | None) -> None:
        """A few units from whoever has them: all or none."""
        units = set(self.some(data))
        lost = {unit for unit in units if self.conditions[unit] == "missing"}
        is_possible = units <= self.holders.keys() | lost and not (lost and condition is None)
        try:
            closed = self.store.loans.sign_back(sorted(units), condition=condition)
        except NotFree:
            assert not is_possible
            return
        assert is_possible
        assert {loan.unit for loan in closed} == units & self.holders.keys()
        for unit in units:
            self.holders.pop(unit, None)
            self.conditions[unit] = condition or self.conditions[unit]

    @precondition(lambda self: self.conditions)
    @rule(data=st.data())
    def count(self, data: st.DataObject) -> None:
        """What is here is back, what is lost is missing, and two of an item have been swapped."""
        here, lost = self.some(data), set(self.some(data))
        lost -= set(here)
        left = sorted(self.conditions.keys() - lost - set(here))
        swaps = [(left[0], left[1])] if len(left) > 1 else []
        closed = self.store.loans.settle(here, missing=sorted(lost), swaps=swaps)
        named = {*here, *lost, *(unit for pair in swaps for unit in pair)}
        assert {loan.unit for loan in closed} == named & self.holders.keys()
        new = {unit: self.holders[came] for unit, came in swaps if came in self.holders}
        for unit in named:
            self.holders.pop(unit, None)
        self.holders |= new
        self.conditions |= dict.fromkeys(lost, "missing")
        found = {*here, *(came for _, came in swaps)}
        self.conditions |= {u: "good" for u in found if self.conditions[u] == "missing"}

    @precondition(lambda self: self.conditions)
    @rule(data=st.data(), begins=DAYS, days=st.integers(0, 5), text=names)
    def book(self, data: st.DataObject, begins: date, days: int, text: str) -> None:
        """A few units for some days, anew where there was a booking of that name."""
        ends = begins + timedelta(days)
        units = dict.fromkeys(
            [data.draw(st.sampled_from(sorted(self.conditions))), *self.some(data)]
        )
        booked = tuple(Booked(unit=unit, begins=begins, ends=ends) for unit in units)
        name = data.draw(st.sampled_from(["gala", "fair"]))
        with suppress(NotFree):
            self.store.bookings.book(Booking(id=name, title=name, note=text, booked=booked))

    @precondition(lambda self: self.conditions)
    @rule(data=st.data())
    def release(self, data: st.DataObject) -> None:
        """A booking is let go of."""
        if names_there := [booking.id for booking in self.store.bookings.all()]:
            self.store.bookings.release(data.draw(st.sampled_from(names_there)))

    @precondition(lambda self: self.conditions)
    @rule(data=st.data(), words=names, is_usable=st.booleans())
    def fault(self, data: st.DataObject, words: str, is_usable: bool) -> None:
        """Something is wrong with a unit, once more perhaps."""
        unit = data.draw(st.sampled_from(sorted(self.conditions)))
        before = self.conditions[unit]
        try:
            self.store.care.fault(unit, words, is_usable=is_usable)
        except StoreError:
            assert before in ("missing", "retired")
        except BadInput:
            assert len(words) > 100 or self.store.units_by_id([unit])[unit].fault
        else:
            is_worn = is_usable and before != "in-repair"
            self.conditions[unit] = "worn" if is_worn else "in-repair"

    @precondition(lambda self: self.conditions)
    @rule(data=st.data(), condition=st.sampled_from(["good", "worn", "retired"]))
    def mend(self, data: st.DataObject, condition: Any) -> None:
        """What was wrong with a unit is over."""
        unit = data.draw(st.sampled_from(sorted(self.conditions)))
        before = self.store.units_by_id([unit])[unit]
        is_open = any(repair.ended is None for repair in self.store.care.repairs(unit))
        try:
            self.store.care.mended(unit, condition=condition)
        except StoreError:
            assert not is_open
            assert not before.fault
            assert before.condition != "in-repair"
        else:
            self.conditions[unit] = condition
            assert all(repair.ended for repair in self.store.care.repairs(unit))

    @precondition(lambda self: self.conditions)
    @rule(data=st.data(), minutes=st.floats(0.1, 200), is_to_flat=st.booleans())
    def note_run(self, data: st.DataObject, minutes: float, is_to_flat: bool) -> None:
        """A battery ran; what runs say is its health, where they say anything."""
        unit = data.draw(st.sampled_from(sorted(self.conditions)))
        run = Run(
            unit=unit,
            day=self.now.date(),
            minutes=minutes,
            is_to_flat=is_to_flat,
            body=f"cam-{unit.partition('-')[0]}",
        )
        (found,) = self.store.care.note([run])
        assert self.store.units_by_id([unit])[unit].health == found.after

    @precondition(lambda self: self.conditions)
    @rule(data=st.data(), person=PEOPLE)
    def fail(self, data: st.DataObject, person: str) -> None:
        """A change that is broken off in the middle, or refused at its end, leaves nothing."""
        unit = data.draw(st.sampled_from(sorted(self.conditions)))
        before = self.store.ledger.present(), self.store.ledger.entries()
        with pytest.raises(KeyboardInterrupt):
            self._break_off(unit, person)
        with pytest.raises(KitplanError):
            self.store.save_kit(Kit(units=(Unit(id="x", item="none", owner="A"),)), replace=False)
        assert (self.store.ledger.present(), self.store.ledger.entries()) == before

    def _break_off(self, unit: str, person: str) -> None:
        with self.store._desk.writing("broken off"):
            self.store.loans.settle([unit])
            if self.conditions[unit] in USABLE:
                self.store.loans.sign_out([unit], person, despite_bookings=True)
            raise KeyboardInterrupt

    @invariant()
    def the_ledger_tells_all(self) -> None:
        """Replayed it is the state."""
        if hasattr(self, "store"):
            assert self.store.ledger.replayed() == self.store.ledger.present()

    @invariant()
    def loans_are_those_of_the_notebook(self) -> None:
        """Who has what, and what everything is like."""
        if hasattr(self, "store"):
            loans = self.store.loans.open()
            assert len(loans) == len(self.holders)
            assert {loan.unit: loan.person for loan in loans} == self.holders
            units = {unit.id: unit.condition for unit in self.store.units()}
            assert units == self.conditions

    @invariant()
    def nothing_is_promised_twice(self) -> None:
        """No unit is booked by two on one day."""
        if hasattr(self, "store"):
            spans = [
                (each.unit, each.begins, each.ends, booking.id)
                for booking in self.store.bookings.all()
                for each in booking.booked
            ]
            for one, other in combinations(spans, 2):
                is_clash = one[0] == other[0] and one[1] <= other[2] and other[1] <= one[2]
                assert not is_clash or one[3] == other[3]

    def teardown(self) -> None:
        """At the end nothing is wrong, and the inventory can be rebuilt from its ledger."""
        try:
            if hasattr(self, "store"):
                assert list(self.store.trust.findings(self.store.load())) == []
                anew = self.path.with_name("anew.sqlite")
                self.store.trust.rebuild(anew)
                with Store.open(anew, writing=False) as rebuilt:
                    assert rebuilt.ledger.present() == self.store.ledger.present()
                    assert rebuilt.ledger.entries() == self.store.ledger.entries()
                    assert _words(rebuilt) == _words(self.store)
        finally:
            self.stack.close()


def _words(store: Store) -> Any:
    return store._desk.db.execute("SELECT rowid, text FROM words ORDER BY rowid").fetchall()


def test_any_history_is_told_by_the_ledger() -> None:
    """A few short ones."""
    few = settings(max_examples=10, stateful_step_count=12, deadline=None)
    run_state_machine_as_test(Histories, settings=few)


@pytest.mark.long
def test_any_long_history_is_told_by_the_ledger() -> None:
    """Many long ones."""
    many = settings(max_examples=300, stateful_step_count=40, deadline=None)
    run_state_machine_as_test(Histories, settings=many)


def test_histories_know_every_table() -> None:
    """A new table wants a rule of its own."""
    parts = {"items", "units", "loans", "bookings", "booked", "repairs", "runs"}
    assert set(get_args(Part)) == parts
