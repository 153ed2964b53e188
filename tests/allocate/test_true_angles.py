"""A story: nine angles on paper, six in the pictures.

A big band rehearses with the house lights on. Nine cameras stand around it, all 30 degrees apart as
seen from the middle of the stage, but for the one at the desk, whose picture is much wider. Whoever
counts like that counts nine. But one looks past the trumpet into rows of empty seats, one slides
through the middle of the wide shot, and one sees nothing of the drummer but the conductor's back.
"""

from __future__ import annotations

from itertools import combinations
from math import atan2, cos, degrees, radians, sin
from typing import Any

import pytest

from kitplan.options.spots import find_options
from kitplan.paper.sights import intruder_in_words
from kitplan.shoot.brief import Brief
from kitplan.shoot.venue import Position, Subject
from kitplan.whatif.sightings import sightings
from tests.small import (
    AS_USUAL,
    LENS_M,
    body,
    cameras,
    part,
    person,
    position,
    prime,
    show,
    singer,
    small_brief,
    small_kit,
    solve,
    support,
)

STAGE_M = ((-6.0, 0.0), (6.0, 0.0), (6.0, 6.0), (-6.0, 6.0))
SEATS_M = ((-10.0, -21.0), (10.0, -21.0), (10.0, -11.0), (-10.0, -11.0))
NEVER_M = 900.0
"""A frame that nobody can take: the players are filmed in a medium shot, the stage as a whole."""


def player(item: str, at_m: tuple[float, float], medium_m: float = 0.9) -> Subject:
    """Return somebody who is filmed in a medium shot of 0.75 to 1.08 m and at no other size."""
    others = dict.fromkeys(("MLS", "FS", "WS", "EWS"), NEVER_M)
    return singer(item, at_m=at_m, closest="MS", frames_m={"MS": medium_m, **others})


PLAYERS = (
    player("vocalist", (0, 2)),
    player("trumpet", (5, 1)),
    player("drummer", (1.5, 6)),
    Subject(
        id="stage",
        name="Whole stage",
        kind="stage",
        frames_m={"MLS": NEVER_M, "WS": 6, "EWS": NEVER_M},
    ),
)
CONDUCTOR = player("conductor", (0.375, -3), medium_m=NEVER_M)
KIT = small_kit(
    body("tele", built_in=prime(9 * 12_000 / 909)),  # 0.9 m at 12 m: 10 to 14.4 m will do
    body("near", built_in=prime(9 * 6_000 / 909)),  # at 6 m: 5 to 7.2 m
    body("wide", built_in=prime(9 * 26_000 / 6_009)),  # 6 m at 26 m: 21.7 to 31.2 m
    support("slider", moves=("track",), footprint_m=0.8, height_min_m=0),
    counts={"tele": 9},
    without=("cam",),
)


def around(deg: float) -> Position:
    """A place 12 m from the vocalist, so many degrees round her from the house."""
    at_m = (12 * sin(radians(deg)), 2 - 12 * cos(radians(deg)))
    return position(f"side{deg:+g}", at_m=at_m)


def places(slider_lens_m: float = LENS_M) -> tuple[Position, ...]:
    """The nine places; at the slider's nothing else fits between the front row and the stage."""
    low: Any = {"lens_height_m": slider_lens_m, "room_m": 0.9}
    return (
        position("desk", name="Desk", at_m=(0, -23), floor_height_m=1, lens_height_m=1.4),
        position("slider", name="Front row", at_m=(3.6, -3), **low),
        position("pit", name="Pit", at_m=(0, -6)),
        position("reverse", name="Upstage right", at_m=(6, 12.96)),
        *map(around, (67, 100, -38, -70, -102)),
    )


