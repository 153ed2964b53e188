"""Why a thing is not in a plan: how many options there are, what each rule removes, what is left.

Answers come from the options and the plan; what would change them is found in `changes`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from kitplan.allocate.solver import GOAL_IDS
from kitplan.errors import SettingError
from kitplan.gear.records import AnyItem
from kitplan.options.failing import find_failing
from kitplan.options.parts import MANNERS, Parts, Scope, all_parts
from kitplan.options.spots import Options, find_options
from kitplan.plan.records import DemandMet, Placement, Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Role
from kitplan.whatif.funnel import Funnel, Nearest, NearMiss, Tally
from kitplan.whatif.taken import Use
from kitplan.wording import hint

Kind = Literal["role", "item", "position", "person"]
KINDS = ("body", "lens", "adapter", "head", "support")
"""Kinds of item that options are made of."""


@dataclass(frozen=True)
class Answer:
    """What there is to say about one name."""

    kind: Kind
    id: str
    is_met: bool | None
    """Of a role, whether it is filled wherever it is asked for; of others, whether it is used."""
    cameras: tuple[tuple[str, str], ...]
    """Passes and letters of the placements that do or use it."""
    funnel: Funnel
    nearest: NearMiss | None
    away: tuple[str, ...] = ()
    """Of an item, which units cannot be had, and why, in words."""


class Inquiry:
    """A plan that is asked about."""

    def __init__(self, plan: Plan) -> None:
        if len(plan.shoots) != 1:
            raise SettingError(
                f"the plan holds {len(plan.shoots)} shoots",
                where="PLAN",
                fix="Ask about a plan of one shoot",
            )
        self.plan = plan
        ((self.shoot_id, shoot),) = plan.shoots.items()
        self.brief = Brief(shoot, plan.kit)
        self.use = Use(plan, self.brief)

    @cached_property
    def options(self) -> Options:
        """Everything that is possible."""
        return find_options(self.brief)

    @cached_property
    def parts(self) -> Parts:
        """Every camera and stand, possible or not."""
        return all_parts(self.brief)

    # -- names ---------------------------------------------------------------------------------

    def named(self, name: str) -> tuple[tuple[Kind, str], ...]:
        """Return what a name stands for: by id, or where there is none by label.

        Raises:
            SettingError: If it stands for nothing.
        """
        found = self._called(name)
        if not found:
            known = self._known()
            words = {word for _, own, label in known for word in (own, label)}
            words |= {"goals", *GOAL_IDS}
            raise SettingError(
                f"no role, item, position, person or goal is called {name!r}",
                where="NAME",
                fix=hint(name, words),
            )
        return found

    def knows(self, name: str) -> bool:
        """Whether a name stands for something."""
        return bool(self._called(name))

    def _called(self, name: str) -> tuple[tuple[Kind, str], ...]:
        wanted = name.casefold()
        known = tuple(self._known())
        by_id = tuple((kind, own) for kind, own, _ in known if own.casefold() == wanted)
        return by_id or tuple((k, own) for k, own, label in known if label.casefold() == wanted)

    def _known(self) -> Iterator[tuple[Kind, str, str]]:
        yield from (("role", role.id, role.label) for role in self.brief.roles)
        yield from (("item", item.id, item.name) for item in self.items())
        yield from (("position", p.id, p.label) for p in self.brief.shoot.venue.positions)
        yield from (("person", person.id, person.label) for person in self.brief.shoot.crew)

    def items(self) -> tuple[AnyItem, ...]:
        """Items that options are made of."""
        return tuple(item for item in self.plan.kit.items if item.kind in KINDS)

    # -- what is missing -----------------------------------------------------------------------

    def unmet(self) -> tuple[DemandMet, ...]:
        """What was asked for and is not met."""
        return tuple(demand for demand in self.plan.demands if not demand.is_met)

    def unused(self) -> tuple[tuple[Kind, str], ...]:
        """Bodies, lenses, supports and positions that no placement uses."""
        kinds = ("body", "lens", "support")
        has_units = self.brief.kit.units_by_item
        owned = [i.id for i in self.items() if i.kind in kinds and i.id in has_units]
        used = {p.position for p in self.plan.placements}
        places = [p.id for p in self.brief.shoot.venue.positions if p.id not in used]
        return (
            *(("item", item) for item in owned if not self._placements("item", item)),
            *(("position", place) for place in places),
        )

    # -- answers -------------------------------------------------------------------------------

    def answer(self, kind: Kind, own_id: str) -> Answer:
        """Return what there is to say about a role, an item, a position or a person."""
        funnel, nearest = self.look(self.scope(kind, own_id))
        placements = self._placements(kind, own_id)
        demands = [d for d in self.plan.demands if (d.kind, d.id) == ("role", own_id)]
        return Answer(
            kind=kind,
            id=own_id,
            is_met=all(d.is_met for d in demands) if kind == "role" else bool(placements),
            cameras=tuple((p.pass_id.partition("/")[2], p.letter) for p in placements),
            funnel=funnel,
            nearest=nearest,
            away=self.brief.bars_in_words(own_id) if kind == "item" else (),
        )

    def scope(self, kind: Kind, own_id: str) -> Scope:
        """Return which options a name is about; of a role only passes where it is missed."""
        match kind:
            case "item":
                return Scope(item=own_id)
            case "position":
                return Scope(positions=frozenset({own_id}))
            case "person":
                return Scope(person=own_id, manners=("operated",))
        role = next(role for role in self.brief.roles if role.id == own_id)
        return role_scope(role, self._passes_missed(role))

    def look(self, scope: Scope) -> tuple[Funnel, NearMiss | None]:
        """Return the funnel of the options asked about, and the nearest miss among them."""
        tally, nearest = Tally(), Nearest()
        for failing in find_failing(self.options, self.parts, scope):
            nearest.see(failing)
            tally.see(failing, self.use)
        return tally.funnel(), nearest.best

    def _passes_missed(self, role: Role) -> frozenset[str]:
        """Passes in which a role is not done though it is asked for; all where it is done."""
        passes = self.brief.passes_of(role)
        demands = [d for d in self.plan.demands if (d.kind, d.id) == ("role", role.id)]
        if role.in_passes == "every" and len(demands) == len(passes):
            missed = [p for p, d in zip(passes, demands, strict=True) if not d.is_met]
            passes = tuple(missed) or passes
        return frozenset(each.id for each in passes)

    def _placements(self, kind: Kind, own_id: str) -> tuple[Placement, ...]:
        """Placements that do a role, or use an item, position or person."""

        def has(placement: Placement) -> bool:
            match kind:
                case "role":
                    return own_id in placement.roles
                case "item":
                    return own_id in self.use.items_of(placement)
                case "position":
                    return placement.position == own_id
            return placement.operator == own_id

        return tuple(placement for placement in self.plan.placements if has(placement))


def role_scope(role: Role, passes: frozenset[str]) -> Scope:
    """Return the options that would do a role."""
    scope = Scope(
        passes=passes,
        positions=None if role.positions is None else frozenset(role.positions),
        subject=role.subject,
        sizes=tuple(role.sizes),
        moves=frozenset(role.moves),
        rolls_throughout=role.rolls_throughout,
        is_safety=role.is_safety,
    )
    if role.moves:  # moves are made by hand
        return replace(scope, manners=() if role.manner == "locked-off" else MANNERS[:1])
    return scope if role.manner == "either" else replace(scope, manners=(role.manner,))
