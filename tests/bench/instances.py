"""Shoots of four sizes for measuring: `instance(family, seed)` is always the same brief.

S is a film group's evening, M a theatre, L a festival stage, XL a festival of two days. Everything
in them is invented; figures are those of the demo kits and shoots. Every rule is alive: heads and
pillars, rigs in the pictures of others, people who perform or come late, resets short of time,
owners' units, batteries, chargers and cards that nearly suffice, adapters, heads and supports of
several payloads, rails, bars and a jib, a permission that is only asked for.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from random import Random
from typing import Any, NamedTuple

from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Locks, Moment, Pass, Pattern, Person, Role, Shoot, Song
from kitplan.shoot.venue import Light, Subject
from tests.bench.instance_kit import KitSize, make_kit
from tests.bench.instance_venue import make_hall, make_subjects, make_venue


class Size(NamedTuple):
    """How large a family of shoots is."""

    kit: KitSize
    positions: int
    subjects: int
    crew: int
    songs: int
    roles: int
    musts: int
    """Must roles beside the safety shot."""
    half_width_m: float
    passes: tuple[str, ...]
    """In order of time; the last one is the show. Those named in `OPEN` have an audience."""


FAMILIES = {
    "S": Size(KitSize(5, 4, 8, 9, 2), 12, 6, 4, 8, 9, 1, 5.0, ("run", "show")),
    "M": Size(KitSize(12, 8, 20, 20, 3), 30, 10, 9, 9, 15, 2, 6.5,
              ("rehearsal", "run", "show")),
    "L": Size(KitSize(40, 20, 60, 55, 4), 60, 20, 30, 10, 28, 4, 9.0,
              ("rehearsal", "run", "matinee", "show")),
    "XL": Size(KitSize(120, 40, 180, 165, 6), 150, 40, 80, 12, 50, 6, 13.0,
               ("first-rehearsal", "first-run", "preview", "run", "matinee", "show")),
}  # fmt: skip
OPEN = ("preview", "matinee", "show")
DAY = datetime(2027, 5, 15)


def instance(family: str, seed: int) -> Brief:
    """Return one shoot of a family with its kit."""
    chance = Random(f"{family}-{seed}")
    size = FAMILIES[family]
    hall = make_hall(size.half_width_m, chance)
    songs = _songs(size.songs, chance)
    passes = _passes(size.passes, songs, chance)
    closed = tuple(each.id for each in passes if not each.has_audience)
    venue = make_venue(hall, size.positions, closed, chance)
    subjects = make_subjects(hall, size.subjects, chance)
    crew = _crew(size.crew, passes, songs, chance)
    roles = _roles(size, subjects, [p.id for p in venue.positions], chance)
    never = Pattern(role=roles[1].id, position=chance.choice(venue.positions).id)
    shoot = Shoot(
        title=f"{family} {seed}",
        performance="concert" if hall.is_standing else chance.choice(("concert", "theatre")),
        mains_hz=50,
        venue=venue,
        subjects=subjects,
        light=_light(subjects, chance),
        songs=_with_moments(songs, subjects, chance),
        passes=passes,
        crew=crew,
        roles=roles,
        locks=Locks(never=(never,)),
    )
    return Brief(shoot, make_kit(size.kit, tuple(person.id for person in crew), chance))


# -- time ------------------------------------------------------------------------------------------


def _songs(number: int, chance: Random) -> tuple[Song, ...]:
    return tuple(
        Song(
            id=f"song-{n}",
            length_s=chance.randrange(180, 430, 5),
            gap_s=chance.choice((15, 20, 35, 45, 60, 75)),
            has_click=chance.random() < 0.4,
        )
        for n in range(number)
    )


def _passes(names: tuple[str, ...], songs: tuple[Song, ...], chance: Random) -> tuple[Pass, ...]:
    """Back from the show: each ends so many minutes before the doors or the start of the next that
    not everything can be rebuilt. Of six passes the first three are on the day before.
    """
    length = timedelta(minutes=-(-sum(s.length_s + s.gap_s for s in songs) // 60) + 3)
    found: list[Pass] = []
    limit = DAY.replace(hour=21)
    for rank, name in reversed(list(enumerate(names))):
        if len(names) == 6 and rank == 2:
            limit = DAY.replace(hour=22) - timedelta(days=1)
        start = limit - length
        has_audience = name in OPEN
        doors = start - timedelta(minutes=chance.choice((30, 45, 60)))
        is_dress = "rehearsal" not in name
        found.append(
            Pass(
                id=name,
                start=start,
                end=start + length,
                doors=doors if has_audience else None,
                has_audience=has_audience,
                is_master=name == "show",
                is_in_costume=is_dress,
                is_in_show_light=is_dress,
                has_click=is_dress and chance.random() < 0.3,
                house_lux=None if has_audience else 8,
                needs_safety=has_audience,
                songs={} if has_audience else _broken_off(songs, chance),
            )
        )
        limit = (doors if has_audience else start) - timedelta(minutes=chance.randrange(20, 41, 5))
    return tuple(reversed(found))


def _broken_off(songs: tuple[Song, ...], chance: Random) -> dict[str, Any]:
    stopped, skipped = chance.sample(songs, 2)
    return {stopped.id: "stopped", skipped.id: "not-run"}


# -- people ----------------------------------------------------------------------------------------


def _crew(
    number: int, passes: tuple[Pass, ...], songs: tuple[Song, ...], chance: Random
) -> tuple[Person, ...]:
    """Skills in turn; one in eight performs in some songs, some only carry; the last come late."""
    early = passes[0].start - timedelta(hours=4)
    late = passes[0].start + timedelta(minutes=20)
    return tuple(
        Person(
            id=f"person-{n}",
            is_skilled=n % 2 == 0 or n % 5 == 1,
            skills=(("jib",), ("rigging",), ("slider",), ())[n % 4],
            is_operator=n % 9 != 8,
            since=late if n >= number - max(1, number // 10) else early,
            may_be_on_stage=n % 5 != 4,
            performs_in=tuple(s.id for s in chance.sample(songs, 2)) if n % 8 == 3 else (),
        )
        for n in range(number)
    )


# -- what is asked for -----------------------------------------------------------------------------


def _sizes(subject: Subject, chance: Random) -> tuple[Any, ...]:
    if subject.kind == "person":
        return chance.choice((("MCU", "MS"), ("MS", "MLS"), ("MLS", "FS"), ("MCU", "MS", "MLS")))
    return ("MLS", "WS")


def _roles(
    size: Size, subjects: tuple[Subject, ...], positions: list[str], chance: Random
) -> tuple[Role, ...]:
    """The safety shot, tight shots that must be, then wishes; the last ones ask for moves."""
    safety = Role(id="safety", subject="whole-stage", sizes=("WS", "EWS"), priority="must",
                  in_passes="every", is_safety=True, rolls_throughout=True)  # fmt: skip
    players = [s for s in subjects if s.kind == "person" and s.has_consent]
    musts = [
        Role(id=f"must-{n}", subject=s.id, sizes=("MCU", "MS", "MLS"), priority="must",
             manner="operated" if n % 2 == 0 else "either")
        for n, s in enumerate(players[: size.musts])
    ]  # fmt: skip
    moves = [
        Role(id="track-move", subject="band", sizes=("MLS", "WS"), priority="nice",
             moves=("track",)),
        Role(id="boom-move", subject="band", sizes=("MLS", "WS"), priority="want",
             moves=("boom",), manner="operated", weight=2),
    ]  # fmt: skip
    filmed = [s for s in subjects if s.has_consent and s.kind != "stage"]
    left = size.roles - 1 - len(musts) - len(moves)
    wishes = [_wish(n, filmed[n % len(filmed)], positions, chance) for n in range(left)]
    return (safety, *musts, *wishes, *moves)


def _wish(number: int, subject: Subject, positions: list[str], chance: Random) -> Role:
    some = tuple(chance.sample(positions, max(3, len(positions) // 3)))
    return Role(
        id=f"wish-{number}",
        subject=subject.id,
        sizes=_sizes(subject, chance),
        priority="nice" if number % 4 == 3 else "want",
        weight=chance.randint(1, 4),
        positions=some if chance.random() < 0.3 else None,
        passes=("show",) if subject.kind == "audience" else None,
        manner=chance.choice(("either", "either", "operated", "locked-off")),
        also=chance.random() < 0.15,
    )


def _with_moments(
    songs: tuple[Song, ...], subjects: tuple[Subject, ...], chance: Random
) -> tuple[Song, ...]:
    """A moment in most songs; every third is a must."""
    filmed = [s for s in subjects if s.kind == "person" and s.has_consent]
    made = []
    for n, song in enumerate(songs):
        moment = Moment(
            name=f"Solo {n}",
            subject=chance.choice(filmed).id,
            at_s=60,
            length_s=20,
            size=chance.choice(("MS", "MLS")),
            priority=("must", "want", "nice")[n % 3],
        )
        with_it = {"moments": (moment,)} if n % 4 != 2 else {}
        made.append(song.model_copy(update=with_it))
    return tuple(made)


def _light(subjects: tuple[Subject, ...], chance: Random) -> tuple[Light, ...]:
    dim = chance.randrange(350, 700, 50)
    soloist = next(s.id for s in subjects if s.kind == "person")
    return (
        Light(subjects=("audience",), dim_lux=45, bright_lux=160, lamp="led", pwm_hz=1200),
        Light(subjects=(soloist,), dim_lux=dim + 200, bright_lux=1800, lamp="discharge"),
        Light(dim_lux=dim, bright_lux=900),
    )
