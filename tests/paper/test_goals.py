"""Goals in words: fewer is better for what is lost, and a gap is never called proof."""

from __future__ import annotations

from kitplan.paper.goals import GOALS, certainty, goal_line
from kitplan.produce.solve import SCALE, UNITS


def test_every_goal_has_words() -> None:
    """The same goals as the search has, on the same scale."""
    from kitplan.paper.goals import RAW_SCALE

    assert set(GOALS) == set(UNITS)
    assert RAW_SCALE == SCALE


def test_lost_goals_read_as_numbers_lost() -> None:
    """The solver maximises what is not lost, so its values are below zero."""
    assert goal_line("quality", -6, -6) == "marks lost on picture quality: 6, proven best"
    assert goal_line("musts", 0, 0) == "musts missed: 0, proven best"


def test_gaps_say_how_far() -> None:
    """Upwards for what is gained, downwards for what is lost."""
    assert certainty("wants", 7, 10) == "not proven best: could be as high as 10"
    assert certainty("economy", -90.86, -82.06) == "not proven best: could be as low as 82.1"
