"""What the pictures of a pass are good for in the edit, in words of promise."""

from __future__ import annotations

from kitplan.paper.layout import counted, joined
from kitplan.paper.names import Names
from kitplan.plan.records import Plan, Worth
from kitplan.shoot.records import Shoot


def songs_by_worth(plan: Plan, pass_id: str) -> dict[Worth, list[str]]:
    """Return the ids of the songs of a pass by what it is good for, in running order."""
    found: dict[Worth, list[str]] = {"live": [], "locks": [], "inserts": [], "none": []}
    for song_id, worth in plan.worth[pass_id].items():
        found[worth].append(song_id)
    return found


def promise(names: Names, pass_id: str, *, has_hold: bool = True) -> str:
    """Return what a pass is good for: 'Beside Show: locks to it in 3 songs; inserts only in 7.'

    Said of the whole pass: every placement of it is good for the same.

    Args:
        has_hold: Say also how long an insert holds.
    """
    shoot, each = names.plan.pass_of(pass_id)
    songs = songs_by_worth(names.plan, pass_id)
    words = []
    if songs["live"]:
        words.append(f"live in the show in {_how_many(songs['live'], shoot)}")
    if songs["locks"]:
        words.append(f"locks to it in {_how_many(songs['locks'], shoot)}")
    if songs["inserts"]:
        hold = _hold(shoot) if has_hold else ""
        words.append(f"inserts only in {_how_many(songs['inserts'], shoot)}{hold}")
    if songs["none"]:
        what = "not got" if shoot.past.is_over(each.id) else "not run"
        words.append(f"{what}: {joined([shoot.songs_by_id[s].label for s in songs['none']])}")
    text = f"{'; '.join(words)}."
    return text[:1].upper() + text[1:] if songs["live"] else f"Beside {shoot.master.label}: {text}"


def _how_many(songs: list[str], shoot: Shoot) -> str:
    return "every song" if len(songs) == len(shoot.songs) else counted(len(songs), "song")


def _hold(shoot: Shoot) -> str:
    """How long an insert holds before it is seen to be out of step."""
    rules = shoot.rules
    if rules.tempo_difference <= 0:
        return ""
    hold_s = rules.insert_frames / rules.tempo_difference / shoot.delivery.frame_rate_fps
    fine_s = hold_s * rules.fine_insert_share
    return f" (hold about {hold_s:.2g} s; lips, bows, sticks and slides {fine_s:.2g} s)"


def away_songs(names: Names, pass_id: str, operator: str | None) -> tuple[str, ...]:
    """Return the ids of the songs of a pass in which its operator performs."""
    shoot, each = names.plan.pass_of(pass_id)
    if operator is None or operator not in shoot.crew_by_id:
        return ()
    performs_in = shoot.crew_by_id[operator].performs_in
    return tuple(song.id for song in shoot.run_songs(each) if song.id in performs_in)
