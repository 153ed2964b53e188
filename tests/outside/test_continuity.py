"""The 30-degree rule as published, against what is called a jump cut here.

Two cameras on the same subject less than 30 degrees apart read as a jump cut: Corrigan & White, The
Film Experience (2004), p. 130. Only where the sizes of the shots are similar: Wadsworth, editing
handbook (Routledge 2016), chapter on shots.
"""

from __future__ import annotations

from math import cos, radians, sin

import pytest

from kitplan.shoot.rules import default_rules
from tests.day.shots.hall import hall, plan_with, song, value
from tests.day.shots.hall import placed as camera
from tests.small import position, small_shoot
from tests.whatif.small import pair_of, placed


def test_the_threshold_is_the_published_one() -> None:
    """As shipped."""
    assert default_rules().angle_deg == 30


@pytest.mark.parametrize(
    ("apart_deg", "size", "reads_as_jump"),
    [
        (5, "MS", True),
        (29.9, "MS", True),
        (30.1, "MS", False),
        (90, "MS", False),
        (5, "MCU", True),
        (5, "CU", True),
        (5, "FS", False),
        (29.9, "FS", False),
    ],
    ids=["same", "below", "above", "square", "step", "two-steps-in", "wider", "below-and-wider"],
)
def test_30_degrees_between_cameras_at_similar_sizes(
    apart_deg: float, size: str, reads_as_jump: bool
) -> None:
    """Beside a medium shot (0.9 m): 0.7 m and 0.5 m are similar, the full figure (2.1 m) is not."""
    angle = radians(apart_deg)
    turned = position("turned", at_m=(12 * sin(angle), 2 - 12 * cos(angle)))
    shoot = small_shoot(positions=(position("front"), turned))
    assert pair_of(shoot, placed("A"), placed("B", "turned", size=size)).jumps is reads_as_jump


@pytest.mark.parametrize(
    ("apart_deg", "size", "is_one_viewpoint"),
    [
        (5, "MS", True),
        (29.9, "MS", True),
        (30.1, "MS", False),
        (29.9, "MCU", True),
        (5, "FS", False),
    ],
)
def test_30_degrees_between_the_shots_of_a_song(
    apart_deg: float, size: str, is_one_viewpoint: bool
) -> None:
    """The same rule decides which shots of a shot sheet are too near to each other."""
    angle = radians(apart_deg)
    turned = position("turned", at_m=(12 * sin(angle), 2 - 12 * cos(angle)))
    shoot = hall(song("first"), positions=(position("front"), turned))
    cameras = camera("A"), camera("B", "turned", ("singer", size), operator="ben")
    assert value(plan_with(shoot, *cameras), "alike") == -is_one_viewpoint
