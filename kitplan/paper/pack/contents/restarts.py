"""Restart sheets: who touches which camera when, what is left, and what if the set runs late."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta

from kitplan.paper.drawings.roll_chart import RollBar, RollChart
from kitplan.paper.layout import counted, joined
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import (
    Block,
    Caution,
    Column,
    Picture,
    Points,
    Sheet,
    Table,
    Words,
)
from kitplan.paper.pack.contents.slips import is_short, two_columns
from kitplan.paper.pack.source import Source
from kitplan.paper.restarts import (
    BEFORE,
    ENDINGS,
    MARKS,
    NOBODY_NAMED,
    Left,
    blind_from,
    left_in,
    promises,
    rolls_of,
    song_numbers,
    touch_words,
    toucher,
    touches_in,
    where_touched,
)
from kitplan.paper.timed import clocks, minutes
from kitplan.plan.day.rolls import RollPlan, Touch
from kitplan.plan.records import Placement
from kitplan.plan.verify.day.clocked import PassClock

SHORT_KINDS = {"running before it is too hot": "heat"}
LATE = (
    "Add up how late the set runs. A camera that has less left than that stops by itself before "
    "its turn: touch it one gap earlier, in the first gap that is long enough. Never the safety "
    "shot inside a song, never two cameras at once."
)


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield the restart sheet of each pass in which a camera rolls."""
    if source.day.rolls is None:
        return
    for clock in clocks(source.plan, source.plan.pass_ids()):
        if clock.placements:
            yield _sheet(source, source.day.rolls, clock)


def _sheet(source: Source, rolls: RollPlan, clock: PassClock) -> Sheet:
    left = left_in(clock, rolls)
    touches = touches_in(rolls, clock)
    blocks: list[Block] = [
        Points(tuple(promises(clock, rolls, left))),
        roll_picture(source, clock, left),
    ]
    if touches:
        blocks.append(_by_clock(source, clock, touches))
    blocks += [*_late(clock, left), Caution("At each touch", (BEFORE,))]
    blocks += two_columns(list(_by_person(source, clock, touches)))
    label = source.names.pass_label(clock.pass_id)
    return Sheet(
        "restarts", f"Restarts: {label}", tuple(blocks), lines=(source.hours(clock.pass_id),)
    )


def _by_clock(source: Source, clock: PassClock, touches: Sequence[Touch]) -> Table:
    columns = (
        Column("clock", 0.0, is_strong=True),
        Column("when", 2.4),
        Column("cam", 0.0, is_strong=True),
        Column("do", 2.0),
        Column("who", 1.2),
    )
    rows = tuple(
        (
            _clock(source, clock, touch.start_s),
            where_touched(clock, touch),
            touch.letter,
            touch_words(touch),
            _who(source.names, touch),
        )
        for touch in touches
    )
    return Table(columns, rows, title="By clock")


def _by_person(source: Source, clock: PassClock, touches: Sequence[Touch]) -> Iterator[Table]:
    """Yield everybody's own touches, to cut out or photograph."""
    people = sorted({toucher(source.names, touch) for touch in touches})
    people.sort(key=lambda name: name == NOBODY_NAMED)
    columns = (
        Column("clock", 0.0, is_strong=True),
        Column("cam", 0.0, is_strong=True),
        Column("do", 1.0),
    )
    label = source.names.pass_label(clock.pass_id)
    for name in people:
        rows = tuple(
            (
                _clock(source, clock, touch.start_s),
                touch.letter,
                _told(clock, touch),
            )
            for touch in touches
            if toucher(source.names, touch) == name
        )
        title = f"{name[:1].upper()}{name[1:]}: restarts, {label}"
        is_slip = is_short(rows)
        yield Table(columns, rows, title=title, has_boxes=True, is_slip=is_slip)


def _told(clock: PassClock, touch: Touch) -> str:
    """Return what somebody is told of a touch: when in words, then what."""
    where = where_touched(clock, touch)
    walk = f"; walk {touch.walk_s:.0f} s" if touch.walk_s else ""
    return f"{where[:1].upper()}{where[1:]}: {touch_words(touch)}{walk}"


def _clock(source: Source, clock: PassClock, at_s: float) -> str:
    return source.setting.second(clock.each.start + timedelta(seconds=at_s))


def _who(names: Names, touch: Touch) -> str:
    walk = f", walks {touch.walk_s:.0f} s" if touch.walk_s else ""
    return f"{toucher(names, touch)}{walk}"


# -- what is left ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Least:
    """Where a camera has the least left."""

    seconds: float
    kind: str
    song: str
    """Id of the song at whose end it is."""

    @property
    def words(self) -> str:
        """'clip 3:10'."""
        return f"{SHORT_KINDS.get(self.kind, self.kind)} {minutes(self.seconds)}"


