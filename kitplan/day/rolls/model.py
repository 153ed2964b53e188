"""The CP-SAT model of a pass: how long everything lasts, who is where, and what stands still.

An expiry is the second at which a limit stops the recorder: the end of the touch that renewed it
plus its life. A recorder rolls through a slice of a song if no touch lies in it and every expiry is
at or after its end.
"""

from __future__ import annotations

from collections import defaultdict
from typing import Any, Literal

from ortools.sat.python.cp_model import CpModel, IntVar

from kitplan.day.rolls.recorders import PassDay, Recorder, Supply
from kitplan.day.rolls.variables import RecorderVariables, Stop

FOR_EVER_S = 10_000_000
Grain = Literal["whole", "songs", "slices"]


class Chain:
    """A limit of a recorder and when it stops it, after each possible touch."""

    def __init__(self, model: CpModel, first: Any) -> None:
        self.model = model
        self.after: list[Any] = [first]

    def renew(self, is_renewed: IntVar | Any, until: Any) -> None:
        """Add a touch that renews the limit or leaves it as it is."""
        if isinstance(is_renewed, int):
            assert not is_renewed
            self.after.append(self.after[-1])
            return
        var = self.model.new_int_var(-FOR_EVER_S, FOR_EVER_S, "")
        flag = self.model.new_bool_var("")
        self.model.add(flag == is_renewed)
        self.model.add(var == until).only_enforce_if(flag)
        self.model.add(var == self.after[-1]).only_enforce_if(flag.negated())
        self.after.append(var)


