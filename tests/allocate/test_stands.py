"""Stands and payload: what fits on what, where it stands, what it carries."""

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
    adapter,
    at,
    body,
    head,
    lens,
    person,
    position,
    refusals,
    role,
    small_brief,
    small_kit,
    solve,
    support,
    unit,
)


def _legs(**facts: Any) -> Parts:
    return {"items": (support(**facts),)}


def _front(**facts: Any) -> Parts:
    return {"positions": (position("front", **facts),)}


HEADED = support(fitting="bowl-75")
STANDS = (
    Case(
        "head-fits-the-support",
        "stand",
        lambda level: {"items": (HEADED, head(fitting=level))},
        loose="bowl-75",
        at="bowl-75",
        beyond="thread-3/8",
        rule="fitting",
    ),
    Case(
        "stands-on-what-is-there",
        "stand",
        lambda level: _legs(stands_on=level),
        loose=("floor",),
        at=("rail", "floor"),
        beyond=("rail", "bar"),
        rule="stands-on",
    ),
    Case(
        "high-enough",  # 1.363 m asked for, 0.2 m of slack
        "stand",
        lambda level: _legs(height_max_m=level),
        loose=2,
        at=1.163,
        beyond=1.16,
        rule="height",
        value=1.16,
        limit=1.363,
    ),
    Case(
        "low-enough",
        "stand",
        lambda level: _legs(height_min_m=level),
        loose=0.5,
        at=1.563,
        beyond=1.57,
        rule="height",
        value=1.57,
        limit=1.363,
    ),
    Case(
        "room-for-the-footprint",
        "stand",
        lambda level: _legs(footprint_m=level),
        loose=1,
        at=1.5,
        beyond=1.51,
        rule="room",
        value=1.51,
        limit=1.5,
    ),
    Case(
        "mains-for-the-support",
        "stand",
        lambda level: {**_legs(needs_mains=level[0]), **_front(has_mains=level[1])},
        loose=(False, True),
        at=(True, True),
        beyond=(True, False),
        rule="mains",
    ),
    Case(
        "mains-for-the-head",
        "stand",
        lambda level: {
            "items": (HEADED, head(needs_mains=level[0])),
            **_front(has_mains=level[1]),
        },
        loose=(False, True),
        at=(True, True),
        beyond=(True, False),
        rule="mains",
    ),
    Case(
        "people-to-run-it",
        "stand",
        lambda level: {**_legs(people=level), "crew": (person("ann"), person("ben"))},
        loose=1,
        at=2,
        beyond=3,
        rule="hands",
        value=2,
        limit=3,
    ),
    Case(
        "somebody-has-the-skill",
        "stand",
        lambda level: {**_legs(skill="jib"), "crew": (person("ann", skills=level),)},
        loose=("jib", "rigging"),
        at=("jib",),
        beyond=("rigging",),
        rule="skill",
    ),
    Case(
        "support-is-usable",
        "stand",
        lambda level: {"units": (unit("legs", condition=level),)},
        loose="good",
        at="worn",
        beyond="missing",
        rule="no-unit",
    ),
    Case(
        "support-is-lent-that-day",
        "stand",
        lambda level: {"units": (unit("legs", available_from=level),)},
        loose=None,
        at=at(0).date(),
        beyond=at(0, day=2).date(),
        rule="no-unit",
    ),
)

# The camera has 1 kg; 0.8 of a rating may be used.
PAYLOADS = (
    Case(
        "support-carries-the-camera",  # 1.25 * 0.8 = 1.0 kg; 1.24 * 0.8 = 0.992 kg
        "stand",
        lambda level: _legs(payload_kg=level),
        loose=10,
        at=1.25,
        beyond=1.24,
        rule="payload",
        value=1.0,
        limit=0.992,
    ),
    Case(
        "support-carries-the-head-as-well",  # 2.5 * 0.8 - 1 = 1.0 kg; 2.49 * 0.8 - 1 = 0.992 kg
        "stand",
        lambda level: {"items": (support(fitting="bowl-75", payload_kg=level), head())},
        loose=10,
        at=2.5,
        beyond=2.49,
        rule="payload",
        value=1.0,
        limit=0.992,
    ),
    Case(
        "head-carries-the-camera",
        "stand",
        lambda level: {"items": (HEADED, head(payload_kg=level))},
        loose=10,
        at=1.25,
        beyond=1.24,
        rule="payload",
        value=1.0,
        limit=0.992,
    ),
    Case(
        "lens-and-adapter-weigh-too",  # 1 + 1 + 1 = 3 kg; 3.75 * 0.8 = 3.0 kg; 3.74 * 0.8 = 2.992
        "stand",
        lambda level: {
            "items": (
                support(payload_kg=level),
                body(mount="E"),
                lens(mount="PL"),
                adapter(mass_kg=1),
            )
        },
        loose=10,
        at=3.75,
        beyond=3.74,
        rule="payload",
        value=3.0,
        limit=2.992,
    ),
)
CASES = (*STANDS, *PAYLOADS)


@pytest.mark.parametrize("case", CASES, ids=ids(CASES))
def test_rule_of_stands_binds(case: Case) -> None:
    """Beyond the bound the plan falls back on the second choice."""
    check_binds(case)


@pytest.mark.parametrize("case", CASES, ids=ids(CASES))
def test_rule_of_stands_is_slack(case: Case) -> None:
    """At the bound the plan is the same as far within it."""
    check_is_slack(case)


@pytest.mark.parametrize("case", CASES, ids=ids(CASES))
def test_rule_of_stands_makes_infeasible(case: Case) -> None:
    """Without a second choice the must role is missed for that reason."""
    check_makes_infeasible(case)


def test_a_camera_too_heavy_by_rounding_is_refused_by_name() -> None:
    """1000.4 g count as 1001 g, a limit of 1000.4 g as 1000 g: no role, and a reason."""
    kit = small_kit(body(mass_kg=1.0004), support(payload_kg=1.0004 / 0.8))
    brief = small_brief(kit, positions=(position("front"),), roles=(role(),))
    assert solve(brief).status == "musts-missed"
    assert "payload" in {refusal.rule for refusal in refusals(brief)}
