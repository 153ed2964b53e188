"""Flicker: lamps on the mains, lamps dimmed by pulses, and the shutter time that hides them.

A lamp on mains of frequency f pulses at 2f. Screens and projectors are lamps of their own kind and
are left to a test in the real light.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from kitplan.optics.lens import OpticsError, require, require_positive
from kitplan.optics.light import shutter_angle_deg, shutter_s_of_angle
from kitplan.optics.numbers import EPSILON, Real, same_kind

MATCH_FRACTION = 0.01
"""How far, no unit, a body's speed may lie from a flicker-free time: common practice, no source.
At this distance the ripple is at most 1 % of the lamp's modulation."""


@dataclass(frozen=True)
class ShutterChoice:
    """The shutter time for every camera, and why.

    `shutter_s` is in s, `angle_deg` in degrees. `tied_with_s` is a time just as near the 180-degree
    shutter that was not taken, in s, or None. `reason` is a sentence for people.
    """

    shutter_s: float
    angle_deg: float
    is_flicker_free: bool
    tied_with_s: float | None
    reason: str


def safe_times_s(mains_hz: float, frame_rate_fps: float) -> tuple[float, ...]:
    """Return the flicker-free times in s, shortest first, that are not longer than one frame.

    Empty where a frame is shorter than one pulse of the lamp.

    Args:
        mains_hz: Mains frequency in Hz, > 0 (50 or 60).
        frame_rate_fps: Frames per second, > 0.
    Raises:
        OpticsError: If an argument is not positive.
    Source: whole pulses of the lamp, n / (2 * mains); photo-spectrum.info (2017), common practice.
    """
    require_positive(mains_hz=mains_hz, frame_rate_fps=frame_rate_fps)
    pulses_per_frame = int(2 * mains_hz / frame_rate_fps * (1 + EPSILON))
    return tuple(n / (2 * mains_hz) for n in range(1, pulses_per_frame + 1))


def choose_shutter(
    frame_rate_fps: float, mains_hz: float, speeds_per_s: Sequence[float]
) -> ShutterChoice:
    """Return the shutter time, among those the bodies have, that suits the lamps and the motion.

    Flicker-free times come first. Among equals the one nearest the 180-degree shutter is taken,
    measured in seconds; a tie goes to the longer time, which gives more light, and is reported.

    Args:
        frame_rate_fps: Frames per second, > 0.
        mains_hz: Mains frequency in Hz, > 0.
        speeds_per_s: Shutter speeds as denominators, each > 0 (50 means 1/50 s).
    Raises:
        OpticsError: If an argument is not positive or no speed is as short as one frame.
    Source: common practice, no source, for preferring 180 degrees.
    """
    require_positive(frame_rate_fps=frame_rate_fps, mains_hz=mains_hz)
    for speed_per_s in speeds_per_s:
        require_positive(speed_per_s=speed_per_s)
    usable_s = [1 / speed for speed in speeds_per_s if speed >= frame_rate_fps]
    if not usable_s:
        fastest = max(speeds_per_s, default=0.0)
        raise OpticsError(
            f"the fastest of speeds_per_s is {fastest:g}, "
            f"expected one >= frame_rate_fps, which is {frame_rate_fps:g}"
        )
    safe_s = safe_times_s(mains_hz, frame_rate_fps)
    free_s = [time_s for time_s in usable_s if _is_among(time_s, safe_s)]
    half_turn_s = shutter_s_of_angle(180.0, frame_rate_fps)
    shutter_s, tied_with_s = _nearest(free_s or usable_s, half_turn_s)
    return ShutterChoice(
        shutter_s=shutter_s,
        angle_deg=shutter_angle_deg(shutter_s, frame_rate_fps),
        is_flicker_free=bool(free_s),
        tied_with_s=tied_with_s,
        reason=_reason(shutter_s, tied_with_s, half_turn_s, mains_hz, is_free=bool(free_s)),
    )


