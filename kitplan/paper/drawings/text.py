"""Text on drawings: the font, how wide words are in it, and how they wrap.

Widths are sums of the advances of the very font that draws, with kerning and ligatures switched
off, so that what is measured is what is drawn. Sizes in millimetres.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from pathlib import Path
from typing import Literal

Weight = Literal["regular", "bold"]
FAMILY = "Fira Sans Condensed"
"""Licence: SIL Open Font License 1.1; the files come with a package of their own."""
_STYLES: dict[Weight, str] = {"regular": "Regular", "bold": "Bold"}
PT_MM = 25.4 / 72
LEAST_MM = 8 * PT_MM
"""No text on paper is smaller than 8 points."""
TEXT_MM = 8.4 * PT_MM
LINE = 1.2
"""Distance of lines as a multiple of the size."""
ASCENT, DESCENT = 0.74, 0.24
"""How far letters reach over and under their line, as shares of the size."""
UNKNOWN = "?"
FIXED_SPACE = "\u00a0"
"""Between a figure and its unit: no line ends there."""


_LAST_FIGURE = re.compile(r"(?:^|[ ,;:(]+)\d[\d.,:/]*(?:\u00a0[^ ]*)?$")


@cache
def font_files() -> dict[Weight, Path]:
    """Return the font files by weight."""
    import fontpkg_fira_sans_condensed as package

    folder = Path(package.ROOT) / "files"
    return {weight: folder / f"FiraSansCondensed-{style}.ttf" for weight, style in _STYLES.items()}


@cache
def _advances(weight: Weight) -> dict[int, float]:
    """Width of every character that the font has, as a share of the size."""
    from fontTools.ttLib import TTFont

    with TTFont(font_files()[weight], lazy=True) as font:
        per_em = font["head"].unitsPerEm
        glyphs = font["hmtx"].metrics
        return {code: glyphs[name][0] / per_em for code, name in font.getBestCmap().items()}


class _Widths(dict[str, float]):
    """Width of every sign that was asked for; of one that the font lacks, that of its stand-in."""

    def __init__(self, known: dict[int, float]) -> None:
        super().__init__()
        self._known = known

    def __missing__(self, sign: str) -> float:
        width = self[sign] = self._known.get(ord(sign), self._known[ord(UNKNOWN)])
        return width


@cache
def _sign_widths(weight: Weight) -> _Widths:
    return _Widths(_advances(weight))


@cache
def shown(text: str) -> str:
    """Return a text as it can be drawn: characters that the font lacks are replaced visibly.

    A picture sign gets its name in brackets ('[trumpet]'), any other sign a question mark; marks
    without a width of their own are left out.
    """
    return unicodedata.normalize("NFC", text).translate(_drawn_signs()).strip(" ")


class _Drawn(dict[int, str]):
    """What is drawn for every sign that was asked for, by its code."""

    def __missing__(self, code: int) -> str:
        drawn = self[code] = _drawn(chr(code), _advances("regular"))
        return drawn


@cache
def _drawn_signs() -> _Drawn:
    return _Drawn()


def _drawn(sign: str, known: dict[int, float]) -> str:
    kind = unicodedata.category(sign)
    if sign == FIXED_SPACE:
        return sign
    if kind in ("Zs", "Zl", "Zp", "Cc"):
        return " "
    if kind in ("Cf", "Mn", "Me", "Sk") and (kind == "Cf" or ord(sign) not in known):
        return ""
    if ord(sign) in known:
        return sign
    if kind == "So":
        return f"[{unicodedata.name(sign, 'sign').lower()}]"
    return UNKNOWN


def width_mm(text: str, size_mm: float, weight: Weight = "regular") -> float:
    """Return the width of a text that can be drawn."""
    return size_mm * sum(map(_sign_widths(weight).__getitem__, text))


def wrapped(
    text: str,
    most_mm: float,
    size_mm: float,
    weight: Weight = "regular",
    most_lines: int | None = None,
) -> tuple[str, ...]:
    """Return a text in lines of at most a width; a word that is too long is broken.

    Args:
        most_lines: The last line ends in '…' where the text does not fit into so many.
    """
    lines = [""]
    for word in shown(text).split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if width_mm(longer, size_mm, weight) <= most_mm:
            lines[-1] = longer
            continue
        pieces = _broken(word, most_mm, size_mm, weight)
        lines = [*lines, *pieces] if lines[-1] else pieces
    if most_lines is not None and len(lines) > most_lines:
        rest = " ".join(lines[most_lines - 1 :])
        lines = [*lines[: most_lines - 1], shortened(rest, most_mm, size_mm, weight)]
    return tuple(lines)


def balanced(text: str, most_mm: float, size_mm: float) -> tuple[str, ...]:
    """Return a text in as few lines as a width allows, all about equally long."""
    lines = wrapped(text, most_mm, size_mm)
    narrow, wide = most_mm / max(len(lines), 1) * 0.8, most_mm
    for _ in range(7):
        middle = (narrow + wide) / 2
        if len(wrapped(text, middle, size_mm)) <= len(lines):
            wide = middle
        else:
            narrow = middle
    return wrapped(text, wide, size_mm)


def _broken(word: str, most_mm: float, size_mm: float, weight: Weight) -> list[str]:
    """Return a word in pieces that fit."""
    pieces = [""]
    for sign in word:
        if pieces[-1] and width_mm(pieces[-1] + sign, size_mm, weight) > most_mm:
            pieces.append("")
        pieces[-1] += sign
    return pieces


def shortened(text: str, most_mm: float, size_mm: float, weight: Weight = "regular") -> str:
    """Return a text that fits into a width, cut with '…' if need be; never in a figure, nor between
    it and its unit: half of it would be read as another one.
    """
    text = whole = shown(text)
    if width_mm(text, size_mm, weight) <= most_mm:
        return text
    while text and width_mm(f"{text}…", size_mm, weight) > most_mm:
        text = text[:-1].rstrip()
    if not whole.startswith(f"{text} "):
        text = _LAST_FIGURE.sub("", text)
    return f"{text}…"


def fits(text: str, most_mm: float, size_mm: float, weight: Weight, most_lines: int) -> bool:
    """Return whether a text fits into so many lines of a width."""
    return len(wrapped(text, most_mm, size_mm, weight)) <= most_lines
