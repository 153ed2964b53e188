"""What a plan promises, and what it does not, in sentences for people who do not film."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kitplan.paper.detail import assumed_words
from kitplan.paper.forecast import forecast_parts
from kitplan.paper.lacks import (
    kit_lacks,
    moments_not_held,
    shortages,
    thin_songs,
)
from kitplan.paper.layout import counted, joined
from kitplan.paper.marks import down_to_step
from kitplan.paper.names import Names
from kitplan.paper.unmet import Unmet, unmet
from kitplan.plan.records import Day, Placement, Plan
from kitplan.shoot.brief import Brief
from kitplan.whatif.figures import MAIN_GOALS

MOST_NAMED = 4
"""More than these are counted."""
MOST_ROLES = 14


@dataclass(frozen=True)
class Promises:
    """Both sides, the most important first."""

    kept: tuple[str, ...]
    not_kept: tuple[str, ...]


def promises(names: Names) -> Promises:
    """Return what can be promised, and what cannot."""
    plan = names.plan
    if not plan.placements:
        return Promises((), ("No camera stands anywhere.",))
    day, cut = plan.day or Day(), tuple(forecast_parts(names))
    small = [each.what for each in kit_lacks(names)]
    kept = (
        *_safety(names, day),
        *_cover(plan, day),
        _viewpoints(plan),
        *_roles(names),
        *(typical for typical, _ in cut),
        *_moments(day),
        *_sound(names, day),
        *_work(day),
        *_copies(day),
    )
    not_kept = (
        *_stopped_early(plan),
        *dict.fromkeys(_unmet(names, each) for each in unmet(names)),
        *_some([f"{each.what}." for each in shortages(names)]),
        *_nobody_holds(names),
        *(f"Thinnest: {words}." for words in thin_songs(names)),
        *(line for _, breaks in cut for line in breaks),
        *([f"Not in the kit: {joined(small)}."] if small else []),
        *_assumed(names),
    )
    return Promises(kept, not_kept)


def safety_shot(plan: Plan, pass_id: str) -> Placement | None:
    """Return the placement of a pass that holds the safety shot."""
    shoot, _ = plan.pass_of(pass_id)
    safe = {role.id for role in Brief(shoot, plan.kit).roles if role.is_safety}
    return next((p for p in plan.placements_in(pass_id) if safe & set(p.roles)), None)


# -- promised --------------------------------------------------------------------------------------


def _safety(names: Names, day: Day) -> Iterator[str]:
    found = [(each, safety_shot(names.plan, each)) for each in names.plan.pass_ids()]
    stops = {each.pass_id for each in day.cover.uncovered} if day.cover else set()
    held = [
        f"camera {placement.letter} in {names.pass_label(pass_id)}"
        for pass_id, placement in found
        if placement is not None and pass_id not in stops
    ]
    if held:
        never = ", never stopped inside a song" if day.cover else ""
        yield f"One safe shot of the whole{never}: {joined(held)}."


def _cover(plan: Plan, day: Day) -> Iterator[str]:
    if day.cover is not None and day.cover.is_throughout:
        songs = sum(len(shoot.songs) for shoot in plan.shoots.values())
        of = "the song" if songs == 1 else f"all {songs} songs"
        yield f"A usable picture in every second of {of}."


def _viewpoints(plan: Plan) -> str:
    letters = {placement.letter for placement in plan.placements}
    views = [placement for placement in plan.placements if placement.is_counted]
    operated = sum(view.manner == "operated" for view in views)
    text = (
        f"{counted(len(views), 'really different viewpoint')} from "
        f"{counted(len(letters), 'camera')}"
    )
    if operated == len(views):
        return f"{text}, all with somebody behind the camera."
    if not operated:
        return f"{text}, all locked off."
    return (
        f"{text}: {operated} with somebody behind the camera, {len(views) - operated} locked off."
    )


def _roles(names: Names) -> Iterator[str]:
    """Say which roles are met everywhere they were asked for."""
    asked = [each for each in names.plan.demands if each.kind == "role"]
    missed = {each.id for each in asked if not each.is_met}
    ids = list(dict.fromkeys(each.id for each in asked))
    met = [_role(names, role) for role in ids if role not in missed]
    if not met:
        return
    if len(met) > MOST_ROLES:
        yield f"{len(met)} of {len(ids)} camera roles that were asked for."
        return
    start = "All camera roles" if len(met) == len(ids) else f"{len(met)} of {len(ids)} camera roles"
    yield f"{start} that were asked for: {', '.join(met)}."


def _role(names: Names, role_id: str) -> str:
    for shoot in names.plan.shoots.values():
        if role_id in shoot.roles_by_id:
            return shoot.roles_by_id[role_id].label
    return "Safety shot"


def _moments(day: Day) -> Iterator[str]:
    moments = day.shots.moments if day.shots else ()
    held = [row for row in moments if row.first is not None]
    if not held:
        return
    second = sum(row.second is not None for row in held)
    number = counted(len(moments), "moment")
    start = f"All {number}" if len(held) == len(moments) > 1 else f"{len(held)} of {number}"
    twice = f", {second} of them by a second one too" if second else ""
    if second == len(held):
        twice = " and by a second one"
    yield f"{start} held by a camera{twice}."


def _sound(names: Names, day: Day) -> Iterator[str]:
    masters = [m for m in day.sound.masters if m.pass_id] if day.sound else []
    if not masters or any(master.setup is None for master in masters):
        return
    labels: dict[str, None] = {}
    for master in masters:
        shoot, _ = names.plan.pass_of(str(master.pass_id))
        labels |= {setup.label: None for setup in shoot.sound if setup.id == master.setup}
    yield f"Sound of every song on a recorder of its own: {joined(list(labels))}."


def _work(day: Day) -> Iterator[str]:
    between = [g for g in day.work.gaps if g.after and g.before] if day.work else []
    slack = [gap.slack_s for gap in between if gap.slack_s is not None]
    if between and slack and not any(gap.reason for gap in between):
        least = down_to_step(min(slack) / 60)
        yield f"The work between the passes is done in time, with at least {least} min to spare."


def _copies(day: Day) -> Iterator[str]:
    if day.media is not None and day.media.copies:
        disks = counted(day.media.disks, "disk")
        yield f"Every card copied to {disks}: {day.media.total_gb:.0f} GB."


# -- not promised ----------------------------------------------------------------------------------


def _stopped_early(plan: Plan) -> Iterator[str]:
    if plan.status == "stopped-early":
        yield "The search was stopped early: this is the best plan so far."


def _unmet(names: Names, each: Unmet) -> str:
    why = {
        "must": "MISSED, though it must be there",
        "want": "other wants took the cameras",
        "nice": "it would have been nice",
    }[each.demand.priority]
    instead = f"; {joined(each.instead)} can frame it between other shots" if each.instead else ""
    asked = [d for d in names.plan.demands if (d.kind, d.id) == (each.demand.kind, each.demand.id)]
    words = each.demand.words
    if each.demand.kind == "role" and not any(demand.is_met for demand in asked):
        words = _role(names, each.demand.id)  # missed in every pass that it was asked for
    return f"{words[:1].upper()}{words[1:]}: {why}{instead}."


def _some(lines: Sequence[str]) -> Iterator[str]:
    yield from lines[:MOST_NAMED]
    if len(lines) > MOST_NAMED:
        yield f"{len(lines) - MOST_NAMED} more on the shortfall list."


def _nobody_holds(names: Names) -> Iterator[str]:
    found = moments_not_held(names)
    if not found:
        return
    named = [f"{each.moment.name} ({each.song.label})" for each in found[:MOST_NAMED]]
    more = len(found) - len(named)
    if more:
        named.append(f"{more} more")
    yield f"Nobody holds {joined(named)}."


def _assumed(names: Names) -> Iterator[str]:
    words = assumed_words(names)
    if words:
        yield words


def best_words(plan: Plan) -> str:
    """Return, for small print, whether there could be a better plan."""
    proven = {goal.goal for goal in plan.goals if goal.is_proven}
    if proven.issuperset(MAIN_GOALS):
        return (
            "Proven: with this kit, crew and schedule no plan fills more of the wanted roles, or "
            "gives more viewpoints beside them."
        )
    return "The best plan found in the time given; a longer search may find a better one."
