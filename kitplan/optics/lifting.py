"""Lifting: the revised NIOSH lifting equation, metric form. Numbers in, numbers out.

Its figure says up to which mass a lift is acceptable to most healthy people under the posture that
is given; it is a filter, never a permission. Not for one hand, unstable loads, poor footing, or
carrying further than a step or two.

Source: Waters, Putz-Anderson, Garg, Applications Manual for the Revised NIOSH Lifting Equation,
DHHS (NIOSH) 94-110, 1994, revised 2021, pages 7 to 18.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from typing import Literal

from kitplan.optics.lens import OpticsError

Coupling = Literal["good", "fair", "poor"]
Duration = Literal["short", "moderate", "long"]
"""Up to an hour of lifting, up to two, up to eight."""

LOAD_CONSTANT_KG = 23.0
NEAREST_CM, FARTHEST_CM = 25.0, 63.0
HIGHEST_CM, LONGEST_CM, MOST_TWIST_DEG = 175.0, 175.0, 135.0
LOW_CM = 75.0
"""Height of the hands at which lifting is easiest."""
_RATES = (0.2, 1.0, 3.0, 6.0)
_FREQUENCY: dict[Duration, tuple[float, ...]] = {
    "short": (1.0, 0.94, 0.88, 0.75),
    "moderate": (0.95, 0.88, 0.79, 0.5),
    "long": (0.85, 0.75, 0.55, 0.27),
}
"""Rows of table 5 of the manual at these lifts a minute; between them straight lines."""


@dataclass(frozen=True)
class Lift:
    """A lift with both hands."""

    horizontal_cm: float
    """From between the ankles to between the hands."""
    vertical_cm: float
    """Height of the hands over the floor."""
    travel_cm: float
    """How far up or down the hands go."""
    twist_deg: float = 0.0
    per_min: float = 0.2
    duration: Duration = "short"
    coupling: Coupling = "fair"
    """How well the hands hold it."""


FLOOR_TO_BOOT = Lift(horizontal_cm=32.5, vertical_cm=35.0, travel_cm=65.0)
"""A case 25 cm deep (20 cm + half of that), its handles 35 cm over the floor, onto a sill of 65 cm
and slid in, now and then, without a twist."""


def frequency_factor(per_min: float, duration: Duration) -> float:
    """Return the multiplier for so many lifts a minute, 0 to 1.

    Raises:
        OpticsError: Above 6 lifts a minute; nobody loads a car so fast.
    """
    if not 0 <= per_min <= _RATES[-1]:
        raise OpticsError(f"{per_min:g} lifts a minute are not between 0 and {_RATES[-1]:g}")
    row, rate = _FREQUENCY[duration], max(per_min, _RATES[0])
    upper = max(bisect_left(_RATES, rate), 1)
    low, high = _RATES[upper - 1], _RATES[upper]
    return row[upper - 1] + (row[upper] - row[upper - 1]) * (rate - low) / (high - low)


def coupling_factor(coupling: Coupling, vertical_cm: float) -> float:
    """Return the multiplier for the hold of the hands, 0.9 to 1."""
    if coupling == "fair":
        return 0.95 if vertical_cm < LOW_CM else 1.0
    return 1.0 if coupling == "good" else 0.9


def recommended_kg(lift: Lift) -> float:
    """Return the recommended weight limit in kg: 23 * HM * VM * DM * AM * FM * CM.

    HM = 25 / H, VM = 1 - 0.003 |V - 75|, DM = 0.82 + 4.5 / D, AM = 1 - 0.0032 A. 0 where the hands
    are too far, too high, travel too far or turn too much.

    Raises:
        OpticsError: For a negative length, or more lifts a minute than the table has.
    """
    if min(lift.horizontal_cm, lift.vertical_cm, lift.travel_cm, lift.twist_deg) < 0:
        raise OpticsError("lengths and angles of a lift are 0 or more")
    if (
        lift.horizontal_cm > FARTHEST_CM
        or lift.vertical_cm > HIGHEST_CM
        or lift.travel_cm > LONGEST_CM
        or lift.twist_deg > MOST_TWIST_DEG
    ):
        return 0.0
    return (
        LOAD_CONSTANT_KG
        * (NEAREST_CM / max(lift.horizontal_cm, NEAREST_CM))
        * (1 - 0.003 * abs(lift.vertical_cm - LOW_CM))
        * (0.82 + 4.5 / max(lift.travel_cm, NEAREST_CM))
        * (1 - 0.0032 * lift.twist_deg)
        * frequency_factor(lift.per_min, lift.duration)
        * coupling_factor(lift.coupling, lift.vertical_cm)
    )
