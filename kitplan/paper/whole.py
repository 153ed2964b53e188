"""Whether a plan file names only what it holds: papers look everything up by id."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from kitplan.errors import PlanFileError
from kitplan.gear.records import Battery, Body, Case, Media, Sound
from kitplan.plan.day.rolls import ROLL_GOALS
from kitplan.plan.day.shots import SHOT_GOALS, MomentHeld
from kitplan.plan.records import Day, Placement, Plan
from kitplan.shoot.checks import clock, ground, names

SHOOT_CHECKS = (
    names.repeated_ids,
    names.unknown_names,
    names.unknown_floors,
    names.circular_groups,
    clock.unknown_zone,
    ground.wrong_outlines,
)
"""What everybody relies on who reads a shoot; a shoot file is held against much more."""
RIG_KINDS = ("body", "lens", "adapter", "head", "support")


def require_whole(plan: Plan, where: str) -> None:
    """Refuse a plan that names what it does not hold, as one that was changed by hand may.

    Raises:
        PlanFileError: With the first such name.
    """
    for wrong in _strays(plan):
        raise PlanFileError(
            f"it is damaged: {wrong}",
            where=where,
            fix="`kitplan verify` lists all that is wrong; plan again with `kitplan plan SHOOT`",
        )


def _strays(plan: Plan) -> Iterator[str]:
    items = {unit.id: plan.kit.items_by_id.get(unit.item) for unit in plan.kit.units}
    kinds = {unit: item.kind for unit, item in items.items() if item is not None}
    for unit in items.keys() - kinds.keys():
        yield f"the kit has no item for the unit {unit}"
    yield from _shoot_strays(plan)
    passes = set(plan.pass_ids())
    for placement in plan.placements:
        if placement.pass_id not in passes:
            yield f"there is no pass {placement.pass_id}"
            continue
        yield from _place_strays(plan, placement)
        for part in RIG_KINDS:
            unit_id = getattr(placement.rig, part)
            if unit_id is not None and kinds.get(unit_id) != part:
                yield f"the kit has no {part} {unit_id}"
        for unit_id in placement.units:
            if unit_id not in kinds:
                yield f"the kit has no unit {unit_id}"
        yield from _supply_strays(plan, placement)
    yield from _day_strays(plan, kinds, passes)
    yield from _roll_strays(plan, passes)
    yield from _sheet_strays(plan)
    yield from _packing_strays(plan, kinds)


def _shoot_strays(plan: Plan) -> Iterator[str]:
    """What the shoots name themselves, what each pass is worth in each song, what is left out."""
    for shoot_id, shoot in plan.shoots.items():
        yield from (fault.wrong for check in SHOOT_CHECKS for fault in check(shoot))
        for each in shoot.passes:
            worth = plan.worth.get(f"{shoot_id}/{each.id}", {})
            for song in shoot.songs:
                if song.id not in worth:
                    yield f"it does not say what {shoot_id}/{each.id} is worth in song {song.id}"
    for pass_id, songs in plan.worth.items():
        if pass_id not in plan.pass_ids():
            yield f"there is no pass {pass_id}"
            continue
        known = plan.pass_of(pass_id)[0].songs_by_id
        yield from (f"there is no song {song_id}" for song_id in songs if song_id not in known)
    for left in plan.left_out:
        if left.item not in plan.kit.items_by_id:
            yield f"the kit has no item {left.item}"


def _roll_strays(plan: Plan, passes: Collection[str]) -> Iterator[str]:
    """Every camera has its clips, every pass its figures; songs that stand still are songs."""
    rolls = plan.day.rolls if plan.day else None
    if rolls is None:
        return
    rolled = {(each.pass_id, each.letter) for each in rolls.rolls if each.clips}
    for placement in plan.placements:
        if (placement.pass_id, placement.letter) not in rolled:
            yield f"camera {placement.letter} has no clips in {placement.pass_id}"
    reached = {each.pass_id: each for each in rolls.reached}
    for pass_id in dict.fromkeys(placement.pass_id for placement in plan.placements):
        if pass_id not in reached:
            yield f"its rolls state nothing of {pass_id}"
    for each in rolls.reached:
        if not len(each.value) == len(each.bound) == len(ROLL_GOALS):
            yield f"its rolls state {len(each.value)} values of {len(ROLL_GOALS)} goals"
    for blind in (each for each in rolls.blind if each.pass_id in passes):
        if blind.song not in plan.pass_of(blind.pass_id)[0].songs_by_id:
            yield f"there is no song {blind.song}"


def _packing_strays(plan: Plan, kinds: Mapping[str, str]) -> Iterator[str]:
    """What the packing names that is not there."""
    loads = plan.day.cases.loads if plan.day and plan.day.cases else ()
    cases = {item.id for item in plan.kit.of_kind(Case)}
    for load in loads:
        if load.shoot not in plan.shoots:
            yield f"there is no shoot {load.shoot}"
        for packed in load.cases:
            if kinds.get(packed.case) != "case":
                yield f"the kit has no case {packed.case}"
        if load.remedy and load.remedy.add is not None and load.remedy.add not in cases:
            yield f"the kit has no case {load.remedy.add}"
        for unit_id in (*load.case_of, *load.by_hand, *load.at_venue, *load.left, *load.order):
            if unit_id not in kinds:
                yield f"the kit has no unit {unit_id}"


def _place_strays(plan: Plan, placement: Placement) -> Iterator[str]:
    shoot, _ = plan.pass_of(placement.pass_id)
    if placement.position not in {position.id for position in shoot.venue.positions}:
        yield f"there is no position {placement.position}"
    for framing in (placement.shot, *placement.menu):
        if framing.subject not in shoot.subjects_by_id:
            yield f"there is no subject {framing.subject}"


def _sheet_strays(plan: Plan) -> Iterator[str]:
    """What shot sheets name and the plan does not hold."""
    if plan.day is None or plan.day.shots is None:
        return
    sheets = plan.day.shots
    cameras = {(placement.pass_id, placement.letter) for placement in plan.placements}
    for sheet in sheets.sheets:
        name = sheet.pass_id, sheet.letter
        if name not in cameras or sheet.pass_id not in plan.pass_ids():
            yield f"there is no camera {sheet.letter} in {sheet.pass_id}"
            continue
        shoot, _ = plan.pass_of(sheet.pass_id)
        shots = [sheet.home, *sheet.zone]
        for row in sheet.songs:
            if row.song not in shoot.songs_by_id:
                yield f"there is no song {row.song}"
            shots += [row.shot, *(cue.shot for cue in row.cues)]
            shots += [] if row.fallback is None else [row.fallback]
        for shot in shots:
            if shot.subject not in shoot.subjects_by_id:
                yield f"there is no subject {shot.subject}"
    if not len(sheets.value) == len(sheets.bound) == len(SHOT_GOALS):
        yield f"its shot sheets state {len(sheets.value)} values of {len(SHOT_GOALS)} goals"
    for held in sheets.moments:
        moments = _moments(plan, held)
        if held.moment not in moments:
            yield f"there is no moment '{held.moment}' in {held.song}"
        for camera in (held.first, held.second):
            if camera is not None and camera not in cameras:
                yield f"there is no camera {camera[1]} in {camera[0]}"


def _moments(plan: Plan, held: MomentHeld) -> list[str]:
    """Names of the moments of the song that a row is about."""
    shoot = plan.shoots.get(held.shoot)
    song = None if shoot is None else shoot.songs_by_id.get(held.song)
    return [] if song is None else [moment.name for moment in song.moments]


def _supply_strays(plan: Plan, placement: Placement) -> Iterator[str]:
    """A body has the mode that it records in, cards are cards, batteries are batteries."""
    items = {unit.id: plan.kit.items_by_id.get(unit.item) for unit in plan.kit.units}
    body = items.get(placement.rig.body)
    if isinstance(body, Body) and placement.rig.mode not in {mode.name for mode in body.modes}:
        yield f"{placement.rig.body} has no mode {placement.rig.mode}"
    for unit_id in placement.cards:
        if not isinstance(items.get(unit_id), Media):
            yield f"{unit_id} is no card"
    for unit_id in placement.batteries:
        if not isinstance(items.get(unit_id), Battery):
            yield f"{unit_id} is no battery"


def _day_strays(plan: Plan, kinds: Mapping[str, str], passes: Collection[str]) -> Iterator[str]:
    """Sound setups, and what a plan says of its day, name things of the plan."""
    for shoot in plan.shoots.values():
        places = {position.id for position in shoot.venue.positions}
        for setup in shoot.sound:
            for item_id in (setup.recorder, *setup.sources):
                if not isinstance(plan.kit.items_by_id.get(item_id), Sound):
                    yield f"the kit has no sound item {item_id}"
            if setup.position is not None and setup.position not in places:
                yield f"there is no position {setup.position}"
    for unit_id in _day_units(plan):
        if unit_id not in kinds:
            yield f"the kit has no unit {unit_id}"
    for item_id in _day_items(plan):
        if item_id not in plan.kit.items_by_id:
            yield f"the kit has no item {item_id}"
    for pass_id in _day_passes(plan):
        if pass_id not in passes:
            yield f"there is no pass {pass_id}"
    day = plan.day
    for run in day.sound.runs if day and day.sound else ():
        if run.setup not in {setup.id for setup in plan.pass_of(run.pass_id)[0].sound}:
            yield f"there is no sound setup {run.setup}"
    for master in day.sound.masters if day and day.sound else ():
        if master.setup is None or master.pass_id is None:
            continue
        if master.setup not in {setup.id for setup in plan.pass_of(master.pass_id)[0].sound}:
            yield f"there is no sound setup {master.setup}"


def _day_items(plan: Plan) -> Iterator[str]:
    day = plan.day or Day()
    if day.power is not None:
        yield from (spare.item for spare in day.power.spares)
    if day.media is not None:
        yield from (spare.item for spare in day.media.spares)
    if day.sound is not None:
        yield from (item for run in day.sound.runs for item in run.missing)


def _day_units(plan: Plan) -> Iterator[str]:
    day = plan.day or Day()
    if day.rolls is not None:
        clips = (clip for roll in day.rolls.rolls for clip in roll.clips)
        used = [(clip.battery, clip.card) for clip in clips]
        used += [(touch.battery, touch.card) for touch in day.rolls.touches]
        yield from (unit for pair in used for unit in pair if unit is not None)
    if day.work is not None:
        yield from (unit for gap in day.work.gaps for job in gap.jobs for unit in job.units)
    if day.power is not None:
        yield from (use.unit for use in day.power.uses)
        yield from (charge.unit for charge in day.power.charges)
    if day.media is not None:
        yield from (use.card for use in day.media.uses)
        yield from (copy.card for copy in day.media.copies)
    if day.sound is not None:
        for run in day.sound.runs:
            recorder = () if run.recorder is None else (run.recorder,)
            yield from (*recorder, *run.sources, *run.batteries, *run.cards)


def _day_passes(plan: Plan) -> Iterator[str]:
    day = plan.day or Day()
    if day.rolls is not None:
        yield from (roll.pass_id for roll in day.rolls.rolls)
        yield from (touch.pass_id for touch in day.rolls.touches)
        yield from (blind.pass_id for blind in day.rolls.blind)
        yield from (each.pass_id for each in day.rolls.reached)
    for gap in day.work.gaps if day.work else ():
        yield from (pass_id for pass_id in (gap.after, gap.before) if pass_id is not None)
    if day.power is not None:
        yield from (use.pass_id for use in day.power.uses)
        yield from (one.pass_id for one in day.power.mains)
        yield from (charge.for_pass for charge in day.power.charges)
        yield from (spare.pass_id for spare in day.power.spares)
    if day.media is not None:
        yield from (use.pass_id for use in day.media.uses)
        yield from (pass_id for copy in day.media.copies for pass_id in copy.passes)
        yield from (one.before for one in day.media.formats)
        yield from (spare.pass_id for spare in day.media.spares)
    if day.sound is not None:
        yield from (run.pass_id for run in day.sound.runs)
        yield from (m.pass_id for m in day.sound.masters if m.pass_id is not None)
