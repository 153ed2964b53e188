"""`kitplan sound`: recorders, microphones and feeds of each pass, and the master of each song."""

from __future__ import annotations

import typer

from kitplan.cli.common import JsonOption, end_unless_it_holds, print_json
from kitplan.cli.packing import PlanArgument


def sound(plan_path: PlanArgument, as_json: JsonOption = False) -> None:
    """Print the sound.

    Recorders, microphones and feeds of each pass with power and cards, what they lack, and whose
    recording is the master of each song.

    Example: kitplan sound my-show-plan
    """
    from kitplan.paper.sound import sound_records, sound_text
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan
    from kitplan.plan.verify import verify
    from kitplan.produce.day import with_supplies

    plan = read_plan(plan_path)
    require_whole(plan, str(plan_path))
    plan = with_supplies(plan)
    findings = verify(plan)
    if as_json:
        print_json(sound_records(plan))
    else:
        typer.echo(sound_text(plan))
    end_unless_it_holds(plan_path, findings, "sound")
