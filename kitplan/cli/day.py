"""The day as commands work it out: which parts, with a word on each."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from kitplan.plan.records import Plan
    from kitplan.plan.verify import Finding

FIELDS = {
    "shots": ("shots",),
    "restarts": ("rolls", "cover"),
    "sound": ("sound",),
    "power": ("power",),
    "media": ("media",),
    "reset": ("work",),
    "cases": ("cases",),
}
"""What a plan has where it has a part of its day."""

ALL = "day"
"""Names every part."""


def left_out(names: Sequence[str] | None) -> tuple[str, ...]:
    """Return the parts of the day that nobody needs.

    Raises:
        SettingError: If there is no such part.
    """
    from kitplan.errors import SettingError
    from kitplan.produce.day import PARTS
    from kitplan.wording import hint

    for name in names or ():
        if name not in (*PARTS, ALL):
            wrong = f"the day has no part {name!r}"
            raise SettingError(wrong, where="--leave-out", fix=hint(name, (*PARTS, ALL)))
    return PARTS if ALL in (names or ()) else tuple(names or ())


def add_day(leave_out: Collection[str] = ()) -> Callable[[Plan], Plan]:
    """Return what works out the day of a plan; Ctrl-C leaves it without one."""
    return partial(_with_day, leave_out=leave_out)


def _with_day(plan: Plan, leave_out: Collection[str]) -> Plan:
    from kitplan.cli.progress import live_words
    from kitplan.produce.day import PARTS
    from kitplan.produce.whole import day_or_none

    if set(PARTS) <= set(leave_out):
        return plan
    words = "Working out the day"
    typer.echo(words, err=True)
    with live_words(words) as show:
        return day_or_none(
            plan,
            leave_out=leave_out,
            tell=lambda part: show(f"{words}: {part}"),
            stopped=lambda: typer.echo("stopped; the plan is kept without its day", err=True),
        )


def read_unchecked(plan_path: Path) -> Plan:
    """Return a plan that names only what it holds; nobody has checked whether it holds.

    Raises:
        PlanFileError: If the file names what it does not hold.
    """
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan

    plan = read_plan(plan_path)
    require_whole(plan, str(plan_path))
    return plan


def has_part(plan: Plan, part: str) -> bool:
    """Return whether a plan has a part of its day."""
    return all(getattr(plan.day, name, None) is not None for name in FIELDS[part])


def read_with(plan_path: Path, part: str | None) -> tuple[Plan, tuple[Finding, ...]]:
    """Return a plan and what does not hold in it, with a part of its day: worked out now, with what
    it goes by, where the file has none.

    Args:
        part: None for a paper that needs no part of it.
    Raises:
        PlanFileError: If the file names what it does not hold, or has to be worked on and does not
            hold.
    """
    from kitplan.errors import PlanFileError
    from kitplan.plan.verify import verify

    plan, where = read_unchecked(plan_path), str(plan_path)
    findings = verify(plan)
    if part is None or has_part(plan, part):
        return plan, findings
    if findings:
        fix = f"See what is wrong with `kitplan verify {where}`"
        raise PlanFileError(f"it has no {part} and does not hold", where=where, fix=fix)
    from kitplan.cli.progress import live_words
    from kitplan.produce.day import with_day_down_to  # only here: it brings the solver along

    words = (
        "The plan has no day yet: working it out"
        if plan.day is None
        else (f"The plan has no {part} yet: working it out")
    )
    typer.echo(words, err=True)
    with live_words(words) as show:
        plan = with_day_down_to(plan, part, tell=lambda each: show(f"{words}: {each}"))
    return plan, verify(plan)
