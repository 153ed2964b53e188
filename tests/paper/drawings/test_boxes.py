"""Rectangles and lines: pair by pair as all at once, and as a geometry library sees them."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import given
from hypothesis import strategies as st

from kitplan.paper.drawings.boxes import Box, Line, cross, crosses, meet, meets, strike, strikes

PLACES = st.integers(-12, 12).map(lambda half: half / 2)
SIZES = st.integers(1, 12).map(lambda half: half / 2)
BOXES = st.builds(lambda x, y, w, h: Box(x, y, x + w, y + h), PLACES, PLACES, SIZES, SIZES)
LINES = st.tuples(PLACES, PLACES, PLACES, PLACES).filter(lambda line: line[:2] != line[2:])


@given(BOXES, BOXES, st.sampled_from((0.0, 0.5)))
def test_two_rectangles_meet(one: Box, other: Box, gap: float) -> None:
    """Grown by the gap they share an area: shapely, https://shapely.readthedocs.io."""
    grown = shapely.box(*one.grown(gap))
    expected = grown.intersection(shapely.box(*other)).area > 1e-9
    assert meets(one, other, gap) == expected
    assert meet(np.array([one]), np.array([other]), gap).tolist() == [[expected]]


@given(LINES, BOXES)
def test_a_line_runs_through_a_rectangle(line: Line, box: Box) -> None:
    """Part of it lies inside, not only on the rim (shapely)."""
    inside = shapely.LineString([line[:2], line[2:]]).intersection(shapely.box(*box))
    expected = inside.length > 1e-9 and not shapely.box(*box).exterior.covers(inside)
    assert strikes(line, box) == expected
    assert strike(np.array([line]), np.array([box])).tolist() == [[expected]]


@given(LINES, LINES)
def test_two_lines_cross(line: Line, other: Line) -> None:
    """At one point that is no end of either (shapely)."""
    one, two = (shapely.LineString([each[:2], each[2:]]) for each in (line, other))
    expected = one.crosses(two) and not any(
        end.distance(each) < 1e-9 for each, own in ((one, two), (two, one)) for end in ends(own)
    )
    assert crosses(line, other) == expected
    assert cross(np.array([line]), np.array([other])).tolist() == [[expected]]


def ends(line: shapely.LineString) -> list[shapely.Point]:
    """Return both ends of a line."""
    return [shapely.Point(place) for place in line.coords]
