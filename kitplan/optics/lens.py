"""Lenses: angle of view, framing, image circle, stop of a zoom, adapters and mount rings.

The lens is thin and rectilinear, without focus breathing. Distances count from the lens. Lengths
inside the camera are in mm, those of the scene in m. Sharpness in depth is left to `focus`.
"""

import math
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from kitplan.optics.numbers import EPSILON, FloatArray, Real, power_of_two, same_kind
from kitplan.units import MM_PER_M

FULL_FRAME_DIAGONAL_MM = math.hypot(36.0, 24.0)
"""Diagonal of the 36 x 24 mm still frame, 43.2666 mm: the reference of every crop factor."""

Truth: TypeAlias = bool | NDArray[np.bool_]


class OpticsError(ValueError):
    """A number that optics cannot work with; says the value and the inequality it breaks."""


def require(name: str, value: FloatArray | float, holds: Truth, expected: str) -> None:
    """Raise OpticsError, showing the first value that fails, unless `holds` is true everywhere.

    Args:
        name: Name of the argument as the caller knows it, unit included.
        value: The number or array that was given.
        holds: Outcome of the comparison, a truth value or an array of them.
        expected: The inequality in words or signs, such as "> 0".
    """
    if holds is True or np.all(holds):
        return
    shown = np.extract(np.logical_not(holds), np.broadcast_to(value, np.shape(holds)))[0]
    raise OpticsError(f"{name} is {shown:.10g}, expected {name} {expected}")


def require_positive(**values: FloatArray | float) -> None:
    """Raise OpticsError for the first argument that is not > 0 (not-a-number included)."""
    for name, value in values.items():
        require(name, value, value > 0, "> 0")


def angle_of_view_deg(side_mm: Real | float, focal_mm: Real | float) -> Real:
    """Return the angle of view along one side of the image, in degrees, focused at infinity.

    Args:
        side_mm: Width, height or diagonal of the active area in mm, > 0.
        focal_mm: Focal length in mm, > 0.
    Raises:
        OpticsError: If an argument is not positive.
    Source: pinhole geometry, 2 * atan(side / 2f), as in the encyclopedic article on angle of view.
    """
    require_positive(side_mm=side_mm, focal_mm=focal_mm)
    return _subtended_deg(side_mm / focal_mm)


def view_of_frame_deg(frame_side_m: Real | float, distance_m: Real | float) -> Real:
    """Return the angle that a frame of this height (or width) fills at a distance, in degrees.

    Args:
        frame_side_m: Height or width of the frame at the subject in m, > 0.
        distance_m: Distance from the lens to the subject in m, > 0.
    Raises:
        OpticsError: If an argument is not positive.
    Source: geometry of the isosceles triangle, 2 * atan(F / 2d).
    """
    require_positive(frame_side_m=frame_side_m, distance_m=distance_m)
    return _subtended_deg(frame_side_m / distance_m)


def active_area_mm(
    sensor_width_mm: Real | float,
    sensor_height_mm: Real | float,
    mode_crop: Real | float,
    aspect: Real | float,
) -> tuple[Real, Real]:
    """Return width and height in mm of the part of the sensor that ends up in the picture.

    The recording mode crops both sides; then the height is cut to the delivery aspect, or the width
    where the sensor is wider than the delivery.

    Args:
        sensor_width_mm: Full width of the sensor in mm, > 0.
        sensor_height_mm: Full height of the sensor in mm, > 0.
        mode_crop: Crop of the recording mode, no unit, >= 1 (1 reads the whole width).
        aspect: Delivery width over height, no unit, > 0 (16/9 for most video).
    Raises:
        OpticsError: If a side or the aspect is not positive, or the crop is below 1.
    Source: definition.
    """
    require_positive(
        sensor_width_mm=sensor_width_mm, sensor_height_mm=sensor_height_mm, aspect=aspect
    )
    require("mode_crop", mode_crop, mode_crop >= 1, ">= 1")
    read_width_mm = sensor_width_mm / mode_crop
    read_height_mm = sensor_height_mm / mode_crop
    return (
        same_kind(np.minimum(read_width_mm, read_height_mm * aspect)),
        same_kind(np.minimum(read_height_mm, read_width_mm / aspect)),
    )


