"""How to get what nobody has worked out yet: the command, and where its answer has to lie."""

from __future__ import annotations

from kitplan.paper.pack.source import Source


def how_to_get(source: Source, what: str, command: str, kind: str) -> str:
    """Return a sentence with the command that works something out, so that it is printed here.

    Args:
        what: What is not known: 'who moves where'.
        command: Such as 'compare SHOOT': SHOOT and PLAN become the files.
        kind: What the file is called after: 'schedules'.
    """
    name = next(iter(source.plan.shoots))
    files = {"SHOOT": f"{name}.yaml", "PLAN": f"{name}.json"}
    words = " ".join(files.get(word, word) for word in command.split())
    return (
        f"Not worked out: {what}. To have it here, run  kitplan {words} --out {name}-{kind}.json  "
        f"beside the plan file and print again."
    )
