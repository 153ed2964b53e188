"""The sound of a pass as things to pack: units that the plan gives its setups, what they lack."""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.gear.records import Sound
from kitplan.plan.day.sound import Lack, SoundRun
from kitplan.plan.records import Plan

ALL_IN_USE = "every one in the kit is in use, or there is none"
LACKS: dict[Lack, str] = {
    "card": "every one that would do is in use, borrow one or copy and format one in time",
    "battery": "every one that would do is in use",
    "mains": "there is no socket",
}
"""Why a setup lacks what is no item of its own."""


def sound_runs(plan: Plan, pass_id: str) -> tuple[SoundRun, ...] | None:
    """Return the sound setups of a pass; None where the plan says nothing of its sound."""
    if plan.day is None or plan.day.sound is None:
        return None
    return tuple(run for run in plan.day.sound.runs if run.pass_id == pass_id)


def units_of(run: SoundRun) -> tuple[str, ...]:
    """Return the units of a setup in the order in which they are put up."""
    recorder = () if run.recorder is None else (run.recorder,)
    return (*recorder, *run.batteries, *run.cards, *run.sources)


def lacks_of(plan: Plan, run: SoundRun) -> Iterator[tuple[str, str, str]]:
    """Yield what a setup lacks: the setup in words, the thing, and why."""
    shoot, _ = plan.pass_of(run.pass_id)
    setup = next(one for one in shoot.sound if one.id == run.setup)
    recorder = plan.kit.items_by_id[setup.recorder]
    for item in run.missing:
        yield setup.label, plan.kit.items_by_id[item].name, ALL_IN_USE
    for lack in run.lacks:
        what: str = lack
        if lack == "card" and isinstance(recorder, Sound) and recorder.card_type:
            what = f"{recorder.card_type.upper()} card"
        elif lack == "battery" and isinstance(recorder, Sound) and recorder.battery:
            what = plan.kit.items_by_id[recorder.battery].name
        yield setup.label, what, LACKS[lack]
