"""Published problems as shoots: the plan that is best by weight of roles is their solution.

`assignment`: cameras to positions. Each camera frames one size only and is there once; for each
pair there is a role of that size at that position, with the more weight the less it costs.

`generalised_assignment`: agents are kinds of battery, jobs are positions. Each position has an
operator, who has a camera for each kind of battery; a camera uses up so many batteries in the pass,
of which the kit has as many as the agent has capacity.

`bin_packing`: bins are positions of some width, items are supports of some footprint, each of which
has to be used.
"""

from __future__ import annotations

import json
from math import cos, radians, sin
from pathlib import Path
from typing import Any

from kitplan.gear.records import Battery
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Person, Role
from kitplan.shoot.sizes import LADDER
from kitplan.shoot.venue import Position, Subject
from tests.small import (
    body,
    person,
    position,
    prime,
    role,
    singer,
    small_brief,
    small_kit,
    support,
    unit,
)

INSTANCES: dict[str, Any] = json.loads(
    (Path(__file__).parent / "instances.json").read_text(encoding="utf-8")
)
"""Data and optimum of each, with its source."""
MOST_WEIGHT = 100
VALUE_OF_ANY = 50
"""What a job counts beside its value: so much that none is left out."""
DISTANCE_M, SENSOR_M = 12.0, 0.009
FRAMES_M = {size: 0.3 * 1.5**number for number, size in enumerate(LADDER)}
"""Frames half as high again from size to size: a size holds a fifth less to a fifth more, so that a
prime frames one of them only."""
ONLY_ROLES = {"grade_percent": (0, 0, 0, 0)}
"""Nothing counts as a viewpoint."""
PASS_MIN, BATTERY_SHARE = 20.0, 0.7


def _kinds(number: int) -> tuple[str, ...]:
    return LADDER[:number]


def _prime_for(size: str) -> dict[str, Any]:
    """Return a lens that frames one size from the distance of all positions."""
    return prime(SENSOR_M * DISTANCE_M / (FRAMES_M[size] + SENSOR_M) * 1000)


def _on_an_arc(number: int, **facts: Any) -> list[Position]:
    found = []
    for n in range(number):
        angle = radians(-75 + 150 * n / max(number - 1, 1))
        place = (DISTANCE_M * sin(angle), 2 - DISTANCE_M * cos(angle))
        found.append(position(f"p{n}", at_m=place, **facts))
    return found


def _subject() -> Subject:
    return singer(frames_m=FRAMES_M)


def _pair_role(size: str, number: int, weight: int) -> Role:
    return role(
        f"{size}-{number}", sizes=(size,), positions=(f"p{number}",), priority="want", weight=weight
    )


def assignment(cost: list[list[int | None]]) -> tuple[Brief, int]:
    """Return the shoot, and what weight of wants and cost of an assignment of all rows add up to.

    A row costs its least wherever it goes; only what a pair costs beyond that takes off weight.
    """
    sizes = _kinds(len(cost))
    least = [min(each for each in row if each is not None) for row in cost]
    bodies = [body(f"cam-{size}", built_in=_prime_for(size)) for size in sizes]
    brief = small_brief(
        small_kit(*bodies, without=("cam",)),
        positions=tuple(_on_an_arc(len(cost[0]))),
        subjects=(_subject(),),
        crew=tuple(person(f"op-{size}") for size in sizes),
        roles=tuple(
            _pair_role(size, number, MOST_WEIGHT - each + floor)
            for size, floor, row in zip(sizes, least, cost, strict=True)
            for number, each in enumerate(row)
            if each is not None
        ),
        rules=ONLY_ROLES,
    )
    return brief, MOST_WEIGHT * len(cost) + sum(least)


def generalised_assignment(
    value: list[list[int]], use: list[list[int]], capacity: list[int]
) -> Brief:
    """Return the shoot; what its wants come to, less `VALUE_OF_ANY` for each job, is the value."""
    sizes, jobs = _kinds(len(value)), range(len(value[0]))
    pairs = [(size, agent, job) for agent, size in enumerate(sizes) for job in jobs]
    bodies = [
        body(
            f"cam-{size}-{job}",
            built_in=_prime_for(size),
            battery=f"cell-{size}",
            battery_min=PASS_MIN / (use[agent][job] - 0.5) / BATTERY_SHARE,
        )
        for size, agent, job in pairs
    ]
    cells = [Battery(id=f"cell-{size}", name=f"cell-{size}") for size in sizes]
    stock = dict(zip((cell.id for cell in cells), capacity, strict=True))
    own = [unit(f"cam-{size}-{job}", owner=f"op-{job}", owner_only=True) for size, _, job in pairs]
    places = [
        each.model_copy(update={"only_people": (f"op-{job}",)})
        for job, each in enumerate(_on_an_arc(len(jobs)))
    ]
    kit = small_kit(
        *bodies, *cells, counts={**stock, "legs": 15}, units=own, without=("cam", "cell")
    )
    return small_brief(
        kit,
        positions=tuple(places),
        subjects=(_subject(),),
        crew=tuple(person(f"op-{job}") for job in jobs),
        roles=tuple(
            _pair_role(size, job, VALUE_OF_ANY + value[agent][job]) for size, agent, job in pairs
        ),
        rules=ONLY_ROLES,
    )


def bin_packing(sizes: list[int], capacity: int, bins: int) -> Brief:
    """Return the shoot in which every support has to stand somewhere, in so many positions."""
    legs = [
        support(f"legs-{n}", footprint_m=size / 100, can_stand_alone=True)
        for n, size in enumerate(sizes)
    ]
    most = _most_in_a_bin(sizes, capacity)
    return small_brief(
        small_kit(*legs, counts={"cam": len(sizes)}, without=("legs",)),
        positions=tuple(_on_an_arc(bins, rigs=most, room_m=capacity / 100)),
        subjects=(singer(),),
        crew=(Person(id="ann"),),
        locks={"keep": tuple({"support": each.id} for each in legs)},
        rules={**ONLY_ROLES, "minds_per_operator": 99, "minds_per_floater": 99},
    )


def _most_in_a_bin(sizes: list[int], capacity: int) -> int:
    """Return how many of the smallest items fit into a bin."""
    number, total = 0, 0
    for size in sorted(sizes):
        total += size
        if total > capacity:
            break
        number += 1
    return number
