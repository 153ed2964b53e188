"""Measure how long the papers of the stored plans take, beside compiling an empty document.

    python -m tests.bench.papers [--runs 3] [--append docs/bench.md]

Whole processes, the best of several runs: reading and checking the plan, drawing, setting,
writing. The best, for whatever else runs on the machine only ever adds; how busy it was is told.
One more run comes before: it leaves the byte code, as an installation does. The ratio is to a
Python that has typst set one empty page. Two processes and the threads of typst share the cores.
"""

from __future__ import annotations

import argparse
import os
import platform
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
    asked, before = parser.parse_args(), os.getloadavg()[0]
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        empty = _best(["-c", EMPTY], place, asked.runs)
        rows = [["an empty document", *empty, 1.0, None, None]]
        for shoot in filter(lambda each: path_of(each).exists(), SECONDS):
            (place / f"{shoot}.json").write_text(
                stored_plan(shoot).model_dump_json(by_alias=True), encoding="utf-8"
            )
            for option in ((), ("--all",)):
                words = ["-m", "kitplan", "papers", f"{shoot}.json", "--out", "out", *option]
                took = _best(words, place, asked.runs)
                aim = AIMS_S.get(shoot) if option else None
                rows.append(
                    [" ".join((shoot, *option)), *took, took[0] / empty[0], aim, _mb(place)]
                )
    headers = ["papers", "best s", "CPU s", "ratio", "aim s", "MB"]
    cores = len(os.sched_getaffinity(0))
    machine = (
        f"{cores} cores, {platform.machine()}, Python {platform.python_version()}, "
        f"best of {asked.runs} runs; load {before:.1f} before, {os.getloadavg()[0]:.1f} after"
    )
    table = tabulate(rows, headers, tablefmt="github", floatfmt=".2f")
    print(f"{machine}\n\n{table}")
    if asked.append:
        text = asked.append.read_text(encoding="utf-8")
        asked.append.write_text(
            f"{text}\n# Papers\n\n`python -m tests.bench.papers`\n\n{machine}.\n\n{table}\n",
            encoding="utf-8",
        )


def _best(arguments: list[str], place: Path, runs: int) -> tuple[float, float]:
    """Return the least wall clock and the least processor seconds of a Python process."""
    walls, cpus = [], []
    place_of_code = {"PYTHONPYCACHEPREFIX": str(place / "code"), "PYTHONDONTWRITEBYTECODE": ""}
    around = {**os.environ, **place_of_code}
    for _ in range(runs + 1):
        start, before = time.perf_counter(), os.times()
        subprocess.run(
            [sys.executable, *arguments], cwd=place, check=True, capture_output=True, env=around
        )
        walls.append(time.perf_counter() - start)
        after = os.times()
        spent = after.children_user + after.children_system
        cpus.append(spent - before.children_user - before.children_system)
    return min(walls[1:]), min(cpus[1:])


def _mb(place: Path) -> float:
    """Return the size of everything that was written."""
    return sum(path.stat().st_size for path in (place / "out").iterdir()) / 1e6


if __name__ == "__main__":
    main()
