"""All papers bound in one PDF: their pages as they are, with a bookmark for each paper.

Setting every page again would take as long as all papers together. typst takes finished pages as
pictures: sharp, with text to search and copy. The structure for screen readers stays in the PDF of
each paper and in the page for phones.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

TEMPLATE = """
#let data = json("bound.json")
#set document(title: data.title)
#set text(lang: "en")
#show heading: none
#for paper in data.papers {
  for (number, (width, height)) in paper.pages.enumerate(start: 1) {
    let words = paper.title + ", page " + str(number)
    let sheet = image(paper.file, page: number, width: 100%, alt: words)
    page(width: width * 1pt, height: height * 1pt, margin: 0mm, background: sheet,
      if number == 1 { heading(paper.title) })
  }
}
"""
_PAGE = re.compile(
    rb"/Type\s*/Page\b(?:(?!endobj).)*?/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]", re.DOTALL
)


def bound_pdf(papers: Sequence[tuple[str, bytes]], title: str) -> bytes:
    """Return PDFs, each with its title, as one; the same bytes for the same papers."""
    import typst

    with TemporaryDirectory() as name:
        folder = Path(name)
        listed = []
        for number, (words, pdf) in enumerate(papers):
            (folder / f"{number}.pdf").write_bytes(pdf)
            listed.append({"file": f"{number}.pdf", "title": words, "pages": pages_pt(pdf)})
        data = json.dumps({"title": title, "papers": listed})
        (folder / "bound.json").write_text(data, encoding="utf-8")
        (folder / "bound.typ").write_text(TEMPLATE, encoding="utf-8")
        made = typst.Compiler(folder / "bound.typ", root=folder, ignore_system_fonts=True).compile(
            timestamp=0
        )
    assert isinstance(made, bytes)  # one PDF; pictures would be a list
    return made


@cache
def pages_pt(pdf: bytes) -> list[tuple[float, float]]:
    """Return width and height of each page of a PDF made by typst, in points."""
    return [(float(width), float(height)) for width, height in _PAGE.findall(pdf)]
