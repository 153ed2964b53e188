"""Locks: a placement to keep, a placement never to be made, part by part."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.plan.records import Placement, Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Locks, Pattern
from tests.small import (
    adapter,
    body,
    cameras,
    demand_met,
    head,
    items_used,
    lens,
    position,
    reached,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
    support,
    words_of,
)

KIT = small_kit(
    body(mount="E"),
    body("spare", mass_kg=4),
    support(fitting="bowl-75"),
    support("tower", fitting="bowl-75", mass_kg=4),
    lens(mount="PL"),
    lens("zoom-heavy", mount="PL", mass_kg=2),
    adapter(),
    adapter("ring-heavy", mass_kg=1),
    head(),
    head("fluid-heavy", mass_kg=2),
    counts={"cam": 1, "zoom": 2, "legs": 2, "ring": 2, "fluid": 2},
)
"""One camera has the light parts by choice: economy takes the lighter of two."""
HEAVY = {
    "body": "spare",
    "lens": "zoom-heavy",
    "adapter": "ring-heavy",
    "head": "fluid-heavy",
    "support": "tower",
}
LIGHT = {"body": "cam", "lens": "zoom", "adapter": "ring", "head": "fluid", "support": "legs"}
OTHERS = {"pass": "run", "position": "left", "person": "ben", "role": "close"}


def brief_of(
    *, keep: tuple[dict[str, Any], ...] = (), never: tuple[dict[str, Any], ...] = (), **parts: Any
) -> Brief:
    """Return a shoot with one camera to place, and locks."""
    locks = Locks(
        keep=tuple(Pattern.model_validate(pattern) for pattern in keep),
        never=tuple(Pattern.model_validate(pattern) for pattern in never),
    )
    given = {"kit": KIT, "positions": (position("front"),), **parts}
    return small_brief(given.pop("kit"), locks=locks, **given)


def item_of(plan: Plan, placement: Placement, part: str) -> str | None:
    """Return the item of a part of a rig."""
    unit = getattr(placement.rig, part)
    return next((one.item for one in plan.kit.units if one.id == unit), None)


@pytest.mark.parametrize("part", HEAVY)
def test_keep_takes_the_item_that_is_named(part: str) -> None:
    """Without the lock the lighter item is taken, with it the heavy one."""
    (free,) = cameras(plan := solve(brief_of()))
    assert item_of(plan, free, part) == LIGHT[part]
    (kept,) = cameras(plan := solve(brief_of(keep=({part: HEAVY[part]},))))
    assert item_of(plan, kept, part) == HEAVY[part]
    assert demand_met(plan, "0")


@pytest.mark.parametrize("part", LIGHT)
def test_never_leaves_the_item_that_is_named(part: str) -> None:
    """The lighter item is never used: the heavy one takes its place."""
    (placement,) = cameras(plan := solve(brief_of(never=({part: LIGHT[part]},))))
    assert item_of(plan, placement, part) != LIGHT[part]
    assert plan.status == "solved"


@pytest.mark.parametrize("part", LIGHT)
def test_keep_and_never_of_one_item_clash(part: str) -> None:
    """Just these two, though other must roles are there."""
    both = brief_of(keep=({part: LIGHT[part]},), never=({part: LIGHT[part]},), roles=(role(),))
    plan = solve(both)
    assert plan.status == "musts-missed"
    assert set(plan.clash) == words_of(plan, "0")
    assert len(plan.clash) == 2


@pytest.mark.parametrize("part", LIGHT)
def test_a_lock_on_what_is_chosen_anyway_changes_nothing(part: str) -> None:
    """Slack: the same economy with and without it."""
    locked = solve(brief_of(keep=({part: LIGHT[part]},), never=({part: "no-such"},)))
    assert reached(locked, "economy") == reached(solve(brief_of()), "economy")


# -- pass, position, person, role ------------------------------------------------------------------

PARTS: dict[str, Any] = {
    "positions": (position("front"), position("left"), position("right")),
    "passes": (run(), show()),
    "roles": (role(priority="want"),),
}


def _fits(placement: Placement, part: str) -> bool:
    match part:
        case "pass":
            return placement.pass_id.endswith("/run")
        case "position":
            return placement.position == "left"
        case "person":
            return placement.operator == "ben"
        case _:
            return "close" in placement.roles


@pytest.mark.parametrize("part", OTHERS)
def test_keep_and_never_know_every_other_part(part: str) -> None:
    """With `keep` some placement is like this, with `never` none, with both they clash."""
    pattern = {part: OTHERS[part]}
    kept, bare, both = (
        solve(brief_of(**locks, **PARTS))
        for locks in ({"keep": (pattern,)}, {"never": (pattern,)}, _both(pattern))
    )
    assert any(_fits(placement, part) for placement in kept.placements)
    assert not any(_fits(placement, part) for placement in bare.placements)
    assert (kept.status, bare.status) == ("solved", "solved")
    assert set(both.clash) == words_of(both, "0")


def _both(pattern: dict[str, Any]) -> dict[str, Any]:
    return {"keep": (pattern,), "never": (pattern,)}


@pytest.mark.parametrize("part", OTHERS)
def test_keep_of_what_cannot_be_is_missed(part: str) -> None:
    """A pass, position, person or role that no placement can have: the lock clashes with itself."""
    plan = solve(brief_of(keep=({part: "nowhere"},), **PARTS))
    assert set(plan.clash) == words_of(plan, "0")


@pytest.mark.parametrize("part", OTHERS)
def test_never_of_what_cannot_be_is_no_burden(part: str) -> None:
    """It holds by itself."""
    plan = solve(brief_of(never=({part: "nowhere"},), **PARTS))
    assert plan.status == "solved"
    assert demand_met(plan, "0")


# -- several parts ---------------------------------------------------------------------------------


def test_all_parts_of_a_pattern_agree_in_one_placement() -> None:
    """Ben at the left with the spare body in the run: one placement is all of that."""
    pattern = {"pass": "run", "position": "left", "person": "ben", "body": "spare"}
    plan = solve(brief_of(keep=(pattern,), **PARTS))
    (found,) = (p for p in cameras(plan, "run") if p.position == "left")
    assert (found.operator, item_of(plan, found, "body")) == ("ben", "spare")


def test_never_together_leaves_each_on_its_own() -> None:
    """Never these legs with that head: the plan swaps one of them, and is the heavier for it."""
    pattern = {"support": "legs", "head": "fluid"}
    (placement,) = cameras(plan := solve(brief_of(never=(pattern,))))
    found = {item_of(plan, placement, part) for part in ("support", "head")}
    assert found == {"legs", "fluid-heavy"}  # 1 kg more; the tower would be 2 kg more


@pytest.mark.parametrize(
    ("never", "is_possible"),
    [
        ({"position": "front", "person": "ann"}, True),
        ({"position": "front", "pass": "show"}, False),
        ({"position": "front"}, False),
        ({"position": "left", "pass": "show"}, True),
    ],
    ids=str,
)
def test_never_clashes_with_a_role_where_nothing_else_does_it(
    never: dict[str, Any], is_possible: bool
) -> None:
    """The only position is the front, in the show; Ben may do it where Ann may not."""
    plan = solve(brief_of(never=(never,), roles=(role(),)))
    assert (plan.status == "solved") == is_possible
    assert set(plan.clash) == (set() if is_possible else words_of(plan, "0", "close"))


def test_two_locks_share_one_placement() -> None:
    """One camera keeps both patterns."""
    plan = solve(brief_of(keep=({"support": "tower"}, {"head": "fluid-heavy"})))
    assert {"tower", "fluid-heavy"} <= items_used(plan)
    assert plan.status == "solved"


def test_two_locks_that_need_two_cameras_clash_where_there_is_one_place() -> None:
    """The light and the heavy legs at one position that takes one rig."""
    plan = solve(brief_of(keep=({"support": "tower"}, {"support": "legs"})))
    assert set(plan.clash) == words_of(plan, "0", "1")
    assert reached(plan, "musts") == -1
