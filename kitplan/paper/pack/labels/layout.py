"""What lies where on a label: code, id, name, owner, camera letter. Millimetres throughout.

The id stands in full, on as many lines as it needs; the rest is shortened, or left out where there
is no room for it. Beside the code on a wide label, under it on a narrow one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import ceil

from kitplan.errors import SettingError
from kitplan.paper.drawings.text import ASCENT, LINE, PT_MM, Weight, width_mm, wrapped
from kitplan.paper.pack.labels.codes import LEAST_MODULE_MM, QUIET, modules_of
from kitplan.paper.pack.labels.contents import Label
from kitplan.paper.pack.labels.stock import UNPRINTED_MM, Stock

INSET_MM = 1.5
"""Of a label nothing is printed on so much of its edge: sheets lie a little askew."""
MOST_MODULE_MM = 0.9
"""A larger code reads no better from where one holds a phone."""
WIDE = 1.4
"""A label is wide from this share of width to height on."""
CODE_SHARE = {"wide": 0.46, "narrow": 0.62}
"""How much of width or height the code may take."""
LEAST_ID_MM = 7 * PT_MM
"""A label is held in the hand: an id may be smaller there than words on a sheet."""
ID_SIZES_MM = (*(points * PT_MM for points in (14, 12, 11, 10, 9, 8)), LEAST_ID_MM)
SMALL_MM = 8 * PT_MM
MOST_ID_LINES = 2
"""At the smallest size as many as there is room for."""
MOST_NAME_LINES = 2
DISC_GAP_MM, HEAD_GAP_MM = 1.0, 0.4
"""Between id and disc; under both."""
_ROUNDING_MM = 1e-6
_PIECE = re.compile(r"[^-._/+]*[-._/+]*")


@dataclass(frozen=True)
class Line:
    """A line of text; `y_mm` is where its letters stand."""

    text: str
    x_mm: float
    y_mm: float
    size_mm: float
    weight: Weight = "regular"


@dataclass(frozen=True)
class Drawn:
    """A label with everything in its place, seen from its upper left corner."""

    label: Label
    code_x_mm: float
    code_y_mm: float
    code_mm: float
    """Side of the code with its quiet zone."""
    module_mm: float
    lines: tuple[Line, ...]
    disc: tuple[float, float, float] | None
    """Centre and radius of the disc with the camera letter."""


@dataclass(frozen=True)
class _Box:
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


def drawn(labels: tuple[Label, ...], stock: Stock) -> tuple[Drawn, ...]:
    """Return labels laid out for the size of a sheet.

    Raises:
        SettingError: If labels are too small for a code that is read for sure, or for the whole id.
    """
    found = [_drawn(label, stock) for label in labels]
    small = [label for label, one in zip(labels, found, strict=True) if one is None]
    if small:
        longest = max(small, key=lambda label: (len(label.unit), label.unit))
        white_mm = max(QUIET * LEAST_MODULE_MM, INSET_MM)
        least_mm = len(modules_of(longest.unit, longest.address)) * LEAST_MODULE_MM + 2 * white_mm
        room = (side - 2 * inset for side, inset in zip(_sides(stock), _insets(stock), strict=True))
        raise SettingError(
            f"a label of {stock.width_mm:g} x {stock.height_mm:g} mm, printed on "
            f"{' x '.join(f'{mm:.1f}' for mm in room)} mm of it, is too small for {len(small)} of "
            f"{len(labels)}, such as {longest.unit}: its code with a white edge takes "
            f"{ceil(least_mm * 10) / 10} mm each way, and its id stands beside it",
            where="--size",
            fix="Take a larger size, or shorter ids",
        )
    return tuple(one for one in found if one is not None)


def _drawn(label: Label, stock: Stock) -> Drawn | None:
    """Return a label laid out; None where it is too small."""
    is_wide = stock.width_mm >= WIDE * stock.height_mm
    side_x_mm, side_y_mm = _insets(stock)
    number = len(modules_of(label.unit, label.address))
    free_x_mm, free_y_mm = stock.width_mm - 2 * side_x_mm, stock.height_mm - 2 * side_y_mm
    if is_wide:
        most_mm = min(stock.height_mm, CODE_SHARE["wide"] * stock.width_mm)
    else:
        most_mm = min(stock.width_mm, CODE_SHARE["narrow"] * stock.height_mm)
    module_mm = min(
        MOST_MODULE_MM,
        most_mm / (number + 2 * QUIET),
        (free_y_mm if is_wide else free_x_mm) / number,
    )
    if module_mm < LEAST_MODULE_MM:
        return None
    quiet_mm, black_mm = QUIET * module_mm, number * module_mm
    if is_wide:
        x_mm, y_mm = max(quiet_mm, side_x_mm), (stock.height_mm - black_mm) / 2
        begin_mm = x_mm + black_mm + quiet_mm
        box = _Box(begin_mm, side_y_mm, stock.width_mm - side_x_mm - begin_mm, free_y_mm)
    else:
        x_mm, y_mm = (stock.width_mm - black_mm) / 2, max(quiet_mm, side_y_mm)
        begin_mm = y_mm + black_mm + quiet_mm
        box = _Box(side_x_mm, begin_mm, free_x_mm, stock.height_mm - side_y_mm - begin_mm)
    words = _words(label, box)
    if words is None:
        return None
    side_mm = black_mm + 2 * quiet_mm
    return Drawn(label, x_mm - quiet_mm, y_mm - quiet_mm, side_mm, module_mm, *words)


def _sides(stock: Stock) -> tuple[float, float]:
    return stock.width_mm, stock.height_mm


def _insets(stock: Stock) -> tuple[float, float]:
    """Return what stays white on the sides of a label, and on its top and foot: more where labels
    reach to the edge of the page.
    """
    return (
        max(INSET_MM, UNPRINTED_MM - stock.left_mm),
        max(INSET_MM, UNPRINTED_MM - stock.top_mm),
    )


def _words(
    label: Label, box: _Box
) -> tuple[tuple[Line, ...], tuple[float, float, float] | None] | None:
    """Return the lines of a label and its disc, in the middle of a box from top to bottom; None
    where the id does not fit.
    """
    radius_mm = min(4.5, box.height_mm * 0.2, box.width_mm * 0.14) if label.letter else 0.0
    beside_mm = box.width_mm - (2 * radius_mm + DISC_GAP_MM if radius_mm else 0.0)
    found = _id_lines(label.unit, beside_mm, box.height_mm)
    if found is None:
        return None
    ids, size_mm = found
    head_mm = max(len(ids) * size_mm * LINE, 2 * radius_mm) + HEAD_GAP_MM
    left = int((box.height_mm - head_mm + _ROUNDING_MM) // (SMALL_MM * LINE))
    rest = _further(label, box.width_mm, left)
    top_mm = box.y_mm + (box.height_mm - head_mm - len(rest) * SMALL_MM * LINE) / 2
    lines = (
        *_set(ids, box.x_mm, top_mm, size_mm, "bold"),
        *_set(rest, box.x_mm, top_mm + head_mm, SMALL_MM, "regular"),
    )
    centre = (box.x_mm + box.width_mm - radius_mm, top_mm + radius_mm, radius_mm)
    return lines, centre if radius_mm else None


def _further(label: Label, most_mm: float, lines: int) -> tuple[str, ...]:
    """Return name and owner in at most so many lines; a last one is the name's."""
    if lines < 1:
        return ()
    most = min(MOST_NAME_LINES, max(lines - 1, 1))
    name = wrapped(label.name, most_mm, SMALL_MM, most_lines=most)
    return (*name, *wrapped(label.owner, most_mm, SMALL_MM, most_lines=1))[:lines]


