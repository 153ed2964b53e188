"""Labels as PDF: set by typst from `labels.typ`, which gets everything as JSON with its place."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from importlib.resources import files
from typing import Any, Literal

from kitplan.paper.drawings.text import font_files, shown
from kitplan.paper.pack.labels.codes import code_of, svg_of
from kitplan.paper.pack.labels.layout import Drawn
from kitplan.paper.pack.labels.stock import Stock
from kitplan.paper.pack.setting import PAGES_MM


def labels_pdf(drawn: Sequence[Drawn], stock: Stock, *, skip: int = 0, title: str = "") -> bytes:
    """Return sheets of labels as PDF.

    Args:
        skip: Labels that are gone from the first sheet already.
    """
    (made,) = _compiled(drawn, stock, skip, title, "pdf")
    return made


def labels_png(
    drawn: Sequence[Drawn], stock: Stock, *, skip: int = 0, dots_per_inch: float = 300.0
) -> tuple[bytes, ...]:
    """Return sheets of labels as pictures, one a page."""
    return _compiled(drawn, stock, skip, "", "png", dots_per_inch)


def _compiled(
    drawn: Sequence[Drawn],
    stock: Stock,
    skip: int,
    title: str,
    form: Literal["pdf", "png"],
    dots_per_inch: float | None = None,
) -> tuple[bytes, ...]:
    import typst

    width_mm, height_mm = PAGES_MM[stock.paper]
    pages: list[list[dict[str, Any]]] = []
    for number, one in enumerate(drawn, skip):
        page, x_mm, y_mm = stock.place(number)
        pages += [[] for _ in range(page + 1 - len(pages))]
        pages[page].append(_plain(one, x_mm, y_mm))
    data = {"title": shown(title), "width_mm": width_mm, "height_mm": height_mm, "pages": pages}
    template = files("kitplan.paper.pack.out").joinpath("labels.typ").read_bytes()
    # A dict of files is taken but missing in the package's types.
    inputs: Any = {"main": template, "labels.json": json.dumps(data).encode()}
    fonts = [str(font_files()["regular"].parent)]
    made: bytes | list[bytes] = typst.compile(
        inputs,
        font_paths=fonts,
        ignore_system_fonts=True,
        timestamp=0,
        format=form,
        ppi=dots_per_inch,
    )
    return (made,) if isinstance(made, bytes) else tuple(made)


def _plain(one: Drawn, x_mm: float, y_mm: float) -> dict[str, Any]:
    """Return a label as plain data, seen from the corner of the page."""
    return {
        "code": code_of(one.label.unit, one.label.address),
        "svg": svg_of(one.label.unit, one.label.address),
        "code_x_mm": x_mm + one.code_x_mm,
        "code_y_mm": y_mm + one.code_y_mm,
        "code_mm": one.code_mm,
        "letter": one.label.letter,
        "disc": one.disc and (x_mm + one.disc[0], y_mm + one.disc[1], one.disc[2]),
        "lines": [
            asdict(line) | {"x_mm": x_mm + line.x_mm, "y_mm": y_mm + line.y_mm}
            for line in one.lines
        ],
    }
