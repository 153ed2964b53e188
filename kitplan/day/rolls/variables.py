"""Decisions of the roll plan of a pass: which touches are made, when, with what, by whose hand.

A touch lies in the gap after a song, or inside a song (own operator only) from where a slice
begins; inside a song no more often than its length holds the recorder's shortest life, at least
once.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import chain, pairwise, product
from typing import Any

from ortools.sat.python.cp_model import CpModel, Domain, IntervalVar, IntVar

from kitplan.day.rolls.hands import Hand
from kitplan.day.rolls.recorders import PassDay, Recorder, Supply
from kitplan.day.rolls.timeline import work_s
from kitplan.plan.day.rolls import Work


@dataclass(frozen=True)
class Window:
    """Where a touch may lie: in the gap after a song, or inside it."""

    song: int
    is_inside: bool
    start_s: int
    end_s: int

    @property
    def idle_s(self) -> int:
        """When a touch that is not made stands in the model: inside a song after all others."""
        return self.end_s if self.is_inside else self.start_s


@dataclass(frozen=True)
class Stop:
    """A touch that may be made."""

    window: Window
    is_made: IntVar
    start: IntVar
    length: IntVar
    end: IntVar
    works: dict[tuple[Work, ...], IntVar]
    hands: dict[Hand, IntVar]
    batteries: tuple[IntVar, ...]
    """Which battery goes in; empty where there is no choice."""
    cards: tuple[IntVar, ...]
    interval: IntervalVar

    def does(self, work: Work) -> Any:
        """Whether something is done in it, as an expression."""
        return sum(var for works, var in self.works.items() if work in works)


class RecorderVariables:
    """The decisions of one recorder."""

    def __init__(self, model: CpModel, day: PassDay, recorder: Recorder, in_songs: bool) -> None:
        self.model, self.day, self.recorder = model, day, recorder
        self.first_battery = self._first(recorder.batteries)
        self.first_card = self._first(recorder.cards)
        self.stops = [s for w in self._windows(in_songs) if (s := self._stop(w)) is not None]
        self._order_inside()
        for supplies, first, kind in (
            (recorder.batteries, self.first_battery, "batteries"),
            (recorder.cards, self.first_card, "cards"),
        ):
            for n in range(len(supplies) if first else 0):
                model.add_at_most_one([first[n], *(getattr(s, kind)[n] for s in self.stops)])

    def _order_inside(self) -> None:
        """Touches inside the same song follow one another."""
        for one, other in pairwise(self.stops):
            if one.window.is_inside and one.window == other.window:
                self.model.add_implication(other.is_made, one.is_made)
                self.model.add(other.start >= one.end).only_enforce_if(other.is_made)

    def _first(self, supplies: tuple[Supply, ...]) -> tuple[IntVar, ...]:
        if len(supplies) < 2:
            return ()
        found = tuple(self.model.new_bool_var("") for _ in supplies)
        self.model.add_exactly_one(found)
        return found

    def _windows(self, in_songs: bool) -> list[Window]:
        found = []
        for index, song in enumerate(self.day.songs):
            if in_songs and self.recorder.own is not None and any(self.recorder.weights[index]):
                number = most_inside(self.recorder, song.end_s - song.start_s)
                found += [Window(index, True, song.start_s, song.end_s)] * number
            if index + 1 < len(self.day.songs):
                found.append(Window(index, False, song.end_s, song.end_s + song.gap_s))
        return found

    @cached_property
    def _works(self) -> tuple[tuple[Work, ...], ...]:
        """Sets of things that may be done in one touch."""
        r = self.recorder
        choices: list[tuple[tuple[Work, ...], ...]] = [
            ((), ("battery",)) if len(r.batteries) > 1 else ((),),
            ((), ("card",)) if len(r.cards) > 1 else ((),),
            ((), ("cool",)) if r.heat_s is not None else ((),),
        ]
        sets = (tuple(chain.from_iterable(parts)) for parts in product(*choices))
        return tuple(does or ("restart",) for does in sets if does or r.clip_s is not None)

    def _hands(self, window: Window) -> tuple[Hand, ...]:
        songs, rules = self.day.songs, self.day.brief.shoot.rules
        if window.is_inside:
            own = self.recorder.own
            return () if own is None else (own,)
        before, after = songs[window.song], songs[window.song + 1]
        return tuple(
            hand for hand in self.recorder.hands if hand.can_work(before, after, rules.off_stage_s)
        )

    def _start(self, window: Window) -> IntVar:
        if not window.is_inside:
            return self.model.new_int_var(window.start_s, window.end_s, "")
        starts = [each.start_s for each in self.day.songs[window.song].slices] + [window.idle_s]
        return self.model.new_int_var_from_domain(Domain.from_values(starts), "")

    def _stop(self, window: Window) -> Stop | None:
        model, rules = self.model, self.day.brief.shoot.rules
        room = window.end_s - window.start_s
        seconds = {d: work_s(rules, self.recorder.body, d) for d in self._works}
        fits = {does: length for does, length in seconds.items() if length <= room}
        hands = [h for h in self._hands(window) if not h.is_back or 2 * h.walk_s <= room]
        if not fits or not hands:
            return None
        made = model.new_bool_var("")
        start = self._start(window)
        works = {does: model.new_bool_var("") for does in fits}
        by = {hand: model.new_bool_var("") for hand in hands}
        model.add(sum(works.values()) == made)
        model.add(sum(by.values()) == made)
        length = model.new_int_var(0, max(fits.values()), "")
        end = model.new_int_var(window.start_s, window.end_s, "")
        model.add(length == sum(fits[does] * var for does, var in works.items()))
        model.add(end == start + length)
        model.add(start == window.idle_s).only_enforce_if(made.negated())
        for hand, var in by.items():
            if hand.is_back:
                model.add(start >= window.start_s + hand.walk_s).only_enforce_if(var)
                model.add(end + hand.walk_s <= window.end_s).only_enforce_if(var)
        stop = Stop(
            window, made, start, length, end, works, by,
            tuple(model.new_bool_var("") for _ in self.first_battery),
            tuple(model.new_bool_var("") for _ in self.first_card),
            model.new_optional_interval_var(start, length, end, made, ""),
        )  # fmt: skip
        if stop.batteries:
            model.add(sum(stop.batteries) == stop.does("battery"))
        if stop.cards:
            model.add(sum(stop.cards) == stop.does("card"))
        return stop


def most_inside(recorder: Recorder, song_s: int) -> int:
    """Return how often a recorder may be touched inside a song of some length."""
    lives = [recorder.clip_s, recorder.heat_s]
    lives += [supply.life_s for supply in (*recorder.batteries, *recorder.cards)]
    shortest = min((max(1, life) for life in lives if life is not None), default=song_s)
    return max(1, -(-song_s // max(1, shortest)))
