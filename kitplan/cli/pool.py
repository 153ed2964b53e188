"""`kitplan plan SHOOT SHOOT`: two shoots from one pool, a plan for each."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from kitplan.cli.common import print_json, writable

if TYPE_CHECKING:
    from kitplan.allocate.keep import Kept
    from kitplan.allocate.search import Limits
    from kitplan.plan.pool import Shared, Way
    from kitplan.plan.records import Plan
    from kitplan.shoot.brief import Brief

MOST_SHOOTS = 2


@dataclass(frozen=True)
class Asked:
    """What `kitplan plan` was asked for."""

    paths: Sequence[Path]
    kit: Path | None
    db: Path | None
    out: Path | None
    limits: Limits
    leave_out: Collection[str]
    way: Way
    alternatives: int | None


def plan_pool(asked: Asked, *, as_json: bool, is_detailed: bool) -> None:
    """Plan two shoots, check and write both plans, say what was divided and what each has.

    Raises:
        SettingError: If there are not two shoots, or alternatives are asked for.
        BadInput: With everything that is wrong in the files.
    """
    from kitplan.paper.pool import pool_record, pool_text
    from kitplan.produce.pool import plan_two
    from kitplan.shoot.reading import read_briefs

    _refuse(asked)
    briefs = read_briefs(asked.paths, asked.kit, asked.db)
    names = [path.stem for path in asked.paths]
    folders = [writable(asked.out / name if asked.out else Path(f"{name}-plan")) for name in names]
    runs = _Runs(asked)
    shared = plan_two(
        briefs, names, asked.way, asked.limits, solve=runs.solve, finish=runs.finish, tell=_tell
    )
    paths = _written(shared, folders, names)
    if as_json:
        plans = [plan.model_dump(mode="json", by_alias=True) for plan in shared.plans]
        print_json({"pool": pool_record(shared), "plans": plans})
    else:
        _print(shared, paths, pool_text(shared), is_detailed=is_detailed)
    _end(shared)


def _refuse(asked: Asked) -> None:
    from kitplan.errors import SettingError

    if len(asked.paths) != MOST_SHOOTS:
        number = len(asked.paths)
        wrong = f"{number} shoots are given" if number > 1 else "one shoot is given"
        fix = "A pool is shared by two: give two shoot files"
        raise SettingError(wrong, where="SHOOT", fix=fix)
    if asked.alternatives:
        fix = "Leave it away, or plan one shoot at a time after booking the other"
        raise SettingError(
            "alternatives are not looked for with two shoots", where="--alternatives", fix=fix
        )


class _Runs:
    """Planning one shoot of the two, with progress on stderr."""

    def __init__(self, asked: Asked) -> None:
        self._asked = asked

    def solve(self, brief: Brief, shoot_id: str, start: tuple[Kept, ...]) -> Plan:
        """Return the best placements of a shoot."""
        from kitplan.cli.progress import Progress
        from kitplan.produce.solve import plan_shoot

        with Progress("Planning") as progress:
            return plan_shoot(
                brief,
                shoot_id=shoot_id,
                limits=self._asked.limits,
                tell=progress.tell,
                start=start,
            )

    def finish(self, brief: Brief, shoot_id: str, start: tuple[Kept, ...]) -> Plan:
        """Return the whole plan of a shoot, planned again until its work fits."""
        from kitplan.cli.day import add_day
        from kitplan.cli.plan import tell_again
        from kitplan.cli.progress import searching
        from kitplan.produce.rounds import Shares, plan_that_fits

        has_work = "reset" not in self._asked.leave_out
        shares = Shares(shoot_id, self._asked.limits, start, has_work)

        def once(now: Brief) -> Plan:
            with searching() as tell:
                return shares.solve(now, tell).plan

        return plan_that_fits(
            brief,
            once,
            tell=tell_again,
            add_day=add_day(self._asked.leave_out),
        )


def _tell(what: str) -> None:
    typer.echo(f"Now: {what}", err=True)


def _written(shared: Shared, folders: Sequence[Path], names: Sequence[str]) -> list[Path]:
    from kitplan.plan.files import set_alternatives_aside, write_plan

    paths = []
    for plan, folder, name in zip(shared.plans, folders, names, strict=True):
        paths.append(write_plan(plan, folder, name))
        set_alternatives_aside(folder, name)
    return paths


def _print(shared: Shared, paths: Sequence[Path], text: str, *, is_detailed: bool) -> None:
    from kitplan.cli.plan import print_summary

    typer.echo(f"{text}\n")
    for plan in shared.plans:
        print_summary(plan, is_detailed=is_detailed)
        typer.echo()
    for path in paths:
        typer.echo(f"Plan written to {path}")
    typer.echo("Book both: kitplan gear book PLAN")


def _end(shared: Shared) -> None:
    """Say what the check found; end with status 1 where it found any, or a plan falls short."""
    from kitplan.paper.findings import findings_text
    from kitplan.plan.verify import verify
    from kitplan.produce.whole import falls_short

    is_good = True
    for plan in shared.plans:
        findings = verify(plan)
        if findings:
            typer.echo(f"{plan.title}: {findings_text(plan, findings)}", err=True)
        is_good = is_good and not findings and not falls_short(plan)
    if not is_good:
        raise typer.Exit(1)
