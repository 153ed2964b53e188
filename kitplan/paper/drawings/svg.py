"""A thin writer of SVG: shapes and text in millimetres, all words escaped.

One unit is one millimetre. Numbers have two decimals; nothing depends on clock or chance. Elements
are written at once, since a show pack has tens of thousands: as objects of ElementTree they took
ten times as long.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from html import escape
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
    return path_through(list(chain.from_iterable(points)), is_closed=is_closed)


def path_through(figures: Sequence[float], *, is_closed: bool) -> str:
    """Return the path data of a line through points, given as x, y, x, y."""
    if not figures:
        return ""
    # All at once: a drawing has hundreds of thousands of them. Each is written as `number` does.
    text = ("L%.2f %.2f" * (len(figures) // 2))[1:] % tuple(figures) + "Z"
    for end in " LZ":
        text = text.replace(f"0{end}", end).replace(f".0{end}", end).replace(f"-0{end}", f"0{end}")
    return f"M{text}" if is_closed else f"M{text[:-1]}"


@lru_cache(maxsize=4096)
def _look(style: Style) -> str:
    """Return the attributes of a style as they are written: a drawing has few of them."""
    return _written(style.attributes)


def _written(attributes: Mapping[str, str]) -> str:
    return "".join(f' {name}="{escape(value)}"' for name, value in attributes.items())


class Pen:
    """Draws into one element of a drawing."""

    def __init__(self, parts: list[str | Pen], tag: str = "g", attributes: str = "") -> None:
        """Begin.

        Args:
            parts: What the element has consisted of so far.
            attributes: Of the element, as they are written.
        """
        self._parts, self._tag, self._attributes = parts, tag, attributes

    def group(self, **attributes: str) -> Pen:
        """Return a pen for a group of its own."""
        return self._inside("g", attributes)

    def window(self, left: float, top: float, width: float, height: float) -> Pen:
        """Return a pen for a part of the sheet that cuts off what lies outside it."""
        box = f"{number(left)} {number(top)} {number(width)} {number(height)}"
        place = dict(zip(("x", "y", "width", "height"), box.split(), strict=True))
        return self._inside("svg", {**place, "viewBox": box, "overflow": "hidden"})

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
            self._parts.append(f'<path d="{data}"{_look(style)}/>')

    def circle(self, middle: Spot, radius: float, style: Style) -> None:
        """Draw a circle."""
        place = {"cx": number(middle[0]), "cy": number(middle[1]), "r": number(radius)}
        self._parts.append(f"<circle{_written(place)}{_look(style)}/>")

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
        self._parts.append(f"<rect{_written(place)}{_look(style)}/>")

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
        self._parts.append(f"<text{_written(given)}>{escape(drawn)}</text>")

    def _inside(self, tag: str, attributes: Mapping[str, str]) -> Pen:
        pen = Pen([], tag, _written(attributes))
        self._parts.append(pen)
        return pen

    def _lines(self) -> Iterator[str]:
        yield f"<{self._tag}{self._attributes}>"
        for part in self._parts:
            if isinstance(part, str):
                yield part
            else:
                yield from part._lines()
        yield f"</{self._tag}>"


class Drawing(Pen):
    """One sheet."""

    def __init__(self, width_mm: float, height_mm: float, title: str) -> None:
        self.width_mm, self.height_mm, self.title = width_mm, height_mm, shown(title)
        size = (number(width_mm), number(height_mm))
        attributes = {
            "xmlns": NAMESPACE,
            "width": f"{size[0]}mm",
            "height": f"{size[1]}mm",
            "viewBox": f"0 0 {size[0]} {size[1]}",
            "font-family": f"'{FAMILY}', sans-serif",
            "style": "font-kerning:none;font-variant-ligatures:none",
        }
        super().__init__([f"<title>{escape(self.title)}</title>"], "svg", _written(attributes))
        self.box(0, 0, width_mm, height_mm, Style(stroke="none", fill=PAPER))

    def svg(self) -> str:
        """Return the whole as text."""
        return "\n".join(self._lines()) + "\n"


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
