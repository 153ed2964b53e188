"""The search: the first goals on a coarser model, the rest on the full one, a second solver beside.

The goals down to the viewpoints cannot tell all shots apart that later ones can, so they are
decided on a coarser model (`climb` has how); its placements are then where the full one starts
from.
"""

from __future__ import annotations

import time
from collections.abc import Sequence, Set
from dataclasses import replace

from kitplan.allocate.adopt import Adoption
from kitplan.allocate.begin import first_answer
from kitplan.allocate.climb import GROUPS, NUM_COARSE, Climb
from kitplan.allocate.dominance import CameraMode
from kitplan.allocate.keep import Kept
from kitplan.allocate.memory import give_back_memory
from kitplan.allocate.model import Allocation, build
from kitplan.allocate.piecewise import finish, settle_all
from kitplan.allocate.placed import Placed, read_placed
from kitplan.allocate.prover import Prover
from kitplan.allocate.solver import (
    Found,
    Limits,
    Listener,
    Look,
    Reached,
    Step,
    usable_cores,
)
from kitplan.options.spots import Options

LEAST_AFTER_FIRST = 3.0
"""Seconds that a large model is searched for at least once there is a first plan, however short the
time: a few steps find wants that a plan by hand leaves out (of M 9 in 1 s 20, not 14)."""

__all__ = ["Found", "Limits", "Listener", "Reached", "Step", "search"]


def _quiet(_: Step) -> None:
    return None


def search(
    options: Options,
    limits: Limits,
    tell: Listener = _quiet,
    found: Found | None = None,
    start: tuple[Kept, ...] = (),
    look: Look | None = None,
) -> Found:
    """Return the best answer for all goals within the limits, and the model that it is of.

    Args:
        start: Placements to begin with instead of a plan by hand; the answer is no worse in the
            goals down to the viewpoints, unless no-goods of the shoot rule some of them out.
        found: Where to keep what is found, so that a caller can ask for an early stop.
        look: Shown the first good answer, once; see `Look`.
    """
    found = found or Found()
    wanted = {each.camera_mode for each in start}
    coarse = found.allocation = build(options, "viewpoints", wanted)
    found.start = time.monotonic()
    is_alone = usable_cores() == 1
    has_second = not limits.is_repeatable and not (is_alone and coarse.is_large)
    second = Adoption(Prover(coarse, limits) if has_second else None)
    if not is_alone:  # a single core is for the first down to the viewpoints
        second.begin()
    try:
        rough = Climb(coarse, limits, tell, found, second, look)
        found.answer = first_answer(coarse, start, limits)
        if coarse.is_large:
            least = found.clock_s(limits) + LEAST_AFTER_FIRST
            rough.limits = replace(limits, seconds=max(limits.seconds, least))
        rough.take_up(NUM_COARSE)
        second.begin()
        if found.answer is not None:
            placed = read_placed(coarse.variables.slots, found.answer.value)
            limits, num_groups = rough.limits, len(rough.groups)
            is_large, found.goals, found.allocation = coarse.is_large, (), None
            del coarse, rough  # a large one takes as much memory as the full model needs now
            if is_large:
                give_back_memory()
            found.allocation = _full_model(options, wanted, found)
            _refine(found.allocation, placed, num_groups, limits, tell, found, second)
    finally:
        second.stop()
    if found.goals and found.allocation is not None:
        second.take_over(found.allocation, found.goals, limits, found, tell)
        if not found.is_proven:
            settle_all(found.allocation, found.goals, limits, found, tell)
        second.bound_the_next(found.goals, found)
    return found


def _full_model(options: Options, wanted: Set[CameraMode], found: Found) -> Allocation:
    """Return the model that tells all shots apart; making it is no more searching than making the
    coarse one, so the clock stands still meanwhile. Made before the search, that of L 8 would lie
    beside the coarse one.
    """
    before = time.monotonic()
    allocation = build(options, wanted=wanted)
    found.start += time.monotonic() - before
    return allocation


def _refine(
    allocation: Allocation,
    placed: Sequence[Placed | None],
    num_groups: int,
    limits: Limits,
    tell: Listener,
    found: Found,
    second: Adoption,
) -> None:
    """Go on from placements that are good in the first groups of goals."""
    fine = Climb(allocation, limits, tell, found, second)
    fine.start_from(placed, num_groups)
    fine.take_up(len(GROUPS))
    found.goals = fine.all_goals()
    if not found.is_proven:
        finish(allocation, found.goals, limits, found, tell, second)
