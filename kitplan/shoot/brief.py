"""The brief: kit and shoot together, checked against each other. Code behind it trusts it.

Cross-checks live in `checks`; here are the questions that everything later asks.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from itertools import chain
from typing import Literal, NamedTuple

from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Body, RecordingMode
from kitplan.optics.flicker import ShutterChoice, choose_shutter
from kitplan.shoot.records import Pass, Person, Role, Shoot, Song
from kitplan.shoot.venue import Light, Subject
from kitplan.tables import table

Worth = Literal["live", "locks", "inserts", "none"]
"""What a pass is good for in the edit of one song."""
THIRDS: dict[Worth, int] = {"live": 3, "locks": 3, "inserts": 1, "none": 0}
RATE_TOLERANCE_FPS = 0.005
"""25 and 25.00 are one rate; 29.97 and 30 are two."""


class Bar(NamedTuple):
    """A unit that cannot be had on a day, and why, in words."""

    unit: Unit
    day: date
    words: str


@dataclass(frozen=True)
class Brief:
    """A shoot and the kit it is planned with."""

    shoot: Shoot
    kit: Kit

    # -- passes --------------------------------------------------------------------------------

    def day_of(self, each: Pass) -> date:
        """The calendar day on which a pass starts."""
        return each.start.date()

    def worth(self, each: Pass, song: Song) -> Worth:
        """What a pass gives the edit of one song.

        The master is live. Another pass locks to it where a click or track keeps the tempo and
        costume and light are as in the show; otherwise it gives inserts only.
        """
        run = each.songs.get(song.id, "complete")
        if run == "not-run" or self.shoot.past.lacks(each.id, song.id):
            return "none"
        if each.id == self.shoot.master.id:
            return "live"
        keeps_tempo = each.has_click or song.has_click
        as_in_show = each.is_in_costume and each.is_in_show_light
        return "locks" if keeps_tempo and as_in_show and run == "complete" else "inserts"

    def thirds(self, each: Pass, missed: Collection[str] = ()) -> int:
        """Worth of a pass over all songs but those that a camera missed, in thirds of a song."""
        songs = (song for song in self.shoot.songs if song.id not in missed)
        return sum(THIRDS[self.worth(each, song)] for song in songs)

    def brings(self, each: Pass, missed: Collection[str]) -> bool:
        """Whether a camera that missed some songs brings home what it was there for: at least half
        of the songs that the pass runs.
        """
        songs = self.shoot.run_songs(each)
        return 2 * sum(song.id not in missed for song in songs) >= len(songs)

    def on_offer(self, song: Song) -> tuple[Pass, ...]:
        """The passes whose shots can stand anywhere in the edit of a song."""
        return tuple(
            each for each in self.shoot.passes if self.worth(each, song) in ("live", "locks")
        )

    def roll_min(self, each: Pass) -> float:
        """Minutes that a camera out of reach must last in a pass."""
        rules = self.shoot.rules
        return self.shoot.length_min(each) * rules.roll_factor + rules.roll_extra_min

    # -- people --------------------------------------------------------------------------------

    def people(self, each: Pass) -> tuple[Person, ...]:
        """The crew on hand from doors (or start) to the end of a pass."""
        begin, end = each.doors or each.start, self.shoot.end_of(each)
        return tuple(
            person
            for person in self.shoot.crew
            if (each.people is None or person.id in each.people)
            and (person.since is None or person.since <= begin)
            and (person.until is None or person.until >= end)
        )

    def free_of_stage(self, each: Pass) -> tuple[Person, ...]:
        """The crew on hand who perform in no song of a pass: they can help and mind."""
        return tuple(p for p in self.people(each) if not self.sings_during(p, each))

    def sings_during(self, person: Person, each: Pass) -> tuple[Song, ...]:
        """The songs of a pass in which a person of the crew performs."""
        return tuple(s for s in self.shoot.run_songs(each) if s.id in person.performs_in)

    # -- roles ---------------------------------------------------------------------------------

    @cached_property
    def roles(self) -> tuple[Role, ...]:
        """The roles of the shoot; a safety shot is added where a pass needs one and none asks."""
        roles = self.shoot.roles
        wanted = [each.id for each in self.shoot.passes if each.needs_safety]
        stage = next((s for s in self.shoot.subjects if s.kind == "stage"), None)
        if not wanted or stage is None or any(role.is_safety for role in roles):
            return roles
        safety = Role(
            id="safety",
            subject=stage.id,
            sizes=("WS", "EWS"),
            priority="must",
            passes=tuple(wanted),
            in_passes="every",
            rolls_throughout=True,
            is_safety=True,
        )
        return (safety, *roles)

    def passes_of(self, role: Role) -> tuple[Pass, ...]:
        """The passes that a role is listed for (the safety shot: those that need one)."""
        return tuple(
            each
            for each in self.shoot.passes
            if (role.passes is None or each.id in role.passes)
            and (each.needs_safety or not role.is_safety)
        )

    # -- picture -------------------------------------------------------------------------------

    def light_on(self, subject: Subject, each: Pass) -> Light | None:
        """The first row of the light table that fits; None where there is none."""
        for row in self.shoot.light:
            fits_pass = row.passes is None or each.id in row.passes
            if fits_pass and (row.subjects is None or subject.id in row.subjects):
                return row
        return None

    def modes_of(self, body: Body) -> tuple[RecordingMode, ...]:
        """The modes of a body that record the delivery's rate in at least its frame size."""
        delivery = self.shoot.delivery
        return tuple(
            mode
            for mode in body.modes
            if abs(mode.frame_rate_fps - delivery.frame_rate_fps) <= RATE_TOLERANCE_FPS
            and mode.frame_width_px >= delivery.frame_width_px
            and mode.frame_height_px >= delivery.frame_height_px
        )

    def speeds_of(self, body: Body) -> tuple[float, ...]:
        """Denominators of the shutter speeds a body has."""
        return body.shutter_speeds_per_s or tuple(table("shutter_speeds")["speeds_per_s"])

    @cached_property
    def shutter(self) -> ShutterChoice:
        """The one shutter for every camera, from speeds that the owned bodies really have."""
        bodies = [b for b in self.kit.of_kind(Body) if b.id in self.kit.units_by_item]
        usual = table("shutter_speeds")["speeds_per_s"]
        speeds = sorted(set(chain.from_iterable(map(self.speeds_of, bodies))) or set(usual))
        shoot = self.shoot
        return choose_shutter(shoot.delivery.frame_rate_fps, shoot.mains_hz, speeds)

    # -- kit -----------------------------------------------------------------------------------

    def free_units(self, item_id: str, each: Pass) -> tuple[Unit, ...]:
        """Units of an item that can be used on the day of a pass."""
        day, travel_days = self.day_of(each), self.shoot.travel_days
        units = self.kit.free_units(item_id, day, travel_days)
        return tuple(unit for unit in units if not self.is_lost(unit, each))

    def bars(self, item_id: str) -> Iterator[Bar]:
        """Yield what keeps units of an item from the passes still to come, once a day."""
        coming = [p for p in self.shoot.passes if not self.shoot.past.is_over(p.id)]
        for unit in self.kit.units_by_item.get(item_id, ()):
            for day in sorted({self.day_of(each) for each in coming}):
                words = unit.bar_on(day, self.shoot.travel_days)
                if words is not None:
                    yield Bar(unit, day, words)

    def bars_in_words(self, item_id: str) -> tuple[str, ...]:
        """The same for people, once a unit and reason: 'zoom-1 is booked for Gala until 3 May'."""
        return tuple(dict.fromkeys(f"{bar.unit.id} is {bar.words}" for bar in self.bars(item_id)))

    def is_lost(self, unit: Unit, each: Pass) -> bool:
        """Whether a unit is not there any more for a pass that is still to come."""
        past = self.shoot.past
        return unit.id in past.lost_units and not past.is_over(each.id)

    def fresh_cards(self, item_id: str, day: date) -> tuple[Unit, ...]:
        """Units of a card that the passes still to come of a day can share: none that is lost, or
        full from a pass that is over.
        """
        shoot = self.shoot
        gone = set(shoot.past.lost_units)
        for stood in shoot.past.stood:
            each = shoot.passes_by_id.get(stood.in_pass)
            if each is not None and self.day_of(each) == day:
                gone.update(stood.cards)
        units = self.kit.shared_units(item_id, day, shoot.travel_days)
        return tuple(unit for unit in units if unit.id not in gone)

    def shared_units(self, item_id: str, each: Pass) -> tuple[Unit, ...]:
        """Units of an item that anybody can use on the day of a pass."""
        units = self.kit.shared_units(item_id, self.day_of(each), self.shoot.travel_days)
        return tuple(unit for unit in units if not self.is_lost(unit, each))

    def is_free(self, unit: Unit, each: Pass) -> bool:
        """Whether a unit can be had on the day of a pass, the days of travel included."""
        return unit.is_free_on(self.day_of(each), self.shoot.travel_days)

    def only_passes(self, pass_ids: tuple[str, ...]) -> Brief:
        """Return the same brief with some of its passes, as if the others did not happen."""
        shoot = self.shoot
        roles = tuple(
            role
            for role in shoot.roles
            if role.passes is None or any(p in pass_ids for p in role.passes)
        )
        locks = shoot.locks.model_copy(
            update={
                "keep": tuple(k for k in shoot.locks.keep if k.pass_ in (None, *pass_ids)),
                "never": tuple(n for n in shoot.locks.never if n.pass_ in (None, *pass_ids)),
            }
        )
        passes = tuple(each for each in shoot.passes if each.id in pass_ids)
        changed = {"passes": passes, "roles": roles, "locks": locks}
        # field by field: a record also carries the look-ups it has cached
        kept = {name: getattr(shoot, name) for name in Shoot.model_fields}
        return Brief(Shoot.model_validate({**kept, **changed}), self.kit)


def local(moment: datetime) -> str:
    """Return a time of day for people: '19:30'."""
    return f"{moment:%H:%M}"
