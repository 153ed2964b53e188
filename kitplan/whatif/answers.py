"""Everything that is asked about what is missing, with the changes that would make room for it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kitplan.plan.records import DemandMet
from kitplan.whatif.changes import Repair, repair_of_clash, repair_of_role, repair_of_use
from kitplan.whatif.why import Answer, Inquiry


@dataclass(frozen=True)
class Missing:
    """All that is missing in a plan."""

    unmet: tuple[tuple[DemandMet, Answer | None], ...]
    """Demands; with an answer where they are roles."""
    unused: tuple[Answer, ...]
    repair: Repair | None
    """What ends the clash of the musts, if there is one and it was looked for."""


def missing_in(inquiry: Inquiry, seconds: float) -> Missing:
    """Return all that is missing in a plan.

    Args:
        seconds: How long to look for a change; 0 looks for none.
    """
    unmet = tuple(
        (demand, inquiry.answer("role", demand.id) if demand.kind == "role" else None)
        for demand in inquiry.unmet()
    )
    unused = tuple(inquiry.answer(*each) for each in inquiry.unused())
    return Missing(unmet, unused, repair_of_clash(inquiry, seconds) if seconds else None)


def answers_about(
    inquiry: Inquiry, name: str, seconds: float
) -> Iterator[tuple[Answer, Repair | None]]:
    """Yield the answer for everything that a name stands for, with the smallest change that brings
    it in where it is missing.

    Args:
        seconds: How long to look for each change; 0 looks for none.
    Raises:
        SettingError: If there is nothing of that name.
    """
    for kind, own_id in inquiry.named(name):
        answer = inquiry.answer(kind, own_id)
        repair = None
        if seconds and kind == "role":
            repair = repair_of_role(inquiry, own_id, seconds)
        elif seconds and not answer.is_met:
            repair = repair_of_use(inquiry, kind, own_id, seconds)
        yield answer, repair