def _set(
    texts: tuple[str, ...], x_mm: float, top_mm: float, size_mm: float, weight: Weight
) -> tuple[Line, ...]:
    """Return texts as lines under each other."""
    return tuple(
        Line(text, x_mm, top_mm + (at * LINE + ASCENT) * size_mm, size_mm, weight)
        for at, text in enumerate(texts)
    )


def _id_lines(
    unit_id: str, most_mm: float, height_mm: float
) -> tuple[tuple[str, ...], float] | None:
    """Return an id as large as it fits, in lines, and its size; None where it fits in none.

    Rather smaller than without name and owner under it, and rather without them than broken
    elsewhere than behind a hyphen.
    """
    pieces = _PIECE.findall(unit_id)
    for spare_mm, is_whole in ((HEAD_GAP_MM + 2 * SMALL_MM * LINE, True), (0, True), (0, False)):
        for size_mm in ID_SIZES_MM:
            widest_mm = max(width_mm(piece, size_mm, "bold") for piece in pieces)
            lines = _lines(pieces, most_mm, size_mm)
            most = MOST_ID_LINES if size_mm > LEAST_ID_MM else len(lines)
            fits = len(lines) <= most and len(lines) * size_mm * LINE + spare_mm <= height_mm
            if fits and (widest_mm <= most_mm or not is_whole):
                return lines, size_mm
    return None


def _lines(pieces: list[str], most_mm: float, size_mm: float) -> tuple[str, ...]:
    """Return the pieces of an id in lines of at most a width."""
    lines = [""]
    for piece in pieces:
        for part in wrapped(piece, most_mm, size_mm, "bold") if piece else ():
            if width_mm(lines[-1] + part, size_mm, "bold") <= most_mm:
                lines[-1] += part
            else:
                lines.append(part)
    return tuple(line for line in lines if line)
