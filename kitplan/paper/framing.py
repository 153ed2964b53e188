"""The answer to `kitplan frame` as text."""

from __future__ import annotations

from kitplan.paper.layout import paragraph
from kitplan.paper.marks import LEAST_ND_STOPS, iso_setting
from kitplan.whatif.framing import Depth, Exposure, Framed, Question

LABEL_WIDTH = 15


def framing(question: Question, answer: Framed) -> str:
    """Return what fits, how deep it is and what the light asks for, one line each."""
    width_mm, height_mm = answer.active_mm
    width_m, height_m = answer.frame_m
    across, up = answer.view_deg
    lines = [
        ("Lens", f"{answer.focal_mm:.3g} mm at {question.distance_m:g} m"),
        ("Sensor in use", f"{width_mm:.2f} x {height_mm:.2f} mm"),
        ("Frame", f"{width_m:.2f} m wide, {height_m:.2f} m high at that distance"),
        ("Angle of view", f"{across:.1f} degrees across, {up:.1f} up"),
        ("Shot size", _size(question, answer)),
        ("Shutter", answer.shutter_words),
    ]
    lines += _depth(answer.depth)
    lines += _exposure(question, answer.exposure)
    return "\n".join(_line(label, words) for label, words in lines)


def _line(label: str, words: str) -> str:
    return paragraph(words, " " * LABEL_WIDTH).replace(
        " " * LABEL_WIDTH, f"{label:<{LABEL_WIDTH}}", 1
    )


def _size(question: Question, answer: Framed) -> str:
    who = f"of an adult of {question.stature_m:g} m"
    if answer.fits_size:
        return f"{answer.size} {who}"
    side = "tighter than" if answer.size == "ECU" else "wider than"
    return f"{side} {answer.size} {who}"


def _depth(depth: Depth | None) -> list[tuple[str, str]]:
    if depth is None:
        return [("Depth of field", "give --stop to have it")]
    far = "infinity" if depth.far_m is None else f"{depth.far_m:.2f} m"
    words = f"sharp from {depth.near_m:.2f} m to {far} (blur of {depth.blur_mm:.4f} mm)"
    return [("Depth of field", words), ("Hyperfocal", f"{depth.hyperfocal_m:.1f} m")]


def _exposure(question: Question, exposure: Exposure | None) -> list[tuple[str, str]]:
    if exposure is None:
        return [("Light", "give --stop and --lux to have the ISO")]
    is_too_bright = exposure.nd_stops >= LEAST_ND_STOPS
    iso = f"{exposure.iso:.2g}" if is_too_bright else str(iso_setting(exposure.iso))
    words = (
        f"ISO {iso} for {question.lux:g} lux at f/{question.stop:g}, "
        f"{exposure.t_loss_stops:g} stops taken as lost in the glass"
    )
    if not is_too_bright:
        return [("Light", words)]
    return [
        ("Light", words),
        (
            "Too bright",
            f"ND of {exposure.nd_stops:.1f} stops (density {exposure.nd_stops * 0.301:.1f}) "
            f"to stay at base ISO {question.base_iso:g}",
        ),
    ]
