"""What a roll plan of a pass comes to in each goal, from its clips and touches."""

from __future__ import annotations

from collections.abc import Sequence

from kitplan.day.rolls.recorders import PassDay, Recorder
from kitplan.day.rolls.timeline import whole_up
from kitplan.plan.day.rolls import Clip, Roll, Touch
from kitplan.shoot.brief import THIRDS

WHOLE = THIRDS["live"]
FIRST_OR_LAST = {"roll", "stop"}


def values_of(day: PassDay, rolls: Sequence[Roll], touches: Sequence[Touch]) -> tuple[int, ...]:
    """Return the value of every goal, in the order of `ROLL_GOALS`."""
    clips = {roll.letter: roll.clips for roll in rolls}
    stands = {
        (r.letter, index, number): not _rolls(clips[r.letter], part.start_s, part.end_s)
        for r in day.recorders
        for index, song in enumerate(day.songs)
        for number, part in enumerate(song.slices)
    }
    done = [touch for touch in touches if not FIRST_OR_LAST & set(touch.does)]
    reserves = [
        _reserve(day, r, clips[r.letter], [t for t in done if t.letter == r.letter])
        for r in day.recorders
        if day.needs_touch(r)
    ]
    safety = nothing = others = 0
    for index, song in enumerate(day.songs):
        worth = day.worth(index)
        usable = [r for r in day.recorders if any(r.weights[index])]
        wanted = [r for r in day.recorders if r.is_wanted(index)]
        for number, part in enumerate(song.slices):
            still = {r.letter for r in wanted if stands[r.letter, index, number]}
            for r in wanted:
                if r.letter in still and r.is_safety:
                    safety += part.length_s
                elif r.letter in still:
                    others += part.length_s * r.weights[index][number]
            others += part.length_s * worth * max(0, len(still) - 1)
            if worth == WHOLE and all(r.letter in still for r in usable):
                nothing += part.length_s
    walking = sum(2 * int(touch.walk_s) for touch in done)
    least_s = whole_up(day.brief.shoot.rules.reserve_s)
    short = sum(max(0, least_s - reserve) for reserve in reserves)
    return (
        safety, nothing, others, short, len(done), walking, min(reserves, default=0), sum(reserves)
    )  # fmt: skip


def _rolls(clips: Sequence[Clip], start_s: int, end_s: int) -> bool:
    return any(clip.start_s <= start_s and end_s <= clip.end_s for clip in clips)


def _reserve(day: PassDay, recorder: Recorder, clips: Sequence[Clip], done: Sequence[Touch]) -> int:
    """Return the least seconds left of any limit at the end of any song, counted from the beginning
    of the gap or song in which it was renewed; below zero where it does not last.
    """
    lives = {s.unit: s.life_s for s in (*recorder.batteries, *recorder.cards)}
    roll_s = recorder.start.roll_s
    until = {"restart": _at(roll_s, recorder.clip_s), "cool": _at(roll_s, recorder.heat_s)}
    until["battery"] = _at(roll_s, lives[clips[0].battery])
    until["card"] = _at(roll_s, lives[clips[0].card])
    least, left = [], list(done)
    for index, song in enumerate(day.songs):
        while left and left[0].start_s < song.end_s:
            touch = left.pop(0)
            inside = touch.start_s >= song.start_s
            begin = song.start_s if inside else day.songs[index - 1].end_s
            until["restart"] = _at(begin, recorder.clip_s)
            if "cool" in touch.does:
                until["cool"] = _at(begin, recorder.heat_s)
            if "battery" in touch.does:
                until["battery"] = _at(begin, lives[touch.battery])
            if "card" in touch.does:
                until["card"] = _at(begin, lives[touch.card])
        if recorder.is_wanted(index):
            least += [at - song.end_s for at in until.values() if at is not None]
    return min(least, default=0)


def _at(begin: int, life_s: int | None) -> int | None:
    return None if life_s is None else begin + life_s
