"""Placements apart from the decisions of one model, to be handed to another model of a brief.

Models may tell shots apart more or less finely, so that the numbers of their decisions differ; what
stands where does not.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.variables import ShotClass, Slot
from kitplan.options.steadiness import Manner, support_row


@dataclass(frozen=True)
class Placed:
    """What stands in a slot: places in the lists of its spot."""

    camera: int
    stand: int
    operator: str | None
    view: int
    manner: Manner


def read_placed(
    slots: Sequence[Slot], value_of: Callable[[IntVar], float]
) -> tuple[Placed | None, ...]:
    """Return what an answer puts into each slot; None where it is empty."""
    return tuple(
        _placed(slot, value_of) if round(value_of(slot.is_used)) else None for slot in slots
    )


def _placed(slot: Slot, value_of: Callable[[IntVar], float]) -> Placed:
    def is_on(var: IntVar) -> bool:
        return round(value_of(var)) == 1

    shot = next(c for c, var in slot.shots.items() if is_on(var))
    return Placed(
        camera=next(place for place, var in enumerate(slot.cameras) if is_on(var)),
        stand=next(place for place, var in enumerate(slot.stands) if is_on(var)),
        operator=next((person for person, var in slot.operators.items() if is_on(var)), None),
        view=shot.view,
        manner=shot.manner,
    )


def decisions_of(slots: Sequence[Slot], placed: Sequence[Placed | None]) -> set[int] | None:
    """Return the numbers of the decisions that are 1 where this is placed; None where the model has
    no decision for some of it.
    """
    chosen: set[int] = set()
    for slot, here in zip(slots, placed, strict=True):
        if here is None:
            continue
        shot = _shot(slot, here)
        if shot is None or (here.operator and here.operator not in slot.operators):
            return None
        chosen.update(decisions_in(slot, shot, here.camera, here.stand, here.operator))
    return chosen


def decisions_in(
    slot: Slot, shot: ShotClass, camera: int, stand: int, operator: str | None
) -> list[int]:
    """Return the numbers of the decisions of a slot that are 1 for one placement in it."""
    own = [slot.is_used, slot.cameras[camera], slot.stands[stand], slot.shots[shot]]
    if operator is not None:
        own.append(slot.operators[operator])
    return [var.index for var in own]


def _shot(slot: Slot, here: Placed) -> ShotClass | None:
    row = support_row(slot.spot.stands[here.stand], slot.spot.position)
    return next(
        (
            c
            for c, cameras in slot.cameras_of_class.items()
            if (c.view, c.manner) == (here.view, here.manner)
            and here.camera in cameras
            and row in c.stand_rows
        ),
        None,
    )
