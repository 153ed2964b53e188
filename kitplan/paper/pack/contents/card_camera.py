"""One camera of one pass, with all that stands on its card, and its shots by name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from kitplan.paper.minding import minders, touches_of
from kitplan.paper.names import Names
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.paper.timed import clocks
from kitplan.plan.day.rolls import Blind, Touch
from kitplan.plan.day.shots import HeldShot, SheetKind, ShotSheet, SongShot
from kitplan.plan.records import Placement
from kitplan.plan.verify.day.clocked import PassClock
from kitplan.shoot.records import Person, Shoot
from kitplan.shoot.venue import Position
from kitplan.whatif.line_up import CameraLine, PassLineUp, line_ups

HOME = "HOME"


@dataclass(frozen=True)
class CardPass:
    """A pass as its cards need it."""

    source: Source
    clock: PassClock
    line_up: PassLineUp

    @property
    def names(self) -> Names:
        """Names for people."""
        return self.source.names

    @property
    def setting(self) -> Setting:
        """How it is printed."""
        return self.source.setting

    @property
    def shoot(self) -> Shoot:
        """The shoot."""
        return self.clock.scene.shoot

    @cached_property
    def numbers(self) -> dict[str, int]:
        """The number of each song, the same in every pass."""
        return {song.id: number for number, song in enumerate(self.shoot.songs, start=1)}

    def song(self, song_id: str) -> str:
        """Return a song with its number: '4 Points and Crossings'."""
        return f"{self.numbers[song_id]} {self.shoot.songs_by_id[song_id].label}"

    @cached_property
    def minders(self) -> dict[str, str | None]:
        """Who looks at each locked-off camera."""
        return minders(self.clock, self.source.day.rolls)

    @cached_property
    def floaters(self) -> tuple[str, ...]:
        """The names of those who are free to help."""
        return tuple(person.label for person in self.clock.floaters)

    def camera(self, letter: str) -> Camera:
        """Return one of its cameras."""
        return Camera(self, self.clock.placements[letter])


@dataclass(frozen=True)
class Camera:
    """A placement with its shot sheet and its touches."""

    of: CardPass
    placement: Placement

    @property
    def letter(self) -> str:
        """Its letter."""
        return self.placement.letter

    @cached_property
    def position(self) -> Position:
        """Where it stands."""
        return self.of.names.position(self.placement)

    @cached_property
    def line(self) -> CameraLine:
        """What it is set to."""
        return next(each for each in self.of.line_up.cameras if each.placement is self.placement)

    @cached_property
    def operator(self) -> Person | None:
        """Who operates it; None where it is locked off."""
        return self.of.shoot.crew_by_id.get(self.placement.operator or "")

    @cached_property
    def touches(self) -> tuple[Touch, ...]:
        """Its touches, in order."""
        return touches_of(self.of.clock, self.of.source.day.rolls, self.letter)

    @cached_property
    def blind(self) -> tuple[Blind, ...]:
        """Stretches of songs in which it stands still."""
        rolls = self.of.source.day.rolls
        found = rolls.blind if rolls else ()
        return tuple(
            each
            for each in found
            if (each.pass_id, each.letter) == (self.of.clock.pass_id, self.letter)
        )

    @cached_property
    def sheet(self) -> ShotSheet:
        """Its shot sheet; without one, its main shot in every song that its operator is free in."""
        shots = self.of.source.day.shots
        for sheet in shots.sheets if shots else ():
            if (sheet.pass_id, sheet.letter) == (self.of.clock.pass_id, self.letter):
                return sheet
        shot = self.placement.shot
        home = HeldShot(subject=shot.subject, size=shot.size, focal_mm=shot.focal_mm)
        performs = self.operator.performs_in if self.operator else ()
        return ShotSheet(
            pass_id=self.of.clock.pass_id,
            letter=self.letter,
            kind=self._kind,
            home=home,
            songs=tuple(
                SongShot(song=row.song.id, shot=home, fallback=None)
                for row in self.of.clock.songs
                if row.song.id not in performs
            ),
        )

    @property
    def _kind(self) -> SheetKind:
        if self.placement.operator is None:
            return "locked-off"
        return "safety" if self.of.clock.is_safety(self.placement) else "by-song"

    # -- shots ---------------------------------------------------------------------------------

    @cached_property
    def shots(self) -> dict[tuple[str, str], HeldShot]:
        """Its different shots: the home shot, those it holds in order, the rest of its zone."""
        found: dict[tuple[str, str], HeldShot] = {}
        for shot in self._all_shots():
            found.setdefault((shot.subject, shot.size), shot)
        return found

    def _all_shots(self) -> Iterator[HeldShot]:
        yield self.sheet.home
        for row in self.sheet.songs:
            yield row.shot
            yield from (cue.shot for cue in row.cues)
        yield from (row.fallback for row in self.sheet.songs if row.fallback is not None)
        yield from self.sheet.zone

    def called(self, shot: HeldShot) -> str:
        """Return what a shot is called on the card: 'HOME', 'SHOT 2'."""
        at = list(self.shots).index((shot.subject, shot.size))
        return f"SHOT {at + 1}" if at else HOME

    def framing(self, shot: HeldShot) -> str:
        """Return subject and size of a shot."""
        return self.of.names.framing(self.of.clock.pass_id, shot)

    @property
    def looked_after(self) -> tuple[str, ...]:
        """Letters of the locked-off cameras that its operator looks at."""
        operator = self.placement.operator
        if operator is None:
            return ()
        return tuple(letter for letter, who in self.of.minders.items() if who == operator)


def card_passes(source: Source) -> Iterator[CardPass]:
    """Yield the passes of a plan in which cameras stand."""
    plan = source.plan
    found = zip(clocks(plan, plan.pass_ids()), line_ups(plan), strict=True)
    for clock, line_up in found:
        if clock.placements:
            yield CardPass(source, clock, line_up)
