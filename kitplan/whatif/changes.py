"""The smallest change that makes room for what a plan misses, found by solving.

Every change is tried in the order of its cost: a model with the rules of the changed brief has to
meet what is missed and everything that was met before. The first change of which a new plan then
says so as well is the answer.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from kitplan.allocate.demands import keep_words
from kitplan.allocate.model import build
from kitplan.allocate.solver import Limits, new_solver
from kitplan.options.parts import Scope
from kitplan.options.spots import find_options
from kitplan.plan.records import DemandMet, Plan
from kitplan.produce.solve import NoPlanInTime, plan_shoot
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pattern
from kitplan.whatif.changed import with_shoot
from kitplan.whatif.repairs import Change, Repairs
from kitplan.whatif.why import Inquiry, Kind

Verdict = Literal["yes", "no", "open"]
Key = tuple[str, str, str]
"""Kind, id and words of a demand."""
VERDICTS: dict[str, Verdict] = {"OPTIMAL": "yes", "FEASIBLE": "yes", "INFEASIBLE": "no"}
SHARE_OF_ONE, LEAST_SECONDS = 0.25, 0.2
"""Of the time, what one change may take to be asked about."""
SHARES_OF_PLANS = (0.4, 0.9)
"""Of the time left, a plan with the change, and where it falls short one that holds the roles."""
MOST_OTHERS = 3
"""Repairs of a clash that are named beside the cheapest."""
GOAL_OF = {"must": "musts", "want": "wants"}


@dataclass(frozen=True)
class Repair:
    """What was tried to make room for what is missed, and the first change that does."""

    wanted: tuple[str, ...]
    """Words of the demands that are missed."""
    change: Change | None
    before: dict[str, float]
    after: dict[str, float]
    """Goals without and with the change; empty where none was found."""
    is_proven: bool
    """No plan with the change reaches more."""
    cannot: int
    """Changes that are proven not to help alone."""
    open: tuple[str, ...]
    """Changes about which the time was too short to say."""
    possible: tuple[str, ...]
    """Changes that make it possible, but the best plan found does not make use of it."""
    is_out_of_time: bool
    """Not every change was asked about."""
    others: tuple[str, ...] = ()
    """Further changes, not much dearer, that make it possible as well."""
    is_of_use: bool = False
    """A thing is wanted in use, by a lock."""
    keeps_wants: bool = True
    """Every want that is met stays so; no must is bought with less than that."""


def smallest_change(
    inquiry: Inquiry,
    wanted: Sequence[DemandMet],
    changes: Iterable[Change],
    seconds: float,
    *,
    keeps_wants: bool,
    most_others: int = 0,
) -> Repair:
    """Return the cheapest change that meets demands and loses no must that is met.

    Args:
        changes: The cheapest first.
        keeps_wants: Nor a want; wants never stand in the way of a must.
        most_others: How many further changes that do it as well to look for, in the time left.
    """
    trial = _Trial(inquiry, wanted, seconds, keeps_wants=keeps_wants)
    left = iter(changes)
    for change in left:
        if trial.left_s <= 0:
            trial.is_out_of_time = True
            break
        after = trial.of(change)
        if after is not None:
            return replace(trial.repair(change, after), others=trial.others(left, most_others))
    return trial.repair(None, None)


def repair_of_role(inquiry: Inquiry, role_id: str, seconds: float) -> Repair | None:
    """Return the cheapest change that fills a role; None where it is filled."""
    wanted = [d for d in inquiry.unmet() if (d.kind, d.id) == ("role", role_id)]
    if not wanted:
        return None
    changes = changes_in_order(inquiry, wanted, inquiry.scope("role", role_id))
    keeps_wants = wanted[0].priority != "must"
    return smallest_change(inquiry, wanted, changes, seconds, keeps_wants=keeps_wants)


def repair_of_use(inquiry: Inquiry, kind: Kind, own_id: str, seconds: float) -> Repair:
    """Return the cheapest change that brings an item, position or person into a plan.

    A lock asks for it, and what the goals come to then is what its use costs.
    """
    brief = inquiry.brief
    part = brief.kit.items_by_id[own_id].kind if kind == "item" else kind
    pattern = Pattern.model_validate({part: own_id})
    locks = brief.shoot.locks
    locked = locks.model_copy(update={"keep": (*locks.keep, pattern)})
    base = with_shoot(brief, locks=locked)
    demand = DemandMet(
        kind="keep",
        id=str(len(locks.keep)),
        words=keep_words(pattern),
        priority="must",
        is_met=False,
    )
    changes = _changes_for_use(Repairs(inquiry, inquiry.scope(kind, own_id), base))
    found = smallest_change(inquiry, [demand], changes, seconds, keeps_wants=True)
    return replace(found, is_of_use=True)


def repair_of_clash(inquiry: Inquiry, seconds: float) -> Repair | None:
    """Return the cheapest change that ends the clash of the musts, and the next ones that would do;
    None where there is no clash.
    """
    wanted = [d for d in inquiry.unmet() if d.words in inquiry.plan.clash]
    if not wanted:
        return None
    roles = {demand.id for demand in wanted if demand.kind == "role"}
    is_one_role = len(roles) == 1 and all(demand.kind == "role" for demand in wanted)
    scope = inquiry.scope("role", roles.pop()) if is_one_role else None
    changes = changes_in_order(inquiry, wanted, scope)
    return smallest_change(
        inquiry, wanted, changes, seconds, keeps_wants=False, most_others=MOST_OTHERS
    )


def key_of(demand: DemandMet) -> Key:
    """Return what a demand is known by, before and after a change."""
    return (demand.kind, demand.id, demand.words)


def changes_in_order(
    inquiry: Inquiry, wanted: Sequence[DemandMet], scope: Scope | None
) -> Iterator[Change]:
    """Yield what may be changed; nice roles are asked for as wants, or no plan would care."""
    nice = {demand.id for demand in wanted if demand.priority == "nice"}
    base = _as_wants(inquiry.brief, nice)
    repairs = Repairs(inquiry, scope, base)
    if nice and repairs.has_options:
        yield Change("want", "it is asked for as a want", base)
    elif not nice and repairs.has_options and not _is_settled(inquiry.plan, wanted):
        yield Change("none", "nothing has to change, only a longer search", base)
    ending = ", and it is asked for as a want" if nice else ""
    is_must = any(demand.priority == "must" for demand in wanted)
    for change in repairs.in_order():
        if not (is_must and change.given_up):  # wants make room for a must anyway
            yield Change(change.kind, change.words + ending, change.brief, change.given_up)


def _changes_for_use(repairs: Repairs) -> Iterator[Change]:
    """Yield what brings a thing into the plan: a lock alone, or with something changed."""
    lock = "a lock that asks for it"
    if repairs.has_options:
        yield Change("lock", lock, repairs.brief)
    for change in repairs.in_order():
        yield Change(change.kind, f"{change.words}, and {lock}", change.brief, change.given_up)


def _as_wants(brief: Brief, role_ids: set[str]) -> Brief:
    if not role_ids:
        return brief
    roles = tuple(
        role.model_copy(update={"priority": "want"}) if role.id in role_ids else role
        for role in brief.shoot.roles
    )
    return with_shoot(brief, roles=roles)


def _is_settled(plan: Plan, wanted: Sequence[DemandMet]) -> bool:
    """Whether it is proven that the plan cannot meet more as things are."""
    proven = {goal.goal for goal in plan.goals if goal.is_proven}
    return all(GOAL_OF[demand.priority] in proven for demand in wanted)


class _Trial:
    """Asks about one change after another, within the time."""

    def __init__(
        self,
        inquiry: Inquiry,
        wanted: Sequence[DemandMet],
        seconds: float,
        *,
        keeps_wants: bool,
    ) -> None:
        self._keeps_wants = keeps_wants
        self._plan, self._shoot_id = inquiry.plan, inquiry.shoot_id
        self._wanted, self._seconds = tuple(wanted), seconds
        self._start = time.monotonic()
        self._cannot = 0
        self._open: list[str] = []
        self._possible: list[str] = []
        self.is_out_of_time = False

    @property
    def left_s(self) -> float:
        """Seconds left."""
        return self._seconds - (time.monotonic() - self._start)

    def of(self, change: Change) -> Plan | None:
        """Return a plan with a change that meets what is wanted and loses nothing; else None."""
        needed = self._needed(change)
        verdict = can_meet(change.brief, needed, self._share())
        if verdict == "no":
            self._cannot += 1
            return None
        if verdict == "open":
            self._open.append(change.words)
            return None
        briefs = (change.brief, _holding(change.brief, needed))
        for brief, share in zip(briefs, SHARES_OF_PLANS, strict=True):
            plan = self._plan_of(brief, share * self.left_s)
            if plan is not None and needed <= {key_of(d) for d in plan.demands if d.is_met}:
                return plan
        self._possible.append(change.words)
        return None

    def others(self, changes: Iterator[Change], most: int) -> tuple[str, ...]:
        """Return the words of further changes with which all can be met, in the time left."""
        found: list[str] = []
        while len(found) < most and self.left_s > 0 and (change := next(changes, None)):
            if can_meet(change.brief, self._needed(change), self._share()) == "yes":
                found.append(change.words)
        return tuple(found)

    def _plan_of(self, brief: Brief, seconds: float) -> Plan | None:
        try:
            return plan_shoot(
                brief,
                shoot_id=self._shoot_id,
                limits=Limits(seconds=max(seconds, LEAST_SECONDS), seed=1, workers=1),
            )
        except NoPlanInTime:
            return None

    def _needed(self, change: Change) -> frozenset[Key]:
        """What is wanted, and what is met and has to stay so without being given up."""
        staying = ("must", "want") if self._keeps_wants else ("must",)
        kept = [
            demand
            for demand in self._plan.demands
            if demand.is_met
            and demand.priority in staying
            and not (demand.kind == "role" and demand.id in change.given_up)
        ]
        return frozenset(map(key_of, (*self._wanted, *kept)))

    def _share(self) -> float:
        return max(min(self.left_s, SHARE_OF_ONE * self._seconds), LEAST_SECONDS)

    def repair(self, change: Change | None, after: Plan | None) -> Repair:
        """Return what has been found."""
        goals = after.goals if after is not None else ()
        reached = {goal.goal: goal.value for goal in goals}
        if change is not None and after is not None:
            reached |= _asked(change.brief, after)
        return Repair(
            wanted=tuple(demand.words for demand in self._wanted),
            change=change,
            before={goal.goal: goal.value for goal in self._plan.goals},
            after=reached,
            is_proven=bool(goals) and all(goal.is_proven for goal in goals),
            cannot=self._cannot,
            open=tuple(self._open),
            possible=tuple(self._possible),
            is_out_of_time=self.is_out_of_time,
            keeps_wants=self._keeps_wants,
        )


def _holding(brief: Brief, needed: frozenset[Key]) -> Brief:
    """Return a brief that asks for these roles as musts: a short search keeps those first, and a
    plan that has them shows what the best plan reaches at least.
    """
    held = {own_id for kind, own_id, _ in needed if kind == "role"}
    roles = tuple(
        role.model_copy(update={"priority": "must"}) if role.id in held else role
        for role in brief.shoot.roles
    )
    return with_shoot(brief, roles=roles)


def _asked(brief: Brief, plan: Plan) -> dict[str, float]:
    """Return musts missed (counted below nought) and the weight of wants, as a brief asks."""
    roles = {role.id: role for role in brief.roles}
    missed, weight = 0, 0
    for demand in plan.demands:
        role = roles.get(demand.id) if demand.kind == "role" else None
        priority = role.priority if role is not None else demand.priority
        if priority == "must":
            missed += not demand.is_met
        elif priority == "want" and role is not None and demand.is_met:
            weight += role.weight
    return {"musts": float(-missed), "wants": float(weight)}


def can_meet(brief: Brief, needed: frozenset[Key], seconds: float) -> Verdict:
    """Return whether one plan of a brief can meet all these demands; `open` where time runs out."""
    allocation = build(find_options(brief))
    found = set()
    for demand in allocation.demands.all:
        key = (demand.kind, demand.id, demand.words)
        if key in needed:
            allocation.model.add(demand.is_met == 1)
            found.add(key)
    if found != needed:
        return "no"  # the change has taken away what was asked for
    solver = new_solver(seconds, Limits(seconds=seconds, seed=1, workers=1), workers=1)
    status = solver.solve(allocation.model)
    return VERDICTS.get(solver.status_name(status), "open")
