"""Who may operate, on which stand; and what a camera on its own asks for."""

from __future__ import annotations

from typing import Any

import pytest

from tests.allocate.cases import (
    Case,
    Parts,
    check_binds,
    check_is_slack,
    check_makes_infeasible,
    ids,
)
from tests.small import (
    at,
    body,
    cameras,
    head,
    items_used,
    person,
    position,
    refusals,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
    support,
    words_of,
)

BY_HAND = {"manner": "operated"}


def _ann(**facts: Any) -> Parts:
    return {"crew": (person("ann", **facts),), "role": BY_HAND}


def _ann_at(*, ann: Parts | None = None, **facts: Any) -> Parts:
    return {**_ann(**(ann or {})), "positions": (position("front", **facts),)}


def _with_a_hand(parts: Parts) -> Parts:
    """Somebody who may build there, and does not operate."""
    cy = person("cy", is_operator=False, may_be_on_stage=True)
    return {**parts, "crew": (*parts["crew"], cy)}


def _shut_in(*, performs_in: tuple[str, ...], has_audience: bool = True) -> Parts:
    """A run that gives inserts only, so that nothing else speaks against Ann; the position is
    closed in the show.
    """
    first = run(has_audience=has_audience, is_in_costume=False)
    return {
        **_ann_at(ann={"performs_in": performs_in}, is_shut_in_by_audience=True, open_in=("run",)),
        "passes": (first, show()),
    }


PEOPLE = (
    Case("operates", "person", lambda level: _ann(is_operator=level), True, True, False,
         rule="not-operator"),
    Case("there-from-doors-on", "person", lambda level: _ann(since=level),
         None, at(19), at(19, 1), rule="not-on-hand"),
    Case("there-from-the-start-without-doors", "person",
         lambda level: {**_ann(since=level), "passes": (show(doors=None),)},
         None, at(20), at(20, 1), rule="not-on-hand"),
    Case("there-to-the-end", "person", lambda level: _ann(until=level),  # 20 minutes from 20:00
         None, at(20, 20), at(20, 19), rule="not-on-hand"),
    Case("listed-for-the-pass", "person",
         lambda level: {**_ann(), "passes": (show(people=level),)},
         None, ("ann", "ben"), ("ben",), rule="not-on-hand"),
    Case("allowed-at-the-position", "person",
         lambda level: _with_a_hand(_ann_at(only_people=level)),
         None, ("ann", "ben", "cy"), ("ben", "cy"), rule="not-allowed-there"),
    Case("may-be-on-stage", "person",
         lambda level: {**_with_a_hand(_ann_at(ann={"may_be_on_stage": level}, is_on_stage=True)),
                        "ben": {"may_be_on_stage": True}},
         True, True, False, rule="on-stage"),
    Case("performers-are-not-shut-in", "person",
         lambda level: _shut_in(performs_in=level), (), (), ("first",), rule="shut-in"),
    Case("shut-in-by-an-audience-only", "person",
         lambda level: _shut_in(has_audience=level, performs_in=("first",)),
         False, False, True, rule="shut-in"),
)  # fmt: skip


@pytest.mark.parametrize("case", PEOPLE, ids=ids(PEOPLE))
def test_rule_of_operators_binds(case: Case) -> None:
    """Beyond the bound the other person operates."""
    check_binds(case)


@pytest.mark.parametrize("case", PEOPLE, ids=ids(PEOPLE))
def test_rule_of_operators_is_slack(case: Case) -> None:
    """At the bound the plan is the same as far within it."""
    check_is_slack(case)


@pytest.mark.parametrize("case", PEOPLE, ids=ids(PEOPLE))
def test_rule_of_operators_makes_infeasible(case: Case) -> None:
    """Without the other person the must role is missed for that reason."""
    check_makes_infeasible(case)


# -- stands that an operator can frame with, stands that hold still on their own -------------------

HEADED = support(fitting="bowl-75")


def _locked(*items: Any, **parts: Any) -> Parts:
    return {"items": items, "role": {"manner": "locked-off"}, **parts}


def _operated(*items: Any, **parts: Any) -> Parts:
    return {"items": items, "role": BY_HAND, **parts}


