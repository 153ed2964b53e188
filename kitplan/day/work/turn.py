"""Turning cameras round: what is struck, carried, built, framed and checked between two passes.

By units: a stand stays where the same support and head are at one position in both passes, a camera
where the same body, adapter and lens are on a stand that stays. Minutes are those that the
allocation counts (docs/model.md, Reset); carrying and checking come on top, darkness makes
everything longer, and people who have not built this kit before take longer over everything but
carrying.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from kitplan.day.work.task import Amounts, Machine, Task
from kitplan.day.work.ways import Haul, haul
from kitplan.gear.records import AnyItem, Head, Support
from kitplan.options.stands import Stand
from kitplan.plan.day.work import JobKind
from kitplan.plan.records import Placement
from kitplan.shoot.brief import Brief
from kitplan.shoot.gaps import may_work_at
from kitplan.shoot.records import Person
from kitplan.shoot.venue import Position
from kitplan.tables import table
from kitplan.units import work_s

RIGGING = "rigging"
CART, DOORWAY = "cart", "doorway"
"""Resources."""


@dataclass(frozen=True)
class Leg:
    """Units that go from one place to another; None is the store."""

    origin: Position | None
    goal: Position | None
    units: tuple[str, ...]


@dataclass(frozen=True)
class Turn:
    """The cameras of a pass and those of the next one, and who is there to turn them round."""

    brief: Brief
    before: tuple[Placement, ...]
    after: tuple[Placement, ...]
    crew: tuple[Person, ...]
    """Those who are on hand for some of the time."""
    is_dark: bool = False
    is_loose: bool = False
    """Nobody's own things: what everybody may touch takes no longer."""

    def tasks(self) -> tuple[Task, ...]:
        """Return everything that is to be done, in an order that keeps the precedence."""
        return (
            *(task for one in self.before for task in self._struck(one)),
            *(task for one in self.after for task in self._built(one)),
        )

    def stand_tasks(self) -> tuple[Task, ...]:
        """Return only what stands ask for that are struck or built, each waiting for its own tasks
        and for its position alone.
        """
        struck = [one for one in self.before if not self.stand_stays(one)]
        built = [one for one in self.after if not self.stand_stays(one)]
        tasks = [task for one in struck for task in self._stand_struck(one, _body_min("strike"))]
        for one in built:
            cleared = {f"strike/{o.letter}" for o in struck if o.position == one.position}
            own = {f"build/{one.letter}", f"frame/{one.letter}"}
            for task in self._built(one):
                if task.kind != "carry":
                    waits = tuple(name for name in task.after if name in cleared | own)
                    tasks.append(replace(task, after=waits))
        return tuple(tasks)

    # -- what stays ----------------------------------------------------------------------------

    @cached_property
    def _stands_before(self) -> set[tuple[str, ...]]:
        return {_stand_key(one) for one in self.before}

    @cached_property
    def _stands_after(self) -> set[tuple[str, ...]]:
        return {_stand_key(one) for one in self.after}

    def stand_stays(self, one: Placement) -> bool:
        """Whether the stand of a placement is at its position in both passes."""
        return _stand_key(one) in self._stands_before & self._stands_after

    def stays(self, one: Placement) -> bool:
        """Whether a placement is there with its stand and camera in both passes."""
        key = _rig_key(one)
        return any(_rig_key(b) == key for b in self.before) and any(
            _rig_key(a) == key for a in self.after
        )

    # -- the jobs of one camera ----------------------------------------------------------------

    def _struck(self, one: Placement) -> Iterator[Task]:
        """Camera off, stand struck, what nobody needs any more away to the cases."""
        if self.stays(one):
            fresh = next(a for a in self.after if _rig_key(a) == _rig_key(one))
            stays_min = self.brief.shoot.rules.stays_min
            after = self._freed(fresh.batteries + fresh.cards)
            yield self._job(one, "stay", "check", stays_min, 1, after, one.rig.units)
            return
        if self.stand_stays(one):
            minutes = _body_min("strike")
            yield self._job(one, "strike", "strike", minutes, 1, (), _camera_units(one))
        else:
            yield from self._stand_struck(one, _body_min("strike"))
        gone = [unit for unit in self._loads_of(one) if unit not in self._places_after]
        if gone:
            done = (f"strike/{one.letter}",)
            yield self._carried(one, "away", [Leg(self.at(one), None, tuple(gone))], done)

    def _stand_struck(self, one: Placement, body_min: float) -> Iterator[Task]:
        stand, position = self.stand(one), self.at(one)
        stand_min = stand.minutes(position, "strike_min")
        people = stand.support.people
        if self.hands(one, people) == self.hands(one, 1):
            whole = body_min + stand_min
            yield self._job(one, "strike", "strike", whole, people, (), one.rig.units)
            return
        yield self._job(one, "off", "strike", body_min, 1, (), _camera_units(one))
        off = (f"off/{one.letter}",)
        yield self._job(one, "strike", "strike", stand_min, people, off, _stand_units(one))

    def _built(self, one: Placement) -> Iterator[Task]:
        """Things fetched and carried, stand built, camera framed and checked."""
        if self.stays(one):
            return
        brought = []
        for task in self._brought(one):
            brought.append(task.id)
            yield task
        ready = (*brought, *self._cleared(one))
        if not self.stand_stays(one):
            stand = self.stand(one)
            minutes = stand.minutes(self.at(one), "setup_min")
            people = stand.support.people
            yield self._job(one, "build", "build", minutes, people, ready, _stand_units(one))
            ready = (f"build/{one.letter}",)
        minutes = _body_min("setup")
        yield self._job(one, "frame", "frame", minutes, 1, ready, _camera_units(one))
        fed = one.batteries + one.cards
        after = (f"frame/{one.letter}", *self._freed(fed))
        check_min = self.brief.shoot.rules.check_min
        yield self._job(one, "check", "check", check_min, 1, after, fed)

    def _brought(self, one: Placement) -> Iterator[Task]:
        """From the cases through the doorway, and from other positions once they are struck."""
        from_store: list[str] = []
        from_places: dict[str, list[str]] = {}
        for unit in self._loads_of(one):
            before = self._places_before.get(unit)
            if before is None:
                from_store.append(unit)
            elif before.position != one.position:
                from_places.setdefault(before.position, []).append(unit)
        here = self.at(one)
        if from_store:
            yield self._carried(one, "fetch", [Leg(None, here, tuple(from_store))], ())
        if from_places:
            legs = [
                Leg(self._position(place), here, tuple(units))
                for place, units in from_places.items()
            ]
            moved = tuple(unit for leg in legs for unit in leg.units)
            yield self._carried(one, "carry", legs, self._freed(moved))

    # -- precedence ----------------------------------------------------------------------------

    @cached_property
    def _places_before(self) -> Mapping[str, Placement]:
        """Where each unit was; batteries and cards too."""
        return {unit: one for one in self.before for unit in one.units}

    @cached_property
    def _places_after(self) -> Mapping[str, Placement]:
        return {unit: one for one in self.after for unit in one.units}

    def _freed(self, units: Sequence[str]) -> tuple[str, ...]:
        """Ids of the jobs by which cameras that are struck let go of units."""
        holders = {
            self._places_before[unit].letter
            for unit in units
            if unit in self._places_before and not self.stays(self._places_before[unit])
        }
        return tuple(f"strike/{letter}" for letter in sorted(holders))

    def _cleared(self, one: Placement) -> tuple[str, ...]:
        """Ids of the jobs by which the position is cleared."""
        return tuple(
            f"strike/{other.letter}"
            for other in self.before
            if other.position == one.position and not self.stays(other)
        )

    # -- people and minutes --------------------------------------------------------------------

    def hands(self, one: Placement, people: int) -> int:
        """How many people a job of so many takes at a position: nobody works overhead alone."""
        return max(people, 2) if self.at(one).is_overhead else people

    def _job(
        self,
        one: Placement,
        name: str,
        kind: JobKind,
        minutes: float,
        people: int,
        after: tuple[str, ...],
        units: tuple[str, ...],
    ) -> Task:
        """A job at a position, by those who may be there, led by those who have to."""
        touches_stand = kind in ("strike", "build", "frame")
        return Task(
            id=f"{name}/{one.letter}",
            kind=kind,
            people=self.hands(one, people),
            able=self._able(self.at(one), minutes),
            led_by=tuple(self._leading(one, units, needs_skill=touches_stand)),
            after=after,
            letter=one.letter,
            position=one.position,
            units=units,
        )

    def _able(self, position: Position, minutes: float) -> Amounts:
        rules = self.brief.shoot.rules
        return tuple(
            (person.id, work_s(self._longer(minutes) * factor))
            for person in self.crew
            if may_work_at(person, position)
            for factor in [rules.first_time_factor if person.is_first_time else 1.0]
        )

    def _longer(self, minutes: float) -> float:
        return minutes * (self.brief.shoot.rules.dark_factor if self.is_dark else 1.0)

    def _leading(
        self, one: Placement, units: Sequence[str], *, needs_skill: bool
    ) -> Iterator[tuple[str, ...]]:
        """Who has the skill of the support, who may rig overhead, whose own thing it is."""
        stand = self.stand(one)
        if needs_skill and stand.support.skill is not None:
            yield tuple(sorted(self.skilled_for(stand)))
        if self.at(one).is_overhead:
            yield self._skilled(RIGGING)
        if not self.is_loose:
            own = (unit for unit in self.brief.kit.units if unit.owner_only and unit.id in units)
            yield from ((owner,) for owner in sorted({unit.owner for unit in own}))

    def skilled_for(self, stand: Stand) -> frozenset[str]:
        """Who has the skill that a stand asks for; everybody where it asks for none."""
        skill = stand.support.skill
        return frozenset(p.id for p in self.crew if skill is None or skill in p.skills)

    def _skilled(self, skill: str) -> tuple[str, ...]:
        return tuple(person.id for person in self.crew if skill in person.skills)

    # -- carrying ------------------------------------------------------------------------------

    def _carried(
        self, one: Placement, name: str, legs: Sequence[Leg], after: tuple[str, ...]
    ) -> Task:
        """A job that carries things, bundle by bundle; a cart where one can go and is sooner."""
        shoot = self.brief.shoot
        hauls = [
            haul(shoot, leg.origin, leg.goal, [self._item(unit) for unit in leg.units])
            for leg in legs
        ]
        ways = self._ways_to_carry(hauls)
        has_door = name in ("fetch", "away") and shoot.venue.people_through_door_min > 0
        return Task(
            id=f"{name}/{one.letter}",
            kind="carry",
            run_s=ways[0].run_s if len(ways) == 1 else 0,
            people=max(each.people for each in hauls),
            able=self._carriers(self.at(one)),
            uses=((DOORWAY, 1),) if has_door else (),
            machines=ways if len(ways) > 1 else (),
            after=after,
            letter=one.letter,
            position=one.position,
            units=tuple(unit for leg in legs for unit in leg.units),
        )

    def _loads_of(self, one: Placement) -> tuple[str, ...]:
        """What has to be carried: the rig, and accessories too heavy for a pocket."""
        most_kg = self.brief.shoot.rules.pocket_kg
        heavy = (unit for unit in one.accessories if self._item(unit).mass_kg > most_kg + 1e-9)
        return (*one.rig.units, *heavy)

    def _carriers(self, place: Position) -> Amounts:
        return tuple((person.id, 0) for person in self.crew if may_work_at(person, place))

    def _ways_to_carry(self, hauls: Sequence[Haul]) -> tuple[Machine, ...]:
        """By hand, and with a cart on all ways where that is sooner."""
        by_hand = work_s(self._longer(sum(each.hand_min for each in hauls)))
        if all(each.cart_min is None for each in hauls):
            return (Machine(None, by_hand),)
        minutes = sum(each.hand_min if each.cart_min is None else each.cart_min for each in hauls)
        return (Machine(None, by_hand), Machine(CART, work_s(self._longer(minutes))))

    # -- look-ups ------------------------------------------------------------------------------

    def at(self, one: Placement) -> Position:
        """Return where a placement is."""
        return self._position(one.position)

    def _position(self, position_id: str) -> Position:
        return next(p for p in self.brief.shoot.venue.positions if p.id == position_id)

    @cached_property
    def _items(self) -> Mapping[str, AnyItem]:
        kit = self.brief.kit
        return {unit.id: kit.items_by_id[unit.item] for unit in kit.units}

    def _item(self, unit: str) -> AnyItem:
        return self._items[unit]

    def stand(self, one: Placement) -> Stand:
        """Return the stand of a placement."""
        support = self._item(one.rig.support)
        head = self._item(one.rig.head) if one.rig.head else None
        assert isinstance(support, Support)  # the plan's records say so
        assert head is None or isinstance(head, Head)
        return Stand(support, head, self.brief.shoot.rules.payload_share)


def _body_min(what: str) -> float:
    """Minutes of the table for a body (`setup` or `strike`)."""
    return float(table("setup_minutes")["body"][f"{what}_min"])


def _stand_units(one: Placement) -> tuple[str, ...]:
    return tuple(unit for unit in (one.rig.support, one.rig.head) if unit is not None)


def _camera_units(one: Placement) -> tuple[str, ...]:
    parts = (one.rig.body, one.rig.adapter, one.rig.lens)
    return tuple(unit for unit in parts if unit is not None)


def _stand_key(one: Placement) -> tuple[str, ...]:
    return (one.position, *_stand_units(one))


def _rig_key(one: Placement) -> tuple[str, ...]:
    return (one.position, *one.rig.units)
