"""A thin writer of SVG: shapes and text in millimetres, everything escaped by ElementTree.

One unit is one millimetre. Numbers have two decimals; nothing depends on clock or chance.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from typing import Literal

from kitplan.paper.drawings.text import FAMILY, Weight, shown, width_mm

Spot = tuple[float, float]
"""A place on the sheet: mm from its left and from its top."""
Anchor = Literal["start", "middle", "end"]
NAMESPACE = "http://www.w3.org/2000/svg"
INK, PAPER = "#000", "#fff"


@dataclass(frozen=True)
class Style:
    """How a shape is drawn: pen, its width in mm, dashes, filling."""

    stroke: str = INK
    width: float = 0.25
    fill: str = "none"
    dash: str = ""
    fill_opacity: float = 1.0
    is_round: bool = False
    """Round ends of lines."""

    def filled(self, fill: str, opacity: float = 1.0) -> Style:
        """Return the same with a filling."""
        return replace(self, fill=fill, fill_opacity=opacity)

    @property
    def attributes(self) -> dict[str, str]:
        """As attributes of an element."""
        found = {"fill": self.fill}
        if self.fill_opacity < 1:
            found["fill-opacity"] = number(self.fill_opacity)
        if self.stroke != "none" and self.width > 0:
            found |= {"stroke": self.stroke, "stroke-width": number(self.width)}
            found |= {"stroke-linejoin": "round"}
            if self.dash:
                found["stroke-dasharray"] = self.dash
            if self.is_round:
                found["stroke-linecap"] = "round"
        return found


def number(value: float) -> str:
    """Return a number with at most two decimals: '3', '0.25'."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def path_of(points: Iterable[Spot], *, is_closed: bool) -> str:
    """Return the path data of a line through points."""
    figures = tuple(chain.from_iterable(points))
    if not figures:
        return ""
    # All at once: a drawing has hundreds of thousands of them. Each is written as `number` does.
    text = ("L%.2f %.2f" * (len(figures) // 2))[1:] % figures + "Z"
    for end in " LZ":
        text = text.replace(f"0{end}", end).replace(f".0{end}", end).replace(f"-0{end}", f"0{end}")
    return f"M{text}" if is_closed else f"M{text[:-1]}"


class Pen:
    """Draws into one element of a drawing."""

    def __init__(self, element: ET.Element) -> None:
        self.element = element

    def group(self, **attributes: str) -> Pen:
        """Return a pen for a group of its own."""
        return Pen(self._add("g", attributes))

    def window(self, left: float, top: float, width: float, height: float) -> Pen:
        """Return a pen for a part of the sheet that cuts off what lies outside it."""
        box = f"{number(left)} {number(top)} {number(width)} {number(height)}"
        place = dict(zip(("x", "y", "width", "height"), box.split(), strict=True))
        return Pen(self._add("svg", {**place, "viewBox": box, "overflow": "hidden"}))

    def line(self, start: Spot, end: Spot, style: Style) -> None:
        """Draw a straight line."""
        self.path(path_of((start, end), is_closed=False), style)

    def ring(self, points: Iterable[Spot], style: Style) -> None:
        """Draw a closed line through points."""
        self.path(path_of(points, is_closed=True), style)

    def trail(self, points: Iterable[Spot], style: Style) -> None:
        """Draw an open line through points."""
        self.path(path_of(points, is_closed=False), style)

    def path(self, data: str, style: Style) -> None:
        """Draw a path from its data."""
        if data:
            self._add("path", {"d": data, **style.attributes})

    def circle(self, middle: Spot, radius: float, style: Style) -> None:
        """Draw a circle."""
        place = {"cx": number(middle[0]), "cy": number(middle[1]), "r": number(radius)}
        self._add("circle", {**place, **style.attributes})

    def box(
        self, left: float, top: float, width: float, height: float, style: Style, corner: float = 0
    ) -> None:
        """Draw a rectangle."""
        place = {
            "x": number(left),
            "y": number(top),
            "width": number(width),
            "height": number(height),
        }
        if corner:
            place["rx"] = number(corner)
        self._add("rect", {**place, **style.attributes})

    def text(
        self,
        at: Spot,
        words: str,
        size_mm: float,
        weight: Weight = "regular",
        *,
        anchor: Anchor = "start",
        ink: str = INK,
        halo: float = 0.0,
        turn_deg: float = 0.0,
    ) -> None:
        """Write a line of text; `at` is where its base line begins (or its middle, or ends).

        Args:
            halo: Width in mm of a white rim that keeps the text clear of what is under it.
        """
        drawn = shown(words)
        if not drawn:
            return
        given = {"x": number(at[0]), "y": number(at[1]), "font-size": number(size_mm), "fill": ink}
        if weight == "bold":
            given["font-weight"] = "700"
        if anchor != "start":
            given["text-anchor"] = anchor
        if turn_deg:
            given["transform"] = f"rotate({number(turn_deg)} {number(at[0])} {number(at[1])})"
        if halo:
            given |= {"stroke": PAPER, "stroke-width": number(halo), "paint-order": "stroke"}
            given |= {"stroke-linejoin": "round"}
        given["textLength"] = number(width_mm(drawn, size_mm, weight))
        given["lengthAdjust"] = "spacingAndGlyphs"
        self._add("text", given).text = drawn

    def _add(self, tag: str, attributes: dict[str, str]) -> ET.Element:
        return ET.SubElement(self.element, tag, attributes)


class Drawing(Pen):
    """One sheet."""

    def __init__(self, width_mm: float, height_mm: float, title: str) -> None:
        self.width_mm, self.height_mm = width_mm, height_mm
        size = (number(width_mm), number(height_mm))
        super().__init__(
            ET.Element(
                "svg",
                {
                    "xmlns": NAMESPACE,
                    "width": f"{size[0]}mm",
                    "height": f"{size[1]}mm",
                    "viewBox": f"0 0 {size[0]} {size[1]}",
                    "font-family": f"'{FAMILY}', sans-serif",
                    "style": "font-kerning:none;font-variant-ligatures:none",
                },
            )
        )
        self._add("title", {}).text = shown(title)
        self.box(0, 0, width_mm, height_mm, Style(stroke="none", fill=PAPER))

    def svg(self) -> str:
        """Return the whole as text."""
        ET.indent(self.element, " ")
        return ET.tostring(self.element, encoding="unicode") + "\n"


def lines_of(
    pen: Pen,
    at: Spot,
    lines: Sequence[tuple[str, float, Weight]],
    step_mm: float,
    *,
    ink: str = INK,
    halo: float = 0.0,
) -> None:
    """Write lines of (words, size, weight) under each other from the first base line's start."""
    for row, (words, size_mm, weight) in enumerate(lines):
        pen.text((at[0], at[1] + row * step_mm), words, size_mm, weight, ink=ink, halo=halo)
