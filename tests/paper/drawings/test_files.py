"""All drawings of a plan: which files, that they are right XML, and that the PNGs are pictures."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from io import BytesIO

from PIL import Image

from kitplan.paper.drawings.files import KINDS, drawn, file_names
from kitplan.paper.drawings.png import DOTS_PER_INCH, MM_PER_INCH, png_of
from kitplan.paper.drawings.svg import Drawing, number
from kitplan.paper.names import Names
from tests.paper.drawings.made import EVIL, SHOW, menu, placement, plan
from tests.small import run, show, singer, small_shoot


def test_a_pass_has_a_plan_a_contact_sheet_and_its_frames() -> None:
    """In a folder of the pass's name."""
    cameras = [placement("A", menu=menu(("singer", "FS"))), placement("B", "left")]
    made = plan(cameras)
    names = [sheet.name for sheet in drawn(Names(made), [SHOW], KINDS)]
    assert names == [
        "show-floor-plan",
        "show-frames",
        "show/A-singer-MS",
        "show/A-singer-FS",
        "show/B-singer-MS",
    ]


def test_a_pass_without_cameras_has_a_floor_plan_only() -> None:
    """There is nothing to frame."""
    made = plan([placement()], small_shoot(passes=(run(), show())))
    names = Names(made)
    assert [s.name for s in drawn(names, ["small/run"], KINDS)] == ["run-floor-plan"]
    assert [s.name for s in drawn(names, made.pass_ids(), ["plans"])] == [
        "run-floor-plan",
        "show-floor-plan",
    ]


def test_every_sheet_is_right_xml_and_becomes_a_picture() -> None:
    """With names that would break markup, and the size that the sheet has on paper."""
    shoot = small_shoot(title=EVIL, subjects=(singer(name=EVIL),))
    for sheet in drawn(Names(plan([placement()], shoot, title=EVIL)), [SHOW], KINDS):
        svg = sheet.drawing.svg()
        assert "[trumpet]" in "".join(ET.fromstring(svg).itertext())
        image = Image.open(BytesIO(png_of(svg, sheet.drawing.width_mm)))
        expected = sheet.drawing.width_mm / MM_PER_INCH * DOTS_PER_INCH
        assert abs(image.width - expected) <= 1
        ratio = sheet.drawing.height_mm / sheet.drawing.width_mm
        assert abs(image.height - image.width * ratio) <= 2
        assert len(image.convert("L").getcolors() or []) > 2


def test_file_names_are_plain_and_different() -> None:
    """Slashes of ids, spaces and capitals could clash on some disks."""
    assert file_names(["show/a", "show a", "SHOW-A", "…"]) == [
        "show-a",
        "show-a-2",
        "SHOW-A-3",
        "pass",
    ]


def test_numbers_are_short() -> None:
    """Two decimals at most, no negative zero."""
    assert [number(n) for n in (3.0, 0.25, -0.001, 1 / 3, 100)] == ["3", "0.25", "0", "0.33", "100"]


def test_a_window_cuts_off_what_lies_outside() -> None:
    """A black line from side to side shows only within it."""
    from kitplan.paper.drawings.svg import Style

    drawing = Drawing(40, 20, "test")
    drawing.window(10, 5, 20, 10).line((0, 10), (40, 10), Style(width=2))
    image = Image.open(BytesIO(png_of(drawing.svg(), 40))).convert("L")
    row = [image.getpixel((int(x / 40 * image.width), image.height // 2)) for x in (5, 20, 35)]
    assert row == [255, 0, 255]
