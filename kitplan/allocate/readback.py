"""From the solver's answer to what was chosen, still in items: no solver types leave this room."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from ortools.sat.python import cp_model

from kitplan.allocate.answer import Answer
from kitplan.allocate.variables import ShotClass, Slot, Variables
from kitplan.options.cameras import Camera
from kitplan.options.spots import Spot
from kitplan.options.stands import Stand
from kitplan.options.views import View
from kitplan.shoot.past import Stood


@dataclass(frozen=True)
class Chosen:
    """A placement in items: which camera, stand, operator, shot."""

    spot: Spot
    row: int
    column: int
    """Places of the view and the camera in the spot."""
    stand: Stand
    operator: str | None
    roles: tuple[str, ...]
    menu: tuple[tuple[str, str], ...]
    is_counted: bool
    cards: tuple[str, int]
    """Media item and how many of it."""
    stood: Stood | None = None
    """What it was, where its pass is over."""

    @property
    def camera(self) -> Camera:
        """Its camera."""
        return self.spot.cameras[self.column]

    @property
    def view(self) -> View:
        """Its main shot's view."""
        return self.spot.views[self.row]

    @property
    def items(self) -> tuple[str, ...]:
        """Ids of the items of its rig."""
        return (*self.camera.items, *self.stand.items)


def read_back(x: Variables, answer: Answer) -> tuple[Chosen, ...]:
    """Return every placement of an answer, by pass and position."""
    cards_left = Counter({key: answer.value(var) for key, var in x.cards.items()})
    chosen = []
    for slot in x.slots:
        if answer.value(slot.is_used):
            column = _picked(answer, slot.cameras)
            choice = slot.spot.endurance[column].card_choice
            item, number = next(
                (item, number)
                for item, number in choice
                if cards_left[slot.spot.each.id, choice, item] > 0
            )
            cards_left[slot.spot.each.id, choice, item] -= 1
            chosen.append(_chosen(slot, answer, column, (item, number)))
    return tuple(chosen)


def _picked(answer: Answer, variables: tuple[cp_model.IntVar, ...]) -> int:
    return next(n for n, var in enumerate(variables) if answer.value(var))


def _chosen(slot: Slot, answer: Answer, column: int, cards: tuple[str, int]) -> Chosen:
    shot: ShotClass = next(c for c, var in slot.shots.items() if answer.value(var))
    view = slot.spot.views[shot.view]
    main = (view.subject.id, view.size)
    return Chosen(
        spot=slot.spot,
        row=shot.view,
        column=column,
        stand=slot.spot.stands[_picked(answer, slot.stands)],
        operator=next((p for p, var in slot.operators.items() if answer.value(var)), None),
        roles=tuple(role for role, var in slot.roles.items() if answer.value(var)),
        menu=tuple(f for f, var in slot.menu.items() if answer.value(var) and f != main),
        is_counted=any(answer.value(var) for var in slot.counted.values()),
        cards=cards,
        stood=slot.stood,
    )
