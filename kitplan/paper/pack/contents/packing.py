"""Packing lists: what each pass takes, by camera in the order of building, with boxes to tick."""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.paper.lists import Group, PassList, pass_lists
from kitplan.paper.names import when
from kitplan.paper.pack.blocks import Column, Fields, Sheet, Table
from kitplan.paper.pack.source import Source

COLUMNS = (
    Column("thing", 3.0, is_strong=True),
    Column("unit", 2.0),
    Column("owner", 0.0),
    Column("case", 0.0),
)


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield the packing list of each pass."""
    for each in pass_lists(source.names, source.plan.pass_ids()):
        yield _pass_sheet(source, each)


def _pass_sheet(source: Source, each: PassList) -> Sheet:
    shoot, run = source.plan.pass_of(each.pass_id)
    tables = tuple(_table(group) for group in each.groups)
    return Sheet(
        "packing",
        f"Packing list: {source.names.pass_label(each.pass_id)}",
        (*tables, Fields(("Counted out", "Counted in"))),
        lines=(when(shoot, run),),
    )


def _table(group: Group) -> Table:
    title = f"{group.name}: {group.position}, {group.who}" if group.position else group.name
    rows = tuple((entry.item, entry.unit, entry.owner, entry.case) for entry in group.entries)
    foot = f"{len(rows)} things, {sum(entry.mass_kg for entry in group.entries):.1f} kg"
    return Table(COLUMNS, rows, title=title, has_boxes=True, foot=foot)
