"""The trade's claim: four bodies in a closed run and five in the show give nine viewpoints.

Common practice, no source. It holds where all nine really differ, by 30 degrees or by a factor of
two in size, and the run locks to the show (click, costume, light). Cameras side by side at the same
size count once, however many there are.
"""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

import pytest

from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.venue import Position
from tests.small import (
    body,
    cameras,
    part,
    person,
    position,
    prime,
    reached,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
)

CREW = tuple(map(person, ("ann", "ben", "cleo", "dara", "eli")))
RADIUS_M = 11.5


def around(deg: float, name: str, aside_m: float = 0.0, **facts: Any) -> Position:
    """A place so many degrees round the singer from the front, and a little to its side."""
    x, y = sin(radians(deg)), -cos(radians(deg))
    at_m = (RADIUS_M * x - aside_m * y, 2 + RADIUS_M * y + aside_m * x)
    return position(name, at_m=at_m, **facts)


def in_run(deg: float, aside_m: float = 0.0) -> Position:
    """A place that is open in the run only: there is no audience to stand in its way."""
    return around(deg, f"run{deg:+g}", aside_m, open_in=("run",))


def in_show(deg: float) -> Position:
    """A place that is open in the show only."""
    return around(deg, f"show{deg:+g}", open_in=("show",))


def plan_of(*spots: Position, closed_run: Any = None, kit: Any = None, **parts: Any) -> Plan:
    """Plan four bodies in the run and five in the show, all operated."""
    first = closed_run or run(people=("ann", "ben", "cleo", "dara"))
    brief: Brief = small_brief(
        kit or small_kit(counts={"cam": 5}),
        positions=spots,
        passes=(first, show()),
        crew=CREW,
        **parts,
    )
    return solve(brief)


def used(plan: Plan) -> tuple[int, int]:
    """Return how many bodies each pass uses."""
    return len(cameras(plan, "run")), len(cameras(plan, "show"))


NINE = (
    *(in_show(deg) for deg in (-60, -30, 0, 30, 60)),
    *(in_run(deg) for deg in (-120, -90, 90, 120)),
)


def test_nine_directions_are_nine_viewpoints() -> None:
    """Nine places 30 degrees apart: 9 viewpoints on offer in every song, 9 * 10 points a song."""
    plan = plan_of(*NINE)
    assert used(plan) == (4, 5)
    assert part(plan, "viewpoints", "counted") == 9
    assert reached(plan, "thinnest") == 9
    assert reached(plan, "viewpoints") == 2 * 9 * 10


def test_nine_sizes_and_directions_are_nine_viewpoints() -> None:
    """The same four places in both passes, and one more in the show: MS there, FS in the run.

    Planned frames of 0.9 and 2.1 m differ by more than a factor of 2. The full shots look down by
    2.1 degrees, so their directions lie a little closer in space than in plan: 31 degrees here.
    """
    wide = body("wide", built_in=prime(9 * 11_500 / 2109))
    kit = small_kit(wide, counts={"cam": 5, "wide": 4})
    never = ({"pass": "run", "body": "cam"}, {"pass": "show", "body": "wide"})
    spots = tuple(around(deg, f"at{deg:+g}") for deg in (-62, -31, 0, 31, 62))
    plan = plan_of(*spots, kit=kit, locks={"never": never})
    assert used(plan) == (4, 5)
    assert part(plan, "viewpoints", "counted") == 9
    assert reached(plan, "viewpoints") == 2 * 9 * 10


def test_the_same_bodies_side_by_side_are_five_viewpoints() -> None:
    """The run's four stand 0.3 m beside the show's: 1.5 degrees, the same size, so five count.

    5 viewpoints in every song, 5 * 10 points a song.
    """
    show_spots = tuple(in_show(deg) for deg in (-60, -30, 0, 30, 60))
    run_spots = tuple(in_run(deg, aside_m=0.3) for deg in (-60, -30, 30, 60))
    roles = tuple(
        role(each.id, passes=each.open_in, positions=(each.id,))
        for each in (*show_spots, *run_spots)
    )
    plan = plan_of(*show_spots, *run_spots, roles=roles)
    assert used(plan) == (4, 5)
    assert part(plan, "viewpoints", "counted") == 5
    assert reached(plan, "thinnest") == 5
    assert reached(plan, "viewpoints") == 2 * 5 * 10


@pytest.mark.parametrize(("aside_m", "counted"), [(0.3, 4), (5.95, 4), (5.96, 8)])
def test_pairs_in_one_pass_count_once_until_they_are_30_degrees_apart(
    aside_m: float, counted: int
) -> None:
    """Four pairs 90 degrees apart; 2 * 11.5 * sin(15 deg) = 5.953 m of chord are 30 degrees."""
    turn = aside_m / (2 * RADIUS_M * sin(radians(15))) * 30
    spots = [around(deg + half, f"p{deg}{half > 0}") for deg in (0, 90, 180, 270)
             for half in (0.0, turn)]  # fmt: skip
    crew = tuple(person(f"p{number}") for number in range(8))
    brief = small_brief(small_kit(counts={"cam": 8}), positions=tuple(spots), crew=crew)
    plan = solve(brief)
    assert part(plan, "viewpoints", "counted") == counted


def test_a_run_that_only_gives_inserts_leaves_five_in_the_thinnest_song() -> None:
    """Without a click the run's four are worth a third: 2 * (5 * 10 + 4 * 10 / 3) points."""
    first = run(people=("ann", "ben", "cleo", "dara"), has_click=False)
    plan = plan_of(*NINE, closed_run=first)
    assert used(plan) == (4, 5)
    assert reached(plan, "thinnest") == 5
    assert reached(plan, "viewpoints") == pytest.approx(2 * (50 + 40 / 3))
