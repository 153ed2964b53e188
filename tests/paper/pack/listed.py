"""What stands on the lists of a plan, read from their blocks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cache

from kitplan.gear.kit import Kit
from kitplan.paper.lists import PassList, pass_lists
from kitplan.paper.pack.blocks import Caution, Checklist, Fields, Sheet, Table
from kitplan.paper.pack.contents import packing, returns
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.plan.records import Plan
from tests.day.cases.small import packed
from tests.stored import stored_plan

NAMES = ("small", "depot-brass", "school-dance", "harbour-festival")


@cache
def source_of(name: str) -> Source:
    """Return a plan to be printed: a stored one, or a small one with its packing."""
    return Source(packed() if name == "small" else stored_plan(name), Setting())


@cache
def packing_of(name: str) -> tuple[Sheet, ...]:
    """Return the packing lists of a plan."""
    return tuple(packing.sheets(source_of(name)))


@cache
def returns_of(name: str) -> tuple[Sheet, ...]:
    """Return the return lists of a plan."""
    return tuple(returns.sheets(source_of(name)))


@cache
def lists_of(name: str) -> tuple[PassList, ...]:
    """Return what each pass takes."""
    source = source_of(name)
    return pass_lists(source.names, source.plan.pass_ids())


def everything(name: str) -> list[str]:
    """Return every unit that a plan takes, cases included."""
    return sorted({entry.unit for each in lists_of(name) for entry in each.entries})


def titled(sheets: Iterable[Sheet], beginning: str) -> list[Sheet]:
    """Return the sheets whose title begins like this."""
    return [sheet for sheet in sheets if sheet.title.startswith(beginning)]


def lids(name: str) -> list[Sheet]:
    """Return the lists inside the lids."""
    return [sheet for sheet in packing_of(name) if sheet.size == "half"]


def checklists(*sheets: Sheet) -> Iterator[Checklist]:
    """Yield the checklists of sheets."""
    return (block for sheet in sheets for block in sheet.blocks if isinstance(block, Checklist))


def ticked(*sheets: Sheet) -> Counter[str]:
    """Return how often each unit stands on sheets."""
    lines = (line for block in checklists(*sheets) for line in block.lines)
    return Counter(unit for line in lines for unit in line.units)


def once(*sheets: Sheet) -> list[str]:
    """Return the units on sheets, having made sure that each stands there once."""
    found = ticked(*sheets)
    assert set(found.values()) <= {1}
    return sorted(found)


def leads(sheet: Sheet) -> list[str]:
    """Return what the foot of a sheet says it comes to."""
    return [block.lead for block in sheet.blocks if isinstance(block, Fields) and block.lead]


def cautions(sheet: Sheet) -> dict[str, str]:
    """Return the cautions of a sheet by title."""
    found = (block for block in sheet.blocks if isinstance(block, Caution))
    return {block.title: " ".join(block.lines) for block in found}


def tables(sheet: Sheet) -> list[Table]:
    """Return the tables of a sheet."""
    return [block for block in sheet.blocks if isinstance(block, Table)]


def renamed(plan: Plan, name: str) -> Plan:
    """Return a plan in which every item, owner and person is called the same."""
    items = tuple(item.model_copy(update={"name": name}) for item in plan.kit.items)
    units = tuple(unit.model_copy(update={"owner": name}) for unit in plan.kit.units)
    return plan.model_copy(update={"kit": Kit(items=items, units=units), "title": name})
