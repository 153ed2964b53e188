"""Figures of a plan that schedules are compared by; all read off the plan itself."""

from __future__ import annotations

from dataclasses import dataclass

from kitplan.plan.records import Placement, Plan
from kitplan.shoot.records import Shoot

MAIN_GOALS = ("musts", "wants", "thinnest", "viewpoints")
"""Goals that decide between schedules; a figure is proven when all of these are."""


@dataclass(frozen=True)
class Figures:
    """What a schedule comes to."""

    cameras: tuple[int, ...]
    """Cameras rolling in each of its passes."""
    viewpoints: int
    operated: int
    locked_off: int
    thinnest: int
    """Fewest distinct viewpoints that any song can be cut between."""
    points: float
    """Points of the distinct viewpoints times songs."""
    pairs: int
    """Different pairs of subject and shot size."""
    bands: int
    """Bands of angle of view."""
    musts_met: int
    wants_met: int
    wants_weight: int
    reset_min: float
    """Person-minutes between passes."""
    crew_hours: float
    kilograms: float
    is_proven: bool


def figures(plan: Plan, roles: Shoot) -> Figures:
    """Return the figures of a plan of one shoot.

    Args:
        roles: The shoot with all its passes: a role that a shorter schedule cannot even be asked
            for counts as not met.
    """
    (shoot_id,) = plan.shoots
    counted = [placement for placement in plan.placements if placement.is_counted]
    operated = sum(placement.manner == "operated" for placement in counted)
    met = _roles_met(plan)
    return Figures(
        cameras=tuple(len(plan.placements_in(pass_id)) for pass_id in plan.pass_ids()),
        viewpoints=len(counted),
        operated=operated,
        locked_off=len(counted) - operated,
        thinnest=min(offers(plan, shoot_id).values()),
        points=next((goal.value for goal in plan.goals if goal.goal == "viewpoints"), 0.0),
        pairs=_pairs(plan, shoot_id),
        bands=len({placement.shot.band for placement in plan.placements}),
        musts_met=sum(role.priority == "must" and role.id in met for role in roles.roles),
        wants_met=sum(role.priority == "want" and role.id in met for role in roles.roles),
        wants_weight=sum(
            role.weight for role in roles.roles if role.priority == "want" and role.id in met
        ),
        reset_min=sum(reset.work_min for reset in plan.resets),
        crew_hours=_crew_hours(plan, shoot_id),
        kilograms=_kilograms(plan),
        is_proven=_is_proven(plan),
    )


def offers(plan: Plan, shoot_id: str) -> dict[str, int]:
    """Return how many distinct viewpoints each song can be cut between, by song id.

    Counted placements in passes that are live or lock there, less those whose operator performs.
    """
    shoot = plan.shoots[shoot_id]
    own = [p for p in plan.placements if p.pass_id.partition("/")[0] == shoot_id]
    return {
        song.id: sum(_is_offered(plan, shoot, placement, song.id) for placement in own)
        for song in shoot.songs
    }


def is_away(shoot: Shoot, placement: Placement, song_id: str) -> bool:
    """Return whether a placement gives nothing in a song: its operator performs and nobody frames
    then, or its pass is over and it has not got the song.
    """
    stood = shoot.past.stood_with(placement.pass_id.partition("/")[2], placement.rig.body)
    if stood is not None and song_id in stood.missed:
        return True
    person = shoot.crew_by_id.get(placement.operator or "")
    return person is not None and song_id in person.performs_in


def _is_offered(plan: Plan, shoot: Shoot, placement: Placement, song_id: str) -> bool:
    return (
        placement.is_counted
        and plan.worth[placement.pass_id][song_id] in ("live", "locks")
        and not is_away(shoot, placement, song_id)
    )


def _roles_met(plan: Plan) -> set[str]:
    """Return the roles of which every demand is met."""
    asked = [demand for demand in plan.demands if demand.kind == "role"]
    missed = {demand.id for demand in asked if not demand.is_met}
    return {demand.id for demand in asked} - missed


def _pairs(plan: Plan, shoot_id: str) -> int:
    """Pairs of subject and size among main shots and menus, at most a few counted a subject."""
    sizes: dict[str, set[str]] = {}
    for placement in plan.placements:
        for framing in (placement.shot, *placement.menu):
            sizes.setdefault(framing.subject, set()).add(framing.size)
    most = plan.shoots[shoot_id].rules.pairs_per_subject
    return sum(min(len(found), most) for found in sizes.values())


def _crew_hours(plan: Plan, shoot_id: str) -> float:
    """Hours of the people on hand while passes run, and of the work between them."""
    from kitplan.shoot.brief import Brief

    brief = Brief(plan.shoots[shoot_id], plan.kit)
    running = sum(
        len(brief.people(each)) * brief.shoot.length_min(each) for each in brief.shoot.passes
    )
    return (running + sum(reset.work_min for reset in plan.resets)) / 60


def _kilograms(plan: Plan) -> float:
    """Mass of every unit that any placement takes."""
    item_of = {unit.id: plan.kit.items_by_id[unit.item] for unit in plan.kit.units}
    used = {unit for placement in plan.placements for unit in placement.units}
    return sum(item_of[unit].mass_kg for unit in used)


def _is_proven(plan: Plan) -> bool:
    proven = {goal.goal for goal in plan.goals if goal.is_proven}
    return proven.issuperset(MAIN_GOALS)
