"""Units: one thing in one place at a time, its owner's limits, and all that a rig depends on."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from datetime import date

from kitplan.gear.records import Accessory, AnyItem
from kitplan.plan.verify.findings import Fault, Finding
from kitplan.plan.verify.lasting import lasting_of
from kitplan.plan.verify.resolve import Placed, item_of
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.within import needs_of


def unit_findings(scene: Scene, placed: Sequence[Placed]) -> Iterator[Finding]:
    """Yield what is wrong with the units given to the placements of a shoot."""
    for one in placed:
        faults = (
            *_availability_faults(scene, one),
            *_battery_faults(scene, one),
            *_card_faults(scene, one),
            *_accessory_faults(scene, one),
        )
        yield from (fault.at(one.where) for fault in faults)
    yield from _given_twice(placed)


def _availability_faults(scene: Scene, one: Placed) -> Iterator[Fault]:
    """Units (U): fit for use and lent that day, and in the hands of the owner where so bound."""
    day = scene.day_of(one.setup.each)
    for unit_id in one.placement.units:
        unit = scene.units_by_id.get(unit_id)
        if unit is None:
            continue  # said where the ids are resolved, or by the kind below
        bar = unit.bar_on(day, scene.shoot.travel_days)
        if bar is not None:
            wrong = f"{unit.id} ({bar}) cannot be used on {day}"
            yield Fault("unit-not-free", wrong, "Give a unit that is free that day")
        if scene.is_lost_unit(unit_id, one.setup.each):
            yield Fault("unit-lost", f"{unit.id} is lost", "Give a unit that is still there")
        if unit.owner_only and unit.owner != one.placement.operator:
            wrong = f"{unit.id} is only for its owner {unit.owner}"
            yield Fault("owner-only", wrong, f"{one.placement.operator or 'nobody'} operates here")


def _given_twice(placed: Sequence[Placed]) -> Iterator[Finding]:
    by_pass: dict[str, Counter[str]] = defaultdict(Counter)
    for one in placed:
        by_pass[one.setup.each.id].update(one.placement.units)
    for each, uses in by_pass.items():
        for unit, number in uses.items():
            if number > 1:
                wrong = f"{unit} is given {number} times"
                yield Finding("unit-twice", each, wrong, "A unit is in one place at a time")


def _items(scene: Scene, units: Sequence[str]) -> list[AnyItem]:
    found = (item_of(scene.kit, scene.units_by_id.get(unit)) for unit in units)
    return [item for item in found if item is not None]


def _strangers(scene: Scene, units: Sequence[str], kind: str) -> Iterator[Fault]:
    """Units that do not exist or are not of a kind."""
    for unit in units:
        item = item_of(scene.kit, scene.units_by_id.get(unit))
        if item is None:
            yield Fault("unit", f"there is no unit '{unit}'", "Use one that the kit lists")
        elif item.kind != kind:
            yield Fault("kind", f"{unit} is not of kind {kind}", f"Give a {kind} here")


# -- power and cards -------------------------------------------------------------------------------


def _battery_faults(scene: Scene, one: Placed) -> Iterator[Fault]:
    setup, given = one.setup, one.placement.batteries
    yield from _strangers(scene, given, "battery")
    wanted = lasting_of(scene, setup.each, setup.position, setup.camera).batteries
    battery = setup.camera.body.battery
    wrong_ones = [i.id for i in _items(scene, given) if i.id != battery]
    if wrong_ones:
        wrong = f"{', '.join(wrong_ones)} are given"
        yield Fault("battery", wrong, f"{setup.camera.body.id} takes {battery or 'none'}")
    if len(given) != wanted:
        right = f"The pass takes {wanted} x {battery or 'battery'}"
        yield Fault("battery", f"{len(given)} batteries are given", right)


def _card_faults(scene: Scene, one: Placed) -> Iterator[Fault]:
    setup, given = one.setup, one.placement.cards
    yield from _strangers(scene, given, "media")
    fitting = lasting_of(scene, setup.each, setup.position, setup.camera).cards
    words = " or ".join(f"{number} x {item}" for item, number in fitting.items()) or "none owned"
    items = {item.id for item in _items(scene, given)}
    if len(items) > 1:
        wrong = f"cards of {len(items)} kinds are given"
        yield Fault("card", wrong, "A camera takes cards of one item")
    for item in sorted(items - fitting.keys()):
        yield Fault("card", f"{item} does not do", f"These do: {words}")
    enough = [fitting[item] for item in items if item in fitting] or fitting.values()
    if len(given) not in enough:
        yield Fault("card", f"{len(given)} cards are given", f"The pass takes {words}")


def cards_used_again(given: Sequence[tuple[date, Placed]]) -> Iterator[Finding]:
    """Yield the cards given in two passes of one day: a full card waits for two copies."""
    passes: dict[tuple[date, str], list[str]] = defaultdict(list)
    for day, one in given:
        for card in one.placement.cards:
            passes[day, card].append(one.placement.pass_id)
    for (day, card), used in passes.items():
        if len(set(used)) > 1:
            wrong = f"{card} is given in {' and '.join(sorted(set(used)))} on {day}"
            right = "Give another one: it is formatted only after two copies"
            yield Finding("card-reused", f"card {card}", wrong, right)


# -- accessories -----------------------------------------------------------------------------------


def _accessory_faults(scene: Scene, one: Placed) -> Iterator[Fault]:
    given = one.placement.accessories
    yield from _strangers(scene, given, "accessory")
    left = [item for item in _items(scene, given) if isinstance(item, Accessory)]
    for need, number in needs_of(scene, one.setup).items():
        serving = [item for item in left if need.is_served_by(item)]
        if len(serving) < number:
            wrong = f"{len(serving)} x {need} is given"
            yield Fault("accessory", wrong, f"It takes {number}")


# -- letters ---------------------------------------------------------------------------------------


def letter_findings(
    scenes: Sequence[tuple[Scene, Sequence[Placed]]], *, keeps_letters: bool
) -> Iterator[Finding]:
    """Yield where a letter means two bodies, a body has two letters, or A is no safety camera (the
    last only where letters are not those of a plan before).
    """
    bodies: dict[str, set[str]] = defaultdict(set)
    letters: dict[str, set[str]] = defaultdict(set)
    for _, placed in scenes:
        for one in placed:
            bodies[one.placement.letter].add(one.placement.rig.body)
            letters[one.placement.rig.body].add(one.placement.letter)
    for letter, found in bodies.items():
        if len(found) > 1:
            wrong = f"the letter stands for {' and '.join(sorted(found))}"
            yield Finding("letter", f"camera {letter}", wrong, "One letter is one body")
    for body, names in letters.items():
        if len(names) > 1:
            wrong = f"the body has the letters {' and '.join(sorted(names))}"
            yield Finding("letter", f"body {body}", wrong, "One body has one letter in all passes")
    if not keeps_letters:
        yield from _first_letter(scenes)


def _first_letter(scenes: Sequence[tuple[Scene, Sequence[Placed]]]) -> Iterator[Finding]:
    for scene, placed in scenes:
        for each in scene.shoot.passes:
            safe = [
                one.placement.letter
                for one in placed
                if one.setup.each.id == each.id and _is_safety(scene, one)
            ]
            if safe:
                if "A" not in safe:
                    wrong = f"the safety camera is {safe[0]}"
                    yield Finding("letter", each.id, wrong, "The first safety camera is A")
                return


def _is_safety(scene: Scene, one: Placed) -> bool:
    roles = (scene.roles_by_id.get(role) for role in one.placement.roles)
    return any(role is not None and role.is_safety for role in roles)
