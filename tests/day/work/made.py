"""Turnarounds made by hand: one camera, a closed run and a show, two people."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from kitplan.day.work.gaps import turn_of
from kitplan.day.work.task import Task
from kitplan.day.work.turn import Turn
from kitplan.gear.kit import Kit
from kitplan.plan.records import Placement, Rig
from kitplan.shoot.brief import Brief
from kitplan.shoot.gaps import Stretch, stretches
from tests.small import person, run, show, small_brief
from tests.whatif.small import placed

CREW = (person("ann", may_be_on_stage=True), person("ben", may_be_on_stage=True))


def rig(**units: Any) -> Rig:
    """Return a rig of the first camera on the first legs, with some units changed."""
    given = {"body": "cam-1", "mode": "HD", "lens": None, "adapter": None, "head": None}
    return Rig(**{**given, "support": "legs-1", **units})


def stood(position: str = "front", letter: str = "A", **facts: Any) -> Placement:
    """Return a placement of the closed run."""
    return placed(letter, position, in_pass="run", **facts)


def brief_of(kit: Kit | None = None, **parts: Any) -> Brief:
    """Return a closed run from 16:00 to 16:20 and a show with doors at 19:00."""
    given: dict[str, Any] = {"passes": (run(), show()), "crew": CREW}
    return small_brief(kit, **{**given, **parts})


def between(brief: Brief) -> Stretch:
    """Return the gap between the first two passes."""
    return next(each for each in stretches(brief.shoot) if each.after and each.before)


def turn(brief: Brief, *placements: Placement) -> Turn:
    """Return what is to be turned round between the two passes."""
    return turn_of(brief, placements, between(brief))


def tasks(brief: Brief, *placements: Placement) -> dict[str, Task]:
    """Return the tasks between the two passes by id."""
    return {task.id: task for task in turn(brief, *placements).tasks()}


def minutes(task: Task) -> float:
    """Return how long a task takes anybody, by hand."""
    lengths = {run_s for _, run_s in task.able}
    by_hand = {machine.run_s for machine in task.machines if machine.resource is None}
    (longest,) = (
        {max(task.run_s, *by_hand, run_s) for run_s in lengths}
        if by_hand
        else {max(task.run_s, run_s) for run_s in lengths}
    )
    return longest / 60


def people_of(found: Iterable[tuple[str, int]]) -> set[str]:
    """Return who is listed."""
    return {name for name, _ in found}
