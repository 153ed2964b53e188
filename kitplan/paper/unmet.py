"""What was asked for and is not met, with the reason as far as the plan knows it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kitplan.paper.layout import bullets, heading, joined, paragraph
from kitplan.paper.names import Names
from kitplan.plan.records import DemandMet, Plan

GOAL_OF = {"must": "musts", "want": "wants", "nice": "variety"}


@dataclass(frozen=True)
class Unmet:
    """Something that was asked for and is not met."""

    demand: DemandMet
    reason: str
    """With what is proven of it."""
    instead: tuple[str, ...]
    """Cameras that can frame a role's subject between their own shots."""


def unmet(names: Names) -> tuple[Unmet, ...]:
    """Return what is not met, in the order in which it was asked for."""
    return tuple(
        Unmet(each, _reason(names.plan, each), tuple(_on_a_menu(names, each)))
        for each in names.plan.demands
        if not each.is_met
    )


def unmet_lines(names: Names) -> str:
    """Return what is not met, and the smallest clash among the musts if there is one."""
    missed = unmet(names)
    if not missed:
        return ""
    parts = [heading("Asked for, not met", "-"), bullets(map(_line, missed))]
    parts += _clash_lines(names.plan, sum(each.demand.priority == "must" for each in missed))
    return "\n".join(parts)


def _clash_lines(plan: Plan, missed: int) -> list[str]:
    """What clashes, why as far as the plan knows, and whether that is all of it."""
    if not plan.clash:
        return []
    if len(plan.clash) == 1:
        parts = [paragraph("This cannot be done at all, whatever else is given up:")]
    else:
        parts = [paragraph("These cannot all hold; give up or loosen any one of them:")]
    parts.append(bullets(plan.clash))
    if plan.clash_reason:
        parts.append(paragraph(f"Why: {plan.clash_reason}."))
    if missed > 1:
        parts.append(paragraph(f"That is one clash; {missed} musts are missed in all."))
    return parts


def _line(each: Unmet) -> str:
    end = f" But {joined(each.instead)} can frame it between other shots." if each.instead else ""
    return f"{each.demand.priority.upper()}: {each.demand.words}: {each.reason}.{end}"


def _reason(plan: Plan, demand: DemandMet) -> str:
    goal = next((g for g in plan.goals if g.goal == GOAL_OF[demand.priority]), None)
    is_proven = goal is not None and goal.is_proven
    if demand.priority == "must":
        if demand.words in plan.clash:
            return "it clashes with other musts, below" if len(plan.clash) > 1 else "see below"
        return (
            "proven: no plan misses fewer musts"
            if is_proven
            else "no plan that meets it was found in the time given"
        )
    if demand.priority == "want":
        return (
            "proven: no plan fills wants of more weight"
            if is_proven
            else "no plan that also fills it was found in the time given"
        )
    return "nice roles count only after the wants and the distinct viewpoints"


def _on_a_menu(names: Names, demand: DemandMet) -> Iterator[str]:
    """Yield cameras that can frame a role's subject between their own shots."""
    if demand.kind != "role":
        return
    for placement in names.plan.placements:
        shoot, each = names.plan.pass_of(placement.pass_id)
        role = shoot.roles_by_id.get(demand.id)
        if role is None or (role.passes is not None and each.id not in role.passes) or role.moves:
            continue
        sizes = [m.size for m in placement.menu if m.subject == role.subject]
        if set(sizes) & set(role.sizes):
            yield f"camera {placement.letter} in {names.pass_label(placement.pass_id)}"