def ripple(mains_hz: Real | float, shutter_s: Real | float, modulation: Real | float = 1.0) -> Real:
    """Return how far, as a fraction, brightness swings to either side from exposure to exposure.

    Args:
        mains_hz: Mains frequency in Hz, > 0.
        shutter_s: Exposure time in s, > 0.
        modulation: Depth of the lamp's pulse, (max - min) / (max + min), 0 to 1.
    Raises:
        OpticsError: If frequency or time is not positive or the modulation is outside 0 to 1.
    Source: Fourier transform of the exposure window: |sinc(2 f t)| * m, sinc(x) = sin(pi x)/(pi x).
    """
    require_positive(mains_hz=mains_hz, shutter_s=shutter_s)
    require("modulation", modulation, modulation >= 0, ">= 0")
    require("modulation", modulation, modulation <= 1, "<= 1")
    swing: Real | float = np.abs(np.sinc(2 * mains_hz * shutter_s)) * modulation
    return same_kind(swing)


def pwm_band_depth(pwm_hz: Real | float, shutter_s: Real | float) -> Real:
    """Return the depth of the bands, 0 to 1, that a lamp dimmed by pulses draws: an estimate.

    Args:
        pwm_hz: Frequency of the lamp's driver in Hz, > 0.
        shutter_s: Exposure time in s, > 0.
    Raises:
        OpticsError: If an argument is not positive.
    Source: one pulse more or less of the f * t in an exposure, 1 / (f * t), at most 1: an upper
        estimate, common practice, no source.
    """
    require_positive(pwm_hz=pwm_hz, shutter_s=shutter_s)
    depth: Real | float = np.minimum(1.0, 1 / (pwm_hz * shutter_s))
    return same_kind(depth)


def pwm_band_count(pwm_hz: Real | float, readout_s: Real | float) -> Real:
    """Return how many bands, not rounded, stand in the picture: pulses during one readout.

    Args:
        pwm_hz: Frequency of the lamp's driver in Hz, > 0.
        readout_s: Time in s in which the sensor is read from top to bottom, > 0.
    Raises:
        OpticsError: If an argument is not positive.
    Source: rolling shutter, f * readout.
    """
    require_positive(pwm_hz=pwm_hz, readout_s=readout_s)
    return same_kind(pwm_hz * readout_s)


def _is_among(time_s: float, safe_s: Iterable[float]) -> bool:
    return any(abs(time_s / safe - 1) <= MATCH_FRACTION for safe in safe_s)


def _nearest(times_s: Iterable[float], target_s: float) -> tuple[float, float | None]:
    """Return the time nearest the target, the longer one of a tie, and the other one of the tie."""
    by_distance = sorted(set(times_s), key=lambda time_s: abs(time_s - target_s))
    nearest_s, *others_s = by_distance
    if not others_s:
        return nearest_s, None
    next_s = others_s[0]
    gap_s = abs(next_s - target_s) - abs(nearest_s - target_s)
    if gap_s > EPSILON * target_s:
        return nearest_s, None
    return max(nearest_s, next_s), min(nearest_s, next_s)


def _reason(
    shutter_s: float, tied_with_s: float | None, half_turn_s: float, mains_hz: float, is_free: bool
) -> str:
    if is_free:
        verdict = f"{_fraction(shutter_s)} is flicker-free under {mains_hz:g} Hz mains"
    else:
        swing_percent = 100 * ripple(mains_hz, shutter_s)
        verdict = (
            f"no flicker-free speed under {mains_hz:g} Hz mains; {_fraction(shutter_s)} lets"
            f" brightness ripple by up to {swing_percent:.0f} % either way"
        )
    if tied_with_s is None:
        return f"{verdict} and is nearest to the 180-degree shutter, {_fraction(half_turn_s)}"
    return (
        f"{verdict} and is as near to the 180-degree shutter, {_fraction(half_turn_s)}, as"
        f" {_fraction(tied_with_s)}; the longer time was taken because it gives more light"
    )


def _fraction(time_s: float) -> str:
    return f"1/{1 / time_s:.4g} s"
