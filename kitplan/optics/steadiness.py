"""Steadiness: how far a picture moves within a second.

Tremors of support, floor and wind are independent, so they add as the root of the sum of squares.
The size of each is common practice, no source (shared/steadiness.yaml). What a movement does to the
picture is plain geometry: its angle as a share of the angle of view.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def tremor_deg(
    support_deg: Floats | float,
    floor_deg: Floats | float,
    wind_deg: float,
    support_stops: Floats | float = 0.0,
    floor_stops: Floats | float = 0.0,
) -> Floats:
    """Return the angular tremor within a second, in degrees.

    Args:
        support_deg, floor_deg, wind_deg: The tremor of each by itself, in degrees.
        support_stops, floor_stops: Stops by which a stabiliser lessens it: half for each stop.
    """
    support = np.asarray(support_deg) * 2.0 ** -np.asarray(support_stops)
    floor = np.asarray(floor_deg) * 2.0 ** -np.asarray(floor_stops)
    found: Floats = np.sqrt(support**2 + floor**2 + wind_deg**2)
    return found


def movement_share(tremor: Floats, view_deg: Floats | float) -> Floats:
    """Return the movement within a second as a share of the frame's height.

    Args:
        tremor: Angular tremor in degrees.
        view_deg: Vertical angle of view in degrees, > 0.
    """
    found: Floats = tremor / view_deg
    return found
