"""Measure how long commands that do not solve take to start, beside an empty Python.

    python -m tests.bench.start [--runs 5] [--append docs/bench.md]

Whole processes, the median of several runs; the ratio to an empty Python says what is ours.
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tabulate import tabulate

from kitplan.plan.files import write_plan
from kitplan.tables import folder
from tests.stored import stored_plan

KIT = "kit.sqlite"


def main() -> None:
    """Time each command in a folder with one plan and one inventory."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--append", type=Path)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        write_plan(stored_plan("school-dance"), place, "plan")
        catalog = folder("catalog") / "school-dance.yaml"
        _seconds(place, ["-m", "kitplan", "gear", "import", str(catalog), "--db", KIT], 1)
        empty = _seconds(place, ["-c", "pass"], asked.runs)
        rows = [["python -c pass", empty, 1.0]]
        for words in (
            "--help",
            "frame --sensor full-frame --focal 85 --distance 12",
            "packing plan.json",
            "verify plan.json",
            f"gear list --db {KIT}",
        ):
            took = _seconds(place, ["-m", "kitplan", *words.split()], asked.runs)
            rows.append([f"kitplan {words}", took, took / empty])
    table = tabulate(rows, ["command", "median s", "ratio"], tablefmt="github", floatfmt=".2f")
    print(table)
    if asked.append:
        text = asked.append.read_text(encoding="utf-8")
        asked.append.write_text(
            f"{text}\n# Start-up, measured\n\n`python -m tests.bench.start`\n\n{table}\n",
            encoding="utf-8",
        )


def _seconds(place: Path, arguments: list[str], runs: int) -> float:
    times = []
    for _ in range(runs):
        start = time.monotonic()
        subprocess.run([sys.executable, *arguments], cwd=place, check=True, capture_output=True)
        times.append(time.monotonic() - start)
    return statistics.median(times)


if __name__ == "__main__":
    main()
