"""What lies in which case: a list for the lid of each case, and one for the van."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from kitplan.paper.cases import (
    HANDS,
    LITHIUM,
    first_pass,
    hands,
    lifting_words,
    own_passes,
    remedy_words,
)
from kitplan.paper.layout import counted, joined
from kitplan.paper.lists import build_rank
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import (
    Block,
    Caution,
    Checklist,
    Column,
    Points,
    Sheet,
    Tick,
    Words,
)
from kitplan.paper.pack.contents.checklists import COUNTED, OUT_AND_IN, numbered, ticks
from kitplan.paper.pack.source import Source
from kitplan.plan.brought import cases_around
from kitplan.plan.day.cases import Load, PackedCase

CHARGING, SOUND = "charging", "sound"


def case_sheets(source: Source, load: Load) -> Iterator[Sheet]:
    """Yield for each case what lies in it: the list inside its lid, half a page."""
    uses = camera_letters(source.names, load)
    for packed in load.cases:
        yield _lid(source.names, load, packed, uses)


def camera_letters(names: Names, load: Load) -> dict[str, tuple[str, ...]]:
    """Return the camera letters that each unit serves, in the order of the passes."""
    found: dict[str, dict[str, None]] = {}
    for pass_id in own_passes(names, load):
        for placement in names.plan.placements_in(pass_id):
            for unit in placement.units:
                found.setdefault(unit, {})[placement.letter] = None
    return {unit: tuple(letters) for unit, letters in found.items()}


def _lid(names: Names, load: Load, packed: PackedCase, uses: dict[str, tuple[str, ...]]) -> Sheet:
    case = names.item_of(packed.case)
    cells = {unit: _lid_cells(names, packed, unit, uses) for unit in packed.units}
    has_notes = any(note for _, note in cells.values())
    units = sorted(
        packed.units,
        key=lambda unit: (*_use_rank(uses, unit), build_rank(names, unit), numbered(unit)),
    )
    first = names.pass_label(first_pass(names, load, packed.case))
    blocks: list[Block] = []
    if packed.hands > 1:
        blocks.append(Caution(f"{packed.gross_kg:.1f} kg: {HANDS[packed.hands]}", ()))
    columns = (Column("for", 0.6, is_strong=True), *((Column("note", 1.2),) if has_notes else ()))
    blocks.append(
        Checklist(
            ticks(names, units, lambda unit: cells[unit] if has_notes else cells[unit][:1]),
            OUT_AND_IN,
            columns=columns,
            foot=f"{counted(len(units), 'thing')}, {packed.gross_kg:.1f} kg with the case",
        )
    )
    blocks.append(COUNTED)
    return Sheet(
        "packing",
        packed.case,
        tuple(blocks),
        lines=(
            f"{case.name}, {names.owner(packed.case)}. {_lifted(packed)}",
            f"First needed: {first}. This list lives inside the lid.",
        ),
        size="half",
    )


def _lifted(packed: PackedCase) -> str:
    """Return mass and hands of a case that one person lifts; heavier ones have a caution."""
    return f"{packed.gross_kg:.1f} kg, {HANDS[1]} lifts it." if packed.hands == 1 else ""


def _use_rank(uses: dict[str, tuple[str, ...]], unit: str) -> tuple[bool, tuple[str, ...]]:
    """Things of one camera together; what serves no camera comes last."""
    return unit not in uses, uses.get(unit, ())


def _lid_cells(
    names: Names, packed: PackedCase, unit: str, uses: dict[str, tuple[str, ...]]
) -> tuple[str, str]:
    """Return which cameras a thing serves, and what is out of the ordinary with it."""
    notes = []
    if names.owner(unit) != names.owner(packed.case):
        notes.append(f"of {names.owner(unit)}")
    if unit in packed.wrapped:
        notes.append("wrap it")
    around = cases_around(names.units_by_id, unit)
    if around and around[-1] != packed.case:
        notes.append(f"lives in {around[-1]}")
    elif around and around[0] != packed.case:
        notes.append(f"in {around[0]}")
    return ", ".join(uses.get(unit, ())) or purpose(names, unit), ", ".join(notes)


def purpose(names: Names, unit: str) -> str:
    """Return what a thing that serves no camera is for: charging, sound, nothing for a case."""
    match names.item_of(unit).kind:
        case "charger":
            return CHARGING
        case "sound" | "battery" | "media":
            return SOUND
    return ""


# -- the van ---------------------------------------------------------------------------------------


def load_sheet(source: Source, load: Load) -> Sheet:
    """Return what goes into the van, in the order of loading, with who lifts it."""
    names = source.names
    return Sheet(
        "packing",
        "Load list",
        tuple(_load_blocks(source, load)),
        lines=(
            f"{_summary(names, load)} Load from the top of this list: "
            f"what is needed first goes in last and comes out first.",
        ),
    )


def _summary(names: Names, load: Load) -> str:
    vehicle = names.plan.shoots[load.shoot].vehicle
    limits = [
        *([f"{vehicle.volume_l:g} l"] if vehicle.volume_l else []),
        *([f"{vehicle.most_load_kg:g} kg"] if vehicle.most_load_kg else []),
    ]
    room = f"; the vehicle takes {joined(limits)}" if limits else ""
    return (
        f"{counted(len(load.order), 'piece')}, {load.mass_kg:.0f} kg, {load.volume_l:.0f} l{room}."
    )


def _load_blocks(source: Source, load: Load) -> Iterator[Block]:
    names = source.names
    if load.left:
        left = [f"{names.unit(unit)} ({unit}, {names.owner(unit)})" for unit in load.left]
        yield Caution("Does not fit", (*left, remedy_words(names, load.remedy)))
    lines = tuple(_load_lines(source, load))
    heavy = [line for line in lines if line.more[1] != HANDS[1]]
    if heavy:
        words = tuple(
            f"{', '.join(line.units)}, {line.what}: {line.more[0]} kg, {line.more[1]}."
            for line in heavy
        )
        yield Caution("Not alone", (*words, lifting_words(names, load)))
    columns = (
        Column("kg", 0.6, align="right"),
        Column("lifted by", 1.2),
        Column("first needed", 1.2),
    )
    yield Checklist(lines, OUT_AND_IN, columns=columns, foot=_load_foot(load))
    yield COUNTED
    if load.at_venue:
        there = joined([f"{names.unit(unit)} ({unit})" for unit in load.at_venue])
        yield Words(f"Not in the van, the venue has it: {there}.")
    cautions = [LITHIUM] if _has_batteries(names, load) else []
    if not heavy:
        cautions.append(lifting_words(names, load))
    if cautions:
        yield Points(tuple(cautions))


def _load_foot(load: Load) -> str:
    return (
        f"{counted(len(load.cases), 'case')} and {counted(len(load.by_hand), 'loose thing')}, "
        f"{load.mass_kg:.1f} kg"
        if load.by_hand
        else f"{counted(len(load.cases), 'case')}, {load.mass_kg:.1f} kg"
    )


def _has_batteries(names: Names, load: Load) -> bool:
    return any(names.item_of(unit).kind == "battery" for unit in load.case_of)


def _load_lines(source: Source, load: Load) -> Iterator[Tick]:
    """Yield the pieces in order of loading; equal ones that follow each other on one line."""
    names = source.names
    packed = {each.case: each for each in load.cases}
    rows = []
    for unit in load.order:
        case = packed.get(unit)
        mass_kg = case.gross_kg if case else names.item_of(unit).mass_kg
        number = case.hands if case else hands(names, load, mass_kg)
        needed = names.pass_label(first_pass(names, load, unit))
        what = names.unit(unit)
        if case:
            what += f", {names.owner(unit)}"
        rows.append((unit, (what, (f"{mass_kg:.1f}", HANDS[number], needed))))
    for (what, more), found in groupby(rows, key=lambda row: row[1]):
        units = tuple(sorted((unit for unit, _ in found), key=numbered))
        yield Tick(what, units, (*more[:1], *more[1:]))
