"""`kitplan gains`: what each thing is worth to the plan, and what one more would add."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.check import KitOption, ShootArgument
from kitplan.cli.common import (
    ClusterOption,
    EachSecondsOption,
    InventoryOption,
    JsonOption,
    OutFileOption,
    ProcessesOption,
    print_json,
    writable_file,
)

if TYPE_CHECKING:
    from kitplan.gear.kit import Kit
    from kitplan.paper.gains import Gains
    from kitplan.shoot.brief import Brief
    from kitplan.whatif.sweep import Result
    from kitplan.whatif.worth import Variant, Worth

OneMoreOption = Annotated[
    bool,
    typer.Option(
        "--one-more", help="Also try one more of each body, lens, adapter, head and support."
    ),
]
BorrowOption = Annotated[
    Path | None,
    typer.Option(
        "--borrow",
        metavar="FILE",
        help="Also try each unit of this kit file, and pairs of the best; value is the price.",
        show_default=False,
    ),
]
AllowBorrowedOption = Annotated[
    bool,
    typer.Option(
        "--allow-borrowed",
        help="Of that file also what would have to be hired; hire is the price.",
    ),
]
TopOption = Annotated[
    int, typer.Option("--top", metavar="N", min=1, max=1000, help="The most rows of a table.")
]

BASE = "everything"
"""Key of the plan that all others are compared with."""


def gains(
    shoot_path: ShootArgument,
    kit: KitOption = None,
    db: InventoryOption = None,
    seconds: EachSecondsOption = 10.0,
    is_one_more: OneMoreOption = False,
    borrow: BorrowOption = None,
    allows_borrowed: AllowBorrowedOption = False,
    processes: ProcessesOption = None,
    cluster: ClusterOption = None,
    top: TopOption = 12,
    out: OutFileOption = None,
    as_json: JsonOption = False,
) -> None:
    """Say what each thing is worth: planned anew without it, or with one more.

    Every item that is used, person, position and pass in turn. Seconds are counted in steps of the
    solver, so that answers repeat. Ctrl-C keeps what is done.

    Example: kitplan gains my-show.yaml --seconds 20

    Example: kitplan gains my-show.yaml --borrow from-friends.yaml
    """
    from kitplan.errors import SettingError
    from kitplan.paper.gains import gains_records, gains_text
    from kitplan.shoot.reading import read_brief

    out = writable_file(out)
    brief = read_brief(shoot_path, kit, db)
    lent = _lent(borrow, brief) if borrow is not None else None
    if lent is None and allows_borrowed:
        raise SettingError(
            "there is no list of things to hire",
            where="--allow-borrowed",
            fix="Name one with --borrow FILE",
        )
    solver = _Solver(shoot_path.stem, seconds, processes, cluster)
    found = _worked_out(brief, solver, lent, is_one_more=is_one_more, is_hiring=allows_borrowed)
    if as_json:
        print_json(gains_records(found))
    else:
        typer.echo(gains_text(found, top))
    if out is not None:
        from kitplan.paper.pack.beside import mark_of_shoot, write_beside

        write_beside(out, "gains", mark_of_shoot(brief.shoot, brief.kit), gains_records(found))
        typer.echo(f"Written to {out}", err=True)
    if solver.findings:
        raise typer.Exit(1)


@dataclass
class _Solver:
    """Runs sweeps with the settings of the command."""

    shoot_id: str
    seconds: float
    processes: int | None
    cluster: str | None
    findings: int = 0
    """Faults that the checks of all plans have found."""
    was_stopped: bool = False

    def sweep(self, what: str, changes: Sequence[Variant]) -> dict[str, Result]:
        """Return what each change comes to, by key."""
        labels = {each.key: each.label for each in changes}
        return self.solve(what, [(each.key, each.brief) for each in changes], labels)

    def solve(
        self, what: str, briefs: Sequence[tuple[str, Brief]], labels: dict[str, str]
    ) -> dict[str, Result]:
        """Return what each brief comes to, by key, with progress on stderr."""
        from kitplan.allocate.solver import Limits
        from kitplan.cli.counting import counting
        from kitplan.whatif.sweep import STOPPED, Job, Result, run

        if self.was_stopped:
            return {key: Result(None, STOPPED) for key, _ in briefs}
        limits = Limits(seconds=self.seconds, seed=1, workers=1)
        jobs = [Job(key, brief, self.shoot_id, limits) for key, brief in briefs]
        with counting(what, labels.__getitem__) as tell:
            found = dict(run(jobs, processes=self.processes, cluster=self.cluster, tell=tell))
        self.findings += sum(each.findings for each in found.values())
        self.was_stopped = any(each.reason == STOPPED for each in found.values())
        return found


def _worked_out(
    brief: Brief, solver: _Solver, lent: Kit | None, *, is_one_more: bool, is_hiring: bool
) -> Gains:
    """Return everything that was asked for.

    Raises:
        SettingError: If not even the whole has a plan.
        KeyboardInterrupt: If it is stopped before there is one.
    """
    from kitplan.paper.gains import Gains
    from kitplan.whatif import things
    from kitplan.whatif.worth import gains as gained
    from kitplan.whatif.worth import losses

    base = _base(brief, solver)
    parts = things.things_of(brief, base)
    base, lost = losses(brief, base, parts, partial(solver.sweep, "Without"))
    kit = lent if lent is None or is_hiring else things.without_hired(lent)
    left_out = things.hired(brief, lent) if lent is not None and not is_hiring else ()
    asked = [(things.one_more_of_each(brief), partial(things.both_more, brief))] * is_one_more
    if kit is not None and kit.units:
        asked.append((things.lent_things(brief, kit), partial(things.both_lent, brief, kit)))
    more: list[Worth] = []
    pairs: list[Worth] = []
    for singles, both in asked:
        both_ways = gained(brief, base, singles, both, partial(solver.sweep, "With"))
        more += both_ways[0]
        pairs += both_ways[1]
    assert base.figures is not None
    return Gains(
        brief.shoot.title,
        base.figures,
        lost,
        tuple(more),
        tuple(pairs),
        hired=left_out,
    )


def _base(brief: Brief, solver: _Solver) -> Result:
    from kitplan.errors import SettingError
    from kitplan.whatif.sweep import STOPPED

    (base,) = solver.solve("Everything", [(BASE, brief)], {BASE: brief.shoot.title}).values()
    if base.reason == STOPPED:
        raise KeyboardInterrupt
    if base.figures is None:
        fix = "Give it more time with --seconds"
        raise SettingError(base.reason, where=brief.shoot.title, fix=fix)
    return base


def _lent(path: Path, brief: Brief) -> Kit:
    """Return the things that could be had, which may be more units of owned items.

    Raises:
        BadInput: If the file is not right for itself.
        SettingError: If ids of it are taken by other things.
    """
    from kitplan.errors import SettingError
    from kitplan.gear.files import read_kit

    lent = read_kit(path, known=brief.kit)
    owned = brief.kit.items_by_id
    taken = [item.id for item in lent.items if owned.get(item.id, item) != item]
    ids = {thing.id for thing in (*brief.kit.items, *brief.kit.units)}
    taken += [unit.id for unit in lent.units if unit.id in ids]
    taken += [item.id for item in lent.items if item.id in ids - set(owned)]
    if taken:
        raise SettingError(
            f"the id '{taken[0]}' is that of another thing you own",
            where=f"--borrow {path}",
            fix="Give it an id of its own",
        )
    if not lent.units:
        raise SettingError(
            "the file has no units", where=f"--borrow {path}", fix="Add what could be had"
        )
    return lent
