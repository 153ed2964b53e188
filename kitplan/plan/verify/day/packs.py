"""Which battery runs what for how long, from placements, clips and sound: what a plan must say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import inf
from typing import Literal

from kitplan.gear.records import Body, Item, Sound
from kitplan.plan.records import Placement, Plan
from kitplan.plan.verify.day.clock import minute
from kitplan.plan.verify.scene import Scene, is_unreachable
from kitplan.shoot.records import Pass

LEAST_MIN, MOST_MIN = 1e-6, 1e6


@dataclass(frozen=True)
class Drawn:
    """A battery in a body or recorder in a pass, as it follows from the rest of the plan."""

    each: Pass
    index: int
    pass_id: str
    letter: str
    unit: str
    minutes: float
    full_min: float
    due_min: float
    """When it has to be in its body, in minutes from the first downbeat."""


@dataclass(frozen=True)
class Powered:
    """What runs on batteries, and what on mains, in a shoot."""

    drawn: tuple[Drawn, ...]
    mains: frozenset[tuple[str, str]]


def item_of(scene: Scene, unit_id: str | None) -> Item | None:
    """Return the item of a unit; None where there is no such unit."""
    unit = scene.units_by_id.get(unit_id or "")
    return scene.kit.items_by_id.get(unit.item) if unit else None


def powered(plan: Plan, shoot_id: str, scene: Scene) -> Powered:
    """Return what runs on batteries and mains in a shoot of a plan."""
    drawn: list[Drawn] = []
    mains: set[tuple[str, str]] = set()
    for index, each in enumerate(scene.shoot.passes):
        pass_id = f"{shoot_id}/{each.id}"
        for placement in plan.placements_in(pass_id):
            if placement.position in scene.positions_by_id:
                drawn += _camera(plan, scene, index, each, placement, mains)
        drawn += _sound(plan, scene, index, each, pass_id, mains)
    return Powered(tuple(drawn), frozenset(mains))


def _camera(
    plan: Plan,
    scene: Scene,
    index: int,
    each: Pass,
    placement: Placement,
    mains: set[tuple[str, str]],
) -> Iterator[Drawn]:
    body = item_of(scene, placement.rig.body)
    position = scene.positions_by_id[placement.position]
    if not isinstance(body, Body):
        return
    if body.runs_on_mains and position.has_mains:
        mains.add((placement.pass_id, placement.letter))
        return
    if body.battery_min is None:
        return
    is_shut = is_unreachable(position, each)
    is_alone = is_shut and placement.operator is None
    roll_min = scene.roll_min(each) if is_alone else scene.length_min(each)
    share = _share(scene, body)
    full = {unit: body.battery_min * share * _health(scene, unit) for unit in placement.batteries}
    due = scene.work_until(each) if is_shut else each.start
    key = placement.pass_id, placement.letter
    for unit, minutes in minutes_on(plan, key, "battery", full, roll_min):
        yield Drawn(
            each, index, placement.pass_id, placement.letter, unit, minutes,
            min(max(full[unit], LEAST_MIN), MOST_MIN), minute(scene, due),
        )  # fmt: skip


def _sound(
    plan: Plan,
    scene: Scene,
    index: int,
    each: Pass,
    pass_id: str,
    mains: set[tuple[str, str]],
) -> Iterator[Drawn]:
    sound = plan.day.sound if plan.day else None
    setups = {setup.id: setup for setup in scene.shoot.sound}
    for run in sound.runs if sound else ():
        setup = setups.get(run.setup)
        recorder = scene.kit.items_by_id.get(setup.recorder) if setup else None
        if run.pass_id != pass_id or setup is None or not isinstance(recorder, Sound):
            continue
        if setup.has_mains and recorder.runs_on_mains:
            mains.add((pass_id, run.setup))
            continue
        at = scene.positions_by_id.get(setup.position or "")
        is_shut = setup.is_out_of_reach or (at is not None and is_unreachable(at, each))
        roll_min = scene.roll_min(each) if is_shut else scene.length_min(each)
        per_battery = inf if recorder.battery is None else recorder.battery_min or inf
        share = _share(scene, recorder)
        full = {unit: per_battery * share * _health(scene, unit) for unit in run.batteries}
        due = scene.work_until(each) if is_shut else each.start
        for unit, minutes in minutes_on(plan, (pass_id, run.setup), "battery", full, roll_min):
            yield Drawn(
                each, index, pass_id, run.setup, unit, minutes,
                min(max(full[unit], LEAST_MIN), MOST_MIN), minute(scene, due),
            )  # fmt: skip


def _share(scene: Scene, item: Body | Sound) -> float:
    rules = scene.shoot.rules
    is_measured = "battery_min" in item.measured
    return rules.battery_measured if is_measured else rules.battery_assumed


def _health(scene: Scene, unit_id: str) -> float:
    unit = scene.units_by_id.get(unit_id)
    return unit.health if unit else 1.0


def minutes_on(
    plan: Plan,
    key: tuple[str, str],
    what: Literal["battery", "card"],
    lasts_min: Mapping[str, float],
    roll_min: float,
) -> Iterator[tuple[str, float]]:
    """Yield how long a recorder runs on each of its batteries or cards: by its clips, else on each
    in turn until it is flat or full.

    Args:
        key: Pass id and letter.
        lasts_min: Minutes that each lasts, by unit id, in their order.
        roll_min: Minutes that it rolls where there are no clips.
    """
    rolls = plan.day.rolls.rolls if plan.day and plan.day.rolls else ()
    roll = next((r for r in rolls if (r.pass_id, r.letter) == key), None)
    units = list(lasts_min)
    for unit in units:
        if roll is not None:
            clips = [clip for clip in roll.clips if getattr(clip, what) == unit]
            minutes = sum(clip.end_s - clip.start_s for clip in clips) / 60
        else:
            minutes = roll_min if unit == units[-1] else min(roll_min, lasts_min[unit])
            roll_min -= minutes
        if minutes > 1e-9:
            yield unit, minutes
