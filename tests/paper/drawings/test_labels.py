"""Labels find places without ever touching each other, the marks, or the rim of the sheet."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitplan.paper.drawings.boxes import Box, around
from kitplan.paper.drawings.labels import GAP_MM, Label, Wish, place

SHEET = Box(0, 0, 190, 200)


def wish(number: int, x: float, y: float, *, wide: float = 30.0, high: float = 9.0) -> Wish:
    """Return a camera's wish: three lines, two lines, or a letter."""
    return Wish(f"w{number}", (x, y), 3.0, ((wide, high), (wide * 0.8, high * 0.6), (5.0, 4.0)))


def assert_clear(found: dict[str, Label], solid: list[Box]) -> None:
    """Check that nothing touches anything."""
    for label in found.values():
        assert SHEET.holds(label.box)
        assert not any(label.box.overlaps(mark.grown(GAP_MM - 1e-6)) for mark in solid)
    for one, other in combinations(found.values(), 2):
        assert not one.box.overlaps(other.box.grown(GAP_MM - 1e-6)), (one.key, other.key)


def test_a_single_label_stands_beside_its_mark() -> None:
    """To the right, close by, in full and without a leader."""
    label = place([wish(1, 95, 100)], SHEET, [around(95, 100, 3)])["w1"]
    assert label.form == 0
    assert label.leader is None
    assert label.box.left == pytest.approx(95 + 3 + 0.6, abs=0.5)


def test_a_label_in_a_corner_stays_on_the_sheet() -> None:
    """There is no room to the right of it."""
    label = place([wish(1, 188, 2)], SHEET, [around(188, 2, 3)])["w1"]
    assert label.form == 0
    assert SHEET.holds(label.box)


def test_a_far_label_has_a_leader_from_mark_to_label() -> None:
    """All around the mark is taken."""
    solid = [around(95, 100, 3), Box(60, 80, 91, 120), Box(99, 80, 130, 120)]
    solid += [Box(60, 60, 130, 95), Box(60, 105, 130, 140)]
    label = place([wish(1, 95, 100)], SHEET, solid)["w1"]
    assert label.leader is not None
    x, y = label.leader[2:]
    assert label.box.grown(1e-6).holds(Box(x, y, x, y))


def test_names_of_areas_stand_inside_without_a_leader() -> None:
    """The first spot that is free."""
    area = Wish("hall", (95, 100), 0.0, ((20, 4),), spots=((95, 100), (95, 120)))
    label = place([area], SHEET, [around(95, 100, 3)])["hall"]
    assert label.box.middle == pytest.approx((95, 120))
    assert label.leader is None


def test_one_label_makes_way_for_another() -> None:
    """The lane holds one label, and only the second wish has nowhere else to go."""
    lane = Box(0, 0, 60, 10)
    free = Wish("free", (30, 5), 1.0, ((20, 5),), weight=2.0)
    bound = Wish("bound", (30, 5), 0.0, ((20, 5),), spots=((42, 5),))
    found = place([free, bound], lane, [around(30, 5, 1)])
    assert set(found) == {"free", "bound"}
    assert not found["free"].box.overlaps(found["bound"].box)


def test_what_finds_no_place_is_missing() -> None:
    """The caller lists it in a key."""
    assert place([wish(1, 5, 5)], Box(0, 0, 4, 3)) == {}


def test_fourteen_cameras_in_one_corner_all_get_labels() -> None:
    """Large labels on two rows 7 mm apart: in full, in short, or at least their letter."""
    wishes = [wish(n, 20 + 7 * (n % 7), 30 + 8 * (n // 7), wide=38, high=12) for n in range(14)]
    solid = [around(*each.at, 3) for each in wishes]
    found = place(wishes, SHEET, solid)
    assert len(found) == 14
    assert sum(label.form == 0 for label in found.values()) >= 6
    assert_clear(found, solid)


Places = st.lists(
    st.tuples(st.floats(3, 187), st.floats(3, 197), st.floats(4, 45), st.floats(3, 14)),
    min_size=1,
    max_size=25,
)


@settings(max_examples=40, deadline=None)
@given(Places)
def test_labels_never_touch(places: list[tuple[float, float, float, float]]) -> None:
    """Whatever the anchors and sizes."""
    wishes = [wish(n, x, y, wide=w, high=h) for n, (x, y, w, h) in enumerate(places)]
    solid = [around(*each.at, 3) for each in wishes]
    assert_clear(place(wishes, SHEET, solid), solid)


def test_the_same_wishes_get_the_same_places() -> None:
    """Nothing depends on chance."""
    wishes = [wish(n, 40 + 3 * n, 50 + 2 * n) for n in range(9)]
    assert place(wishes, SHEET) == place(wishes, SHEET)
