"""Other figures: the audience, empty seats, and people from above."""

from __future__ import annotations

from kitplan.paper.drawings.figures import Part, Shade
from kitplan.paper.drawings.outlines import limb, oval


def onlooker(top_m: float) -> list[Part]:
    """Return somebody of the audience: head and shoulders under `top_m`."""
    shoulders = (
        (-0.23, top_m - 0.62),
        (-0.235, top_m - 0.38),
        (-0.19, top_m - 0.30),
        (-0.07, top_m - 0.25),
        (0.07, top_m - 0.25),
        (0.19, top_m - 0.30),
        (0.235, top_m - 0.38),
        (0.23, top_m - 0.62),
    )
    head = oval((0.0, top_m - 0.125), 0.088, 0.125)
    return [Part(shoulders, "top"), Part(head, "top")]


def seat(top_m: float) -> list[Part]:
    """Return the back of an empty seat under `top_m`."""
    low, cut = top_m - 0.45, 0.07
    ring = (
        (-0.24, low),
        (-0.24, top_m - cut),
        (-0.24 + cut, top_m),
        (0.24 - cut, top_m),
        (0.24, top_m - cut),
        (0.24, low),
    )
    return [Part(ring, "skin")]


Solid = tuple[tuple[tuple[float, float, float], ...], Shade]


def from_above(posture: str, stature_m: float, head_top_m: float) -> list[Solid]:
    """Return somebody from above as level rings (x, y, z from the feet), facing the house."""
    lift = head_top_m - stature_m
    shoulder = stature_m * 0.82 + lift
    wide = stature_m * 0.135
    rings: list[Solid] = []
    for way in (-1, 1):
        if posture == "seated":
            thigh = limb((way * 0.08, 0.0), (way * 0.1, -0.42), 0.08, 0.06)
            rings.append((tuple((x, y, stature_m * 0.47 + lift) for x, y in thigh), "legs"))
        else:
            shoe = limb((way * 0.09, 0.03), (way * 0.1, -0.16), 0.045, 0.04)
            rings.append((tuple((x, y, 0.04) for x, y in shoe), "legs"))
        if posture == "dancer":
            arm = limb((way * wide, 0.0), (way * wide * 2.0, -0.12), 0.05, 0.035)
            rings.append((tuple((x, y, head_top_m) for x, y in arm), "top"))
    trunk = oval((0.0, 0.0), wide, stature_m * 0.075)
    rings.append((tuple((x, y, shoulder) for x, y in trunk), "top"))
    nose = ((-0.025, -0.09), (0.0, -0.135), (0.025, -0.09))
    rings.append((tuple((x, y, head_top_m - 0.1) for x, y in nose), "skin"))
    rings.append((tuple((x, y, head_top_m) for x, y in oval((0.0, -0.01), 0.08, 0.1)), "hair"))
    return rings
