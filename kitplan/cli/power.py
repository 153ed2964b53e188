"""`kitplan power`: which battery is in which body when, and what charges in which bay."""

from __future__ import annotations

import typer

from kitplan.cli.common import JsonOption, end_unless_it_holds, print_json
from kitplan.cli.packing import PlanArgument


def power(plan_path: PlanArgument, as_json: JsonOption = False) -> None:
    """Print the battery rota.

    By camera and pass, by charger bay, what is left as spare, what does not last and the cheapest
    way out.

    Example: kitplan power my-show-plan
    """
    from kitplan.paper.power import power_records, power_text
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan
    from kitplan.plan.verify import verify
    from kitplan.produce.day import with_supplies

    plan = read_plan(plan_path)
    require_whole(plan, str(plan_path))
    plan = with_supplies(plan)
    findings = verify(plan)
    if as_json:
        print_json(power_records(plan))
    else:
        typer.echo(power_text(plan))
    end_unless_it_holds(plan_path, findings, "power")
