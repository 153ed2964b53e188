"""What goes back: the strike and the count, a list for each owner, and loan slips to be signed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from kitplan.gear.kit import Unit
from kitplan.gear.records import Accessory
from kitplan.paper.layout import counted, joined
from kitplan.paper.lists import pass_lists
from kitplan.paper.lists import returns as given_back
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import (
    Beside,
    Block,
    Checklist,
    Column,
    Facts,
    Fields,
    Heading,
    Points,
    Sheet,
    Table,
    Words,
)
from kitplan.paper.pack.contents.checklists import (
    home_case,
    is_at_venue,
    rank,
    ticks,
    total,
)
from kitplan.paper.pack.contents.pulling import days
from kitplan.paper.pack.source import Source

PAPER = "returns"
IN = ("in",)
BLANK = "________"
WITH_SERIAL = frozenset({"body", "lens", "sound"})
"""Kinds of things that bear a number of their own."""
SIGNED = ("Lender", "Borrower", "Date")


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield the sheet of the strike, then a list and a loan slip for each owner."""
    names = source.names
    lists = pass_lists(names, source.plan.pass_ids())
    all_units = {one.owner: [entry.unit for entry in one.entries] for one in given_back(lists)}
    there = [unit for found in all_units.values() for unit in found if is_at_venue(names, unit)]
    owners = {
        owner: units
        for owner, found in all_units.items()
        if (units := [unit for unit in found if unit not in there])
    }
    yield _strike(source, owners, there)
    for owner, units in owners.items():
        yield _list(source, owner, units)
    for owner, units in owners.items():
        yield _slip(source, owner, units)


# -- the strike ------------------------------------------------------------------------------------


def _strike(source: Source, owners: dict[str, list[str]], there: list[str]) -> Sheet:
    names = source.names
    units = [unit for found in owners.values() for unit in found]
    rows = tuple(
        (owner, f"{len(found)}", f"{_cases(names, found) or ''}", value_words(names, found))
        for owner, found in owners.items()
    )
    columns = (
        Column("owner", 2.0, is_strong=True),
        Column("things", 0.0, align="right"),
        Column("of them cases", 0.0, align="right"),
        Column("value, as far as it is known", 2.0),
    )
    blocks: list[Block] = [
        Heading("In this order"),
        Points(tuple(_steps(names, units)), mark="number", is_large=True),
        Table(
            columns,
            rows,
            title="Back to their owners",
            has_boxes=True,
            foot=f"{total(names, units)} in all",
        ),
    ]
    if there:
        blocks.append(
            Checklist(
                ticks(names, there, lambda unit: (names.owner(unit),)),
                ("left",),
                title="Stays at the venue, as it was found",
                columns=(Column("owner", 1.0),),
            )
        )
    blocks.append(Fields(("Counted in", "Missing or damaged", "Signed")))
    return Sheet(PAPER, "Strike and count in", tuple(blocks), lines=(f"{days(source)}.",))


def _cases(names: Names, units: list[str]) -> int:
    return sum(names.item_of(unit).kind == "case" for unit in units)


def _steps(names: Names, units: list[str]) -> Iterator[str]:
    """Yield the order of the strike."""
    items = [names.item_of(unit) for unit in units]
    served = {item.serves for item in items if isinstance(item, Accessory)}
    kinds = {item.kind for item in items}
    if "media" in kinds:
        yield (
            "Cards first: out, locked, one person keeps them all. Two verified copies of each "
            "before any is formatted."
        )
    yield "Batteries out, caps on, plates back on their heads."
    if "bond" in served:
        yield (
            "Rails, bars and arms: nobody underneath, two people. Take the load off first; the "
            "bond comes off last. The venue and its competent person decide."
        )
    yield "Every case against the list in its lid. Close it only when all boxes are ticked."
    yield "Look under the seats, behind the curtains and up at the bars."
    yield "Count in against the load list before the van shuts. Heavy cases not alone."
    yield "Write down at once what is missing or damaged, and tell its owner."


# -- one owner -------------------------------------------------------------------------------------


