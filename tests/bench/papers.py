"""Measure how long the papers of the stored plans take, beside compiling an empty document.

    python -m tests.bench.papers [--runs 3] [--append docs/bench.md]

Whole processes, the median of several runs: reading and checking the plan, drawing, setting,
writing. The ratio is to a Python that has typst set one empty page. Two workers where there are two
cores: typst sets pages while the next paper is drawn.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tabulate import tabulate

from tests.stored import SECONDS, path_of, stored_plan

EMPTY = "import typst; typst.compile(b'', timestamp=0)"
AIMS_S = {"depot-brass": 2.0, "harbour-festival": 5.0}
"""For the whole show pack."""


def main() -> None:
    """Time the four papers of the day and the whole show pack of each stored plan."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--append", type=Path)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        empty = _median(["-c", EMPTY], place, asked.runs)
        rows = [["an empty document", *empty, 1.0, None, None]]
        for shoot in filter(lambda each: path_of(each).exists(), SECONDS):
            (place / f"{shoot}.json").write_text(
                stored_plan(shoot).model_dump_json(by_alias=True), encoding="utf-8"
            )
            for option in ((), ("--all",)):
                words = ["-m", "kitplan", "papers", f"{shoot}.json", "--out", "out", *option]
                took = _median(words, place, asked.runs)
                aim = AIMS_S.get(shoot) if option else None
                rows.append(
                    [" ".join((shoot, *option)), *took, took[0] / empty[0], aim, _mb(place)]
                )
    headers = ["papers", "median s", "of which CPU s", "ratio", "aim s", "MB"]
    cores = len(os.sched_getaffinity(0))
    table = tabulate(rows, headers, tablefmt="github", floatfmt=".2f")
    print(f"{cores} cores\n\n{table}")
    if asked.append:
        text = asked.append.read_text(encoding="utf-8")
        asked.append.write_text(
            f"{text}\n# Papers\n\n`python -m tests.bench.papers`, {cores} cores\n\n{table}\n",
            encoding="utf-8",
        )


def _median(arguments: list[str], place: Path, runs: int) -> tuple[float, float]:
    """Return the median of wall clock and of processor seconds of a Python process."""
    walls, cpus = [], []
    for _ in range(runs):
        start, before = time.perf_counter(), os.times()
        subprocess.run([sys.executable, *arguments], cwd=place, check=True, capture_output=True)
        walls.append(time.perf_counter() - start)
        after = os.times()
        spent = after.children_user + after.children_system
        cpus.append(spent - before.children_user - before.children_system)
    return statistics.median(walls), statistics.median(cpus)


def _mb(place: Path) -> float:
    """Return the size of everything that was written."""
    return sum(path.stat().st_size for path in (place / "out").iterdir()) / 1e6


if __name__ == "__main__":
    main()