STANDS = (
    Case("operated-on-a-head-that-pans", "stand",
         lambda level: _operated(HEADED, head(can_pan_tilt=level)), True, True, False, rule=""),
    Case("operated-on-a-support-with-moves", "stand",
         lambda level: _operated(support(fitting="bowl-75", moves=level), head(can_pan_tilt=False)),
         ("track", "walk"), ("track",), (), rule=""),
    Case("locked-off-stands-alone", "stand",
         lambda level: _locked(support(can_stand_alone=level)), True, True, False, rule=""),
    Case("locked-off-is-no-arm", "stand",
         lambda level: _locked(support(is_arm=level)), False, False, True, rule=""),
    Case("locked-off-needs-manual-control", "camera",
         lambda level: _locked(body(has_manual_control=level)), True, True, False,
         rule="automatic"),
    Case("operator-has-the-skill", "person",
         lambda level: _operated(support(skill="jib"), crew=(person("ann", skills=level),),
                                 ben={"skills": ("jib",)}),
         ("jib", "rigging"), ("jib",), (), rule="skill"),
    Case("somebody-allowed-there-has-the-skill", "stand",
         lambda level: _locked(support(skill="jib"),
                               crew=(person("ann"), person("ben", skills=("jib",))),
                               positions=(position("front", only_people=level),)),
         None, ("ben",), ("ann",), rule="skill"),
)  # fmt: skip


@pytest.mark.parametrize("case", STANDS, ids=ids(STANDS))
def test_rule_of_manners_binds(case: Case) -> None:
    """Beyond the bound the second choice is taken."""
    check_binds(case)


@pytest.mark.parametrize("case", STANDS, ids=ids(STANDS))
def test_rule_of_manners_is_slack(case: Case) -> None:
    """At the bound the plan is the same as far within it."""
    check_is_slack(case)


@pytest.mark.parametrize("case", STANDS, ids=ids(STANDS))
def test_rule_of_manners_makes_infeasible(case: Case) -> None:
    """Without a second choice the must role is missed."""
    check_makes_infeasible(case)


@pytest.mark.parametrize(
    ("facts", "manner"),
    [({"can_stand_alone": False}, "operated"), ({"is_arm": True}, "operated")],
    ids=["held-by-hand", "arm"],
)
def test_a_stand_that_cannot_hold_still_is_operated(facts: dict[str, Any], manner: str) -> None:
    """What is no good for a locked-off camera is good for an operated one."""
    plan = solve(small_brief(small_kit(support(**facts)), roles=(role(),)))
    assert {placement.manner for placement in cameras(plan)} == {manner}


def test_a_head_that_does_not_pan_is_locked_off() -> None:
    """The other way round."""
    kit = small_kit(HEADED, head(can_pan_tilt=False), counts={"fluid": 2})
    assert {placement.manner for placement in cameras(solve(small_brief(kit)))} == {"locked-off"}


def _out_of_reach(*heads: Any) -> Any:
    kit = small_kit(HEADED, support("tower", fitting="dovetail", mass_kg=9), *heads)
    gallery = position("front", is_out_of_reach=True)
    return small_brief(kit, positions=(gallery,), roles=(role(**BY_HAND),))


def test_out_of_reach_takes_a_remote_head() -> None:
    """The light head cannot be run from afar: the heavy one is taken."""
    light = head("light", is_remote=False)
    heavy = head("heavy", fitting="dovetail", is_remote=True)
    assert {"heavy", "tower"} <= items_used(solve(_out_of_reach(light, heavy)))


def test_out_of_reach_any_remote_head_will_do() -> None:
    """With a remote head on the light legs these are taken."""
    light = head("light", is_remote=True)
    heavy = head("heavy", fitting="dovetail", is_remote=True)
    assert {"light", "legs"} <= items_used(solve(_out_of_reach(light, heavy)))


def test_out_of_reach_a_remote_head_has_to_pan() -> None:
    """One that only holds a button is no remote head."""
    stiff = head("light", is_remote=True, can_pan_tilt=False)
    heavy = head("heavy", fitting="dovetail", is_remote=True)
    assert {"heavy", "tower"} <= items_used(solve(_out_of_reach(stiff, heavy)))


def test_out_of_reach_without_a_remote_head_nobody_operates() -> None:
    """The must role of an operated camera clashes with nothing but itself."""
    plan = solve(_out_of_reach(head("light", is_remote=False)))
    assert plan.status == "musts-missed"
    assert set(plan.clash) == words_of(plan, "close")


def test_a_stand_without_a_hand_on_it_is_refused_by_name() -> None:
    """SENTENCES knows needs-hand and needs-rest, but nothing raises them."""
    brief = STANDS[0].brief(False, has_second=False)
    assert "needs-hand" in {refusal.rule for refusal in refusals(brief)}
