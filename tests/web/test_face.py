"""The look: every contrast worked out from the style sheet, in every light."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from kitplan.web.app import STATIC
from tests.web.client import client_of, project_in

CSS = (STATIC / "base.css").read_text(encoding="utf-8")
TEXT, SHAPE = 4.5, 3.0
"""Least contrast for text and for what is no text: WCAG 2.2, 1.4.3 and 1.4.11, level AA."""
ON_GROUND = ("ink", "soft", "hand", "alert")
ON_RAISED = ("ink", "soft")
COLOUR = re.compile(r"--([a-z]+): (#[0-9a-f]{6});")
Colour = tuple[float, float, float]


def block(start: str) -> dict[str, str]:
    """Return the colours that a block of the style sheet names."""
    at = CSS.index(start) + len(start)
    return dict(COLOUR.findall(CSS[at : CSS.index("}", at)]))


BRIGHT = block("\n:root {")
BY_DEVICE = block(':root:not([data-light="day"]) {')
DARK = block(':root[data-light="night"] {')
RED = block(':root[data-light="red"] {')
LIGHTS = {"bright": BRIGHT, "dark": DARK, "red": RED}


def colour(name: str, light: str) -> Colour:
    """Return a colour as it leaves the screen, each part from 0 to 1; red goes through the gel."""
    parts = rgb(LIGHTS[light][name])
    if light != "red":
        return parts
    gel = rgb(RED["gel"])
    return parts[0] * gel[0], parts[1] * gel[1], parts[2] * gel[2]


def rgb(text: str) -> Colour:
    """Return the parts of a colour from 0 to 1."""
    red, green, blue = (int(text[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red, green, blue


def linear(part: float) -> float:
    """Return a part of a colour as light: sRGB, as WCAG has it."""
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def luminance(parts: Colour) -> float:
    """Return relative luminance as WCAG defines it."""
    red, green, blue = map(linear, parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: float, other: float) -> float:
    """Return the contrast of two luminances, from 1 to 21."""
    high, low = max(one, other), min(one, other)
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_that_of_the_standard() -> None:
    """Black on white is 21, and #767676 is the lightest grey that passes on white (WCAG)."""
    assert contrast(luminance(rgb("#000000")), luminance(rgb("#ffffff"))) == pytest.approx(21)
    assert contrast(luminance(rgb("#767676")), 1.0) == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("light", LIGHTS)
def test_text_can_be_read_in_every_light(light: str) -> None:
    """On the ground, on what is raised from it, and the other way round on what is filled."""
    for ground, names in (("ground", ON_GROUND), ("raised", ON_RAISED)):
        for name in names:
            found = contrast(luminance(colour(name, light)), luminance(colour(ground, light)))
            assert found >= TEXT, f"{light}: {name} on {ground}: {found:.2f}"


@pytest.mark.parametrize("light", LIGHTS)
def test_lines_can_be_seen_in_every_light(light: str) -> None:
    """What parts rows and fields."""
    found = contrast(luminance(colour("line", light)), luminance(colour("ground", light)))
    assert found >= SHAPE, f"{light}: {found:.2f}"


@pytest.mark.parametrize("light", ["bright", "dark"])
@pytest.mark.parametrize("blind", ["protan", "deutan", "tritan"])
def test_the_colour_blind_read_them_as_well(light: str, blind: str) -> None:
    """Contrast stays, and the two colours with a meaning stay apart from each other."""
    seen = {name: simulated(colour(name, light), blind) for name in (*ON_GROUND, "ground")}
    ground = luminance(seen["ground"])
    assert all(contrast(luminance(seen[name]), ground) >= TEXT for name in ON_GROUND)
    apart = max(abs(a - b) for a, b in zip(seen["hand"], seen["alert"], strict=True))
    assert apart > 0.2


MATRICES = {
    "protan": ((0.152, 1.053, -0.205), (0.115, 0.786, 0.099), (-0.004, -0.048, 1.052)),
    "deutan": ((0.367, 0.861, -0.228), (0.280, 0.673, 0.047), (-0.012, 0.043, 0.969)),
    "tritan": ((1.256, -0.077, -0.179), (-0.078, 0.931, 0.148), (0.005, 0.691, 0.304)),
}
"""On linear light, for the full deficiency: Machado, Oliveira and Fernandes, 2009, severity 1.0."""


def simulated(parts: Colour, blind: str) -> Colour:
    """Return a colour as somebody colour-blind sees it."""
    light = [linear(part) for part in parts]
    seen = [sum(m * x for m, x in zip(row, light, strict=True)) for row in MATRICES[blind]]
    red, green, blue = (coded(min(max(x, 0.0), 1.0)) for x in seen)
    return red, green, blue


def coded(light: float) -> float:
    """Return light as a part of a colour: the other way round than `linear`."""
    return light * 12.92 if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055


def test_in_red_light_meaning_is_in_shapes_alone() -> None:
    """Nothing but red leaves the screen, and no two inks differ enough to mean two things."""
    gel = rgb(RED["gel"])
    assert gel[0] == 1.0
    assert max(gel[1:]) < 0.35
    assert RED["hand"] == RED["alert"] == RED["ink"]


def test_dark_is_the_same_however_it_is_chosen() -> None:
    """By the device or by hand; bright and dark name the same colours."""
    assert BY_DEVICE == DARK
    assert BRIGHT.keys() == DARK.keys()
    assert RED.keys() == {*BRIGHT, "gel"}


def test_there_are_few_colours() -> None:
    """Two with a meaning; all else is grey, or nearly."""
    for light in (BRIGHT, DARK):
        spread = {name: max(rgb(c)) - min(rgb(c)) for name, c in light.items()}
        assert {name for name, each in spread.items() if each > 0.05} == {"hand", "alert"}


def test_colours_stand_in_one_place() -> None:
    """Other rules go by their names; white paper under drawings is the one exception."""
    rules = re.sub(r"--[a-z]+: #[0-9a-f]{6};", "", CSS)
    assert re.findall(r"#[0-9a-f]{3,6}\b", rules) == ["#ffffff"]


def test_pages_say_where_one_is(tmp_path: Path) -> None:
    """With a way past the navigation, and nothing inline that the policy would refuse."""
    text = client_of(project_in(tmp_path, has_plan=False)).get("/").text
    assert text.index('class="skip" href="#main"') < text.index("<nav")
    assert re.findall(r'<a href="(\S+)" aria-current="page">', text) == ["/"]
    assert re.findall(r'<a href="(/\w*)"', text) == ["/", "/plan", "/papers", "/gear"]
    assert not re.search(r"<style|style=|<script>|\son\w+=|javascript:", text)


def test_the_typeface_is_that_of_the_papers(tmp_path: Path) -> None:
    """Both weights, and nothing else of its folder."""
    client: TestClient = client_of(project_in(tmp_path, has_plan=False))
    for name in re.findall(r"/static/fonts/\w+\.ttf", CSS):
        answer = client.get(name)
        assert answer.content[:4] == b"\0\1\0\0"
        assert "max-age" in answer.headers["cache-control"]
    assert client.get("/static/fonts/METADATA").status_code == 404


def test_names_of_colours_differ() -> None:
    """No two tokens of a light are the same, red aside."""
    for light in (BRIGHT, DARK):
        assert all(light[a] != light[b] for a, b in combinations(light, 2))
