"""Sheets of drawn frames: one for each shot, and a contact sheet of all shots of a pass."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kitplan.paper.drawings.boxes import Box
from kitplan.paper.drawings.frame import draw_picture
from kitplan.paper.drawings.looks import Look, focal_words, looks_of
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.drawings.plan_marks import DISC_MM, camera_disc
from kitplan.paper.drawings.sheet import (
    GREY,
    LONG_SIDE_MM,
    SHORT_SIDE_MM,
    Sheet,
    head_of,
    inner_box,
)
from kitplan.paper.drawings.svg import Drawing
from kitplan.paper.drawings.text import LEAST_MM, LINE, PT_MM, TEXT_MM, shortened, wrapped
from kitplan.paper.names import Names

PICTURE_MM, TALLEST_MM = 180.0, 150.0
"""Widest and tallest picture on a sheet of its own."""
SCREEN_MM = 110.0
"""Width of a picture for a screen: lines and letters look larger there than on a sheet."""
BORDER_MM = 6.0
CAPTION_MM, TITLE_MM = 13.0, 11 * PT_MM
CELL_GAP_MM, CELL_CAPTION_MM = 4.0, 11.6
LEAST_CELL_MM, MOST_CELL_MM = 42.0, 92.0
NOTE = (
    "Stressed: the subject. Light: other performers. Grey: audience. "
    "Dark with a letter: other cameras. Dashed frame: 90 % action safe. Dotted: thirds."
)


@dataclass(frozen=True)
class Shot:
    """A look and the name of its file."""

    look: Look
    name: str


def shots_of(content: Content) -> list[Shot]:
    """Return all shots of a pass by letter, main shots before the menu."""
    found: list[Shot] = []
    names = content.names
    for placement in names.plan.placements_in(content.pass_id):
        for look in looks_of(names, placement):
            parts = (placement.letter, look.subject.id, look.size)
            found.append(Shot(look, "-".join(parts)))
    return found


def frame_sheet(content: Content, look: Look) -> Drawing:
    """Return one frame with its caption."""
    width, height = picture_size_mm(look.aspect, PICTURE_MM, TALLEST_MM)
    outer = PICTURE_MM + 2 * BORDER_MM
    drawing = Drawing(outer, height + BORDER_MM + CAPTION_MM + 5, caption(content.names, look))
    left = (outer - width) / 2
    draw_picture(drawing, content, look, Box(left, BORDER_MM, left + width, BORDER_MM + height))
    top = BORDER_MM + height + 2.6
    disc = (BORDER_MM + DISC_MM + 0.3, top + DISC_MM)
    placement = look.placement
    camera_disc(drawing, disc, placement.letter, is_operated=placement.operator is not None)
    room = PICTURE_MM - 11
    at = BORDER_MM + 9.5
    first = shortened(what(look), room, TITLE_MM, "bold")
    drawing.text((at, top + TITLE_MM * 0.78), first, TITLE_MM, "bold")
    second = shortened(f"{where(content.names, look)}. {about(content, look)}", room, TEXT_MM)
    drawing.text((at, top + TITLE_MM * 0.78 + 4.4), second, TEXT_MM)
    drawing.text((BORDER_MM, top + 11.6), shortened(NOTE, PICTURE_MM, LEAST_MM), LEAST_MM, ink=GREY)
    return drawing


def picture(content: Content, look: Look, wide_mm: float = SCREEN_MM) -> Drawing:
    """Return one frame by itself, without border and caption: words stand beside it on a page."""
    width, height = picture_size_mm(look.aspect, wide_mm, TALLEST_MM)
    drawing = Drawing(width, height, caption(content.names, look))
    draw_picture(drawing, content, look, Box(0.3, 0.3, width - 0.3, height - 0.3))
    return drawing


def picture_size_mm(aspect: float, widest: float, tallest: float) -> tuple[float, float]:
    """Return the largest picture of an aspect ratio that fits."""
    width = min(widest, tallest * aspect)
    return width, width / aspect


def what(look: Look) -> str:
    """Return subject, size and focal length of a shot."""
    about = "" if look.is_main else "about "
    return f"{look.subject.label} {look.size}, {about}{focal_words(look.focal_mm)}"


def where(names: Names, look: Look) -> str:
    """Return position and operator of a shot."""
    return f"{look.position.label}, {names.operator(look.placement)}"


def about(content: Content, look: Look) -> str:
    """Return whether it is the main shot, and in which pass."""
    kind = "Main shot" if look.is_main else "On the menu"
    return f"{kind}, {content.names.pass_label(content.pass_id)}"


def caption(names: Names, look: Look) -> str:
    """Return a caption in one line."""
    return f"{look.placement.letter}: {where(names, look)}: {what(look)}"


# -- contact sheets --------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Grid:
    """Cells of a contact sheet."""

    columns: int
    rows: int
    width_mm: float
    height_mm: float


def contact_sheets(content: Content, looks: Sequence[Look], name: str) -> list[Sheet]:
    """Return all frames of a pass in order of letters on as few sheets of A4 as stay readable."""
    if not looks:
        return []
    inner = inner_box(SHORT_SIDE_MM, LONG_SIDE_MM)
    head = head_of(content.names, content.pass_id, "What each camera sees")
    top = inner.top + head.height_mm(inner.width) + 1.0
    foot = inner.bottom - 2 * LEAST_MM * LINE
    grid = _grid(len(looks), looks[0].aspect, inner.width, foot - top)
    a_page = grid.columns * grid.rows
    sheets = []
    for page, start in enumerate(range(0, len(looks), a_page)):
        title = f"{content.names.plan.title}, {content.names.pass_label(content.pass_id)}: frames"
        drawing = Drawing(SHORT_SIDE_MM, LONG_SIDE_MM, title)
        head.draw(drawing, inner)
        for number, look in enumerate(looks[start : start + a_page]):
            row, column = divmod(number, grid.columns)
            x = inner.left + column * (grid.width_mm + CELL_GAP_MM)
            y = top + row * (grid.height_mm + CELL_CAPTION_MM)
            _draw_cell(drawing, content, look, Box(x, y, x + grid.width_mm, y + grid.height_mm))
        drawing.text(
            (inner.left, inner.bottom - 0.6),
            shortened(NOTE, inner.width, LEAST_MM),
            LEAST_MM,
            ink=GREY,
        )
        sheets.append(Sheet(name if page == 0 else f"{name}-{page + 1}", drawing))
    return sheets


def _grid(number: int, aspect: float, width_mm: float, height_mm: float) -> _Grid:
    """Return the largest cells with which everything is on one sheet, else the smallest."""
    found = None
    for columns in range(1, 9):
        wide = min((width_mm + CELL_GAP_MM) / columns - CELL_GAP_MM, MOST_CELL_MM)
        if wide < LEAST_CELL_MM and found is not None:
            break
        wide, high = picture_size_mm(aspect, wide, height_mm - CELL_CAPTION_MM)
        rows = max(int(height_mm / (high + CELL_CAPTION_MM)), 1)
        found = _Grid(columns, rows, wide, high)
        if columns * rows >= number and columns * (wide + CELL_GAP_MM) > 0.5 * width_mm:
            break
    assert found is not None
    return found


def _draw_cell(drawing: Drawing, content: Content, look: Look, box: Box) -> None:
    draw_picture(drawing, content, look, box)
    top = box.bottom + 1.2
    placement = look.placement
    indent = 0.0
    if look.is_main:
        disc = (box.left + DISC_MM + 0.2, top + DISC_MM + 0.2)
        camera_disc(drawing, disc, placement.letter, is_operated=placement.operator is not None)
        indent = 2 * DISC_MM + 1.6
    else:
        drawing.text((box.left, top + TEXT_MM * 0.9), placement.letter, TEXT_MM, "bold")
        indent = 3.6
    room = box.width - indent
    at = box.left + indent
    first = shortened(what(look), room, TEXT_MM, "bold")
    drawing.text((at, top + TEXT_MM * 0.9), first, TEXT_MM, "bold")
    place = where(content.names, look) if look.is_main else f"menu: {look.position.label}"
    for row, line in enumerate(wrapped(place, room, LEAST_MM, most_lines=2), 1):
        drawing.text((at, top + TEXT_MM * 0.9 + row * LEAST_MM * LINE), line, LEAST_MM)
