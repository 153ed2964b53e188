"""How different an answer is: places left, counted by hand; and departures, which leave them."""

from __future__ import annotations

from collections import Counter
from itertools import islice

import pytest

from kitplan.allocate.differ import AS_GOOD, most_different, places_of
from kitplan.allocate.freeing import IDLE_SLOTS, departures
from kitplan.allocate.model import build
from kitplan.allocate.search import Limits
from kitplan.allocate.solver import Found
from kitplan.options.spots import find_options
from tests.allocate.searched import searched
from tests.small import position, run, show, small_brief, small_kit

ONE = Limits(seconds=5, seed=1, workers=1)
SHORT = Limits(seconds=2, seed=1, workers=1)
ALONE = small_kit(counts={"cam": 1})


def test_the_least_number_goes_before_the_sum() -> None:
    """Two cameras, four places. Of the best answer (here twice) the other two places leave 2 each,
    4 in all, and 0 of an answer that has them already; one of each pair leaves 1 of all three.
    """
    spots = (*map(position, ("front", "left", "right")), position("back", at_m=(0, 14)))
    allocation, best = searched(small_brief(positions=spots), ONE)
    own, found = places_of(allocation.variables, best), Found()
    first = most_different(allocation, best, [own], SHORT, found)
    assert (first.left, first.is_proven) == ((2,), True)
    others = [own, own, places_of(allocation.variables, found)]
    second = most_different(allocation, best, others, SHORT, found)
    assert (second.left, second.differs, second.is_proven) == ((1, 1, 1), True, True)


def test_as_good_in_all_that_is_held() -> None:
    """And no worse in what comes after than it must be: here nothing."""
    allocation, best = searched(small_brief(passes=(run(), show())), ONE)
    found = Found()
    own = [places_of(allocation.variables, best)]
    assert most_different(allocation, best, own, SHORT, found).differs
    assert all(found.reached[goal].value == best.reached[goal].value for goal in AS_GOOD)
    for goal in found.goals:
        assert found.value(goal.expression) == found.reached[goal.id].value
    assert found.reached["quality"].value == best.reached["quality"].value


def test_no_more_different_is_proven() -> None:
    """Against all three places nothing is left."""
    allocation, best = searched(small_brief(ALONE), ONE)
    others = [places_of(allocation.variables, best)]
    others += [Counter({("show", name): 1}) for name in ("front", "left", "right")]
    answer = most_different(allocation, best, others, SHORT, Found())
    assert (answer.differs, answer.is_proven) == (False, True)


def test_the_answer_before_is_left_as_it_was() -> None:
    """The search works on a copy: the same question gives the same answer again."""
    allocation, best = searched(small_brief(ALONE), ONE)
    rows = len(allocation.model.proto.constraints)
    own = [places_of(allocation.variables, best)]
    answers = [most_different(allocation, best, own, SHORT, Found()) for _ in range(2)]
    assert answers[0] == answers[1]
    assert len(allocation.model.proto.constraints) == rows
    assert own == [places_of(allocation.variables, best)]


@pytest.mark.parametrize("handful", [1, 2])
def test_departures_free_used_slots_with_idle_ones_near(handful: int) -> None:
    """Slots 0 and 2 are used: each in turn with the idle ones, then both; only those worth leaving
    come first.
    """
    spots = tuple(position(f"p{n}", at_m=(n, -10)) for n in range(4))
    slots = build(find_options(small_brief(positions=spots))).variables.slots
    used = {slots[0].name, slots[2].name}
    sets = departures(slots, lambda _: True, lambda slot: slot.name in used, seed=1)
    first = [{0, 1, 3}, {2, 1, 3}, {0, 1, 2, 3}]  # the third one is at random: all four of them
    second = [{0, 1, 2, 3}] * 3
    assert (
        list(map(set, islice(sets, 3 * (handful - 1), 3 * handful))) == [first, second][handful - 1]
    )
    leaving = departures(slots, lambda slot: slot is slots[2], lambda s: s.name in used, seed=1)
    assert next(leaving) == {1, 2, 3}


def test_departures_free_few_of_many() -> None:
    """One used slot and the nearest of the others."""
    spots = tuple(position(f"p{n:02}", at_m=(n / 2, -10)) for n in range(20))
    slots = build(find_options(small_brief(positions=spots))).variables.slots
    free = next(departures(slots, lambda _: True, lambda slot: slot is slots[0], seed=1))
    assert free == frozenset(range(IDLE_SLOTS + 1))
