"""The running order of a card: what to hold, cues, restarts and other cameras, in order of time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import groupby
from math import ceil

from kitplan.paper.layout import joined
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import Column, Table
from kitplan.paper.pack.contents.card_camera import Camera, CardPass
from kitplan.paper.restarts import ENDINGS
from kitplan.paper.shots import clock as minutes_and_seconds
from kitplan.plan.day.rolls import Touch
from kitplan.plan.day.shots import SongShot
from kitplan.plan.verify.day.clocked import Clocked

COLUMNS = (Column("do", 0.0, is_strong=True), Column("when, in this order", 1.0))
SONGS_A_LINE = 5
LETTERS_A_LINE = 68
KEYS = {
    "roll": "ROLL",
    "restart": "RESTART",
    "battery": "BATTERY",
    "card": "CARD",
    "cool": "COOL",
    "check": "CHECK",
    "stop": "STOP",
}
DOES = {
    "roll": "record, red light on",
    "restart": "stop, roll again",
    "battery": "new battery",
    "card": "new card",
    "cool": "let it cool",
    "check": "look at it",
    "stop": "stop",
}


@dataclass(frozen=True)
class Line:
    """One line of the running order."""

    at_s: float
    rank: int
    """Of what is at the same second: songs before touches."""
    key: str
    words: str
    is_grouped: bool = False
    """Shares a line with neighbours that have the same key and end."""
    end: str = ""
    """After the words of all that share a line."""


def running_order(camera: Camera, *, is_tight: bool = False) -> Table:
    """Return the running order of an operator.

    Args:
        is_tight: What is touched inside a song stands in the line of that song.
    """
    inside = _touched_inside(camera) if is_tight else {}
    lines = [
        *_song_lines(camera, inside),
        *_touch_lines(camera, inside),
        *_other_lines(camera),
    ]
    lines.sort(key=lambda line: (line.at_s, line.rank))
    return Table(COLUMNS, tuple(_rows(lines)), is_large=True)


def _rows(lines: Iterable[Line]) -> Iterator[tuple[str, str]]:
    alike = groupby(lines, key=lambda line: (line.key, line.is_grouped, line.end))
    for (key, is_grouped, end), found in alike:
        if is_grouped:
            some = [line.words for line in found]
            for first in range(0, len(some), SONGS_A_LINE):
                yield key, ", ".join(some[first : first + SONGS_A_LINE]) + end
        else:
            yield from ((key, line.words) for line in found)


def lines_of(order: Table) -> int:
    """Return about how many lines a running order takes on half a page."""
    return sum(ceil(len(words) / LETTERS_A_LINE) for _, words in order.rows)


# -- songs -----------------------------------------------------------------------------------------


def _touched_inside(camera: Camera) -> dict[str, tuple[Touch, ...]]:
    """Return the touches of the camera inside each song that it films."""
    filmed = {row.song for row in camera.sheet.songs}
    return {
        row.song.id: tuple(each for each in camera.touches if row.begin <= each.start_s < row.end)
        for row in camera.of.clock.songs
        if row.song.id in filmed
    }


def _song_lines(camera: Camera, inside: Mapping[str, Sequence[Touch]]) -> Iterator[Line]:
    filmed = {row.song: row for row in camera.sheet.songs}
    clock = camera.of.clock
    run = {row.song.id: row for row in clock.songs}
    for number, song in enumerate(camera.of.shoot.songs):
        label = camera.of.song(song.id)
        if song.id not in run:
            later = [each for each in camera.of.shoot.songs[number:] if each.id in run]
            # Right before the next song that is run: the gap before it holds touches.
            at_s = (
                run[later[0].id].begin - 0.5
                if later
                else clock.songs[-1].end
                if clock.songs
                else 0.0
            )
            yield Line(at_s, 0, "NOT RUN", label, is_grouped=True)
            continue
        at_s = run[song.id].begin
        if song.id in filmed:
            touches = inside.get(song.id, ())
            yield from _filmed_lines(camera, run[song.id], filmed[song.id], touches)
        elif camera.operator is not None and song.id in camera.operator.performs_in:
            words = "you play: lock off on the home shot before it, leave it rolling"
            yield Line(at_s, 0, "ON STAGE", f"{label}: {words}")
        else:
            yield Line(at_s, 0, "NOT YOU", label, is_grouped=True)


def _filmed_lines(
    camera: Camera, row: Clocked, held: SongShot, touches: Sequence[Touch]
) -> Iterator[Line]:
    fallback = "" if is_one_fallback(camera) else fallback_words(camera, held)
    key, label = camera.called(held.shot), camera.of.song(held.song)
    end = fallback and f" ({fallback})"
    if touches:
        marks = (_inside(camera, row, each) for each in touches)
        yield Line(row.begin, 0, key, f"{label}{end}; {'; '.join(marks)}")
    else:
        yield Line(row.begin, 0, key, label, is_grouped=True, end=end)
    number = camera.of.numbers[held.song]
    for cue in held.cues:
        begin = minutes_and_seconds(cue.at_s)
        end = minutes_and_seconds(cue.at_s + cue.length_s)
        words = f"in {number} from {begin} to {end}: {cue.moment}; then back to {key}"
        yield Line(row.begin + cue.at_s, 1, camera.called(cue.shot), words)


def _inside(camera: Camera, row: Clocked, touch: Touch) -> str:
    """Return a touch inside a song in few words: 'at 0:50 RESTART, 10 s'."""
    at = minutes_and_seconds(touch.start_s - row.begin)
    return f"at {at} {brief_of(touch).rstrip(',')}{_by(camera, touch)}"


def fallback_words(camera: Camera, held: SongShot) -> str:
    """Return where to go when the shot of a song fails: 'if it fails: SHOT 3'."""
    return "" if held.fallback is None else f"if it fails: {camera.called(held.fallback)}"


def is_one_fallback(camera: Camera) -> bool:
    """Return whether each shot has the same fallback in every song: it stands at its frame then."""
    by_shot: dict[str, set[str]] = {}
    for held in camera.sheet.songs:
        by_shot.setdefault(camera.called(held.shot), set()).add(fallback_words(camera, held))
    return all(len(fallbacks) == 1 for fallbacks in by_shot.values())


# -- touches ---------------------------------------------------------------------------------------


def _touch_lines(camera: Camera, inside: Mapping[str, Sequence[Touch]]) -> Iterator[Line]:
    """The touches of the camera itself, whoever does them, but for those in lines of songs."""
    told = {each for touches in inside.values() for each in touches}
    for touch in camera.touches:
        if touch not in told:
            words = f"{place_of(camera.of, touch)}: {does_of(touch)}{_by(camera, touch)}"
            yield Line(touch.start_s, 2, key_of(touch), words)
    for blind in camera.blind:
        if blind.cause != "hand":  # else it is one of the touches
            begin = next(row.begin for row in camera.of.clock.songs if row.song.id == blind.song)
            span = [minutes_and_seconds(at - begin) for at in (blind.start_s, blind.end_s)]
            number, why = camera.of.numbers[blind.song], ENDINGS[blind.cause]
            words = f"in {number} from {span[0]} to {span[1]}: it {why}"
            yield Line(blind.start_s, 2, "STANDS STILL", words)


def _by(camera: Camera, touch: Touch) -> str:
    """Return who is at the camera, where it is not its operator."""
    is_own = touch.person == camera.placement.operator
    return "" if is_own else f"; {_who(camera.of.names, touch)} does it"


def _who(names: Names, touch: Touch) -> str:
    return "whoever rigs it" if touch.person is None else names.person(touch.person)


def _other_lines(camera: Camera) -> Iterator[Line]:
    """What the operator does at other cameras."""
    operator = camera.placement.operator
    rolls = camera.of.source.day.rolls
    if operator is None or rolls is None:
        return
    for touch in rolls.touches:
        if touch.pass_id != camera.of.clock.pass_id or touch.letter == camera.letter:
            continue
        if touch.person == operator:
            walk = f", {touch.walk_s:.0f} s away" if touch.walk_s else ""
            words = f"{place_of(camera.of, touch)}{walk}: {does_of(touch)}"
            yield Line(touch.start_s, 3, f"{key_of(touch)} {touch.letter}", words)


def key_of(touch: Touch) -> str:
    """Return what is done at a touch in one word: 'RESTART', 'BATTERY'."""
    return joined([KEYS[work] for work in touch.does])


def does_of(touch: Touch) -> str:
    """Return what is done at a touch, with units and seconds."""
    units = {"battery": touch.battery, "card": touch.card}
    parts = [f"{DOES[work]} {units.get(work) or ''}".rstrip() for work in touch.does]
    if touch.does in (("roll",), ("stop",)):
        return ", ".join(parts)
    if "restart" not in touch.does:
        parts.append("roll again")
    return f"{', '.join(parts)}, {touch.end_s - touch.start_s:.0f} s"


def brief_of(touch: Touch) -> str:
    """Return the same in few words: 'BATTERY battery-s-1, 60 s,'."""
    if touch.does in (("roll",), ("stop",)):
        return key_of(touch)
    units = [unit for unit in (touch.battery, touch.card) if unit]
    return f"{' '.join([key_of(touch), *units])}, {touch.end_s - touch.start_s:.0f} s,"


def place_of(of: CardPass, touch: Touch) -> str:
    """Return where a touch lies by song, since set lists slip, and about when."""
    clock = of.clock
    at = clock.each.start + timedelta(seconds=touch.start_s)
    time = of.setting.time(at)
    if not clock.songs or touch.end_s <= 0:
        doors = clock.each.doors
        is_early = doors is not None and at + timedelta(seconds=1) < doors
        return f"before {'the doors' if is_early else 'the downbeat'}, {time}"
    row = [each for each in clock.songs if each.begin <= touch.start_s][-1]
    label = of.song(row.song.id)
    if touch.start_s < row.end:
        return f"IN {label} at {minutes_and_seconds(touch.start_s - row.begin)}"
    if row is clock.songs[-1]:
        return f"after {label}, the last one"
    return f"after {label} (gap {row.gap_end - row.end} s, {time})"
