"""Changes to a brief that may make room for what is missed, the cheapest first.

Each is a new brief; whether it helps is asked of the solver in `changes`. Those of which the rules
already say that they cannot help are left out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from kitplan.gear.kit import Kit
from kitplan.gear.records import Adapter, AnyItem, Body, Support
from kitplan.options.cameras import flange_refusal
from kitplan.options.failing import BIT, find_failing
from kitplan.options.parts import Scope
from kitplan.plan.records import DemandMet
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass, Person
from kitplan.shoot.venue import Permission, Position
from kitplan.whatif.changed import (
    earlier,
    joined,
    with_item,
    with_one_more,
    with_position,
    with_shoot,
)
from kitplan.whatif.funnel import Tally
from kitplan.whatif.why import KINDS, Inquiry

GAPS_MIN = (10, 20, 40)
RISES_M = (0.3, 0.6)
SUPPLIES = ("battery", "media", "charger", "accessory")
OF_PEOPLE = ("no-operator", "not-on-hand", "hands", "overhead")
OF_SIGHT = ("hidden", "over-heads", "empty-seats")


@dataclass(frozen=True)
class Change:
    """A brief with one thing changed."""

    kind: str
    words: str
    brief: Brief
    given_up: frozenset[str] = frozenset()
    """Ids of roles that are dropped."""


class Repairs:
    """Lists changes for what is missed in a plan.

    Args:
        scope: Options that would do it, where that is known (of a role).
        base: The brief to change.
    """

    def __init__(self, inquiry: Inquiry, scope: Scope | None, base: Brief) -> None:
        self.inquiry, self.scope, self.brief = inquiry, scope, base
        self._masks: dict[tuple[str, str], Counter[int]] = {}
        if scope is not None:
            self._masks = _masks(inquiry, scope)
        self.has_options = scope is None or any(masks[0] for masks in self._masks.values())

    def in_order(self) -> Iterator[Change]:
        """Yield the changes, the cheapest first."""
        yield from self._positions()
        yield from self._units()
        yield from self._adapters()
        yield from self._hours()
        yield from self._rights()
        yield from self._people()
        if self.has_options:
            yield from self._gaps()
        yield from self._isos()
        yield from self._risers()
        if self.has_options:
            yield from self._drops()

    def _may_gain(
        self, rules: Iterable[str], *, place: Position | None = None, each: Pass | None = None
    ) -> bool:
        """Whether some option there breaks these rules and no other (known of roles only)."""
        if self.scope is None:
            return True
        lifted = sum(BIT[rule] for rule in rules)
        return any(
            mask and not mask & ~lifted
            for (pass_id, place_id), masks in self._masks.items()
            if (place is None or place_id == place.id) and (each is None or pass_id == each.id)
            for mask in masks
        )

    @property
    def _passes(self) -> tuple[Pass, ...]:
        passes = self.brief.shoot.passes
        wanted = self.scope.passes if self.scope else None
        return tuple(each for each in passes if wanted is None or each.id in wanted)

    # -- positions -----------------------------------------------------------------------------

    def _positions(self) -> Iterator[Change]:
        found = list(self._openings())
        gaining = [change for gains, change in found if gains]
        others = [change for gains, change in found if not gains]
        yield from gaining
        if self.has_options:  # what is in the way may go there
            yield from others

    def _openings(self) -> Iterator[tuple[bool, Change]]:
        for place in self.brief.shoot.venue.positions:
            given = place.permission
            if given is not None and given.state != "given":
                opened = Permission(state="given", by=given.by or "the venue")
                gains = self._may_gain(("permission", "overhead"), place=place)
                words = f"permission for {place.label}"
                yield gains, self._with_place("permission", words, place, permission=opened)
            for each in self.brief.shoot.passes:
                if place.open_in is None or each.id in place.open_in:
                    continue
                gains = self._may_gain(("closed",), place=place, each=each)
                words = f"{place.label} open in {each.label}"
                also = (*place.open_in, each.id)
                yield gains, self._with_place("open", words, place, open_in=also)

    def _risers(self) -> Iterator[Change]:
        for rise in RISES_M:
            for place in self.brief.shoot.venue.positions:
                if place.stands_on == "floor" and self._may_gain(OF_SIGHT, place=place):
                    higher = place.floor_height_m + rise
                    words = f"{place.label} raised by {rise:g} m"
                    yield self._with_place("riser", words, place, floor_height_m=higher)

    def _with_place(self, kind: str, words: str, place: Position, **changed: Any) -> Change:
        return Change(kind, words, with_position(self.brief, place.id, **changed))

    # -- kit -----------------------------------------------------------------------------------

    def _units(self) -> Iterator[Change]:
        kit = self.brief.kit
        used_up = {item for each in self._passes for item in self.inquiry.use.used_up(each)}
        rigs = [item for item in kit.items if item.kind in KINDS and self._helps(item, used_up)]
        rigs.sort(key=lambda item: KINDS.index(item.kind))
        supplies = [i for kind in SUPPLIES for i in kit.items if i.kind == kind]
        for item in (*rigs, *(supplies if self.has_options else ())):
            yield Change("unit", f"one more {item.name}", with_one_more(self.brief, item.id))

    def _helps(self, item: AnyItem, used_up: set[str]) -> bool:
        """Whether one more of it might do: it is used up, or no unit of it is free."""
        if self.scope is None:
            return item.id in used_up or item.id not in self.brief.kit.units_by_item
        masks = self._of_item(item)
        return bool(masks[BIT["no-unit"]]) or (item.id in used_up and bool(self.has_options))

    def _of_item(self, item: AnyItem) -> Counter[int]:
        assert self.scope is not None
        found: Counter[int] = Counter()
        for masks in _masks(self.inquiry, replace(self.scope, item=item.id)).values():
            found.update(masks)
        return found

    def _adapters(self) -> Iterator[Change]:
        if not self._may_gain(("mount",)):
            return
        kit = self.brief.kit
        for lens, body in self._unmounted():
            for ring in kit.of_kind(Adapter):
                name = f"{ring.name}, but for {lens} on {body}"
                made = ring.model_copy(
                    update={"id": "one-more-adapter", "lens_mount": lens, "body_mount": body}
                )
                if flange_refusal(made) is None:
                    made = made.model_copy(update={"name": f"{lens} on {body} adapter"})
                    items = Kit(items=(*kit.items, made), units=kit.units)
                    new = with_one_more(Brief(self.brief.shoot, items), made.id)
                    yield Change("adapter", f"one more adapter ({name})", new)

    def _unmounted(self) -> list[tuple[str, str]]:
        """Mounts of lenses and bodies between which only an adapter is missing."""
        found: dict[tuple[str, str], None] = {}
        for camera, refusals in self.inquiry.parts.cameras:
            if {each.rule for each in refusals} == {"mount"}:
                assert camera.lens is not None  # only lenses need a mount
                assert camera.body.mount is not None
                found[camera.lens.mount, camera.body.mount] = None
        return list(found)

    def _isos(self) -> Iterator[Change]:
        for body in self.brief.kit.of_kind(Body):
            if self.scope is None or self._of_item(body)[BIT["light"]]:
                iso = 2 * body.max_iso
                brief = with_item(self.brief, body.id, max_iso=iso)
                yield Change("iso", f"ISO {iso:.0f} accepted of {body.name}", brief)

    # -- people and time -----------------------------------------------------------------------

    def _hours(self) -> Iterator[Change]:
        if not (self.has_options or self._may_gain((*OF_PEOPLE, "skill"))):
            return
        for person in self.brief.shoot.crew:
            away = [p for p in self._passes if person not in self.brief.people(p)]
            if away:
                new = person.model_copy(update={"since": None, "until": None})
                names = " and ".join(each.label for each in away)
                brief = self._with_people(new, away)
                yield Change("hours", f"{person.label} on hand in {names}", brief)

    def _rights(self) -> Iterator[Change]:
        stage = [place for place in self.brief.shoot.venue.positions if place.is_on_stage]
        if any(self._may_gain(("nobody-rigs", "no-operator"), place=place) for place in stage):
            for person in self.brief.shoot.crew:
                if not person.may_be_on_stage:
                    new = person.model_copy(update={"may_be_on_stage": True})
                    brief = self._with_people(new, ())
                    yield Change("right", f"{person.label} allowed on stage", brief)

    def _people(self) -> Iterator[Change]:
        skills = {s.skill for s in self.brief.kit.of_kind(Support) if s.skill is not None}
        for skill in (None, *sorted(skills)):
            rules = OF_PEOPLE if skill is None else (*OF_PEOPLE, "skill")
            if self._may_gain(rules) or (skill is None and self.has_options):
                person = Person(id="one-more-person", skills=(skill,) if skill else ())
                words = "one more person" + (f" who can run a {skill}" if skill else "")
                yield Change("person", words, self._with_people(person, self.brief.shoot.passes))

    def _with_people(self, person: Person, passes: Sequence[Pass]) -> Brief:
        shoot, ids = self.brief.shoot, {each.id for each in passes}
        crew = tuple(each for each in shoot.crew if each.id != person.id)
        in_order = [person if each.id == person.id else each for each in shoot.crew]
        if len(crew) == len(shoot.crew):
            in_order.append(person)
        return with_shoot(
            self.brief,
            crew=tuple(in_order),
            passes=tuple(joined(p, person.id) if p.id in ids else p for p in shoot.passes),
        )

    def _gaps(self) -> Iterator[Change]:
        passes = self.brief.shoot.passes
        for minutes in GAPS_MIN:
            for index in range(len(passes) - 1):
                after, before = passes[index].label, passes[index + 1].label
                words = f"{minutes} minutes more between {after} and {before}"
                yield Change("gap", words, earlier(self.brief, index, minutes))

    # -- other wants ---------------------------------------------------------------------------

    def _drops(self) -> Iterator[Change]:
        for role in self.brief.shoot.roles:
            if role.priority == "want" and self._is_met(role.id):
                rest = tuple(each for each in self.brief.shoot.roles if each.id != role.id)
                words = f"'{role.label}' given up"
                brief = with_shoot(self.brief, roles=rest)
                yield Change("drop", words, brief, frozenset({role.id}))

    def _is_met(self, role_id: str) -> bool:
        own: list[DemandMet] = [d for d in self.inquiry.plan.demands if d.id == role_id]
        return any(demand.is_met for demand in own if demand.kind == "role")


def _masks(inquiry: Inquiry, scope: Scope) -> dict[tuple[str, str], Counter[int]]:
    """Return how often each set of rules is broken, by pass and position."""
    found = {}
    for failing in find_failing(inquiry.options, inquiry.parts, scope):
        tally = Tally()
        tally.see(failing)
        found[failing.each.id, failing.position.id] = tally.masks
    return found
