"""What a roll plan comes to, from its clips and touches and the input alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from math import inf

from kitplan.plan.day.rolls import Clip, Ending, Touch
from kitplan.plan.records import Placement
from kitplan.plan.verify.day.clocked import PassClock, up
from kitplan.plan.verify.scene import THIRDS


def holes(clips: Sequence[Clip], begin_s: int, end_s: int) -> Iterator[tuple[int, int, Ending]]:
    """Yield the parts of a song in which nothing is recorded, and what ended the clip before."""
    marks = sorted({begin_s, end_s, *(int(t) for c in clips for t in (c.start_s, c.end_s))})
    pieces = [(a, b) for a, b in pairwise(marks) if begin_s <= a < end_s]
    found: list[tuple[int, int, Ending]] = []
    for a, b in pieces:
        if any(clip.start_s <= a and b <= clip.end_s for clip in clips):
            continue
        past = [clip for clip in clips if clip.end_s <= a]
        cause: Ending = max(past, key=lambda clip: clip.end_s).ends_by if past else "hand"
        if found and found[-1][1] == a and found[-1][2] == cause:
            found[-1] = (found[-1][0], b, cause)
        else:
            found.append((a, b, cause))
    yield from found


def reached_of(
    clock: PassClock, clips: Mapping[str, Sequence[Clip]], touches: Sequence[Touch]
) -> tuple[int, ...]:
    """Return the values of the goals of a pass, in the order of `ROLL_GOALS`."""
    safety = nothing = others = 0
    for row in clock.songs:
        worth = clock.worth(row.song)
        framed = {letter: clock.framed(p, row.song) for letter, p in clock.placements.items()}
        useful = {letter for letter, subjects in framed.items() if subjects and worth}
        safe = {letter for letter, p in clock.placements.items() if clock.is_safety(p)}
        for begin, end, subjects in clock.slices(row):
            still = {
                letter
                for letter in useful | safe
                if not any(c.start_s <= begin and end <= c.end_s for c in clips[letter])
            }
            length = end - begin
            safety += length * len(still & safe)
            for letter in still - safe:
                is_moment = bool(framed[letter] & subjects)
                factor = clock.scene.shoot.rules.moment_factor if is_moment else 1
                others += length * worth * factor
            others += length * worth * max(0, len(still) - 1)
            if worth == THIRDS["live"] and useful <= still:
                nothing += length
    done = [t for t in touches if not {"roll", "stop"} & set(t.does)]
    reserves = [
        reserve_of(clock, p, clips[letter], [t for t in done if t.letter == letter])
        for letter, p in clock.placements.items()
        if has_choice(clock, p, clips[letter][0].start_s if clips[letter] else 0)
    ]
    walked = sum(int(2 * touch.walk_s) for touch in done)
    least = up(clock.scene.shoot.rules.reserve_s)
    short = sum(least - reserve for reserve in reserves if reserve < least)
    return (
        safety, nothing, others, short, len(done), walked, min(reserves, default=0), sum(reserves)
    )  # fmt: skip


def is_wanted(clock: PassClock, placement: Placement, song: int) -> bool:
    """Return whether it counts that a camera rolls in a song."""
    row = clock.songs[song].song
    useful = bool(clock.framed(placement, row)) and clock.worth(row) > 0
    return useful or clock.is_safety(placement)


def has_choice(clock: PassClock, placement: Placement, roll_s: float) -> bool:
    """Return whether a camera stops before its last song is over unless it is touched, and can be
    touched with effect.
    """
    ends = [row.end for n, row in enumerate(clock.songs) if is_wanted(clock, placement, n)]
    batteries, cards = clock.batteries(placement), placement.cards or (None,)
    limits = (
        clock.clip_s(placement),
        clock.heat_s(placement),
        max((clock.battery_s(placement, unit) for unit in batteries), default=0),
        max((clock.card_s(placement, unit) for unit in cards), default=0),
    )
    if min(limits) == 0 or roll_s + min(limits) >= max(ends, default=0):
        return False
    can_renew = min(limits[:2]) < inf or len(batteries) > 1 or len(cards) > 1
    people = [person.id for person in clock.scene.shoot.crew]
    return can_renew and any(clock.reach(placement, who) is not None for who in people)


def reserve_of(
    clock: PassClock, placement: Placement, clips: Sequence[Clip], done: Sequence[Touch]
) -> int:
    """Return the least seconds that any limit has left at the end of any song, counted from the
    beginning of the gap or song in which it was renewed.
    """
    left = []
    for n, row in enumerate(clock.songs):
        if not is_wanted(clock, placement, n):
            continue
        before = [t for t in done if t.start_s < row.end]
        on = [c for c in clips if c.start_s < row.end]
        if not on:
            continue
        batteries = [t for t in before if "battery" in t.does]
        cards = [t for t in before if "card" in t.does]
        lives = (
            (before, clock.clip_s(placement)),
            ([t for t in before if "cool" in t.does], clock.heat_s(placement)),
            (
                batteries,
                clock.battery_s(
                    placement, batteries[-1].battery if batteries else clips[0].battery
                ),
            ),
            (cards, clock.card_s(placement, cards[-1].card if cards else clips[0].card)),
        )
        for renewals, life in lives:
            since = _since(clock, renewals[-1]) if renewals else clips[0].start_s
            if life < inf:
                left.append(int(since + life - row.end))
    return min(left, default=0)


def _since(clock: PassClock, touch: Touch) -> int:
    """Return the beginning of the gap or song in which a touch lies."""
    marks = [at for row in clock.songs for at in (row.begin, row.end)]
    return max((at for at in marks if at <= touch.start_s), default=int(touch.start_s))
