"""Frames show what the pinhole camera of the plan shows."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from typing import Any

import numpy as np
import pytest

from kitplan.paper.drawings.boxes import Box
from kitplan.paper.drawings.cast import cast_of
from kitplan.paper.drawings.figures import Facing, figure
from kitplan.paper.drawings.frame import draw_picture
from kitplan.paper.drawings.frames import contact_sheets, frame_sheet
from kitplan.paper.drawings.looks import Look, look_of, looks_of
from kitplan.paper.drawings.onlookers import from_above
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.drawings.scene import TARGET, Eye, Floats
from kitplan.paper.drawings.svg import NAMESPACE, Drawing
from kitplan.paper.drawings.view_people import (
    facing,
    head_top_m,
    reach_around_m,
    stature_of,
)
from kitplan.paper.drawings.view_venue import floor_m, places_in
from kitplan.paper.drawings.viewfinder import cut_to_frame, planes_of
from kitplan.plan.framing import Framing
from kitplan.shoot.records import Shoot
from kitplan.shoot.venue import AudienceArea, Subject
from kitplan.stage.frame import pinhole, project
from tests.paper.drawings.made import content, menu, placement, shot
from tests.small import position, singer, small_shoot

FRAME = Box(0.0, 0.0, 160.0, 90.0)
HAIR = TARGET.styles["hair"].fill


def picture(seen: Content, look: Look) -> ET.Element:
    """Return a picture of 160 x 90 mm as XML."""
    drawing = Drawing(160, 90, "test")
    draw_picture(drawing, seen, look, FRAME)
    return ET.fromstring(drawing.svg())


def rings(root: ET.Element, fill: str) -> list[list[tuple[float, float]]]:
    """Return the corners of all shapes with a fill."""
    return [corners(e) for e in root.iter(f"{{{NAMESPACE}}}path") if e.attrib["fill"] == fill]


def corners(element: ET.Element) -> list[tuple[float, float]]:
    """Return the corners of a path."""
    numbers = [float(n) for n in re.findall(r"-?[\d.]+", element.attrib["d"])]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def first_look(seen: Content) -> Look:
    """Return the main shot of the first camera."""
    return seen.looks[0]


def mirrored_shoot(shoot: Shoot, **changes: Any) -> Shoot:
    """Return a shoot with house left and house right changed over."""
    data = shoot.model_dump(by_alias=True)

    def turned(value: Any, key: str = "") -> Any:
        if key == "at_m" and value is not None:
            return (-value[0], value[1])
        if key == "outline_m" and value is not None:
            return tuple((-x, y) for x, y in value)
        if isinstance(value, dict):
            return {name: turned(inner, name) for name, inner in value.items()}
        if isinstance(value, list | tuple):
            return tuple(turned(inner) for inner in value)
        return value

    return Shoot.model_validate({**turned(data), **changes})


def test_a_head_is_where_the_camera_sees_it() -> None:
    """The crown of somebody 1.75 m tall at (0, 2), through the camera that the plan describes."""
    seen = content([placement()])
    look = first_look(seen)
    camera = pinhole(
        np.array([look.lens_m]), np.array([look.aim_m]), np.array([look.view_deg]), look.aspect
    )
    u, v, _ = project(camera, np.array([[0.0, 2.0, 1.75]]))
    hair = rings(picture(seen, look), HAIR)[0]
    top = min(y for _, y in hair)
    middle = sum(x for x, y in hair if y < top + 0.01) / sum(y < top + 0.01 for _, y in hair)
    assert top == pytest.approx(float(v[0, 0]) * 90, abs=0.02)
    assert middle == pytest.approx(float(u[0, 0]) * 160, abs=0.02)


def test_a_medium_shot_keeps_its_head_room() -> None:
    """7 % of the frame over the head (shared/shot_sizes.yaml)."""
    seen = content([placement()])
    hair = rings(picture(seen, first_look(seen)), HAIR)[0]
    assert min(y for _, y in hair) / 90 == pytest.approx(0.07, abs=0.005)


def test_a_mirrored_shoot_gives_a_mirrored_picture() -> None:
    """Every corner of every shape, people, crew, audience and obstacle included."""
    shoot = small_shoot(
        positions=(position("left"), position("right", at_m=(3, -2))),
        audience=[{"id": "hall", "outline_m": ((-6, -9), (5, -9), (5, -2), (-6, -2))}],
        subjects=(
            singer(at_m=(0.7, 2)),
            Subject(id="band", kind="group", outline_m=((-3, 3), (1, 3), (1, 5), (-3, 5))),
            Subject(id="box", kind="object", at_m=(2, 3), height_m=1.1),
            singer("seated", at_m=(-2, 1), posture="seated"),
            singer("dancer", at_m=(2.2, 4), posture="dancer"),
        ),
    )
    cameras = [placement("A", "left", shot=shot(view_deg=40)), placement("B", "right")]
    plain = content(cameras, shoot)
    mirrored = content(cameras, mirrored_shoot(shoot))
    one = picture(plain, first_look(plain))
    other = picture(mirrored, first_look(mirrored))
    found, turned = boxes(one), boxes(other)[:, [1, 0, 2, 3]] * [-1, -1, 1, 1] + [160, 160, 0, 0]
    apart = np.abs(found[:, None, :] - turned[None, :, :]).max(axis=2)
    assert len(found) == len(turned) > 60
    assert apart.min(axis=1).max() < 0.03
    assert apart.min(axis=0).max() < 0.03


def boxes(root: ET.Element) -> Floats:
    """Return left, right, top and bottom of every shape."""
    found = [np.array(c) for e in root.iter(f"{{{NAMESPACE}}}path") if (c := corners(e))]
    return np.array([(c[:, 0].min(), c[:, 0].max(), c[:, 1].min(), c[:, 1].max()) for c in found])


def test_nearer_things_are_drawn_over_farther_ones() -> None:
    """The subject stands 1 m before a colleague: drawn later."""
    shoot = small_shoot(subjects=(singer(), singer("colleague", at_m=(0.2, 3))))
    seen = content([placement()], shoot)
    fills = [e.attrib["fill"] for e in picture(seen, first_look(seen)).iter(f"{{{NAMESPACE}}}path")]
    assert fills.index("#9b9b9b") < fills.index(HAIR)  # the colleague's hair, then the singer's


def test_other_cameras_in_the_picture_carry_their_letter() -> None:
    """B stands beside the singer; its own picture has no letter of its own."""
    shoot = small_shoot(positions=(position("front"), position("near", at_m=(0.5, 1.5))))
    seen = content([placement("A", "front"), placement("B", "near")], shoot)
    a, b = seen.looks
    assert "B" in [e.text for e in picture(seen, a).iter(f"{{{NAMESPACE}}}text")]
    assert "B" not in [e.text for e in picture(seen, b).iter(f"{{{NAMESPACE}}}text")]


def test_people_turn_their_backs_to_a_camera_upstage() -> None:
    """They face the house: the lens at (0, 8) sees no face."""
    shoot = small_shoot(positions=(position("front"), position("back", at_m=(0, 8))))
    seen = content([placement("A", "back")], shoot)
    assert facing(Eye(first_look(seen)), (0, 2)).front == pytest.approx(-1)
    away = figure("standing", 1.75, 1.75, Facing(-1.0, 0.0))
    towards = figure("standing", 1.75, 1.75, Facing(1.0, 0.0))
    assert not any(part.is_face for part in away)
    assert any(part.is_face for part in towards)


@pytest.mark.parametrize(
    ("posture", "height_m"), [("standing", 1.75), ("child", 1.3), ("seated", 1.3)]
)
def test_figures_are_as_high_as_the_table_says(posture: str, height_m: float) -> None:
    """From the floor to the crown."""
    subject = singer(posture=posture)
    parts = figure(posture, stature_of(subject), head_top_m(subject), Facing(1.0, 0.0))
    ups = [up for part in parts for _, up in part.points]
    assert max(ups) == pytest.approx(height_m, abs=0.005)
    assert min(ups) == pytest.approx(0.0, abs=0.01)


def test_nobody_of_two_groups_is_drawn_twice() -> None:
    """The rows of the choir leave room for the duet that is part of it, and for the soloist."""
    shoot = small_shoot(
        subjects=(
            Subject(id="choir", kind="group", outline_m=((-4, 1), (4, 1), (4, 5), (-4, 5))),
            Subject(id="duet", kind="group", outline_m=((-1, 2), (1, 2), (1, 4), (-1, 4))),
            singer(at_m=(3, 3)),
        )
    )
    cast = cast_of(shoot)
    everybody = [place for places in cast.values() for place in places]
    assert len(everybody) == len(set(everybody))
    assert not any(abs(x) < 1 and 2 < y < 4 for x, y in cast["choir"])


def test_a_raked_audience_rises_from_its_front_row() -> None:
    """45 degrees: as much up as back."""
    area = AudienceArea(
        id="rake", outline_m=((-2, -8), (2, -8), (2, -2), (-2, -2)), height_m=0.5, rake_deg=45
    )
    assert floor_m(area, -2) == pytest.approx(0.5)
    assert floor_m(area, -6) == pytest.approx(4.5)
    places = places_in(area)
    assert {(round(-x, 6), y) for x, y in places} == {(round(x, 6), y) for x, y in places}


def test_lines_are_cut_near_the_frame() -> None:
    """A line from behind the lens to far ahead and to the side stays within reach of the frame."""
    line = np.array([[0.0, 0.0, -5.0], [0.0, 0.0, 10.0], [900.0, 0.0, 10.0]])
    cut = cut_to_frame(line, planes_of(0.5, 0.3), is_closed=False)
    assert (cut[:, 2] >= 0.05 - 1e-9).all()
    assert (np.abs(cut[:, 0]) <= cut[:, 2] * 0.5 * 1.3 + 1e-9).all()
    behind = np.array([[0.0, 0.0, -5.0], [1.0, 0.0, -5.0]])
    assert len(cut_to_frame(behind, planes_of(0.5, 0.3), is_closed=True)) == 0


def test_a_menu_shot_is_framed_by_the_same_lens() -> None:
    """The whole figure, 2.1 m, at 12 m on 9 mm of sensor: 9 * 12 / 2.1 = 51 mm, but the lens ends
    at 100 mm and sees about 1.07 m there.
    """
    names = content([placement(menu=menu(("singer", "FS"), ("singer", "MS")))]).names
    main, whole, same = looks_of(names, names.plan.placements[0])
    assert not whole.is_main
    assert whole.focal_mm == pytest.approx(100)
    assert 2 * whole.half_width_m / whole.aspect == pytest.approx(1.07, abs=0.02)
    assert same.focal_mm == pytest.approx(main.focal_mm, rel=0.01)
    camera = names.plan.placements[0]
    assert look_of(names, camera, Framing(subject="singer", size="FS")) == whole
    assert look_of(names, camera, Framing(subject="singer", size=main.size)) == main


@pytest.mark.parametrize("at_m", [(0.0, 2.0), (0.0, 2.001)], ids=["above", "all-but-above"])
def test_a_camera_right_above_the_subject_sees_it_from_above(at_m: tuple[float, float]) -> None:
    """Shoulders and hair, level."""
    above = position("above", at_m=at_m, floor_height_m=6, lens_height_m=0, stands_on="bar")
    seen = content(
        [placement("A", "above", shot=shot(view_deg=40))], small_shoot(positions=(above,))
    )
    assert rings(picture(seen, first_look(seen)), HAIR)


def test_a_lens_in_the_subject_sees_nothing() -> None:
    """It says so instead of failing."""
    inside = position("inside", at_m=(0, 2), lens_height_m=1.363)
    seen = content([placement("A", "inside")], small_shoot(positions=(inside,)))
    assert "nothing to see" in ET.tostring(picture(seen, first_look(seen)), encoding="unicode")


def test_a_caption_says_what_and_where() -> None:
    """Letter, subject, size, focal length, position, operator."""
    seen = content([placement()])
    root = ET.fromstring(frame_sheet(seen, first_look(seen)).svg())
    words = [(e.text or "").replace("\u00a0", " ") for e in root.iter(f"{{{NAMESPACE}}}text")]
    assert words[0] == "A"
    assert words[1] == "singer MS, 119 mm"
    assert words[2] == "front, ann. Main shot, show"


def test_a_contact_sheet_shows_all_frames_in_order() -> None:
    """Thirty shots: as many pictures, spread over as many sheets as they need."""
    cameras = [
        placement(chr(65 + n), menu=menu(("singer", "FS"), ("stage", "WS"))) for n in range(10)
    ]
    seen = content(cameras)
    looks = [look for camera in cameras for look in looks_of(seen.names, camera)]
    sheets = contact_sheets(seen, looks, "show-frames")
    assert [sheet.name for sheet in sheets] == ["show-frames", "show-frames-2"]
    windows = [
        float(e.attrib["width"])
        for sheet in sheets
        for e in ET.fromstring(sheet.drawing.svg()).iter(f"{{{NAMESPACE}}}svg")
        if "x" in e.attrib
    ]
    assert len(windows) == 30
    assert min(windows) > 40


@pytest.mark.parametrize(
    "parts",
    [
        {"subjects": (singer(height_m=0.01),)},
        {"subjects": (singer(posture="dancer", height_m=1.0),)},
        {
            "subjects": (
                singer(),
                Subject(id="knot", kind="group", outline_m=((0, 0), (2, 2), (2, 0), (0, 2))),
                Subject(id="line", kind="group", outline_m=((0, 1), (1, 1), (2, 1))),
            )
        },
        {"audience": [{"id": "hall", "outline_m": ((-3, -11), (3, -11), (3, -1), (-3, -1))}]},
        {"subjects": (singer(), singer("same"))},
        {"positions": (position("front", at_m=(0, 2.0), lens_height_m=0.0),)},
    ],
    ids=["tiny", "short-dancer", "crossed-outlines", "lens-in-crowd", "two-in-one", "at-the-feet"],
)
def test_odd_scenes_are_drawn(parts: dict[str, Any]) -> None:
    """Without a fault, whatever is in the way."""
    seen = content([placement()], small_shoot(**parts))
    assert picture(seen, first_look(seen)) is not None


@pytest.mark.parametrize("posture", ["standing", "seated", "child", "dancer"])
@pytest.mark.parametrize("front", [-1.0, 0.0, 0.6, 1.0])
def test_a_figure_lies_within_the_reach_it_is_looked_for_in(posture: Any, front: float) -> None:
    """Nobody is left out of a frame that a raised hand or a foot reaches into."""
    subject = singer(posture=posture, width_m=1.4)
    middle, around = reach_around_m(subject)
    looks = Facing(front, (1 - front**2) ** 0.5)
    upright = figure(posture, stature_of(subject), head_top_m(subject), looks)
    places = [np.array([x, 0.0, z]) for part in upright for x, z in part.points]
    above = from_above(posture, stature_of(subject), head_top_m(subject))
    places += [np.array(spot) for ring, _ in above for spot in ring]
    assert all(np.linalg.norm(place - np.array([0.0, 0.0, middle])) < around for place in places)
