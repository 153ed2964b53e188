"""The pull list: everything of the shoot from the shelves, by owner and home case."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from kitplan.gear.records import Accessory, Battery, Media
from kitplan.paper.layout import counted, joined
from kitplan.paper.lists import Missing, PassList
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import (
    Block,
    Caution,
    Checklist,
    Column,
    Fields,
    Heading,
    Points,
    Sheet,
)
from kitplan.paper.pack.contents.checklists import (
    home_case,
    is_at_venue,
    no_cells,
    possessive,
    rank,
    ticks,
    total,
)
from kitplan.paper.pack.source import Source
from kitplan.plan.brought import cases_around

SMALL = (("plate", "plates"), ("bond", "bonds"), ("cap", "caps"))
AT_VENUE = "at the venue"


def pull_sheet(source: Source, lists: tuple[PassList, ...]) -> Sheet:
    """Return the pull list of everything that any pass takes, each unit once."""
    names = source.names
    units = tuple(dict.fromkeys(entry.unit for each in lists for entry in each.entries))
    owners: dict[str, list[str]] = {}
    for unit in units:
        owners.setdefault(names.owner(unit), []).append(unit)
    return Sheet(
        "packing",
        "Pull list",
        (
            *missing_blocks(one for each in lists for one in each.missing),
            *(block for one in sorted(owners.items()) for block in _owner_blocks(names, *one)),
            Fields(
                ("Pulled by", "Checked by", "Date"),
                is_in_row=True,
                lead=f"{total(names, units)} in all",
            ),
            *_before_closing(names, units),
        ),
        lines=(
            f"{days(source)}. From the shelves into the cases: tick what you hold in your hand.",
        ),
    )


def days(source: Source) -> str:
    """Return the first day of a plan, and the last where there are several."""
    starts = [run.start for _, run in map(source.plan.pass_of, source.plan.pass_ids())]
    ends = dict.fromkeys((source.setting.day(min(starts)), source.setting.day(max(starts))))
    return " to ".join(ends)


def missing_blocks(missing: Iterable[Missing]) -> Iterator[Block]:
    """Yield what has to be borrowed, each once; nothing where nothing has."""
    lines = tuple(dict.fromkeys(one.words() for one in missing))
    if lines:
        yield Caution("Missing: find or borrow it before the day", lines)


def _owner_blocks(names: Names, owner: str, units: list[str]) -> Iterator[Block]:
    """Yield the things of one owner, place by place."""
    places: dict[str, list[str]] = {}
    for unit in sorted(units, key=lambda unit: rank(names, unit)):
        place = AT_VENUE if is_at_venue(names, unit) else home_case(names, unit)
        places.setdefault(place, []).append(unit)
    yield Heading(f"{owner}: {total(names, units)}" if len(places) > 1 else owner)
    for place, found in sorted(places.items(), key=lambda one: (one[0] in ("", AT_VENUE), one[0])):
        remarks = {unit: (_remark(names, unit, place),) for unit in found}
        has_remarks = any(remark for (remark,) in remarks.values())
        yield Checklist(
            ticks(names, found, remarks.__getitem__ if has_remarks else no_cells),
            ("out",),
            title=_title(names, owner, place),
            columns=(Column("note", 1.6),) if has_remarks else (),
            foot=total(names, found),
            fields=("counted",),
        )


def _title(names: Names, owner: str, place: str) -> str:
    """Return where to look: 'From case-ann, hard case'."""
    if place == AT_VENUE:
        return "At the venue: ask for it, take nothing along"
    if not place:
        return "From the shelf, no case of its own"
    whose = names.owner(place)
    name = names.unit(place) if whose == owner else f"{possessive(whose)} {names.unit(place)}"
    return f"From {place}, {name}"


def _remark(names: Names, unit_id: str, place: str) -> str:
    """Return what is out of the ordinary with a thing: in an inner case, packed elsewhere."""
    parts = []
    around = cases_around(names.units_by_id, unit_id)
    if around and around[0] != place:
        parts.append(f"in {around[0]}")
    cases = names.plan.day.cases if names.plan.day else None
    if cases is not None and place != AT_VENUE:
        packed = cases.case_of.get(unit_id)
        is_left = any(unit_id in load.left for load in cases.loads)
        if packed is not None and packed != place:
            parts.append(f"goes into {packed}")
        elif is_left:
            parts.append("fits no case: see the load list")
        elif packed is None and place and names.item_of(unit_id).kind != "case":
            parts.append("carried by hand")
    return ", ".join(parts)


def _before_closing(names: Names, units: tuple[str, ...]) -> Iterator[Block]:
    """Yield the small things that are forgotten, counted, and what is done at home."""
    items = [names.item_of(unit) for unit in units]
    lines = []
    batteries = sum(isinstance(item, Battery) for item in items)
    if batteries:
        lines.append(
            f"{counted(batteries, 'battery', 'batteries')}: charged the night before, contacts "
            f"covered."
        )
    cards = sum(isinstance(item, Media) for item in items)
    if cards:
        lines.append(
            f"{counted(cards, 'card')}: empty. Two verified copies exist of all that was on them."
        )
    small = [
        counted(number, *words)
        for words in SMALL
        if (number := sum(isinstance(i, Accessory) and i.serves == words[0] for i in items))
    ]
    if small:
        lines.append(f"{joined(small)}: in their cases, none left on a tripod at home.")
    lines.append("Each camera built once, completely, and a test recorded. Clocks set alike.")
    yield Heading("Before the cases are closed")
    yield Points(tuple(lines), mark="box")
