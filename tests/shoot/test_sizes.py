"""Shot sizes on persons, objects, groups: frame heights worked out by hand."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest

from kitplan.shoot.sizes import (
    LADDER,
    body_m,
    frame_range,
    height_m,
    is_tight_enough,
    sizes_for,
)
from kitplan.shoot.venue import Subject

ASPECT = 16 / 9


def person(**facts: Any) -> Subject:
    """Return a standing adult, or another person."""
    return Subject(id="singer", at_m=(0, 2), **facts)


def thing(**facts: Any) -> Subject:
    """Return an object."""
    return Subject(id="piano", kind="object", at_m=(0, 2), **facts)


def group(**facts: Any) -> Subject:
    """Return a group."""
    return Subject(id="band", kind="group", outline_m=((0, 0), (4, 0), (4, 2)), **facts)


def planned_m(subject: Subject, size: str, width_seen_m: float = 0.0) -> float:
    """Return the planned frame height."""
    return frame_range(subject, size, width_seen_m, ASPECT).frame_m


@pytest.mark.parametrize(
    ("size", "frame_m"),
    [("ECU", 0.25), ("CU", 0.5), ("MCU", 0.7), ("MS", 0.9), ("MLS", 1.4), ("FS", 2.1), ("WS", 4.0)],
)
def test_a_standing_adult_has_the_frames_of_the_table(size: str, frame_m: float) -> None:
    """The table is for an adult of 1.75 m."""
    assert planned_m(person(), size) == pytest.approx(frame_m)


def test_the_body_scales_with_stature_and_not_with_posture() -> None:
    """A medium shot of a child of 1.30 m is 0.9 x 1.30 / 1.75 = 0.669 m; sitting changes none."""
    assert planned_m(person(posture="child"), "MS") == pytest.approx(0.9 * 1.30 / 1.75)
    assert planned_m(person(posture="seated"), "MS") == pytest.approx(0.9)
    assert planned_m(person(posture="dancer"), "MS") == pytest.approx(0.9)


def test_the_whole_figure_scales_with_its_height() -> None:
    """2.1 m for 1.75 m: seated 2.1 x 1.3 / 1.75 = 1.56 m, dancer 3.6 m, 1.90 m tall 2.28 m."""
    assert planned_m(person(posture="seated"), "FS") == pytest.approx(1.56)
    assert planned_m(person(posture="dancer"), "FS") == pytest.approx(3.6)
    assert planned_m(person(height_m=1.9), "FS") == pytest.approx(2.28)


def test_a_whole_figure_is_never_narrower_than_the_subject() -> None:
    """Drums 3.4 m wide: the least frame of a full shot is 3.4 / (16/9) = 1.9125 m, not 1.7 m."""
    full = frame_range(person(width_m=3.4), "FS", 0.0, ASPECT)
    assert full.least_m == pytest.approx(1.9125)
    assert full.frame_m == pytest.approx(2.1 * 1.9125 / 1.7)
    assert planned_m(person(width_m=3.0), "FS") == pytest.approx(2.1)  # 3.0 / (16/9) = 1.6875


def test_an_object_is_framed_by_the_larger_of_height_and_width() -> None:
    """A piano 1.2 m high: full shot 3.5 x 1.2 = 4.2 m; seen 3.2 m wide its extent is 1.8 m."""
    piano = thing(height_m=1.2)
    assert planned_m(piano, "FS", 1.5) == pytest.approx(4.2)
    assert planned_m(piano, "FS", 3.2) == pytest.approx(3.5 * 1.8)


def test_a_group_is_framed_by_what_is_seen_of_it() -> None:
    """8 m wide: 8 / (16/9) = 4.5 m high, all of it 4.95 m, rows of it 2.475 m."""
    assert planned_m(group(), "WS", 8.0) == pytest.approx(4.95)
    assert planned_m(group(), "MLS", 8.0) == pytest.approx(2.475)
    assert planned_m(group(height_m=6.0), "WS", 8.0) == pytest.approx(6.6)


def test_frames_in_metres_replace_the_table() -> None:
    """A given frame keeps its name from 1/1.2 to 1.2 of it, and may add a size to a group."""
    close = frame_range(person(frames_m={"CU": 0.6}), "CU", 0.0, ASPECT)
    assert close == pytest.approx((0.6, 0.5, 0.72))
    assert "MS" in sizes_for(group(frames_m={"MS": 1.8}))
    assert planned_m(group(frames_m={"MS": 1.8}), "MS", 8.0) == 1.8


@pytest.mark.parametrize("subject", [person(), person(posture="child"), thing(), group()])
def test_ranges_of_neighbouring_sizes_do_not_overlap(subject: Subject) -> None:
    """Each size ends where the next begins, or before, and holds its planned frame."""
    ranges = [frame_range(subject, size, 3.0, ASPECT) for size in sizes_for(subject)]
    for tight, wide in pairwise(ranges):
        assert tight.most_m <= wide.least_m + 1e-9
    for one in ranges:
        assert one.least_m < one.frame_m < one.most_m


def test_sizes_that_exist() -> None:
    """Persons have all, objects and groups some; `closest` cuts off the tight end."""
    assert sizes_for(person()) == LADDER
    assert sizes_for(thing()) == ("ECU", "CU", "MS", "FS", "WS")
    assert sizes_for(group()) == ("MLS", "WS", "EWS")
    assert sizes_for(person(closest="FS")) == ("FS", "WS", "EWS")
    assert sizes_for(person(closest="ECU")) == LADDER
    assert sizes_for(thing(closest="MCU")) == ("MS", "FS", "WS")


def test_heights_come_from_posture_or_from_the_file() -> None:
    """The whole figure of a seated adult is lower, the body is the same."""
    assert (height_m(person()), body_m(person())) == (1.75, 1.75)
    assert (height_m(person(posture="seated")), body_m(person(posture="seated"))) == (1.3, 1.75)
    assert (height_m(person(posture="child")), body_m(person(posture="child"))) == (1.3, 1.3)
    assert height_m(person(height_m=1.62)) == 1.62


@pytest.mark.parametrize(
    ("size", "is_tight"), [("CU", True), ("MS", True), ("MLS", False)], ids=["above", "at", "below"]
)
def test_tight_enough_is_inclusive(size: str, is_tight: bool) -> None:
    """A medium shot or tighter does where a medium shot is wanted."""
    assert is_tight_enough(size, "MS") is is_tight
