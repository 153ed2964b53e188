"""One worker, one seed, a limit in the solver's own steps: the same plan, byte for byte.

Under load and cut off before the proof, which is where a clock would show.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

import pytest

from kitplan.allocate.search import Limits
from kitplan.plan.files import read_plan, write_plan
from kitplan.produce.solve import plan_shoot
from kitplan.shoot.reading import read_brief
from kitplan.tables import scenario
from kitplan.whatif.losses import find_losses, plan_without
from tests.small import cameras, small_brief, solve

CHECKOUT = Path(__file__).parents[2]
BUSY = 3


@contextmanager
def load() -> Iterator[None]:
    """Keep a few processes busy, more than there are cores on a small machine."""
    command = [sys.executable, "-c", "while True: pass"]
    busy = [subprocess.Popen(command) for _ in range(BUSY)]
    try:
        yield
        assert all(process.poll() is None for process in busy)
    finally:
        for process in busy:
            process.kill()
            process.wait()


def test_a_search_that_is_cut_off_repeats_under_load(tmp_path: Path) -> None:
    """Every byte of the plan file, when each goal was reached included."""
    brief, limits = read_brief(scenario("school-dance")), Limits(seconds=0.2, seed=3, workers=1)

    def written(name: str) -> bytes:
        plan = plan_shoot(brief, shoot_id="shoot", limits=limits)
        assert not all(goal.is_proven for goal in plan.goals)
        return write_plan(plan, tmp_path, name).read_bytes()

    idle = written("idle")
    with load():
        assert written("busy") == idle


def test_what_the_clock_says_is_in_no_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A clock that leaps a second at every look changes no byte of a plan, or of a reply to it."""

    def written(name: str) -> tuple[bytes, ...]:
        plan = solve(small_brief())
        lost = find_losses(plan, [cameras(plan)[0].rig.body])
        reply = plan_without(plan, lost, Limits(seconds=5, seed=1, workers=1)).plan
        return tuple(
            write_plan(each, tmp_path, f"{name}-{number}").read_bytes()
            for number, each in enumerate((plan, reply))
        )

    usual = written("usual")
    ticks = count(0.0, 1.0)
    monkeypatch.setattr("time.monotonic", lambda: next(ticks))
    assert written("leaping") == usual
    assert next(ticks) > 2, "nobody looked at the clock: this test has come to say nothing"


def _planned(name: str, seconds: float, out: Path, hash_seed: int) -> bytes:
    """Return the plan file that the command writes."""
    command = [sys.executable, "-m", "kitplan", "plan", str(scenario(name)), "--out", str(out)]
    settings = ["--workers", "1", "--seed", "3", "--seconds", f"{seconds:g}"]
    env = {**os.environ, "PYTHONPATH": str(CHECKOUT), "PYTHONHASHSEED": str(hash_seed)}
    done = subprocess.run([*command, *settings], env=env, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return (out / f"{name}.json").read_bytes()


@pytest.mark.long
@pytest.mark.parametrize(("name", "seconds"), [("depot-brass", 1), ("school-dance", 0.5)])
def test_the_command_repeats_under_load(name: str, seconds: float, tmp_path: Path) -> None:
    """In another process, where sets have another order as well."""
    idle = _planned(name, seconds, tmp_path / "idle", hash_seed=1)
    with load():
        assert _planned(name, seconds, tmp_path / "busy", hash_seed=2) == idle
    assert not all(goal.is_proven for goal in read_plan(tmp_path / "idle").goals)
