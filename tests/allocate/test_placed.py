"""Placements go from one model to another, and answers are bettered piece by piece."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitplan.allocate.model import build
from kitplan.allocate.placed import decisions_of, read_placed
from kitplan.allocate.search import search
from kitplan.allocate.settle import decisions
from kitplan.allocate.solver import Found, Limits
from kitplan.options.spots import find_options
from tests.allocate.searched import searched
from tests.random_shoots import random_brief
from tests.small import run, show, small_brief

ONE = Limits(seconds=20, seed=1, workers=1)


@pytest.mark.parametrize("seed", range(6))
def test_what_is_read_from_a_model_is_what_it_has(seed: int) -> None:
    """Out of an answer and back into the same model: the very same decisions."""
    allocation, found = searched(random_brief(seed), ONE)
    slots = allocation.variables.slots
    chosen = decisions_of(slots, read_placed(slots, found.value))
    ones = {var.index for slot in slots for var in decisions(slot) if found.value(var)}
    assert chosen == ones


def test_a_coarser_model_takes_what_a_finer_one_has() -> None:
    """Shots that only later goals tell apart are one and the same there."""
    brief = small_brief(passes=(run(), show()))
    (fine, found), coarse = searched(brief, ONE), build(find_options(brief), "viewpoints")
    placed = read_placed(fine.variables.slots, found.value)
    chosen = decisions_of(coarse.variables.slots, placed)
    assert chosen is not None
    assert read_placed(coarse.variables.slots, lambda var: var.index in chosen) == placed


def test_what_a_model_does_not_know_is_not_made_up() -> None:
    """A placement with an operator who is not there."""
    allocation, found = searched(small_brief(), ONE)
    slots = allocation.variables.slots
    placed = read_placed(slots, found.value)
    number, here = next((n, each) for n, each in enumerate(placed) if each is not None)
    strange = [*placed]
    strange[number] = replace(here, operator="nobody")
    assert decisions_of(slots, strange) is None


def reached(seed: int) -> Found:
    """Return what the search finds for a random shoot."""
    return search(find_options(random_brief(seed)), ONE)


@pytest.mark.parametrize("seed", range(8))
def test_approaching_changes_no_proven_value(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Small shoots are not approached; made to be, they come to the same, all proven."""
    own = {goal: each.value for goal, each in reached(seed).reached.items()}
    monkeypatch.setattr("kitplan.allocate.piecewise.APPROACHED", 0)
    found = reached(seed)
    assert {goal: each.value for goal, each in found.reached.items()} == own
    assert all(each.is_proven for each in found.reached.values())
