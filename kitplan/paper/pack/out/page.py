"""Sheets as one HTML page: everything inline, no script, no network."""

from __future__ import annotations

from collections.abc import Sequence

from kitplan.paper.pack.blocks import Sheet
from kitplan.paper.pack.out.form import Form
from kitplan.paper.pack.source import Source


def html_of(source: Source, sheets: Sequence[Sheet], title: str) -> str:
    """Return sheets as one page; every text is escaped, pictures are inline."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    form = Form()
    environment = Environment(
        loader=PackageLoader("kitplan.paper.pack.out", "."),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    template = environment.get_template("papers.html.j2")
    plain = form.sheets(sheets)
    return template.render(title=title, source=source, sheets=plain, pictures=form.pictures)
