"""The scene: a shoot and the kit it is filmed with, and what follows from the two alone.

Everything here is derived from the input, nothing from a plan. Answers that are asked for again
and again (a view, the picture of a camera) are kept by the ids they depend on; see `Scene.once`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import TypeVar, cast

from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Body, RecordingMode
from kitplan.optics.flicker import choose_shutter
from kitplan.optics.lens import OpticsError
from kitplan.plan.records import Worth
from kitplan.plan.verify.hours import is_by, minutes_between
from kitplan.shoot.records import Pass, Person, Role, Shoot, Song
from kitplan.shoot.venue import Light, Position, Subject
from kitplan.tables import table

T = TypeVar("T")
RATE_TOLERANCE_FPS = 0.005
LEAST_RATE_FPS = 0.001
"""Slower than a frame in a quarter of an hour no pulse of a lamp is counted."""
NOTHING: frozenset[str] = frozenset()
THIRDS: dict[Worth, int] = {"live": 3, "locks": 3, "inserts": 1, "none": 0}
"""Worth of a pass for one song, in thirds of a song."""


@dataclass(frozen=True)
class Scene:
    """A shoot and its kit."""

    shoot: Shoot
    kit: Kit
    _known: dict[tuple[object, ...], object] = field(
        default_factory=dict, repr=False, compare=False
    )

    def once(self, key: tuple[object, ...], make: Callable[[], T]) -> T:
        """Return what `make` returns, computed the first time that the key is asked for."""
        if key not in self._known:
            self._known[key] = make()
        return cast(T, self._known[key])

    @cached_property
    def positions_by_id(self) -> dict[str, Position]:
        """Positions by id."""
        return {position.id: position for position in self.shoot.venue.positions}

    @cached_property
    def units_by_id(self) -> dict[str, Unit]:
        """Units by id."""
        return {unit.id: unit for unit in self.kit.units}

    # -- time ----------------------------------------------------------------------------------

    def run_songs(self, each: Pass) -> tuple[Song, ...]:
        """Return the songs that a pass runs, in order."""
        return tuple(s for s in self.shoot.songs if each.songs.get(s.id) != "not-run")

    def length_min(self, each: Pass) -> float:
        """Return the minutes from start to end; without an end, songs and the gaps after them."""
        if each.end is not None:
            return minutes_between(each.start, each.end)
        return sum(song.length_s + song.gap_s for song in self.run_songs(each)) / 60

    def end_of(self, each: Pass) -> datetime:
        """Return when a pass ends."""
        return each.end or each.start + timedelta(minutes=self.length_min(each))

    def work_until(self, each: Pass) -> datetime:
        """Return when a pass must be ready: when the doors open, or else when it starts."""
        return each.doors or each.start

    def gap_min(self, index: int) -> float:
        """Return the minutes that can be worked in after pass number `index`."""
        this, following = self.shoot.passes[index], self.shoot.passes[index + 1]
        if this.gap_after_min is not None:
            return this.gap_after_min
        return max(0.0, minutes_between(self.end_of(this), self.work_until(following)))

    def roll_min(self, each: Pass) -> float:
        """Return the minutes that a camera which nobody can reach must hold out."""
        rules = self.shoot.rules
        return self.length_min(each) * rules.roll_factor + rules.roll_extra_min

    def day_of(self, each: Pass) -> date:
        """Return the day on which a pass starts."""
        return each.start.date()

    # -- people --------------------------------------------------------------------------------

    def people(self, each: Pass) -> tuple[Person, ...]:
        """Return the crew on hand from doors (or start) to the end of a pass."""
        return self.once(("people", each.id), lambda: self._on_hand(each))

    def _on_hand(self, each: Pass) -> tuple[Person, ...]:
        begin, end = self.work_until(each), self.end_of(each)
        return tuple(
            person
            for person in self.shoot.crew
            if _covers(person, begin, end) and (each.people is None or person.id in each.people)
        )

    def reset_people(self, index: int) -> int:
        """Return how many people can work through the gap after pass number `index`."""
        this, following = self.shoot.passes[index], self.shoot.passes[index + 1]
        begin, end = self.end_of(this), self.work_until(following)
        return sum(
            _covers(person, begin, end)
            and all(p.people is None or person.id in p.people for p in (this, following))
            for person in self.shoot.crew
        )

    def performs(self, person: Person, each: Pass) -> bool:
        """Return whether a person of the crew is on stage in some song that a pass runs."""
        return any(song.id in person.performs_in for song in self.run_songs(each))

    # -- what is asked for ---------------------------------------------------------------------

    @cached_property
    def roles(self) -> tuple[Role, ...]:
        """Roles of the shoot, with the safety shot that is implied where none is asked for."""
        wanted = tuple(each.id for each in self.shoot.passes if each.needs_safety)
        stage = next((s.id for s in self.shoot.subjects if s.kind == "stage"), None)
        if not wanted or stage is None or any(role.is_safety for role in self.shoot.roles):
            return self.shoot.roles
        implied = Role(
            id="safety",
            subject=stage,
            sizes=("WS", "EWS"),
            priority="must",
            passes=wanted,
            in_passes="every",
            rolls_throughout=True,
            is_safety=True,
        )
        return (implied, *self.shoot.roles)

    @cached_property
    def roles_by_id(self) -> dict[str, Role]:
        """Roles by id, the implied one included."""
        return {role.id: role for role in self.roles}

    def passes_of(self, role: Role) -> tuple[Pass, ...]:
        """Return the passes for which a role is listed; a safety shot only where one is needed."""
        return tuple(
            each
            for each in self.shoot.passes
            if (each.needs_safety or not role.is_safety)
            and (role.passes is None or each.id in role.passes)
        )

    def worth(self, each: Pass, song: Song) -> Worth:
        """Return what a pass gives the edit of a song: live, locks, inserts, none."""
        run = each.songs.get(song.id, "complete")
        if run == "not-run" or self.is_lost_song(each, song):
            return "none"
        if each.id == self.shoot.master.id:
            return "live"
        is_in_step = run == "complete" and (each.has_click or song.has_click)
        looks_alike = each.is_in_costume and each.is_in_show_light
        return "locks" if is_in_step and looks_alike else "inserts"

    def is_lost_song(self, each: Pass, song: Song) -> bool:
        """Return whether a pass is over and no camera of it has got a song."""
        past = self.shoot.past
        here = [stood for stood in past.stood if stood.in_pass == each.id]
        return each.id in past.passes and all(song.id in stood.missed for stood in here)

    def is_on_offer(self, each: Pass, song: Song) -> bool:
        """Return whether shots of a pass can stand anywhere in the edit of a song."""
        return self.worth(each, song) in ("live", "locks")

    def thirds(self, each: Pass, missed: frozenset[str] = NOTHING) -> int:
        """Return the worth of a pass in thirds of a song, over all songs but those missed."""
        songs = [song for song in self.shoot.songs if song.id not in missed]
        key = ("thirds", each.id, missed)
        return self.once(key, lambda: sum(THIRDS[self.worth(each, song)] for song in songs))

    def brings(self, each: Pass, missed: frozenset[str]) -> bool:
        """Return whether at least half of the songs that a pass runs are not missed."""
        songs = self.run_songs(each)
        return sum(song.id in missed for song in songs) <= len(songs) / 2

    # -- picture -------------------------------------------------------------------------------

    def light_on(self, subject: Subject, each: Pass) -> Light | None:
        """Return the first row of light that fits, None where there is none."""
        for row in self.shoot.light:
            if (row.passes is None or each.id in row.passes) and (
                row.subjects is None or subject.id in row.subjects
            ):
                return row
        return None

    def occupied(self, each: Pass) -> tuple[str, ...]:
        """Return the ids of the audience areas that have people in them in a pass."""
        return self.once(("occupied", each.id), lambda: self._occupied(each))

    def _occupied(self, each: Pass) -> tuple[str, ...]:
        areas = self.shoot.venue.audience if each.has_audience else ()
        return tuple(area.id for area in areas if each.id not in area.empty_in)

    def records_delivery(self, mode: RecordingMode) -> bool:
        """Return whether a mode records the delivery's rate in at least its frame size."""
        wanted = self.shoot.delivery
        return (
            abs(mode.frame_rate_fps - wanted.frame_rate_fps) <= RATE_TOLERANCE_FPS
            and mode.frame_width_px >= wanted.frame_width_px
            and mode.frame_height_px >= wanted.frame_height_px
        )

    @cached_property
    def shutter_s(self) -> float | None:
        """The shutter time in s that all cameras share; None where no body has a usable one."""
        if self.shoot.delivery.frame_rate_fps < LEAST_RATE_FPS:
            return None
        bodies = [b for b in self.kit.of_kind(Body) if b.id in self.kit.units_by_item]
        speeds = {speed for body in bodies for speed in speeds_of(body)}
        speeds = speeds or set(table("shutter_speeds")["speeds_per_s"])
        try:
            rate, mains = self.shoot.delivery.frame_rate_fps, self.shoot.mains_hz
            return choose_shutter(rate, mains, sorted(speeds)).shutter_s
        except OpticsError:
            return None

    # -- kit and place -------------------------------------------------------------------------

    def shared_units(self, item_id: str, each: Pass) -> tuple[Unit, ...]:
        """Return the units of an item that anybody can use on the day of a pass."""
        return tuple(unit for unit in self.free_units(item_id, each) if not unit.owner_only)

    def free_units(self, item_id: str, each: Pass) -> tuple[Unit, ...]:
        """Return the units of an item that can be used on the day of a pass, none that is lost."""
        units = self.kit.units_by_item.get(item_id, ())
        return self.once(
            ("free", item_id, each.id),
            lambda: self._there(each, tuple(unit for unit in units if self.is_free(unit, each))),
        )

    def is_free(self, unit: Unit, each: Pass) -> bool:
        """Return whether a unit can be had on the day of a pass and on the days of travel."""
        return unit.is_free_on(self.day_of(each), self.shoot.travel_days)

    def _there(self, each: Pass, units: tuple[Unit, ...]) -> tuple[Unit, ...]:
        return tuple(unit for unit in units if not self.is_lost_unit(unit.id, each))

    def is_lost_unit(self, unit_id: str, each: Pass) -> bool:
        """Return whether a unit has been lost before a pass that is still to come."""
        past = self.shoot.past
        return each.id not in past.passes and unit_id in past.lost_units


def speeds_of(body: Body) -> tuple[float, ...]:
    """Return the denominators of a body's shutter speeds; the shared series where it has none."""
    return body.shutter_speeds_per_s or tuple(table("shutter_speeds")["speeds_per_s"])


def is_unreachable(position: Position, each: Pass) -> bool:
    """Return whether nobody can get to a camera at a position while a pass runs."""
    return position.is_out_of_reach or (position.is_shut_in_by_audience and each.has_audience)


def _covers(person: Person, begin: datetime, end: datetime) -> bool:
    return (person.since is None or is_by(person.since, begin)) and (
        person.until is None or is_by(end, person.until)
    )
