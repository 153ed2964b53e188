"""Why a must cannot be met, in words: what stands in its way, in its own pass."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.cli.locked import locked
from kitplan.gear.kit import Away
from kitplan.paper.summary import summary
from kitplan.paper.why import why_text
from kitplan.plan.records import Plan
from kitplan.shoot.venue import Subject
from kitplan.whatif.why import Inquiry
from tests.small import (
    AS_USUAL,
    at,
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
    unit,
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


def test_a_lock_that_cannot_be_kept_is_told_for_what_it_fixes() -> None:
    """A clamp for rails at a place on the floor; not what is refused of the other things there."""
    brief = small_brief(small_kit(support("clamp", stands_on=("rail",))), obstacles=WALL)
    place = brief.shoot.venue.positions[0].id
    plan = solve(locked(brief, [f"position={place},support=clamp"], []))
    assert plan.clash == (f"lock: keep a placement with position {place}, support clamp",)
    assert "clamp" in plan.clash_reason
    assert plan.clash_reason.endswith("it does not stand on what the position offers")


BOOKED = Away(begins=at(20).date(), ends=at(20, day=2).date(), why="booked for Gala")


def booked_twin() -> Plan:
    """Return the plan of a show for which the second of two kinds of camera is booked by others."""
    kit = small_kit(body(), body("twin"), units=(unit("twin", away=(BOOKED,)),))
    return solve(small_brief(kit))


def test_what_is_booked_is_left_at_home_for_that_reason() -> None:
    """Not because no goal gains by it."""
    (reason,) = [each.reason for each in booked_twin().left_out if each.item == "twin"]
    assert reason == "twin-1 is booked for Gala until 2 May 2027"


def test_a_must_that_only_booked_gear_could_do_says_so() -> None:
    """The only legs are booked, so no camera stands: the clash names the booking."""
    kit = small_kit(units=(unit("legs", away=(BOOKED,)),))
    plan = solve(small_brief(kit, roles=(role(),)))
    assert plan.clash
    assert "legs-1 is booked for Gala until 2 May 2027" in plan.clash_reason


def test_why_says_who_has_it() -> None:
    """Asked for by name: the unit, the booking and its last day."""
    plan = booked_twin()
    answer = Inquiry(plan).answer("item", "twin")
    assert answer.away == ("twin-1 is booked for Gala until 2 May 2027",)
    text = " ".join(why_text(plan, answer, None).split())
    assert "- twin-1 is booked for Gala until 2 May 2027." in text
    assert "no unit of it is free (twin-1 is booked for Gala until 2 May 2027)" in text


def test_the_summary_lists_what_is_away() -> None:
    """By reason, and what no other is left of."""
    text = " ".join(summary(booked_twin()).split())
    assert "Owned, but away" in text
    assert "- Booked for Gala until 2 May 2027: twin. No other is left of: twin." in text
