"""Whether the cameras of a plan can be rolled, and its roll plan names what it holds."""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.errors import PlanFileError
from kitplan.paper.timed import clocks
from kitplan.plan.day.rolls import ROLL_GOALS
from kitplan.plan.records import Plan
from kitplan.plan.verify.day.clocked import PassClock
from kitplan.plan.verify.day.rolls import can_be_followed


def require_cameras(plan: Plan, where: str) -> None:
    """Refuse a plan whose cameras name people, modes or things that are not there.

    Raises:
        PlanFileError: With the first such pass.
    """
    for clock in clocks(plan, plan.pass_ids()):
        if not can_be_followed(clock):
            raise _damaged(f"cameras of {clock.pass_id} name what it does not hold", where)


def require_rolls(plan: Plan, where: str) -> None:
    """Refuse a roll plan or cover that names what the plan does not hold.

    Raises:
        PlanFileError: With the first such name.
    """
    for clock in clocks(plan, plan.pass_ids()):
        for wrong in _strays(plan, clock):
            raise _damaged(f"{clock.pass_id}: {wrong}", where)
    day = plan.day
    songs = {song.id for shoot in plan.shoots.values() for song in shoot.songs}
    for each in () if day is None or day.cover is None else day.cover.uncovered:
        passes = {each.pass_id or plan.pass_ids()[0], *(s.pass_id for s in each.stands)}
        if each.song not in songs or passes - set(plan.pass_ids()):
            raise _damaged(f"the cover names {each.song} in {', '.join(sorted(passes))}", where)


def _strays(plan: Plan, clock: PassClock) -> Iterator[str]:
    assert plan.day is not None
    assert plan.day.rolls is not None
    rolls = plan.day.rolls
    mine = [roll for roll in rolls.rolls if roll.pass_id == clock.pass_id]
    if sorted(roll.letter for roll in mine) != sorted(clock.placements):
        yield "its rolls are not those of its cameras"
    units = {None, *clock.scene.units_by_id}
    for roll in mine:
        if not roll.clips or any({c.battery, c.card} - units for c in roll.clips):
            yield f"the roll of camera {roll.letter} is empty, or on things that are not there"
    reached = [each for each in rolls.reached if each.pass_id == clock.pass_id]
    lengths = [len(part) for each in reached for part in (each.value, each.bound)]
    if lengths != [len(ROLL_GOALS)] * 2:
        yield "it does not say what its rolls came to"
    songs = {row.song.id for row in clock.songs}
    if any(b.song not in songs for b in rolls.blind if b.pass_id == clock.pass_id):
        yield "a camera stands still in a song that it does not run"


def _damaged(wrong: str, where: str) -> PlanFileError:
    return PlanFileError(
        f"it is damaged: {wrong}",
        where=where,
        fix="`kitplan verify` lists all that is wrong; plan again with `kitplan plan SHOOT`",
    )
