"""What runs on what: the batteries of cameras and recorders in each pass, with the minutes of each.

From the clips of the roll plan where there is one; else each battery in turn until it is flat.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kitplan.day.clock import minutes_on
from kitplan.day.minutes import Minutes
from kitplan.day.power.curve import grains_used
from kitplan.day.sound import is_touchable, recorder_minutes
from kitplan.gear.records import Body, Sound
from kitplan.options.endurance import cannot_be_reached, is_on_mains
from kitplan.plan.day.power import OnMains
from kitplan.plan.day.rolls import Roll, RollPlan
from kitplan.plan.day.sound import SoundPlan
from kitplan.plan.records import Placement
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass

_LEAST_MIN, MOST_MIN = 1e-6, 1e6
"""What a battery lasts at least and at most, for records that hold neither 0 nor no end."""


@dataclass(frozen=True)
class Use:
    """A battery in a body or recorder in a pass."""

    index: int
    """Number of the pass, from 0."""
    pass_id: str
    letter: str
    unit: str
    run_min: float
    full_min: float
    free_at: int
    """Minutes from the first downbeat: from then on it can be charged again."""
    due_at: int
    """By then it has to be out of its bay."""
    could_be_on_mains: bool
    """The body runs on mains, and there is none at its position."""

    @property
    def grains(self) -> int:
        """Charge that it takes, in thousandths of a full one."""
        return grains_used(self.run_min, self.full_min)


def uses_of(
    brief: Brief,
    shoot_id: str,
    placements: Sequence[Placement],
    sound: SoundPlan | None,
    rolls: RollPlan | None,
) -> tuple[tuple[Use, ...], tuple[OnMains, ...]]:
    """Return the uses of batteries in the order of passes, and what runs on mains."""
    finding = _Finding(
        brief, shoot_id, {(r.pass_id, r.letter): r for r in rolls.rolls} if rolls else {}
    )
    uses: list[Use] = []
    mains: list[OnMains] = []
    for index, each in enumerate(brief.shoot.passes):
        pass_id = f"{shoot_id}/{each.id}"
        here = sorted((p for p in placements if p.pass_id == pass_id), key=lambda p: p.letter)
        for placement in here:
            found = list(finding.of_camera(index, each, placement))
            uses += found
            if finding.camera_on_mains(placement):
                mains.append(OnMains(pass_id=pass_id, letter=placement.letter))
        for run in sound.runs if sound else ():
            if run.pass_id == pass_id and run.is_on_mains:
                mains.append(OnMains(pass_id=pass_id, letter=run.setup))
        uses += finding.of_sound(index, each, sound)
    return tuple(uses), tuple(mains)


class _Finding:
    """Looks up what a use depends on."""

    def __init__(self, brief: Brief, shoot_id: str, rolls: dict[tuple[str, str], Roll]) -> None:
        self.brief, self.shoot_id, self.rolls = brief, shoot_id, rolls
        self.units = {unit.id: unit for unit in brief.kit.units}
        self.positions = {p.id: p for p in brief.shoot.venue.positions}
        self.minutes = Minutes(brief.shoot)
        self.swap_min = swap_minutes(brief)

    def body(self, placement: Placement) -> Body:
        item = self.brief.kit.items_by_id[self.units[placement.rig.body].item]
        assert isinstance(item, Body)  # the plan's records say so
        return item

    def camera_on_mains(self, placement: Placement) -> bool:
        return is_on_mains(self.body(placement), self.positions[placement.position])

    def of_camera(self, index: int, each: Pass, placement: Placement) -> Iterator[Use]:
        body, position = self.body(placement), self.positions[placement.position]
        if body.battery_min is None or self.camera_on_mains(placement):
            return
        rules = self.brief.shoot.rules
        share = rules.battery_measured if body.is_measured("battery_min") else rules.battery_assumed
        full = {u: body.battery_min * share * self.units[u].health for u in placement.batteries}
        is_shut = cannot_be_reached(position, each)
        roll_min = self._roll_min(each, is_alone=is_shut and placement.operator is None)
        roll = self.rolls.get((placement.pass_id, placement.letter))
        runs = minutes_on(roll, "battery", full, roll_min)
        due = self._due(each, is_shut=is_shut)
        for unit, run_min in runs.items():
            yield self._use(
                index,
                placement.pass_id,
                placement.letter,
                unit,
                run_min,
                full[unit],
                due,
                could_be_on_mains=body.runs_on_mains and not position.has_mains,
            )

    def of_sound(self, index: int, each: Pass, sound: SoundPlan | None) -> Iterator[Use]:
        setups = {setup.id: setup for setup in self.brief.shoot.sound}
        for run in sound.runs if sound else ():
            setup = setups[run.setup]
            item = self.brief.kit.items_by_id[setup.recorder]
            if run.pass_id != f"{self.shoot_id}/{each.id}" or not isinstance(item, Sound):
                continue
            full = {
                u: recorder_minutes(self.brief, item, self.units[u].health) for u in run.batteries
            }
            roll = self.rolls.get((run.pass_id, run.setup))
            runs = minutes_on(roll, "battery", full, run.roll_min)
            due = self._due(each, is_shut=not is_touchable(self.brief, setup, each))
            for unit, run_min in runs.items():
                yield self._use(
                    index,
                    run.pass_id,
                    run.setup,
                    unit,
                    run_min,
                    full[unit],
                    due,
                    could_be_on_mains=item.runs_on_mains and not setup.has_mains,
                )

    def _use(
        self,
        index: int,
        pass_id: str,
        letter: str,
        unit: str,
        run_min: float,
        full_min: float,
        due_at: int,
        *,
        could_be_on_mains: bool,
    ) -> Use:
        free_at = self.minutes.spans[index][1] + self.swap_min
        return Use(
            index,
            pass_id,
            letter,
            unit,
            run_min,
            min(max(full_min, _LEAST_MIN), MOST_MIN),
            free_at,
            due_at,
            could_be_on_mains,
        )

    def _roll_min(self, each: Pass, *, is_alone: bool) -> float:
        """Return the minutes that a camera has to roll: with a margin where nobody can reach it."""
        return self.brief.roll_min(each) if is_alone else self.brief.shoot.length_min(each)

    def _due(self, each: Pass, *, is_shut: bool) -> int:
        """Return when a battery has to be out of its bay: the time of one change before the pass
        begins; before its doors where nobody gets there afterwards.
        """
        begin = self.minutes.spans[self.brief.shoot.passes.index(each)][0]
        return (self.minutes.gate(each) if is_shut else begin) - self.swap_min


def swap_minutes(brief: Brief) -> int:
    """Return the minutes that changing one battery takes, rounded up."""
    return -int(-brief.shoot.rules.battery_swap_s // 60)
