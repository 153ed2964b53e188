"""Light against the exposure table, worked figures of ISO 2720 and shutter angles."""

import pytest

from kitplan.optics.light import (
    exposure_value_100,
    iso_needed,
    lux_at_ev_100,
    lux_for_iso,
    nd_density,
    shutter_angle_deg,
    shutter_s_of_angle,
    t_stop,
)

# EV at ISO 100 and lux. Source: table of the encyclopedic article Exposure value (C = 250), read
# from -4 to 14; the row of 15 is the average_illuminance of the library colour-hdri 0.2.6.
EXPOSURE_TABLE = [
    (-4.0, 0.156),
    (-3.0, 0.313),
    (-2.0, 0.625),
    (-1.0, 1.25),
    (0.0, 2.5),
    (1.0, 5.0),
    (2.0, 10.0),
    (3.0, 20.0),
    (4.0, 40.0),
    (5.0, 80.0),
    (6.0, 160.0),
    (7.0, 320.0),
    (8.0, 640.0),
    (9.0, 1280.0),
    (10.0, 2560.0),
    (11.0, 5120.0),
    (12.0, 10240.0),
    (13.0, 20480.0),
    (14.0, 40960.0),
    (15.0, 81920.0),
]


@pytest.mark.parametrize(("ev", "lux"), EXPOSURE_TABLE)
def test_the_exposure_table(ev: float, lux: float) -> None:
    """To the printed three decimals, halves rounded up: 0.3125 lux is printed 0.313."""
    assert round(lux_at_ev_100(ev) + 1e-9, 3) == lux
    assert exposure_value_100(lux) == pytest.approx(ev, abs=0.005)


@pytest.mark.parametrize(
    ("lux", "ev"),
    [
        (2.5, 0.0),
        (100.0, 5.3219),
        (300.0, 6.9069),
        (500.0, 7.6439),
        (800.0, 8.3219),
        (1000.0, 8.6439),
        (10000.0, 11.9658),
    ],
)
def test_exposure_values_agree_with_a_library(lux: float, ev: float) -> None:
    """Returned by illuminance_to_exposure_value of the library colour-hdri 0.2.6 at ISO 100."""
    assert exposure_value_100(lux) == pytest.approx(ev, abs=0.0001)


def test_illuminance_agrees_with_a_library() -> None:
    """f/8, 1 s, ISO 100: 160 lux; f/2.8, 1/50 s, ISO 196: 500 lux.

    Returned by average_illuminance of the library colour-hdri 0.2.6; the first is in its docstring.
    """
    assert lux_for_iso(8.0, 1.0, 100.0) == pytest.approx(160.0, abs=1e-9)
    assert lux_for_iso(2.8, 1 / 50, 196.0) == pytest.approx(500.0, abs=1e-9)


@pytest.mark.parametrize(
    ("lux", "stop", "time_s", "iso"),
    [
        (500.0, 2.8, 1 / 50, 196.0),
        (300.0, 2.8, 1 / 50, 326.667),
        (800.0, 4.0, 1 / 50, 250.0),
        (200.0, 2.0, 1 / 100, 500.0),
        (1500.0, 4.0, 1 / 60, 160.0),
        (500.0, 4.0, 1 / 25, 200.0),
        (1000.0, 5.6, 1 / 50, 392.0),
    ],
)
def test_iso_speeds_follow_the_incident_equation(
    lux: float, stop: float, time_s: float, iso: float
) -> None:
    """ISO 2720:1974, S = C * N * N / (E * t), worked by hand."""
    assert iso_needed(stop, time_s, lux) == pytest.approx(iso, abs=0.001)


@pytest.mark.parametrize(
    ("stops", "density"), [(0.9966, 0.3), (1.9932, 0.6), (2.9897, 0.9), (5.9795, 1.8)]
)
def test_densities_of_the_usual_filters(stops: float, density: float) -> None:
    """Definition of density: 0.3 lets 10 ** -0.3 through, a hair less than a stop."""
    assert nd_density(stops) == pytest.approx(density, abs=0.0001)


def test_t_stop_of_glass_that_passes_four_fifths() -> None:
    """T = N / sqrt(0.8): f/2.8 is T3.13 (definition from memory); 0.8 is a loss of 0.3219 stops."""
    assert t_stop(2.8, 0.321928) == pytest.approx(3.1305, abs=0.0001)


@pytest.mark.parametrize(
    ("angle_deg", "fps", "time_s"),
    [
        (180.0, 24.0, 0.0208333),
        (180.0, 25.0, 0.02),
        (172.8, 24.0, 0.02),
        (90.0, 25.0, 0.01),
        (144.0, 30.0, 0.0133333),
        (180.0, 60.0, 0.0083333),
    ],
)
def test_shutter_angles_of_camera_operators(angle_deg: float, fps: float, time_s: float) -> None:
    """angle / 360 / fps, as a camera operators' forum works it for 25 frames per second."""
    assert shutter_s_of_angle(angle_deg, fps) == pytest.approx(time_s, abs=1e-6)
    assert shutter_angle_deg(time_s, fps) == pytest.approx(angle_deg, abs=0.001)
