"""`kitplan why`: why something is not in a plan, and the smallest change that makes room for it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.common import JsonOption, end_unless_it_holds, print_json
from kitplan.cli.packing import PlanArgument

if TYPE_CHECKING:
    from kitplan.whatif.why import Inquiry


def why(
    plan_path: PlanArgument,
    name: Annotated[
        str | None,
        typer.Argument(
            metavar="[NAME]",
            help="A role, item, position, person or goal, by id or name, or `goals` for all goals; "
            "else all that is missing.",
            show_default=False,
        ),
    ] = None,
    seconds: Annotated[
        float,
        typer.Option(
            "--seconds", metavar="N", min=0, max=86_400, help="How long to look for a change."
        ),
    ] = 10.0,
    as_json: JsonOption = False,
) -> None:
    """Say why something is not in a plan, and what would make room for it.

    How many options there are, what each rule removes, the one that nearly works, and the smallest
    change that brings it in, found by solving. Of a goal: what one more would have cost in the goal
    before it.

    Example: kitplan why my-show-plan "Solo cornet tight"

    Example: kitplan why my-show-plan goals
    """
    from kitplan.paper.trades import goals_named
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan
    from kitplan.plan.verify import verify
    from kitplan.whatif.why import Inquiry

    plan = read_plan(plan_path)
    require_whole(plan, str(plan_path))
    findings = verify(plan)
    inquiry = Inquiry(plan)
    if name is None:
        _overview(inquiry, seconds, as_json=as_json)
    elif not inquiry.knows(name) and (goals := goals_named(name)):
        _goals(inquiry, goals, seconds, as_json=as_json)
    else:
        _answers(inquiry, name, seconds, as_json=as_json)
    end_unless_it_holds(plan_path, findings, "reasons")


def _overview(inquiry: Inquiry, seconds: float, *, as_json: bool) -> None:
    """Print a line for everything that is missing."""
    from kitplan.paper.why import overview_records, overview_text
    from kitplan.whatif.answers import missing_in

    found = missing_in(inquiry, seconds)
    if as_json:
        print_json(overview_records(found.unmet, found.unused, found.repair))
    else:
        typer.echo(overview_text(inquiry.plan, found.unmet, found.unused, found.repair))


def _answers(inquiry: Inquiry, name: str, seconds: float, *, as_json: bool) -> None:
    """Print all there is to say about a name."""
    from kitplan.paper.layout import blocks
    from kitplan.paper.why import why_records, why_text
    from kitplan.whatif.answers import answers_about

    found = list(answers_about(inquiry, name, seconds))
    if as_json:
        print_json([why_records(*each) for each in found])
    else:
        typer.echo(blocks(*(why_text(inquiry.plan, *each) for each in found)))


def _goals(inquiry: Inquiry, goals: tuple[str, ...], seconds: float, *, as_json: bool) -> None:
    """Print what goals came to, and what one more of each would have cost; progress on stderr."""
    from kitplan.paper.trades import ONE_MORE, trades_records, trades_text
    from kitplan.whatif.trades import explain_goals

    def tell(goal: str) -> None:
        if not as_json:
            typer.echo(f"Asking: {ONE_MORE[goal]} ...", err=True)

    explained = explain_goals(inquiry, goals, seconds, tell)
    if as_json:
        print_json(trades_records(explained))
    else:
        typer.echo(trades_text(inquiry.plan, explained))
