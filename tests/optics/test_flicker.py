"""Flicker-free times, the choice of the shutter, ripple and pulse-dimmed lamps."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.optics.flicker import (
    choose_shutter,
    pwm_band_count,
    pwm_band_depth,
    ripple,
    safe_times_s,
)
from kitplan.optics.lens import OpticsError

SPEEDS_PER_S = (24.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 120.0, 125.0, 200.0, 250.0)

mains = st.sampled_from([50.0, 60.0])
frame_rates = st.floats(5.0, 100.0)


def test_safe_times_are_whole_pulses_within_a_frame() -> None:
    """50 Hz lamps pulse every 1/100 s; a frame at 25 per second holds four of them."""
    assert safe_times_s(50.0, 25.0) == (1 / 100, 2 / 100, 3 / 100, 4 / 100)
    # 1/30 s holds 3.33 pulses: three whole ones.
    assert safe_times_s(50.0, 30.0) == (1 / 100, 2 / 100, 3 / 100)


def test_no_time_is_safe_when_frames_are_shorter_than_a_pulse() -> None:
    """At 120 frames per second under 50 Hz; at 100 exactly one pulse fits."""
    assert safe_times_s(50.0, 120.0) == ()
    assert safe_times_s(50.0, 100.0) == (1 / 100,)


def test_a_frame_of_whole_pulses_holds_them_all_in_spite_of_binary_rounding() -> None:
    """100 / (100 / 11) comes out a hair below 11."""
    assert len(safe_times_s(50.0, 100 / 11)) == 11


@given(mains_hz=mains, fps=frame_rates)
def test_safe_times_do_not_ripple_and_fit_the_frame(mains_hz: float, fps: float) -> None:
    """One more pulse would not fit."""
    times_s = safe_times_s(mains_hz, fps)
    for time_s in times_s:
        assert ripple(mains_hz, time_s) == pytest.approx(0.0, abs=1e-12)
        assert time_s <= 1 / fps * (1 + 1e-9)
    assert (len(times_s) + 1) / (2 * mains_hz) > 1 / fps


@pytest.mark.parametrize(
    ("fps", "mains_hz", "speed_per_s", "angle_deg"),
    [
        (25.0, 50.0, 50.0, 180.0),  # 1/50 s is two pulses and half a frame
        (50.0, 50.0, 100.0, 180.0),
        (24.0, 50.0, 50.0, 172.8),  # 360 * 24 / 50
        (30.0, 50.0, 50.0, 216.0),  # 360 * 30 / 50; 1/100 s is farther from 1/60 s
        (25.0, 60.0, 60.0, 150.0),  # 1/60 s is 1/300 s off 1/50 s, 1/40 s is 1/200 s off
        (30.0, 60.0, 60.0, 180.0),
    ],
)
def test_the_flicker_free_speed_nearest_to_a_half_turn_is_taken(
    fps: float, mains_hz: float, speed_per_s: float, angle_deg: float
) -> None:
    """No tie in any of these."""
    choice = choose_shutter(fps, mains_hz, SPEEDS_PER_S)
    assert choice.shutter_s == 1 / speed_per_s
    assert choice.angle_deg == pytest.approx(angle_deg)
    assert choice.is_flicker_free
    assert choice.tied_with_s is None
    assert f"1/{speed_per_s:g} s is flicker-free under {mains_hz:g} Hz mains" in choice.reason


def test_a_tie_goes_to_the_longer_time_and_is_said() -> None:
    """24 frames under 60 Hz: 1/40 and 1/60 s are both 1/240 s away from 1/48 s."""
    choice = choose_shutter(24.0, 60.0, SPEEDS_PER_S)
    assert choice.shutter_s == 1 / 40
    assert choice.tied_with_s == 1 / 60
    assert choice.angle_deg == pytest.approx(216.0)  # 360 * 24 / 40
    assert "as near to the 180-degree shutter, 1/48 s, as 1/60 s" in choice.reason
    assert "the longer time was taken because it gives more light" in choice.reason


def test_only_speeds_that_the_bodies_have_are_taken() -> None:
    """Without 1/40 s the tie of 24 frames under 60 Hz is gone."""
    choice = choose_shutter(24.0, 60.0, (30.0, 48.0, 50.0, 60.0, 120.0))
    assert choice.shutter_s == 1 / 60
    assert choice.tied_with_s is None


@pytest.mark.parametrize(
    ("speed_per_s", "is_free"),
    [(49.4, False), (49.6, True), (50.0, True), (50.4, True), (50.6, False)],
    ids=["1.2%-long", "0.8%-long", "exact", "0.8%-short", "1.2%-short"],
)
def test_a_speed_counts_as_flicker_free_within_one_percent(
    speed_per_s: float, is_free: bool
) -> None:
    """Under 50 Hz around two pulses; at 1 % off the ripple stays under 1 %."""
    choice = choose_shutter(24.0, 50.0, [speed_per_s])
    assert choice.is_flicker_free is is_free
    assert choice.shutter_s == 1 / speed_per_s
    assert (ripple(50.0, choice.shutter_s) < 0.0101) is is_free


def test_a_speed_listed_twice_does_not_tie_with_itself() -> None:
    """Two bodies may bring the same speed."""
    assert choose_shutter(25.0, 50.0, (50.0, 50.0)).tied_with_s is None


def test_without_a_flicker_free_speed_the_ripple_is_told() -> None:
    """1/60 s under 50 Hz is 1.667 pulses: |sin(1.667 pi)| / (1.667 pi) = 0.866 / 5.236 = 0.165."""
    choice = choose_shutter(25.0, 50.0, (60.0, 125.0, 250.0))
    assert not choice.is_flicker_free
    assert choice.shutter_s == 1 / 60
    assert choice.reason.startswith("no flicker-free speed under 50 Hz mains; 1/60 s lets")
    assert "ripple by up to 17 % either way" in choice.reason


def test_a_speed_longer_than_the_frame_is_never_taken() -> None:
    """1/25 s is safe under 50 Hz but does not fit into a frame of 1/30 s."""
    assert choose_shutter(30.0, 50.0, (25.0, 100.0)).shutter_s == 1 / 100
    assert choose_shutter(25.0, 50.0, (25.0, 125.0)).shutter_s == 1 / 25


@given(mains_hz=mains, fps=st.floats(5.0, 60.0))
def test_no_other_flicker_free_speed_is_nearer(mains_hz: float, fps: float) -> None:
    """The choice is the best of the list, by trying them all."""
    choice = choose_shutter(fps, mains_hz, SPEEDS_PER_S)
    half_turn_s = 1 / (2 * fps)
    for speed_per_s in SPEEDS_PER_S:
        fits = speed_per_s >= fps
        if fits and ripple(mains_hz, 1 / speed_per_s) < 1e-9:
            assert choice.is_flicker_free
            distance_s = abs(1 / speed_per_s - half_turn_s)
            assert abs(choice.shutter_s - half_turn_s) <= distance_s + 1e-9


def test_ripple_by_hand() -> None:
    """1/200 s under 50 Hz is half a pulse: sin(pi/2) / (pi/2) = 2 / pi; half as deep, half that."""
    assert ripple(50.0, 1 / 200) == pytest.approx(2 / np.pi)
    assert ripple(50.0, 1 / 200, modulation=0.5) == pytest.approx(1 / np.pi)
    assert ripple(50.0, 1 / 200, modulation=0.0) == 0.0


@given(mains_hz=mains, time_s=st.floats(1e-5, 1.0), modulation=st.floats(0.0, 1.0))
def test_ripple_never_exceeds_the_modulation(
    mains_hz: float, time_s: float, modulation: float
) -> None:
    """Nor the envelope 1 / (pi * 2 f t): long exposures average the pulses away."""
    swing = ripple(mains_hz, time_s, modulation)
    assert 0 <= swing <= modulation
    assert swing <= modulation / (np.pi * 2 * mains_hz * time_s) * (1 + 1e-9)


def test_ripple_broadcasts_over_times() -> None:
    """An array of times gives an array of ripples."""
    swings = ripple(50.0, np.array([1 / 200, 1 / 100]))
    assert swings.tolist() == pytest.approx([2 / np.pi, 0.0], abs=1e-12)


def test_pulse_dimmed_bands_by_hand() -> None:
    """1000 Hz: 20 pulses in 1/50 s, so 1/20 deep; 20 bands in a readout of 20 ms."""
    assert pwm_band_depth(1000.0, 1 / 50) == pytest.approx(0.05)
    assert pwm_band_count(1000.0, 0.020) == pytest.approx(20.0)


def test_bands_are_never_deeper_than_black() -> None:
    """At 200 Hz, 1/1000 s sees a fifth of a pulse: full depth."""
    assert pwm_band_depth(200.0, 1 / 1000) == 1.0


@given(pwm_hz=st.floats(100.0, 20_000.0), time_s=st.floats(1e-4, 0.1))
def test_twice_the_exposure_never_deepens_the_bands(pwm_hz: float, time_s: float) -> None:
    """It halves them once more than one pulse fits."""
    shorter, longer = pwm_band_depth(pwm_hz, time_s), pwm_band_depth(pwm_hz, 2 * time_s)
    assert longer <= shorter
    if pwm_hz * time_s > 1:
        assert longer == pytest.approx(shorter / 2, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: safe_times_s(0.0, 25.0), "mains_hz is 0, expected mains_hz > 0"),
        (lambda: safe_times_s(50.0, 0.0), "frame_rate_fps is 0, expected frame_rate_fps > 0"),
        (lambda: choose_shutter(25.0, 50.0, (50.0, 0.0)), "speed_per_s is 0, expected"),
        (
            lambda: choose_shutter(60.0, 50.0, (25.0, 50.0)),
            "fastest of speeds_per_s is 50, expected one >= frame_rate_fps, which is 60",
        ),
        (lambda: choose_shutter(25.0, 50.0, ()), "fastest of speeds_per_s is 0, expected one >="),
        (lambda: ripple(50.0, 0.02, 1.1), "modulation is 1.1, expected modulation <= 1"),
        (lambda: ripple(50.0, 0.02, -0.1), "modulation is -0.1, expected modulation >= 0"),
        (lambda: ripple(50.0, 0.0), "shutter_s is 0, expected shutter_s > 0"),
        (lambda: pwm_band_depth(0.0, 0.02), "pwm_hz is 0, expected pwm_hz > 0"),
        (lambda: pwm_band_count(1000.0, -1.0), "readout_s is -1, expected readout_s > 0"),
    ],
)
def test_an_impossible_number_is_named_with_what_is_expected(
    call: Callable[[], object], message: str
) -> None:
    """Every message has the name, the value and the inequality."""
    with pytest.raises(OpticsError, match=message):
        call()
