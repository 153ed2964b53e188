"""Hypothesis strategies: random shoots that hold together, with names that break bad writers."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from typing import Any

from hypothesis import strategies as st

from kitplan.shoot.records import (
    Delivery,
    Locks,
    Moment,
    Pass,
    Pattern,
    Person,
    Role,
    Shoot,
    Song,
)
from kitplan.shoot.rules import Rules
from kitplan.shoot.sizes import LADDER, sizes_for
from kitplan.shoot.venue import (
    AudienceArea,
    Lamp,
    Light,
    Obstacle,
    Permission,
    Position,
    Stage,
    Subject,
    Venue,
    Zone,
)
from kitplan.tables import table
from tests.strategies import maybe, names

lengths_s = st.floats(10, 600)
heights_m = st.floats(0, 3)
bearings_deg = st.integers(-360, 360).map(float)
floors = st.sampled_from(sorted(table("steadiness")["floor_deg"]))
priorities = st.sampled_from(["must", "want", "nice"])
FIRST_START = datetime(2027, 5, 15, 10, 0)


def _ids(prefix: str, least: int, most: int) -> st.SearchStrategy[list[str]]:
    return st.integers(least, most).map(lambda count: [f"{prefix}-{n}" for n in range(count)])


def _some(ids: list[str]) -> st.SearchStrategy[tuple[str, ...] | None]:
    """None, or at least one of the ids."""
    return maybe | st.lists(st.sampled_from(ids), min_size=1, unique=True).map(tuple)


def _square(x: float, y: float, side: float) -> tuple[tuple[float, float], ...]:
    return ((x, y), (x + side, y), (x + side, y + side), (x, y + side))


@st.composite
def arms(draw: st.DrawFn) -> dict[str, Any]:
    """Draw how an arm may swing and rest, in its arc where both are given."""
    first, width = draw(st.integers(-360, 360)), draw(st.integers(0, 350))
    last = first + width if first + width <= 360 else first + width - 720
    park = first + draw(st.integers(0, width))
    return {
        "walk_m": draw(st.floats(0, 9)),
        "arc_deg": draw(maybe | st.just((float(first), float(last)))),
        "park_deg": draw(maybe | st.just(float(park if park <= 360 else park - 360))),
    }


def lamps(pass_ids: list[str]) -> st.SearchStrategy[tuple[Lamp, ...]]:
    """Lamps upstage of the stage's front edge, where no random camera stands."""
    lamp = st.builds(
        Lamp,
        id=st.sampled_from(["spot", "sign", "sunset", "beam"]),
        at_m=st.tuples(st.floats(-20, 20), st.floats(0, 20)),
        height_m=st.floats(-1, 12),
        kind=st.sampled_from(["lamp", "window", "laser"]),
        faces_deg=maybe | bearings_deg,
        passes=_some(pass_ids),
    )
    return st.lists(lamp, max_size=3, unique_by=lambda one: one.id).map(tuple)


@st.composite
def venues(draw: st.DrawFn, pass_ids: list[str], people: list[str]) -> Venue:
    """Draw a venue whose positions stand apart from stage and obstacles."""
    positions = [
        Position(
            id=position_id,
            name=draw(maybe | names),
            at_m=(draw(st.floats(-20, 20)), draw(st.floats(-30, -1))),
            floor_height_m=draw(heights_m),
            lens_height_m=draw(heights_m),
            stands_on=draw(st.sampled_from(["floor", "rail", "bar"])),
            rigs=draw(st.integers(1, 3)),
            open_in=draw(_some(pass_ids)),
            is_overhead=draw(st.booleans()),
            has_mains=draw(st.booleans()),
            floor=draw(floors),
            **draw(arms()),
            only_people=draw(_some(people)) if people else None,
            permission=draw(
                maybe | st.builds(Permission, state=st.sampled_from(["given", "asked"]), by=names)
            ),
        )
        for position_id in draw(_ids("position", 1, 4))
    ]
    return Venue(
        name=draw(names),
        stage=Stage(
            outline_m=_square(-5, 0, draw(st.floats(4, 10))),
            height_m=draw(heights_m),
            floor=draw(floors),
            form=draw(st.sampled_from(["end", "thrust", "round"])),
            has_wings=draw(st.booleans()),
        ),
        zones=draw(st.just(()) | st.just((Zone(id="zone", outline_m=_square(30, 0, 3)),))),
        audience=(
            AudienceArea(
                id="hall",
                outline_m=_square(-5, -20, 9),
                rake_deg=draw(st.floats(0, 45)),
                state=draw(st.sampled_from(["seated", "standing"])),
                empty_in=draw(_some(pass_ids)) or (),
            ),
        ),
        obstacles=(
            Obstacle(id="pillar", outline_m=_square(40, 0, 1), height_m=draw(st.floats(1, 9))),
        ),
        lamps=draw(lamps(pass_ids)),
        positions=tuple(positions),
    )


