"""Alternatives to a plan: as good in what matters most, with cameras at other places."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from kitplan.allocate.differ import most_different, places_of
from kitplan.allocate.solver import Found, Limits, keeping_interrupts
from kitplan.plan.alternatives import Alternative, Alternatives, Ending
from kitplan.produce.before import letters_before
from kitplan.produce.solve import Solved, plan_record

USUAL = 2
"""How many are looked for where nobody asks for a number."""
SHARE_OF_SECONDS, LEAST_SECONDS, MOST_SECONDS = 0.2, 2.0, 15.0
"""Time of all alternatives as a share of that of the plan; bounds of the time of each."""


def limits_of_each(limits: Limits, number: int) -> Limits:
    """Return the limits of each of a number of alternatives."""
    share = SHARE_OF_SECONDS * limits.seconds / max(number, 1)
    return replace(limits, seconds=min(max(share, LEAST_SECONDS), MOST_SECONDS))


def find_alternatives(
    solved: Solved, number: int, tell: Callable[[int], None] = lambda _: None
) -> Alternatives:
    """Return up to a number of alternatives, each as different as can be from the plan and from
    all before. An interrupt ends the search and keeps those that are done.

    Args:
        tell: Called with the number of each alternative before it is looked for.
    """
    if solved.found.was_stopped:
        return Alternatives(solved.plan, (), "stopped")
    limits = limits_of_each(solved.limits, number)
    allocation = solved.allocation
    others = [places_of(allocation.variables, solved.found)]
    letters = letters_before(solved.plan)
    made: list[Alternative] = []
    ending: Ending = "all-found"
    state = Found()
    with keeping_interrupts(state):
        while len(made) < number and ending == "all-found":
            tell(len(made) + 1)
            answer = most_different(allocation, solved.found, others, limits, state)
            if state.was_stopped:
                ending = "stopped"
            elif not answer.differs:
                ending = "none-left" if answer.is_proven else "none-found"
            else:
                plan = plan_record(
                    solved.shoot_id, solved.limits, allocation, state, solved.clash, known=letters
                )
                made.append(Alternative(plan, answer.is_proven))
                letters |= letters_before(plan)
                others.append(places_of(allocation.variables, state))
    return Alternatives(solved.plan, tuple(made), ending)
