"""Cut forecast: how long until the same angle comes round in the edit of each song.

For each song an actual cut is made from what is on offer there (`cutting` has its rules), at the
wanted average length of a shot. On offer are the counted viewpoints of passes that are live or
lock, and as inserts those of passes that give inserts only, each less where its operator performs;
and the safety shot of the live pass, counted or not. Each camera stands for its main shot alone: an
operator who holds further shots makes it better than this.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import inf
from statistics import median

from kitplan.plan.records import Placement, Plan
from kitplan.shoot.records import Shoot, Song
from kitplan.shoot.venue import Subject
from kitplan.stage.angles import Flags
from kitplan.whatif.cutting import Pace, Slot, Use, make_cut
from kitplan.whatif.figures import is_away, offers
from kitplan.whatif.pairs import Angle, angles, cuttable

LEAST_HOLD_S = 1.0
"""An insert that holds less than this is a flash, not a shot. Common practice, no source."""
SHOWS_PLAYING = ("person", "group")
_ORDER: tuple[Use, ...] = ("safety", "free", "speciality", "insert")


@dataclass(frozen=True)
class SongForecast:
    """How one song can be cut."""

    song: Song
    angles: int
    """Distinct viewpoints on offer, inserts not counted."""
    placements: tuple[Placement, ...]
    """What the cut is made from."""
    uses: tuple[Use, ...]
    """What each of them is used as."""
    shots_needed: int
    """Shots that the song needs at the wanted average length, inserts not counted."""
    slots: tuple[Slot, ...]
    """The cut; empty where nothing films the song."""

    @cached_property
    def returns_s(self) -> tuple[float, ...]:
        """Seconds from the start of each shot to the next of the same angle, the safety apart."""
        starts: dict[int, list[float]] = {}
        for slot in self.slots:
            if self.uses[slot.angle] != "safety":
                starts.setdefault(slot.angle, []).append(slot.start_s)
        return tuple(
            after - before for shown in starts.values() for before, after in pairwise(shown)
        )

    @property
    def soonest_s(self) -> float | None:
        """Least seconds until an angle is back; None where none has to come back."""
        return min(self.returns_s, default=None)

    @property
    def typical_s(self) -> float | None:
        """Median of the seconds until an angle is back; None where none has to come back."""
        return median(self.returns_s) if self.returns_s else None

    @property
    def inserts(self) -> int:
        """Angles that are good for inserts only."""
        return self.uses.count("insert")

    @property
    def has_safety(self) -> bool:
        """Whether a safety shot is live."""
        return "safety" in self.uses

    @property
    def jump_cuts(self) -> int:
        """Shots that nothing but a jump cut could fill."""
        return sum(slot.is_jump for slot in self.slots)

    @property
    def overused(self) -> int:
        """Shots that only an angle once too often could fill, without a jump."""
        return sum(slot.is_overuse and not slot.is_jump for slot in self.slots)

    @property
    def unplaced(self) -> int:
        """Shots that cannot be placed without breaking a rule; all where nothing films the song."""
        return self.jump_cuts + self.overused if self.slots else self.shots_needed

    @property
    def shots(self) -> int:
        """Shots of the cut; those it needs where nothing films the song."""
        return len(self.slots) or self.shots_needed

    @property
    def is_bare(self) -> bool:
        """Whether there is nothing to cut to but the safety shot, or not even that."""
        return all(use == "safety" for use in self.uses)


@dataclass(frozen=True)
class Forecast:
    """How the songs of a shoot can be cut, in running order."""

    songs: tuple[SongForecast, ...]

    @property
    def typical_s(self) -> float | None:
        """Median over the songs in which an angle has to come back; None where none has to."""
        return typical_s(self.songs)

    @property
    def thinnest(self) -> SongForecast | None:
        """The song in which the same angle comes round soonest; None where none has to."""
        known = [each for each in self.songs if each.typical_s is not None]
        return min(known, key=lambda each: each.typical_s or 0.0, default=None)

    @property
    def bare(self) -> tuple[SongForecast, ...]:
        """Songs with nothing to cut to."""
        return tuple(each for each in self.songs if each.is_bare)

    @property
    def shots(self) -> int:
        """Shots of all songs."""
        return sum(each.shots for each in self.songs)

    @property
    def unplaced(self) -> int:
        """Those that cannot be placed without breaking a rule."""
        return sum(each.unplaced for each in self.songs)


def typical_s(songs: Sequence[SongForecast]) -> float | None:
    """Return the median over songs of their typical return; None where nothing comes back."""
    known = [each.typical_s for each in songs if each.typical_s is not None]
    return median(known) if known else None


def forecast(plan: Plan, shoot_id: str) -> Forecast:
    """Return how each song of a shoot can be cut."""
    shoot = plan.shoots[shoot_id]
    found = angles(plan, shoot_id)
    may_follow = cuttable(shoot, found)
    offered = offers(plan, shoot_id)
    return Forecast(
        tuple(_song(plan, shoot, each, offered[each.id], found, may_follow) for each in shoot.songs)
    )


def insert_hold_s(shoot: Shoot, subject: Subject) -> float:
    """Return how long an insert holds before it is seen to be out of step, in seconds.

    Persons and groups show lips, bows, sticks or slides; objects, the whole stage and the audience
    hold three times as long.
    """
    rules = shoot.rules
    if rules.tempo_difference <= 0:
        return inf
    hold_s = rules.insert_frames / rules.tempo_difference / shoot.delivery.frame_rate_fps
    return hold_s * (rules.fine_insert_share if subject.kind in SHOWS_PLAYING else 1.0)


def _song(
    plan: Plan,
    shoot: Shoot,
    song: Song,
    offered: int,
    found: tuple[Angle, ...],
    may_follow: Flags,
) -> SongForecast:
    given = _uses(plan, shoot, song, found)
    numbers = sorted(given, key=lambda number: _ORDER.index(given[number]))
    uses = tuple(given[number] for number in numbers)
    holds_s = [
        insert_hold_s(shoot, found[number].view.subject) if given[number] == "insert" else inf
        for number in numbers
    ]
    rules = shoot.rules
    pace = Pace(
        song.length_s, rules.average_shot_s, rules.speciality_most, rules.safety_every_shots
    )
    return SongForecast(
        song=song,
        angles=offered,
        placements=tuple(found[number].placement for number in numbers),
        uses=uses,
        shots_needed=pace.shots,
        slots=make_cut(uses, holds_s, may_follow[numbers][:, numbers], pace),
    )


def _uses(plan: Plan, shoot: Shoot, song: Song, found: tuple[Angle, ...]) -> dict[int, Use]:
    """Return what each angle is good for in a song, by its number; others have no place in it."""
    uses: dict[int, Use] = {}
    for number, angle in enumerate(found):
        worth = plan.worth.get(angle.placement.pass_id, {}).get(song.id, "none")
        if is_away(shoot, angle.placement, song.id):
            continue
        if angle.is_safety and worth == "live" and "safety" not in uses.values():
            uses[number] = "safety"
        elif angle.placement.is_counted and worth in ("live", "locks"):
            uses[number] = "free" if angle.placement.manner == "operated" else "speciality"
        elif angle.placement.is_counted and worth == "inserts" and _holds(shoot, angle):
            uses[number] = "insert"
    return uses


def _holds(shoot: Shoot, angle: Angle) -> bool:
    return insert_hold_s(shoot, angle.view.subject) >= LEAST_HOLD_S
