"""Shot quality, counted as lost marks."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.goals.goal import FULL_MARKS, Goal
from kitplan.allocate.pictures import InView, in_view
from kitplan.allocate.variables import Variables, total
from kitplan.options.crowding import REFUSED
from kitplan.options.likeness import Likeness
from kitplan.options.views import units_and_frames
from kitplan.stage.angles import clearly_distinct

Flags = NDArray[np.bool_]
Ints = NDArray[np.int64]
MARKS_PER_SHOT = 18
"""Light, focus, framing fit, steadiness, sight and background, three marks each."""


def quality(x: Variables) -> Goal:
    """Lost marks: 18 less the marks of each shot, 3 for a narrow view in unskilled hands, 1 for a
    counted viewpoint that is not clearly distinct from another, 3 less the reliability of each
    body on the safety shot, 1 or 2 for each rig or operator in another's main shot.
    """
    shots = total(
        (MARKS_PER_SHOT - c.quality) * var for slot in x.slots for c, var in slot.shots.items()
    )
    operator = total(FULL_MARKS * var for var in _narrow_in_unskilled_hands(x))
    distinct = total(_not_clearly_distinct(x))
    safety = total(_unreliable_safety(x))
    crowded = total(_others_in_picture(x))
    parts = {
        "shots": shots,
        "operators": operator,
        "not clearly distinct": distinct,
        "safety": safety,
        "others in picture": crowded,
    }
    lost = shots + operator + distinct + safety + crowded
    return Goal("quality", -lost, parts, most=0)


def _others_in_picture(x: Variables) -> list[IntVar]:
    """For each slot and each other of its pass the level at which it is in the main shot: for each
    level l, lost >= l * (sum(shots that see it at l or more) + shows it - 1).
    """
    lost = []
    for slot in x.slots:
        by_other: dict[str, list[InView]] = defaultdict(list)
        for each in in_view(x, slot):
            by_other[each.other.name].append(each)
        shots = list(slot.shots.values())
        views = np.array([c.view for c in slot.shots], dtype=np.int64)
        for name, found in by_other.items():
            var = x.model.new_int_var(0, REFUSED - 1, f"in picture[{slot.name};{name}]")
            has_rows = False
            for each in found:
                levels = np.zeros(len(slot.spot.views), dtype=np.int64)
                levels[list(each.levels)] = list(each.levels.values())
                levels = levels[views]
                for level in range(1, REFUSED):
                    seeing = np.flatnonzero((level <= levels) & (levels < REFUSED)).tolist()
                    if seeing:
                        has_rows = True
                        sees = total(shots[place] for place in seeing)
                        x.model.add(var >= level * (sees + total(each.showing) - 1))
            if has_rows:
                lost.append(var)
    return lost


def _narrow_in_unskilled_hands(x: Variables) -> list[IntVar]:
    crew = x.options.brief.shoot.crew_by_id
    lost = []
    for slot in x.slots:
        narrow = [v for c, v in slot.shots.items() if c.is_narrow and c.manner == "operated"]
        unskilled = [v for person, v in slot.operators.items() if not crew[person].is_skilled]
        if narrow and unskilled:
            var = x.model.new_bool_var(f"narrow and unskilled[{slot.name}]")
            x.model.add(var >= total(narrow) + total(unskilled) - 1)
            lost.append(var)
    return lost


def _not_clearly_distinct(x: Variables) -> list[IntVar]:
    numbers = sorted(x.viewpoints)
    if not numbers:
        return []
    rules = x.options.brief.shoot.rules
    views = tuple(x.options.views[n] for n in numbers)
    units, frames_m = units_and_frames(views)
    clear = clearly_distinct(
        units,
        frames_m,
        rules.clear_angle_deg,
        rules.clear_angle_with_size_deg,
        rules.clear_size_factor,
    )
    likeness = x.options.likeness(numbers)
    lost = []
    for row, groups in enumerate(_close_cliques(~clear & ~likeness.same, likeness)):
        number = numbers[row]
        var = x.model.new_bool_var(f"not clear[{','.join(x.options.views[number].key)}]")
        for group in groups:
            near = total(x.viewpoints[numbers[column]] for column in group)
            x.model.add(var >= x.viewpoints[number] + near - 1)
        lost.append(var)
    return lost


def _close_cliques(close: Flags, likeness: Likeness) -> list[list[Ints]]:
    """For each view the views close to it, in groups of which at most one is counted.

    One row per group of alike views instead of one per view: fewer rows, and tighter.
    """
    parts = _clique_partition(likeness)
    return [[shared for part in parts if len(shared := part[row[part]])] for row in close]


def _clique_partition(likeness: Likeness) -> list[Ints]:
    """Split the views into groups of mutually alike ones, the largest first."""
    same, cover = likeness.same, likeness.cliques
    cliques = np.zeros((len(cover), len(same)), dtype=np.bool_)
    for number, clique in enumerate(cover):
        cliques[number, list(clique)] = True
    left = np.ones(len(same), dtype=np.bool_)
    parts: list[Ints] = []
    while len(cliques) and (sizes := (cliques & left).sum(axis=1)).max() > 1:
        part = np.flatnonzero(cliques[int(sizes.argmax())] & left)
        parts.append(part)
        left[part] = False
    parts.extend(np.flatnonzero(left)[:, None])
    return parts


def _unreliable_safety(x: Variables) -> list[Any]:
    roles = {role.id for role in x.options.brief.roles if role.is_safety}
    lost = []
    for slot in x.slots:
        for role_id in roles & slot.roles.keys():
            marks = x.model.new_int_var(0, FULL_MARKS, f"safety marks lost[{slot.name}]")
            missing = total(
                (FULL_MARKS - lasting.reliability) * var
                for var, lasting in zip(slot.cameras, slot.spot.endurance, strict=True)
            )
            x.model.add(marks >= missing - FULL_MARKS * (1 - slot.roles[role_id]))
            lost.append(marks)
    return lost