def focal_for_frame_mm(
    frame_height_m: Real | float, distance_m: Real | float, active_height_mm: Real | float
) -> Real:
    """Return the focal length in mm that shows a frame of this height at this distance.

    Args:
        frame_height_m: Height of the frame at the subject in m, > 0.
        distance_m: Distance from the lens to the subject in m, > 0.
        active_height_mm: Height of the active area in mm, > 0.
    Raises:
        OpticsError: If an argument is not positive.
    Source: thin lens, f = h * d / (F + h); inverse of `frame_height_m`.
    """
    require_positive(
        frame_height_m=frame_height_m, distance_m=distance_m, active_height_mm=active_height_mm
    )
    frame_height_mm = frame_height_m * MM_PER_M
    distance_mm = distance_m * MM_PER_M
    return same_kind(active_height_mm * distance_mm / (frame_height_mm + active_height_mm))


def frame_height_m(
    focal_mm: Real | float, distance_m: Real | float, active_height_mm: Real | float
) -> Real:
    """Return the height in m of the frame that a focal length shows at a distance.

    Args:
        focal_mm: Focal length in mm, > 0.
        distance_m: Distance from the lens to the subject in m, longer than the focal length.
        active_height_mm: Height of the active area in mm, > 0. Give the width for the width.
    Raises:
        OpticsError: If an argument is not positive or the subject is inside the focal length.
    Source: thin lens, F = h * (d - f) / f.
    """
    require_positive(focal_mm=focal_mm, active_height_mm=active_height_mm)
    focal_m = focal_mm / MM_PER_M
    require("distance_m", distance_m, distance_m > focal_m, "> focal_mm / 1000")
    return same_kind(active_height_mm / MM_PER_M * (distance_m - focal_m) / focal_m)


def diagonal_mm(width_mm: Real | float, height_mm: Real | float) -> Real:
    """Return the diagonal in mm of an area whose sides are given in mm.

    Raises:
        OpticsError: If a side is not positive.
    Source: Pythagoras.
    """
    require_positive(width_mm=width_mm, height_mm=height_mm)
    diagonal: Real | float = np.hypot(width_mm, height_mm)
    return same_kind(diagonal)


def crop_factor(width_mm: Real | float, height_mm: Real | float) -> Real:
    """Return the crop factor, no unit: the full-frame diagonal, 43.2666 mm, over that of the area.

    Raises:
        OpticsError: If a side, in mm, is not positive.
    Source: definition by the diagonal; a ratio of widths is another number on 4:3 sensors.
    """
    return same_kind(FULL_FRAME_DIAGONAL_MM / diagonal_mm(width_mm, height_mm))


def circle_covers(image_circle_mm: float, width_mm: float, height_mm: float) -> bool:
    """Tell whether an image circle reaches the corners of an area; touching them is enough.

    Args:
        image_circle_mm: Diameter of the image circle in mm, > 0.
        width_mm: Width of the area in mm, > 0.
        height_mm: Height of the area in mm, > 0.
    Raises:
        OpticsError: If an argument is not positive.
    Source: geometry; the circle must be at least as wide as the diagonal.
    """
    require_positive(image_circle_mm=image_circle_mm)
    return bool(image_circle_mm >= diagonal_mm(width_mm, height_mm) * (1 - EPSILON))


