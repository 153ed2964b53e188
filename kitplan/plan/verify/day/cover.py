"""The check of the cover: every stretch without a usable shot or a safety shot, re-derived."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from kitplan.plan.day.rolls import Clip, Ending
from kitplan.plan.records import Placement, Plan
from kitplan.plan.verify.day.clocked import Clocked, PassClock
from kitplan.plan.verify.day.rolls import can_be_followed, clocks_of
from kitplan.plan.verify.findings import Finding
from kitplan.plan.verify.scene import THIRDS, Scene

Hole = tuple[str, str | None, float, float, tuple[tuple[str, str, Ending], ...]]
"""Song, pass (for a safety shot), from, to, who stands still and why."""


def cover_findings(plan: Plan, scenes: Mapping[str, Scene]) -> Iterator[Finding]:
    """Yield what does not hold in the cover of a plan; scenes by shoot id."""
    if plan.day is None or plan.day.cover is None:
        return
    if plan.day.rolls is None:
        yield Finding(
            "cover", "cover", "there is no roll plan that it rests on", "Plan rolls first"
        )
        return
    clocks = list(clocks_of(plan, scenes))
    if not all(map(can_be_followed, clocks)):
        return  # the check of the rolls has said so
    stated = sorted(
        (
            (
                each.song,
                each.pass_id,
                each.start_s,
                each.end_s,
                tuple(sorted((s.pass_id, s.letter, s.cause) for s in each.stands)),
            )
            for each in plan.day.cover.uncovered
        ),
        key=str,
    )
    derived = sorted(_holes(plan, clocks), key=str)
    for hole in derived:
        if hole not in stated:
            yield Finding("cover", _where(hole), "this stretch is left out", "It is not covered")
    for hole in stated:
        if hole not in derived:
            wrong = "this stretch, or who stands still in it, is not what its clips say"
            yield Finding("cover", _where(hole), wrong, "List what is uncovered and nothing else")
    if len(set(stated)) != len(stated):
        yield Finding("cover", "cover", "a stretch is listed twice", "Each once")


def _where(hole: Hole) -> str:
    song, pass_id, begin, end, _ = hole
    return f"{pass_id or 'any pass'}, {song}, {begin:g} to {end:g} s"


def _holes(plan: Plan, clocks: list[PassClock]) -> Iterator[Hole]:
    assert plan.day is not None
    assert plan.day.rolls is not None
    clips = {(roll.pass_id, roll.letter): roll.clips for roll in plan.day.rolls.rolls}
    for shoot_id, shoot in plan.shoots.items():
        own = [clock for clock in clocks if clock.pass_id.startswith(f"{shoot_id}/")]
        for song in shoot.songs:
            rows = [
                (clock, row)
                for clock in own
                for row in clock.songs
                if row.song.id == song.id and clock.worth(song) == THIRDS["live"]
            ]
            for begin, end, stands in _dark(rows, clips, song.length_s):
                yield (song.id, None, begin, end, stands)
        for clock in own:
            for row in clock.songs if clock.each.needs_safety else ():
                if not clock.worth(row.song):
                    continue
                rows = [(clock, row)]
                for begin, end, stands in _dark(rows, clips, row.song.length_s, is_safety=True):
                    yield (row.song.id, clock.pass_id, begin, end, stands)


def _dark(
    rows: list[tuple[PassClock, Clocked]],
    clips: Mapping[tuple[str, str], tuple[Clip, ...]],
    length_s: float,
    *,
    is_safety: bool = False,
) -> Iterator[tuple[int, int, tuple[tuple[str, str, Ending], ...]]]:
    """Yield the runs of seconds of a song in which no camera of some passes rolls usably."""
    cameras: list[tuple[PassClock, Clocked, Placement]] = [
        (clock, row, placement)
        for clock, row in rows
        for placement in clock.placements.values()
        if clock.framed(placement, row.song) and (clock.is_safety(placement) or not is_safety)
    ]
    length = rows[-1][1].end - rows[-1][1].begin if rows else int(-(-length_s // 1))
    begin: int | None = None
    for second in range(length + 1):
        is_lit = second == length or any(
            clip.start_s <= row.begin + second and row.begin + second + 1 <= clip.end_s
            for clock, row, placement in cameras
            for clip in clips.get((clock.pass_id, placement.letter), ())
        )
        if not is_lit and begin is None:
            begin = second
        if is_lit and begin is not None:
            yield begin, second, _stand(cameras, clips, begin)
            begin = None


def _stand(
    cameras: list[tuple[PassClock, Clocked, Placement]],
    clips: Mapping[tuple[str, str], tuple[Clip, ...]],
    second: int,
) -> tuple[tuple[str, str, Ending], ...]:
    found = []
    for clock, row, placement in cameras:
        mine = clips.get((clock.pass_id, placement.letter), ())
        cause: Ending = "hand"
        for clip in mine:
            if clip.end_s <= row.begin + second:
                cause = clip.ends_by
        found.append((clock.pass_id, placement.letter, cause))
    return tuple(sorted(found))
