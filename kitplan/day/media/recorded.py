"""What is recorded on which card: minutes and gigabytes of each card in each pass.

From the clips of the roll plan where there is one; else each card in turn until it is full. GB are
10^9 bytes: Mb/s x seconds / 8000. A card is copied as a whole: a reel is what is on it between two
times that it is formatted.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kitplan.day.clock import minutes_on
from kitplan.day.sound import sound_card_minutes
from kitplan.gear.records import Body, Media, RecordingMode, Sound
from kitplan.options.endurance import cannot_be_reached, card_minutes
from kitplan.plan.day.media import CardUse
from kitplan.plan.day.rolls import Roll, RollPlan
from kitplan.plan.day.sound import SoundPlan, SoundRun
from kitplan.plan.records import Placement
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass


def gigabytes(bit_rate_mbps: float, minutes: float) -> float:
    """Return the gigabytes (10^9 bytes) that a recording takes."""
    return bit_rate_mbps * minutes * 60 / 8000


@dataclass(frozen=True)
class Reel:
    """What is on a card between two times that it is formatted."""

    card: str
    uses: tuple[CardUse, ...]
    first: int
    """Number of its first pass, from 0."""
    last: int

    @property
    def gb(self) -> float:
        """Gigabytes on it."""
        return sum(use.gb for use in self.uses)

    @property
    def letter(self) -> str:
        """Who records on it."""
        return self.uses[0].letter


def reels_of(brief: Brief, shoot_id: str, uses: Sequence[CardUse], setups: set[str]) -> list[Reel]:
    """Return the reels of a shoot in the order of passes; a sound setup goes on recording on its
    card through a day, everything else begins on a fresh one.
    """
    number = {f"{shoot_id}/{each.id}": n for n, each in enumerate(brief.shoot.passes)}
    days = [brief.day_of(each) for each in brief.shoot.passes]
    open_reel: dict[str, Reel] = {}
    found: list[Reel] = []
    for use in uses:
        index, before = number[use.pass_id], open_reel.get(use.card)
        goes_on = (
            before is not None
            and use.letter in setups
            and before.letter == use.letter
            and days[before.last] == days[index]
        )
        if before is not None and goes_on:
            reel = Reel(use.card, (*before.uses, use), before.first, index)
            found[found.index(before)] = reel
        else:
            reel = Reel(use.card, (use,), index, index)
            found.append(reel)
        open_reel[use.card] = reel
    return found


class Recorded:
    """Looks up what a card records."""

    def __init__(self, brief: Brief, shoot_id: str, rolls: RollPlan | None) -> None:
        self.brief, self.shoot_id = brief, shoot_id
        self.rolls: dict[tuple[str, str], Roll] = (
            {(roll.pass_id, roll.letter): roll for roll in rolls.rolls} if rolls else {}
        )
        self.items = {u.id: brief.kit.items_by_id[u.item] for u in brief.kit.units}
        self.positions = {p.id: p for p in brief.shoot.venue.positions}

    def uses(self, placements: Sequence[Placement], sound: SoundPlan | None) -> Iterator[CardUse]:
        """Yield the use of each card, pass by pass: cameras by letter, then sound."""
        on_card: dict[tuple[object, str, str], float] = {}
        for each in self.brief.shoot.passes:
            pass_id = f"{self.shoot_id}/{each.id}"
            here = [p for p in placements if p.pass_id == pass_id]
            for placement in sorted(here, key=lambda p: p.letter):
                yield from self._camera(each, placement)
            for run in sound.runs if sound else ():
                if run.pass_id == pass_id:
                    yield from self._sound(each, run, on_card)

    def _camera(self, each: Pass, placement: Placement) -> Iterator[CardUse]:
        mode = self._mode(placement)
        is_shut = cannot_be_reached(self.positions[placement.position], each)
        is_alone = is_shut and placement.operator is None
        roll_min = self.brief.roll_min(each) if is_alone else self.brief.shoot.length_min(each)
        room = {}
        for card in placement.cards:
            media, fill = self.items[card], self.brief.shoot.rules.card_fill
            assert isinstance(media, Media)  # the plan's records say so
            room[card] = card_minutes(media.capacity_gb, mode.bit_rate_mbps, fill)
        where = (placement.pass_id, placement.letter)
        yield from self._shared_out(where, room, roll_min, mode.bit_rate_mbps)

    def _mode(self, placement: Placement) -> RecordingMode:
        body = self.items[placement.rig.body]
        assert isinstance(body, Body)  # the plan's records say so
        return next(mode for mode in body.modes if mode.name == placement.rig.mode)

    def _sound(
        self, each: Pass, run: SoundRun, on_card: dict[tuple[object, str, str], float]
    ) -> Iterator[CardUse]:
        setup = next(s for s in self.brief.shoot.sound if s.id == run.setup)
        recorder, day = self.brief.kit.items_by_id[setup.recorder], self.brief.day_of(each)
        assert isinstance(recorder, Sound)  # the brief was checked
        room = {}
        for card in run.cards:
            media = self.items[card]
            assert isinstance(media, Media)
            taken = on_card.get((day, run.setup, card), 0.0)
            room[card] = max(0.0, sound_card_minutes(self.brief, recorder, media) - taken)
        rate = recorder.bit_rate_mbps or 0.0
        for use in self._shared_out((run.pass_id, run.setup), room, run.roll_min, rate):
            key = (day, run.setup, use.card)
            on_card[key] = on_card.get(key, 0.0) + use.minutes
            yield use

    def _shared_out(
        self, where: tuple[str, str], room: dict[str, float], roll_min: float, rate: float
    ) -> Iterator[CardUse]:
        """Yield the uses of the cards of one recorder in one pass."""
        minutes_by_card = minutes_on(self.rolls.get(where), "card", room, roll_min)
        for card, minutes in minutes_by_card.items():
            yield CardUse(
                pass_id=where[0],
                letter=where[1],
                card=card,
                minutes=minutes,
                room_min=min(room[card], 1e6),
                gb=gigabytes(rate, minutes),
            )
