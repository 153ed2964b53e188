"""Every decision of the allocation, keyed by what it decides. Adds no rules.

Rules may add counts of their own (who minds whom, what stays), but nothing a plan is read from.

A slot is one of the places for a rig at a position in a pass. A shot is decided apart from the rig:
it implies one of the cameras that can take it in that class, instead of one decision for every
(rig, shot) pair. Items are decided, not units: like units would only mirror each other.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python import cp_model
from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.dominance import MANNERS, CameraMode, superfluous_cameras
from kitplan.gear.kit import Unit
from kitplan.options.cameras import Camera
from kitplan.options.shots import Shots
from kitplan.options.spots import Options, Spot
from kitplan.options.stands import Stand
from kitplan.options.steadiness import Manner, support_row
from kitplan.options.views import View
from kitplan.shoot.past import Stood

CardChoice = tuple[tuple[str, int], ...]
"""Media items that would do for a camera, and how many of each it takes."""
WaysToHold = list[tuple[list[IntVar], list[IntVar]]]
"""Cameras, and stands other than the ones that they have to be on."""
Given = dict[tuple[str, date], IntVar]
"""By unit id and day: the shoot has the unit that day, and not another one."""
Detail = Literal["viewpoints", "variety", "all"]
"""How far shots are told apart: as far as the goals down to this one can."""


def total(terms: Iterable[Any]) -> Any:
    """Return the sum of decisions and expressions at once; Python's own sum nests them deeply."""
    return cp_model.LinearExpr.sum(list(terms))


class ShotClass(NamedTuple):
    """Shots that the goals cannot tell apart: same view and manner, same marks."""

    view: int
    """Place of the view in the spot."""
    manner: Manner
    stand_rows: tuple[str, ...]
    """Kinds of stand on which the marks are the same; it needs one of them."""
    grade: int
    quality: int
    band: int
    is_narrow: bool


@dataclass(frozen=True)
class Slot:
    """One place for a rig at a position in a pass, and everything decided about it."""

    spot: Spot
    number: int
    is_used: IntVar
    cameras: tuple[IntVar, ...]
    stands: tuple[IntVar, ...]
    operators: dict[str, IntVar]
    """By person id."""
    shots: dict[ShotClass, IntVar]
    cameras_of_class: dict[ShotClass, tuple[int, ...]]
    """Places of the cameras that take a shot of this class."""
    roles: dict[str, IntVar]
    """By role id: the placement does the role."""
    menu: dict[tuple[str, str], IntVar]
    """By subject and size: a further shot that the operator is planned to hold."""
    counted: dict[tuple[int, Manner, int], IntVar]
    """By view, manner and grade: the shot is one of the counted viewpoints."""
    stood: Stood | None = None
    """What stood there, where the pass is over."""
    brings: bool = True
    """Whether it has got, or will get, what it is there for: only then its roles, its subjects and
    its band count."""

    @property
    def missed(self) -> tuple[str, ...]:
        """Ids of the songs that it has not got."""
        return () if self.stood is None else self.stood.missed

    @property
    def name(self) -> str:
        """Pass, position and number."""
        return f"{self.spot.each.id},{self.spot.position.id},{self.number}"

    @property
    def operated(self) -> Any:
        """1 if somebody operates."""
        return total(self.operators.values())

    @property
    def locked_off(self) -> Any:
        """1 if used with nobody on it."""
        return self.is_used - self.operated

    def shot_items(self) -> Iterator[tuple[ShotClass, View, IntVar]]:
        """Every shot with its view."""
        for shot_class, var in self.shots.items():
            yield shot_class, self.spot.views[shot_class.view], var

    def camera_items(self) -> Iterator[tuple[Camera, IntVar]]:
        """Every camera with its decision."""
        return zip(self.spot.cameras, self.cameras, strict=True)

    def stand_items(self) -> Iterator[tuple[Stand, IntVar]]:
        """Every stand with its decision."""
        return zip(self.spot.stands, self.stands, strict=True)

    def stands_of(self, stand_rows: Iterable[str]) -> list[IntVar]:
        """Stands of these kinds."""
        wanted, place = frozenset(stand_rows), self.spot.position
        return [var for stand, var in self.stand_items() if support_row(stand, place) in wanted]

    def ways_to_hold(self, *framings: Iterable[int]) -> Iterator[WaysToHold]:
        """Yield for each framing, which is some of the views, with what an operator can frame at
        least one of them: for each group of like stands the cameras on them, and the other stands,
        where that does not matter.
        """
        shots, every = self.spot.shots, self.stand_rows()
        groups = [
            (
                shots.possible_on(group[0], "operated"),
                self.stands_of([row for row in every if row not in group]),
            )
            for group in stand_groups(shots, "operated")
        ]
        for views in map(list, framings):
            possible = [(np.any(holds[views], axis=0), others) for holds, others in groups]
            yield [
                ([var for var, can in zip(self.cameras, holds, strict=True) if can], others)
                for holds, others in possible
            ]

    def stand_rows(self) -> tuple[str, ...]:
        """Kinds of stand there."""
        place = self.spot.position
        return tuple(sorted({support_row(stand, place) for stand in self.spot.stands}))


