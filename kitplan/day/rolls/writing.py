"""From touches to records: the clips of every recorder, its first and last touch, what is lost."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kitplan.day.rolls.recorders import PassDay, Recorder, Supply
from kitplan.day.rolls.search import Done, Found
from kitplan.day.rolls.timeline import whole_up
from kitplan.plan.day.rolls import Blind, Clip, Ending, Roll, Touch


def rolls_of(day: PassDay, found: Found) -> tuple[Roll, ...]:
    """Return the clips of every recorder of a pass."""
    return tuple(
        Roll(pass_id=day.pass_id, letter=r.letter, clips=tuple(_clips(day, r, found)))
        for r in day.recorders
    )


@dataclass
class _Limits:
    """When each limit stops a recorder."""

    until: dict[Ending, int | None]

    def first(self) -> tuple[int | None, Ending]:
        """Return the limit that is reached first."""
        found = [(at, ending) for ending, at in self.until.items() if at is not None]
        return min(found, default=(None, "hand"), key=lambda one: one[0])


def _clips(day: PassDay, recorder: Recorder, found: Found) -> Iterator[Clip]:
    mine = [done for done in found.done if done.letter == recorder.letter]
    batteries = {s.unit: s for s in recorder.batteries}
    cards = {s.unit: s for s in recorder.cards}
    battery, card = found.first_battery[recorder.letter], found.first_card[recorder.letter]
    begin = recorder.start.roll_s
    limits = _Limits(
        {
            "clip-limit": _at(begin, recorder.clip_s),
            "battery": _at(begin, batteries[battery].life_s),
            "card": _at(begin, cards[card].life_s),
            "heat": _at(begin, recorder.heat_s),
        }
    )
    for done in (*mine, None):
        stop = day.end_s + recorder.start.late_s if done is None else done.start_s
        at, ending = limits.first()
        is_over = at is not None and at < stop
        end = at if is_over and at is not None else stop
        if end > begin:
            ends_by: Ending = ending if is_over else "hand"
            yield Clip(start_s=begin, end_s=end, battery=battery, card=card, ends_by=ends_by)
        if done is not None:
            begin, battery, card = done.end_s, done.battery or battery, done.card or card
            _renew(limits, recorder, done, (batteries[battery], cards[card]))


def _renew(limits: _Limits, recorder: Recorder, done: Done, put_in: tuple[Supply, Supply]) -> None:
    limits.until["clip-limit"] = _at(done.end_s, recorder.clip_s)
    if "battery" in done.does:
        limits.until["battery"] = _at(done.end_s, put_in[0].life_s)
    if "card" in done.does:
        limits.until["card"] = _at(done.end_s, put_in[1].life_s)
    if "cool" in done.does:
        limits.until["heat"] = _at(done.end_s, recorder.heat_s)


def _at(begin: int, life_s: int | None) -> int | None:
    return None if life_s is None else begin + life_s


def touches_of(day: PassDay, found: Found, rolls: tuple[Roll, ...]) -> tuple[Touch, ...]:
    """Return every touch of a pass by time: first starts, what the search has found, last stops."""
    length = whole_up(day.brief.shoot.rules.restart_s)
    touches = [
        Touch(
            pass_id=day.pass_id,
            letter=done.letter,
            start_s=done.start_s,
            end_s=done.end_s,
            does=done.does,
            person=done.person,
            walk_s=done.walk_s,
            battery=done.battery,
            card=done.card,
        )
        for done in found.done
    ]
    for recorder, roll in zip(day.recorders, rolls, strict=True):
        start = recorder.start
        own = {"person": start.person, "walk_s": start.walk_s}
        own |= {"pass_id": day.pass_id, "letter": recorder.letter}
        at = start.roll_s - length
        touches.append(Touch(**own, start_s=at, end_s=at + length, does=("roll",)))
        at = day.end_s + start.late_s
        if roll.clips and roll.clips[-1].end_s == at:
            touches.append(Touch(**own, start_s=at, end_s=at + length, does=("stop",)))
    return tuple(sorted(touches, key=lambda touch: (touch.start_s, touch.letter)))


def blind_of(day: PassDay, rolls: tuple[Roll, ...]) -> tuple[Blind, ...]:
    """Return where recorders stand still inside songs, by time."""
    found = [
        Blind(
            pass_id=day.pass_id,
            letter=roll.letter,
            song=song.song.id,
            start_s=begin,
            end_s=end,
            cause=cause,
        )
        for roll in rolls
        for song in day.songs
        for begin, end, cause in _holes(roll, song.start_s, song.end_s)
    ]
    return tuple(sorted(found, key=lambda one: (one.start_s, one.letter)))


def _holes(roll: Roll, start_s: int, end_s: int) -> Iterator[tuple[int, int, Ending]]:
    """Yield the parts of a stretch in which nothing is recorded, and what ended the clip before."""
    begin, cause = start_s, "hand"
    for clip in roll.clips:
        if clip.start_s >= end_s:
            break
        if clip.start_s > begin:
            yield begin, int(clip.start_s), _cause(cause)
        begin, cause = max(begin, int(clip.end_s)), clip.ends_by
    if begin < end_s:
        yield begin, end_s, _cause(cause)


def _cause(cause: str) -> Ending:
    return cause  # type: ignore[return-value]
