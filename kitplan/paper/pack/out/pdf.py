"""Sheets as PDF: set by typst from `papers.typ`.

The sheets reach typst as JSON, never as source: no text of a plan is ever read as markup.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from typing import Any

from kitplan.paper.drawings.text import PT_MM, font_files, shortened
from kitplan.paper.pack.blocks import Sheet
from kitplan.paper.pack.out.fit import FRAME_GAP_MM, GUTTER_MM, fitted
from kitplan.paper.pack.out.form import Form
from kitplan.paper.pack.out.signs import on_paper
from kitplan.paper.pack.out.widths import BOX_GAP_MM, BOX_MM, INSET_MM, INSET_Y_MM
from kitplan.paper.pack.papers import title_of
from kitplan.paper.pack.source import Source

FOOT_PT, FOOT_SHARE = 8.0, 0.95
LOOK = {
    "box": BOX_MM,
    "box_gap": BOX_GAP_MM,
    "inset": INSET_MM,
    "inset_y": INSET_Y_MM,
    "gutter": GUTTER_MM,
    "frame_gap": FRAME_GAP_MM,
}


def pdf_of(source: Source, sheets: Sequence[Sheet], title: str) -> bytes:
    """Return sheets as one PDF, each on pages of its own size; the same bytes for the same plan."""
    made = _compiler(source, sheets, title).compile(timestamp=0)
    assert isinstance(made, bytes)  # one PDF; pictures would be a list
    return made


def pngs_of(
    source: Source, sheets: Sequence[Sheet], title: str, dots_per_inch: float
) -> list[bytes]:
    """Return the same pages as pictures."""
    made = _compiler(source, sheets, title).compile(format="png", ppi=dots_per_inch)
    assert made is not None
    return made if isinstance(made, list) else [made]


def _compiler(source: Source, sheets: Sequence[Sheet], title: str) -> Any:
    import typst

    form = Form(on_paper)
    data = {
        "title": on_paper(title),
        "mark": source.mark,
        "look": LOOK,
        "sheets": [_sheet(source, plain) for plain in form.sheets(sheets)],
    }
    inputs: Any = {"main": _template(), "sheets.json": json.dumps(data).encode()}
    inputs |= {f"{name}.svg": svg.encode() for name, svg in form.pictures.items()}
    # A dict of files is taken but missing in the package's types.
    return typst.Compiler(inputs, font_paths=_fonts())


def _sheet(source: Source, plain: dict[str, Any]) -> dict[str, Any]:
    sheet = fitted(plain, source.setting.paper)
    page = sheet["page"]
    room = FOOT_SHARE * (page["width"] - 2 * page["margins"]["side"])
    if sheet["is_bare"]:
        room -= 100.0
    foot = f"{source.plan.title}: {title_of(plain['paper'])}"
    return sheet | {
        "foot": shortened(foot, room, FOOT_PT * PT_MM),
        "short": shortened(plain["title"], 0.75 * room, (FOOT_PT + 1) * PT_MM, "bold"),
    }


@cache
def _template() -> bytes:
    return files("kitplan.paper.pack.out").joinpath("papers.typ").read_bytes()


@cache
def _fonts() -> Any:
    """The one family that papers are set in: the same letters on every machine."""
    import typst

    folder = str(font_files()["regular"].parent)
    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[folder]
    )
