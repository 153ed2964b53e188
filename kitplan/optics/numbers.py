"""The kind of number every optics formula takes and gives back.

A parameter is annotated `Real | float` and the result `Real`: floats in give a float out, and one
array among the arguments makes the result an array, broadcast as numpy does it.
"""

from typing import Any, TypeAlias, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]
Real = TypeVar("Real", float, FloatArray)

EPSILON = 1e-9
"""Relative slack, no unit, that keeps inclusive limits inclusive after floating-point rounding."""


def same_kind(value: Real | float) -> Real:
    """Return an array unchanged and any single number, numpy's own included, as a plain float."""
    plain: Any = value if np.ndim(value) else float(value)
    return cast(Real, plain)


def log2(value: Real | float) -> Real:
    """Return the logarithm to base 2, no unit, of a value > 0: a ratio of light in stops."""
    exponent: Real | float = np.log2(value)
    return same_kind(exponent)


def power_of_two(exponent: Real | float) -> Real:
    """Return 2 to the exponent, no unit: a number of stops as a ratio of light."""
    power: Real | float = np.exp2(exponent)
    return same_kind(power)
