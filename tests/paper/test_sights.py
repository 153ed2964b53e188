"""What a possible shot would see, in words: one intruder in full, several as a short list."""

from __future__ import annotations

from kitplan.paper.sights import shot_in_words
from kitplan.whatif.sightings import Intruder, Sighting
from tests.small import position, small_shoot

SHOOT = small_shoot(
    positions=tuple(map(position, ("front", "left", "right", "pit", "wing", "bar")))
)


def seen(*intruders: Intruder) -> str:
    """Return the words for a shot with some intruders in it."""
    shot = Sighting(
        "show", "front", "singer", "MS", 2, "", 0.0, 0.0, 0.0, 0.0, False, (), intruders
    )
    return shot_in_words(SHOOT, shot)


def test_one_intruder_is_told_in_full() -> None:
    """How tall, and what the most is."""
    words = seen(Intruder("left", "rig", 0.34, is_across=False, is_refused=True))
    assert words.endswith(
        "not together with the rig at left: 34% of the frame's height, and 20% is the most."
    )


def test_of_several_the_tallest_three_are_named() -> None:
    """The others are counted; what refuses comes before what costs marks."""
    words = seen(
        Intruder("left", "rig", 0.25, is_across=False, is_refused=True),
        Intruder("right", "operator", 0.40, is_across=True, is_refused=True),
        Intruder("pit", "sweep", 0.30, is_across=False, is_refused=True),
        Intruder("wing", "rig", 0.22, is_across=False, is_refused=True),
        Intruder("bar", "rig", 0.05, is_across=False, is_refused=False),
    )
    assert words.endswith(
        "not together with the operator at right (40%, before the subject), the move at pit (30%), "
        "the rig at left (25%) and 1 more; costs marks: the rig at bar (5%)."
    )
