"""Measure the way from an empty folder to a packing list, for three shows that nobody has planned.

    python -m tests.bench.first [--seconds 60] [--append docs/bench.md]

The commands are those that a newcomer types; the answers are those of tests/data/answers, of which
one that is not given takes what the question proposes.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tabulate import tabulate

from kitplan.plan.files import read_plan
from kitplan.recce.files import read_answers
from kitplan.recce.questions import questions

ANSWERS = Path(__file__).parent.parent / "data" / "answers"
HEADS = ("show", "answers", "new s", "plan s", "packing s", "in all", "cameras", "viewpoints")


def main() -> None:
    """Time each command, in a folder of its own for each show."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--append", type=Path)
    asked = parser.parse_args()
    rows = [_row(path, asked.seconds) for path in sorted(ANSWERS.glob("*.yaml"))]
    table = tabulate(rows, HEADS, tablefmt="github", floatfmt=".0f")
    print(table)
    if asked.append:
        text = asked.append.read_text(encoding="utf-8")
        command = f"`python -m tests.bench.first --seconds {asked.seconds}`"
        told = f"# From nothing to a packing list\n\n{command}\n\n{table}\n"
        asked.append.write_text(f"{text}\n{told}", encoding="utf-8")


def _row(answers: Path, seconds: int) -> list[object]:
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        times = [
            _seconds(place, "new", "show.yaml", "--answers", str(answers)),
            _seconds(place, "plan", "show.yaml", "--seconds", str(seconds)),
            _seconds(place, "packing", "show-plan"),
        ]
        plan = read_plan(place / "show-plan")
    total = sum(times)
    return [
        answers.stem,
        f"{len(read_answers(answers))} of {len(questions())}",
        *times,
        f"{total // 60:.0f}:{total % 60:02.0f}",
        len({placement.letter for placement in plan.placements}),
        sum(placement.is_counted for placement in plan.placements),
    ]


def _seconds(place: Path, *words: str) -> float:
    begun = time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "kitplan", *words], cwd=place, check=True, capture_output=True
    )
    return time.perf_counter() - begun


if __name__ == "__main__":
    main()
