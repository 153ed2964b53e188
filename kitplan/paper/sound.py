"""The sound as text: setups with their units, what they lack, whose recording is the master."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from kitplan.gear.records import Sound
from kitplan.paper.layout import blocks, bullets, heading, joined, paragraph, table_text
from kitplan.paper.names import Names, when
from kitplan.plan.day.sound import SongMaster, SoundPlan, SoundRun
from kitplan.plan.heard import lacks_of
from kitplan.plan.records import Plan

ALWAYS = (
    "Scratch sound is on in every camera: it is what pictures are put in step by.",
    "At each roll, of cameras and recorders: show a clock with the time of day to every lens, then "
    "one loud clap that all can see and hear; another clap before the last stop shows the drift.",
    "Levels: set at the sound check on the loudest piece with 12 dB of room, or before the doors; "
    "then leave them. Headphones on whoever checks.",
)
PHANTOM = "Phantom power only on the channels named; never into a feed from the desk."
NO_SOUND = (
    "No sound setup is listed in the shoot (`sound`): the only sound is what the cameras record."
)


def sound_text(plan: Plan) -> str:
    """Return the sound of a plan."""
    names, sound = Names(plan), plan.day.sound if plan.day else None
    if sound is None:
        return blocks(heading(f"Sound: {plan.title}"), paragraph(NO_SOUND), bullets(ALWAYS[:2]))
    return blocks(
        heading(f"Sound: {plan.title}"),
        *(_pass_text(names, sound, pass_id) for pass_id in plan.pass_ids()),
        _masters_text(names, sound),
        bullets([*ALWAYS, *([PHANTOM] if any(run.phantom for run in sound.runs) else [])]),
    )


def sound_records(plan: Plan) -> dict[str, Any]:
    """Return the same as plain data."""
    sound = plan.day.sound if plan.day else None
    return (sound or SoundPlan(runs=(), masters=())).model_dump()


def _pass_text(names: Names, sound: SoundPlan, pass_id: str) -> str:
    shoot, each = names.plan.pass_of(pass_id)
    runs = [run for run in sound.runs if run.pass_id == pass_id]
    if not runs:
        nothing = paragraph("No sound setup records it: only the cameras do.")
        return blocks(heading(f"{names.pass_label(pass_id)}: {when(shoot, each)}", "-"), nothing)
    return blocks(
        heading(f"{names.pass_label(pass_id)}: {when(shoot, each)}", "-"),
        *(_run_text(names, run) for run in runs),
    )


def _run_text(names: Names, run: SoundRun) -> str:
    shoot, _ = names.plan.pass_of(run.pass_id)
    setup = next(one for one in shoot.sound if one.id == run.setup)
    rows = (
        [] if run.recorder is None else [("recorder", run.recorder, names.unit(run.recorder), "")]
    )
    for unit in run.sources:
        phantom = "phantom power on" if unit in run.phantom else ""
        rows.append((_what(names, unit), unit, names.unit(unit), phantom))
    rows += [("battery", unit, names.unit(unit), "") for unit in run.batteries]
    rows += [("card", unit, names.unit(unit), "") for unit in run.cards]
    power = "on mains" if run.is_on_mains else joined(run.batteries) or "on what it has built in"
    if run.recorder is None:
        power = "without a recorder"
    rolls = "rolls" if run.holds else "should roll"
    lacks = [f"Lacks: {what} ({why})." for _, what, why in lacks_of(names.plan, run)]
    if not run.holds:
        lacks.append("It does not record the whole pass as it is.")
    return blocks(
        paragraph(f"{setup.label}, at {setup.at}: {rolls} {run.roll_min:.0f} min, {power}"),
        table_text(("", "unit", "thing", ""), rows) if rows else "",
        bullets(lacks),
    )


def _what(names: Names, unit: str) -> str:
    item = names.item_of(unit)
    return item.what.replace("-", " ") if isinstance(item, Sound) else item.kind


def _masters_text(names: Names, sound: SoundPlan) -> str:
    rows = [_master_row(names, master) for master in sound.masters]
    lines = list(_warnings(names, sound))
    return blocks(
        heading("Master sound of each song", "-"),
        table_text(("song", "from", "recorded by"), rows),
        bullets(lines),
    )


def _song(names: Names, master: SongMaster) -> str:
    for shoot_id, shoot in names.plan.shoots.items():
        is_of_it = master.pass_id is None or master.pass_id.startswith(f"{shoot_id}/")
        if is_of_it and master.song in shoot.songs_by_id:
            return shoot.songs_by_id[master.song].label
    return master.song


def _master_row(names: Names, master: SongMaster) -> tuple[str, str, str]:
    if master.pass_id is None:
        return _song(names, master), "no pass runs it", "nobody"
    shoot, _ = names.plan.pass_of(master.pass_id)
    label = {setup.id: setup.label for setup in shoot.sound}
    by = "nobody"
    if master.setup:
        by = label[master.setup]
    elif master.letter:
        by = f"camera {master.letter}, scratch sound"
    return _song(names, master), names.pass_label(master.pass_id), by


def _warnings(names: Names, sound: SoundPlan) -> Iterator[str]:
    scratch = [m for m in sound.masters if m.setup is None and m.letter is not None]
    silent = [m for m in sound.masters if m.pass_id and m.setup is None and m.letter is None]
    if scratch:
        yield (
            f"No setup records {joined([_song(names, m) for m in scratch])}: the scratch sound of "
            f"a camera is all there is."
        )
    if silent:
        yield f"Nothing records {joined([_song(names, m) for m in silent])}: no sound at all."
