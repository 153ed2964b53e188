"""The plan on a page: what can be promised, who stands where with what, what was not to be had."""

from __future__ import annotations

from kitplan.gear.upkeep import doubts
from kitplan.paper.away import away_lines
from kitplan.paper.cautions import cautions
from kitplan.paper.day import day_lines
from kitplan.paper.goals import goals_table
from kitplan.paper.layout import (
    blocks,
    bullets,
    counted,
    heading,
    joined,
    paragraph,
    table_text,
)
from kitplan.paper.marks import down_to_step, speed, up_to_step
from kitplan.paper.names import Names, settings, when
from kitplan.paper.pictures import picture_lines, pictures_table
from kitplan.paper.unmet import unmet_lines
from kitplan.paper.worth import away_songs, promise
from kitplan.plan.brought import brought
from kitplan.plan.records import Placement, Plan, Reset
from kitplan.whatif.figures import offers

HEADERS = ("cam", "position", "rig", "who", "frames", "role")


def summary(plan: Plan, *, is_detailed: bool = False) -> str:
    """Return the plan on a page; in detail with the goals, what is left out and what is assumed."""
    names = Names(plan)
    parts = [
        heading(plan.title),
        in_short(plan),
        *(_pass_block(names, pass_id) for pass_id in plan.pass_ids()),
        _viewpoints(names),
        _forecast(names, is_detailed=is_detailed),
        _section("In the picture", picture_lines(names)),
        unmet_lines(names),
        _section("Owned, but away", away_lines(names)),
        _resets(names),
        _section("The day", day_lines(plan)),
        _section("Look at first", _doubts(plan)),
        _section("Mind", cautions(names)),
    ]
    if is_detailed:
        from kitplan.paper.detail import assumed_facts, left_out

        parts += [
            heading("How good it is", "-") + "\n" + goals_table(plan),
            *_pictures(names),
            left_out(names),
            assumed_facts(names),
        ]
    return blocks(*parts)


def _doubts(plan: Plan) -> list[str]:
    """Return what is worn, faulty or due of what the plan takes along."""
    used = {unit for pass_id in plan.pass_ids() for unit in brought(plan, pass_id)}
    days = [plan.pass_of(pass_id)[1].start.date() for pass_id in plan.pass_ids()]
    return doubts(plan.kit, used, max(days)) if days else []


def _section(title: str, lines: list[str]) -> str:
    return f"{heading(title, '-')}\n{bullets(lines)}" if lines else ""


def in_short(plan: Plan) -> str:
    """Return venue, numbers and musts in a few sentences."""
    letters = {placement.letter for placement in plan.placements}
    views = [placement for placement in plan.placements if placement.is_counted]
    operated = sum(view.manner == "operated" for view in views)
    venues = {shoot.venue.name for shoot in plan.shoots.values()}
    rates = sorted({shoot.delivery.frame_rate_fps for shoot in plan.shoots.values()})
    missed = sum(d.priority == "must" and not d.is_met for d in plan.demands)
    musts = "Every must is met." if not missed else f"{counted(missed, 'must')} MISSED, see below."
    early = " The search was stopped early: this is the best plan so far."
    return paragraph(
        f"{joined(sorted(venues))}. {counted(len(plan.pass_ids()), 'pass', 'passes')}, "
        f"{counted(len(letters), 'camera')}, {counted(len(views), 'distinct viewpoint')}: "
        f"{operated} operated, {len(views) - operated} locked off. {musts} "
        f"All cameras: {joined([f'{rate:g}' for rate in rates])} frames a second, "
        f"shutter {speed(plan.shutter_s)}.{early if plan.status == 'stopped-early' else ''}"
    )


def _pass_block(names: Names, pass_id: str) -> str:
    shoot, each = names.plan.pass_of(pass_id)
    placements = names.plan.placements_in(pass_id)
    title = f"{names.pass_label(pass_id)}: {when(shoot, each)}"
    rows = [_row(names, placement) for placement in placements]
    body = table_text(HEADERS, rows, is_spaced=True) if rows else "No camera stands in this pass."
    return "\n".join([heading(title, "-"), paragraph(promise(names, pass_id)), "", body])


