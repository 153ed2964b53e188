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
from kitplan.paper.pack.contents.checklists import (
    OUT_AND_IN,
    count_fields,
    no_cells,
    numbered,
    rank,
    ticks,
)
from kitplan.paper.pack.source import Source
from kitplan.plan.brought import cases_around
from kitplan.plan.day.cases import Load, PackedCase


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
    notes = {unit: (_note(names, packed, unit),) for unit in packed.units}
    has_notes = any(note for (note,) in notes.values())
    units = sorted(packed.units, key=lambda unit: rank(names, unit))
    first = names.pass_label(first_pass(names, load, packed.case))
    heavy = f"{packed.gross_kg:.1f} kg: {HANDS[packed.hands]}" if packed.hands > 1 else ""
    light = f" {packed.gross_kg:.1f} kg, {HANDS[1]} lifts it." if packed.hands == 1 else ""
    return Sheet(
        "packing",
        packed.case,
        (
            *((Caution("Not alone", (heavy,)),) if heavy else ()),
            Checklist(
                ticks(
                    names,
                    units,
                    notes.__getitem__ if has_notes else no_cells,
                    lambda unit: " ".join(uses.get(unit, ())) or _purpose(names, unit),
                ),
                OUT_AND_IN,
                columns=(Column("note", 0.9),) if has_notes else (),
            ),
            count_fields(f"{counted(len(units), 'thing')}, {packed.gross_kg:.1f} kg with the case"),
        ),
        lines=(
            f"{case.name}, {names.owner(packed.case)}.{light}",
            f"First needed: {first}. Tape this inside the lid.",
        ),
        size="half",
    )


def _note(names: Names, packed: PackedCase, unit: str) -> str:
    """Return what is out of the ordinary with a thing in a case."""
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
    return ", ".join(notes)


def _purpose(names: Names, unit: str) -> str:
    """Return what a battery or card that serves no camera is for; other things say it by name."""
    return "sound" if names.item_of(unit).kind in ("battery", "media") else ""


# -- the van ---------------------------------------------------------------------------------------


def load_sheet(source: Source, load: Load) -> Sheet:
    """Return what goes into the van, in the order of loading, with who lifts it."""
    names = source.names
    shoots = source.plan.shoots
    return Sheet(
        "packing",
        "Load list" if len(shoots) == 1 else f"Load list: {shoots[load.shoot].title}",
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
    if load.at_venue:
        there = joined([f"{names.unit(unit)} ({unit})" for unit in load.at_venue])
        yield Words(f"Not in the van, the venue has it: {there}.")
    cautions = [LITHIUM] if _has_batteries(names, load) else []
    if not heavy:
        cautions.append(lifting_words(names, load))
    if cautions:
        yield Points(tuple(cautions))
    columns = (
        Column("kg", 0.4, align="right"),
        Column("lifted by", 1.2),
        Column("first needed", 0.9),
    )
    yield Checklist(lines, OUT_AND_IN, columns=columns)
    yield count_fields(_load_foot(load))


def _load_foot(load: Load) -> str:
    loose = f" and {counted(len(load.by_hand), 'loose thing')}" if load.by_hand else ""
    return f"{counted(len(load.cases), 'case')}{loose}, {load.mass_kg:.1f} kg"


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
        yield Tick(what, units, more=more)
