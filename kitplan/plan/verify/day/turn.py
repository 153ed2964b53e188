"""What the cameras of two passes ask for between them, from plan and input alone.

The rules stand in docs/model.md: the work between passes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import ceil, floor, hypot

from kitplan.gear.records import Item, Support
from kitplan.plan.records import Placement
from kitplan.plan.verify.between import stand_minutes
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.setups import Stand
from kitplan.shoot.records import Person
from kitplan.shoot.venue import Position
from kitplan.tables import table

_DIGITS = 6


@dataclass(frozen=True)
class Asked:
    """A job that has to be there."""

    id: str
    kind: str
    letter: str
    position: Position
    units: frozenset[str]
    people: int
    minutes: float = 0.0
    """Of a quick pair of hands; of a carry by hand."""
    cart_min: float | None = None
    """With a cart, where that is sooner."""
    takes_longer: bool = True
    """For somebody who has not built this kit before."""
    led_by: tuple[frozenset[str], ...] = ()
    after: frozenset[str] = frozenset()
    has_door: bool = False


@dataclass(frozen=True)
class Sides:
    """The cameras before and after a gap, and the crew who may be asked to turn them round."""

    scene: Scene
    before: tuple[Placement, ...]
    after: tuple[Placement, ...]
    crew: tuple[Person, ...]
    items: Mapping[str, Item] = field(repr=False)
    """Item of each unit."""

    def jobs(self) -> dict[str, Asked]:
        """Return every job by its id."""
        listed = [job for one in self.before for job in self._taken_down(one)]
        listed += [job for one in self.after for job in self._put_up(one)]
        return {job.id: job for job in listed}

    # -- who stays -----------------------------------------------------------------------------

    def _is_still(self, one: Placement) -> bool:
        """Support, head, body, adapter and lens at the same position on both sides."""
        return all(
            any(p.position == one.position and _parts(p) == _parts(one) for p in side)
            for side in (self.before, self.after)
        )

    def _has_still_stand(self, one: Placement) -> bool:
        return all(
            any(p.position == one.position and _parts(p)[:2] == _parts(one)[:2] for p in side)
            for side in (self.before, self.after)
        )

    def _let_go(self, units: Iterable[str]) -> frozenset[str]:
        """Jobs that free units which were on cameras that are struck."""
        wanted = set(units)
        return frozenset(
            f"strike/{p.letter}"
            for p in self.before
            if wanted & set(p.units) and not self._is_still(p)
        )

    # -- jobs ----------------------------------------------------------------------------------

    def _taken_down(self, one: Placement) -> Iterator[Asked]:
        rules, here = self.scene.shoot.rules, self._place(one)
        if self._is_still(one):
            fed = [u for p in self.after if _parts(p) == _parts(one) for u in p.batteries + p.cards]
            yield self._asked(
                one, "stay", "check", rules.stays_min, 1, one.rig.units, self._let_go(fed), ()
            )
            return
        body_min, stand = float(table("setup_minutes")["body"]["strike_min"]), self._stand(one)
        skill = self._skill(stand)
        if self._has_still_stand(one):
            yield self._asked(one, "strike", "strike", body_min, 1, _camera(one), (), skill)
        else:
            stand_min = stand_minutes(stand, here, "strike_min")
            number = stand.support.people
            if self._number(here, number) == self._number(here, 1):
                both = body_min + stand_min
                yield self._asked(one, "strike", "strike", both, number, one.rig.units, (), skill)
            else:
                yield self._asked(one, "off", "strike", body_min, 1, _camera(one), (), skill)
                off = (f"off/{one.letter}",)
                legs = _legs(one)
                yield self._asked(one, "strike", "strike", stand_min, number, legs, off, skill)
        needed = {unit for p in self.after for unit in p.units}
        gone = [unit for unit in self._carried(one) if unit not in needed]
        if gone:
            yield self._haul(one, "away", [(here, gone)], (f"strike/{one.letter}",))

    def _put_up(self, one: Placement) -> Iterator[Asked]:
        if self._is_still(one):
            return
        here, stand = self._place(one), self._stand(one)
        skill, brought = self._skill(stand), []
        origins: dict[str | None, list[str]] = {}
        for unit in self._carried(one):
            held = next((p.position for p in self.before if unit in p.units), None)
            origins.setdefault(held, []).append(unit)
        origins.pop(one.position, None)
        stored = origins.pop(None, [])
        if stored:
            brought.append(self._haul(one, "fetch", [(None, stored)], ()))
        if origins:
            moved = self._let_go(unit for units in origins.values() for unit in units)
            ways = [(self.scene.positions_by_id[at], u) for at, u in origins.items() if at]
            brought.append(self._haul(one, "carry", ways, moved))
        yield from brought
        there = [p for p in self.before if p.position == one.position and not self._is_still(p)]
        ready = {job.id for job in brought} | {f"strike/{p.letter}" for p in there}
        if not self._has_still_stand(one):
            minutes = stand_minutes(stand, here, "setup_min")
            number = stand.support.people
            yield self._asked(one, "build", "build", minutes, number, _legs(one), ready, skill)
            ready = {f"build/{one.letter}"}
        body_min = float(table("setup_minutes")["body"]["setup_min"])
        yield self._asked(one, "frame", "frame", body_min, 1, _camera(one), ready, skill)
        fed = one.batteries + one.cards
        after = {f"frame/{one.letter}"} | self._let_go(fed)
        check_min = self.scene.shoot.rules.check_min
        yield self._asked(one, "check", "check", check_min, 1, fed, after, ())

    def _asked(
        self,
        one: Placement,
        name: str,
        kind: str,
        minutes: float,
        number: int,
        units: Iterable[str],
        after: Iterable[str],
        skill: Sequence[frozenset[str]],
    ) -> Asked:
        here, own = self._place(one), frozenset(units)
        bound = {u.owner for u in self.scene.kit.units if u.owner_only and u.id in own}
        riggers = [self._skilled("rigging")] if here.is_overhead else []
        return Asked(
            id=f"{name}/{one.letter}",
            kind=kind,
            letter=one.letter,
            position=here,
            units=own,
            people=self._number(here, number),
            minutes=minutes,
            led_by=(*skill, *riggers, *(frozenset([owner]) for owner in bound)),
            after=frozenset(after),
        )

    def _haul(
        self,
        one: Placement,
        name: str,
        ways: Sequence[tuple[Position | None, Sequence[str]]],
        after: Iterable[str],
    ) -> Asked:
        """Loads by hand, and with a cart on the ways that have one; ways end or begin here."""
        shoot, here = self.scene.shoot, self._place(one)
        carrying = shoot.carrying
        by_hand = by_cart = 0.0
        number, has_cart = 1, False
        for place, units in ways:
            far = None if name in ("fetch", "away") else place
            grams = [ceil(round(self.items[u].mass_kg * 1000, _DIGITS)) for u in units]
            lifters = 1 if max(grams) <= _grams(carrying.person_kg) else 2
            number = max(number, lifters)
            way_min, climb_m = self._way(far, here)
            loads = max(ceil(sum(grams) / max(_grams(lifters * carrying.person_kg), 1)), 1)
            by_hand += loads * way_min
            cart_loads = max(ceil(sum(grams) / max(_grams(carrying.cart_kg), 1)), 1)
            goes = carrying.carts > 0 and climb_m <= shoot.rules.cart_rise_m + 1e-9
            has_cart |= goes and cart_loads < loads
            by_cart += min(cart_loads, loads) * way_min if goes else loads * way_min
        return Asked(
            id=f"{name}/{one.letter}",
            kind="carry",
            letter=one.letter,
            position=here,
            units=frozenset(u for _, units in ways for u in units),
            people=number,
            minutes=by_hand,
            cart_min=by_cart if has_cart else None,
            takes_longer=False,
            after=frozenset(after),
            has_door=name != "carry" and shoot.venue.people_through_door_min > 0,
        )

    def _way(self, far: Position | None, here: Position) -> tuple[float, float]:
        """Minutes of one load there and back, and metres of stairs."""
        rules, venue = self.scene.shoot.rules, self.scene.shoot.venue
        x, y = (0.0, 0.0) if far is None else far.at_m
        level = 0.0 if far is None else _level(far)
        way_m, climb_m = hypot(here.at_m[0] - x, here.at_m[1] - y), abs(_level(here) - level)
        minutes = 2 * way_m / rules.walk_m_per_min + climb_m * rules.climb_min_per_m
        return minutes + (venue.people_through_door_min if far is None else 0.0), climb_m

    def _carried(self, one: Placement) -> list[str]:
        """All but batteries, cards and small accessories."""
        most_kg = self.scene.shoot.rules.pocket_kg + 1e-9
        heavy = [unit for unit in one.accessories if self.items[unit].mass_kg > most_kg]
        return [*_legs(one), *_camera(one), *heavy]

    # -- people and look-ups -------------------------------------------------------------------

    def _number(self, here: Position, people: int) -> int:
        return max(people, 2 if here.is_overhead else 1)

    def _skilled(self, skill: str) -> frozenset[str]:
        return frozenset(person.id for person in self.crew if skill in person.skills)

    def _skill(self, stand: Stand) -> tuple[frozenset[str], ...]:
        return () if stand.support.skill is None else (self._skilled(stand.support.skill),)

    def _place(self, one: Placement) -> Position:
        return self.scene.positions_by_id[one.position]

    def _stand(self, one: Placement) -> Stand:
        support = self.items[one.rig.support]
        head = None if one.rig.head is None else self.items[one.rig.head]
        assert isinstance(support, Support)  # plans whose rigs are none are not asked
        return Stand(support, head)  # type: ignore[arg-type]


def seconds(minutes: float) -> int:
    """Return whole seconds, rounded up."""
    return ceil(round(minutes * 60, _DIGITS))


def _grams(mass_kg: float) -> int:
    return floor(round(mass_kg * 1000, _DIGITS))


def _level(position: Position) -> float:
    """Metres over the house floor that things are carried up."""
    return 0.0 if position.stands_on == "bar" else position.floor_height_m


def _parts(one: Placement) -> tuple[str | None, ...]:
    rig = one.rig
    return (rig.support, rig.head, rig.body, rig.adapter, rig.lens)


def _legs(one: Placement) -> list[str]:
    return [unit for unit in _parts(one)[:2] if unit]


def _camera(one: Placement) -> list[str]:
    return [unit for unit in _parts(one)[2:] if unit]
