"""What no longer holds where rigs stay and the shoot around them changes: told, never hidden."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kitplan.plan.records import Placement, Plan
from kitplan.plan.verify import Finding, verify


@dataclass(frozen=True)
class Gone:
    """A camera that cannot stay as it was, and why."""

    placement: Placement
    reason: str


def faults_of(before: Plan, after: Plan) -> tuple[Finding, ...]:
    """Return what the checker says of the plan before, all as it was, with the new songs."""
    return verify(before.model_copy(update={"shoots": after.shoots, "day": None}))


def gone(before: Plan, after: Plan, findings: Sequence[Finding]) -> Iterator[Gone]:
    """Yield the cameras that are not in the plan any more, with what the checker says of them."""
    there = {(p.pass_id, p.position, p.rig.body) for p in after.placements}
    for placement in before.placements:
        if (placement.pass_id, placement.position, placement.rig.body) in there:
            continue
        own = placement.pass_id.partition("/")[2]
        names = (f"{own}, {placement.position}, camera {placement.letter}", own, "between passes")
        reasons = [each for name in names for each in findings if each.where == name]
        words = f"{reasons[0].wrong}. {reasons[0].right}" if reasons else "it makes room for others"
        yield Gone(placement, words)


def unmet(before: Plan, after: Plan, findings: Sequence[Finding]) -> Iterator[str]:
    """Yield the demands that were met, are still asked for, and are not met any more."""
    was = {demand.words for demand in before.demands if demand.is_met}
    for priority in ("must", "want", "nice"):
        for demand in after.demands:
            if demand.priority == priority and not demand.is_met and demand.words in was:
                begin = f"role {demand.id}: "
                why = [f.wrong.removeprefix(begin) for f in findings if f.wrong.startswith(begin)]
                reason = f": {why[0]}" if demand.kind == "role" and why else ""
                yield f"{priority.upper()}: {demand.words}{reason}."


def unheld(before: Plan, after: Plan) -> Iterator[tuple[str, str]]:
    """Yield song and name of the moments that somebody held and nobody does any more."""
    assert before.day is not None
    assert before.day.shots is not None
    assert after.day is not None
    assert after.day.shots is not None
    was = {(row.song, row.moment) for row in before.day.shots.moments if row.first is not None}
    for row in after.day.shots.moments:
        if row.first is None and (row.song, row.moment) in was:
            yield row.song, row.moment