def least_left(left: Sequence[Left], letter: str) -> Least | None:
    """Return where a camera has the least left while it rolls; None where nothing ever ends."""
    found = [
        Least(seconds, kind, each.song)
        for each in left
        if each.letter == letter
        for kind, seconds in each.kinds_s
        if seconds is not None and seconds >= 0
    ]
    return min(found, key=lambda one: one.seconds, default=None)


def _late(clock: PassClock, left: Sequence[Left]) -> Iterator[Block]:
    """Yield how late the set may run before each camera stops by itself."""
    songs = {row.song.id: row.song.label for row in clock.songs}
    found = [(letter, least_left(left, letter)) for letter in clock.placements]
    known = [(letter, least) for letter, least in found if least is not None]
    if not known:
        return
    known.sort(key=lambda one: one[1].seconds)
    rows = tuple(
        (minutes(least.seconds), letter, SHORT_KINDS.get(least.kind, least.kind), songs[least.song])
        for letter, least in known
    )
    columns = (
        Column("left", 0.0, "right", is_strong=True),
        Column("cam", 0.0, is_strong=True),
        Column("of its", 0.0),
        Column("at the end of", 1.0),
    )
    yield Table(columns, rows, title="If the set runs late: the tightest first")
    yield Words(LATE)


# -- the roll chart --------------------------------------------------------------------------------


def roll_picture(source: Source, clock: PassClock, left: Sequence[Left]) -> Picture:
    """Return the roll chart of a pass, the safety first, with its songs as caption."""
    rolls = rolls_of(source.plan)
    numbers = song_numbers(clock)
    label = source.names.pass_label(clock.pass_id)
    first = sorted(clock.placements.values(), key=lambda each: not clock.is_safety(each))
    bars = tuple(_bar(source, rolls, clock, each, left) for each in first)
    chart = RollChart(
        f"{source.plan.title}, {label}: when each camera rolls",
        clock.each.start,
        tuple((numbers[row.song.id], row.begin, row.end) for row in clock.songs),
        bars,
    )
    drawing = chart.drawing(source.setting.text_width_mm, source.setting.time)
    songs = "; ".join(f"{numbers[row.song.id]} {row.song.label}" for row in clock.songs)
    words = f"When each camera rolls in {label}"
    lines = tuple(_bar_words(source, rolls, clock, bar) for bar in bars)
    caption = f"Songs: {songs}." if songs else ""
    return Picture(drawing.svg(), drawing.width_mm, drawing.height_mm, words, caption, lines)


def _bar(
    source: Source,
    rolls: RollPlan,
    clock: PassClock,
    placement: Placement,
    left: Sequence[Left],
) -> RollBar:
    letter = placement.letter
    clips = next(r.clips for r in rolls.rolls if (r.pass_id, r.letter) == (clock.pass_id, letter))
    alone_s = blind_from(clock, placement, clips)
    over = max((row.end for row in clock.songs), default=0)
    least = least_left(left, letter)
    return RollBar(
        letter,
        placement.operator is not None,
        source.names.operator(placement),
        "safety" if clock.is_safety(placement) else "",
        tuple((clip.start_s, clip.end_s) for clip in clips),
        tuple(
            (touch.start_s, signs)
            for touch in touches_in(rolls, clock)
            if touch.letter == letter
            and (signs := "".join(MARKS[work] for work in touch.does if work in MARKS))
        ),
        _blind(rolls, clock, letter),
        alone_s if alone_s < over else None,
        "" if least is None else least.words,
    )


def _blind(rolls: RollPlan, clock: PassClock, letter: str) -> tuple[tuple[float, float], ...]:
    return tuple(
        (each.start_s, each.end_s)
        for each in rolls.blind
        if (each.pass_id, each.letter) == (clock.pass_id, letter)
    )


def _bar_words(source: Source, rolls: RollPlan, clock: PassClock, bar: RollBar) -> str:
    """Return what the bar of a camera shows."""
    parts = [f"Camera {bar.letter}{', safety' if bar.note else ''}, {bar.who}"]
    parts.append(counted(len(bar.marks), "touch", "touches") if bar.marks else "no touch")
    if bar.alone_s is not None:
        at = clock.each.start + timedelta(seconds=bar.alone_s)
        parts.append(f"untouched it stops at {source.setting.time(at)}")
    causes = {b.cause for b in rolls.blind if (b.pass_id, b.letter) == (clock.pass_id, bar.letter)}
    if causes:
        parts.append(f"STANDS STILL in a song: it {joined([ENDINGS[c] for c in sorted(causes)])}")
    if bar.least:
        parts.append(f"least left: {bar.least}")
    return f"{'; '.join(parts)}."
