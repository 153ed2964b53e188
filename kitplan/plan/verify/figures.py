"""The figures of a shot as the plan states them, against those derived from the input."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, isclose, isfinite

from kitplan.plan.records import Shot
from kitplan.plan.verify.background import flagged_in, has_lamp, seats_in, wings_in
from kitplan.plan.verify.findings import Fault
from kitplan.plan.verify.marks import marks_of, picture, seen, steady_share_of
from kitplan.plan.verify.picture import Picture, bands_at
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.seen import hidden_in
from kitplan.plan.verify.setups import Setup
from kitplan.plan.verify.sight import View

RELATIVE, ABSOLUTE = 1e-6, 1e-9
"""Largest difference between two ways to compute a figure: a share of it, and at zero."""
SHARE = 1e-6
"""Largest difference of a share of the frame or of the target."""
BAND_SLACK_DEG = 1e-6


def figure_faults(scene: Scene, setup: Setup, shot: Shot) -> Iterator[Fault]:
    """Yield every figure of a shot that differs from the derived one; slugs are figure-<name>."""
    view, found, marks = seen(scene, setup), picture(scene, setup), marks_of(scene, setup)
    if view is None or found is None or marks is None:
        return  # there is no such shot, which the rules of the placement say
    for name, derived in _figures(scene, view, found).items():
        stated: float = getattr(shot, name)
        if not isclose(stated, derived, rel_tol=RELATIVE, abs_tol=ABSOLUTE):
            yield _figure(name, f"{stated:.6g}", f"{derived:.6g}")
    far = inf if shot.far_m is None else shot.far_m
    if not _is_same_far(far, found.sharp_to_m):
        yield _figure("far_m", f"{far:.6g}", f"{found.sharp_to_m:.6g}")
    for name, number in (("grade", marks.grade), ("marks", marks.total)):
        if getattr(shot, name) != number:
            yield _figure(name, str(getattr(shot, name)), str(number))
    bands = bands_at(found.view_deg, BAND_SLACK_DEG)
    if shot.band not in bands:
        yield _figure("band", shot.band, " or ".join(sorted(bands)))
    yield from _seen_faults(scene, setup, view, found, shot)


def _seen_faults(
    scene: Scene, setup: Setup, view: View, found: Picture, shot: Shot
) -> Iterator[Fault]:
    """Figures of what a view sees."""
    each, hidden = setup.each, hidden_in(scene, setup.each, view)
    shares = {
        "steady_share": steady_share_of(scene, setup, found),
        "hidden": hidden.share,
        "hidden_arms": hidden.with_arms_up,
        "seats": seats_in(scene, each, view).share,
        "wings": wings_in(scene, view),
    }
    for name, derived in shares.items():
        stated: float = getattr(shot, name)
        if not isclose(stated, derived, rel_tol=0, abs_tol=SHARE):
            yield _figure(name, f"{stated:.6g}", f"{derived:.6g}")
    looks_into = has_lamp(scene, each, view)
    if shot.has_lamp != looks_into:
        yield _figure("has_lamp", str(shot.has_lamp), str(looks_into))
    flagged = flagged_in(scene, view)
    if sorted(shot.unconsenting) != sorted(flagged):
        names = [", ".join(ids) or "nobody" for ids in (shot.unconsenting, flagged)]
        yield _figure("unconsenting", *names)


def _figures(scene: Scene, view: View, found: Picture) -> dict[str, float]:
    return {
        "distance_m": view.distance_m,
        "frame_height_m": found.frame_m,
        "focal_mm": found.focal_mm,
        "view_deg": found.view_deg,
        "stop": found.stop,
        "iso": found.iso,
        "iso_bright": found.iso_bright,
        "nd_stops": found.nd_stops,
        "shutter_s": scene.shutter_s or 0.0,
        "focus_m": found.focus_m,
        "near_m": found.sharp_from_m,
    }


def _is_same_far(stated: float, derived: float) -> bool:
    """Compared as nearness (1/m), in which infinity is a number like any other."""
    if not (isfinite(stated) or stated == inf) or stated <= 0:
        return False
    return isclose(1 / stated, 1 / derived, rel_tol=RELATIVE, abs_tol=ABSOLUTE)


def _figure(name: str, stated: str, derived: str) -> Fault:
    slug = f"figure-{name.replace('_', '-')}"
    return Fault(slug, f"{name} is given as {stated}", f"It comes to {derived}")
