"""Even rows of places inside an outline: seats, heads, the people of a group.

Rows lie across the house (along x) and are centred on the outline, so that a mirrored venue has
mirrored rows.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

import numpy as np

from kitplan.stage.sight import inside

Outline = Sequence[tuple[float, float]]


def rows_in(
    outline_m: Outline,
    across_m: float,
    deep_m: float,
    *,
    is_staggered: bool = False,
    most: int = 1500,
) -> list[tuple[float, float]]:
    """Return places inside an outline, from its largest y on and from left to right.

    Args:
        across_m: Distance of places in a row.
        deep_m: Distance of rows.
        is_staggered: Every other row is moved by half a place.
        most: Where there would be more, both distances grow.
    """
    points = np.asarray(outline_m, dtype=np.float64)
    low, high = points.min(axis=0), points.max(axis=0)
    size = high - low
    wanted = (size[0] / across_m) * (size[1] / deep_m)
    if wanted > most:
        across_m, deep_m = across_m * sqrt(wanted / most), deep_m * sqrt(wanted / most)
    middle = (low + high) / 2
    found = []
    ys = _steps(float(size[1]), deep_m, is_odd=None)
    for row, y in enumerate(reversed(ys)):
        is_odd = bool(row % 2) if is_staggered else None
        xs = _steps(float(size[0]), across_m, is_odd=is_odd)
        found += [(float(middle[0] + x), float(middle[1] + y)) for x in xs]
    if not found:
        return []
    kept = inside(outline_m, np.array(found))
    return [place for place, is_in in zip(found, kept, strict=True) if is_in]


def _steps(length: float, step: float, *, is_odd: bool | None) -> list[float]:
    """Return offsets from the middle that leave half a step free at both ends.

    Args:
        is_odd: With a place in the very middle, without one, or whatever holds more.
    """
    number = max(int(length / step + 1e-9), 1)
    if is_odd is not None and number % 2 != int(is_odd):
        number = max(number - 1, int(is_odd))
    return [(index - (number - 1) / 2) * step for index in range(number)]


def is_inside(outline_m: Outline, place_m: tuple[float, float]) -> bool:
    """Return whether a place lies inside an outline."""
    return bool(inside(outline_m, np.array([place_m]))[0])
