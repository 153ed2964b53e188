"""The packing as text: case by case, lifts, loading order, nights between, what does not fit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from itertools import pairwise
from typing import Any

from kitplan.gear.records import Battery, Case, Charger, Media, Sound
from kitplan.optics.lifting import FLOOR_TO_BOOT, recommended_kg
from kitplan.paper.layout import blocks, bullets, counted, heading, joined, paragraph, table_text
from kitplan.paper.names import Names
from kitplan.plan.brought import brought, cases_around
from kitplan.plan.day.cases import GOALS, Load, PackedCase, Remedy
from kitplan.plan.records import Plan
from kitplan.shoot.rules import Rules

HANDS = {1: "one person", 2: "two people", 3: "more than two, or wheels"}
CHARGING, SOUND = "charging", "sound"
NO_CAMERA = (CHARGING, SOUND, "")
LITHIUM = (
    "Lithium packs: contacts covered, no loose ones among metal, out of the heat of a closed car; "
    "when flying, spares go into the cabin."
)


@dataclass(frozen=True)
class Overnight:
    """What happens to the cases between two passes on different days."""

    after: str
    before: str
    stay: tuple[str, ...]
    """Cases and loose things that a later pass needs."""
    go: tuple[str, ...]
    take_out: tuple[str, ...]
    """Used cards and batteries in what stays: to copy and to charge."""


def cases_text(plan: Plan) -> str:
    """Return the packing of every shoot of a plan that has one."""
    names = Names(plan)
    parts = [heading(f"Cases: {plan.title}")]
    for load in loads(plan):
        if len(plan.shoots) > 1:
            parts.append(heading(plan.shoots[load.shoot].title, "-"))
        parts += [_summary(names, load), *(_case_text(names, load, each) for each in load.cases)]
        parts += [
            _by_hand(names, load),
            _left_text(names, load),
            _order_text(names, load),
            *(_overnight_text(names, each) for each in overnights(names, load)),
            _notes(names, load),
        ]
    return blocks(*parts)


def cases_records(plan: Plan) -> dict[str, Any]:
    """Return the same as plain data."""
    names = Names(plan)
    return {
        "shoots": [
            load.model_dump()
            | {
                "goals": list(GOALS),
                "first_needed": {each: first_pass(names, load, each) for each in load.order},
                "overnight": [asdict(each) for each in overnights(names, load)],
                "lift_kg": plan.shoots[load.shoot].rules.lift_kg,
            }
            for load in loads(plan)
        ]
    }


def loads(plan: Plan) -> tuple[Load, ...]:
    """Return the packing of every shoot of a plan that has one."""
    assert plan.day is not None  # whoever asks has packed it
    assert plan.day.cases is not None
    return plan.day.cases.loads


def _summary(names: Names, load: Load) -> str:
    things = sum(len(each.units) for each in load.cases)
    lines = [f"{counted(things, 'thing')} in {counted(len(load.cases), 'case')}"]
    if load.by_hand:
        lines.append(f"{len(load.by_hand)} carried by hand")
    lines.append(f"{load.mass_kg:.0f} kg, {load.volume_l:.0f} l in a vehicle")
    vehicle = names.plan.shoots[load.shoot].vehicle
    limits = [
        *([f"{vehicle.volume_l:g} l"] if vehicle.volume_l else []),
        *([f"{vehicle.most_load_kg:g} kg"] if vehicle.most_load_kg else []),
    ]
    words = ", ".join(lines) + (f" (it takes {joined(limits)})" if limits else "")
    fits = "everything fits" if not load.left else f"{counted(len(load.left), 'thing')} left"
    proof = "no better packing exists" if load.is_proven else "the best packing found, not proven"
    return paragraph(f"{words}: {fits}; {proof}.")


def _case_text(names: Names, load: Load, packed: PackedCase) -> str:
    case = names.item_of(packed.case)
    assert isinstance(case, Case)
    inside_kg = packed.gross_kg - case.mass_kg
    title = (
        f"{packed.case}: {case.name}, {names.owner(packed.case)} ({len(packed.units)}; "
        f"{packed.used_l:.1f} of {case.volume_l:g} l, {inside_kg:.1f} of {case.most_load_kg:g} kg; "
        f"{packed.gross_kg:.1f} kg in all: {HANDS[packed.hands]})"
    )
    rows = [
        (
            ", ".join([names.unit(unit), *_remarks(names, packed, unit)]),
            unit,
            names.owner(unit),
            serves(names, load, unit),
        )
        for unit in packed.units
    ]
    rows.sort(key=lambda row: (row[-1] in NO_CAMERA, row[-1]))  # each camera's things together
    return f"{paragraph(title)}\n{table_text(('thing', 'unit', 'owner', 'for'), rows)}"


def _remarks(names: Names, packed: PackedCase, unit: str) -> Iterator[str]:
    """Yield what is out of the ordinary with a thing in a case."""
    if unit in packed.wrapped:
        yield "wrapped"
    around = cases_around(names.units_by_id, unit)
    if around and around[-1] != packed.case:
        yield f"else in {around[-1]}"


def serves(names: Names, load: Load, unit: str) -> str:
    """Return which cameras use a unit: 'A', or what it is for."""
    letters = {
        p.letter
        for p in names.plan.placements
        if p.pass_id.partition("/")[0] == load.shoot and unit in p.units
    }
    if letters:
        return ", ".join(sorted(letters))
    match names.item_of(unit):
        case Charger():
            return CHARGING
        case Sound() | Battery() | Media():
            return SOUND
    return ""


def _by_hand(names: Names, load: Load) -> str:
    rows = [
        (
            names.unit(u),
            u,
            names.owner(u),
            f"{names.item_of(u).mass_kg:g} kg",
            serves(names, load, u),
        )
        for u in load.by_hand
    ]
    table = table_text(("carried by hand", "unit", "owner", "mass", "for"), rows) if rows else ""
    there = joined([f"{names.unit(unit)} ({unit})" for unit in load.at_venue])
    return blocks(table, paragraph(f"At the venue already: {there}.") if there else "")


def _left_text(names: Names, load: Load) -> str:
    if not load.left:
        return ""
    left = bullets(f"{names.unit(u)} ({u}, {names.owner(u)})" for u in load.left)
    return f"Does not fit\n{left}\n{paragraph(remedy_words(names, load.remedy))}"


def remedy_words(names: Names, remedy: Remedy | None) -> str:
    """Return the smallest change with which everything fits, in a sentence."""
    if remedy is None:
        return "No single change was found: bring more cases, or less."
    if remedy.add is not None:
        return f"With one more {names.plan.kit.items_by_id[remedy.add].name} everything fits."
    if remedy.without is not None:
        return f"Without camera {remedy.without} everything fits; no must depends on it."
    if remedy.bag_l is not None:
        kind = "long bag" if remedy.bag_is_long else "bag"
        return f"No case that is owned takes it: a {kind} of {remedy.bag_l:.0f} l, or by hand."
    return (
        f"The vehicle is too small: all of it takes {remedy.vehicle_l:.0f} l and "
        f"{remedy.vehicle_kg:.0f} kg. A larger one, or a second trip."
    )


def _order_text(names: Names, load: Load) -> str:
    cases = {each.case: each for each in load.cases}
    rows = []
    for number, unit in enumerate(load.order, 1):
        packed = cases.get(unit)
        mass_kg = packed.gross_kg if packed else names.item_of(unit).mass_kg
        lifted = HANDS[packed.hands if packed else hands(names, load, mass_kg)]
        first = names.pass_label(first_pass(names, load, unit))
        rows.append((number, f"{names.unit(unit)} ({unit})", f"{mass_kg:.1f}", lifted, first))
    if not rows:
        return ""
    title = "Loading: what is needed first goes in last"
    return f"{title}\n{table_text(('', 'what', 'kg', 'lifted by', 'first needed'), rows)}"


def hands(names: Names, load: Load, mass_kg: float) -> int:
    """Return how many people the guideline asks for: 1, 2, or 3 for more than two."""
    return _hands(names.plan.shoots[load.shoot].rules, mass_kg)


def _hands(rules: Rules, mass_kg: float) -> int:
    return 1 + (mass_kg > rules.lift_kg) + (mass_kg > 2 * rules.lift_kg * rules.lift_two_share)


def heavy_words(heavy: Mapping[str, float], rules: Rules) -> str:
    """Return who lifts things too heavy for one, by the guideline that cases are packed by.

    Args:
        heavy: Mass in kg by name.
    """
    shown = joined([f"{name}, {mass:g} kg" for name, mass in heavy.items()])
    people = HANDS[max(_hands(rules, mass) for mass in heavy.values())]
    return f"Lifting ({shown}): {people}, and the venue's own limits."


def inside(load: Load, unit: str) -> tuple[str, ...]:
    """Return what is in a case, or the loose thing itself."""
    return next((each.units for each in load.cases if each.case == unit), (unit,))


def own_passes(names: Names, load: Load) -> tuple[str, ...]:
    """Return the ids of the passes of the shoot that is packed."""
    return tuple(p for p in names.plan.pass_ids() if p.partition("/")[0] == load.shoot)


def first_pass(names: Names, load: Load, unit: str) -> str:
    """Return the first pass that needs something of a case."""
    things = set(inside(load, unit))
    passes = own_passes(names, load)
    return next((p for p in passes if things & set(brought(names.plan, p))), passes[0])


def overnights(names: Names, load: Load) -> Iterator[Overnight]:
    """Yield what stays and what goes between passes on different days."""
    passes = own_passes(names, load) if load.order else ()
    needs = {each: set(brought(names.plan, each)) for each in passes}
    for number, (after, before) in enumerate(pairwise(passes), 1):
        days = [names.plan.pass_of(each)[1].start.date() for each in (after, before)]
        if days[0] == days[1]:
            continue
        used = set().union(*(needs[each] for each in passes[:number]))
        later = set().union(*(needs[each] for each in passes[number:]))
        stay = tuple(unit for unit in load.order if later & set(inside(load, unit)))
        out = (
            unit
            for case in stay
            for unit in inside(load, case)
            if unit in used and isinstance(names.item_of(unit), Battery | Media)
        )
        go = tuple(unit for unit in load.order if unit not in stay)
        yield Overnight(after, before, stay, go, tuple(out))


def _overnight_text(names: Names, each: Overnight) -> str:
    title = f"Between {names.pass_label(each.after)} and {names.pass_label(each.before)}"
    return f"{heading(title, '-')}\n{bullets(overnight_words(names, each))}"


def overnight_words(names: Names, each: Overnight) -> Iterator[str]:
    """Yield what stays in the building, what goes home, and what is taken out of what stays."""
    cards = sum(isinstance(names.item_of(unit), Media) for unit in each.take_out)
    batteries = len(each.take_out) - cards
    out = [
        *([f"{counted(cards, 'card')} to copy"] if cards else []),
        *([f"{counted(batteries, 'battery', 'batteries')} to charge"] if batteries else []),
    ]
    stay = joined(each.stay) or "nothing"
    yield f"Stays in the building, if the house allows it and locks up: {stay}."
    if each.go:
        yield f"Nothing later needs it, goes home: {joined(each.go)}."
    if out:
        yield f"Out of what stays, home for the night: {joined(out)}."


def lifting_words(names: Names, load: Load) -> str:
    """Return from which mass on two people lift, and what that is worth."""
    rules = names.plan.shoots[load.shoot].rules
    return (
        f"Lifting: above {rules.lift_kg:g} kg two people, above "
        f"{2 * rules.lift_kg * rules.lift_two_share:.0f} kg more, or wheels. For a case from the "
        f"floor into a boot the NIOSH equation gives {recommended_kg(FLOOR_TO_BOOT):.1f} kg. These "
        f"are filters, not limits: stairs, health and a bad grip allow less, and the rules of the "
        f"venue and of whoever employs you decide."
    )


def _notes(names: Names, load: Load) -> str:
    shared = [
        f"{each.case} ({joined(sorted({names.owner(u) for u in each.units}))})"
        for each in load.cases
        if len({*(names.owner(u) for u in each.units), names.owner(each.case)}) > 1
    ]
    lines = [
        lifting_words(names, load),
        LITHIUM,
    ]
    homes = {case for unit in load.case_of for case in cases_around(names.units_by_id, unit)[-1:]}
    opened = [each.case for each in load.cases if each.case not in homes]
    if opened:
        lines.append(f"Nobody's home, brought for their room: {joined(opened)}.")
    if shared:
        lines.append(f"Things of several owners together in {joined(shared)}: count by owner.")
    if any(each.wrapped for each in load.cases):
        lines.append("Wrapped: fragile and in a case without padding; foam or a blanket around it.")
    return bullets(lines)
