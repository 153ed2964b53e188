"""Lux, stops, ISO, ND and shutter angles."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.optics.lens import OpticsError
from kitplan.optics.light import (
    exposure_value_100,
    iso_needed,
    lux_at_ev_100,
    lux_for_iso,
    nd_density,
    nd_stops,
    shutter_angle_deg,
    shutter_s_of_angle,
    stops_between,
    t_stop,
)

t_stops = st.floats(0.95, 22.0)
times_s = st.floats(1 / 2000, 1 / 12)
lights_lux = st.floats(0.5, 100_000.0)
isos = st.floats(50.0, 102_400.0)
evs = st.floats(-6.0, 18.0)


def test_iso_by_hand() -> None:
    """250 * 4 * 4 / (800 * 1/50) = 4000 / 16 = 250."""
    assert iso_needed(4.0, 1 / 50, 800.0) == pytest.approx(250.0)


def test_a_stop_of_headroom_doubles_the_iso() -> None:
    """250 becomes 500 for one stop of coloured light."""
    assert iso_needed(4.0, 1 / 50, 800.0, headroom_stops=1.0) == pytest.approx(500.0)


@given(stop=t_stops, time_s=times_s, lux=lights_lux)
def test_half_the_light_or_half_the_time_needs_twice_the_iso(
    stop: float, time_s: float, lux: float
) -> None:
    """And twice the stop number needs four times."""
    iso = iso_needed(stop, time_s, lux)
    assert iso_needed(stop, time_s, lux / 2) == pytest.approx(2 * iso, rel=1e-12)
    assert iso_needed(stop, time_s / 2, lux) == pytest.approx(2 * iso, rel=1e-12)
    assert iso_needed(2 * stop, time_s, lux) == pytest.approx(4 * iso, rel=1e-12)


@given(stop=t_stops, time_s=times_s, iso=isos)
def test_lux_and_iso_are_inverse(stop: float, time_s: float, iso: float) -> None:
    """The light for an ISO asks for that ISO."""
    lux = lux_for_iso(stop, time_s, iso)
    assert iso_needed(stop, time_s, lux) == pytest.approx(iso, rel=1e-12)


@given(ev=evs)
def test_exposure_value_goes_there_and_back(ev: float) -> None:
    """EV to lux to EV; one EV more is twice the light."""
    assert exposure_value_100(lux_at_ev_100(ev)) == pytest.approx(ev, abs=1e-9)
    assert lux_at_ev_100(ev + 1) == pytest.approx(2 * lux_at_ev_100(ev), rel=1e-9)


@given(stop=t_stops, time_s=times_s)
def test_exposure_value_is_stop_and_time_at_iso_100(stop: float, time_s: float) -> None:
    """log2(N * N / t), the other definition of EV, for light that asks for ISO 100."""
    lux = lux_for_iso(stop, time_s, 100.0)
    assert exposure_value_100(lux) == pytest.approx(np.log2(stop * stop / time_s), abs=1e-9)


def test_stops_between_two_lights() -> None:
    """From 100 to 800 lux are three stops, the other way three less."""
    assert stops_between(800.0, 100.0) == 3.0
    assert stops_between(100.0, 800.0) == -3.0


def test_two_stops_of_loss_double_the_stop_number() -> None:
    """f/2 losing two stops is T4; losing none it stays T2."""
    assert t_stop(2.0, 2.0) == pytest.approx(4.0)
    assert t_stop(2.0, 0.0) == 2.0


@given(stop=t_stops, loss_stops=st.floats(0.0, 2.0), time_s=times_s, lux=lights_lux)
def test_what_the_glass_loses_the_iso_must_gain(
    stop: float, loss_stops: float, time_s: float, lux: float
) -> None:
    """A loss in the lens costs the same as headroom of as many stops."""
    assert iso_needed(t_stop(stop, loss_stops), time_s, lux) == pytest.approx(
        iso_needed(stop, time_s, lux, headroom_stops=loss_stops), rel=1e-9
    )


@pytest.mark.parametrize(
    ("needed_iso", "stops"),
    [(100.0, 3.0), (800.0, 0.0), (1600.0, 0.0)],
    ids=["too-bright", "at-base", "darker"],
)
def test_nd_is_needed_only_below_the_base_iso(needed_iso: float, stops: float) -> None:
    """Base 800: light for ISO 100 is three stops too much."""
    assert nd_stops(needed_iso, 800.0) == stops


def test_density_of_one_stop() -> None:
    """log10(2) = 0.30103; three stops are sold as 0.9."""
    assert nd_density(1.0) == pytest.approx(0.30103, abs=1e-6)
    assert nd_density(3.0) == pytest.approx(0.9, abs=0.004)
    assert nd_density(0.0) == 0.0


def test_a_half_turn_at_25_frames_is_a_fiftieth() -> None:
    """180 / (360 * 25) = 1/50 s, and back."""
    assert shutter_s_of_angle(180.0, 25.0) == pytest.approx(1 / 50)
    assert shutter_angle_deg(1 / 50, 25.0) == pytest.approx(180.0)


@given(angle_deg=st.floats(1.0, 360.0), fps=st.floats(1.0, 240.0))
def test_shutter_angle_goes_there_and_back(angle_deg: float, fps: float) -> None:
    """A time never exceeds the frame for angles up to 360 degrees."""
    time_s = shutter_s_of_angle(angle_deg, fps)
    assert time_s <= 1 / fps * (1 + 1e-12)
    assert shutter_angle_deg(time_s, fps) == pytest.approx(angle_deg, rel=1e-12)


def test_light_broadcasts_over_lux() -> None:
    """An array of lights gives an array of ISOs, densities and EVs."""
    lux = np.array([200.0, 800.0])
    isos_needed = iso_needed(4.0, 1 / 50, lux)
    assert isos_needed.tolist() == pytest.approx([1000.0, 250.0])
    assert nd_stops(isos_needed, 500.0).tolist() == pytest.approx([0.0, 1.0])
    assert exposure_value_100(lux).shape == (2,)


def test_plain_numbers_give_plain_floats() -> None:
    """Never numpy's own scalars."""
    assert type(iso_needed(4.0, 1 / 50, 800.0, 0.5)) is float
    assert type(nd_stops(100.0, 800.0)) is float
    assert type(lux_at_ev_100(8.0)) is float


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: iso_needed(2.8, 1 / 50, 0.0), "lux is 0, expected lux > 0"),
        (lambda: iso_needed(2.8, 0.0, 100.0), "shutter_s is 0, expected shutter_s > 0"),
        (lambda: lux_for_iso(-2.8, 1 / 50, 100.0), "t_stop is -2.8, expected t_stop > 0"),
        (lambda: exposure_value_100(-1.0), "lux is -1, expected lux > 0"),
        (lambda: stops_between(1.0, 0.0), "b is 0, expected b > 0"),
        (lambda: t_stop(2.8, -0.1), "loss_stops is -0.1, expected loss_stops >= 0"),
        (lambda: nd_stops(100.0, 0.0), "base_iso is 0, expected base_iso > 0"),
        (lambda: nd_density(-1.0), "stops is -1, expected stops >= 0"),
        (lambda: shutter_s_of_angle(0.0, 25.0), "angle_deg is 0, expected angle_deg > 0"),
        (lambda: shutter_angle_deg(1 / 50, 0.0), "fps is 0, expected fps > 0"),
    ],
)
def test_an_impossible_number_is_named_with_what_is_expected(
    call: Callable[[], object], message: str
) -> None:
    """Every message has the name, the value and the inequality."""
    with pytest.raises(OpticsError, match=message):
        call()
