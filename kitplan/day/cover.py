"""The proof of cover: whether every second of every song has a usable shot, and the safety holds.

A second is covered if in some pass whose pictures can stand anywhere in the edit of that song (live
or locked to it) a camera with a usable shot rolls then. Each pass that needs a safety shot must
have it rolling in every song that it runs. Exact to the second; repairs are found in `mending`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kitplan.day.mending import MOST_TRIALS, MOST_TRIALS_IF_HARD, repair_of
from kitplan.day.rolls import days_of, roll_pass
from kitplan.day.rolls.recorders import PassDay, Recorder
from kitplan.plan.day.rolls import Clip, Cover, Ending, RollPlan, Standing, Uncovered
from kitplan.plan.day.shots import ShotSheets
from kitplan.plan.records import Plan
from kitplan.shoot.brief import THIRDS


def cover_of(plan: Plan, rolls: RollPlan, sheets: ShotSheets | None = None) -> Cover:
    """Return what is not covered in a plan, with causes and the smallest repairs found."""
    days = days_of(plan, sheets)
    found = tuple(uncovered(plan, days, rolls))
    tried: dict[str, tuple[Uncovered, ...]] = {}
    most = MOST_TRIALS if rolls.is_proven else MOST_TRIALS_IF_HARD

    def left(day: PassDay) -> tuple[Uncovered, ...]:
        changed = roll_pass(day)
        others = tuple(day if each.pass_id == day.pass_id else each for each in days)
        kept = tuple(roll for roll in rolls.rolls if roll.pass_id != day.pass_id)
        return tuple(
            uncovered(plan, others, changed.model_copy(update={"rolls": kept + changed.rolls}))
        )

    return Cover(
        uncovered=tuple(
            each.model_copy(
                update={"repair": repair_of(plan, days, found, each, left, tried, sheets, most)}
            )
            for each in found
        )
    )


def uncovered(plan: Plan, days: Sequence[PassDay], rolls: RollPlan) -> Iterator[Uncovered]:
    """Yield every stretch that is not covered, without a repair."""
    clips = {(roll.pass_id, roll.letter): roll.clips for roll in rolls.rolls}
    for shoot_id, shoot in plan.shoots.items():
        own = [day for day in days if day.pass_id.partition("/")[0] == shoot_id]
        for song in shoot.songs:
            yield from _without_shot(own, clips, song.id, song.length_s)
        for day in own:
            if day.each.needs_safety:
                yield from _without_safety(day, clips)


AllClips = dict[tuple[str, str], tuple[Clip, ...]]


def _without_shot(
    days: Sequence[PassDay], clips: AllClips, song: str, length_s: float
) -> Iterator[Uncovered]:
    """Yield where no pass on offer has a usable shot of a song."""
    offered = [
        (day, index)
        for day in days
        for index, row in enumerate(day.songs)
        if row.song.id == song and day.worth(index) == THIRDS["live"]
    ]
    rolling, cameras = [], []
    end = int(-(-length_s // 1))
    for day, index in offered:
        row = day.songs[index]
        end = row.end_s - row.start_s
        for r in day.recorders:
            if any(r.weights[index]):
                cameras.append((day, r, row.start_s))
                own = clips[day.pass_id, r.letter]
                rolling += [(c.start_s - row.start_s, c.end_s - row.start_s) for c in own]
    for begin, until in gaps_between(rolling, 0, end):
        stands = tuple(_stands(clips, d, r, begin + at) for d, r, at in cameras)
        yield Uncovered(
            song=song, pass_id=None, start_s=begin, end_s=until, stands=stands, repair=""
        )


def _without_safety(day: PassDay, clips: AllClips) -> Iterator[Uncovered]:
    """Yield where the safety shot of a pass stands still in a song, or is of no use."""
    safe = [r for r in day.recorders if r.is_safety]
    for index, row in enumerate(day.songs):
        if not day.worth(index):
            continue
        able = [r for r in safe if any(r.weights[index])]
        rolling = [(c.start_s, c.end_s) for r in able for c in clips[day.pass_id, r.letter]]
        for begin, until in gaps_between(rolling, row.start_s, row.end_s):
            yield Uncovered(
                song=row.song.id,
                pass_id=day.pass_id,
                start_s=begin - row.start_s,
                end_s=until - row.start_s,
                stands=tuple(_stands(clips, day, r, begin) for r in able),
                repair="",
            )


def _stands(clips: AllClips, day: PassDay, recorder: Recorder, at_s: float) -> Standing:
    past = [c for c in clips[day.pass_id, recorder.letter] if c.end_s <= at_s]
    cause: Ending = past[-1].ends_by if past else "hand"
    return Standing(pass_id=day.pass_id, letter=recorder.letter, cause=cause)


def gaps_between(
    spans: Sequence[tuple[float, float]], begin_s: int, end_s: int
) -> Iterator[tuple[int, int]]:
    """Yield the parts of a stretch that none of some spans covers."""
    at: float = begin_s
    for begin, end in sorted(spans):
        if begin >= end_s:
            break
        if begin > at:
            yield int(at), int(begin)
        at = max(at, end)
    if at < end_s:
        yield int(at), end_s
