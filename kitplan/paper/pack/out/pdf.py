"""Sheets as PDF: set by typst from `papers.typ`.

The sheets reach typst as JSON, never as source: no text of a plan is ever read as markup.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from importlib.resources import files
from typing import Any

from kitplan.paper.drawings.text import font_files
from kitplan.paper.pack.blocks import Sheet
from kitplan.paper.pack.out.form import Form
from kitplan.paper.pack.setting import HALVES_MM, PAGES_MM
from kitplan.paper.pack.source import Source


def pdf_of(source: Source, sheets: Sequence[Sheet], title: str) -> bytes:
    """Return sheets as one PDF, each on pages of its own size."""
    return bytes(_compiled(source, sheets, title, timestamp=0))


def pngs_of(
    source: Source, sheets: Sequence[Sheet], title: str, dots_per_inch: float
) -> list[bytes]:
    """Return the same pages as pictures."""
    made = _compiled(source, sheets, title, format="png", ppi=dots_per_inch)
    return made if isinstance(made, list) else [made]


def _compiled(source: Source, sheets: Sequence[Sheet], title: str, **how: Any) -> Any:
    import typst

    form = Form()
    data = {
        "title": title,
        "plan": source.plan.title,
        "mark": source.mark,
        "pages": {"full": PAGES_MM[source.setting.paper], "half": HALVES_MM[source.setting.paper]},
        "sheets": form.sheets(sheets),
    }
    template = files("kitplan.paper.pack.out").joinpath("papers.typ").read_bytes()
    inputs: Any = {"main": template, "sheets.json": json.dumps(data).encode()}
    inputs |= {f"{name}.svg": svg.encode() for name, svg in form.pictures.items()}
    fonts = [str(font_files()["regular"].parent)]
    # A dict of files is taken but missing in the package's types.
    return typst.compile(inputs, font_paths=fonts, ignore_system_fonts=True, **how)
