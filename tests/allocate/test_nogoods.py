"""No-goods in the model: they bind, they are slack, they lapse, and they clash with musts."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.nogoods import NoGood, StandMove
from tests.small import (
    person,
    places,
    position,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
    support,
)

STRIKE = StandMove(kind="strike", position="left", stands=(("legs",), ("sticks",)))
BUILD = StandMove(kind="build", position="right", stands=(("legs",), ("sticks",)))
BOTH = (STRIKE, BUILD)


def no_good(*moves: StandMove, **facts: Any) -> NoGood:
    """Return a no-good between the passes."""
    given: dict[str, Any] = {
        "after": "run",
        "before": "show",
        "moves": moves,
        "is_proven": True,
        "words": "Too much",
        "gap_min": 160,
        "crew": ("ann", "ben"),
    }
    return NoGood(**{**given, **facts})


def planned(*no_goods: NoGood, priority: str = "want", **parts: Any) -> Plan:
    """Plan one camera; wanted at left in the run, and more so at right in the show."""
    roles = (
        role("before", priority=priority, passes=("run",), positions=("left",), weight=1),
        role("after", priority=priority, passes=("show",), positions=("right",), weight=2),
    )
    given: dict[str, Any] = {
        "passes": (run(), show()),
        "roles": roles,
        "positions": (position("left"), position("right")),
    }
    kit = small_kit(support("sticks"), counts={"cam": 1})
    brief = small_brief(kit, **{**given, **parts})
    shoot = brief.shoot.model_copy(update={"no_goods": no_goods})
    return solve(Brief(shoot, brief.kit))


def test_without_it_both_wants_are_met() -> None:
    plan = planned()
    assert (places(plan, "run"), places(plan)) == ({"left"}, {"right"})


def test_it_binds() -> None:
    """Not struck at left and built at right: the want of the show weighs more."""
    plan = planned(no_good(*BOTH))
    assert places(plan) == {"right"}
    assert places(plan, "run") != {"left"}


def test_it_is_slack_where_one_of_the_moves_is_not_made() -> None:
    elsewhere = StandMove(kind="build", position="left", stands=(("legs",), ("sticks",)))
    plan = planned(no_good(STRIKE, elsewhere))
    assert (places(plan, "run"), places(plan)) == ({"left"}, {"right"})


def test_other_stands_are_free() -> None:
    plan = planned(no_good(StandMove(kind="strike", position="left", stands=(("legs",),)), BUILD))
    assert (places(plan, "run"), places(plan)) == ({"left"}, {"right"})


@pytest.mark.parametrize(
    "facts",
    [
        {"gap_min": 159},
        {"crew": ("ann",)},
        {"before": "matinee"},
    ],
    ids=["longer-gap", "somebody-more", "other-pass"],
)
def test_it_lapses(facts: dict[str, Any]) -> None:
    plan = planned(no_good(*BOTH, **facts))
    assert (places(plan, "run"), places(plan)) == ({"left"}, {"right"})


def test_it_holds_with_somebody_less() -> None:
    plan = planned(no_good(*BOTH, crew=("ann", "ben", "cy")), crew=(person("ann"), person("ben")))
    assert places(plan, "run") != {"left"}


def test_musts_clash_with_it() -> None:
    plan = planned(no_good(*BOTH), priority="must")
    assert plan.status == "musts-missed"
    assert len(plan.clash) == 2


def test_the_same_stands_are_ruled_out_and_no_others() -> None:
    same = (("run", "left", ("legs",)), ("show", "right", ("legs",)))
    plan = planned(no_good(same=same, is_proven=False))
    stands = {(p.pass_id, p.rig.support.rpartition("-")[0]) for p in plan.placements}
    assert (places(plan, "run"), places(plan)) == ({"left"}, {"right"})
    assert stands != {("small/run", "legs"), ("small/show", "legs")}
