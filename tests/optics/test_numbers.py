"""What goes in comes out: floats stay floats, arrays stay arrays."""

import numpy as np

from kitplan.optics.numbers import log2, power_of_two, same_kind


def test_a_numpy_scalar_becomes_a_plain_float() -> None:
    """Records and JSON must never carry numpy's own scalars."""
    plain: list[object] = [same_kind(np.float64(2.5)), same_kind(np.array(2.5))]
    assert [type(number) for number in plain] == [float, float]


def test_an_array_comes_back_as_the_same_object() -> None:
    """Nothing is copied."""
    values = np.array([1.0, 2.0])
    assert same_kind(values) is values


def test_stops_and_ratios_of_light_are_inverse() -> None:
    """Three stops are eight times the light."""
    assert power_of_two(3.0) == 8.0
    assert log2(8.0) == 3.0
    np.testing.assert_array_equal(power_of_two(np.array([-1.0, 0.0, 1.0])), [0.5, 1.0, 2.0])
