"""The option of alternatives, and looking for them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from kitplan.plan.alternatives import Alternatives
    from kitplan.produce.solve import Solved

AlternativesOption = Annotated[
    int | None,
    typer.Option(
        "--alternatives",
        metavar="N",
        min=0,
        max=20,
        help="Look for so many plans as good in musts, wants, viewpoints and variety, with cameras "
        "at other places, and print a table of the differences. Time beside --seconds: a fifth of "
        "it for all, but 2 to 15 s for each. By default 2, without the table; 0 looks for none.",
        show_default=False,
    ),
]


def looked_for(solved: Solved, number: int) -> Alternatives:
    """Return up to a number of alternatives, with progress on stderr."""
    from kitplan.cli.progress import live_words
    from kitplan.produce.alternatives import find_alternatives, limits_of_each

    seconds = number * limits_of_each(solved.limits, number).seconds
    if number and not solved.found.was_stopped:
        typer.echo(f"Looking for alternatives, at most about {seconds:.0f} s", err=True)
    with live_words("Looking for alternatives") as show:
        found = find_alternatives(solved, number, lambda n: show(f"Looking for alternative {n}"))
    if found.ending == "stopped" and not solved.found.was_stopped:
        typer.echo("stopped early; alternatives so far", err=True)
    return found
