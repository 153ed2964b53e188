"""`kitplan papers`: the papers of a plan as PDF, as one page for phones, and as text."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from kitplan.cli.common import end_unless_it_holds, writable
from kitplan.cli.packing import PlanArgument


def papers(
    plan_path: PlanArgument,
    only: Annotated[
        str | None,
        typer.Option("--only", metavar="NAMES", help="Only these papers: packing,cards."),
    ] = None,
    is_all: Annotated[bool, typer.Option("--all", help="The whole show pack.")] = False,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="Where to write them.")
    ] = None,
    paper: Annotated[
        Literal["a4", "letter"], typer.Option("--paper", help="Size of the pages.")
    ] = "a4",
    units: Annotated[Literal["m", "ft"], typer.Option("--units", help="Metres or feet.")] = "m",
) -> None:
    """Print the papers of the day, or the whole show pack.

    Example: kitplan papers my-show-plan

    Example: kitplan papers my-show-plan --all --paper letter --units ft
    """
    from kitplan.cli.day import read_with
    from kitplan.paper.pack.out.page import html_of
    from kitplan.paper.pack.out.pdf import pdf_of
    from kitplan.paper.pack.out.text import text_of
    from kitplan.paper.pack.papers import DAILY, PAPERS
    from kitplan.paper.pack.setting import Setting
    from kitplan.paper.pack.source import Source

    plan, findings = read_with(plan_path, "cases")
    source = Source(plan, Setting(paper, units))
    wanted = only.split(",") if only else [p.id for p in PAPERS] if is_all else list(DAILY)
    folder = writable(out or Path(f"{plan_path.stem}-papers"))
    sheets = [sheet for p in PAPERS if p.id in wanted for sheet in p.sheets(source)]
    (folder / "papers.pdf").write_bytes(pdf_of(source, sheets, plan.title))
    (folder / "papers.html").write_text(html_of(source, sheets, plan.title), encoding="utf-8")
    (folder / "papers.txt").write_text(text_of(sheets), encoding="utf-8")
    end_unless_it_holds(plan_path, findings, "papers")