@dataclass(frozen=True)
class Variables:
    """All decisions of the allocation."""

    options: Options
    model: cp_model.CpModel
    slots: tuple[Slot, ...]
    viewpoints: dict[int, IntVar]
    """By place in `Options.views`: a placement with this view is counted."""
    cards: dict[tuple[str, CardChoice, str], IntVar]
    """By pass, what would do, and media item: how many cameras write to cards of that item."""

    given: Given = field(default_factory=dict)
    """Units that another shoot could have as well; see `pool`."""
    in_view: dict[tuple[str, str], Any] = field(default_factory=dict)
    """By pass and position: what others may show in its pictures (kept by `pictures`)."""
    on_offer: dict[str, Any] = field(default_factory=dict)
    """By song: counted viewpoints that the edit has of it (kept by the goal of the thinnest)."""

    def there(self, units: Iterable[Unit], day: date) -> Any:
        """Return how many of some units the shoot has on a day: a number, or an expression where
        some of them may go to another shoot.
        """
        decided = [self.given.get((unit.id, day)) for unit in units]
        shared = [var for var in decided if var is not None]
        own = len(decided) - len(shared)
        return own + total(shared) if shared else own

    def slots_in(self, pass_id: str) -> tuple[Slot, ...]:
        """Slots of one pass."""
        return tuple(slot for slot in self.slots if slot.spot.each.id == pass_id)

    def slots_by_spot(self) -> dict[tuple[str, str], tuple[Slot, ...]]:
        """Slots by pass and position."""
        found: dict[tuple[str, str], list[Slot]] = defaultdict(list)
        for slot in self.slots:
            found[slot.spot.key].append(slot)
        return {key: tuple(slots) for key, slots in found.items()}


def create_variables(
    options: Options,
    model: cp_model.CpModel,
    detail: Detail = "all",
    wanted: Set[CameraMode] = frozenset(),
    given: Given | None = None,
    only: Mapping[tuple[str, str], Set[int]] | None = None,
) -> Variables:
    """Return all decisions for a set of options, named after what they decide.

    Args:
        detail: The less, the fewer shots; goals after it cannot be asked for.
        wanted: Cameras that are not left out even where another one makes them superfluous, as
            those of passes that are over.
        given: Decisions whether the shoot has a unit on a day; without one it has.
        only: By key of the spots that anything may stand at, places of the cameras there; by
            default all of them but those that others make superfluous.
    """
    in_any_case = wanted | _stood_cameras(options)

    def left_out(spot: Spot) -> Set[int]:
        if only is None:
            return superfluous_cameras(spot, in_any_case)
        return frozenset(range(len(spot.cameras))) - only[spot.key]

    slots = tuple(
        _slot(options, model, spot, number, detail, left_out(spot))
        for spot in options.spots
        if spot.cameras and spot.stands and (only is None or spot.key in only)
        for number in range(spot.position.rigs)
    )
    seen = sorted({slot.spot.view_numbers[view] for slot in slots for view, _, _ in slot.counted})
    viewpoints = {
        n: model.new_bool_var(f"viewpoint[{','.join(options.views[n].key)}]") for n in seen
    }
    return Variables(options, model, slots, viewpoints, _card_choices(model, slots), given or {})


def _card_choices(
    model: cp_model.CpModel, slots: tuple[Slot, ...]
) -> dict[tuple[str, CardChoice, str], IntVar]:
    choices: dict[tuple[str, CardChoice, str], IntVar] = {}
    for slot in slots:
        for lasting in slot.spot.endurance:
            for item, number in lasting.card_choice:
                key = (slot.spot.each.id, lasting.card_choice, item)
                if key not in choices:
                    name = f"cards {item}x{number}[{slot.spot.each.id}]"
                    choices[key] = model.new_int_var(0, len(slots), name)
    return choices


def _stood_cameras(options: Options) -> Set[CameraMode]:
    """Cameras that stood in passes that are over."""
    item_of = {unit.id: unit.item for unit in options.brief.kit.units}
    return {
        (tuple(item_of[unit] for unit in (one.body, one.lens, one.adapter) if unit), one.mode)
        for one in options.brief.shoot.past.stood
    }


