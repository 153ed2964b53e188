"""What a search begins with: a plan before as far as it holds, or one put down by hand."""

from __future__ import annotations

from kitplan.allocate.begin import first_answer
from kitplan.allocate.keep import Kept
from kitplan.allocate.model import build
from kitplan.allocate.readback import read_back
from kitplan.allocate.solver import Limits
from kitplan.options.spots import find_options
from kitplan.produce.before import placements_kept
from kitplan.shoot.brief import Brief
from kitplan.shoot.nogoods import NoGood
from tests.allocate.test_nogoods import BOTH, no_good, planned
from tests.small import SHOOT_ID, small_kit, support

KEPT = placements_kept(planned(), SHOOT_ID)
LEFT, RIGHT = ("run", "left"), ("show", "right")
"""Where the one camera stands in that plan."""


def begun(start: tuple[Kept, ...], *no_goods: NoGood) -> set[tuple[str, str]]:
    """Return where cameras stand to begin with."""
    plan = planned()
    shoot = plan.shoots[SHOOT_ID].model_copy(update={"no_goods": no_goods})
    brief = Brief(shoot, small_kit(support("sticks"), counts={"cam": 1}))
    allocation = build(find_options(brief))
    solver = first_answer(allocation, start, Limits(seconds=5, seed=1, workers=1))
    assert solver is not None
    return {one.spot.key for one in read_back(allocation.variables, solver)}


def test_a_plan_that_holds_is_begun_with_as_it_is() -> None:
    assert begun(KEPT) == {LEFT, RIGHT}
    assert begun(KEPT[:1]) == {LEFT}


def test_what_a_no_good_rules_out_is_left_open_and_the_rest_stays() -> None:
    """One of the two moves is given up, not both."""
    assert len(begun(KEPT, no_good(*BOTH)) & {LEFT, RIGHT}) == 1


def test_where_work_as_a_whole_is_too_much_as_much_as_goes_stays() -> None:
    """No position is named: all of both passes is open."""
    whole = no_good(most_work_min=1.0, is_proven=False)
    assert begun(KEPT, whole) < {LEFT, RIGHT}


def test_without_a_plan_one_is_put_down_by_hand() -> None:
    """It fills both wants."""
    assert begun(()) >= {LEFT, RIGHT}
