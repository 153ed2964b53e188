"""One lens at one distance: the nearest shot size, and when it has its name by right."""

from __future__ import annotations

import pytest

from kitplan.optics.lens import OpticsError
from kitplan.whatif.framing import Question, frame, nearest_size


@pytest.mark.parametrize(
    ("height_m", "size", "fits"),
    [
        (0.10, "ECU", False),
        (0.18, "ECU", True),
        (0.90, "MS", True),
        (1.13, "MLS", True),
        (12.0, "EWS", True),
        (30.0, "EWS", False),
    ],
)
def test_nearest_size(height_m: float, size: str, fits: bool) -> None:
    """Limits are inclusive; beyond the ends the nearest name does not fit."""
    assert nearest_size(height_m, 1.75) == (size, fits)


def test_focal_length_and_size_are_inverse() -> None:
    """The lens that a size needs shows that size."""
    asked = Question(sensor_mm=(24.89, 18.66), distance_m=9.0, size="CU")
    again = Question(sensor_mm=(24.89, 18.66), distance_m=9.0, focal_mm=frame(asked).focal_mm)
    assert frame(again).frame_m[1] == pytest.approx(0.5)


def test_a_crop_narrows_the_view() -> None:
    """Twice the crop, half the frame."""
    whole = frame(Question(sensor_mm=(36, 24), distance_m=5, focal_mm=50))
    half = frame(Question(sensor_mm=(36, 24), distance_m=5, focal_mm=50, crop=2))
    assert half.frame_m[0] == pytest.approx(whole.frame_m[0] / 2)


def test_numbers_that_make_no_sense_are_refused() -> None:
    """A crop below 1 would read more than the sensor has."""
    with pytest.raises(OpticsError, match="mode_crop"):
        frame(Question(sensor_mm=(36, 24), distance_m=5, focal_mm=50, crop=0.5))
