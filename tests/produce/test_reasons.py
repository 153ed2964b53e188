"""Why a must cannot be met, in words: what stands in its way, in its own pass."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.plan.records import Plan
from kitplan.shoot.venue import Subject
from tests.small import (
    AS_USUAL,
    body,
    position,
    role,
    run,
    show,
    singer,
    small_brief,
    small_kit,
    solve,
    support,
)

SEATS = ({"id": "house", "outline_m": ((-6, -9), (6, -9), (6, -1), (-6, -1))},)
WALL = ({"id": "wall", "outline_m": ((-3, 0.5), (3, 0.5), (3, 0.6), (-3, 0.6)), "height_m": 3},)
FRONT = (position("front"),)
LOW = (position("front", lens_height_m=0.6),)


def planned(*pass_ids: str, **parts: Any) -> Plan:
    """Return the plan of a run and a show that asks for the singer in one of them.

    Nine clamps of the kit fit nowhere: more refusals than there are of the only camera.
    """
    clamps = (support(f"clamp-{n}", stands_on=("rail",)) for n in range(9))
    camera = body().model_copy(update={"name": "the camera"})
    given = {"passes": (run(), show()), "roles": (role(passes=pass_ids),), "rules": AS_USUAL}
    return solve(small_brief(small_kit(camera, *clamps), **{**given, **parts}))


def test_a_shot_that_no_camera_takes_is_the_reason_not_a_clamp_that_stays_at_home() -> None:
    """In the names that people know, not in ids."""
    subjects = (singer(name="Ada, voice"), Subject(id="stage", kind="stage"))
    plan = planned("run", positions=FRONT, obstacles=WALL, subjects=subjects)
    assert plan.clash == ("role 'close' (Ada, voice MS) in run",)
    assert plan.clash_reason == (
        "in the way: Ada, voice MS with the camera with HD: 100% of it is hidden; 25% is the most"
    )


@pytest.mark.parametrize(("pass_id", "is_hidden"), [("run", False), ("show", True)])
def test_only_the_pass_of_the_demand_is_asked(pass_id: str, is_hidden: bool) -> None:
    """In the show heads hide the singer; in the run nothing does, but no support makes the move."""
    asked = role(passes=(pass_id,), moves=("track",))
    plan = planned(positions=LOW, roles=(asked,), audience=SEATS)
    assert plan.clash
    assert ("is hidden" in plan.clash_reason) == is_hidden
