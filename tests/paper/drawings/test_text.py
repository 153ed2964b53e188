"""Text is measured in the font that draws it, and whatever a name holds is drawn as text."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from PIL import Image

from kitplan.paper.drawings.png import DOTS_PER_INCH, MM_PER_INCH, png_of
from kitplan.paper.drawings.svg import Drawing
from kitplan.paper.drawings.text import (
    Weight,
    balanced,
    shortened,
    shown,
    width_mm,
    wrapped,
)

SIZE_MM = 8.0


def inked_mm(words: str, weight: Weight) -> float:
    """Return the width of what is really drawn, between two bars around the words."""
    drawing = Drawing(250, 20, "test")
    drawing.text((5, 14), f"|{words}|", SIZE_MM, weight)
    image = Image.open(BytesIO(png_of(drawing.svg(), 250))).convert("L")
    box = image.point(lambda level: 255 * (level < 128)).getbbox()
    assert box is not None
    return (box[2] - box[0]) / DOTS_PER_INCH * MM_PER_INCH


@pytest.mark.parametrize("weight", ["regular", "bold"])
@pytest.mark.parametrize("words", ["AVAVA To We", "fi ffi 70-200 mm f/5.6", "Žluťoučký Ωλ ЖЩ"])
def test_what_is_measured_is_what_is_drawn(words: str, weight: Weight) -> None:
    """Kerning and ligatures would make it narrower. Bearings of the bars cancel out."""
    drawn = inked_mm(words, weight) - inked_mm("", weight)
    assert drawn == pytest.approx(width_mm(words, SIZE_MM, weight), abs=0.3)


def test_signs_that_the_font_lacks_are_replaced_visibly() -> None:
    """A picture gets its name, a strange letter a question mark; joiners vanish."""
    assert shown("Bob 🎺!") == "Bob [trumpet]!"
    assert shown("日本") == "??"
    assert shown("a\u200db\ufe0f") == "ab"
    assert shown("tab\tline\n") == "tab line"


def test_markup_stays_as_it_is() -> None:
    """Escaping is the writer's."""
    assert shown('<b>&"') == '<b>&"'


def test_lines_are_no_wider_than_asked() -> None:
    """Words wrap, and a word that is too long is broken."""
    lines = wrapped("Balcony rail house left " + "x" * 60, 30, 2.7)
    assert all(width_mm(line, 2.7) <= 30 for line in lines)
    assert "".join(lines).replace(" ", "").endswith("x" * 60)


def test_a_last_line_says_that_more_was_to_come() -> None:
    """Cut text ends in dots."""
    lines = wrapped("one two three four five six seven", 15, 2.7, most_lines=2)
    assert len(lines) == 2
    assert lines[-1].endswith("…")
    assert shortened("short", 50, 2.7) == "short"


def test_figures_keep_their_units() -> None:
    """No line ends between 6.2 and m."""
    lines = wrapped("bar at 6.2\u00a0m", width_mm("bar at 6.2", 2.7) + 0.1, 2.7)
    assert lines == ("bar at", "6.2\u00a0m")


def test_balanced_lines_are_about_equally_long() -> None:
    """Instead of one long line and one word."""
    lines = balanced("Lighting bridge rail (asked, not given)", 38, 2.5)
    widths = [width_mm(line, 2.5) for line in lines]
    assert len(lines) == 2
    assert min(widths) > 0.5 * max(widths)


@pytest.mark.parametrize(
    ("text", "figures"),
    [
        ("Ann, lens 11~ft~2~in up", {"11~ft~2~in"}),
        ("bar at 16.25~m", {"16.25~m"}),
        ("rig-12 at 3.5~m or 8~in", {"3.5~m", "8~in"}),
    ],
    ids=["feet", "metres", "two"],
)
def test_no_figure_is_cut(text: str, figures: set[str]) -> None:
    """Whatever the width (~ is a fixed space): '1' of '11 ft' would be read as another height."""
    text = text.replace("~", "\u00a0")
    whole, found = width_mm(text, 2.7), set[str]()
    for share in range(4, 41):
        cut = shortened(text, whole * share / 40 + 0.01, 2.7).replace("\u00a0", "~")
        found |= set(re.findall(r"(?<![\w.~-])\d[^ …]*", cut))
    assert found == figures
