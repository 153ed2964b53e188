"""The writer of SVG: numbers with at most two decimals, however many are written at once."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.paper.drawings.svg import number, path_of

PLACES = st.floats(min_value=-1e4, max_value=1e4, allow_nan=False)


@given(st.lists(st.tuples(PLACES, PLACES), max_size=6), st.booleans())
def test_a_path_is_its_numbers_one_by_one(
    points: list[tuple[float, float]], is_closed: bool
) -> None:
    """Written all at once it reads as if each were written alone."""
    spots = [f"{number(x)} {number(y)}" for x, y in points]
    expected = f"M{'L'.join(spots)}{'Z' if is_closed else ''}" if spots else ""
    assert path_of(points, is_closed=is_closed) == expected


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0"), (-0.001, "0"), (10.0, "10"), (100.5, "100.5"), (-0.05, "-0.05"), (7.999, "8")],
    ids=["none", "less-than-none", "ten", "half", "negative", "up"],
)
def test_numbers_are_short(value: float, text: str) -> None:
    """No trailing noughts, and no negative nought, alone or in a path."""
    assert number(value) == text
    assert path_of([(value, value)], is_closed=True) == f"M{text} {text}Z"
