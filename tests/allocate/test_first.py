"""The plan that the search starts from: put down by hand, it holds, and it is worth something."""

from __future__ import annotations

from itertools import chain

import numpy as np
import pytest
from ortools.sat.python import cp_model

from kitplan.allocate.board import Board
from kitplan.allocate.first import first_plan
from kitplan.allocate.goals import goals_in_order
from kitplan.allocate.model import Allocation, build
from kitplan.allocate.part import Whole
from kitplan.allocate.settle import decisions, settle, with_placements
from kitplan.allocate.solver import Limits
from kitplan.options.spots import find_options
from kitplan.shoot.past import Past
from kitplan.shoot.reading import read_brief
from kitplan.tables import folder
from tests.random_shoots import random_brief
from tests.small import body, lens, position, role, run, show, small_brief, small_kit

SCENARIOS = ("school-dance", "depot-brass")


def goals_of(allocation: Allocation, chosen: frozenset[int], upto: str) -> dict[str, int]:
    """Goals of a plan in order, the placements as they are; fails where they do not hold."""
    x, found = allocation.variables, {}
    for goal in goals_in_order(x, allocation.demands, allocation.resets):
        x.model.maximize(goal.expression)
        fixed = with_placements(x.model, x.slots, lambda var: int(var.index in chosen))
        solver = settle(fixed, Limits(seconds=20))
        assert solver is not None, "what was put down does not hold"
        found[goal.id] = int(solver.value(goal.expression))
        x.model.add(goal.expression >= found[goal.id])
        if goal.id == upto:
            break
    return found


@pytest.mark.parametrize("seed", range(30))
def test_what_is_put_down_holds(seed: int) -> None:
    """On random shoots with every kind of rule."""
    allocation = build(find_options(random_brief(seed)), "viewpoints")
    goals_of(allocation, first_plan(allocation), "musts")


@pytest.mark.long
@pytest.mark.parametrize("seed", range(30, 300))
def test_what_is_put_down_always_holds(seed: int) -> None:
    """The same on many more."""
    allocation = build(find_options(random_brief(seed)), "viewpoints")
    goals_of(allocation, first_plan(allocation), "musts")


@pytest.mark.parametrize("name", SCENARIOS)
def test_it_is_a_plan_to_start_from(name: str) -> None:
    """Every must is met, some wants, and the cameras stand apart."""
    brief = read_brief(folder("scenarios") / f"{name}.yaml")
    allocation = build(find_options(brief), "viewpoints")
    chosen = first_plan(allocation)
    found = goals_of(allocation, chosen, "viewpoints")
    assert found["musts"] == 0
    assert min(found["wants"], found["thinnest"], found["viewpoints"]) > 0


@pytest.mark.parametrize("seed", range(12))
def test_the_board_knows_what_holds(seed: int) -> None:
    """Random rows: where one place is filled, `holds_up` is what a solver says of the whole."""
    chance = np.random.default_rng(seed)
    model = cp_model.CpModel()
    own = [[model.new_bool_var(f"{place},{n}") for n in range(3)] for place in range(3)]
    rest = [model.new_int_var(0, 2, f"rest {n}") for n in range(4)]
    for _ in range(8):
        values = chance.integers(-2, 3, size=13)
        terms = [int(v) * var for v, var in zip(values, [*chain(*own), *rest], strict=True)]
        model.add(cp_model.LinearExpr.sum(terms) <= int(chance.integers(0, 3)))
    columns = [[var.index for var in place] for place in own]
    whole = Whole(model)
    whole.refresh()
    board = Board(whole, chain(*columns))
    placed: dict[int, int] = {}
    for place in range(3):
        chosen = columns[place][int(chance.integers(3))]
        if not board.put(place, columns[place], [chosen]):
            assert not _is_possible(model, columns, {**placed, place: chosen}, only_filled=True)
            continue
        placed[place] = chosen
        if board.holds_up() != _is_possible(model, columns, placed, only_filled=False):
            raise AssertionError(f"the board and the solver disagree about {placed}")
        if not board.holds_up():
            board.take_back(place, columns[place], [chosen])
            del placed[place]
            # refilled with nothing, it is as if it had never been filled
            assert _is_possible(model, columns, placed, only_filled=False) == board.holds_up()


def _is_possible(
    model: cp_model.CpModel,
    columns: list[list[int]],
    placed: dict[int, int],
    *,
    only_filled: bool,
) -> bool:
    """Whether a solver finds values for all that is not placed."""
    fixed = model.clone()
    for place, own in enumerate(columns):
        if only_filled and place not in placed:
            continue
        for column in own:
            domain = fixed.proto.variables[column].domain
            value = int(placed.get(place) == column)
            domain.clear()
            domain.extend([value, value])
    return cp_model.CpSolver().solve(fixed) == cp_model.OPTIMAL


def test_what_one_pass_alone_can_give_comes_first(monkeypatch: pytest.MonkeyPatch) -> None:
    """In a large model. One camera: the wish of more weight goes to the run, though it is worth
    less there, so that the show has room for the other, whose place is shut before it.
    """
    brief = small_brief(
        small_kit(counts={"cam": 1}),
        passes=(run(is_in_costume=False), show()),
        positions=(position("front"), position("left", open_in=("show",))),
        roles=(
            role("anywhen", priority="want", weight=3, positions=("front",)),
            role("then", priority="want", weight=1, positions=("left",)),
        ),
    )
    allocation = build(find_options(brief), "viewpoints")
    assert goals_of(allocation, first_plan(allocation), "wants")["wants"] == 3
    monkeypatch.setattr("kitplan.allocate.model.LARGE", 0)
    allocation = build(find_options(brief), "viewpoints")
    assert goals_of(allocation, first_plan(allocation), "wants")["wants"] == 4


@pytest.mark.parametrize("is_large", [True, False])
def test_what_others_ask_for_is_taken_last(is_large: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a large model. Either lens holds the medium shot, the long one is listed first; the
    close-up needs it.
    """
    if is_large:
        monkeypatch.setattr("kitplan.allocate.model.LARGE", 0)
    kit = small_kit(
        body(mount="E", built_in=None),
        lens("long", focal_min_mm=100, focal_max_mm=400),
        lens("plain"),
    )
    roles = (
        role("medium", priority="want", weight=3),
        role("close", priority="want", weight=1, sizes=("CU",)),
    )
    allocation = build(find_options(small_brief(kit, roles=roles)), "viewpoints")
    found = goals_of(allocation, first_plan(allocation), "wants")
    assert found["wants"] == (4 if is_large else 3)


def test_a_past_is_left_to_the_search() -> None:
    """What stood is in the rows already."""
    passes = (run(), show())
    coming = build(find_options(small_brief(passes=passes)), "viewpoints")
    over = build(find_options(small_brief(passes=passes, past=Past(passes=("run",)))), "viewpoints")
    assert first_plan(coming)
    assert not first_plan(over)


def test_decisions_are_those_of_slots() -> None:
    """All that is put down is a decision of a slot."""
    allocation = build(find_options(random_brief(3)), "viewpoints")
    own = {var.index for slot in allocation.variables.slots for var in decisions(slot)}
    assert first_plan(allocation) <= own
