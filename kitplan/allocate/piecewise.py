"""Bettering an answer piece by piece: before a group of goals is taken up as a whole, and at the
end of a search that has not proven everything; and settling what it comes to.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from contextlib import closing

from kitplan.allocate.adopt import Adoption, note_values
from kitplan.allocate.freeing import EASY, EASY_FOR_WANTS, Choices
from kitplan.allocate.goals import Goal
from kitplan.allocate.model import Allocation
from kitplan.allocate.neighbours import Neighbourhoods
from kitplan.allocate.settle import settled
from kitplan.allocate.solver import DECIDING_GOALS, GOAL_IDS, Found, Limits, Listener, Reached
from kitplan.allocate.stepping import Steps

UNKNOWN = -(10**12)
"""Value of a goal that nobody has counted yet; settling does."""
STAGES = (DECIDING_GOALS, GOAL_IDS[len(DECIDING_GOALS) :])
"""Goals that are bettered together; all in one sum would overflow."""
APPROACH_SHARES, APPROACH_SHARE = {"wants": 0.25, "viewpoints": 0.45}, 0.1
"""Share of the whole time that a group is approached for at most: by its last goal where the model
is large; small ones are soon better off as a whole. Measured in 10 s, viewpoints with 0.1 and 0.2:
S 5 117700, proven, and 117700, bound 196000; S 7 101300 and 101800; five others alike.
"""
APPROACHED = 2_000
"""So few decisions are proven best sooner than they are approached."""
PATIENCE, PATIENCE_IF_LARGE = 12, 30
"""Steps without gain that end it sooner."""


def approach(
    allocation: Allocation,
    goals: tuple[Goal, ...],
    group: tuple[str, ...],
    limits: Limits,
    found: Found,
    tell: Listener,
) -> None:
    """Better a group of goals a little at a time, those before it held, until steps gain no more: a
    good answer to start from is most of the way to a proof. The answer so far knows of all these
    goals.
    """
    now, share, patience = found.clock_s(limits), APPROACH_SHARE, PATIENCE
    if len(allocation.model.proto.variables) < APPROACHED or now >= limits.seconds:
        return
    if allocation.is_large:
        share, patience = APPROACH_SHARES.get(group[-1], share), PATIENCE_IF_LARGE
    around = Neighbourhoods(allocation, goals)
    begin(goals, limits, found)
    note_values(goals, limits, found, tell, group)
    _aim(around, group, found)
    until = now + min(share * limits.seconds, (limits.seconds - now) / 2)
    _better(around, group, until, limits, found, tell, patience=patience)


def begin(goals: tuple[Goal, ...], limits: Limits, found: Found) -> None:
    """Note goals that are to be bettered from now on."""
    found.goals = goals
    for goal in goals:
        if goal.id not in found.reached:
            found.reached[goal.id] = Reached(goal.id, UNKNOWN, goal.most, found.clock_s(limits))


def finish(
    allocation: Allocation,
    goals: tuple[Goal, ...],
    limits: Limits,
    found: Found,
    tell: Listener,
    second: Adoption,
) -> None:
    """Use what time is left to better the answer, then count all that follows from it exactly.

    An answer that is not optimal, or was stopped early, may carry a kilogram or a minute too many,
    or a viewpoint too few: nobody asked the solver to count those well.
    """
    for held in found.holds:
        allocation.fix(held, 0)
    around = Neighbourhoods(allocation, goals)
    begin(goals, limits, found)
    place = 0
    while place < len(STAGES):
        is_upset = False
        if _is_open(STAGES[place], found):
            _aim(around, STAGES[place], found)
            if any(found.reached[goal].value == UNKNOWN for goal in STAGES[place]):
                _settle(around, STAGES[place], limits, found, tell)
            if not found.was_stopped:
                stages_left = max(1, sum(_is_open(stage, found) for stage in STAGES))
                now = found.clock_s(limits)
                until = now + (limits.seconds - now) / stages_left
                is_upset = _better(around, STAGES[place], until, limits, found, tell, second)
        place = 0 if is_upset else place + 1


def settle_all(
    allocation: Allocation, goals: tuple[Goal, ...], limits: Limits, found: Found, tell: Listener
) -> None:
    """Count every goal at its best for the placements that were found: later steps, or an answer
    taken over, may have let an earlier one count for less than it gives.
    """
    around = Neighbourhoods(allocation, goals)
    for stage in STAGES:
        _aim(around, stage, found)
        _settle(around, stage, limits, found, tell)


def _is_open(stage: tuple[str, ...], found: Found) -> bool:
    """Whether a stage is not proven, or no longer: a stage before it may have changed the plan."""
    return not all(found.reached[goal].is_proven for goal in stage)


def _aim(around: Neighbourhoods, stage: tuple[str, ...], found: Found) -> None:
    around.aim_at(stage, _earlier(stage, found))


def _settle(
    around: Neighbourhoods, stage: tuple[str, ...], limits: Limits, found: Found, tell: Listener
) -> None:
    """Count everything that follows from the placements at its best."""
    assert found.answer is not None
    if counted := settled(around.around(found.answer, frozenset()), limits):
        found.answer = counted
        note_values(found.goals, limits, found, tell, stage)


def _better(
    around: Neighbourhoods,
    stage: tuple[str, ...],
    until: float,
    limits: Limits,
    found: Found,
    tell: Listener,
    second: Adoption | None = None,
    patience: int | None = None,
) -> bool:
    """Free a few slots at a time, in turn, until a time or until so many steps have gained nothing;
    return whether the second solver has proven more of a goal before these, which are to be
    bettered first then.
    """
    assert found.answer is not None
    idle, choices = 0, choices_around(around, stage, limits, found)
    with closing(Steps(around, choices, limits, found)) as steps:
        while around.slots and idle != patience and not found.was_stopped:
            left = until - found.clock_s(limits)
            if left <= 0 or not _is_open(stage, found):
                break
            if second is not None and second.has_proven(stage):
                break
            if second is not None and second.has_news:
                before = _earlier(stage, found)
                second.take_over(around.allocation, found.goals, limits, found, tell)
                if _earlier(stage, found) != before:
                    return True
            idle += 1
            if steps.next(left):
                idle = 0
                note_values(found.goals, limits, found, tell, stage)
                if second is not None:
                    second.offer(around.allocation, found)
    return False


def choices_around(
    around: Neighbourhoods, stage: tuple[str, ...], limits: Limits, found: Found
) -> Choices:
    """Return what steps that better these goals free."""
    roles = around.allocation.demands.roles
    able = {
        role.is_met.index: [n for n, slot in enumerate(around.slots) if role.id in slot.roles]
        for role in roles
    }

    def wishes() -> list[list[int]]:
        """For each role that nobody does, the slots that could; musts first."""
        missed = [
            role for role in roles if able[role.is_met.index] and not found.value(role.is_met)
        ]
        musts = [role for role in missed if role.priority == "must"]
        return [able[role.is_met.index] for role in musts or missed]

    def lacks(dice: random.Random) -> Sequence[int]:
        if "viewpoints" not in stage:
            return ()
        assert found.answer is not None
        known = found.answer.solution
        return around.allocation.lacking.some(lambda var: known[var.index], dice)

    return Choices(
        around.slots,
        lambda slot: bool(found.value(slot.is_used)),
        wishes,
        lacks,
        limits.seed,
        found.sizes.setdefault(stage[-1], {}),
        EASY_FOR_WANTS if stage[-1] == "wants" else EASY,
    )


def _earlier(stage: tuple[str, ...], found: Found) -> dict[str, int]:
    """Values of the goals that come before these."""
    ids = [goal.id for goal in found.goals]
    return {goal: found.reached[goal].value for goal in ids[: ids.index(stage[0])]}
