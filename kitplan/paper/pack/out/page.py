"""Sheets as one HTML page: everything inline, no script, no network."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from html import escape
from importlib.resources import files
from itertools import groupby
from typing import Any

from kitplan.paper.drawings.svg import number
from kitplan.paper.pack.blocks import Sheet
from kitplan.paper.pack.out.form import Form
from kitplan.paper.pack.out.signs import on_screen
from kitplan.paper.pack.papers import title_of
from kitplan.paper.pack.source import Source

CARDS = "cards"
SAME = ("paper", "letter", "title")
"""A sheet that agrees in these with the one before is its other side: no entry of its own."""
SHORT = 11
"""Signs of a cell that a phone has room for beside another column."""
_ROOT = re.compile(r"<svg [^>]*>")
_INDENT = re.compile(r">\s*\n\s*<")


def html_of(source: Source, sheets: Sequence[Sheet], title: str) -> str:
    """Return sheets as one page; every text is escaped, pictures are inline, each once."""
    form = Form(on_screen)
    plain = _anchored(form.sheets(sheets))
    page: str = _template("papers.html.j2").render(
        title=on_screen(title),
        mark=source.mark,
        styles=styles() + _page_rule(source),
        groups=list(_groups(plain)),
        cards=f"p-{CARDS}" if any(sheet["paper"] == CARDS for sheet in plain) else "",
        draw=_drawer(form),
        short_columns=_short_columns,
        has_styles=True,
    )
    return page


def html_sections(sheets: Sequence[Sheet]) -> str:
    """Return sheets as sections for another page, which brings `styles`; escaped likewise, and
    without styles of their own, which a page may not let pass.
    """
    form = Form(on_screen)
    plain = _anchored(form.sheets(sheets))
    made: str = _template("sections.html.j2").render(
        sheets=plain, draw=_drawer(form), short_columns=_short_columns, has_styles=False
    )
    return made


def styles() -> str:
    """Return the style sheet of papers on a screen."""
    return _file("papers.css")


def _anchored(plain: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return sheets with an anchor each, and whether each is the other side of the one before."""
    before: dict[str, Any] = {}
    for at, sheet in enumerate(plain, 1):
        sheet["anchor"] = f"s{at}"
        sheet["is_second"] = all(sheet[name] == before.get(name) for name in SAME)
        before = sheet
    return plain


def _drawer(form: Form) -> Callable[[dict[str, Any]], Any]:
    """Return what puts a picture on the page: drawn once, pointed to from there on."""
    drawn: set[str] = set()

    def draw(picture: dict[str, Any]) -> Any:
        from markupsafe import Markup

        name = picture["svg"]
        again = name in drawn
        drawn.add(name)
        return Markup(_svg(picture, None if again else form.pictures[name]))

    return draw


def _groups(plain: Sequence[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Yield the sheets of each paper."""
    for paper, found in groupby(plain, key=lambda sheet: str(sheet["paper"])):
        yield {"title": title_of(paper), "anchor": f"p-{paper}", "sheets": list(found)}


def _short_columns(table: dict[str, Any]) -> set[int]:
    """Return the columns whose cells never wrap, by number."""
    columns = zip(*table["rows"], strict=False)
    return {at for at, cells in enumerate(columns) if max(map(len, cells)) <= SHORT}


def _svg(picture: dict[str, Any], svg: str | None) -> str:
    """Return a picture for the page; None for one that stands on it already."""
    size = f"0 0 {number(picture['width_mm'])} {number(picture['height_mm'])}"
    head = f'<svg viewBox="{size}" role="img" aria-label="{escape(picture["words"])}"'
    if svg is None:
        return f'{head}><use href="#{picture["svg"]}"/></svg>'
    inner = _INDENT.sub("><", _ROOT.sub(f'<svg id="{picture["svg"]}" viewBox="{size}">', svg, 1))
    return f"{head}>{inner.strip()}</svg>"


def _page_rule(source: Source) -> str:
    """Return what stands at the foot of printed pages; of the plan only its mark, six signs."""
    size = source.setting.paper
    foot = (
        f'@bottom-left{{content:"Plan {source.mark}. Sheets with another mark are void.";'
        'font:8pt sans-serif}@bottom-right{content:"page " counter(page);font:8pt sans-serif}'
    )
    return (
        f"@page{{size:{size};margin:14mm 14mm 16mm;{foot}}}"
        f"@page lying{{size:{size} landscape;margin:14mm 14mm 16mm;{foot}}}"
    )


@cache
def _file(name: str) -> str:
    return files("kitplan.paper.pack.out").joinpath(name).read_text(encoding="utf-8")


@cache
def _template(name: str) -> Any:
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    environment = Environment(
        loader=FunctionLoader(_file),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template(name)
