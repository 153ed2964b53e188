"""Light: from lux, stop and shutter to the ISO that is needed, and back; ND filters.

Incident light on a flat receptor. Stops here are T-numbers: what reaches the sensor, not geometry.
Lamps that pulse are left to `flicker`.
"""

import math

import numpy as np

from kitplan.optics.lens import require, require_positive
from kitplan.optics.numbers import Real, log2, power_of_two, same_kind

INCIDENT_CONSTANT = 250.0
"""Incident-light constant C in lux seconds (times ISO): the typical value for a flat receptor in
the encyclopedic article on exposure value; the equation is that of ISO 2720:1974."""


def iso_needed(
    t_stop: Real | float,
    shutter_s: Real | float,
    lux: Real | float,
    headroom_stops: Real | float = 0.0,
) -> Real:
    """Return the ISO speed, no unit, that exposes this light correctly.

    Args:
        t_stop: T-number of the lens in use, > 0.
        shutter_s: Exposure time in s, > 0.
        lux: Illuminance on the subject in lux, > 0.
        headroom_stops: Stops added for coloured light (negative takes away).
    Raises:
        OpticsError: If the stop, the time or the light is not positive.
    Source: ISO 2720:1974, N**2 / t = E * S / C, solved for S.
    """
    require_positive(t_stop=t_stop, shutter_s=shutter_s, lux=lux)
    correct_iso = INCIDENT_CONSTANT * t_stop * t_stop / (lux * shutter_s)
    return same_kind(correct_iso * power_of_two(headroom_stops))


def lux_for_iso(t_stop: Real | float, shutter_s: Real | float, iso: Real | float) -> Real:
    """Return the illuminance in lux that an ISO speed exposes correctly.

    Args:
        t_stop: T-number of the lens in use, > 0.
        shutter_s: Exposure time in s, > 0.
        iso: ISO speed, no unit, > 0.
    Raises:
        OpticsError: If an argument is not positive.
    Source: ISO 2720:1974, N**2 / t = E * S / C, solved for E.
    """
    require_positive(t_stop=t_stop, shutter_s=shutter_s, iso=iso)
    return same_kind(INCIDENT_CONSTANT * t_stop * t_stop / (iso * shutter_s))


def exposure_value_100(lux: Real | float) -> Real:
    """Return the exposure value at ISO 100, in stops, of an illuminance in lux, > 0.

    Raises:
        OpticsError: If the illuminance is not positive.
    Source: encyclopedic article on exposure value, log2(E * S / C).
    """
    require_positive(lux=lux)
    return log2(lux * 100.0 / INCIDENT_CONSTANT)


def lux_at_ev_100(ev: Real | float) -> Real:
    """Return the illuminance in lux of an exposure value at ISO 100, in stops, of any sign.

    Source: inverse of `exposure_value_100`.
    """
    return same_kind(INCIDENT_CONSTANT / 100.0 * power_of_two(ev))


def stops_between(a: Real | float, b: Real | float) -> Real:
    """Return by how many stops `a` is more than `b` (lux, ISO or seconds; not f-numbers).

    Raises:
        OpticsError: If an argument is not positive.
    Source: definition of the stop, log2(a / b).
    """
    require_positive(a=a, b=b)
    return log2(a / b)


def t_stop(f_stop: Real | float, loss_stops: Real | float) -> Real:
    """Return the T-number, no unit, of an f-number whose glass loses some light.

    Args:
        f_stop: f-number, > 0.
        loss_stops: Light lost in the glass in stops, >= 0; where unknown, 1/3 to 2/3 is common
            practice, no source.
    Raises:
        OpticsError: If the f-number is not positive or the loss is negative.
    Source: definition, T = N / sqrt(transmittance), which is N * 2 ** (loss / 2).
    """
    require_positive(f_stop=f_stop)
    require("loss_stops", loss_stops, loss_stops >= 0, ">= 0")
    return same_kind(f_stop * power_of_two(loss_stops / 2))


def nd_stops(iso_needed_value: Real | float, base_iso: Real | float) -> Real:
    """Return the stops of neutral density, >= 0, that bring the needed ISO up to the base ISO.

    Args:
        iso_needed_value: ISO speed that the light asks for, > 0.
        base_iso: Lowest ISO speed that the body should be used at, > 0.
    Raises:
        OpticsError: If an argument is not positive.
    Source: definition of the stop; 0 where the light asks for the base ISO or more.
    """
    require_positive(iso_needed_value=iso_needed_value, base_iso=base_iso)
    shortfall_stops: Real | float = np.maximum(log2(base_iso / iso_needed_value), 0.0)
    return same_kind(shortfall_stops)


def nd_density(stops: Real | float) -> Real:
    """Return the optical density, no unit, of an ND filter given in stops, >= 0.

    Raises:
        OpticsError: If the stops are negative.
    Source: definition of density, stops * log10(2): one stop is 0.301.
    """
    require("stops", stops, stops >= 0, ">= 0")
    return same_kind(stops * math.log10(2.0))


def shutter_s_of_angle(angle_deg: Real | float, fps: Real | float) -> Real:
    """Return the exposure time in s of a shutter angle at a frame rate.

    Args:
        angle_deg: Shutter angle in degrees, > 0; more than 360 is longer than a frame.
        fps: Frames per second, > 0.
    Raises:
        OpticsError: If an argument is not positive.
    Source: definition of the rotary shutter, angle / (360 * fps).
    """
    require_positive(angle_deg=angle_deg, fps=fps)
    return same_kind(angle_deg / (360.0 * fps))


def shutter_angle_deg(shutter_s: Real | float, fps: Real | float) -> Real:
    """Return the shutter angle in degrees of an exposure time in s at a frame rate, both > 0.

    Raises:
        OpticsError: If an argument is not positive.
    Source: inverse of `shutter_s_of_angle`.
    """
    require_positive(shutter_s=shutter_s, fps=fps)
    return same_kind(360.0 * fps * shutter_s)
