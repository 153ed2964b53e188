"""Records of the shoot: what is performed, in which passes, by whom it is filmed, what is asked."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cached_property
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from kitplan.gear.records import Id, Minutes, Move, Name, Record, Skill
from kitplan.shoot.nogoods import NoGood
from kitplan.shoot.past import Past
from kitplan.shoot.rules import Performance, Rules, default_rules
from kitplan.shoot.times import When, same_clock
from kitplan.shoot.venue import Light, PersonSize, Subject, Surveyed, Venue
from kitplan.shoot.working import Break, Carrying, Copying, SoundSetup, Vehicle

Priority = Literal["must", "want", "nice"]
Seconds = Annotated[float, Field(gt=0, le=86_400, allow_inf_nan=False)]
_LONGEST_PASS_H = 24


class Delivery(Record):
    """What the edit delivers."""

    frame_width_px: Annotated[int, Field(gt=0, le=20_000)] = 1920
    frame_height_px: Annotated[int, Field(gt=0, le=20_000)] = 1080
    frame_rate_fps: Annotated[float, Field(ge=1, le=1000)] = 25.0

    @property
    def aspect(self) -> float:
        """Width over height."""
        return self.frame_width_px / self.frame_height_px


class Moment(Record):
    """An event inside a song that somebody must, should or may hold."""

    name: Name
    subject: Id
    at_s: Annotated[float, Field(ge=0, le=86_400)]
    length_s: Seconds = 10.0
    size: PersonSize = "MS"
    """At least this tight."""
    priority: Priority = "want"


class Song(Record):
    """A stretch of the performance: a song, a scene, a dance, a hymn."""

    id: Id
    name: Name | None = None
    length_s: Seconds
    gap_s: Annotated[float, Field(ge=0, le=86_400)] = 15.0
    """Pause after it."""
    has_click: bool = False
    """Played to a click or backing track in every pass."""
    moments: tuple[Moment, ...] = ()

    @property
    def label(self) -> str:
        """Name for people."""
        return self.name or self.id


SongRun = Literal["complete", "stopped", "not-run"]


class Pass(Surveyed):
    """One recorded run: a closed rehearsal, or a show with the audience in."""

    EXAMPLE = "gap_after_min"

    id: Id
    name: Name | None = None
    start: When
    end: When | None = None
    """None takes the length of the songs with their gaps."""
    doors: When | None = None
    """From when the audience is in; None in a pass without one."""
    has_audience: bool = False
    is_master: bool = False
    """The take that the edit follows; its sound is the spine."""
    is_in_costume: bool = True
    is_in_show_light: bool = True
    has_click: bool = False
    house_lux: Annotated[float, Field(ge=0, allow_inf_nan=False)] | None = None
    """Light on the seats; None takes five stops under the subject in show light, else as much."""
    songs: dict[Id, SongRun] = Field(default_factory=dict)
    """How a song is run where it is not complete."""
    people: tuple[Id, ...] | None = None
    """Crew on hand; None for everyone whose hours cover it."""
    needs_safety: bool = True
    gap_after_min: Minutes | None = None
    """Minutes to the next pass that can be worked in; None takes the clock."""
    is_dark_after: bool = False
    """The work after it is done in the dark."""

    @model_validator(mode="after")
    def _order(self) -> Self:
        same_clock(start=self.start, end=self.end, doors=self.doors)
        if self.end is not None and self.end <= self.start:
            raise ValueError(
                f"end {self.end:%Y-%m-%d %H:%M} is not after start {self.start:%Y-%m-%d %H:%M}; "
                f"give a later end (a show past midnight needs the next day's date)"
            )
        if self.end is not None and self.end - self.start > timedelta(hours=_LONGEST_PASS_H):
            raise ValueError(
                f"end {self.end:%Y-%m-%d %H:%M} is more than {_LONGEST_PASS_H} hours after start "
                f"{self.start:%Y-%m-%d %H:%M}; correct the dates, or make several passes of it"
            )
        if self.doors is not None and self.doors > self.start:
            raise ValueError(
                f"doors {self.doors:%Y-%m-%d %H:%M} is after start {self.start:%Y-%m-%d %H:%M}; "
                f"let the doors open before the pass begins"
            )
        return self

    @property
    def label(self) -> str:
        """Name for people."""
        return self.name or self.id


class Person(Record):
    """Somebody of the crew."""

    id: Id
    name: Name | None = None
    skills: tuple[Skill, ...] = ()
    is_skilled: bool = False
    """A steady hand: gets the long lenses and free operating; else a zone."""
    is_first_time: bool = False
    """Has not built this kit before: everything takes longer."""
    is_operator: bool = True
    since: When | None = None
    until: When | None = None
    may_be_on_stage: bool = False
    performs_in: tuple[Id, ...] = ()
    """Ids of songs in which this person is on stage."""

    @property
    def label(self) -> str:
        """Name for people."""
        return self.name or self.id

    @model_validator(mode="after")
    def _order(self) -> Self:
        same_clock(since=self.since, until=self.until)
        if self.since is not None and self.until is not None and self.since >= self.until:
            raise ValueError(
                f"since {self.since:%Y-%m-%d %H:%M} is not before until "
                f"{self.until:%Y-%m-%d %H:%M}; swap them"
            )
        return self


class Role(Record):
    """A camera role that the producer asks for."""

    id: Id
    name: Name | None = None
    subject: Id
    sizes: tuple[PersonSize, ...] = Field(min_length=1)
    priority: Priority = "want"
    weight: Annotated[int, Field(ge=1, le=100)] = 1
    passes: tuple[Id, ...] | None = None
    """The passes it is listed for; None for all."""
    in_passes: Literal["every", "any"] = "any"
    positions: tuple[Id, ...] | None = None
    """Only from these positions ("from the front"); None for any."""
    moves: tuple[Move, ...] = ()
    """The support must make at least one of these moves; empty asks for none."""
    manner: Literal["operated", "locked-off", "either"] = "either"
    rolls_throughout: bool = False
    """Must roll without a break inside any song."""
    is_safety: bool = False
    also: bool = False
    """May be done by a placement that has another role already."""

    @property
    def label(self) -> str:
        """Name for people."""
        return self.name or self.id


class Pattern(Record):
    """Names parts of a placement; a placement fits when every part given agrees."""

    pass_: Id | None = Field(default=None, alias="pass")
    position: Id | None = None
    body: Id | None = None
    lens: Id | None = None
    adapter: Id | None = None
    head: Id | None = None
    support: Id | None = None
    person: Id | None = None
    role: Id | None = None

    @model_validator(mode="after")
    def _not_empty(self) -> Self:
        if not self.parts:
            raise ValueError("names nothing; give position, body, support, person ...")
        return self

    @property
    def parts(self) -> dict[str, str]:
        """The parts that are given, by name ('pass', 'position', 'body' ...)."""
        return {
            name.rstrip("_"): value
            for name in type(self).model_fields
            if (value := getattr(self, name)) is not None
        }

    def __str__(self) -> str:
        return ", ".join(f"{name} {value}" for name, value in self.parts.items())


class Locks(Record):
    """What the user has fixed by hand."""

    keep: tuple[Pattern, ...] = ()
    """In each listed pass (or in some pass) there is a placement like this."""
    never: tuple[Pattern, ...] = ()
    """No placement is like this."""


class Shoot(Record):
    """One shoot file, checked for itself (cross-checks with the kit: `brief`)."""

    title: Name
    performance: Performance = "concert"
    kit: str | None = Field(default=None, max_length=1000)
    """Path of the kit, relative to this file."""
    time_zone: str = Field(default="UTC", max_length=60)
    mains_hz: Literal[50, 60]
    delivery: Delivery = Delivery()
    venue: Venue
    subjects: tuple[Subject, ...] = Field(min_length=1)
    light: tuple[Light, ...] = Field(min_length=1)
    songs: tuple[Song, ...] = Field(min_length=1)
    passes: tuple[Pass, ...] = Field(min_length=1, max_length=12)
    crew: tuple[Person, ...] = ()
    roles: tuple[Role, ...] = ()
    rules: Rules = Field(default_factory=default_rules)
    locks: Locks = Locks()
    breaks: tuple[Break, ...] = ()
    carrying: Carrying = Carrying()
    copying: Copying = Copying()
    sound: tuple[SoundSetup, ...] = ()
    vehicle: Vehicle = Vehicle()
    travel_days: Annotated[int, Field(ge=0, le=60)] = 0
    """Days before and after each pass on which its gear is on the road: a unit has to be free on
    them as well, and is booked for them."""
    past: Past = Past()
    """Kept by plans alone, never written by hand: what is over, and what was got."""
    no_goods: tuple[NoGood, ...] = ()
    """The same: what has turned out to be too much work between passes."""

    @cached_property
    def subjects_by_id(self) -> dict[str, Subject]:
        """Subjects by id."""
        return {subject.id: subject for subject in self.subjects}

    @cached_property
    def songs_by_id(self) -> dict[str, Song]:
        """Songs by id."""
        return {song.id: song for song in self.songs}

    @cached_property
    def passes_by_id(self) -> dict[str, Pass]:
        """Passes by id."""
        return {each.id: each for each in self.passes}

    @cached_property
    def crew_by_id(self) -> dict[str, Person]:
        """Crew by id."""
        return {person.id: person for person in self.crew}

    @cached_property
    def roles_by_id(self) -> dict[str, Role]:
        """Roles by id."""
        return {role.id: role for role in self.roles}

    @property
    def master(self) -> Pass:
        """The take that the edit follows: the pass so marked, else the last one."""
        return next((each for each in self.passes if each.is_master), self.passes[-1])

    def run_songs(self, each: Pass) -> tuple[Song, ...]:
        """The songs that a pass runs (complete, or stopped and restarted), in order."""
        return tuple(s for s in self.songs if each.songs.get(s.id, "complete") != "not-run")

    def length_min(self, each: Pass) -> float:
        """Minutes from the start of a pass to its end."""
        if each.end is not None:
            return (each.end - each.start).total_seconds() / 60
        songs = self.run_songs(each)
        return sum(s.length_s + s.gap_s for s in songs) / 60

    def end_of(self, each: Pass) -> datetime:
        """When a pass ends."""
        return each.end or each.start + timedelta(minutes=self.length_min(each))

    def gap_min(self, index: int) -> float:
        """Minutes that can be worked in between pass number `index` and the next one.

        With an audience coming in, work ends when the doors open.
        """
        this, following = self.passes[index], self.passes[index + 1]
        if this.gap_after_min is not None:
            return this.gap_after_min
        stop = following.doors or following.start
        return max(0.0, (stop - self.end_of(this)).total_seconds() / 60)
