"""Packing lists, in the order in which they are used.

At the shelf the pull list; at the cases the list inside each lid; at the van the load list; at the
positions the list of each pass by camera in the order of building; between passes what goes where.
What goes back to whom is a paper of its own (`returns`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.paper.lists import pass_lists, turnarounds
from kitplan.paper.pack.blocks import Sheet
from kitplan.paper.pack.contents.casing import case_sheets, load_sheet
from kitplan.paper.pack.contents.passing import pass_sheet, turn_sheet
from kitplan.paper.pack.contents.pulling import pull_sheet
from kitplan.paper.pack.source import Source


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield pull list, case lists, load list, and for each pass its list and what follows it."""
    lists = pass_lists(source.names, source.plan.pass_ids())
    yield pull_sheet(source, lists)
    for load in source.day.cases.loads if source.day.cases else ():
        yield from case_sheets(source, load)
        yield load_sheet(source, load)
    turns = {turn.after: turn for turn in turnarounds(lists)}
    for number, each in enumerate(lists):
        yield pass_sheet(source, each, lists[number - 1] if number else None)
        if each.pass_id in turns:
            yield turn_sheet(source, turns[each.pass_id])
