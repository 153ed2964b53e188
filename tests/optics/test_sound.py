"""Sound in air: speed, delay, drift of clocks."""

from __future__ import annotations

import pytest

from kitplan.optics.lens import OpticsError
from kitplan.optics.sound import delay_s, drift_s, sound_m_per_s


@pytest.mark.parametrize(
    ("air_c", "m_per_s"), [(0, 331.30), (20, 343.21), (-20, 318.94), (35, 351.88)]
)
def test_speed_of_sound(air_c: float, m_per_s: float) -> None:
    """The usual table of dry air (encyclopedia, "Speed of sound"), from memory."""
    assert sound_m_per_s(air_c) == pytest.approx(m_per_s, abs=0.02)


@pytest.mark.parametrize(("rate_fps", "metres"), [(25, 13.7), (30, 11.4)])
def test_metres_of_a_frame(rate_fps: float, metres: float) -> None:
    """What mixers reckon with at 20 degrees: 2.9 ms a metre, 13.7 m a frame at 25, 11.4 at 30."""
    assert 1 / (delay_s(1, 20) * rate_fps) == pytest.approx(metres, abs=0.05)
    assert delay_s(1, 20) == pytest.approx(0.0029, abs=0.00005)


def test_drift_of_clocks() -> None:
    """1 part in a million is 3.6 ms an hour; 27 make a 90-minute concert 3.6 frames at 25."""
    assert drift_s(3600, 1) == pytest.approx(0.0036)
    assert drift_s(5400, 27) * 25 == pytest.approx(3.645)


def test_the_absolute_zero_is_refused() -> None:
    """There is no sound, nor any colder air."""
    with pytest.raises(OpticsError, match="no temperature"):
        sound_m_per_s(-273.15)
