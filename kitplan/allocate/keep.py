"""Staying close to a plan that is already rigged: what of it still stands counts as a goal.

Used when something is lost: among the plans that are as good in musts, wants and viewpoints, the
one that moves least.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from ortools.sat.python import cp_model
from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.answer import Answer
from kitplan.allocate.dominance import CameraMode
from kitplan.allocate.goals.goal import Goal
from kitplan.allocate.readback import Chosen
from kitplan.allocate.settle import settle, with_placements
from kitplan.allocate.solver import Limits
from kitplan.allocate.variables import Slot, Variables, total
from kitplan.options.steadiness import support_row

CAMERA, STAND, OPERATOR, SHOT = 4, 3, 2, 1
"""What it is worth that a part of a placement stays: the longer its change takes, the more."""
KEPT, WORDS = "kept", "words"
"""Ids of the goals."""


@dataclass(frozen=True)
class Kept:
    """A placement of the plan before, in items."""

    pass_id: str
    position: str
    camera: tuple[str, ...]
    """Item ids of body, lens and adapter."""
    mode: str
    """Name of the recording mode."""
    stand: tuple[str, ...]
    operator: str | None
    subject: str
    size: str
    roles: tuple[str, ...] = ()
    menu: tuple[tuple[str, str], ...] = ()

    @property
    def camera_mode(self) -> CameraMode:
        """What its camera is known by in a model."""
        return self.camera, self.mode


def kept_of(chosen: Iterable[Chosen]) -> tuple[Kept, ...]:
    """Return the placements of an answer."""
    return tuple(
        Kept(
            pass_id=one.spot.each.id,
            position=one.spot.position.id,
            camera=one.camera.items,
            mode=one.camera.mode.name,
            stand=one.stand.items,
            operator=one.operator,
            subject=one.view.subject.id,
            size=one.view.size,
            roles=one.roles,
            menu=one.menu,
        )
        for one in chosen
    )


def kept_goal(x: Variables, kept: tuple[Kept, ...]) -> Goal:
    """sum(worth * parts of the placements before that stay at their position in their pass)."""
    terms: list[Any] = []
    most = 0
    for (pass_id, position), here in _by_place(kept).items():
        slots = [slot for slot in x.slots_in(pass_id) if slot.spot.position.id == position]
        for worth, wanted, name in _parts(here):
            for part, number in wanted.items():
                most += worth * number
                found = [var for slot in slots for var in _matching(slot, name, part)]
                if found:
                    limit = min(number, len(found))
                    stays = x.model.new_int_var(
                        0, limit, f"stays {name} {part}[{pass_id},{position}]"
                    )
                    x.model.add(stays <= total(found))
                    terms.append(worth * stays)
    return Goal(KEPT, total(terms), {}, most=most)


def slots_as_before(slots: Sequence[Slot], kept: tuple[Kept, ...]) -> dict[int, list[IntVar]]:
    """Return the decisions by which slots, by their place, are what they were; placements that are
    not possible any more leave theirs to the next one at the position.
    """
    return {number: chosen for number, (_, chosen) in kept_slots(slots, kept).items()}


def kept_slots(
    slots: Sequence[Slot], kept: tuple[Kept, ...]
) -> dict[int, tuple[Kept, list[IntVar]]]:
    """Return the same with the placement that each of these slots was."""
    found: dict[int, tuple[Kept, list[IntVar]]] = {}
    for key, here in _by_place(kept).items():
        free = [number for number, slot in enumerate(slots) if slot.spot.key == key]
        for placement in here:
            if free and (chosen := as_it_was(slots[free[0]], placement)):
                found[free.pop(0)] = placement, chosen
    return found


def as_before(
    x: Variables, model: cp_model.CpModel, kept: tuple[Kept, ...], limits: Limits
) -> Answer | None:
    """Return the plan before as an answer, as far as it still exists; None where what is left of it
    does not hold by itself.
    """
    found = slots_as_before(x.slots, kept).values()
    chosen = {var.index for own in found for var in own}
    return settle(with_placements(model, x.slots, lambda var: int(var.index in chosen)), limits)


def words_goal(x: Variables, kept: tuple[Kept, ...]) -> Goal:
    """How many roles and further shots of the placements before stay with their place; where that
    is equal, as few further shots as can be that were not there.
    """
    found: list[IntVar] = []
    fresh: list[IntVar] = []
    for (pass_id, position), here in _by_place(kept).items():
        slots = [slot for slot in x.slots_in(pass_id) if slot.spot.position.id == position]
        for slot, placement in zip(slots, here, strict=False):
            found += [slot.roles[role] for role in placement.roles if role in slot.roles]
            for framing, var in slot.menu.items():
                (found if framing in placement.menu else fresh).append(var)
    weight = len(fresh) + 1
    return Goal(WORDS, weight * total(found) - total(fresh), {}, most=weight * len(found))


def _by_place(kept: tuple[Kept, ...]) -> dict[tuple[str, str], list[Kept]]:
    found: dict[tuple[str, str], list[Kept]] = {}
    for each in kept:
        found.setdefault((each.pass_id, each.position), []).append(each)
    return found


def _parts(here: list[Kept]) -> tuple[tuple[int, Counter[Any], str], ...]:
    return (
        (CAMERA, Counter(each.camera for each in here), "camera"),
        (STAND, Counter(each.stand for each in here), "stand"),
        (OPERATOR, Counter(each.operator for each in here if each.operator), "operator"),
        (SHOT, Counter((each.subject, each.size) for each in here), "shot"),
    )


def _matching(slot: Slot, name: str, part: Any) -> list[IntVar]:
    """The decisions of a slot that keep a part."""
    match name:
        case "camera":
            return [var for camera, var in slot.camera_items() if camera.items == part]
        case "stand":
            return [var for stand, var in slot.stand_items() if stand.items == part]
        case "operator":
            return [slot.operators[part]] if part in slot.operators else []
        case _:
            return [
                var for _, view, var in slot.shot_items() if (view.subject.id, view.size) == part
            ]


def as_it_was(slot: Slot, before: Kept) -> list[IntVar]:
    """The decisions by which a slot is what it was; nothing where its camera or stand is gone."""
    place = slot.spot.position
    columns = [
        column
        for column, (camera, _) in enumerate(slot.camera_items())
        if camera.items == before.camera and camera.mode.name == before.mode
    ]
    stands = [(stand, var) for stand, var in slot.stand_items() if stand.items == before.stand]
    operators = _matching(slot, "operator", before.operator) if before.operator else []
    if not columns or not stands or (before.operator and not operators):
        return []
    (column, *_), ((stand, stand_var), *_) = columns, stands
    manner = "operated" if before.operator else "locked-off"
    shots = [
        var
        for c, view, var in slot.shot_items()
        if (view.subject.id, view.size) == (before.subject, before.size)
        and c.manner == manner
        and column in slot.cameras_of_class[c]
        and support_row(stand, place) in c.stand_rows
    ]
    if not shots:
        return []
    return [slot.is_used, slot.cameras[column], stand_var, shots[0], *operators]
