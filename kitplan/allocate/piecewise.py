"""Bettering an answer piece by piece: before a group of goals is taken up as a whole, and at the
end of a search that has not proven everything; and settling what it comes to.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from kitplan.allocate.adopt import Adoption, note_values
from kitplan.allocate.answer import Answer
from kitplan.allocate.goals import Goal
from kitplan.allocate.model import Allocation
from kitplan.allocate.neighbours import Neighbourhoods, choices
from kitplan.allocate.settle import fix, settle
from kitplan.allocate.solver import (
    Found,
    Limits,
    Listener,
    Reached,
    part_solver,
    run,
)
from kitplan.allocate.variables import Slot

UNKNOWN = -(10**12)
"""Value of a goal that nobody has counted yet; settling does."""
STEP_SECONDS = 1.0
STEP_COST = 0.05
"""Solver time that a step is charged with at least, so that free ones come to an end."""
STAGES = (("musts", "wants", "thinnest", "viewpoints"), ("variety", "quality", "economy"))
"""Goals that are bettered together; all in one sum would overflow."""
APPROACH_SHARES, APPROACH_SHARE = {"viewpoints": 0.45}, 0.1
"""Share of the whole time that a group is approached for at most, by its last goal. Measured on M 0
in 60 s: with 0.45 for the viewpoints 313600 points of them, with 0.15 for every group 151400, both
with 12 in the thinnest song.
"""
APPROACHED = 2_000
"""So few decisions are proven best sooner than they are approached."""
PATIENCE = 12
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
    share, now = APPROACH_SHARES.get(group[-1], APPROACH_SHARE), found.clock_s(limits)
    if len(allocation.model.proto.variables) < APPROACHED or now >= limits.seconds:
        return
    around = Neighbourhoods(allocation, goals)
    _begin(goals, limits, found)
    note_values(goals, limits, found, tell, group)
    _aim(around, group, found)
    until = now + min(share * limits.seconds, (limits.seconds - now) / 2)
    _better(around, group, until, limits, found, tell, patience=PATIENCE)


def _begin(goals: tuple[Goal, ...], limits: Limits, found: Found) -> None:
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
        fix(allocation.model, held, 0)
    around = Neighbourhoods(allocation, goals)
    _begin(goals, limits, found)
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
    solution = found.answer.solution
    if settled := settle(around.around(solution, frozenset()), limits, solution):
        found.answer = settled
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
    answer, idle = found.answer, 0

    def is_used(slot: Slot) -> bool:
        return found.answer is not None and bool(found.answer.value(slot.is_used))

    for free in choices(around.slots, is_used, limits.seed):
        left = until - found.clock_s(limits)
        if left <= 0 or found.was_stopped or idle == patience:
            break
        if second is not None and second.has_proven(stage):
            break
        if second is not None and second.has_news:
            before = _earlier(stage, found)
            second.take_over(around.allocation, found.goals, limits, found, tell)
            if _earlier(stage, found) != before:
                return True
            answer = found.answer
        trial = part_solver(min(STEP_SECONDS, left), limits)
        model = around.around(answer.solution, free)
        status = run(model, trial, None, found)
        found.spent_s += trial.response_proto.deterministic_time + STEP_COST
        is_answer = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
        idle += 1
        if is_answer and around.value_of(trial) > around.value_of(answer):
            answer, idle = Answer.of(trial), 0
            found.answer = answer
            note_values(found.goals, limits, found, tell, stage)
            if second is not None:
                second.offer(around.allocation, found)
    return False


def _earlier(stage: tuple[str, ...], found: Found) -> dict[str, int]:
    """Values of the goals that come before these."""
    ids = [goal.id for goal in found.goals]
    return {goal: found.reached[goal].value for goal in ids[: ids.index(stage[0])]}
