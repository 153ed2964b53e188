"""Measure the allocation against general solvers and a crew lead, on shoots of four sizes.

    python -m tests.bench.allocate [--families S,M] [--seeds 0-4] [--seconds 1,10,60]
                                   [--peers ours,cp-sat,hand] [--keep docs/allocate.jsonl]
                                   [--write docs/allocate.md]

Every run has a process of its own, so that its peak memory is its own. Who gets what: see
`contenders`; what is measured on: see `instances`. Nothing is left out: a run that fails or finds
no plan stands in the tables as such, and an aim that is missed beside the aim. With `--keep` what
is measured goes to a file line by line, and what is there already is not run again.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import resource
import subprocess
import sys
import time
from dataclasses import asdict
from importlib.metadata import version
from itertools import groupby, product
from pathlib import Path
from typing import Any

from tests.bench.contenders import CONTENDERS, PEERS, cores
from tests.bench.standing import Run, against_all, aims, family_table, run_table

GRACE_S = 1200.0
"""What a run may take on top of its time: lists, model, the hand, a solver that does not stop."""
PACE_SQUARES = 2_000_000


def main() -> None:
    """Run everything that is asked for and print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--families", default="S,M")
    parser.add_argument("--seeds", default="0-4")
    parser.add_argument("--seconds", default="1,10,60")
    parser.add_argument("--peers", default=",".join(("ours", *PEERS)))
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--write", type=Path)
    parser.add_argument("--one", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.one:
        print(json.dumps(_measure(asked.one, asked.families, int(asked.seeds), asked.seconds)))
        return
    times = [float(each) for each in asked.seconds.split(",")]
    contenders = [peer for peer in asked.peers.split(",") if peer]
    runs: list[Run] = _kept(asked.keep)
    known = {(*run.key, run.contender) for run in runs}
    families = asked.families.split(",")
    for each in product(families, seeds_of(asked.seeds), times, contenders):
        if each not in known:
            runs.append(_run(*each, runs))
            _keep(runs[-1], asked.keep)
            print("{} {}, {:g} s, {}: done".format(*each), file=sys.stderr)
    text = _report(sorted(runs, key=_place))
    print(text)
    if asked.write:
        asked.write.write_text(text)


def _kept(file: Path | None) -> list[Run]:
    if file is None or not file.exists():
        return []
    return [Run(**json.loads(line)) for line in file.read_text(encoding="utf-8").splitlines()]


def _keep(run: Run, file: Path | None) -> None:
    if file is not None:
        with file.open("a", encoding="utf-8") as lines:
            lines.write(json.dumps(asdict(run)) + "\n")


def _place(run: Run) -> tuple[int, int, float, int]:
    return "SMLX".index(run.family[0]), run.seed, run.seconds, CONTENDERS.index(run.contender)


def seeds_of(words: str) -> list[int]:
    """Return the seeds of '0-4' or '1,3,5' or both."""
    found: list[int] = []
    for part in words.split(","):
        first, _, last = part.partition("-")
        found += range(int(first), int(last or first) + 1)
    return found


def _run(family: str, seed: int, seconds: float, contender: str, before: list[Run]) -> Run:
    """Return one run; the hand takes the time it takes and is measured once a shoot."""
    for run in before:
        if contender == run.contender == "hand" and (run.family, run.seed) == (family, seed):
            return Run(family, seed, seconds, contender, run.result)
    command = [sys.executable, "-m", "tests.bench.allocate", "--one", contender]
    command += ["--families", family, "--seeds", str(seed), "--seconds", str(seconds)]
    try:
        done = subprocess.run(
            command, capture_output=True, text=True, check=True, timeout=seconds + GRACE_S
        )
        result: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    except subprocess.TimeoutExpired:
        result = {"goals": {}, "peak_mb": 0.0, "error": "did not end"}
    except subprocess.CalledProcessError as error:
        words = (error.stderr.strip().splitlines() or [f"ended with {error.returncode}"])[-1]
        result = {"goals": {}, "peak_mb": 0.0, "error": words[:80]}
    return Run(family, seed, seconds, contender, result)


def _measure(contender: str, family: str, seed: int, seconds: str) -> dict[str, Any]:
    from tests.bench.contenders import measure
    from tests.bench.instances import instance

    pace_s = _pace_s()
    result = measure(contender, instance(family, seed), float(seconds))
    result["peak_mb"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    result["pace_s"] = pace_s
    return result


def _pace_s() -> float:
    """Return the processor time of a fixed piece of work: machines, and hours of one, differ."""
    before = time.process_time()
    sum(number * number for number in range(PACE_SQUARES))
    return time.process_time() - before


# -- report ----------------------------------------------------------------------------------------


def _report(runs: list[Run]) -> str:
    blocks = ["# Allocation, measured", "`python -m tests.bench.allocate`", _machine(), EXPLAINED]
    blocks.append(against_all(runs))
    for family in dict.fromkeys(run.family for run in runs):
        mine = [run for run in runs if run.family == family]
        blocks += [f"## {family}", _sizes(mine), family_table(mine)]
        if lines := aims(family, mine):
            blocks.append("Aims:\n\n" + "\n".join(lines))
    for key, group in groupby(runs, key=lambda run: run.key):
        family, seed, seconds = key
        blocks += [f"### {family} {seed}, {seconds:g} s", run_table(list(group))]
    return "\n\n".join(block for block in blocks if block) + "\n"


EXPLAINED = """\
Goals in whole numbers as the model counts them, all maximised, in strict order; `*` proven, `/n`
the bound, both given the goals before. Ours is `plan_shoot` with its usual limits. The general
solvers get the very same rows, and once more plain ones (every camera, pairs instead of cliques),
goal by goal, with their last answer as a start and every core (SCIP works on one); their placements
are counted for all goals off the clock. The crew lead plans by hand to the end, however long that
takes. Time is counted from the finished model; for ours `took` includes lists, model and record.
`pace` is the processor time of a fixed loop just before the run, s, where it was noted: machines
differ, and hours of one. Ahead, equal and behind are those of ours in the strict order, over all
shoots and times; a lag is that of the first goal that differs. How the search goes and what was
tried: docs/search.md; it also says which runs are from before rows were tightened."""


def _machine() -> str:
    solvers = ", ".join(f"{name} {version(name)}" for name in ("ortools", "highspy"))
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    return (
        f"{cores()} of {os.cpu_count()} cores, {memory:.0f} GB, {platform.machine()}, "
        f"{platform.system()}, Python {platform.python_version()}, {solvers}, "
        f"{time.strftime('%Y-%m-%d')}."
    )


def _sizes(runs: list[Run]) -> str:
    found = [run.result for run in runs if run.result.get("columns")]
    if not found:
        return ""
    columns, rows = (sorted(int(each[name]) for each in found) for name in ("columns", "rows"))
    return (
        f"{len({run.seed for run in runs})} shoots; {columns[0]} to {columns[-1]} decisions, "
        f"{rows[0]} to {rows[-1]} rows."
    )


if __name__ == "__main__":
    main()
