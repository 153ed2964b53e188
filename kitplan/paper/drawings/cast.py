"""Who performs where: the places of single figures, the same on floor plans and in frames."""

from __future__ import annotations

from kitplan.paper.drawings.rows import Outline, is_inside, rows_in
from kitplan.shoot.records import Shoot
from kitplan.shoot.scenery import outline_of, place_of
from kitplan.shoot.venue import Subject

Point = tuple[float, float]
GROUP_ACROSS_M, GROUP_DEEP_M = 0.95, 1.1
"""How close the people of a group are drawn. No source: a picture, not a count."""
MOST_FIGURES = 120


def performing(shoot: Shoot) -> tuple[Subject, ...]:
    """Return subjects with a place of their own: not the stage, not the audience."""
    return tuple(s for s in shoot.subjects if s.kind in ("person", "object", "group"))


def cast_of(shoot: Shoot, across_m: float = 0.0, deep_m: float = 0.0) -> dict[str, list[Point]]:
    """Return where the figures of each subject stand, by subject id.

    Persons and objects stand at their place. A group fills its outline with rows, clear of those
    and of smaller groups, so that nobody is drawn twice who belongs to several.

    Args:
        across_m, deep_m: Least distances in a row and of rows, where they have to be larger.
    """
    across_m, deep_m = max(across_m, GROUP_ACROSS_M), max(deep_m, GROUP_DEEP_M)
    subjects = performing(shoot)
    found = {s.id: [place_of(shoot, s)] for s in subjects if s.kind != "group"}
    taken = [place for places in found.values() for place in places]
    smaller: list[Outline] = []
    for subject in sorted(
        (s for s in subjects if s.kind == "group"), key=lambda s: _area(shoot, s)
    ):
        outline = outline_of(shoot, subject)
        if subject.at_m is not None or outline is None:
            places = _line(subject, place_of(shoot, subject), across_m)
        else:
            places = rows_in(outline, across_m, deep_m, most=MOST_FIGURES)
            places = [p for p in places if not any(is_inside(ring, p) for ring in smaller)]
            smaller.append(outline)
        apart_m = across_m * 0.8
        found[subject.id] = [p for p in places if not any(is_near(p, q, apart_m) for q in taken)]
        taken += found[subject.id]
    return found


def is_near(place: Point, other: Point, apart_m: float) -> bool:
    """Return whether two places are nearer than that."""
    return (place[0] - other[0]) ** 2 + (place[1] - other[1]) ** 2 < apart_m**2


def _line(subject: Subject, at_m: Point, across_m: float) -> list[Point]:
    """A group without an outline: people beside each other, as wide as the group."""
    number = max(int(subject.width_m / across_m), 1)
    return [(at_m[0] + (n - (number - 1) / 2) * across_m, at_m[1]) for n in range(number)]


def _area(shoot: Shoot, subject: Subject) -> float:
    """Area of the box around a group's outline, in square metres."""
    outline = outline_of(shoot, subject)
    if subject.at_m is not None or outline is None:
        return 0.0
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return (max(xs) - min(xs)) * (max(ys) - min(ys))
