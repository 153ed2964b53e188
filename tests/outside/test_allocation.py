"""Reduced allocations against general solvers: an assignment problem, and a small integer program.

Outside references: `scipy.optimize.linear_sum_assignment` (SciPy) and HiGHS through highspy. Cut
down to one choice (which camera at which position) the allocation is a problem that both solve on
their own; the costs are the lost marks of the shots: how near a prime comes to the planned frame.
"""

from __future__ import annotations

import random
from math import cos, radians, sin

import highspy
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from kitplan.options.spots import find_options
from kitplan.shoot.brief import Brief
from tests.small import (
    body,
    part,
    person,
    position,
    prime,
    reached,
    role,
    singer,
    small_brief,
    small_kit,
    solve,
)

MARKS = 18
FORBIDDEN = 1000


def _shoot(seed: int, num_positions: int, num_bodies: int, priority: str) -> Brief:
    """Positions on an arc around the singer, bodies with primes, a role tied to each position."""
    dice = random.Random(seed)
    names = [f"p{n}" for n in range(num_positions)]
    angles = np.linspace(-80, 80, num_positions)
    positions = []
    for name, angle in zip(names, angles, strict=True):
        metres = dice.uniform(10.0, 14.0)
        place = (metres * sin(radians(angle)), 2 - metres * cos(radians(angle)))
        positions.append(position(name, at_m=place))
    bodies = [body(f"cam-{n}", built_in=prime(dice.uniform(95, 140))) for n in range(num_bodies)]
    return small_brief(
        small_kit(*bodies, without=("cam",)),
        positions=tuple(positions),
        subjects=(singer(),),
        crew=tuple(person(f"op-{n}") for n in range(num_positions)),
        roles=tuple(
            role(name, positions=(name,), priority=priority, weight=dice.randint(1, 9))
            for name in names
        ),
    )


def _lost_marks(brief: Brief) -> NDArray[np.int64]:
    """Lost marks of a medium shot for every position and camera, FORBIDDEN where impossible."""
    options = find_options(brief)
    costs = np.full((len(options.spots), len(options.cameras)), FORBIDDEN)
    for row, spot in enumerate(options.spots):
        view = next(n for n, v in enumerate(spot.views) if v.size == "MS")
        for column, camera in enumerate(spot.cameras):
            if spot.shots.possible("operated")[view, column]:
                place = options.cameras.index(camera)
                costs[row, place] = MARKS - spot.shots.quality("operated", "stand")[view, column]
    return costs


@pytest.mark.parametrize("seed", range(8))
def test_one_camera_a_position_is_an_assignment_problem(seed: int) -> None:
    """With a must role at each position the lost marks are those of the cheapest assignment."""
    brief = _shoot(seed, num_positions=4, num_bodies=5, priority="must")
    costs = _lost_marks(brief)
    rows, columns = linear_sum_assignment(costs)
    cheapest = int(costs[rows, columns].sum())
    plan = solve(brief)
    if cheapest >= FORBIDDEN:
        assert plan.status == "musts-missed"
        assert reached(plan, "musts") == -(cheapest // FORBIDDEN)
    else:
        assert plan.status == "solved"
        assert part(plan, "quality", "shots") == cheapest


def _best_weight(costs: NDArray[np.int64], weights: list[int]) -> float:
    """Return the largest weight of positions served by different cameras, by HiGHS."""
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    cells = {
        (row, column): highs.addBinary(obj=float(-weights[row]))
        for row, column in np.argwhere(costs < FORBIDDEN)
    }
    for axis, length in enumerate(costs.shape):
        for number in range(length):
            terms = [cell for key, cell in cells.items() if key[axis] == number]
            if terms:
                highs.addConstr(sum(terms) <= 1)
    highs.run()
    return round(-highs.getInfo().objective_function_value)


@pytest.mark.parametrize("seed", range(8))
def test_fewer_cameras_than_positions_is_an_integer_program(seed: int) -> None:
    """Want roles by weight reach what HiGHS reaches on the bare cells."""
    brief = _shoot(seed, num_positions=6, num_bodies=3, priority="want")
    weights = [role.weight for role in brief.shoot.roles]
    plan = solve(brief)
    assert reached(plan, "wants") == _best_weight(_lost_marks(brief), weights)
    assert all(goal.is_proven for goal in plan.goals)
