"""Bonds on rails and bars, and moves made by hand: each binds, is slack, makes infeasible."""

from __future__ import annotations

from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from tests.small import (
    accessory,
    person,
    position,
    role,
    small_brief,
    small_kit,
    solve,
    support,
    words_of,
)

RAILS = ("left", "right")


def rails(bonds: int, *must_at: str) -> Brief:
    """Two rail positions, a clamp for each, so many bonds, and must roles at some of them."""
    clamp = support("clamp", stands_on=("rail",))
    items = (clamp, accessory("bond")) if bonds else (clamp,)
    kit = small_kit(*items, counts={"clamp": 2, "bond": bonds}, without=("legs",))
    return small_brief(
        kit,
        positions=tuple(position(place, stands_on="rail") for place in RAILS),
        roles=tuple(role(place, positions=(place,)) for place in must_at),
    )


def used(plan: Plan) -> int:
    """Return how many cameras stand, each with a bond of its own."""
    bonds = [unit for p in plan.placements for unit in p.accessories if unit.startswith("bond")]
    assert len(set(bonds)) == len(plan.placements)
    return len(plan.placements)


def test_a_bond_short_leaves_a_rail_empty() -> None:
    """One bond, two rails: the second camera stays at home."""
    assert used(solve(rails(1))) == 1


def test_a_bond_for_each_rail_is_enough() -> None:
    """Two bonds, two cameras."""
    assert used(solve(rails(2))) == 2


def test_without_bonds_enough_must_roles_on_rails_clash() -> None:
    """Two musts share one bond; with none a single must cannot be done."""
    plan = solve(rails(1, *RAILS))
    assert plan.status == "musts-missed"
    assert set(plan.clash) == words_of(plan, *RAILS)
    alone = solve(rails(0, "left"))
    assert set(alone.clash) == words_of(alone, "left")


def moving(operator: bool, *, has_move: bool = True) -> Brief:
    """One slider, a must role that may ask for its move, and Ann, who operates or only minds."""
    kit = small_kit(support("slider", moves=("track",)), counts={"cam": 1}, without=("legs",))
    moves = ("track",) if has_move else ()
    return small_brief(
        kit,
        positions=(position("front"),),
        crew=(person("ann", is_operator=operator),),
        roles=(role(moves=moves),),
    )


def test_a_move_is_made_by_hand() -> None:
    """Ann operates, though the role does not say so."""
    (placement,) = solve(moving(True)).placements
    assert placement.operator == "ann"


def test_a_role_without_a_move_may_be_locked_off_on_a_slider() -> None:
    """Nobody operates: the slider stands parked."""
    plan = solve(moving(False, has_move=False))
    assert plan.status == "solved"
    assert plan.placements[0].operator is None


def test_a_move_that_nobody_can_make_is_missed() -> None:
    """Ann only minds: the slider is there, but no hand on it."""
    plan = solve(moving(False))
    assert plan.status == "musts-missed"
    assert set(plan.clash) == words_of(plan, "close")
