"""`kitplan papers`: the papers of a plan as PDF, as one page for phones, and as text."""

from __future__ import annotations

import gc
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from kitplan.cli.common import JsonOption, end_unless_it_holds, print_json, writable
from kitplan.cli.packing import PlanArgument

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from kitplan.paper.pack.out.files import File
    from kitplan.paper.pack.papers import Paper
    from kitplan.paper.pack.setting import Setting
    from kitplan.paper.pack.source import Source
    from kitplan.plan.records import Plan

NEEDED_PART = "cases"
"""A plan without this part of its day gets it worked out: packing lists go by it."""

CHECK = "check"
"""Names the job of checking the plan; no paper is called so."""


OnlyOption = Annotated[
    str | None,
    typer.Option(
        "--only",
        metavar="NAMES",
        help="Only these papers, such as packing,cards.",
        show_default=False,
    ),
]
AllOption = Annotated[
    bool, typer.Option("--all", help="The whole show pack, and all of it bound in one PDF.")
]
OutOption = Annotated[
    Path | None,
    typer.Option(
        "--out",
        metavar="FOLDER",
        help="Where the papers go; by default NAME-papers beside the plan.",
        show_default=False,
    ),
]
PaperOption = Annotated[
    Literal["a4", "letter"] | None,
    typer.Option(
        "--paper",
        envvar="KITPLAN_PAPER",
        help="Size of the pages; by default what is usual in your land.",
        show_default=False,
    ),
]
UnitsOption = Annotated[
    Literal["m", "ft"] | None,
    typer.Option(
        "--units",
        envvar="KITPLAN_UNITS",
        help="Metres or feet; by default likewise.",
        show_default=False,
    ),
]
ClockOption = Annotated[
    Literal["24", "12"] | None,
    typer.Option(
        "--clock",
        envvar="KITPLAN_CLOCK",
        help="18:30 or 6:30 pm; by default likewise.",
        show_default=False,
    ),
]


def papers(
    plan_path: PlanArgument,
    only: OnlyOption = None,
    is_all: AllOption = False,
    out: OutOption = None,
    paper: PaperOption = None,
    units: UnitsOption = None,
    clock: ClockOption = None,
    as_json: JsonOption = False,
) -> None:
    """Print the papers of the day, or the whole show pack.

    One PDF for each paper; papers.html, all of them on one page for a phone without network;
    papers.txt. With --all also show-pack.pdf. Every sheet carries the mark of its plan; papers of
    an earlier plan are taken out of the folder.

    Page size, units and clock follow the land of LC_PAPER, LC_MEASUREMENT and LC_TIME (or LC_ALL,
    or LANG): Letter, feet and 6:30 pm for en_US, else A4, metres and 18:30.

    Example: kitplan papers my-show-plan

    Example: kitplan papers my-show-plan --all --paper letter --units ft
    """
    from kitplan.cli.folder import write_all

    wanted = _papers(only, is_all=is_all)
    with _uncollected():
        plan, known = _plan(plan_path)
        source = _source(plan, plan_path, _setting(paper, units, clock))
        folder = writable(out or _beside(plan_path))
        files, findings = _made(source, wanted, known, is_bound=is_all)
    void = write_all(folder, {each.name: each.content for each in files}, _key(source))
    if as_json:
        print_json(_record(source, folder, files, void))
    else:
        typer.echo(_said(source, folder, files, void))
    end_unless_it_holds(plan_path, findings, "papers")


