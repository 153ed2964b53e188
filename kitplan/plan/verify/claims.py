"""What a plan says of itself, against what its placements come to.

Status, demands, goals, resets, worth of the passes, items left at home.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isclose

from kitplan.plan.records import DemandMet, GoalReached, Plan
from kitplan.plan.verify.between import reset_available_tenths, reset_work_tenths
from kitplan.plan.verify.counting import best_counting
from kitplan.plan.verify.demands import Demand, demands_of, missed_musts
from kitplan.plan.verify.findings import Finding
from kitplan.plan.verify.goals import GOALS, SHOWN_PER_WHOLE, goal_values
from kitplan.plan.verify.resolve import Placed
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.setups import Setup

RIG_KINDS = ("body", "lens", "adapter", "head", "support")
TOLERANCE = 1e-6


@dataclass(frozen=True)
class Part:
    """One shoot of a plan, read."""

    shoot_id: str
    scene: Scene
    placed: tuple[Placed, ...]

    @property
    def setups(self) -> tuple[Setup, ...]:
        """Its placements in items."""
        return tuple(one.setup for one in self.placed)


def claim_findings(plan: Plan, parts: Sequence[Part]) -> Iterator[Finding]:
    """Yield every claim of a plan that does not hold."""
    demands = [demands_of(part.scene, part.setups) for part in parts]
    listed = tuple(demand for of_part in demands for demand in of_part)
    yield from _shutter_findings(plan, parts)
    yield from _demand_findings(plan, listed)
    yield from _status_findings(plan, missed_musts(listed))
    yield from _goal_findings(plan, parts, demands)
    yield from _reset_findings(plan, parts)
    yield from _worth_findings(plan, parts)
    yield from _left_out_findings(plan)


def _is_same(one: float, other: float) -> bool:
    return isclose(one, other, rel_tol=TOLERANCE, abs_tol=TOLERANCE)


def _shutter_findings(plan: Plan, parts: Sequence[Part]) -> Iterator[Finding]:
    for part in parts:
        derived = part.scene.shutter_s or 0.0
        if not isclose(plan.shutter_s, derived, rel_tol=TOLERANCE):
            wrong = f"the common shutter time is given as {plan.shutter_s:.6g} s"
            yield Finding("shutter-time", part.shoot_id, wrong, f"It comes to {derived:.6g} s")


# -- demands and status ----------------------------------------------------------------------------


def _demand_findings(plan: Plan, derived: Sequence[Demand]) -> Iterator[Finding]:
    wanted: dict[tuple[str, str], list[Demand]] = defaultdict(list)
    found: dict[tuple[str, str], list[DemandMet]] = defaultdict(list)
    for demand in derived:
        wanted[demand.kind, demand.id].append(demand)
    for listed in plan.demands:
        found[listed.kind, listed.id].append(listed)
    for key in sorted(wanted.keys() | found.keys()):
        where = f"demands, {key[0]} {key[1]}"
        if len(wanted[key]) != len(found[key]):
            wrong = f"it is listed {len(found[key])} times"
            right = f"The shoot asks for it {len(wanted[key])} times"
            yield Finding("demand-list", where, wrong, right)
        for demand, listed in zip(wanted[key], found[key], strict=False):
            yield from _one_demand(where, demand, listed)


def _one_demand(where: str, demand: Demand, listed: DemandMet) -> Iterator[Finding]:
    if listed.priority != demand.priority:
        wrong = f"its priority is given as {listed.priority}"
        yield Finding("demand-list", where, wrong, f"It is a {demand.priority}")
    if listed.is_met != demand.is_met:
        says = {True: "met", False: "not met"}
        wrong = f"'{listed.words}' is said to be {says[listed.is_met]}"
        right = f"The placements leave it {says[demand.is_met]}"
        yield Finding("demand-met", where, wrong, right)


def _status_findings(plan: Plan, missed: int) -> Iterator[Finding]:
    if missed and plan.status != "musts-missed":
        musts = "1 must is missed" if missed == 1 else f"{missed} musts are missed"
        wrong = f"the status is {plan.status}, but {musts}"
        yield Finding("status", "status", wrong, "It should be musts-missed")
    if not missed and plan.status == "musts-missed":
        yield Finding("status", "status", "no must is missed", "The status should be solved")
    if not missed and plan.clash:
        wrong = f"{len(plan.clash)} demands are said to clash"
        yield Finding("clash", "clash", wrong, "All musts are met: nothing clashes")


# -- goals -----------------------------------------------------------------------------------------


def _goal_findings(
    plan: Plan, parts: Sequence[Part], demands: Sequence[Sequence[Demand]]
) -> Iterator[Finding]:
    names = [reached.goal for reached in plan.goals]
    expected = [goal for goal in GOALS if goal in names]
    if names != expected or (plan.status == "solved" and len(names) < len(GOALS)):
        wrong = f"they are {', '.join(names) or 'none'}"
        yield Finding("goal-list", "goals", wrong, f"In order they are {', '.join(GOALS)}")
    values = _values(parts, demands)
    for reached in plan.goals:
        if reached.goal in values:
            yield from _one_goal(reached, values[reached.goal])
    yield from _better_counting(plan, parts, values)


def _values(parts: Sequence[Part], demands: Sequence[Sequence[Demand]]) -> dict[str, float]:
    """Values of the goals as a plan shows them; of several shoots the sum, or the thinnest."""
    by_part = [
        goal_values(part.scene, part.setups, of_part)
        for part, of_part in zip(parts, demands, strict=True)
    ]
    if not by_part:
        return {}
    return {
        goal: (min if goal == "thinnest" else sum)(of_part[goal] for of_part in by_part)
        / SHOWN_PER_WHOLE.get(goal, 1.0)
        for goal in GOALS
    }


def _one_goal(reached: GoalReached, derived: float) -> Iterator[Finding]:
    where = f"goal {reached.goal}"
    if not _is_same(reached.value, derived):
        wrong = f"its value is given as {reached.value:.6g}"
        yield Finding("goal-value", where, wrong, f"The placements come to {derived:.6g}")
    is_met = _is_same(reached.bound, reached.value)
    if not (reached.bound >= reached.value or is_met):
        wrong = f"the bound {reached.bound:.6g} is below the value {reached.value:.6g}"
        yield Finding("goal-bound", where, wrong, "Nothing can be better than its bound")
    if reached.is_proven != is_met:
        wrong = f"it is marked {'proven' if reached.is_proven else 'open'}"
        right = f"The value is {reached.value:.6g}, the bound {reached.bound:.6g}"
        yield Finding("goal-proven", where, wrong, right)


def _better_counting(
    plan: Plan, parts: Sequence[Part], values: dict[str, float]
) -> Iterator[Finding]:
    """Of a plan of one shoot: no other set of its placements counts for more than a proven one."""
    proven = {reached.goal for reached in plan.goals if reached.is_proven}
    if len(parts) != 1 or not proven & {"thinnest", "viewpoints"}:
        return
    best = best_counting(parts[0].scene, parts[0].setups)
    for goal, whole in (("thinnest", best.thinnest), ("viewpoints", best.viewpoints)):
        shown = whole / SHOWN_PER_WHOLE.get(goal, 1.0)
        is_kept = goal == "thinnest" or best.thinnest >= values["thinnest"]
        if goal in proven and is_kept and shown > values[goal] + TOLERANCE:
            counted = ", ".join(parts[0].placed[place].where for place in best.chosen)
            wrong = f"{values[goal]:.6g} is marked proven"
            yield Finding("goal-better", f"goal {goal}", wrong, f"{shown:.6g} counts {counted}")


# -- resets ----------------------------------------------------------------------------------------


def _reset_findings(plan: Plan, parts: Sequence[Part]) -> Iterator[Finding]:
    wanted = {
        (f"{part.shoot_id}/{this.id}", f"{part.shoot_id}/{following.id}"): (part, index)
        for part in parts
        for index, (this, following) in enumerate(
            zip(part.scene.shoot.passes, part.scene.shoot.passes[1:], strict=False)
        )
    }
    if Counter((reset.after, reset.before) for reset in plan.resets) != Counter(wanted.keys()):
        wrong = f"there are {len(plan.resets)}"
        right = f"There should be one between each two passes, {len(wanted)} in all"
        yield Finding("reset-list", "resets", wrong, right)
    for reset in plan.resets:
        if (reset.after, reset.before) not in wanted:
            continue
        part, index = wanted[reset.after, reset.before]
        where = f"reset after {reset.after}"
        work = reset_work_tenths(part.scene, index, part.setups) / 10
        if not _is_same(reset.work_min, work):
            wrong = f"the work is given as {reset.work_min:.1f} person-minutes"
            yield Finding("reset-work", where, wrong, f"It comes to {work:.1f}")
        most = reset_available_tenths(part.scene, index) / 10
        if not _is_same(reset.available_min, most):
            wrong = f"{reset.available_min:.1f} person-minutes are said to be available"
            yield Finding("reset-available", where, wrong, f"They come to {most:.1f}")
        stays = _staying(part, index)
        if sorted(reset.stays) != stays:
            wrong = f"cameras {', '.join(reset.stays) or 'none'} are said to stay"
            yield Finding("reset-stays", where, wrong, f"These do: {', '.join(stays) or 'none'}")


def _staying(part: Part, index: int) -> list[str]:
    """Letters of the cameras that keep their place and every unit of their rig."""
    sides = [
        {
            (one.placement.position, one.placement.rig.units): one.placement.letter
            for one in part.placed
            if one.setup.each.id == each.id
        }
        for each in part.scene.shoot.passes[index : index + 2]
    ]
    return sorted({sides[1][key] for key in sides[0].keys() & sides[1].keys()})


# -- worth and leftovers ---------------------------------------------------------------------------


def _worth_findings(plan: Plan, parts: Sequence[Part]) -> Iterator[Finding]:
    derived = {
        f"{part.shoot_id}/{each.id}": {
            song.id: part.scene.worth(each, song) for song in part.scene.shoot.songs
        }
        for part in parts
        for each in part.scene.shoot.passes
    }
    for each in sorted(derived.keys() | plan.worth.keys()):
        stated, right = plan.worth.get(each, {}), derived.get(each, {})
        for song in sorted(stated.keys() | right.keys()):
            if stated.get(song) != right.get(song):
                wrong = f"its worth is given as {stated.get(song, 'nothing')}"
                where = f"worth of {each} for {song}"
                yield Finding("worth", where, wrong, f"It is {right.get(song, 'unknown')}")


def _left_out_findings(plan: Plan) -> Iterator[Finding]:
    kit = plan.kit
    item_of = {unit.id: unit.item for unit in kit.units}
    used = {item_of.get(unit) for placement in plan.placements for unit in placement.units}
    listed = Counter(left.item for left in plan.left_out)
    for left in plan.left_out:
        where, units = f"left out, {left.item}", len(kit.units_by_item.get(left.item, ()))
        if left.item in used:
            yield Finding("left-out", where, "it is used in a placement", "Take it off the list")
        if units == 0 or left.units != units:
            yield Finding("left-out", where, f"{left.units} units are listed", f"There are {units}")
        if listed[left.item] > 1:
            yield Finding("left-out", where, "it is listed more than once", "List it once")
    for item in kit.items:
        is_unused = item.id in kit.units_by_item and item.id not in used
        if item.kind in RIG_KINDS and is_unused and item.id not in listed:
            where = f"left out, {item.id}"
            yield Finding("left-out", where, "it is used nowhere and not listed", "List it")