class RollModel:
    """Decisions, rules and what the goals count, for one pass.

    Args:
        grain: `whole`: everything that counts rolls throughout every song, touches lie in gaps.
            `slices`: operators may stop inside songs, recorders may stand still in any slice.
            `songs`: between the two: a recorder is lost for a whole song, or stands still in it
            only while it is touched.
    """

    def __init__(self, day: PassDay, grain: Grain) -> None:
        self.day, self.grain, self.model = day, grain, CpModel()
        in_songs = grain != "whole"
        self.recorders = [
            RecorderVariables(self.model, day, r, in_songs)
            for r in day.recorders
            if day.needs_touch(r)
        ]
        self._add_one_at_a_time()
        self._add_people_are_in_one_place()
        self.stands: dict[tuple[str, int, int], Any] = {}
        """By letter, song and slice: whether the recorder stands still in it."""
        self.lost: dict[tuple[str, int], IntVar] = {}
        """By letter and song: whether a recorder is lost for all of it; only in the rough grain."""
        self.reserves: list[IntVar] = []
        for each in self.recorders:
            self._add_limits(each)
            if not in_songs:
                self._add_touches_that_must_be(each)
        for fixed in day.recorders:
            if not day.needs_touch(fixed):
                self._add_fixed(fixed)

    @property
    def stops(self) -> list[Stop]:
        """All touches that may be made."""
        return [stop for each in self.recorders for stop in each.stops]

    # -- rules ---------------------------------------------------------------------------------

    def _add_one_at_a_time(self) -> None:
        """Never more recorders stopped by hand at once than `stopped_at_once`."""
        most = self.day.brief.shoot.rules.stopped_at_once
        intervals = [stop.interval for stop in self.stops]
        if most == 1:
            self.model.add_no_overlap(intervals)
        else:
            self.model.add_cumulative(intervals, [1] * len(intervals), most)

    def _add_people_are_in_one_place(self) -> None:
        """The stretches from leaving to being back never overlap for one person."""
        by_person = defaultdict(list)
        for stop in self.stops:
            for hand, var in stop.hands.items():
                size = stop.length + 2 * hand.walk_s
                leaves, back = stop.start - hand.walk_s, stop.end + hand.walk_s
                by_person[hand.person].append(
                    self.model.new_optional_interval_var(leaves, size, back, var, "")
                )
        for intervals in by_person.values():
            self.model.add_no_overlap(intervals)

    # -- limits --------------------------------------------------------------------------------

    def _add_limits(self, each: RecorderVariables) -> None:
        exact = self._chains(each, is_exact=True)
        planned = self._chains(each, is_exact=False)
        after = 0
        r = each.recorder
        lives = [r.clip_s, r.heat_s, r.batteries[0].life_s, r.cards[0].life_s]
        shortest = min((life for life in lives if life is not None), default=0)
        reserve = self.model.new_int_var(-FOR_EVER_S, shortest, "")
        self.reserves.append(reserve)
        for index, song in enumerate(self.day.songs):
            inside = [s for s in each.stops if s.window.song == index and s.window.is_inside]
            if each.recorder.is_wanted(index):
                self._add_song(each, index, [chain.after[after:] for chain in exact], inside)
            after += len(inside)
            if each.recorder.is_wanted(index):
                for chain in planned:
                    self.model.add(reserve <= chain.after[after] - song.end_s)
            after += sum(s.window.song == index and not s.window.is_inside for s in each.stops)

    def _add_touches_that_must_be(self, each: RecorderVariables) -> None:
        """Help the bound: what was renewed at the end of a gap at the latest, and does not last
        through a song, is renewed in a gap between.
        """
        r, songs = each.recorder, self.day.songs
        limits: list[tuple[int | None, Any]] = [
            (r.clip_s, lambda stop: stop.is_made),
            (r.heat_s, lambda stop: stop.does("cool")),
            (max(s.life_s or 0 for s in r.batteries) or None, lambda stop: stop.does("battery")),
            (max(s.life_s or 0 for s in r.cards) or None, lambda stop: stop.does("card")),
        ]
        for life, renews in limits:
            for first in range(-1, len(songs) - 1 if life else -1):
                renewed_s = r.start.roll_s if first < 0 else songs[first].gap_end_s
                over = (
                    n
                    for n in range(first + 1, len(songs))
                    if r.is_wanted(n) and renewed_s + (life or 0) < songs[n].end_s
                )
                last = next(over, None)
                if last is not None:
                    between = [s for s in each.stops if first < s.window.song < last]
                    self.model.add(sum(map(renews, between)) >= 1)

    def _chains(self, each: RecorderVariables, *, is_exact: bool) -> list[Chain]:
        """Return the limits of a recorder after each possible touch.

        Exact ones count from the end of the touch, planned ones (for reserves) from the beginning
        of the gap, so that nobody waits in a gap for the sake of reserve.
        """
        model, r = self.model, each.recorder
        roll_s = r.start.roll_s
        found: list[Chain] = []

        def add(first: Any, renewals: list[tuple[Any, Any]]) -> None:
            chain = Chain(model, roll_s + first)
            for is_renewed, life in renewals:
                stop = each.stops[len(chain.after) - 1]
                begin = stop.end if is_exact else stop.window.start_s
                chain.renew(is_renewed, begin + life)
            found.append(chain)

        if r.clip_s is not None:
            add(r.clip_s, [(stop.is_made, r.clip_s) for stop in each.stops])
        if r.heat_s is not None:
            add(r.heat_s, [(stop.does("cool"), r.heat_s) for stop in each.stops])
        for supplies, first, kind in (
            (r.batteries, each.first_battery, "batteries"),
            (r.cards, each.first_card, "cards"),
        ):
            if supplies[0].life_s is None:
                continue
            vars_of = [getattr(stop, kind) for stop in each.stops]
            start = _life(supplies, first) if first else supplies[0].life_s
            add(start, [(sum(of) if of else 0, _life(supplies, of)) for of in vars_of])
        return found

    def _add_song(
        self, each: RecorderVariables, index: int, chains: list[list[Any]], inside: list[Stop]
    ) -> None:
        """Link standing still in a song to touches and expiries."""
        song = self.day.songs[index]
        if self.grain == "whole":
            for expiries in chains:
                self.model.add(expiries[0] >= song.end_s)
            return
        if self.grain == "songs":
            lost = self.model.new_bool_var("")
            self.lost[each.recorder.letter, index] = lost
            until = [*(stop.start for stop in inside), song.end_s]  # one not made stands at the end
            for expiries in chains:
                for expiry, at in zip(expiries, until, strict=False):
                    self.model.add(expiry >= at).only_enforce_if(lost.negated())
            return
        for number, part in enumerate(song.slices):
            stands = self.model.new_bool_var("")
            self.stands[each.recorder.letter, index, number] = stands
            # by how many of the touches that may lie inside the song come before this slice
            rolls = [self.model.new_bool_var("") for _ in range(len(inside) + 1)]
            self.model.add_exactly_one(stands, *rolls)
            for before, var in enumerate(rolls):
                for expiries in chains:
                    self.model.add(expiries[before] >= part.end_s).only_enforce_if(var)
                if before:
                    self.model.add(inside[before - 1].end <= part.start_s).only_enforce_if(var)
                if before < len(inside):
                    self.model.add(inside[before].start >= part.end_s).only_enforce_if(var)

    def _add_fixed(self, recorder: Recorder) -> None:
        """A recorder that nobody touches rolls until it stops by itself."""
        lasts_s = recorder.lasts_s()
        until = FOR_EVER_S if lasts_s is None else recorder.start.roll_s + lasts_s
        for index, song in enumerate(self.day.songs):
            for number, part in enumerate(song.slices):
                self.stands[recorder.letter, index, number] = int(until < part.end_s)


def _life(supplies: tuple[Supply, ...], chosen: tuple[IntVar, ...]) -> Any:
    return sum((s.life_s or 0) * var for s, var in zip(supplies, chosen, strict=False))