def _stood(options: Options, spot: Spot, number: int) -> Stood | None:
    """What stood in a slot of a pass that is over."""
    past = options.brief.shoot.past.stood_in(spot.each.id)
    here = [stood for stood in past if stood.position == spot.position.id]
    return here[number] if number < len(here) else None


def _slot(
    options: Options,
    model: cp_model.CpModel,
    spot: Spot,
    number: int,
    detail: Detail,
    left_out: Set[int],
) -> Slot:
    """Return what is decided about a place.

    Args:
        left_out: Places of the cameras that nothing is decided about.
    """
    name = f"{spot.each.id},{spot.position.id},{number}"
    stood = _stood(options, spot, number)

    def decide(what: str) -> IntVar:
        return model.new_bool_var(f"{what}[{name}]")

    classes = _shot_classes(spot, detail, left_out)
    seen = [spot.views[view] for view in {c.view for c in classes}]
    framings = {(view.subject.id, view.size) for view in seen}
    fits = [
        role
        for role in options.brief.roles
        if spot.each in options.brief.passes_of(role)
        and (role.positions is None or spot.position.id in role.positions)
        and any((role.subject, size) in framings for size in role.sizes)
        and (not role.is_safety or _is_clear_over_heads(options, spot))
    ]
    held = np.flatnonzero(spot.shots.possible("operated").any(axis=1)) if spot.people else ()
    counted = {(c.view, c.manner, c.grade) for c in classes if c.grade > 0}
    return Slot(
        spot=spot,
        number=number,
        is_used=decide("used"),
        cameras=tuple(
            model.new_int_var(0, int(place not in left_out), f"camera {camera.key}[{name}]")
            for place, camera in enumerate(spot.cameras)
        ),
        stands=tuple(decide(f"stand {stand.key}") for stand in spot.stands),
        operators={person.id: decide(f"operator {person.id}") for person in spot.people},
        shots={c: decide(f"shot {c}") for c in classes},
        cameras_of_class=classes,
        roles={role.id: decide(f"role {role.id}") for role in fits},
        menu={
            (spot.views[v].subject.id, spot.views[v].size): decide(f"menu {spot.views[v].key}")
            for v in held
        },
        counted={key: decide(f"counted {key}") for key in sorted(counted)},
        stood=stood,
        brings=stood is None or options.brief.brings(spot.each, stood.missed),
    )


def _is_clear_over_heads(options: Options, spot: Spot) -> bool:
    return options.lookout.is_clear_over_heads(spot.each, spot.position.lens_at_m)


def stand_groups(shots: Shots, manner: Manner) -> tuple[tuple[str, ...], ...]:
    """Return the kinds of stand that work in a manner, those that hold as still together."""
    groups: dict[bytes, list[str]] = defaultdict(list)
    for row in shots.stand_rows(manner):
        groups[shots.steady[row, manner].tobytes()].append(row)
    return tuple(tuple(rows) for rows in groups.values())


def _shot_classes(
    spot: Spot, detail: Detail, left_out: Set[int]
) -> dict[ShotClass, tuple[int, ...]]:
    """Return the classes of possible shots of a spot with the cameras in each."""
    has_band, has_marks = detail != "viewpoints", detail == "all"
    kept = np.array([place not in left_out for place in range(len(spot.cameras))], dtype=bool)
    found: dict[ShotClass, tuple[int, ...]] = {}
    for manner in MANNERS:
        if manner == "operated" and not spot.people:
            continue
        for rows in stand_groups(spot.shots, manner):
            marks = (
                spot.shots.grade(manner, rows[0]),
                spot.shots.quality(manner, rows[0]) * has_marks,
                spot.shots.band * has_band,
                spot.shots.is_narrow * has_marks,
            )
            possible = spot.shots.possible_on(rows[0], manner) & kept
            for (view, grade, quality, own_band, is_narrow), columns in _alike(possible, marks):
                key = ShotClass(view, manner, rows, grade, quality, own_band, bool(is_narrow))
                found[key] = columns
    return dict(sorted(found.items()))


def _alike(
    possible: NDArray[np.bool_], marks: Sequence[NDArray[Any]]
) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Yield the row and the marks of pairs that are possible and alike in both, with the columns of
    these pairs.
    """
    rows, columns = np.nonzero(possible)
    keys = np.stack([rows, *(mark[rows, columns] for mark in marks)])
    order = np.lexsort((columns, *keys[::-1]))
    keys, columns = keys[:, order], columns[order]
    starts = np.flatnonzero(np.any(keys[:, 1:] != keys[:, :-1], axis=0)) + 1
    ends = [0, *starts.tolist(), len(columns)]
    for start, end in pairwise(ends):
        if start < end:
            yield tuple(keys[:, start].tolist()), tuple(columns[start:end].tolist())
