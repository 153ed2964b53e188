"""The engine of the work between passes on published problems: data and sources in schedules.json.

Job shops: operations in a fixed order, each on its machine. Projects: activities with precedence
and renewable resources. The least length of each is known from the literature. One person stands at
the end and waits for everything, so that the last hand is free when all is over.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from kitplan.day.work.engine import Timetable, schedule
from kitplan.day.work.order import ordered
from kitplan.day.work.task import Gap, Hand, Resource, Task

PROBLEMS: dict[str, Any] = json.loads(
    (Path(__file__).parent / "schedules.json").read_text(encoding="utf-8")
)


def _job_shop(data: dict[str, Any]) -> list[Task]:
    return [
        Task(
            f"{job}.{place}",
            "build",
            run_s=run_s,
            uses=((str(machine), 1),),
            after=(f"{job}.{place - 1}",),
        )
        for job, (lengths, machines) in enumerate(
            zip(data["durations"], data["machines"], strict=True)
        )
        for place, (run_s, machine) in enumerate(zip(lengths, machines, strict=True))
    ]


def _project(data: dict[str, Any]) -> list[Task]:
    return [
        Task(
            str(number),
            "build",
            run_s=run_s,
            uses=tuple((str(r), amount) for r, amount in enumerate(needs) if amount),
            before=tuple(map(str, after)),
        )
        for number, (run_s, needs, after) in enumerate(
            zip(data["durations"], data["demands"], data["after"], strict=True)
        )
    ]


def _gap(data: dict[str, Any]) -> Gap:
    if data["kind"] == "job-shop":
        tasks, capacities = _job_shop(data), [1] * len(data["machines"][0])
    else:
        tasks, capacities = _project(data), data["capacities"]
    gate_s = sum(task.run_s for task in tasks)
    waits = Task("end", "check", people=1, able=(("ann", 0),), after=tuple(t.id for t in tasks))
    return Gap(
        tasks=(*tasks, waits),
        hands=(Hand("ann", ((0, gate_s),)),),
        resources=tuple(Resource(str(n), most) for n, most in enumerate(capacities)),
        rests=(),
        gate_s=gate_s,
    )


@pytest.mark.parametrize("name", PROBLEMS)
def test_the_engine_reaches_the_published_least_length(name: str) -> None:
    gap = _gap(PROBLEMS[name])
    found = schedule(gap)
    assert isinstance(found, Timetable)
    assert found.end_s == found.bound_s == PROBLEMS[name]["least"]
    assert ordered(gap, found).end_s == found.end_s


def test_the_data_are_as_published() -> None:
    """Sizes of the sets: 6 x 6 and 10 x 5 operations; 30 activities with 2 dummies; 20 with 2."""
    sizes = {name: len(_gap(data).tasks) - 1 for name, data in PROBLEMS.items()}
    assert sizes == {"ft06": 36, "la01": 50, "j301_1": 32, "j3010_1": 32, "pat4": 22}