def band(*, conductor: bool = True, slider_lens_m: float = LENS_M, **run: Any) -> Brief:
    """Return the rehearsal: nobody in the seats, and as much light on them as on the stage."""
    lit: Any = {"has_audience": False, "doors": None, "house_lux": 500, **run}
    return small_brief(
        KIT,
        positions=places(slider_lens_m),
        stage={"outline_m": STAGE_M},
        audience=({"id": "stalls", "outline_m": SEATS_M},),
        subjects=(*PLAYERS, CONDUCTOR) if conductor else PLAYERS,
        passes=(show(**lit),),
        crew=tuple(person(f"p{number}") for number in range(9)),
        rules={**AS_USUAL, "rig_least_share": 0.01},
    )


def bearing_deg(place: Position) -> float:
    """Where a place lies around the middle of the stage, in degrees from the house."""
    return degrees(atan2(place.at_m[0], 3 - place.at_m[1]))


def test_on_paper_there_are_nine_angles() -> None:
    """Any two places are 30 degrees apart around (0, 3), or one of them films 6 m and not 0.9 m."""
    spots = places()
    assert len(spots) == 9
    for one, other in combinations(spots, 2):
        apart = abs(bearing_deg(one) - bearing_deg(other))
        assert min(apart, 360 - apart) >= 30 or "desk" in (one.id, other.id)


def test_in_the_pictures_there_are_six() -> None:
    """Neither the reverse nor the pit gives a picture; of desk and slider one stays at home.

    Nine cameras, nine people and every place are there to be used.
    """
    plan = solve(band())
    assert part(plan, "viewpoints", "counted") == 6
    used = {each.position for each in cameras(plan)}
    assert used.isdisjoint({"reverse", "pit"})
    assert len(used & {"desk", "slider"}) == 1
    assert len(used) == 6


def refusal(brief: Brief, place: str, subject: str) -> str:
    """Return why the long lens does not take a player from a place, in a sentence."""
    spot = find_options(brief).spots_by_key["show", place]
    row = [view.key for view in spot.views].index((place, subject, "MS"))
    column = [camera.body.id for camera in spot.cameras].index("tele")
    return str(spot.shots.refusal(row, column, "operated"))


def test_behind_the_trumpet_there_are_empty_seats() -> None:
    """12 m before the lens stands the trumpet, 24 to 34 m before it are seats of 0.9 m.

    0.463 m under the axis they lie from v = 1/2 + 0.463 / 1.8 to 1/2 + 0.463 / 2.55: 7.6 %.
    """
    assert refusal(band(), "reverse", "trumpet") == (
        "trumpet MS with tele+HD: empty seats fill 8% of the frame; 3% is the most here"
    )


def test_before_the_drummer_there_is_the_conductor() -> None:
    """A quarter of the way to him, 0.5 m wide: it covers the 7.5 cm through which he is seen."""
    assert refusal(band(), "pit", "drummer") == (
        "drummer MS with tele+HD: 100% of it is hidden; 25% is the most"
    )


def test_through_the_wide_shot_runs_the_slider() -> None:
    """20 m before the desk's lens 4.615 m of height are seen: from 0.092 m up to the operator's
    head at 1.563 m, or 31.9 %. The far end of the track, 0.4 m on, takes 32.2 % of 4.708 m.
    """
    brief = band()
    (wide,) = (
        each for each in sightings(brief, position="desk", subject="stage") if each.size == "WS"
    )
    (intruder,) = (each for each in wide.intruders if each.position == "slider")
    labels = {each.id: each.label for each in brief.shoot.venue.positions}
    assert intruder_in_words(brief.shoot, labels, intruder) == (
        "not together with the move at Front row: it stands before the subject, "
        "32% of the frame's height"
    )


@pytest.mark.parametrize(
    "change",
    [{"house_lux": None}, {"conductor": False}, {"slider_lens_m": 0.2}],
    ids=["house-lights-out", "no-conductor", "slider-on-the-floor"],
)
def test_without_one_of_the_reasons_there_is_one_more(change: Any) -> None:
    """Dark and soft seats may fill 18 %; nobody stands before the drummer (pit and slider then take
    the place of the desk); a slider that lies flat is under everybody's feet.
    """
    assert part(solve(band(**change)), "viewpoints", "counted") == 7
