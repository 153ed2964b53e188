"""Focus: circle of confusion, hyperfocal distance, limits of sharpness in depth.

Exact thin-lens forms. Distances are in m and count from the lens, not from the sensor plane.
"""

import numpy as np

from kitplan.optics.lens import diagonal_mm, require, require_positive
from kitplan.optics.numbers import EPSILON, Real, same_kind
from kitplan.units import MM_PER_M


def circle_of_confusion_mm(
    width_mm: Real | float, height_mm: Real | float, divisor: Real | float = 1500.0
) -> Real:
    """Return the largest blur disc on the sensor in mm that still counts as sharp.

    Args:
        width_mm: Width of the active area in mm, > 0.
        height_mm: Height of the active area in mm, > 0.
        divisor: Parts of the diagonal, > 0; 1500 is the modern value, 1000 the traditional one.
    Raises:
        OpticsError: If an argument is not positive.
    Source: encyclopedic articles on the circle of confusion: diagonal / divisor.
    """
    require_positive(divisor=divisor)
    return same_kind(diagonal_mm(width_mm, height_mm) / divisor)


def hyperfocal_m(focal_mm: Real | float, f_number: Real | float, coc_mm: Real | float) -> Real:
    """Return the nearest focus distance in m that keeps infinity sharp.

    Args:
        focal_mm: Focal length in mm, > 0.
        f_number: Aperture N (not T: blur is geometry), no unit, > 0.
        coc_mm: Largest accepted blur disc on the sensor in mm, > 0.
    Raises:
        OpticsError: If an argument is not positive.
    Source: encyclopedic article on hyperfocal distance, first definition: f**2 / (N * c) + f.
    """
    require_positive(focal_mm=focal_mm, f_number=f_number, coc_mm=coc_mm)
    return same_kind((focal_mm * focal_mm / (f_number * coc_mm) + focal_mm) / MM_PER_M)


def focus_limits_m(
    focal_mm: Real | float, f_number: Real | float, coc_mm: Real | float, focus_m: Real | float
) -> tuple[Real, Real]:
    """Return the nearest and the farthest distance in m that are sharp; far may be infinite.

    Args:
        focal_mm: Focal length in mm, > 0.
        f_number: Aperture N, no unit, > 0.
        coc_mm: Largest accepted blur disc on the sensor in mm, > 0.
        focus_m: Distance focused on in m, longer than the focal length; infinity is allowed.
    Raises:
        OpticsError: If an argument is not positive or the focus is inside the focal length.
    Source: thin lens; near = s(H - f) / (H + s - 2f), far = s(H - f) / (H - s) below H, else
        infinite. Numerator and denominator are divided by s, so that s may be infinite.
    """
    hyperfocal = hyperfocal_m(focal_mm, f_number, coc_mm)
    focal_m = focal_mm / MM_PER_M
    require("focus_m", focus_m, focus_m > focal_m, "> focal_mm / 1000")
    beyond_focal_m = hyperfocal - focal_m
    near_m = beyond_focal_m / ((beyond_focal_m - focal_m) / focus_m + 1)
    with np.errstate(divide="ignore"):
        far_m = np.divide(beyond_focal_m, np.maximum(hyperfocal / focus_m - 1, 0.0))
    return same_kind(near_m), same_kind(far_m)


def focus_for_span_m(near_m: Real | float, far_m: Real | float) -> Real:
    """Return the focus distance in m that treats both ends of a span alike.

    Args:
        near_m: Near end of the span in m, > 0.
        far_m: Far end of the span in m, >= near_m; infinity is allowed and gives twice near_m.
    Raises:
        OpticsError: If near_m is not positive or the span is reversed.
    Source: thin lens, equal blur at both ends; 2 * D * d / (D + d), as in US Navy Photography
        (Basic), chapter 1. Written so that D may be infinite.
    """
    require_positive(near_m=near_m)
    require("far_m", far_m, far_m >= near_m, ">= near_m")
    return same_kind(2 * near_m / (1 + near_m / far_m))


def holds_span(
    focal_mm: float, f_number: float, coc_mm: float, near_m: float, far_m: float
) -> bool:
    """Tell whether one locked focus, set by `focus_for_span_m`, keeps a whole span sharp.

    The limits are inclusive, with a relative slack of 1e-9 for rounding.

    Args:
        focal_mm: Focal length in mm, > 0.
        f_number: Aperture N, no unit, > 0.
        coc_mm: Largest accepted blur disc on the sensor in mm, > 0.
        near_m: Near end of the span in m, longer than the focal length.
        far_m: Far end of the span in m, >= near_m; infinity is allowed.
    Raises:
        OpticsError: If an argument is not positive, the span is reversed or the focus that it
            asks for is inside the focal length.
    """
    focus_m = focus_for_span_m(near_m, far_m)
    sharp_from_m, sharp_to_m = focus_limits_m(focal_mm, f_number, coc_mm, focus_m)
    is_near_sharp = sharp_from_m <= near_m * (1 + EPSILON)
    is_far_sharp = sharp_to_m >= far_m * (1 - EPSILON)
    return bool(is_near_sharp and is_far_sharp)