def stop_at_focal(
    focal_mm: Real | float,
    focal_min_mm: Real | float,
    focal_max_mm: Real | float,
    stop_wide: Real | float,
    stop_tele: Real | float,
) -> Real:
    """Return the widest f-number, no unit, that a zoom has at one focal length.

    Between its ends a zoom is taken to lose light evenly in stops over the logarithm of the focal
    length: common practice, no source; makers print the two ends only. The ends are exact. A
    focal length outside the range counts as the nearer end. A prime, whose two focal lengths are
    equal, has its `stop_wide` everywhere.

    Args:
        focal_mm: Focal length in use in mm, > 0.
        focal_min_mm: Shortest focal length of the lens in mm, > 0.
        focal_max_mm: Longest focal length of the lens in mm, >= focal_min_mm.
        stop_wide: Widest f-number at the shortest focal length, > 0.
        stop_tele: Widest f-number at the longest focal length, > 0.
    Raises:
        OpticsError: If an argument is not positive or the range of focal lengths is reversed.
    """
    require_positive(
        focal_mm=focal_mm, focal_min_mm=focal_min_mm, stop_wide=stop_wide, stop_tele=stop_tele
    )
    require("focal_max_mm", focal_max_mm, focal_max_mm >= focal_min_mm, ">= focal_min_mm")
    # A prime has no range to share out; any width does, since every focal length is clipped.
    range_log = np.log(np.maximum(focal_max_mm / focal_min_mm, 1 + EPSILON))
    tele_share = np.log(np.clip(focal_mm, focal_min_mm, focal_max_mm) / focal_min_mm) / range_log
    stop: Real | float = stop_wide ** (1 - tele_share) * stop_tele**tele_share
    # Clipping takes the last rounding error off zooms of constant aperture.
    stop = np.clip(stop, np.minimum(stop_wide, stop_tele), np.maximum(stop_wide, stop_tele))
    return same_kind(stop)


def adapted_focal_mm(focal_mm: Real | float, focal_factor: Real | float) -> Real:
    """Return the focal length in mm behind an adapter (factor below 1 shortens, plain ring 1).

    Raises:
        OpticsError: If the focal length in mm or the factor is not positive.
    Source: definition of the adapter's factor.
    """
    require_positive(focal_mm=focal_mm, focal_factor=focal_factor)
    return same_kind(focal_mm * focal_factor)


def adapted_stop(stop: Real | float, stops_gained: Real | float) -> Real:
    """Return the f-number or T-number, no unit, behind an adapter.

    Args:
        stop: f-number or T-number of the bare lens, > 0.
        stops_gained: Light gained in stops; positive is brighter, negative (an extender) darker.
    Raises:
        OpticsError: If the stop is not positive.
    Source: definition of the stop, a factor of two in light: N * 2 ** (-gained / 2).
    """
    require_positive(stop=stop)
    return same_kind(stop * power_of_two(-stops_gained / 2))


def adapted_circle_mm(image_circle_mm: Real | float, focal_factor: Real | float) -> Real:
    """Return the diameter in mm of the image circle behind an adapter: it scales with the factor.

    Raises:
        OpticsError: If the circle in mm or the factor is not positive.
    Source: geometry; the adapter scales the whole image as it scales the focal length.
    """
    require_positive(image_circle_mm=image_circle_mm, focal_factor=focal_factor)
    return same_kind(image_circle_mm * focal_factor)


def ring_mm(lens_flange_mm: Real | float, body_flange_mm: Real | float) -> Real:
    """Return the thickness in mm of the plain ring between lens and body.

    Negative where the lens would have to sit inside the body: no focus at infinity without glass.

    Args:
        lens_flange_mm: Flange focal distance that the lens was made for in mm, > 0.
        body_flange_mm: Flange focal distance of the body in mm, > 0.
    Raises:
        OpticsError: If a distance is not positive.
    Source: definition of the flange focal distance.
    """
    require_positive(lens_flange_mm=lens_flange_mm, body_flange_mm=body_flange_mm)
    return same_kind(lens_flange_mm - body_flange_mm)


def ring_is_possible(
    lens_flange_mm: float, body_flange_mm: float, least_ring_mm: float = 1.0
) -> bool:
    """Tell whether a plain ring of at least `least_ring_mm` fits between lens and body.

    Necessary, not sufficient: throat, image circle, iris and mount power still decide.

    Args:
        lens_flange_mm: Flange focal distance that the lens was made for in mm, > 0.
        body_flange_mm: Flange focal distance of the body in mm, > 0.
        least_ring_mm: Thinnest ring that can be made in mm; 1 mm is common practice, no source.
    Raises:
        OpticsError: If a distance is not positive.
    """
    return bool(ring_mm(lens_flange_mm, body_flange_mm) >= least_ring_mm - EPSILON)


def _subtended_deg(side_over_distance: Real | float) -> Real:
    angle_deg: Real | float = np.degrees(2 * np.arctan(side_over_distance / 2))
    return same_kind(angle_deg)
