"""The stage plot: who, how many, where."""

from __future__ import annotations

from itertools import pairwise

import pytest

from kitplan.recce.answers import NotUnderstood, Performer, StageSize
from kitplan.recce.plot import is_group, plot_of, width_m

STAGE = StageSize(10.0, 6.0, 0.8)


def by_name(text: str) -> dict[str, Performer]:
    """Return the performers of a plot by name."""
    return {each.name: each for each in plot_of(text, STAGE)}


def test_left_is_house_left_unless_stage_left_is_said() -> None:
    """Stage left is house right: a performer who faces the house has it at the left hand."""
    found = by_name("guitar left, bass stage left, keys house right front")
    assert found["Guitar"].x_m < 0 < found["Bass"].x_m
    assert found["Guitar"].x_m == -found["Bass"].x_m
    assert found["Keys"].x_m > 0
    assert found["Keys"].y_m < found["Guitar"].y_m


def test_numbers_and_groups() -> None:
    """'two trumpets' and 'choir of 20' are groups; a singer is one."""
    found = by_name("singer centre front, two trumpets right, choir of 20 back, 3 dancers left")
    assert [found[name].count for name in ("Singer", "Trumpets", "Choir", "Dancers")] == [
        1,
        2,
        20,
        3,
    ]
    assert not is_group(found["Singer"])
    assert is_group(found["Trumpets"])
    assert width_m(found["Choir"]) == pytest.approx(6.4)  # eight in a row, 0.8 m each


def test_nobody_stands_on_somebody_else_or_off_the_stage() -> None:
    """Those who share a place stand side by side, and everybody stays within the edges."""
    found = plot_of("violin left, flute left, oboe left, tuba far left, harp far right", STAGE)
    for one in found:
        assert abs(one.x_m) + width_m(one) / 2 <= STAGE.width_m / 2 + 0.05
        assert 0 <= one.y_m <= STAGE.depth_m
    three = sorted(each.x_m for each in found[:3])
    assert all(b - a >= 0.75 for a, b in pairwise(three))


def test_unknown_performers_are_people_all_the_same() -> None:
    """Their name is kept; they get what others get."""
    found = by_name("juggler on unicycle centre")
    assert found["Juggler unicycle"].what == "other"


@pytest.mark.parametrize(
    "text", ["", "left", "0 trumpets", ", ;", "² trumpets", "9" * 199, "x" * 201]
)
def test_a_plot_without_people_is_refused(text: str) -> None:
    """Somebody has to be on stage."""
    with pytest.raises(NotUnderstood):
        plot_of(text, STAGE)