@st.composite
def subjects(draw: st.DrawFn) -> tuple[Subject, ...]:
    """Draw the stage, a group, and some people and things on the stage."""
    stage = Subject(id="stage", kind="stage")
    group = Subject(
        id="group",
        kind="group",
        outline_m=_square(-3, 1, 2),
        name=draw(names),
        has_consent=draw(st.booleans()),
    )
    single = [
        Subject(
            id=subject_id,
            name=draw(maybe | names),
            kind=draw(st.sampled_from(["person", "object"])),
            at_m=(draw(st.floats(-4, 4)), draw(st.floats(0.5, 4))),
            posture=draw(st.sampled_from(["standing", "seated", "child", "dancer"])),
            width_m=draw(st.floats(0.3, 3)),
            roam_m=draw(st.floats(0, 3)),
            part_of=draw(maybe | st.just("group")),
            closest=draw(maybe | st.sampled_from(["CU", "MS", "FS"])),
            has_consent=draw(st.booleans()),
            frames_m=draw(st.just({}) | st.just({"EWS": 60.0})),
        )
        for subject_id in draw(_ids("subject", 0, 3))
    ]
    return (stage, group, *single)


@st.composite
def songs(draw: st.DrawFn, filmed: tuple[Subject, ...]) -> tuple[Song, ...]:
    """Draw up to four songs with moments that somebody can hold."""
    found = []
    for song_id in draw(_ids("song", 1, 4)):
        length_s = draw(lengths_s)
        moments = [
            Moment(
                name=draw(names),
                subject=subject.id,
                at_s=length_s / 2,
                length_s=draw(st.floats(0.1, length_s / 2)),
                size=draw(st.sampled_from(LADDER[LADDER.index(sizes_for(subject)[0]) :])),
                priority=draw(priorities),
            )
            for subject in draw(st.lists(st.sampled_from(filmed), max_size=2))
        ]
        found.append(
            Song(
                id=song_id,
                name=draw(maybe | names),
                length_s=length_s,
                gap_s=draw(st.floats(0, 60)),
                has_click=draw(st.booleans()),
                moments=tuple(moments),
            )
        )
    return tuple(found)


@st.composite
def passes(draw: st.DrawFn, song_ids: list[str], people: list[str]) -> tuple[Pass, ...]:
    """Draw passes that follow each other: at most four songs of 11 minutes end within an hour."""
    zone = draw(maybe | st.just(timezone(timedelta(hours=2))))
    ids = draw(_ids("pass", 1, 3))
    master = draw(maybe | st.sampled_from(ids))
    found = []
    for number, pass_id in enumerate(ids):
        start = FIRST_START.replace(tzinfo=zone) + timedelta(hours=3 * number)
        facts: dict[str, Any] = {"id": pass_id, "start": start, "is_master": pass_id == master}
        if draw(st.booleans()):
            facts["end"] = start + timedelta(minutes=draw(st.integers(60, 120)))
        if draw(st.booleans()):
            facts |= {"has_audience": True, "doors": start - timedelta(minutes=30)}
        run = st.sampled_from(["complete", "stopped", "not-run"])
        facts["songs"] = (
            draw(st.dictionaries(st.sampled_from(song_ids[1:]), run)) if (song_ids[1:]) else {}
        )
        facts["people"] = draw(_some(people)) if people else None
        facts["has_click"] = draw(st.booleans())
        facts["is_in_costume"] = draw(st.booleans())
        facts["is_in_show_light"] = draw(st.booleans())
        facts["house_lux"] = draw(maybe | st.floats(0, 1000))
        found.append(Pass(**facts))
    return tuple(found)


@st.composite
def shoots(draw: st.DrawFn) -> Shoot:
    """Draw a shoot in which everything fits together."""
    people = draw(_ids("person", 0, 3))
    filmed = draw(subjects())
    played = draw(songs(filmed))
    runs = draw(passes([song.id for song in played], people))
    pass_ids = [each.id for each in runs]
    venue = draw(venues(pass_ids, people))
    roles = [
        Role(
            id=role_id,
            subject=(subject := draw(st.sampled_from(filmed))).id,
            sizes=(draw(st.sampled_from(sizes_for(subject))),),
            priority=draw(priorities),
            weight=draw(st.integers(1, 100)),
            passes=draw(_some(pass_ids)),
            positions=draw(_some([position.id for position in venue.positions])),
            moves=draw(st.sampled_from([(), ("track",), ("boom", "walk")])),
        )
        for role_id in draw(_ids("role", 0, 3))
    ]
    never = [
        Pattern.model_validate({"pass": draw(maybe | st.sampled_from(pass_ids)), "role": role.id})
        for role in roles
    ]
    return Shoot(
        title=draw(names),
        kit=draw(maybe | st.just("kit.yaml")),
        performance=draw(st.sampled_from(["concert", "dance"])),
        time_zone=draw(st.sampled_from(["UTC", "Europe/Paris"])),
        mains_hz=draw(st.sampled_from([50, 60])),
        delivery=Delivery(frame_rate_fps=draw(st.floats(1, 60))),
        venue=venue,
        subjects=filmed,
        light=(
            Light(subjects=draw(_some([one.id for one in filmed])), dim_lux=200, bright_lux=400),
            Light(dim_lux=draw(st.floats(1, 100)), bright_lux=500, lamp="led"),
        ),
        songs=played,
        passes=runs,
        crew=tuple(
            Person(
                id=person, name=draw(maybe | names), skills=draw(st.just(()) | st.just(("jib",)))
            )
            for person in people
        ),
        roles=tuple(roles),
        rules=Rules.model_validate(draw(st.just({}) | st.just({"angle_deg": 25.5}))),
        locks=Locks(never=tuple(never)),
    )
