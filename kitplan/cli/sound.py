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
    from kitplan.cli.day import read_with
    from kitplan.paper.sound import sound_records, sound_text

    plan, findings = read_with(plan_path, "sound")
    if as_json:
        print_json(sound_records(plan))
    else:
        typer.echo(sound_text(plan))
    end_unless_it_holds(plan_path, findings, "sound")
