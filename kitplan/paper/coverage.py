"""The proof of cover on paper: songs by cameras, what is not covered, repairs, moments."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from kitplan.paper.layout import (
    blocks,
    bullets,
    counted,
    heading,
    joined,
    paragraph,
    table_text,
)
from kitplan.paper.names import Names, when
from kitplan.paper.restarts import ENDINGS, rolls_of
from kitplan.paper.timed import clocks, minutes
from kitplan.plan.day.rolls import Cover, Uncovered
from kitplan.plan.framing import Framing
from kitplan.plan.records import Placement, Plan
from kitplan.plan.verify.day.clocked import Clocked, PassClock
from kitplan.plan.verify.scene import THIRDS
from kitplan.plan.verify.sight import is_as_tight
from kitplan.shoot.records import Moment, Song

CAMERAS_A_TABLE = 5
WORTH = {"locks": "locks to the show", "inserts": "inserts only", "none": "of no use"}
KEY = (
    "+3: so many more, on cue or from the menu. -: no usable shot. BLIND: the recorder stands "
    "still."
)
NOBODY = "no camera has a usable shot in it that can stand anywhere in the edit"


def coverage(plan: Plan, pass_name: str | None = None) -> str:
    """Return songs by cameras for each pass or one, the verdict, and who holds the moments.

    Raises:
        SettingError: If there is no pass of that name.
    """
    names = Names(plan)
    found = clocks(plan, names.pass_ids(pass_name))
    return blocks(
        heading(f"Cover: {plan.title}"),
        _verdict(names, _asked(plan, pass_name)),
        *(_pass_text(names, clock) for clock in found),
        paragraph(KEY),
        _moments_text(names),
    )


def coverage_records(plan: Plan, pass_name: str | None = None) -> dict[str, Any]:
    """Return the same as plain data.

    Raises:
        SettingError: If there is no pass of that name.
    """
    names, rolls = Names(plan), rolls_of(plan)
    asked = _asked(plan, pass_name)
    return {
        "is_throughout": not asked,
        "uncovered": [each.model_dump() for each in asked],
        "passes": [
            {
                "pass": clock.pass_id,
                "songs": [
                    {
                        "song": row.song.id,
                        "worth": clock.scene.worth(clock.each, row.song),
                        "cameras": {
                            letter: [f.model_dump() for f in shown(clock, p, row.song)]
                            for letter, p in clock.placements.items()
                        },
                        "blind": [
                            {
                                "letter": b.letter,
                                "start_s": b.start_s - row.begin,
                                "end_s": b.end_s - row.begin,
                                "cause": b.cause,
                            }
                            for b in rolls.blind
                            if (b.pass_id, b.song) == (clock.pass_id, row.song.id)
                        ],
                    }
                    for row in clock.songs
                ],
            }
            for clock in clocks(plan, names.pass_ids(pass_name))
        ],
        "moments": [
            {
                "song": song.id,
                "moment": moment.name,
                "priority": moment.priority,
                "holders": [{"pass": p.pass_id, "letter": p.letter} for p in holders],
            }
            for song, moment, holders in moments(plan)
        ],
    }


def cover_of(plan: Plan) -> Cover:
    """Return the cover of a plan that has one."""
    assert plan.day is not None
    assert plan.day.cover is not None
    return plan.day.cover


def _asked(plan: Plan, pass_name: str | None) -> tuple[Uncovered, ...]:
    """Return what is uncovered in the passes asked for; what no pass covers belongs to all."""
    ids = Names(plan).pass_ids(pass_name)
    return tuple(each for each in cover_of(plan).uncovered if each.pass_id in (None, *ids))


def _verdict(names: Names, asked: Sequence[Uncovered]) -> str:
    safe = [
        names.pass_label(pass_id)
        for pass_id in names.plan.pass_ids()
        if names.plan.pass_of(pass_id)[1].needs_safety
    ]
    if not asked:
        words = "Covered throughout: a usable shot rolls in every second of every song"
        if safe:
            words += f", and the safety shot never stops in a song of {joined(safe)}"
        return bullets((f"{words}.", *_standing(names)))
    number = counted(len(asked), "stretch", "stretches")
    lines = [f"NOT covered throughout: {number}, {_total(asked)} in all."]
    lines += [_uncovered_text(names, each) for each in asked]
    return bullets([*lines, *_standing(names)])


def uncovered_lines(names: Names) -> list[str]:
    """Return a sentence for each stretch of a song that is not covered, with its repair."""
    return [_uncovered_text(names, each) for each in cover_of(names.plan).uncovered]


def _standing(names: Names) -> Iterator[str]:
    """Yield which cameras stand still in songs although others cover them."""
    for pass_id in names.plan.pass_ids():
        blind = [each for each in rolls_of(names.plan).blind if each.pass_id == pass_id]
        seconds = dict.fromkeys(sorted({each.letter for each in blind}), 0.0)
        for each in blind:
            seconds[each.letter] += each.end_s - each.start_s
        if seconds:
            cameras = joined([f"{letter} {minutes(s)}" for letter, s in seconds.items()])
            yield f"{names.pass_label(pass_id)}: while songs run stand still {cameras} in all."


def _total(asked: Sequence[Uncovered]) -> str:
    return minutes(sum(each.end_s - each.start_s for each in asked))


def _uncovered_text(names: Names, each: Uncovered) -> str:
    what, cause = uncovered_words(names, each)
    return f"{what} ({cause}). Smallest repair found: {each.repair}."


def uncovered_words(names: Names, each: Uncovered) -> tuple[str, str]:
    """Return where nothing covers a song, from when to when, and why."""
    song = next(
        song.label
        for shoot in names.plan.shoots.values()
        for song in shoot.songs
        if song.id == each.song
    )
    what = "no usable shot" if each.pass_id is None else (
        f"no safety shot in {names.pass_label(each.pass_id)}"
    )  # fmt: skip
    cause = "; ".join(
        f"{names.pass_label(s.pass_id)}, camera {s.letter} {ENDINGS[s.cause]}" for s in each.stands
    )
    return f"{song}, {minutes(each.start_s)} to {minutes(each.end_s)}: {what}", cause or NOBODY


# -- songs by cameras ------------------------------------------------------------------------------


def _pass_text(names: Names, clock: PassClock) -> str:
    shoot, run = names.plan.pass_of(clock.pass_id)
    title = heading(f"{names.pass_label(clock.pass_id)}: {when(shoot, run)}", "-")
    letters = list(clock.placements)
    tables = []
    for first in range(0, len(letters), CAMERAS_A_TABLE):
        some = letters[first : first + CAMERAS_A_TABLE]
        rows = [
            (_song(clock, row), *(_cell(names, clock, letter, row) for letter in some))
            for row in clock.songs
        ]
        heads = [f"{x} {'safety' if clock.is_safety(clock.placements[x]) else ''}" for x in some]
        tables.append(table_text(("", *(head.strip() for head in heads)), rows, is_spaced=True))
    return blocks(title, *tables) if letters else blocks(title, "No camera rolls.")


def _song(clock: PassClock, row: Clocked) -> str:
    """Return the name of a song, with a word where the pass is not live in it."""
    worth = clock.scene.worth(clock.each, row.song)
    return row.song.label if worth == "live" else f"{row.song.label} ({WORTH[worth]})"


def _cell(names: Names, clock: PassClock, letter: str, row: Clocked) -> str:
    """Return what a camera shows in a song, and where it stands still."""
    placement = clock.placements[letter]
    shots = shown(clock, placement, row.song)
    lines = [names.framing(clock.pass_id, shots[0])] if shots else ["-"]
    if len(shots) > 1:
        lines[0] += f" +{len(shots) - 1}"
    for each in rolls_of(names.plan).blind:
        if (each.pass_id, each.letter, each.song) == (clock.pass_id, letter, row.song.id):
            begin, end = (minutes(at - row.begin) for at in (each.start_s, each.end_s))
            lines.append(f"BLIND {begin} to {end}")
    return "\n".join(lines)


def shown(clock: PassClock, placement: Placement, song: Song) -> tuple[Framing, ...]:
    """Return what a camera may show in a song, what it holds first; nothing where it is no use."""
    if not clock.framed(placement, song):
        return ()
    sheets = None if clock.plan.day is None else clock.plan.day.shots
    for sheet in () if sheets is None or placement.operator is None else sheets.sheets:
        if (sheet.pass_id, sheet.letter) == (clock.pass_id, placement.letter):
            return tuple(
                Framing(subject=shot.subject, size=shot.size)
                for row in sheet.songs
                if row.song == song.id
                for shot in (row.shot, *(cue.shot for cue in row.cues))
            )
    main = Framing(subject=placement.shot.subject, size=placement.shot.size)
    return (main, *placement.menu) if placement.operator is not None else (main,)


# -- moments ---------------------------------------------------------------------------------------


def moments(plan: Plan) -> Iterator[tuple[Song, Moment, tuple[Placement, ...]]]:
    """Yield every moment of every song with the cameras that hold it: first and second.

    From the shot sheets where there are any; else those that roll through it and have it, tight
    enough, as main shot, then those that have it on their menu.
    """
    sheets = None if plan.day is None else plan.day.shots
    found = clocks(plan, plan.pass_ids())
    for shoot_id, shoot in plan.shoots.items():
        own = [clock for clock in found if clock.pass_id.startswith(f"{shoot_id}/")]
        for song in shoot.songs:
            for moment in song.moments:
                if sheets is None:
                    yield song, moment, tuple(_holders(own, song, moment))[:2]
                    continue
                held = [
                    one
                    for row in sheets.moments
                    if (row.shoot, row.song, row.moment) == (shoot_id, song.id, moment.name)
                    for one in (row.first, row.second)
                    if one is not None
                ]
                by_id = {(p.pass_id, p.letter): p for p in plan.placements}
                yield song, moment, tuple(by_id[one] for one in held if one in by_id)


def _holders(own: Sequence[PassClock], song: Song, moment: Moment) -> list[Placement]:
    ranked = []
    for clock in own:
        if THIRDS[clock.scene.worth(clock.each, song)] < THIRDS["live"]:
            continue
        rolls = rolls_of(clock.plan)
        row = next((row for row in clock.songs if row.song.id == song.id), None)
        for letter, placement in clock.placements.items():
            tight = [
                n
                for n, shot in enumerate(shown(clock, placement, song))
                if shot.subject == moment.subject and is_as_tight(shot.size, moment.size)
            ]
            if row is None or not tight:
                continue
            begin = row.begin + moment.at_s
            end = min(begin + moment.length_s, row.end)
            is_blind = any(
                b.start_s < end and begin < b.end_s
                for b in rolls.blind
                if (b.pass_id, b.letter) == (clock.pass_id, letter)
            )
            if not is_blind:
                ranked.append(
                    (tight[0] > 0, -placement.shot.grade, clock.pass_id, letter, placement)
                )
    return [one[-1] for one in sorted(ranked, key=lambda one: one[:-1])]


def _moments_text(names: Names) -> str:
    rows = []
    for song, moment, holders in moments(names.plan):
        who = [f"{names.pass_label(p.pass_id)}, camera {p.letter}" for p in holders]
        first, second = (*who, "nobody", "nobody")[:2]
        rows.append((song.label, moment.name, moment.priority, first, second))
    if not rows:
        return ""
    table = table_text(("song", "moment", "", "held by", "second"), rows)
    sheets = None if names.plan.day is None else names.plan.day.shots
    title = "Moments" if sheets is not None else "Moments, by main shots and menus"
    return f"{heading(title, '-')}\n{table}"
