"""What a subject is: where it stands, how high and wide it is, what it belongs to.

Venue axes in metres (x house right, y upstage, z up).
"""

from __future__ import annotations

from kitplan.plan.verify.scene import Scene
from kitplan.shoot.venue import Subject
from kitplan.tables import table

AREAL = ("group", "stage", "audience")
PERFORMING = ("person", "object", "group")
Point = tuple[float, float]
Outline = tuple[Point, ...]


def floor_of(scene: Scene, subject: Subject) -> float:
    """Return the height in m of what a subject stands on, over the house floor."""
    if subject.floor_height_m is not None:
        return subject.floor_height_m
    return 0.0 if subject.kind == "audience" else scene.shoot.venue.stage.height_m


def figure_m(subject: Subject) -> float:
    """Return the height in m of the whole figure as it may be in the shot."""
    return subject.height_m or float(table("shot_sizes")["figure_m"][subject.posture])


def stature_m(subject: Subject) -> float:
    """Return the stature in m, whatever the posture: a face is as large on a chair as standing."""
    if subject.height_m and subject.posture not in ("seated", "dancer"):
        return subject.height_m
    figures = table("shot_sizes")["figure_m"]
    return float(figures["child" if subject.posture == "child" else "standing"])


def body_m(subject: Subject) -> float:
    """Return up to which height in m there is a body to see: of a person no more than stature."""
    figure = figure_m(subject)
    return min(figure, stature_m(subject)) if subject.kind == "person" else figure


def outline_of(scene: Scene, subject: Subject) -> Outline | None:
    """Return the outline of a subject, its own or that of stage or audience; None without one."""
    if subject.outline_m is not None:
        return subject.outline_m
    if subject.at_m is not None or subject.kind not in AREAL:
        return None
    venue = scene.shoot.venue
    if subject.kind == "audience" and venue.audience:
        return venue.audience[0].outline_m
    return venue.stage.outline_m


def place_of(scene: Scene, subject: Subject) -> Point:
    """Return where a subject is in plan: where it says it stands, or else in the middle of it."""
    return subject.at_m or middle_of(
        outline_of(scene, subject) or scene.shoot.venue.stage.outline_m
    )


def middle_of(outline: Outline) -> Point:
    """Return the middle of the bounding box of an outline."""
    xs, ys = zip(*outline, strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def belong_together(scene: Scene, one: Subject, other: Subject) -> bool:
    """Return whether one subject is part of the other, at any depth."""
    return one.id in _wholes(scene, other) or other.id in _wholes(scene, one)


def _wholes(scene: Scene, subject: Subject) -> set[str]:
    """Ids of all that a subject is part of; a circle of parts ends where it began."""
    found: set[str] = set()
    part_of = subject.part_of
    while part_of is not None and part_of not in found:
        found.add(part_of)
        whole = scene.shoot.subjects_by_id.get(part_of)
        part_of = None if whole is None else whole.part_of
    return found
