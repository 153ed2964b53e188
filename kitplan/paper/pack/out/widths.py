"""How wide columns get, and where words too long for their line may break.

Widths are sums of the advances of the very font that typst sets. Lengths in millimetres, sizes of
type in points.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from typing import Any

from kitplan.paper.drawings.text import PT_MM, Weight, width_mm

Plain = dict[str, Any]
INSET_MM, INSET_Y_MM = 1.2, 1.0
"""Beside the text in a cell; over and under it."""
BOX_MM, BOX_GAP_MM = 6.5, 2.5
"""Side of a box to tick, and the space after it."""
SPARE = 1.03
"""Kerning moves letters a little against the sum of their widths."""
EVEN_MM = 0.001
"""A column may be as wide as its text: sums of widths differ in their last digit."""
WIDEST_OWN_SHARE = 0.45
"""A column as wide as its text gets no more of the width."""
SOFT = "\u200b"
KEEP = "\u200d"
"""Stands at both ends of a word that typst keeps on one line."""
_HYPHEN = re.compile(r"(?<=[^ -]-)(?=[^\W\d])")
_ID = re.compile(r"(?<![\w-])[a-z][a-z0-9]*(?:-[a-z0-9]+)*-\d+(?![\w-])")
"""An id of a unit, as ids usually are: 'battery-m-4'."""


def weight_of(column: Plain) -> Weight:
    """Return how bold the cells of a column are."""
    return "bold" if column["is_strong"] else "regular"


def column_widths_mm(
    table: Plain, room: float, size_pt: float, head_pt: float
) -> tuple[float, ...]:
    """Return how wide each column is: no word that fits is broken, the rest goes by share."""
    columns = table["columns"]
    texts = [[row[at] for row in table["rows"]] for at in range(len(columns))]
    least, wanted = [], []
    for column, cells in zip(columns, texts, strict=True):
        weight = weight_of(column)
        heads = [text_width(word, head_pt, "bold") for word in column["title"].split()]
        box = BOX_MM + BOX_GAP_MM if column["is_box"] else 0.0  # its title stands over it
        words = [box + _longest(cell, size_pt, weight) for cell in cells]
        least.append(max([*heads, *words], default=0.0) + 2 * INSET_MM)
        whole = [text_width(column["title"], head_pt, "bold")]
        whole += [box + text_width(cell, size_pt, weight) for cell in cells]
        wanted.append(max(whole) + 2 * INSET_MM)
    shares = [column["share"] for column in columns]
    return _shared(room, least, wanted, shares)


def _shared(
    room: float, least: Sequence[float], wanted: Sequence[float], shares: Sequence[float]
) -> tuple[float, ...]:
    """Give out a width: own widths first, then by share, and to nobody less than the least."""
    if sum(least) > room:  # words have to break: long ones give way
        most = cap_mm(least, room)
        return tuple(min(each, most) for each in least)
    others = sum(low for low, share in zip(least, shares, strict=True) if share)
    own_room = room - others
    own = [0.0 if share else want for want, share in zip(wanted, shares, strict=True)]
    lows = [0.0 if share else low for low, share in zip(least, shares, strict=True)]
    most = max(WIDEST_OWN_SHARE * room, max(lows, default=0.0))
    own = [min(each, most) for each in own]
    if sum(own) > own_room:
        scale = (own_room - sum(lows)) / max(sum(own) - sum(lows), 1e-9)
        own = [low + (each - low) * scale for each, low in zip(own, lows, strict=True)]
    if not any(shares):
        spare = (room - sum(own)) / len(own) if own else 0.0
        return tuple(each + spare for each in own)
    left, open_shares, found = room - sum(own), list(shares), list(own)
    while True:
        part = left / sum(open_shares)
        short = [at for at, share in enumerate(open_shares) if share and share * part < least[at]]
        if not short:
            break
        for at in short:
            found[at], open_shares[at] = least[at], 0.0
            left -= least[at]
        if not any(open_shares):
            return tuple(found)
    return tuple(
        share * part if share else each for each, share in zip(found, open_shares, strict=True)
    )


def cap_mm(least: Sequence[float], room: float) -> float:
    """Return the width to which the widest are cut so that all fit."""
    if sum(least) <= room:
        return max(least, default=0.0)
    rest, number = room, len(least)
    for each in sorted(least):
        if each * number >= rest:
            return rest / number
        rest, number = rest - each, number - 1
    return max(least)


@cache
def text_width(text: str, size_pt: float, weight: Weight) -> float:
    """Return the width of a text, of the widest of its lines where it has several."""
    return SPARE * max(width_mm(line, size_pt * PT_MM, weight) for line in text.split("\n"))


@cache
def _longest(text: str, size_pt: float, weight: Weight) -> float:
    """Width of the widest word; a hyphen ends a word that is no id."""
    return max((text_width(part, size_pt, weight) for part in _parts(text)), default=0.0)


def breakable(text: str, room: float, size_pt: float, weight: Weight = "regular") -> str:
    """Return a text with places to break in every word that is wider than its line. The id of a
    unit that has room on one line is kept on one: half of it is read as another one.
    """
    room += EVEN_MM
    if _longest(text, size_pt, weight) <= room and not _ID.search(text):
        return text
    return "".join(_fitted(part, room, size_pt, weight) for part in _parts(text))


def _fitted(part: str, room: float, size_pt: float, weight: Weight) -> str:
    has_room = text_width(part, size_pt, weight) <= room
    if not _ID.search(part):
        return part if has_room else SOFT.join(part)
    if has_room:
        return f"{KEEP}{part}{KEEP}"
    return SOFT.join(
        piece if text_width(piece, size_pt, weight) <= room else SOFT.join(piece)
        for piece in re.split("(?<=-)", part)
    )


@cache
def _parts(text: str) -> tuple[str, ...]:
    """A text cut where a line may end: at spaces, and after hyphens that stand before letters, but
    for those of an id.
    """
    words = re.split("([ \n])", text)
    pieces = ((word,) if _ID.search(word) else _HYPHEN.split(word) for word in words)
    return tuple(part for some in pieces for part in some if part)


@cache
def lines_in(text: str, room: float, size_pt: float, weight: Weight) -> int:
    """Return about how many lines a text takes in a width."""
    if "\n" in text:
        return sum(lines_in(line, room, size_pt, weight) for line in text.split("\n"))
    room += EVEN_MM
    if text_width(text, size_pt, weight) <= room or room <= EVEN_MM:
        return 1
    lines, filled = 1, 0.0
    space = text_width(" ", size_pt, weight)
    for word in text.split(" "):
        wide = text_width(word, size_pt, weight)
        if filled and filled + space + wide > room:
            lines, filled = lines + 1, 0.0
        extra, rest = divmod(wide, room) if wide > room else (0, wide)
        lines += int(extra)
        filled += rest + (space if filled else 0.0)
    return lines
