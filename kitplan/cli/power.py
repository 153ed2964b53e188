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
    from kitplan.cli.day import read_with
    from kitplan.paper.power import power_records, power_text

    plan, findings = read_with(plan_path, "power")
    if as_json:
        print_json(power_records(plan))
    else:
        typer.echo(power_text(plan))
    end_unless_it_holds(plan_path, findings, "power")
