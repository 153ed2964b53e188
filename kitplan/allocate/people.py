"""Rules of the people: who operates, who helps, who keeps an eye on locked-off cameras."""

from __future__ import annotations

from collections import defaultdict
from math import dist
from typing import Any

from kitplan.allocate.variables import Slot, Variables, total
from kitplan.shoot.records import Pass, Person


def add_person_operates_one_camera(x: Variables) -> None:
    """One person operates one camera in a pass: sum(operator) <= 1."""
    for each in x.options.brief.shoot.passes:
        uses = defaultdict(list)
        for slot in x.slots_in(each.id):
            for person, var in slot.operators.items():
                uses[person].append(var)
        for places in uses.values():
            x.model.add_at_most_one(places)


def add_slot_has_one_operator(x: Variables) -> None:
    """A camera has one operator at most: sum(operator) <= used."""
    for slot in x.slots:
        x.model.add(slot.operated <= slot.is_used)


def add_skill_is_there(x: Variables) -> None:
    """A support that needs a skill is operated by somebody who has it, or stands locked off:
    sum(stands that need s) <= sum(operators with s) + locked off.
    """
    crew = x.options.brief.shoot.crew_by_id
    for slot in x.slots:
        by_skill = defaultdict(list)
        for stand, var in slot.stand_items():
            if stand.support.skill:
                by_skill[stand.support.skill].append(var)
        for skill, stands in by_skill.items():
            able = [var for p, var in slot.operators.items() if skill in crew[p].skills]
            x.model.add(total(stands) <= total(able) + slot.locked_off)


def helpers_needed(slots: tuple[Slot, ...]) -> Any:
    """People beyond the operator that supports need (a jib takes two), as an expression."""
    return total(
        (stand.support.people - 1) * var
        for slot in slots
        for stand, var in slot.stand_items()
        if stand.support.people > 1
    )


def add_hands_suffice(x: Variables) -> None:
    """Helpers are people on hand who neither operate nor perform in the pass:
    sum(operated by those free of the stage) + sum(helpers) <= people free of the stage.
    """
    for each in x.options.brief.shoot.passes:
        slots = x.slots_in(each.id)
        free = x.options.brief.free_of_stage(each)
        x.model.add(_operated_by(slots, free) + helpers_needed(slots) <= len(free))


def _operated_by(slots: tuple[Slot, ...], people: tuple[Person, ...]) -> Any:
    """Cameras operated by some people, as an expression."""
    ids = {person.id for person in people}
    return total(v for slot in slots for p, v in slot.operators.items() if p in ids)


def add_locked_off_is_minded(x: Variables) -> None:
    """Every locked-off camera that can be reached has somebody who looks at it: an operator
    nearby (few each), or a free pair of hands (some each). Whoever performs in the pass does not.
    """
    for each in x.options.brief.shoot.passes:
        _add_minding(x, each)


def _add_minding(x: Variables, each: Pass) -> None:
    brief, rules = x.options.brief, x.options.brief.shoot.rules
    slots, free = x.slots_in(each.id), brief.free_of_stage(each)
    by_position: dict[str, list[Slot]] = defaultdict(list)
    for slot in slots:
        by_position[slot.spot.position.id].append(slot)
    place = {p.id: p.at_m for p in brief.shoot.venue.positions}
    most = len(slots)
    by_operator = defaultdict(list)
    floating = []
    for here, own in by_position.items():
        if own[0].spot.is_unreachable:
            continue  # nobody can look at it: it must last on its own (see options)
        watchers = []
        for there in by_position:
            if dist(place[here], place[there]) <= rules.mind_reach_m + 1e-9:
                minded = x.model.new_int_var(0, most, f"minds[{each.id},{here},from {there}]")
                watchers.append(minded)
                by_operator[there].append(minded)
        float_var = x.model.new_int_var(0, most, f"minds[{each.id},{here},floater]")
        floating.append(float_var)
        x.model.add(total(slot.locked_off for slot in own) <= total(watchers) + float_var)
    for there, minded_there in by_operator.items():
        near = _operated_by(tuple(by_position[there]), free)
        capacity = rules.minds_per_operator * near
        x.model.add(total(minded_there) <= capacity)
    busy = _operated_by(slots, free) + helpers_needed(slots)
    x.model.add(total(floating) <= rules.minds_per_floater * (len(free) - busy))


RULES = (
    add_person_operates_one_camera,
    add_slot_has_one_operator,
    add_skill_is_there,
    add_hands_suffice,
    add_locked_off_is_minded,
)
