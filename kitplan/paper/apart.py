"""How far two angles are apart, in words and as data.

What is over a threshold is rounded down, what is short of it rounded up.
"""

from __future__ import annotations

from math import ceil, floor
from typing import Any

from kitplan.paper.layout import counted
from kitplan.plan.records import Placement
from kitplan.whatif.pairs import Angle, Cut, Margin, Pair

_TINY = 1e-6


def down(degrees: float) -> int:
    """Return whole degrees, rounded down; a hair below a whole one is that."""
    return floor(degrees + _TINY)


def up(degrees: float) -> int:
    """Return whole degrees, rounded up; a hair above a whole one is that."""
    return ceil(degrees - _TINY)


def viewpoint_words(pair: Pair) -> str:
    """Return whether two placements are one viewpoint and by how much."""
    if pair.is_alike:
        return f"alike: {_short(pair.margin)}"
    return f"distinct {_by(pair.margin)}"


def cut_words(cut: Cut) -> str:
    """Return whether two shots of one subject cut together and by how much."""
    if not cut.is_cuttable:
        return f"jump cut: {_short(cut.margin)}"
    if cut.is_clear:
        if cut.over_clear_deg > -_TINY:
            return f"clearly, by {_degrees(down(cut.over_clear_deg))}"
        return f"clearly, by {_degrees(down(cut.clear_with_size.over_deg))} and the size"
    short_deg = -cut.over_clear_deg
    if cut.clear_with_size.factor > 1 - _TINY:  # the size would do, with fewer degrees
        short_deg = -cut.clear_with_size.over_deg
    return f"cuts {_by(cut.margin)}, not clearly: {_degrees(up(short_deg))} short"


def _by(margin: Margin) -> str:
    if margin.angle_ratio >= margin.factor:
        return f"by {_degrees(down(margin.over_deg))}"
    words = factor_words(margin.factor)
    return "by a hair" if words == "1.00" else f"by a factor {words}"


def _short(margin: Margin) -> str:
    degrees = _degrees(up(-margin.over_deg))
    return f"{degrees} short, or a factor {factor_words(1 / margin.factor, is_up=True)} short"


def _degrees(whole: int) -> str:
    return "less than 1 degree" if whole < 1 else counted(whole, "degree")


def factor_words(number: float, *, is_up: bool = False) -> str:
    """Return a factor with one decimal, near 1 with two; rounded down unless asked."""
    step = 100 if number < 1.1 else 10
    whole = up(number * step) if is_up else down(number * step)
    return f"{whole / step:.{2 if step == 100 else 1}f}"


# -- data ------------------------------------------------------------------------------------------


def key_record(placement: Placement) -> dict[str, str]:
    """Return what names a placement."""
    return {"pass": placement.pass_id, "camera": placement.letter}


def angle_record(angle: Angle) -> dict[str, Any]:
    """Return an angle as plain data."""
    placement, view = angle.placement, angle.view
    return {
        **key_record(placement),
        "position": placement.position,
        "manner": placement.manner,
        "subject": view.subject.id,
        "size": view.size,
        "frame_m": view.frame.frame_m,
        "lens_at_m": view.lens_at_m,
        "aim_m": view.aim_m,
        "is_counted": placement.is_counted,
        "is_safety": angle.is_safety,
        "is_upstage_reverse": angle.is_reverse,
    }


def pair_record(pair: Pair) -> dict[str, Any]:
    """Return a pair as plain data, the words beside the figures."""
    return {
        "angles": [key_record(angle.placement) for angle in pair.angles],
        "apart_deg": pair.apart_deg,
        "at_stage_deg": pair.at_stage_deg,
        "size_factor": pair.factor,
        "size_steps": pair.steps,
        "is_alike": pair.is_alike,
        "margin": _margin_record(pair.margin),
        "viewpoints": viewpoint_words(pair),
        "is_across_the_line": pair.is_across,
        "cut": None if pair.cut is None else _cut_record(pair.cut),
    }


def _cut_record(cut: Cut) -> dict[str, Any]:
    return {
        "subject": cut.subject.id,
        "seen_deg": cut.seen._asdict(),
        "is_cuttable": cut.is_cuttable,
        "margin": _margin_record(cut.margin),
        "is_clear": cut.is_clear,
        "over_clear_deg": cut.over_clear_deg,
        "clear_with_size": _margin_record(cut.clear_with_size),
        "words": cut_words(cut),
    }


def _margin_record(margin: Margin) -> dict[str, float]:
    return {"over_deg": margin.over_deg, "factor": margin.factor}
