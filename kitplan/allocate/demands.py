"""What the producer demands: roles, moments, locks. Musts are questions of feasibility first.

Each must is met or missed; the search first asks for all of them, and if they clash finds a
smallest clashing set, then the fewest misses.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.pictures import crowded_rows
from kitplan.allocate.variables import Slot, Variables, total
from kitplan.shoot.records import Moment, Pass, Pattern, Priority, Role, Song
from kitplan.shoot.sizes import is_tight_enough


@dataclass(frozen=True)
class Demand:
    """Something asked for, the decision that says it is met, and its weight."""

    kind: Literal["role", "moment", "keep", "never"]
    id: str
    words: str
    priority: Priority
    weight: int
    is_met: IntVar


@dataclass
class Demands:
    """All demands of a model."""

    roles: list[Demand] = field(default_factory=list)
    moments: list[Demand] = field(default_factory=list)
    locks: list[Demand] = field(default_factory=list)

    @property
    def musts(self) -> list[Demand]:
        """Demands that have to be met."""
        return [demand for demand in self.all if demand.priority == "must"]

    @property
    def all(self) -> tuple[Demand, ...]:
        """Every demand."""
        return (*self.roles, *self.moments, *self.locks)

    def of_roles(self, priority: str) -> list[Demand]:
        """Demands of roles of one priority."""
        return [demand for demand in self.roles if demand.priority == priority]


def add_demands(x: Variables) -> Demands:
    """Add the rules of roles, moments and locks and return what they are met by."""
    demands = Demands()
    _add_roles(x, demands)
    _add_moments(x, demands)
    _add_locks(x, demands)
    return demands


# -- roles -----------------------------------------------------------------------------------------


def _add_roles(x: Variables, demands: Demands) -> None:
    brief = x.options.brief
    for slot in x.slots:
        for role_id, var in slot.roles.items():
            add_role_fits(x, slot, next(r for r in brief.roles if r.id == role_id), var)
        exclusive = [var for r, var in slot.roles.items() if not _may_share(x, r)]
        x.model.add_at_most_one(exclusive)
    for role in brief.roles:
        passes = brief.passes_of(role)
        for each in passes:
            x.model.add_at_most_one(
                slot.roles[role.id] for slot in x.slots_in(each.id) if role.id in slot.roles
            )
        over = brief.shoot.past.is_over
        coming = [(each,) for each in passes if not over(each.id)]  # what is over is past asking
        groups = coming if role.in_passes == "every" else [passes]
        demands.roles.extend(_role_demand(x, role, group) for group in groups if group)


def _may_share(x: Variables, role_id: str) -> bool:
    return next(r for r in x.options.brief.roles if r.id == role_id).also


def _role_demand(x: Variables, role: Role, passes: tuple[Pass, ...]) -> Demand:
    met = x.model.new_bool_var(f"met role {role.id}[{','.join(p.id for p in passes)}]")
    x.model.add(
        met
        <= total(
            slot.roles[role.id]
            for each in passes
            for slot in x.slots_in(each.id)
            if role.id in slot.roles and slot.brings
        )
    )
    where = passes[0].label if len(passes) == 1 else "any pass"
    subject = x.options.brief.shoot.subjects_by_id[role.subject].label
    words = f"role '{role.label}' ({subject} {'/'.join(role.sizes)}) in {where}"
    return Demand("role", role.id, words, role.priority, role.weight, met)


def add_role_fits(x: Variables, slot: Slot, role: Role, var: IntVar) -> None:
    """A placement does a role with its main shot, in the manner and with the move asked for (moves
    are made by hand); one that must roll throughout never stops inside a song; the safety shot is
    on manual control, and nobody who performs in the pass operates it.
    """
    shots = [
        shot
        for shot_class, view, shot in slot.shot_items()
        if view.subject.id == role.subject
        and view.size in role.sizes
        and role.manner in ("either", shot_class.manner)
        and (shot_class.manner == "operated" or not role.moves)
    ]
    x.model.add(var <= total(shots))
    if role.moves:
        x.model.add(
            var
            <= total(
                s for stand, s in slot.stand_items() if set(role.moves) & set(stand.support.moves)
            )
        )
    if role.rolls_throughout or role.is_safety:
        cameras = [
            camera_var
            for (camera, camera_var), lasting in zip(
                slot.camera_items(), slot.spot.endurance, strict=True
            )
            if (lasting.rolls_throughout or not role.rolls_throughout)
            and (camera.body.has_manual_control or not role.is_safety)
        ]
        x.model.add(var <= total(cameras))
    if role.is_safety:
        brief = x.options.brief
        for person, operates in slot.operators.items():
            if brief.sings_during(brief.shoot.crew_by_id[person], slot.spot.each):
                x.model.add(var + operates <= 1)


# -- moments ---------------------------------------------------------------------------------------


def _add_moments(x: Variables, demands: Demands) -> None:
    for song in x.options.brief.shoot.songs:
        for number, moment in enumerate(song.moments):
            if moment.priority == "must":
                demands.moments.append(_moment_demand(x, song, number, moment))


def _moment_demand(x: Variables, song: Song, number: int, moment: Moment) -> Demand:
    """A must moment is held by a placement of a pass that the edit can use there: an operator who
    can frame it tight enough and is not performing, or a locked-off shot that does.
    """
    brief = x.options.brief
    name = f"{song.id}/{number}"
    held: list[IntVar] = []
    for each in brief.on_offer(song):
        for slot in x.slots_in(each.id):
            if song.id in slot.missed:
                continue
            held.extend(_holds(x, slot, song, moment, name))
    met = x.model.new_bool_var(f"met moment {name}")
    x.model.add(met <= total(held))
    subject = brief.shoot.subjects_by_id[moment.subject].label
    words = f"moment '{moment.name}' in {song.label} ({subject}, {moment.size} or tighter)"
    return Demand("moment", name, words, "must", 1, met)


def _holds(x: Variables, slot: Slot, song: Song, moment: Moment, name: str) -> list[IntVar]:
    rows = [
        row
        for row, view in enumerate(slot.spot.views)
        if view.subject.id == moment.subject and is_tight_enough(view.size, moment.size)
    ]
    if not rows:
        return []
    held = [
        shot
        for shot_class, shot in slot.shots.items()
        if shot_class.manner == "locked-off" and shot_class.view in rows
    ]
    if slot.operators and slot.spot.shots.possible("operated")[rows].any():
        crew = x.options.brief.shoot.crew_by_id
        free = [v for p, v in slot.operators.items() if song.id not in crew[p].performs_in]
        by_hand = x.model.new_bool_var(f"holds {name}[{slot.name}]")
        x.model.add(by_hand <= total(free))
        _add_holds_by_hand(x, slot, rows, by_hand, name)
        held.append(by_hand)
    return held


def _add_holds_by_hand(
    x: Variables, slot: Slot, rows: list[int], by_hand: IntVar, name: str
) -> None:
    """The operator can frame one of the views, with nobody in the picture that refuses it."""
    crowded = list(crowded_rows(x, slot))
    if not any(set(rows) & views for _, views in crowded):
        ways = [(by_hand, rows)]
    else:
        ways = [(x.model.new_bool_var(f"holds {name} {row}[{slot.name}]"), [row]) for row in rows]
        x.model.add(by_hand <= total(var for var, _ in ways))
        for var, (row,) in ways:
            for showing, views in crowded:
                if row in views:
                    x.model.add_at_most_one([var, *showing])
    to_hold = slot.ways_to_hold(*(places for _, places in ways))
    for (var, _), held in zip(ways, to_hold, strict=True):
        for cameras, other_stands in held:
            x.model.add(var <= total(cameras) + total(other_stands))


# -- locks -----------------------------------------------------------------------------------------


def keep_words(pattern: Pattern) -> str:
    """Return what a lock that keeps something asks for."""
    return f"lock: keep a placement with {pattern}"


def _add_locks(x: Variables, demands: Demands) -> None:
    locks = x.options.brief.shoot.locks
    for number, pattern in enumerate(locks.keep):
        met = x.model.new_bool_var(f"met keep[{number}]")
        x.model.add(met <= total(_fits(x, slot, pattern, number) for slot in x.slots))
        words = keep_words(pattern)
        demands.locks.append(Demand("keep", str(number), words, "must", 1, met))
    for number, pattern in enumerate(locks.never):
        met = x.model.new_bool_var(f"met never[{number}]")
        for slot in x.slots:
            parts = _parts(slot, pattern)
            if parts is not None:
                held = x.model.add(total(total(part) for part in parts) <= len(parts) - 1)
                held.only_enforce_if(met)
        words = f"lock: never {pattern}{' together' if len(pattern.parts) > 1 else ''}"
        demands.locks.append(Demand("never", str(number), words, "must", 1, met))


def _fits(x: Variables, slot: Slot, pattern: Pattern, number: int) -> IntVar | int:
    parts = _parts(slot, pattern)
    if parts is None:
        return 0
    fits = x.model.new_bool_var(f"keeps {number}[{slot.name}]")
    for part in parts:
        x.model.add(fits <= total(part))
    return fits


def _parts(slot: Slot, pattern: Pattern) -> list[list[IntVar]] | None:
    """For each part of a pattern the decisions that agree; None where the slot never can."""
    parts: list[list[IntVar]] = [[slot.is_used]]
    for name, wanted in pattern.parts.items():
        if name in ("pass", "position"):
            here = slot.spot.each.id if name == "pass" else slot.spot.position.id
            if here != wanted:
                return None
            continue
        agreeing = _agreeing(slot, name, wanted)
        if not agreeing:
            return None
        parts.append(agreeing)
    return parts


def _agreeing(slot: Slot, name: str, wanted: str) -> list[IntVar]:
    match name:
        case "body" | "lens" | "adapter":
            return [
                v
                for c, v in slot.camera_items()
                if getattr(c, name) and getattr(c, name).id == wanted
            ]
        case "head" | "support":
            return [
                v
                for s, v in slot.stand_items()
                if getattr(s, name) and getattr(s, name).id == wanted
            ]
        case "person":
            return [slot.operators[wanted]] if wanted in slot.operators else []
        case _:
            return [slot.roles[wanted]] if wanted in slot.roles else []