def _list(source: Source, owner: str, units: list[str]) -> Sheet:
    """Return what goes back to an owner, by the case that it comes home in."""
    names = source.names
    places: dict[str, list[str]] = {}
    for unit in sorted(units, key=lambda unit: rank(names, unit)):
        places.setdefault(_travels_in(names, unit), []).append(unit)
    blocks: list[Block] = []
    for place, found in sorted(places.items(), key=lambda one: (not one[0], one[0])):
        blocks.append(
            Checklist(
                ticks(names, found),
                IN,
                title=f"In {place}" if place else "By hand",
                foot=counted(len(found), "thing"),
            )
        )
    labels = ("Counted in", "by", "Back with its owner on")
    blocks.append(Fields(labels, is_in_row=True, lead=f"{total(names, units)} in all"))
    return Sheet(PAPER, f"Return list: {owner}", tuple(blocks), lines=(f"{days(source)}.",))


def _travels_in(names: Names, unit: str) -> str:
    """Return the outermost case that a unit lies in; a case by itself; empty for by hand."""
    cases = names.plan.day.cases if names.plan.day else None
    if names.item_of(unit).kind == "case" and home_case(names, unit) == unit:
        return unit
    if cases is None:
        return home_case(names, unit)
    return cases.case_of.get(unit, "")


def _slip(source: Source, owner: str, units: list[str]) -> Sheet:
    """Return what an owner lends, with values, to be signed when it goes and when it is back."""
    names = source.names
    wanted = tuple(_needed_back(source, units))
    columns = (
        Column("n", 0.0, align="right"),
        Column("thing", 2.4, is_strong=True),
        Column("unit", 2.2),
        Column("serial", 1.4),
        Column("value each", 0.9, align="right"),
        Column("condition out", 0.9),
        Column("condition in", 1.1),
    )
    return Sheet(
        PAPER,
        f"Loan slip: {owner}",
        (
            Facts(
                (
                    ("Lent by", owner),
                    ("For", f"{source.plan.title}, {days(source)}"),
                    *wanted,
                )
            ),
            Fields(("Lent to", "from", "until"), is_in_row=True),
            Table(
                columns,
                tuple(_slip_rows(names, units)),
                title="Tick what is back",
                has_boxes=True,
                foot=_slip_foot(names, units),
            ),
            Words(
                "Values in the currency of the kit list, to replace the thing. Photograph what is "
                "lent, test it before it leaves, report damage at once."
            ),
            Beside(
                (Heading("Handed over", 2), Fields(SIGNED)),
                (Heading("Back, complete, as noted", 2), Fields(SIGNED)),
            ),
        ),
    )


def _needed_back(source: Source, units: list[str]) -> Iterator[tuple[str, str]]:
    """Yield what an owner wants back on which day, the first day first."""
    by_day: dict[date, list[str]] = {}
    for unit in units:
        if day := source.names.units_by_id[unit].available_until:
            by_day.setdefault(day, []).append(unit)
    for day, wanted in sorted(by_day.items()):
        what = "everything" if len(wanted) == len(units) else joined(wanted)
        yield "Needed back by", f"{source.setting.day(day)}: {what}"


def _slip_rows(names: Names, units: list[str]) -> Iterator[tuple[str, ...]]:
    """Yield a row for each thing with a number of its own, and one for equal things without."""
    rows: dict[tuple[str, ...], list[Unit]] = {}
    for unit_id in sorted(units, key=lambda unit: rank(names, unit)):
        unit, item = names.units_by_id[unit_id], names.item_of(unit_id)
        has_own = bool(unit.serial) or item.kind in WITH_SERIAL
        key = (item.id, unit.condition, f"{unit.value}", unit_id if has_own else "")
        rows.setdefault(key, []).append(unit)
    for found in rows.values():
        first, item = found[0], names.item_of(found[0].id)
        serial = first.serial or (BLANK if item.kind in WITH_SERIAL else "")
        yield (
            f"{len(found)}",
            item.name,
            ", ".join(unit.id for unit in found),
            serial,
            BLANK if first.value is None else money(first.value),
            first.condition,
            "",
        )


def _slip_foot(names: Names, units: list[str]) -> str:
    return f"{counted(len(units), 'thing')}. Value: {value_words(names, units)}."


def value_words(names: Names, units: list[str]) -> str:
    """Return what things are worth together as far as it is known: '7480, 1 thing not known'."""
    values = [value for unit in units if (value := names.units_by_id[unit].value) is not None]
    unknown = len(units) - len(values)
    rest = f"{counted(unknown, 'thing')} not known" if unknown else ""
    return ", ".join(part for part in (money(sum(values)) if values else "", rest) if part)


def money(value: float) -> str:
    """Return a value in the currency of the kit list, with its hundredths where it has some."""
    return f"{value:.0f}" if value == round(value) else f"{value:.2f}"
