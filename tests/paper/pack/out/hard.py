"""Sheets that use every block in hard ways: long names, many rows, hostile text, nothing at all."""

from __future__ import annotations

from kitplan.paper.drawings.svg import Drawing, Style
from kitplan.paper.pack.blocks import (
    Beside,
    Block,
    Break,
    Caution,
    Cell,
    Checklist,
    Column,
    Facts,
    Fields,
    Frames,
    Heading,
    Picture,
    Points,
    Sheet,
    Table,
    Tick,
    Words,
)

LONG = "Longwordwithoutanyspace" * 13
"""299 characters."""
HOSTILE = (
    '#panic("x") $a^2$ \\ *b* _i_ `raw` @ref <label> #set text(red) // no /* c */ ~',
    "<script>alert(1)</script><img src=x onerror=alert(1)> &amp; \"q\" 'q' {{ 7*7 }} {% x %}",
    "=1+1 +2 -3 @SUM(A1)",
    "\u202egnirts esrever\u202c \u2066iso\u2069 zero\u200bwidth \ufeffbom so\u00adft",
    "Tromp\u0065\u0301te \U0001f3ba Zoë Čapek Ωmega Жанна שלום مرحبا 漢字かな",
    "bell\x07 escape\x1b[31m tab\tline\nbreak \x00nul",
)
WORDS = "Hold the wide until the doors close. Then go to the soloist and stay there. "


def picture(width_mm: float = 80.0, height_mm: float = 45.0, words: str = "A frame") -> Picture:
    """Return a drawing with a circle in it."""
    drawing = Drawing(width_mm, height_mm, words)
    drawing.box(1, 1, width_mm - 2, height_mm - 2, Style(width=0.5))
    drawing.circle((width_mm / 2, height_mm / 2), height_mm / 4, Style(width=0.5))
    drawing.text((width_mm / 2, height_mm / 2), words, 4.0, "bold", anchor="middle")
    return Picture(drawing.svg(), width_mm, height_mm, words, caption="A caption under it")


def table(rows: int, name: str = "Tripod, medium", *, title: str, has_boxes: bool = True) -> Table:
    """Return a table like those of packing lists."""
    columns = (
        Column("thing", 3.0, is_strong=True),
        Column("unit", 2.0),
        Column("owner", 0.0),
        Column("kg", 0.0, "right"),
    )
    cells = tuple(
        (f"{name} {n}", f"tripod-medium-{n}", "Ada", f"{n}.5") for n in range(1, rows + 1)
    )
    return Table(columns, cells, title, has_boxes, foot=f"{rows} things" if rows else "")


def all_blocks(text: str) -> tuple[Block, ...]:
    """Return every block with one text wherever text can stand."""
    return (
        Heading(text),
        Heading(text, 2),
        Words(text),
        Words(text, is_strong=True, is_large=True),
        Points((text, WORDS)),
        Points((text, WORDS), "number", is_large=True),
        Points((text, WORDS), "box"),
        Facts(((text, text), ("Stop", "f/2.8"))),
        Facts((("Where", text), ("ISO", "800")), is_large=True),
        Table(
            (Column(text, 1.0), Column("b", 0.0), Column("c", 0.5, "right", is_strong=True)),
            ((text, text, text), ("x", "y", "z"), ("x", text, "z")),
            title=text,
            has_boxes=True,
            foot=text,
        ),
        Checklist(
            (
                Tick(text, ("a-1", "a-2", text), ("A", "B", text), (text, "2.5")),
                Tick("battery", tuple(f"battery-np-{n}" for n in range(1, 12)), (), ("x", "1.0")),
                Tick("tripod", ("tripod-1",), ("A",), ("", "")),
            ),
            ("out", "in"),
            title=text,
            lead=text,
            columns=(Column("case", 0.0), Column("kg", 0.0, "right")),
            foot=text,
            fields=("out", "in"),
        ),
        Table(
            (Column("when"), Column("done", is_box=True)),
            (("18:00", text), ("18:05", "")),
            is_slip=True,
            strong_rows=(1,),
            is_large=True,
        ),
        Fields(("out", "in", "back"), is_in_row=True, lead=text),
        picture(words=text),
        Frames((Cell(text, (text,), picture()), Cell("B", ("C", "D")), Cell("E"), Cell("F"))),
        Caution(text, (text, WORDS)),
        Fields((text, "Date", "Signature")),
        Beside((Words(text), Points((text,))), (Facts(((text, text),)), picture())),
    )


def hard_sheets() -> tuple[Sheet, ...]:
    """Return sheets of every size: long lists, many frames, long words, nothing at all."""
    return (_lists(), *_cards(), _wide(), _of_words(), _nothing(), _bare())


def _lists() -> Sheet:
    names = ("A", "B", "C", "D", "E", "F")
    tables = (
        table(rows, title=f"Camera {name}: balcony, Ada")
        for name, rows in zip(names, (5, 9, 14, 3, 30, 2), strict=True)
    )
    blocks: tuple[Block, ...] = (*tables, Fields(("Counted out", "Counted in")))
    return Sheet("packing", "Packing list: Show", blocks, ("Sat 15 May 2027, 18:30 to 21:00",))


def _cards() -> tuple[Sheet, Sheet]:
    frames = tuple(
        Cell(f"{n}. A song with a name", ("Solo cornet MCU", "else: band WS"), picture())
        for n in range(1, 31)
    )
    facts = Facts((("Where", "House left, third row"), ("Rig", "Camera on legs")), is_large=True)
    caution = Caution("Keep the aisle free", ("Stay behind the tape.",))
    operated: tuple[Block, ...] = (facts, caution, Frames(frames, 3))
    checks = (Points((WORDS,) * 9, "box"),)
    return (
        Sheet("cards", "Show: house-left slash", operated, ("Ada",), letter="A", size="half"),
        Sheet("cards", "Locked off", checks, letter="B", is_operated=False, size="half"),
    )


def _wide() -> Sheet:
    columns = tuple(Column(f"col {n}", 1.0) for n in range(14))
    rows = (tuple(f"cell {n}" for n in range(14)),) * 40
    blocks: tuple[Block, ...] = (
        Table(columns, rows, title="Wide"),
        Break(),
        Words("After the break"),
    )
    return Sheet("packing", "Lying", blocks, is_lying=True)


def _of_words() -> Sheet:
    return Sheet("packing", "Words " * 20, all_blocks(WORDS * 4), (WORDS * 3,), letter="C")


def _nothing() -> Sheet:
    empty: tuple[Block, ...] = (
        Points(()),
        Facts(()),
        table(0, title=""),
        Frames(()),
        Fields(()),
        Words(""),
    )
    return Sheet("packing", "Nothing", (*empty, Beside((), ()), Checklist((), ("out",))))


def _bare() -> Sheet:
    return Sheet("packing", "Bare", (picture(210, 297),), is_bare=True)
