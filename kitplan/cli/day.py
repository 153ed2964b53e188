"""The day as commands work it out: which parts, with a word on each."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from functools import partial
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from kitplan.plan.records import Plan

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
    from kitplan.produce.day import PARTS, with_day

    if set(PARTS) <= set(leave_out):
        return plan
    words = "Working out the day"
    typer.echo(words, err=True)
    with live_words(words) as show:
        try:
            return with_day(plan, leave_out=leave_out, tell=lambda part: show(f"{words}: {part}"))
        except KeyboardInterrupt:
            typer.echo("stopped; the plan is kept without its day", err=True)
            return plan
