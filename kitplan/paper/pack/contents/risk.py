"""Risk sheet: the hazards of this plan, usual measures, and room for who sees to each."""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.paper.hazards import Hazard, hazards
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import (
    Beside,
    Block,
    Caution,
    Column,
    Fields,
    Heading,
    Points,
    Sheet,
    Table,
)
from kitplan.paper.pack.source import Source

NOT_AN_APPROVAL = Caution(
    "This sheet approves nothing",
    (
        "It lists the usual hazards of the work that this plan asks for. The venue, local codes "
        "and licensed people decide; where they ask for more, do that. Walk the hall with it, add "
        "what is missing.",
        "Anybody may stop the work.",
    ),
)
COLUMNS = (
    Column("hazard", 1.0, is_strong=True),
    Column("here", 3.0),
    Column("usually done", 3.7),
    Column("who sees to it, signature", 1.4),
)
ASK = (
    "Lasers, mirrors and where they sweep: every lens stays out of them",
    "Strobes and flashing light, smoke and haze, pyrotechnics",
    "Sound level in the house and on stage",
    "Ways out, fire rules, how many people, who counts",
    "First aid: who, and where the box is",
    "What the house itself has written down, and its insurance",
)
IN_AN_EMERGENCY = ("Emergency number", "Meeting point", "First aider", "Venue's contact tonight")
SIGNED = ("Seen by the venue: name, date", "Crew lead: name, date")


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield the sheet; nothing where no camera stands anywhere."""
    if not source.plan.placements:
        return
    found = hazards(source.names)
    blocks: list[Block] = [NOT_AN_APPROVAL]
    if found:
        blocks.append(Table(COLUMNS, tuple(map(_row, found)), has_boxes=True))
    blocks += _permissions(source.names)
    ask = (Heading("Not known to this plan: ask"), Points(ASK, mark="box"))
    fill = (Heading("In an emergency"), Fields(IN_AN_EMERGENCY), Heading("Seen"), Fields(SIGNED))
    blocks.append(Beside(ask, fill))
    places = list(dict.fromkeys(shoot.venue.name for shoot in source.plan.shoots.values()))
    yield Sheet("risk", "Risk sheet", tuple(blocks), lines=tuple(places))


def _row(each: Hazard) -> tuple[str, str, str, str]:
    return each.name, _list(each.where), _list(each.measures), ""


def _list(lines: tuple[str, ...]) -> str:
    return lines[0] if len(lines) == 1 else "\n".join(f"- {line}" for line in lines)


def _permissions(names: Names) -> Iterator[Block]:
    """Yield the places in use that somebody has to be asked for."""
    rows = {}
    for placement in names.plan.placements:
        position = names.position(placement)
        if position.permission is not None:
            said = position.permission
            rows[position.label] = (position.label, said.state, said.by or "nobody named", "")
    if rows:
        yield Heading("Permission for places")
        columns = (
            Column("place", 2.2, is_strong=True),
            Column("permission", 0.0),
            Column("by", 2.0),
            Column("confirmed, signature", 1.6),
        )
        yield Table(columns, tuple(rows.values()), has_boxes=True)
