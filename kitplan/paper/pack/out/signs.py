"""Which signs of a text an output may show: what a plan holds can have been typed by anybody.

Controls never come through: they could reorder a line, hide in it, or steer a terminal. Signs that
the font on paper lacks are replaced visibly there (`drawings.text.shown`); phones and terminals
have fonts of their own.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from kitplan.paper.drawings.text import FIXED_SPACE, shown
from kitplan.paper.pack.out.widths import SOFT

JOINERS = "\u200c\u200d"
"""Spelling of some scripts and picture signs needs these; they reorder nothing."""
_BEFORE_UNIT = re.compile(
    r"(?<=\d) (?=(?:mm|cm|m|ft|in|kg|g|l|s|min|h|am|pm|K|Hz|lux|GB|Mb/s|stops?|%)(?![\w-]))"
    r"|(?<=\d ft) (?=\d+ in\b)|(?<=\d) (?=x \w|f/\d)"
)
"""No line ends between a figure and its unit: '1 in' at the end of a line and its number before it
are read as two things. Nor between feet and inches, a number and its things, a lens and its stop.
"""
_HELD_SPACE = re.compile(r"(?<=\S) (?=[?!/%)\]}])|(?<=[(\[{\"']) (?=\S)|(?<=[)\]}\"']) (?=[(\[{])")
"""By the rules for line breaks typst ends no line at a space before or after these signs, and names
in a script that the font lacks consist of the first one: such a line ran into the next column.
"""
_UNUSUAL = re.compile(r"[^\x20-\x7e\xa0-\xac\xae-\u02ff]")


@cache
def on_paper(text: str) -> str:
    """Return a text with signs of the font alone; all others are replaced visibly. A figure and its
    unit stay together.
    """
    return _HELD_SPACE.sub(f"{SOFT} ", _BEFORE_UNIT.sub(FIXED_SPACE, shown(text)))


def on_screen(text: str) -> str:
    """Return a text without controls; a break of line becomes a space."""
    if not _UNUSUAL.search(text):
        return text
    return "".join(map(_kept, text))


def in_terminal(text: str) -> str:
    """Return lines without controls; the breaks of lines stay."""
    return "\n".join(map(on_screen, text.split("\n")))


@cache
def _kept(sign: str) -> str:
    kind = unicodedata.category(sign)
    if kind in ("Cc", "Zl", "Zp"):
        return " "
    if kind in ("Cf", "Cs", "Co", "Cn") and sign not in JOINERS:
        return ""
    return sign
