"""What every possible shot would see: who is in whose picture, pass by pass."""

from __future__ import annotations

from typing import Any

from kitplan.paper.sights import shot_in_words, sights_text
from kitplan.shoot.brief import Brief
from kitplan.shoot.venue import Position
from kitplan.whatif.sightings import Sighting, sightings
from tests.small import AS_USUAL, body, optic, position, run, show, small_brief, small_kit

WIDE = small_kit(body(built_in=optic(focal_min_mm=10)))


def brief_with(*others: Position, **parts: Any) -> Brief:
    """A run and a show from the front, with other positions."""
    front = position("front", lens_height_m=1.6)
    given = {"positions": (front, *others), "rules": AS_USUAL, "passes": (run(), show())}
    return small_brief(WIDE, **{**given, **parts})


def before_the_lens(**facts: Any) -> Position:
    """A position 8 m before the front, across its pictures of the singer."""
    return position("other", at_m=(0, -2), lens_height_m=1.5, **facts)


def wide(found: tuple[Sighting, ...], pass_id: str, place: str = "front") -> Sighting:
    """Return the wide shot of the singer."""
    key = (pass_id, place, "singer", "WS")
    return next(s for s in found if (s.pass_id, s.position, s.subject, s.size) == key)


def test_a_position_that_is_closed_in_a_pass_is_in_nobodys_picture_then() -> None:
    """It stands across the shot in the run only; refused permission takes it out of both."""
    found = sightings(brief_with(before_the_lens(open_in=("run",))))
    assert [i.position for i in wide(found, "run").intruders] == ["other"]
    assert wide(found, "run").intruders[0].is_refused
    assert wide(found, "show").intruders == ()
    refused: Any = {"state": "refused"}
    found = sightings(brief_with(before_the_lens(permission=refused)))
    assert wide(found, "run").intruders == ()


def test_asking_for_less_gives_the_same() -> None:
    """One pass, position and subject: the same sightings as among all of them."""
    brief = brief_with(before_the_lens())
    every = sightings(brief)
    some = sightings(brief, pass_id="show", position="other", subject="singer")
    key = ("show", "other", "singer")
    assert some == tuple(s for s in every if (s.pass_id, s.position, s.subject) == key)
    assert some


def test_a_position_spoils_what_it_stands_in() -> None:
    """The overview counts for it the shots of others that some camera can take."""
    brief = brief_with(before_the_lens(), passes=(show(),))
    found = sightings(brief)
    spoilt = [s for s in found if s.position == "front" and s.intruders and s.cameras]
    assert spoilt
    rows = sights_text(brief.shoot, found, is_detailed=False).splitlines()
    (row,) = (line.split() for line in rows if line.startswith("other "))
    assert row[-1] == str(sum(s.intruders[0].is_refused for s in spoilt))


def test_nothing_is_said_twice() -> None:
    """What refuses a shot stands in the refusal, with the most that is allowed."""
    outline = ((-6, -9), (6, -9), (6, -1), (-6, -1))
    seats = ({"id": "house", "outline_m": outline},)
    brief = brief_with(audience=seats, stage={"outline_m": ((-4, 0), (4, 0), (4, 6), (-4, 6))})
    shot = wide(sightings(brief), "run")
    words = shot_in_words(brief.shoot, shot)
    assert not shot.cameras
    assert words.count("empty seats fill") == 1
    assert f"no camera takes it: {shot.refusal}" in words


def test_a_closed_position_sees_nothing_and_says_why() -> None:
    """Not an empty page."""
    brief = brief_with(before_the_lens(open_in=("run",)))
    found = sightings(brief, pass_id="show", position="other")
    assert "the position is not open" in sights_text(brief.shoot, found, is_detailed=True)