@contextmanager
def _uncollected() -> Iterator[None]:
    """Leave out the search for garbage: there is next to none, and it took a tenth of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _plan(plan_path: Path) -> tuple[Plan, Sequence[object] | None]:
    """Return a plan with what papers need, and what does not hold in it; None where that is still
    to be found out: it takes its time, and no paper waits for it.
    """
    from kitplan.cli.day import has_part, read_unchecked, read_with

    plan = read_unchecked(plan_path)
    return (plan, None) if has_part(plan, NEEDED_PART) else read_with(plan_path, NEEDED_PART)


def _made(
    source: Source,
    wanted: Sequence[Paper],
    findings: Sequence[object] | None,
    *,
    is_bound: bool,
) -> tuple[list[File], Sequence[object]]:
    """Return the files of papers, and what does not hold in their plan.

    Another process draws and checks meanwhile.
    """
    from functools import partial

    from kitplan.cli.aside import Aside
    from kitplan.paper.pack.papers import DRAWN

    by_id = {each.id: each for each in wanted}
    drawn = [by_id[name] for name in DRAWN if name in by_id] if len(wanted) > 1 else []
    jobs: dict[str, Callable[[], Any]] = {each.id: partial(each.sheets, source) for each in drawn}
    jobs[CHECK] = partial(_findings, source.plan, findings)
    aside = Aside(jobs)

    from kitplan.cli.progress import live_words  # only now: the other process needs none of these
    from kitplan.paper.pack.out.files import files_of

    later = {each.id: partial(aside.result, each.id) for each in drawn}
    with live_words("Papers") as tell:
        files = files_of(
            source, wanted, is_bound=is_bound, later=later, tell=lambda w: tell(f"Papers: {w}")
        )
    return files, aside.result(CHECK)


def _findings(plan: Plan, findings: Sequence[object] | None) -> Sequence[object]:
    """Return what does not hold in a plan, where it is not known yet."""
    from kitplan.plan.verify import verify

    return verify(plan) if findings is None else findings


def _papers(only: str | None, *, is_all: bool) -> tuple[Paper, ...]:
    """Return the papers that are asked for, in the order of the show pack.

    Raises:
        SettingError: If there is no such paper, or both options are given.
    """
    from kitplan.errors import SettingError
    from kitplan.paper.pack.papers import DAILY, PAPERS
    from kitplan.wording import hint

    if only is not None and is_all:
        fix = "Leave out one of them"
        raise SettingError("it cannot stand beside --all", where="--only", fix=fix)
    if only is None:
        return tuple(each for each in PAPERS if is_all or each.id in DAILY)
    known = [each.id for each in PAPERS]
    asked = [part.strip().casefold() for part in only.split(",") if part.strip()]
    for part in asked or [only]:
        if part not in known:
            raise SettingError(f"there is no paper {part!r}", where="--only", fix=hint(part, known))
    return tuple(each for each in PAPERS if each.id in asked)


def _setting(
    paper: Literal["a4", "letter"] | None,
    units: Literal["m", "ft"] | None,
    clock: Literal["24", "12"] | None,
) -> Setting:
    """Return what the user chose, and what is usual in their land for the rest."""
    import os

    from kitplan.paper.pack.setting import Setting, usual

    land = usual(os.environ)
    return Setting(paper or land.paper, units or land.units, clock or land.clock)


def _source(plan: Plan, plan_path: Path, setting: Setting) -> Source:
    """Return what the papers are filled from: the plan, and what was worked out beside it."""
    from functools import partial

    from kitplan.paper.pack.beside import with_beside
    from kitplan.paper.pack.source import Source

    return with_beside(Source(plan, setting), plan_path, partial(typer.echo, err=True))


def _beside(plan_path: Path) -> Path:
    """Return the folder for papers beside a plan file, or in the folder that holds it."""
    from kitplan.plan.files import plan_file

    path = plan_file(plan_path)
    return path.with_name(f"{path.stem}-papers")


def _key(source: Source) -> str:
    """What papers of one folder have in common: plan, setting, and what was answered beside it."""
    from hashlib import sha256

    from kitplan import __version__

    setting = source.setting
    beside = repr((__version__, source.schedules, source.fallback, source.gains)).encode()
    signs = sha256(beside).hexdigest()[:8]
    return " ".join((source.mark, setting.paper, setting.units, setting.clock, signs))


def _record(source: Source, folder: Path, files: list[File], void: list[Path]) -> dict[str, Any]:
    return {
        "mark": source.mark,
        "folder": str(folder),
        "files": [
            {"file": str(folder / each.name), "title": each.title, "sheets": each.sheets}
            for each in files
        ],
        "void": [str(path) for path in void],
    }


def _said(source: Source, folder: Path, files: list[File], void: list[Path]) -> str:
    """Return what was written, and what was taken away."""
    from kitplan.paper.layout import counted, table_text

    rows = [(each.name, each.title, counted(each.sheets, "sheet")) for each in files]
    parts = [
        f"Papers of plan {source.mark} written to {folder}:",
        table_text(("file", "what", ""), rows),
    ]
    if void:
        names = ", ".join(path.name for path in void)
        parts.append(
            f"Taken away, for they were of another plan or setting: {names}. Whoever holds them "
            "on paper needs new ones."
        )
    return "\n\n".join(parts)
