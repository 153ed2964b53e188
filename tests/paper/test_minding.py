"""Who looks after locked-off cameras, and when."""

from __future__ import annotations

from itertools import pairwise

import pytest

from kitplan.paper.minding import CHECK_EVERY_S, checks_after, minders, touches_of
from kitplan.paper.timed import clocks
from tests.stored import stored_plan


@pytest.mark.parametrize("name", ["depot-brass", "school-dance", "harbour-festival"])
def test_a_locked_off_camera_is_minded_by_somebody_who_may_touch_it(name: str) -> None:
    """And only those that nobody gets to have nobody; without restarts it is the same people's."""
    plan = stored_plan(name)
    assert plan.day is not None
    for clock in clocks(plan, plan.pass_ids()):
        for rolls in (plan.day.rolls, None):
            found = minders(clock, rolls)
            assert set(found) == {c for c, p in clock.placements.items() if p.operator is None}
            for letter, who in found.items():
                placement = clock.placements[letter]
                if clock.is_alone(placement):
                    assert who is None
                elif who is not None:
                    assert clock.reach(placement, who) is not None


def test_nobody_minds_what_somebody_else_touches() -> None:
    """Camera D of the show is Corin's, who touches it most."""
    plan = stored_plan("depot-brass")
    assert plan.day is not None
    (clock,) = clocks(plan, ("depot-brass/show",))
    touches = touches_of(clock, plan.day.rolls, "D")
    most = [touch.person for touch in touches]
    assert minders(clock, plan.day.rolls)["D"] == max(set(most), key=most.count)


@pytest.mark.parametrize("name", ["depot-brass", "harbour-festival"])
def test_between_two_looks_lies_no_more_than_the_usual_time_or_a_song(name: str) -> None:
    """Touches count as looks."""
    plan = stored_plan(name)
    assert plan.day is not None
    for clock in clocks(plan, plan.pass_ids()):
        longest = max(row.gap_end - row.begin for row in clock.songs)
        for letter in clock.placements:
            touches = touches_of(clock, plan.day.rolls, letter)
            looks = [float(row.end) for row in checks_after(clock, touches)]
            looks += [touch.start_s for touch in touches if touch.start_s > 0]
            times = sorted([0.0, *looks, clock.songs[-1].end])
            gaps = [after - before for before, after in pairwise(times)]
            assert max(gaps) <= CHECK_EVERY_S + longest
            assert len(set(looks)) == len(looks)
