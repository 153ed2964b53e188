"""How tall the frame of each shot size is, for persons, objects, groups, the stage.

Reads shared/shot_sizes.yaml. Returns frame heights in metres on the subject, untilted.
"""

from __future__ import annotations

from typing import NamedTuple

from kitplan.shoot.venue import Subject
from kitplan.tables import table

LADDER = ("ECU", "CU", "MCU", "MS", "MLS", "FS", "WS", "EWS")
"""Shot sizes, tightest first."""
AREAL = frozenset({"group", "stage", "audience"})


class FrameRange(NamedTuple):
    """Frame heights in metres: planned, and the least and most that still carry the name."""

    frame_m: float
    least_m: float
    most_m: float

    def scaled(self, factor: float) -> FrameRange:
        """Return all three multiplied by a factor."""
        return FrameRange(self.frame_m * factor, self.least_m * factor, self.most_m * factor)


def sizes_for(subject: Subject) -> tuple[str, ...]:
    """Return the shot sizes that exist for a subject, tightest first, consent included."""
    table_name = "group" if subject.kind in AREAL else subject.kind
    known = (*table("shot_sizes")[table_name], *subject.frames_m)
    ladder = tuple(size for size in LADDER if size in known)
    if subject.closest is None:
        return ladder
    return tuple(s for s in ladder if LADDER.index(s) >= LADDER.index(subject.closest))


def height_m(subject: Subject) -> float:
    """Return how high a subject reaches over what it stands on."""
    if subject.height_m is not None:
        return subject.height_m
    return float(table("shot_sizes")["figure_m"][subject.posture])


def body_m(subject: Subject) -> float:
    """Return the stature of a person for the sizes cut through the body, in metres.

    Sitting down or raising the arms changes the whole figure, not the size of a face.
    """
    if subject.height_m is not None and subject.posture in ("standing", "child"):
        return subject.height_m
    sizes = table("shot_sizes")
    return float(sizes["figure_m"]["child" if subject.posture == "child" else "standing"])


def is_tight_enough(size: str, wanted: str) -> bool:
    """Whether a size is at least as tight as the wanted one."""
    return LADDER.index(size) <= LADDER.index(wanted)


def frame_range(subject: Subject, size: str, width_seen_m: float, aspect: float) -> FrameRange:
    """Return the frame heights of a shot size on a subject.

    Args:
        width_seen_m: Width of the subject square to the line of sight, in metres.
        aspect: Width over height of the delivered picture.
    """
    if size in subject.frames_m:
        planned = subject.frames_m[size]
        return FrameRange(planned, planned / 1.2, planned * 1.2)
    sizes = table("shot_sizes")
    if subject.kind in AREAL or subject.kind == "object":
        extent = max(height_m(subject), width_seen_m / aspect)
        row = sizes["object" if subject.kind == "object" else "group"][size]
        return FrameRange(row["of_extent"], row["least"], row["most"]).scaled(extent)
    row = sizes["person"][size]
    found = FrameRange(row["frame_m"], row["least_m"], row["most_m"])
    if LADDER.index(size) < LADDER.index(sizes["whole_figure_from"]):
        return found.scaled(body_m(subject) / sizes["adult_m"])
    grown = found.scaled(height_m(subject) / sizes["adult_m"])
    # A trombone slide or a row of drums needs width as well: never narrower than the subject.
    too_narrow = subject.width_m / (grown.least_m * aspect)
    return grown.scaled(too_narrow) if too_narrow > 1 else grown
