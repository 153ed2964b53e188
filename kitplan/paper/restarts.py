"""The roll and restart sheet: who touches which camera when, and what is left of everything."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from math import inf
from typing import Any

from kitplan.paper.layout import blocks, bullets, counted, heading, joined, paragraph, table_text
from kitplan.paper.names import Names, when
from kitplan.paper.timed import clocks, minutes, time_of_day
from kitplan.plan.day.rolls import ROLL_GOALS, Clip, Ending, RollPlan, Touch
from kitplan.plan.records import Placement, Plan
from kitplan.plan.verify.day.clocked import PassClock

WIDE_BAR = 84
CAMERAS_A_TABLE = 6
DOES = {
    "roll": "roll",
    "restart": "stop, roll again",
    "battery": "new battery",
    "card": "new card",
    "cool": "let it cool",
    "stop": "stop",
}
MARKS = {"restart": "R", "battery": "B", "card": "C", "cool": "H"}
ENDINGS: dict[Ending, str] = {
    "hand": "is being touched",
    "clip-limit": "has reached its clip limit",
    "battery": "has an empty battery",
    "card": "has a full card",
    "heat": "is too hot",
}
LIMITS: dict[Ending, str] = {
    "clip-limit": "clip",
    "battery": "battery",
    "card": "card",
    "heat": "heat",
}
BEFORE = (
    "Before each touch look at the others: never stop one while another stands still. After it: "
    "red light, seconds counting, frame and focus as they were."
)


NOBODY_NAMED = "whoever rigs it"


@dataclass(frozen=True)
class Left:
    """What a camera has left at the end of a song, in seconds; None has no limit."""

    letter: str
    song: str
    clip_s: float | None
    battery_s: float | None
    card_s: float | None
    heat_s: float | None

    @property
    def kinds_s(self) -> tuple[tuple[str, float | None], ...]:
        """What there is that may come to an end, in words, with the seconds that are left."""
        heat = "running before it is too hot"
        kinds = ("clip", "battery", "card", heat)
        return tuple(
            zip(kinds, (self.clip_s, self.battery_s, self.card_s, self.heat_s), strict=True)
        )


def restarts(plan: Plan, pass_name: str | None = None) -> str:
    """Return the roll and restart sheet of each pass, or of one.

    Raises:
        SettingError: If there is no pass of that name.
    """
    names, rolls = Names(plan), rolls_of(plan)
    found = clocks(plan, names.pass_ids(pass_name))
    return blocks(
        heading(f"Roll and restart sheet: {plan.title}"),
        *(_pass_text(names, rolls, clock) for clock in found),
        paragraph(BEFORE),
    )


def restarts_records(plan: Plan, pass_name: str | None = None) -> dict[str, Any]:
    """Return the same as plain data.

    Raises:
        SettingError: If there is no pass of that name.
    """
    names, rolls = Names(plan), rolls_of(plan)
    passes = []
    for clock in clocks(plan, names.pass_ids(pass_name)):
        reached = next(each for each in rolls.reached if each.pass_id == clock.pass_id)
        passes.append(
            {
                "pass": clock.pass_id,
                "downbeat": clock.each.start.isoformat(),
                "touches": [
                    t.model_dump() | {"at": time_of_day(clock, t.start_s)}
                    for t in touches_in(rolls, clock)
                ],
                "rolls": [r.model_dump() for r in rolls.rolls if r.pass_id == clock.pass_id],
                "blind": [b.model_dump() for b in rolls.blind if b.pass_id == clock.pass_id],
                "left": [asdict(each) for each in left_in(clock, rolls)],
                "goals": [
                    {"goal": goal, "value": value, "bound": bound}
                    for goal, value, bound in zip(
                        ROLL_GOALS, reached.value, reached.bound, strict=True
                    )
                ],
                "is_proven": reached.is_proven,
            }
        )
    return {"passes": passes}


def rolls_of(plan: Plan) -> RollPlan:
    """Return the roll plan of a plan that has one."""
    assert plan.day is not None
    assert plan.day.rolls is not None
    return plan.day.rolls


def touches_in(rolls: RollPlan, clock: PassClock) -> tuple[Touch, ...]:
    """Return the touches of a pass."""
    return tuple(touch for touch in rolls.touches if touch.pass_id == clock.pass_id)


def _pass_text(names: Names, rolls: RollPlan, clock: PassClock) -> str:
    shoot, run = names.plan.pass_of(clock.pass_id)
    title = heading(f"{names.pass_label(clock.pass_id)}: {when(shoot, run)}", "-")
    if not clock.placements:
        return blocks(title, "No camera rolls.")
    rows = [_touch_row(names, clock, touch) for touch in touches_in(rolls, clock)]
    left = left_in(clock, rolls)
    return blocks(
        title,
        bullets(promises(clock, rolls, left)),
        table_text(("clock", "where", "cam", "do", "who"), rows),
        _bars(clock, rolls),
        *_left_tables(clock, left),
    )


# -- in words --------------------------------------------------------------------------------------


def promises(clock: PassClock, rolls: RollPlan, left: Sequence[Left]) -> Iterator[str]:
    """Yield what the roll plan of a pass comes to."""
    done = [t for t in touches_in(rolls, clock) if not {"roll", "stop"} & set(t.does)]
    blind = [each for each in rolls.blind if each.pass_id == clock.pass_id]
    songs = {row.song.id: row.song.label for row in clock.songs}
    touched = counted(len(done), "touch", "touches")
    if blind:
        cameras = sorted({each.letter for each in blind})
        yield f"{touched}. Cameras that stand still in songs: {', '.join(cameras)}, see below."
    else:
        between = f"{touched}, all between songs" if done else "No touch once all roll"
        yield f"{between}: no camera stands still in any song."
    for letter in sorted({each.letter for each in blind}):
        mine = [each for each in blind if each.letter == letter]
        where = [
            f"{songs[each.song]} {minutes(each.start_s - _begin(clock, each.song))} to "
            f"{minutes(each.end_s - _begin(clock, each.song))}"
            for each in mine
        ]
        causes = joined(sorted({ENDINGS[each.cause] for each in mine}))
        yield f"Camera {letter} {causes}: {'; '.join(where)}."
    tight = tightest(left)
    if tight is not None:
        seconds, kind, each = tight
        yield (
            f"Tightest: camera {each.letter} has {minutes(seconds)} of {kind} left at the end of "
            f"{songs[each.song]}. A late set eats it first."
        )
    reached = next(each for each in rolls.reached if each.pass_id == clock.pass_id)
    if not reached.is_proven:
        yield "The best found in the time, not proven best."


def _begin(clock: PassClock, song: str) -> int:
    return next(row.begin for row in clock.songs if row.song.id == song)


def tightest(left: Sequence[Left]) -> tuple[float, str, Left] | None:
    """Return the least that anything has left while it still rolls."""
    found = [
        (seconds, kind, each)
        for each in left
        for kind, seconds in each.kinds_s
        if seconds is not None and seconds >= 0
    ]
    return min(found, key=lambda one: one[0], default=None)


def _touch_row(names: Names, clock: PassClock, touch: Touch) -> tuple[str, str, str, str, str]:
    at = time_of_day(clock, touch.start_s)
    who = toucher(names, touch)
    if touch.walk_s:
        who += f", walks {touch.walk_s:.0f} s"
    return (at, where_touched(clock, touch), touch.letter, touch_words(touch), who)


def touch_words(touch: Touch) -> str:
    """Return what is done at a camera: 'new battery battery-s-1 (60 s)'."""
    units = {"battery": touch.battery, "card": touch.card}
    does = ", ".join(
        f"{DOES.get(work, work)} {units.get(work) or ''}".rstrip() for work in touch.does
    )
    if touch.does not in (("roll",), ("stop",)):
        does += f" ({touch.end_s - touch.start_s:.0f} s)"
    return does


def toucher(names: Names, touch: Touch) -> str:
    """Return who touches a camera."""
    return NOBODY_NAMED if touch.person is None else names.person(touch.person)


def where_touched(clock: PassClock, touch: Touch) -> str:
    """Return where a touch lies, by song: set lists slip, songs do not."""
    if not clock.songs or touch.end_s <= 0:
        doors = clock.each.doors
        is_early = doors is not None and touch.end_s <= (doors - clock.each.start).total_seconds()
        return "before the doors" if is_early else "before the downbeat"
    before = [row for row in clock.songs if row.begin <= touch.start_s]
    row = before[-1]
    if touch.start_s < row.end:
        return f"IN {row.song.label} at {minutes(touch.start_s - row.begin)}"
    if row is clock.songs[-1]:
        return "after the last song"
    return f"after {row.song.label} (gap {row.gap_end - row.end} s)"


# -- bars ------------------------------------------------------------------------------------------


def _bars(clock: PassClock, rolls: RollPlan) -> str:
    """Return a bar for each camera over the length of the pass, and where each song begins."""
    over = max((row.end for row in clock.songs), default=1)
    scale = over / WIDE_BAR
    ruler = [" "] * (WIDE_BAR + 3)
    numbers = song_numbers(clock)
    for row in clock.songs:
        number, place = numbers[row.song.id], int(row.begin / scale)
        ruler[place : place + len(str(number))] = str(number)
    lines = ["     " + "".join(ruler).rstrip()]
    for letter, placement in clock.placements.items():
        clips = next(
            r.clips for r in rolls.rolls if (r.pass_id, r.letter) == (clock.pass_id, letter)
        )
        lines.append(f"{letter:<5}" + _bar(clock, rolls, letter, clips, scale))
        alone = blind_from(clock, placement, clips)
        if alone < over:
            lines.append(_caret(5 + int(max(0, alone) / scale)))
    songs = "; ".join(f"{numbers[row.song.id]} {row.song.label}" for row in clock.songs)
    key = (
        "= rolls, R restart, B new battery, C new card, H cools, # stands still in a song. "
        f"Numbers stand where songs begin: {songs}."
    )
    return "\n".join([*lines, paragraph(key)])


def song_numbers(clock: PassClock) -> dict[str, int]:
    """Return the number of each song, the same in every pass and on the shot sheets."""
    return {song.id: number for number, song in enumerate(clock.scene.shoot.songs, start=1)}


def _caret(place: int) -> str:
    """Return a mark under a place of a bar, with its words on the side where there is room."""
    words = "untouched it is blind from here"
    return f"{' ' * place}^ {words}" if place < WIDE_BAR // 2 else f"{words + ' ^':>{place + 1}}"


def _bar(
    clock: PassClock, rolls: RollPlan, letter: str, clips: Sequence[Clip], scale: float
) -> str:
    cells = []
    for n in range(WIDE_BAR):
        begin, end = n * scale, (n + 1) * scale
        is_on = any(c.start_s < end and begin < c.end_s for c in clips)
        cells.append("=" if is_on else " ")
    for each in rolls.blind:
        if (each.pass_id, each.letter) == (clock.pass_id, letter):
            for n in range(int(each.start_s / scale), min(WIDE_BAR, int(each.end_s / scale) + 1)):
                cells[n] = "#"
    for touch in rolls.touches:
        if (touch.pass_id, touch.letter) == (clock.pass_id, letter):
            works = [MARKS[work] for work in touch.does if work in MARKS]
            place = int(touch.start_s / scale)
            if works and 0 <= place < WIDE_BAR:
                cells[place : place + len(works)] = works
    return "".join(cells)[:WIDE_BAR].rstrip()


def blind_from(clock: PassClock, placement: Placement, clips: Sequence[Clip]) -> float:
    """Return when a camera stops that nobody touches after its first start."""
    if not clips:
        return 0.0
    first = clips[0]
    return first.start_s + min(
        clock.clip_s(placement),
        clock.heat_s(placement),
        clock.battery_s(placement, first.battery),
        clock.card_s(placement, first.card),
    )


# -- what is left ----------------------------------------------------------------------------------


def left_in(clock: PassClock, rolls: RollPlan) -> tuple[Left, ...]:
    """Return what every camera of a pass has left at the end of every song."""
    clips = {r.letter: r.clips for r in rolls.rolls if r.pass_id == clock.pass_id}
    return tuple(
        _left(clock, placement, clips[letter], touches_in(rolls, clock), row.end, row.song.id)
        for row in clock.songs
        for letter, placement in clock.placements.items()
    )


def _left(
    clock: PassClock,
    placement: Placement,
    clips: Sequence[Clip],
    touches: Sequence[Touch],
    at_s: int,
    song: str,
) -> Left:
    past = [clip for clip in clips if clip.start_s < at_s] or list(clips[:1])
    now = past[-1]
    cooled = [
        t.end_s
        for t in touches
        if t.letter == placement.letter and "cool" in t.does and t.end_s <= at_s
    ]

    def rest(begun: float, life: float) -> float | None:
        return None if life == inf else begun + life - at_s

    return Left(
        letter=placement.letter,
        song=song,
        clip_s=rest(now.start_s, clock.clip_s(placement)),
        battery_s=rest(
            min(c.start_s for c in past if c.battery == now.battery),
            clock.battery_s(placement, now.battery),
        ),
        card_s=rest(
            min(c.start_s for c in past if c.card == now.card), clock.card_s(placement, now.card)
        ),
        heat_s=rest(max([past[0].start_s, *cooled]), clock.heat_s(placement)),
    )


def _left_tables(clock: PassClock, left: Sequence[Left]) -> Iterator[str]:
    letters = list(clock.placements)
    for first in range(0, len(letters), CAMERAS_A_TABLE):
        some = letters[first : first + CAMERAS_A_TABLE]
        rows = [
            (
                row.song.label,
                *(
                    next(_cell(e) for e in left if (e.letter, e.song) == (letter, row.song.id))
                    for letter in some
                ),
            )
            for row in clock.songs
        ]
        title = "Minutes left at the end of each song: clip / battery / card (- no limit)"
        yield f"{title}\n{table_text(('', *some), rows)}"


def _cell(left: Left) -> str:
    cells = [_minutes(left.clip_s), _minutes(left.battery_s), _minutes(left.card_s)]
    if left.heat_s is not None:
        cells.append(f"heat {_minutes(left.heat_s)}")
    return " / ".join(cells)


def _minutes(seconds: float | None) -> str:
    """Return whole minutes, rounded down: nothing is there that is not."""
    if seconds is None:
        return "-"
    return "0" if seconds < 0 else f"{seconds // 60:.0f}"
