"""Floor plans are to scale, say what the plan says, and nothing on them overlaps."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from itertools import combinations
from math import dist

import pytest

from kitplan.paper.drawings.boxes import Box
from kitplan.paper.drawings.floor_plan import RIM_MM, floor_plan
from kitplan.paper.drawings.ground import arc_points, lay, towards
from kitplan.paper.drawings.looks import looks_of
from kitplan.paper.drawings.plan_views import wedge_m
from kitplan.paper.drawings.sheet import Print, inner_box
from kitplan.paper.drawings.svg import NAMESPACE
from kitplan.paper.drawings.text import ASCENT, DESCENT, LEAST_MM
from kitplan.paper.pack.setting import Setting, Units
from kitplan.plan.records import Placement
from kitplan.shoot.records import Shoot
from kitplan.shoot.venue import Subject
from tests.paper.drawings.made import EVIL, SHOW, content, placement, rig, shot
from tests.small import position, singer, small_shoot

LONG = "A very long name that somebody typed into the file because nobody told them to be brief"


def sheet(placements: list[Placement], shoot: Shoot | None = None) -> ET.Element:
    """Return the first sheet of a floor plan as XML."""
    found = floor_plan(content(placements, shoot).names, SHOW, "plan")
    return ET.fromstring(found[0].drawing.svg())


def texts(root: ET.Element) -> list[str]:
    """Return all that is written, with plain spaces."""
    return [
        (element.text or "").replace("\u00a0", " ") for element in root.iter(f"{{{NAMESPACE}}}text")
    ]


def text_boxes(root: ET.Element) -> list[tuple[str, Box]]:
    """Return the rectangles of all level text."""
    found = []
    for element in root.iter(f"{{{NAMESPACE}}}text"):
        if "transform" in element.attrib:
            continue
        x, y = float(element.attrib["x"]), float(element.attrib["y"])
        size, wide = float(element.attrib["font-size"]), float(element.attrib["textLength"])
        assert size >= LEAST_MM - 0.01, element.text
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[
            element.attrib.get("text-anchor", "start")
        ]
        # Letters without the rims of their lines, as they are inked.
        box = Box(left, y - ASCENT * size * 0.9, left + wide, y + DESCENT * size * 0.6)
        found.append((element.text or "", box))
    return found


def crowded() -> tuple[list[Placement], Shoot]:
    """Return fourteen cameras with long names close to each other, and as many free positions."""
    used = [
        position(f"p{n}", name=f"{LONG} {n}", at_m=(-6 + 2 * (n % 7), -8 - 1.5 * (n // 7)))
        for n in range(14)
    ]
    free = [position(f"f{n}", name=f"Free {n} {LONG}", at_m=(-5 + 1.5 * n, -4)) for n in range(8)]
    subjects = [
        singer(f"s{n}", name=f"Somebody {n} with a rather long name", at_m=(-3 + n, 2 + n % 3))
        for n in range(7)
    ]
    shoot = small_shoot(positions=(*used, *free), subjects=(*subjects, singer()))
    cameras = [
        placement(chr(65 + n), f"p{n}", operator="ann" if n % 2 else None, shot=shot(f"s{n % 7}"))
        for n in range(14)
    ]
    return cameras, shoot


def test_known_points_are_the_right_distance_apart() -> None:
    """On a scale of 1:100 a metre is 10 mm: the stage is 8 m wide."""
    ground = lay([(-4, 0), (4, 0), (4, 6), (-4, 6), (0, -10)], Box(0, 0, 180, 190), 6)
    assert ground.scale == 100
    assert dist(ground.spot((-4, 0)), ground.spot((4, 0))) == pytest.approx(80)
    assert ground.spot((0, 6))[1] < ground.spot((0, 0))[1]  # upstage is at the top
    assert ground.spot((4, 0))[0] > ground.spot((-4, 0))[0]  # house right is at the right


def test_the_scale_bar_has_its_length() -> None:
    """Four quarters of a bar of 5 m at the scale that is written beside it."""
    root = sheet([placement()])
    scale = next(int(m[1]) for t in texts(root) if (m := re.fullmatch(r"1:(\d+) on A4", t)))
    words = next(t for t in texts(root) if re.fullmatch(r"\d+ m", t))
    bars = [
        float(e.attrib["width"])
        for e in root.iter(f"{{{NAMESPACE}}}rect")
        if e.attrib["height"] == "1.5"
    ]
    assert sum(bars) == pytest.approx(float(words.split()[0]) * 1000 / scale, abs=0.03)


def test_the_wedge_is_as_wide_as_the_frame() -> None:
    """A frame 0.9 m high and 16:9 at 12 m is 1.6 m wide there."""
    names = content([placement()]).names
    lens, left, right = wedge_m(looks_of(names, names.plan.placements[0])[0])
    assert lens == (0, -10)
    assert dist(left, right) == pytest.approx(1.6, abs=1e-3)
    assert (left[1] + right[1]) / 2 == pytest.approx(2.0)


def test_a_view_from_straight_above_is_a_piece_of_ground() -> None:
    """The lens 6 m up, over the singer: four corners around the singer."""
    above = position("above", at_m=(0, 2), floor_height_m=6, lens_height_m=0, stands_on="bar")
    seen = content([placement("A", "above")], small_shoot(positions=(above,)))
    corners = wedge_m(seen.looks[0])
    assert len(corners) == 4
    assert sum(x for x, _ in corners) / 4 == pytest.approx(0)


def test_bearings_run_clockwise_from_upstage() -> None:
    """90 degrees is house right."""
    assert towards((0, 0), 90, 2) == pytest.approx((2, 0))
    points = arc_points((0, 0), 1, (0, 90))
    assert points[0] == pytest.approx((0, 1))
    assert points[-1] == pytest.approx((1, 0))


def test_labels_say_what_the_plan_says() -> None:
    """Letter, subject and size, lens, support, height, and who."""
    root = sheet([placement(), placement("B", "left", operator=None, rig=rig("slider-1"))])
    found = texts(root)
    for words in ("A singer MS", "119 mm, legs", "ann, lens 1.4 m up", "119 mm, slider"):
        assert words in found
    assert "locked off, lens 1.4 m up" in found
    assert {"upstage", "house left", "house right", "house", "show", "Floor plan"} <= set(found)
    assert "right" in found  # the free position


def test_views_that_are_locked_off_are_dashed() -> None:
    """And only those."""
    operated, locked = sheet([placement()]), sheet([placement(operator=None)])
    assert sum("stroke-dasharray" in e.attrib for e in locked.iter()) > sum(
        "stroke-dasharray" in e.attrib for e in operated.iter()
    )


def test_with_fourteen_cameras_and_long_names_nothing_overlaps() -> None:
    """All text, the key and the legend included; no text leaves the margins."""
    cameras, shoot = crowded()
    sheets = floor_plan(content(cameras, shoot).names, SHOW, "plan")
    for each in sheets:
        root = ET.fromstring(each.drawing.svg())
        room = inner_box(each.drawing.width_mm, each.drawing.height_mm)
        boxes = text_boxes(root)
        for words, box in boxes:
            assert room.grown(0.01).holds(box), words
        for (one, a), (other, b) in combinations(boxes, 2):
            assert not a.overlaps(b), (one, other)


def test_what_has_no_room_on_the_plan_stands_in_the_key() -> None:
    """Every free position and every subject is named somewhere on the sheets."""
    cameras, shoot = crowded()
    sheets = floor_plan(content(cameras, shoot).names, SHOW, "plan")
    written = " ".join(
        words for each in sheets for words in texts(ET.fromstring(each.drawing.svg()))
    )
    for n in range(8):
        assert f"Free {n}" in written
    for n in range(7):
        assert f"Somebody {n}" in written
    assert all(f"{LONG} {n}"[:30] in written for n in range(14))


def test_markup_in_names_is_text() -> None:
    """The file stays well-formed XML and says what was typed."""
    root = sheet([placement()], small_shoot(subjects=(singer(name=EVIL),)))
    assert any('Ann <b>&"Ben" [trumpet]' in words for words in texts(root))
    assert not list(root.iter("b"))


@pytest.mark.parametrize(
    "parts",
    [
        {},
        {"subjects": (singer(), Subject(id="crowd", kind="audience"))},
        {"positions": (position("front", at_m=(0, 2)),)},
        {"positions": (position("front"), position("far", at_m=(900, -900)))},
        {"stage": {"outline_m": ((0, 0), (0.1, 0), (0.1, 0.1))}},
    ],
    ids=["plain", "audience-without-area", "lens-over-subject", "far-away", "tiny-stage"],
)
def test_odd_plans_are_drawn_as_well(parts: dict[str, object]) -> None:
    """With a camera, and without any."""
    shoot = small_shoot(**parts)
    for cameras in ([placement()], []):
        assert floor_plan(content(cameras, shoot).names, SHOW, "plan")


def test_the_same_plan_gives_the_same_file() -> None:
    """No clock, no chance."""
    first, second = (
        floor_plan(content([placement()]).names, SHOW, "plan")[0].drawing.svg() for _ in range(2)
    )
    assert first == second


def test_a_rim_is_left_for_marks() -> None:
    """Everything to be shown lies within the rim."""
    area = Box(10, 10, 200, 250)
    points = [(-20.0, -30.0), (15.0, 12.0)]
    ground = lay(points, area, RIM_MM)
    assert all(
        area.grown(-RIM_MM + 0.01).holds(Box(*ground.spot(p), *ground.spot(p))) for p in points
    )


@pytest.mark.parametrize(
    ("units", "figures"),
    [("m", {"lens 1.6 m", "floor 3.5 m"}), ("ft", {"lens 5 ft 3 in", "floor 11 ft 4 in"})],
)
def test_no_figure_of_a_camera_label_is_cut(units: Units, figures: set[str]) -> None:
    """Names of every length: floor and height are said in full, or the key alone says them."""
    stand = position(at_m=(0, -9), floor_height_m=3.46, lens_height_m=1.6)
    shoot, said = small_shoot(positions=(stand,)), set[str]()
    for length in range(3, 40, 2):
        crew = tuple(each.model_copy(update={"name": "N" * length}) for each in shoot.crew)
        names = content([placement()], shoot.model_copy(update={"crew": crew})).names
        drawn = floor_plan(names, SHOW, "plan", Print(Setting(units=units)))[0].drawing.svg()
        lines = [line for line in texts(ET.fromstring(drawn)) if line.startswith("NNN")]
        at_camera, _in_key = lines
        said |= set(at_camera.split(", ")[1:])
    assert said == figures