def _row(names: Names, placement: Placement) -> tuple[str, ...]:
    return (
        placement.letter,
        names.place(placement),
        f"{names.camera(placement)}\non {names.stand(placement)}",
        names.operator(placement),
        f"{names.framing(placement.pass_id, placement.shot)}\n{settings(placement.shot)}",
        names.roles(placement) or "free choice",
    )


def _viewpoints(names: Names) -> str:
    return _section("Distinct viewpoints", viewpoint_lines(names))


def viewpoint_lines(names: Names) -> list[str]:
    """Return which cameras bring no new view, the thinnest song, who is away when."""
    plan = names.plan
    lines = []
    for pass_id in plan.pass_ids():
        again = [p.letter for p in plan.placements_in(pass_id) if not p.is_counted]
        if again:
            lines.append(
                f"{names.pass_label(pass_id)}, {_cameras(again)}: no viewpoint of its own, since "
                f"another placement shows nearly the same, or the picture is too weak to count."
            )
        for placement in plan.placements_in(pass_id):
            away = away_songs(names, pass_id, placement.operator)
            if away:
                shoot, _ = plan.pass_of(pass_id)
                songs = joined([shoot.songs_by_id[song].label for song in away])
                lines.append(
                    f"{names.pass_label(pass_id)}, camera {placement.letter}: "
                    f"{names.operator(placement)} is on stage in {songs}; nobody frames then."
                )
    for shoot_id in plan.shoots:
        lines.append(_thinnest(plan, shoot_id))
    return lines


def _forecast(names: Names, *, is_detailed: bool) -> str:
    from kitplan.paper.forecast import TITLE, forecast_lines, forecast_text

    if not names.plan.placements:
        return ""
    short = _section(TITLE, forecast_lines(names))
    return blocks(short, forecast_text(names, has_title=False)) if is_detailed else short


def _pictures(names: Names) -> list[str]:
    """The figures of every picture, a table for each pass."""
    return [
        f"{heading(f'What each camera sees, {names.pass_label(pass_id)}', '-')}\n{table}"
        for pass_id in names.plan.pass_ids()
        if (table := pictures_table(names, pass_id))
    ]


def _thinnest(plan: Plan, shoot_id: str) -> str:
    shoot = plan.shoots[shoot_id]
    offered = offers(plan, shoot_id)
    least = min(offered.values())
    thin = [shoot.songs_by_id[song].label for song, count in offered.items() if count == least]
    most = max(offered.values())
    if least == most:
        return f"Every song can be cut between {counted(least, 'viewpoint')}, inserts not counted."
    return (
        f"Thinnest: {counted(least, 'viewpoint')} in {_some(thin)}; "
        f"up to {most} elsewhere, inserts not counted."
    )


def _some(labels: list[str]) -> str:
    return joined(labels) if len(labels) <= 4 else f"{len(labels)} songs"


def _cameras(letters: list[str]) -> str:
    return f"camera {letters[0]}" if len(letters) == 1 else f"cameras {joined(letters)}"


def _resets(names: Names) -> str:
    return _section("Between passes", reset_lines(names))


def reset_lines(names: Names) -> list[str]:
    """Return a sentence or two on the work of every reset."""
    return [_reset(names, reset) for reset in names.plan.resets]


def _reset(names: Names, reset: Reset) -> str:
    work, available = up_to_step(reset.work_min), down_to_step(reset.available_min)
    match reset.stays:
        case ():
            stays = "No camera keeps both its place and its rig"
        case (letter,):
            stays = f"Camera {letter} stays where it is"
        case letters:
            stays = f"Cameras {joined(letters)} stay where they are"
    return (
        f"{names.pass_label(reset.after)} to {names.pass_label(reset.before)}: about {work} "
        f"person-minutes of work, {available} available with slack kept. {stays}."
    )
