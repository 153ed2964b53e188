"""The key of a floor plan: all cameras by letter, and whatever the plan had to number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kitplan.paper.drawings.boxes import Box
from kitplan.paper.drawings.looks import Look, focal_words
from kitplan.paper.drawings.plan_marks import camera_disc, number_ring
from kitplan.paper.drawings.sheet import GREY, THIN, Print, in_columns
from kitplan.paper.drawings.svg import Drawing, lines_of
from kitplan.paper.drawings.text import LEAST_MM, LINE, TEXT_MM, Weight, wrapped
from kitplan.paper.names import Names
from kitplan.shoot.venue import Position

INDENT_MM, GUTTER_MM = 9.5, 5.0
STEP_MM = TEXT_MM * LINE
ENTRY_GAP_MM = 1.6
LEAST_ENTRY_MM = 8.4
NUMBER_INDENT_MM = 5.2


@dataclass(frozen=True)
class Note:
    """One entry: a camera with its letter, or a number with a name."""

    mark: str
    lines: tuple[tuple[str, Weight], ...]
    is_camera: bool
    is_operated: bool = True

    def rows(self, width_mm: float) -> list[tuple[str, float, Weight]]:
        """Return its lines as they are set in a width."""
        indent = INDENT_MM if self.is_camera else NUMBER_INDENT_MM
        size = TEXT_MM if self.is_camera else LEAST_MM
        return [
            (row, size, weight)
            for words, weight in self.lines
            for row in wrapped(words, width_mm - indent, size, weight)
        ]

    def height_mm(self, width_mm: float) -> float:
        """How much of a column it takes."""
        rows = len(self.rows(width_mm))
        if not self.is_camera:
            return rows * LEAST_MM * LINE + 1.1
        return max(rows * STEP_MM + ENTRY_GAP_MM, LEAST_ENTRY_MM)

    def draw(self, drawing: Drawing, left: float, top: float, width_mm: float) -> None:
        """Draw it."""
        rows = self.rows(width_mm)
        if self.is_camera:
            middle = (left + 3.6, top + 3.6)
            camera_disc(drawing, middle, self.mark, is_operated=self.is_operated)
            lines_of(drawing, (left + INDENT_MM, top + TEXT_MM * 0.95), rows, STEP_MM)
            return
        base = top + LEAST_MM * 0.95
        number_ring(drawing, (left + 1.9, base - LEAST_MM * 0.34), self.mark)
        step = LEAST_MM * LINE
        lines_of(drawing, (left + NUMBER_INDENT_MM, base), rows, step, ink=GREY)


def camera_note(names: Names, look: Look, printed: Print) -> Note:
    """Return the entry of a camera: where, what, who, with which rig, how high."""
    placement = look.placement
    what = f"{look.subject.label} {look.size}, {focal_words(look.focal_mm)}"
    rig, height = placement.rig, height_words(look.position, printed)
    camera = names.unit(rig.body)
    if rig.lens is not None:
        camera += f" with {names.unit(rig.lens)}"
    return Note(
        placement.letter,
        (
            (look.position.label, "bold"),
            (f"{names.operator(placement)}: {what}", "regular"),
            (f"{camera} on {names.unit(rig.support)}, {height}", "regular"),
        ),
        is_camera=True,
        is_operated=placement.operator is not None,
    )


def number_note(number: int, name: str) -> Note:
    """Return the entry of something that the plan only numbers."""
    return Note(str(number), ((name, "regular"),), is_camera=False)


def height_words(position: Position, printed: Print) -> str:
    """Return how high the lens is, as the crew sets it up: over its floor, rail or bar."""
    floor, lens = map(printed.length, (position.floor_height_m, position.lens_height_m))
    if position.stands_on != "floor":
        return f"{position.stands_on} at {floor}"
    if abs(position.floor_height_m) < 0.05:
        return f"lens {lens} up"
    return f"lens {lens}, floor {floor}"


@dataclass(frozen=True)
class Key:
    """Entries in columns: cameras first, numbers under them."""

    cameras: tuple[Note, ...]
    numbers: tuple[Note, ...]

    def height_mm(self, width_mm: float) -> float:
        """How high it is in a width; nothing without entries."""
        return sum(self._block(notes, width_mm)[2] for notes in (self.cameras, self.numbers))

    def draw(self, drawing: Drawing, box: Box) -> None:
        """Draw it into a box, from its top."""
        top = box.top
        for notes in (self.cameras, self.numbers):
            if not notes:
                continue
            columns, places, height = self._block(notes, box.width)
            wide = column_width_mm(box.width, columns)
            for note, (column, down) in zip(notes, places, strict=True):
                note.draw(drawing, box.left + column * (wide + GUTTER_MM), top + down, wide)
            top += height
            if notes is self.cameras and self.numbers:
                drawing.line((box.left, top - 0.9), (box.right, top - 0.9), THIN)

    def _block(
        self, notes: Sequence[Note], width_mm: float
    ) -> tuple[int, list[tuple[int, float]], float]:
        """Columns, places and height of one kind of entries."""
        if not notes:
            return 1, [], 0.0
        columns = columns_for(notes, width_mm)
        wide = column_width_mm(width_mm, columns)
        places, height = in_columns([note.height_mm(wide) for note in notes], columns)
        return columns, places, height + 1.2


def columns_for(notes: Sequence[Note], width_mm: float) -> int:
    """Return how many columns suit a width and the number of entries."""
    least = 56.0 if notes and notes[0].is_camera else 42.0
    return max(1, min(int((width_mm + GUTTER_MM) / (least + GUTTER_MM)), len(notes)))


def column_width_mm(width_mm: float, columns: int) -> float:
    """Return the width of one of several columns."""
    return (width_mm - GUTTER_MM * (columns - 1)) / columns
