"""What a sheet consists of: blocks of text, tables to tick, facts, drawn pictures.

The contents of every paper are built from these records alone, so that PDF, HTML and text always
say the same. All text is plain: no renderer reads markup in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Size = Literal["full", "half"]
"""A4 or Letter upright; half of it (A5, half-letter) upright: a card to tape to a camera."""
Align = Literal["left", "right"]


@dataclass(frozen=True)
class Heading:
    """A heading within a sheet; it never stands alone at the foot of a page."""

    text: str
    level: Literal[1, 2] = 1


@dataclass(frozen=True)
class Words:
    """A paragraph."""

    text: str
    is_strong: bool = False
    is_large: bool = False
    """Readable at arm's length."""


@dataclass(frozen=True)
class Points:
    """A list; with numbers where the order counts, with boxes where each is to be ticked."""

    lines: tuple[str, ...]
    mark: Literal["dash", "number", "box"] = "dash"
    is_large: bool = False


@dataclass(frozen=True)
class Facts:
    """Labels and what they stand for, in two columns."""

    rows: tuple[tuple[str, str], ...]
    is_large: bool = False


@dataclass(frozen=True)
class Column:
    """A column of a table."""

    title: str
    share: float = 1.0
    """Of the width that is left beside columns as wide as their text (share 0)."""
    align: Align = "left"
    is_strong: bool = False
    is_box: bool = False
    """A box to tick in each cell, before its text."""


@dataclass(frozen=True)
class Table:
    """Rows of cells. The header comes again on every page; no row is cut in two."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    title: str = ""
    """Stays with the first rows."""
    has_boxes: bool = False
    """A box before each row, large enough for a thumb."""
    foot: str = ""
    """Under the last row, with it on one page: counts."""
    is_large: bool = False
    """Its titles are as large as its cells."""
    strong_rows: tuple[int, ...] = ()
    """Numbers of rows that stand out, from 0: gates."""
    is_slip: bool = False
    """Somebody's own list: kept on one page, with a line to cut along over it. Short ones only."""


@dataclass(frozen=True)
class Tick:
    """Equal things on one line of a checklist."""

    what: str
    units: tuple[str, ...]
    """Their ids; each has boxes of its own."""
    marks: tuple[str, ...] = ()
    """What each is for, beside its id; none or as many as ids."""
    more: tuple[str, ...] = ()
    """What stands in the further columns."""


@dataclass(frozen=True)
class Checklist:
    """Things to be counted: their number, what they are, boxes to tick beside each id.

    It reads well line by line in bad light: no line is cut in two, the title stays with the first
    lines and the foot with the last ones.
    """

    lines: tuple[Tick, ...]
    boxes: tuple[str, ...]
    """What is ticked in each box: 'out', 'in'."""
    title: str = ""
    lead: str = ""
    """Under the title: who, where."""
    columns: tuple[Column, ...] = ()
    """The further columns, from left to right, as wide as their text where there is room."""
    foot: str = ""
    fields: tuple[str, ...] = ()
    """To be filled in by hand, beside the foot: 'out', 'in'."""


@dataclass(frozen=True)
class Picture:
    """A drawing as SVG, one unit a millimetre, black on white."""

    svg: str
    width_mm: float
    height_mm: float
    words: str
    """What is to be seen on it, for those who cannot see it, and in plain text."""
    caption: str = ""
    lines: tuple[str, ...] = ()
    """What it says, line by line, where nobody sees it: in plain text, folded away on a phone."""


@dataclass(frozen=True)
class Cell:
    """A drawn frame with what is said about it."""

    title: str
    lines: tuple[str, ...] = ()
    picture: Picture | None = None


@dataclass(frozen=True)
class Frames:
    """Cells in rows of equal width: the shots of a card. No cell is cut in two."""

    cells: tuple[Cell, ...]
    columns: int = 3
    is_large: bool = False
    """Text as large as that of the page."""


@dataclass(frozen=True)
class Caution:
    """A box that cannot be overlooked."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Fields:
    """Lines to be filled in by hand: 'Counted out', 'Date', 'Signature'."""

    labels: tuple[str, ...]
    is_in_row: bool = False
    """Short ones beside each other."""
    lead: str = ""
    """Before them, strong: what is counted."""


@dataclass(frozen=True)
class Beside:
    """Two columns of blocks."""

    left: tuple[Block, ...]
    right: tuple[Block, ...]
    left_share: float = 0.5


@dataclass(frozen=True)
class Break:
    """A new page."""


Block = (
    Heading
    | Words
    | Points
    | Facts
    | Table
    | Checklist
    | Picture
    | Frames
    | Caution
    | Fields
    | Beside
    | Break
)


@dataclass(frozen=True)
class Sheet:
    """One sheet of a paper; it begins on a page of its own and may run over several."""

    paper: str
    """Id of the paper that it belongs to."""
    title: str
    """Large, at the top."""
    blocks: tuple[Block, ...]
    lines: tuple[str, ...] = ()
    """Under the title: where, when."""
    letter: str = ""
    """Camera letter, drawn as its disc before the title; empty for a sheet of no camera."""
    is_operated: bool = True
    """Whether somebody stands behind that camera: its disc is filled then."""
    size: Size = "full"
    is_lying: bool = False
    """Landscape."""
    is_bare: bool = False
    """The only block is a picture that fills the page and brings its own head."""
