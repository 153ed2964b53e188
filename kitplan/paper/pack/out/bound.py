"""All papers bound in one PDF: full pages as they are, half pages two by two, a bookmark for each.

Setting every page again would take as long as all papers together. typst takes finished pages as
pictures: sharp, with text to search and copy. The structure for screen readers stays in the PDF of
each paper and in the page for phones.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import groupby, pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from kitplan.paper.pack.setting import HALVES_MM, MM_PER_INCH, PAGES_MM, PaperSize

TEMPLATE = """
#let data = json("bound.json")
#set document(title: data.title)
#set text(lang: "en")
#show heading: none
#for paper in data.papers {
  for (number, leaf) in paper.leaves.enumerate(start: 1) {
    let words(at) = paper.title + ", page " + str(at)
    let sheet(at) = image(paper.file, page: at, alt: words(at))
    page(width: leaf.width * 1pt, height: leaf.height * 1pt, margin: 0mm, background: {
      if leaf.is_full { sheet(leaf.pages.first()) } else {
        place(top + left, sheet(leaf.pages.first()))
        if leaf.pages.len() > 1 { place(top + right, sheet(leaf.pages.last())) }
        place(top + left, dx: leaf.width * 0.5pt,
          line(angle: 90deg, length: 100%, stroke: (thickness: 0.5pt, dash: "dashed")))
      }
    }, if number == 1 { heading(paper.title) })
  }
}
"""
_PAGE = re.compile(
    rb"/Type\s*/Page\b(?:(?!endobj).)*?/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]", re.DOTALL
)
_MARK = re.compile(rb"/Dest (\d+) 0 R")
_PLACE = re.compile(rb"\n(\d+) 0 obj\n\[(\d+) 0 R ?/XYZ")
_KIDS = re.compile(rb"/Type\s*/Pages\b(?:(?!endobj).)*?/Kids\s*\[([^\]]*)\]", re.DOTALL)
"""How typst writes pages, bookmarks and where they lead."""
PT_PER_MM = 72 / MM_PER_INCH


def bound_pdf(papers: Sequence[tuple[str, bytes]], title: str, paper: PaperSize = "a4") -> bytes:
    """Return PDFs, each with its title, as one; the same bytes for the same papers.

    Half pages share a full one, two by two, with a line to fold or to cut along: no printer is
    asked for small paper, and a card that is folded there has its second side on its back.
    """
    import typst

    with TemporaryDirectory() as name:
        folder = Path(name)
        listed = []
        for number, (words, pdf) in enumerate(papers):
            (folder / f"{number}.pdf").write_bytes(pdf)
            leaves = list(_leaves(pdf, paper))
            listed.append({"file": f"{number}.pdf", "title": words, "leaves": leaves})
        data = json.dumps({"title": title, "papers": listed})
        (folder / "bound.json").write_text(data, encoding="utf-8")
        (folder / "bound.typ").write_text(TEMPLATE, encoding="utf-8")
        made = typst.Compiler(folder / "bound.typ", root=folder, ignore_system_fonts=True).compile(
            timestamp=0
        )
    assert isinstance(made, bytes)  # one PDF; pictures would be a list
    return made


def _leaves(pdf: bytes, paper: PaperSize) -> Iterator[dict[str, Any]]:
    """Yield the pages of a bound paper: their size, and which pages of the PDF are on each."""
    pages = pages_pt(pdf)
    high, wide = (side * PT_PER_MM for side in PAGES_MM[paper])
    sheets = [range(*each) for each in pairwise([*_sheet_starts(pdf), len(pages)])]
    for is_half, run in groupby(sheets, lambda own: _is_half(pages[own[0]], paper)):
        # By two sheets, since these are the sides of a card: one that runs on shifts no other.
        for some in _chunks(list(run), 2 if is_half else 1):
            own = [at for sheet in some for at in sheet]
            for part in _chunks(own, 2 if is_half else 1):
                width, height = (wide, high) if is_half else pages[part[0]]
                numbers = [at + 1 for at in part]
                yield {"width": width, "height": height, "pages": numbers, "is_full": not is_half}


def _chunks(all_of: list[Any], size: int) -> Iterator[list[Any]]:
    return (all_of[at : at + size] for at in range(0, len(all_of), size))


def _sheet_starts(pdf: bytes) -> list[int]:
    """Return on which page each sheet begins, from 0: where its bookmark leads."""
    places = dict(_PLACE.findall(pdf))
    kids = _KIDS.search(pdf)
    order = re.findall(rb"(\d+) 0 R", kids[1]) if kids else []
    return sorted({0, *(order.index(places[mark]) for mark in _MARK.findall(pdf))})


def _is_half(page_pt: tuple[float, float], paper: PaperSize) -> bool:
    return all(
        abs(one - side * PT_PER_MM) < 1 for one, side in zip(page_pt, HALVES_MM[paper], strict=True)
    )


@cache
def pages_pt(pdf: bytes) -> list[tuple[float, float]]:
    """Return width and height of each page of a PDF made by typst, in points."""
    return [(float(width), float(height)) for width, height in _PAGE.findall(pdf)]
