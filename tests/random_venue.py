"""A random venue of any size: a hall with a stage, positions all round, subjects on the stage."""

from __future__ import annotations

from datetime import datetime, timedelta
from random import Random
from typing import Any

from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass, Shoot, Song
from kitplan.shoot.sizes import LADDER
from kitplan.shoot.venue import AudienceArea, Light, Obstacle, Position, Stage, Subject, Venue
from tests.small import head, small_kit, support

HALF_WIDTH_M, DEPTH_M, HALL_M = 8.0, 9.0, 30.0


def random_venue(positions: int, subjects: int, seed: int, passes: int = 4) -> Brief:
    """Return a brief with that many positions and subjects and a little kit: legs, track, jib."""
    chance = Random(seed)
    w, d = HALF_WIDTH_M, DEPTH_M
    seats = ((-10.0, -25.0), (10.0, -25.0), (10.0, -3.0), (-10.0, -3.0))
    venue = Venue(
        name="A hall",
        stage=Stage(outline_m=((-w, 0.0), (w, 0.0), (w, d), (-w, d)), height_m=1.0),
        audience=(AudienceArea(id="hall", outline_m=seats, state="standing"),),
        obstacles=tuple(_pillar(n, x) for n, x in enumerate((-11.0, 11.0))),
        positions=tuple(_position(chance, n) for n in range(positions)),
    )
    people = tuple(_subject(chance, n) for n in range(subjects - 1))
    start = datetime(2027, 1, 1, 12)
    return Brief(
        Shoot(
            title="Random",
            mains_hz=50,
            venue=venue,
            subjects=(Subject(id="stage", kind="stage"), *people),
            light=(Light(dim_lux=500, bright_lux=900),),
            songs=(Song(id="song", length_s=600),),
            passes=tuple(
                Pass(id=f"pass-{n}", start=start + timedelta(hours=3 * n), has_audience=n % 2 == 1)
                for n in range(passes)
            ),
        ),
        small_kit(
            support("legs-and-head", fitting="bowl-75"),
            support("track", moves=("track",), footprint_m=1.6),
            support("jib", moves=("boom",), is_arm=True, can_stand_alone=False, footprint_m=2.5),
            head(),
        ),
    )


def _pillar(number: int, x: float) -> Obstacle:
    corners = ((x, -9.0), (x + 0.4, -9.0), (x + 0.4, -8.6), (x, -8.6))
    return Obstacle(id=f"pillar-{number}", outline_m=corners, height_m=6)


def _position(chance: Random, number: int) -> Position:
    """One in four on stage, the others in the hall; one in six has room for a track or a jib."""
    on_stage = number % 4 == 0
    x = chance.uniform(-HALF_WIDTH_M + 0.3, HALF_WIDTH_M - 0.3)
    place = (x, chance.uniform(0.3, DEPTH_M)) if on_stage else (2 * x, -chance.uniform(1, HALL_M))
    return Position(
        id=f"position-{number}",
        at_m=place,
        floor_height_m=1.0 if on_stage else chance.choice((0.0, 0.6, 3.5)),
        lens_height_m=chance.choice((1.2, 1.6, 1.9)),
        room_m=4 if number % 6 == 1 else 1.2,
        is_on_stage=on_stage,
    )


def _subject(chance: Random, number: int) -> Subject:
    """One in five is a group."""
    x, y = chance.uniform(-6, 6), chance.uniform(1, 8)
    facts: dict[str, Any] = {"frames_m": {size: 0.25 * 1.6**n for n, size in enumerate(LADDER)}}
    if number % 5 == 4:
        outline = ((x, y), (x + 2, y), (x + 2, y + 1), (x, y + 1))
        return Subject(id=f"group-{number}", kind="group", outline_m=outline, **facts)
    return Subject(id=f"person-{number}", at_m=(x, y), roam_m=chance.choice((0.2, 1)), **facts)
