"""A changed set list on paper: the new running order, what no longer holds, who holds what now."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

from kitplan.paper.layout import blocks, bullets, counted, heading, joined, paragraph, table_text
from kitplan.paper.losses import GOAL_WORDS
from kitplan.paper.names import Names
from kitplan.paper.shots import clock
from kitplan.plan.records import Plan
from kitplan.shoot.records import Shoot
from kitplan.whatif.songs import NewHold, NewSongs


def songs_text(new: NewSongs) -> str:
    """Return a changed set list as a page."""
    (shoot,) = new.plan.shoots.values()
    (was,) = new.before.shoots.values()
    names = Names(new.plan)
    losses = list(_losses(new))
    stays = f"{len(new.plan.placements)} of {counted(len(new.before.placements), 'camera')}"
    words = f"{counted(len(shoot.songs), 'song')}. {stays} stay as they are rigged."
    if new.dropped:
        words += f" Dropped: {joined([song.label for song in new.dropped])}."
    moments = [f"{m.name} ({m.priority})" for song in new.dropped for m in song.moments]
    if moments:
        words += f" With them go the moments {joined(moments)}."
    parts = [heading(f"New set list: {new.plan.title}"), paragraph(words)]
    parts += [
        _order_text(shoot, was),
        heading("No longer holds", "-") if losses else "",
        bullets(losses),
    ]
    if not losses:
        parts.append(paragraph("Everything that held still holds."))
    parts += [_goals_text(new), _holds_text(new, names)]
    return blocks(*parts)


def songs_records(new: NewSongs) -> dict[str, Any]:
    """Return the same as plain data."""
    (shoot,) = new.plan.shoots.values()
    return {
        "songs": [
            {"id": song.id, "length_s": song.length_s, "gap_s": song.gap_s} for song in shoot.songs
        ],
        "dropped": [song.id for song in new.dropped],
        "moments_lost": [
            {"song": song.id, "moment": moment.name} for song, moment in new.moments_lost
        ],
        "later_ends": [{"pass": each.id, "minutes": late} for each, late in new.later_ends],
        "gone": [
            {
                "pass_id": each.placement.pass_id,
                "letter": each.placement.letter,
                "reason": each.reason,
            }
            for each in new.gone
        ],
        "unmet": list(new.unmet),
        "unheld": [{"song": song, "moment": moment} for song, moment in new.unheld],
        "goals": {
            goal: {"before": new.before.value_of(goal), "after": new.plan.value_of(goal)}
            for goal in GOAL_WORDS
        },
        "holds": [
            {
                "pass_id": each.pass_id,
                "letter": each.letter,
                "song": each.song,
                "before": [shot.model_dump() for shot in each.before],
                "after": [shot.model_dump() for shot in each.after],
            }
            for each in new.holds
        ],
    }


def _order_text(shoot: Shoot, was: Shoot) -> str:
    """The songs in their new order, with where they stood and when they begin in the master."""
    each = shoot.master
    runs = {song.id for song in shoot.run_songs(each)}
    old = {song.id: number for number, song in enumerate(was.songs, start=1)}
    rows, now = [], each.start
    for number, song in enumerate(shoot.songs, start=1):
        before = was.songs_by_id[song.id]
        is_run = song.id in runs
        rows.append(
            (
                f"{number}",
                "" if old[song.id] == number else f"{old[song.id]}",
                song.label,
                f"{now:%H:%M:%S}" if is_run else "not run",
                _changed(song.length_s, before.length_s),
                _changed(song.gap_s, before.gap_s),
            )
        )
        now += timedelta(seconds=(song.length_s + song.gap_s) * is_run)
    return table_text(("", "was", "song", f"begins, {each.label}", "length", "gap"), rows)


def _changed(now_s: float, before_s: float) -> str:
    return clock(now_s) if now_s == before_s else f"{clock(now_s)} (was {clock(before_s)})"


def _losses(new: NewSongs) -> Iterator[str]:
    yield from new.unmet
    for each in new.gone:
        label = Names(new.before).pass_label(each.placement.pass_id)
        yield f"{label}, camera {each.placement.letter} stays at home: {each.reason}."
    (was,) = new.before.shoots.values()
    for song, name in new.unheld:
        yield f"Nobody holds '{name}' in {was.songs_by_id[song].label} any more."
    for lost, moment in new.moments_lost:
        yield f"'{moment.name}' lies behind the new end of {lost.label}: it is taken out."
    for late, minutes in new.later_ends:
        (shoot,) = new.plan.shoots.values()
        yield f"{late.label} ends {minutes:.0f} min later, at {shoot.end_of(late):%H:%M}."


def _goals_text(new: NewSongs) -> str:
    rows = [
        (words, f"{abs(before):.4g}", f"{abs(after):.4g}")
        for goal, words in GOAL_WORDS.items()
        if (before := new.before.value_of(goal)) != (after := new.plan.value_of(goal))
    ]
    return table_text(("", "before", "after"), rows) if rows else ""


def _holds_text(new: NewSongs, names: Names) -> str:
    """What operators have to be told: the songs in which they hold something else now."""
    if not new.holds:
        return paragraph("Nobody holds another shot in any song than before.")
    rows = [
        (
            f"{each.letter}, {names.pass_label(each.pass_id)}",
            new.plan.pass_of(each.pass_id)[0].songs_by_id[each.song].label,
            _shots(new.plan, each, is_after=False),
            _shots(new.plan, each, is_after=True),
        )
        for each in new.holds
    ]
    table = table_text(("camera", "song", "held before", "holds now"), rows)
    return blocks(heading("Other shots than before", "-"), table)


def _shots(plan: Plan, each: NewHold, *, is_after: bool) -> str:
    names = Names(plan)
    shots = each.after if is_after else each.before
    return ", then ".join(names.framing(each.pass_id, shot) for shot in shots) or "nothing"
