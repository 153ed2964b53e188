"""Ids are given once, and what a shoot names exists."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from kitplan.gear.records import Record
from kitplan.shoot.checks.fault import Fault, meant
from kitplan.shoot.past import Past
from kitplan.shoot.records import Shoot
from kitplan.tables import table
from kitplan.wording import Place


def repeated_ids(shoot: Shoot) -> Iterator[Fault]:
    """No id stands twice in a list."""
    venue = shoot.venue
    lists: tuple[tuple[Place, str, Sequence[Record]], ...] = (
        (("venue", "zones"), "zone", venue.zones),
        (("venue", "audience"), "audience area", venue.audience),
        (("venue", "obstacles"), "obstacle", venue.obstacles),
        (("venue", "lamps"), "lamp", venue.lamps),
        (("venue", "positions"), "position", venue.positions),
        (("subjects",), "subject", shoot.subjects),
        (("songs",), "song", shoot.songs),
        (("passes",), "pass", shoot.passes),
        (("crew",), "person", shoot.crew),
        (("breaks",), "break", shoot.breaks),
        (("roles",), "role", shoot.roles),
        (("sound",), "sound setup", shoot.sound),
    )
    for place, what, records in lists:
        seen: set[str] = set()
        for index, record in enumerate(records):
            record_id: str = record.id  # type: ignore[attr-defined]
            if record_id in seen:
                wrong = f"the {what} id '{record_id}' is given twice"
                yield Fault((*place, index, "id"), wrong, f"Give each {what} an id of its own")
            seen.add(record_id)


class Reference(NamedTuple):
    """A place where something names something else by its id."""

    place: Place
    owner: str
    """What names it, in words."""
    what: str
    """What kind of thing is named."""
    id: str


def written_past(shoot: Shoot) -> Iterator[Fault]:
    """What is over is kept by plans, which know what stood there."""
    if shoot.past != Past():
        right = "Take it out, and give what was got to `kitplan without PLAN --got FILE`"
        yield Fault(("past",), "past is kept by plans alone", right)


def written_no_goods(shoot: Shoot) -> Iterator[Fault]:
    """What has turned out to be too much work is kept by plans."""
    if shoot.no_goods:
        right = "Take it out: plan finds by itself what does not fit between passes"
        yield Fault(("no_goods",), "no_goods are kept by plans alone", right)


def unknown_names(shoot: Shoot) -> Iterator[Fault]:
    """Passes, songs, subjects, positions and people that are named exist."""
    known_by_what: dict[str, Iterable[str]] = {
        "pass": shoot.passes_by_id,
        "song": shoot.songs_by_id,
        "subject": shoot.subjects_by_id,
        "person": shoot.crew_by_id,
        "position": [position.id for position in shoot.venue.positions],
    }
    for place, owner, what, named in references(shoot):
        known = known_by_what[what]
        if named not in known:
            wrong = f"{owner} names the {what} '{named}', which does not exist"
            yield Fault(place, wrong, meant(named, known, what))


def references(shoot: Shoot) -> Iterator[Reference]:
    """Return every name of another record in the shoot, but for those in locks."""
    yield from _of_venue_and_subjects(shoot)
    yield from _of_light_and_songs(shoot)
    yield from _of_passes_and_people(shoot)
    yield from _of_roles(shoot)
    yield from _of_sound(shoot)


def _of_venue_and_subjects(shoot: Shoot) -> Iterator[Reference]:
    for index, area in enumerate(shoot.venue.audience):
        owner, place = f"audience area '{area.id}'", ("venue", "audience", index)
        yield from _each((*place, "empty_in"), owner, "pass", area.empty_in)
    for index, lamp in enumerate(shoot.venue.lamps):
        owner, place = f"lamp '{lamp.id}'", ("venue", "lamps", index)
        yield from _each((*place, "passes"), owner, "pass", lamp.passes)
    for index, position in enumerate(shoot.venue.positions):
        owner, place = f"position '{position.id}'", ("venue", "positions", index)
        yield from _each((*place, "open_in"), owner, "pass", position.open_in)
        yield from _each((*place, "only_people"), owner, "person", position.only_people)
    for index, subject in enumerate(shoot.subjects):
        if subject.part_of is not None:
            place_of = ("subjects", index, "part_of")
            yield Reference(place_of, f"subject '{subject.id}'", "subject", subject.part_of)


def _of_light_and_songs(shoot: Shoot) -> Iterator[Reference]:
    for index, row in enumerate(shoot.light):
        owner = f"light row {index + 1}"
        yield from _each(("light", index, "passes"), owner, "pass", row.passes)
        yield from _each(("light", index, "subjects"), owner, "subject", row.subjects)
    for index, song in enumerate(shoot.songs):
        for number, moment in enumerate(song.moments):
            place = ("songs", index, "moments", number, "subject")
            owner = f"moment '{moment.name}' of song '{song.id}'"
            yield Reference(place, owner, "subject", moment.subject)


def _of_passes_and_people(shoot: Shoot) -> Iterator[Reference]:
    for index, each in enumerate(shoot.passes):
        owner = f"pass '{each.id}'"
        for song_id in each.songs:
            yield Reference(("passes", index, "songs", song_id), owner, "song", song_id)
        yield from _each(("passes", index, "people"), owner, "person", each.people)
    for index, person in enumerate(shoot.crew):
        place = ("crew", index, "performs_in")
        yield from _each(place, f"person '{person.id}'", "song", person.performs_in)
    for index, rest in enumerate(shoot.breaks):
        yield from _each(("breaks", index, "people"), f"break '{rest.id}'", "person", rest.people)


def _of_roles(shoot: Shoot) -> Iterator[Reference]:
    for index, role in enumerate(shoot.roles):
        owner = f"role '{role.id}'"
        yield Reference(("roles", index, "subject"), owner, "subject", role.subject)
        yield from _each(("roles", index, "passes"), owner, "pass", role.passes)
        yield from _each(("roles", index, "positions"), owner, "position", role.positions)


def _of_sound(shoot: Shoot) -> Iterator[Reference]:
    for index, setup in enumerate(shoot.sound):
        owner, place = f"sound setup '{setup.id}'", ("sound", index)
        yield from _each((*place, "passes"), owner, "pass", setup.passes)
        if setup.position is not None:
            yield Reference((*place, "position"), owner, "position", setup.position)


def _each(place: Place, owner: str, what: str, named: Iterable[str] | None) -> Iterator[Reference]:
    for index, one in enumerate(named or ()):
        yield Reference((*place, index), owner, what, one)


def unknown_floors(shoot: Shoot) -> Iterator[Fault]:
    """Every floor is one whose bounce the table of steadiness knows."""
    venue = shoot.venue
    floors: list[tuple[Place, str, str]] = [(("venue", "stage"), "the stage", venue.stage.floor)]
    for index, zone in enumerate(venue.zones):
        floors.append((("venue", "zones", index), f"zone '{zone.id}'", zone.floor))
    for index, position in enumerate(venue.positions):
        owner = f"position '{position.id}'"
        floors.append((("venue", "positions", index), owner, position.floor))
    known = table("steadiness")["floor_deg"]
    for place, owner, floor in floors:
        if floor not in known:
            wrong = f"{owner} has the floor '{floor}', which does not exist"
            yield Fault((*place, "floor"), wrong, meant(floor, known, "floor"))


def circular_groups(shoot: Shoot) -> Iterator[Fault]:
    """No subject is, through others, part of itself."""
    for index, subject in enumerate(shoot.subjects):
        path, outer = [subject.id], subject.part_of
        while outer in shoot.subjects_by_id and outer not in path:
            path.append(outer)
            outer = shoot.subjects_by_id[outer].part_of
        if outer == subject.id:
            wrong = f"subject '{subject.id}' is part of itself ({' in '.join([*path, outer])})"
            right = "Take part_of out of the largest of them"
            yield Fault(("subjects", index, "part_of"), wrong, right)


def empty_lists(shoot: Shoot) -> Iterator[Fault]:
    """A list that narrows something down names at least one thing."""
    lists: list[tuple[Place, str, Sequence[str] | None]] = []
    for index, role in enumerate(shoot.roles):
        owner = f"role '{role.id}'"
        lists.append((("roles", index, "passes"), owner, role.passes))
        lists.append((("roles", index, "positions"), owner, role.positions))
    for index, lamp in enumerate(shoot.venue.lamps):
        lists.append((("venue", "lamps", index, "passes"), f"lamp '{lamp.id}'", lamp.passes))
    for index, setup in enumerate(shoot.sound):
        owner = f"sound setup '{setup.id}'"
        lists.append((("sound", index, "passes"), owner, setup.passes))
    for index, row in enumerate(shoot.light):
        lists.append((("light", index, "passes"), f"light row {index + 1}", row.passes))
        lists.append((("light", index, "subjects"), f"light row {index + 1}", row.subjects))
    for place, owner, named in lists:
        if named is not None and not named:
            wrong = f"{owner} has an empty list of {place[-1]}, so it holds for none"
            yield Fault(place, wrong, f"Name some, or leave {place[-1]} out to mean all")
