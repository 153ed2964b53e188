"""`kitplan measure-first`: the assumed facts whose true value could change a plan most."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.common import (
    ClusterOption,
    EachSecondsOption,
    JsonOption,
    ProcessesOption,
    end_unless_it_holds,
    print_json,
)
from kitplan.cli.packing import PlanArgument

if TYPE_CHECKING:
    from kitplan.plan.records import Plan
    from kitplan.shoot.brief import Brief
    from kitplan.whatif.facts import Fact
    from kitplan.whatif.measure import MeasureFirst
    from kitplan.whatif.screening import Screened
    from kitplan.whatif.sweep import Result
    from kitplan.whatif.why import Inquiry


TopOption = Annotated[
    int, typer.Option("--top", metavar="N", min=1, max=1000, help="How many facts to name.")
]
SolveOption = Annotated[
    int,
    typer.Option(
        "--solve",
        metavar="N",
        min=1,
        max=1000,
        help="Plan anew with so many facts, the most promising ones; all are screened.",
    ),
]


def measure_first(
    plan_path: PlanArgument,
    top: TopOption = 5,
    most: SolveOption = 12,
    seconds: EachSecondsOption = 5.0,
    processes: ProcessesOption = None,
    cluster: ClusterOption = None,
    as_json: JsonOption = False,
) -> None:
    """Say which assumed facts to measure first: those that could change the plan most.

    A fact is assumed unless its record names it under `measured:`. Each is given the lowest and the
    highest value to be expected (shared/uncertainty.yaml), and the shoot is planned anew, so that
    little of the plan moves. Seconds are counted in steps of the solver, so that answers repeat.
    Ctrl-C keeps what is done.

    Example: kitplan measure-first my-show-plan

    Example: kitplan measure-first my-show-plan --solve 40 --processes 2
    """
    from kitplan.paper.measure import measure_records, measure_text
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan
    from kitplan.plan.verify import verify
    from kitplan.whatif.why import Inquiry

    plan = read_plan(plan_path)
    require_whole(plan, str(plan_path))
    findings = verify(plan)
    inquiry = Inquiry(plan)
    solver = _Solver(inquiry, seconds, processes, cluster)
    found = _worked_out(inquiry, solver, most)
    if as_json:
        print_json(measure_records(found, top))
    else:
        typer.echo(measure_text(found, top))
    end_unless_it_holds(plan_path, findings, "facts")
    if solver.findings:
        raise typer.Exit(1)


def _worked_out(inquiry: Inquiry, solver: _Solver, most: int) -> MeasureFirst:
    """Return what every assumed fact of a plan may change."""
    from kitplan.whatif.measure import planned_anew
    from kitplan.whatif.sweep import result_of

    plan, brief = inquiry.plan, inquiry.brief
    screened = _screened(plan, brief)
    solver.facts = [each.fact for each in screened]
    standing = result_of(plan, brief)
    return planned_anew(plan.title, brief, standing, screened, most, solver.solve)


def _screened(plan: Plan, brief: Brief) -> list[Screened]:
    """Return every assumed fact after a quick look, with progress on stderr."""
    from kitplan.cli.counting import counting
    from kitplan.whatif.facts import assumed_facts
    from kitplan.whatif.screening import Screen

    facts = list(assumed_facts(brief))
    labels = {fact.key: fact.label for fact in facts}
    screen = Screen(plan, brief)
    found = []
    with counting("Looked at", labels.__getitem__) as tell:
        for number, fact in enumerate(facts, start=1):
            found.append(screen.look_at(fact))
            tell(number, len(facts), fact.key)
    return found


class _Solver:
    """Runs the sweep with the settings of the command."""

    def __init__(
        self, inquiry: Inquiry, seconds: float, processes: int | None, cluster: str | None
    ) -> None:
        self._inquiry, self._seconds = inquiry, seconds
        self._processes, self._cluster = processes, cluster
        self.facts: Sequence[Fact] = ()
        self.findings = 0
        """Faults that the checks of all plans have found."""

    def solve(self, briefs: Sequence[tuple[str, Brief]]) -> dict[str, Result]:
        """Return what each brief comes to, by key, with progress on stderr.

        Raises:
            SettingError: If there is no plan of the facts as they are assumed.
            KeyboardInterrupt: If it is stopped before there is one.
        """
        from kitplan.allocate.solver import Limits
        from kitplan.cli.counting import counting
        from kitplan.errors import SettingError
        from kitplan.whatif.measure import BASE, label_of
        from kitplan.whatif.sweep import STOPPED, Job, run

        limits = Limits(seconds=self._seconds, seed=1, workers=1)
        asked = self._inquiry
        jobs = [Job(key, each, asked.shoot_id, limits, asked.plan) for key, each in briefs]
        with counting("Planned", lambda key: label_of(key, self.facts)) as tell:
            found = dict(run(jobs, processes=self._processes, cluster=self._cluster, tell=tell))
        self.findings = sum(each.findings for each in found.values())
        if found[BASE].reason == STOPPED:
            raise KeyboardInterrupt
        if found[BASE].figures is None:
            fix = "Give it more time with --seconds"
            raise SettingError(found[BASE].reason, where=asked.plan.title, fix=fix)
        return found
