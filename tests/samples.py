"""The samples of the README: printed from the stored plans, never pasted by hand.

`python -m tests.pictures` writes them between their markers; `test_samples` says when they are old.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from kitplan.paper.packing import packing
from kitplan.paper.restarts import restarts
from kitplan.paper.summary import summary
from kitplan.plan.records import Plan
from tests.stored import stored_plan

README = Path(__file__).parents[1] / "README.md"
GAP = "..."
"""Stands where lines are left out."""


@dataclass(frozen=True)
class Sample:
    """What a command prints, in part."""

    text: Callable[[Plan], str]
    parts: tuple[tuple[str, str], ...]
    """From the line that begins so to that before the line that begins so; '' to the end."""


SAMPLES = {
    "plan": Sample(summary, (("Depot Night", "In the picture"), ("The day", "Mind"))),
    "packing": Sample(
        lambda plan: packing(plan, "show"), (("Packing list", "Camera B"), ("Chargers", ""))
    ),
    "restarts": Sample(lambda plan: restarts(plan, "show"), (("Roll and", "Minutes left"),)),
}


def sample(name: str) -> str:
    """Return a sample as it stands in the README.

    Raises:
        ValueError: If a part does not begin or end in what is printed.
    """
    each = SAMPLES[name]
    lines = each.text(stored_plan("depot-brass")).splitlines()
    parts = ["\n".join(_part(name, lines, *part)).strip("\n") for part in each.parts]
    is_cut = each.parts[-1][1] != ""
    return f"\n{GAP}\n\n".join(parts) + (f"\n{GAP}" if is_cut else "")


def _part(name: str, lines: list[str], first: str, after: str) -> list[str]:
    begin = next((n for n, line in enumerate(lines) if line.startswith(first)), None)
    if begin is None:
        raise ValueError(f"sample {name}: no line begins with {first!r}")
    ends = [n for n in range(begin + 1, len(lines)) if after and lines[n].startswith(after)]
    if after and not ends:
        raise ValueError(f"sample {name}: no line after {first!r} begins with {after!r}")
    return lines[begin : ends[0]] if ends else lines[begin:]


def with_samples(readme: str) -> str:
    """Return a README with every sample as it is printed now.

    Raises:
        ValueError: If a sample has no place in it, or a place has no sample.
    """
    found = re.findall(r"<!-- sample: (\S+) -->", readme)
    if sorted(found) != sorted(SAMPLES):
        raise ValueError(f"the README has places for {found}, samples are {sorted(SAMPLES)}")
    for name in found:
        before, marker, after = readme.partition(f"<!-- sample: {name} -->\n")
        block = re.match(r"```text\n.*?\n```\n", after, re.DOTALL)
        if block is None:
            raise ValueError(f"after the marker of sample {name} there is no block of text")
        rest = after[block.end() :]
        readme = f"{before}{marker}```text\n{sample(name)}\n```\n{rest}"
    return readme
