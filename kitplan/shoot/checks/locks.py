"""Locks name what exists and can be kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations

from kitplan.gear.kit import Kit
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.fault import Fault, listed, meant
from kitplan.shoot.records import Pass, Pattern, Person, Shoot
from kitplan.shoot.venue import Position
from kitplan.wording import Place

_ITEM_KINDS = ("body", "lens", "adapter", "head", "support")


def _rows(shoot: Shoot) -> Iterator[tuple[Place, Pattern]]:
    """Every lock with its place."""
    for name, patterns in (("keep", shoot.locks.keep), ("never", shoot.locks.never)):
        for index, pattern in enumerate(patterns):
            yield ("locks", name, index), pattern


def _keeps(shoot: Shoot) -> Iterator[tuple[Place, Pattern]]:
    return ((place, pattern) for place, pattern in _rows(shoot) if place[1] == "keep")


def unknown_parts(shoot: Shoot) -> Iterator[Fault]:
    """Locks name passes, positions, people and roles that exist."""
    known_by_part: dict[str, Iterable[str]] = {
        "pass": shoot.passes_by_id,
        "position": [position.id for position in shoot.venue.positions],
        "person": shoot.crew_by_id,
        "role": [role.id for role in Brief(shoot, Kit.EMPTY).roles],
    }
    for place, pattern in _rows(shoot):
        for part, known in known_by_part.items():
            named = pattern.parts.get(part)
            if named is not None and named not in known:
                wrong = f"the lock names the {part} '{named}', which does not exist"
                yield Fault((*place, part), wrong, meant(named, known, part))


def unknown_gear(brief: Brief) -> Iterator[Fault]:
    """Locks name items of the kit, each of its kind."""
    for place, pattern in _rows(brief.shoot):
        for kind in _ITEM_KINDS:
            named = pattern.parts.get(kind)
            item = brief.kit.items_by_id.get(named or "")
            if named is None or (item is not None and item.kind == kind):
                continue
            known = [one.id for one in brief.kit.items if one.kind == kind]
            if item is not None:
                wrong = f"the lock names '{named}' as its {kind}, but it is of kind {item.kind}"
                right = f"Write {item.kind}: {named}, or a {kind} of the kit"
                if item.kind not in _ITEM_KINDS:
                    right = meant(named, known, kind)
            elif unit := next((one for one in brief.kit.units if one.id == named), None):
                wrong = f"the lock names '{named}', which is a single unit"
                right = f"Write {kind}: {unit.item}; units are given out afterwards"
            else:
                wrong = f"the lock names the {kind} '{named}', which is not in the kit"
                right = meant(named, known, kind)
            yield Fault((*place, kind), wrong, right)


def split_people(shoot: Shoot) -> Iterator[Fault]:
    """Nobody is kept at two positions in one pass."""
    everywhere = shoot.passes[0].id if len(shoot.passes) == 1 else None
    for (_, first), (place, second) in combinations(_keeps(shoot), 2):
        pass_id = second.pass_ or everywhere
        is_same = first.person is not None and first.person == second.person
        has_places = first.position is not None and second.position is not None
        if not is_same or pass_id is None or pass_id != (first.pass_ or everywhere):
            continue
        if has_places and first.position != second.position:
            wrong = (
                f"'{second.person}' is kept at two positions in pass '{pass_id}': "
                f"{first.position} and {second.position}"
            )
            right = "Keep one of the two, or name somebody else"
            yield Fault((*place, "position"), wrong, right)


def forbidden_keeps(shoot: Shoot) -> Iterator[Fault]:
    """What is kept is not forbidden by another lock."""
    for place, keep in _keeps(shoot):
        for never in shoot.locks.never:
            if never.parts.items() <= keep.parts.items():
                wrong = f"the lock keeps what another lock forbids ({never})"
                yield Fault(place, wrong, "Take one of the two out")


def closed_keeps(shoot: Shoot) -> Iterator[Fault]:
    """A position is open in the pass it is kept for."""
    positions = {position.id: position for position in shoot.venue.positions}
    for place, keep in _keeps(shoot):
        position = positions.get(keep.position or "")
        if position is None or position.open_in is None:
            continue
        if keep.pass_ in shoot.passes_by_id and keep.pass_ not in position.open_in:
            wrong = f"the lock keeps '{position.id}' in pass '{keep.pass_}', where it is not open"
            right = f"Add {keep.pass_} to open_in of the position, or name another one"
            yield Fault((*place, "position"), wrong, right)


def idle_people(shoot: Shoot) -> Iterator[Fault]:
    """Whoever is kept operates, is on hand and not on stage all along, and may go there."""
    brief = Brief(shoot, Kit.EMPTY)
    positions = {position.id: position for position in shoot.venue.positions}
    for place, keep in _keeps(shoot):
        person = shoot.crew_by_id.get(keep.person or "")
        if person is None or (keep.pass_ is not None and keep.pass_ not in shoot.passes_by_id):
            continue
        passes = shoot.passes if keep.pass_ is None else (shoot.passes_by_id[keep.pass_],)
        why = _why_not(brief, person, passes, positions.get(keep.position or ""))
        if why is not None:
            wrong, right = why
            wrong = f"the lock keeps '{person.id}' at a camera, but '{person.id}' {wrong}"
            yield Fault((*place, "person"), wrong, right)


def _why_not(
    brief: Brief, person: Person, passes: tuple[Pass, ...], position: Position | None
) -> tuple[str, str] | None:
    """Return why somebody operates in none of the passes there, and what to do."""
    where = f"pass '{passes[0].id}'" if len(passes) == 1 else "any pass"
    there = [each for each in passes if person in brief.people(each)]
    if not person.is_operator:
        return "is no operator", "Name somebody else, or set is_operator: true"
    if not there:
        return (
            f"is not on hand from doors to end in {where}",
            "Name somebody else, or correct since, until and the people of the pass",
        )
    if all(brief.sings_during(person, each) == brief.shoot.run_songs(each) for each in there):
        return f"performs in all of {listed(each.id for each in there)}", "Name somebody else"
    if position is None:
        return None
    if position.only_people is not None and person.id not in position.only_people:
        return (
            f"is not among only_people of '{position.id}'",
            f"Add {person.id} there, or name somebody else",
        )
    if position.is_on_stage and not person.may_be_on_stage:
        return f"may not be on stage, where '{position.id}' is", "Set may_be_on_stage: true"
    return None
