"""Charts of bars: lengths in proportion, one solid, every figure written."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from kitplan.paper.drawings.bars import Measure, Side, bar_chart

SVG = "{http://www.w3.org/2000/svg}"


def drawn(*values: float | None, names: tuple[str, ...] = ("Run", "Show", "Both")) -> ET.Element:
    """Return a chart of one measure as a tree."""
    words = tuple("?" if value is None else f"{value:g}" for value in values)
    sides = (Side("What it buys", (Measure("viewpoints", values, words),)),)
    return ET.fromstring(bar_chart("Chart", names, sides, 2, 90.0).svg())


def bars(tree: ET.Element) -> list[tuple[float, str]]:
    """Return length and filling of each bar; the sheet's own white is no bar."""
    found = [each for each in tree.iter(f"{SVG}rect") if "stroke" in each.attrib]
    return [(float(each.attrib["width"]), each.attrib["fill"]) for each in found]


def test_bars_are_in_proportion_and_the_last_is_solid() -> None:
    """5, 5 and 10: half, half and whole."""
    (one, _), (two, white), (three, black) = bars(drawn(5, 5, 10))
    assert one == two
    assert abs(three - 2 * one) <= 0.02  # two decimals each
    assert (white, black) == ("#fff", "#000")


def test_nothing_and_not_known_have_no_bar_but_a_figure() -> None:
    """Nought is written, and so is what nobody has looked at."""
    tree = drawn(0, None, 4)
    assert len(bars(tree)) == 1
    texts = [each.text for each in tree.iter(f"{SVG}text")]
    assert {"Run", "Show", "Both", "0", "?", "4"} <= set(texts)
    assert bars(drawn(0, 0, 0)) == []


def test_long_names_are_cut_and_stay_on_the_sheet() -> None:
    """Every text begins and ends within its width."""
    tree = drawn(1, 2, 3, names=("W" * 300, "Show", "i" * 300))
    for text in tree.iter(f"{SVG}text"):
        x, wide = float(text.attrib["x"]), float(text.attrib["textLength"])
        left = x - wide if text.attrib.get("text-anchor") == "end" else x
        assert left >= -0.01
        assert left + wide <= 90.01
