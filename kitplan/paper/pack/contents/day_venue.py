"""What the day sheet says of the venue: its facts, and what was assumed and is measured first."""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.paper.layout import counted, joined
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import Block, Column, Facts, Sheet, Table
from kitplan.paper.pack.contents.floor_plan import spot_words
from kitplan.paper.pack.source import Source
from kitplan.shoot.records import Shoot
from kitplan.shoot.venue import Light, Position

MOST_FACTS = 20


def venue_sheet(source: Source, shoot_id: str) -> Sheet:
    """Return what is known of the venue, and what has to be measured there."""
    venue = source.plan.shoots[shoot_id].venue
    blocks = (Facts(tuple(_facts(source, shoot_id))), *_recce(source, shoot_id))
    return Sheet("day", "Venue and recce", blocks, lines=(venue.name,))


def _facts(source: Source, shoot_id: str) -> Iterator[tuple[str, str]]:
    shoot, length = source.plan.shoots[shoot_id], source.setting.length
    venue = shoot.venue
    with_mains = [p.label for p in _used(source, shoot_id) if p.has_mains]
    at_cameras = f"; at cameras: {joined(with_mains)}" if with_mains else ""
    sockets = counted(venue.sockets, "socket")
    yield "Mains", f"{shoot.mains_hz} Hz; {sockets} for chargers and laptop{at_cameras}"
    loads = counted(venue.loads_through_door, "load")
    minutes = venue.people_through_door_min
    way = f", {minutes:g} min from the store and back" if minutes else ""
    yield "Doorway", f"{loads} at a time{way}"
    xs, ys = zip(*venue.stage.outline_m, strict=True)
    wide, deep = length(max(xs) - min(xs)), length(max(ys) - min(ys))
    floor = venue.stage.floor.replace("-", " ")
    yield "Stage", f"{wide} wide, {deep} deep, {length(venue.stage.height_m)} high, {floor}"
    if shoot.carrying.carts:
        yield "Carts", f"{shoot.carrying.carts}, {shoot.carrying.cart_kg:g} kg in one go"
    for load in source.day.cases.loads if source.day.cases else ():
        if load.shoot == shoot_id:
            cases = counted(len(load.cases), "case")
            by_hand = f", {len(load.by_hand)} by hand" if load.by_hand else ""
            yield "Load", f"{cases}{by_hand}, {load.mass_kg:.0f} kg in all"


def _used(source: Source, shoot_id: str) -> list[Position]:
    """Return the positions of a shoot that are used, in the order of the shoot."""
    used = {p.position for p in source.plan.placements if p.pass_id.partition("/")[0] == shoot_id}
    return [each for each in source.plan.shoots[shoot_id].venue.positions if each.id in used]


# -- to be measured --------------------------------------------------------------------------------


def _recce(source: Source, shoot_id: str) -> Iterator[Block]:
    """Yield what the plan assumes and somebody has to measure, with room for the true figure."""
    shoot = source.plan.shoots[shoot_id]
    lit = [
        _light_row(source.names, shoot_id, row)
        for row in shoot.light
        if not row.is_measured("dim_lux")
    ]
    placed = [row for position in _used(source, shoot_id) if (row := _place_row(source, position))]
    rows = (*lit, *placed)
    if not rows:
        return
    columns = (
        Column("measure", 1.6, is_strong=True),
        Column("planned with", 2.4),
        Column("is", 1.0),
    )
    more = len(rows) - MOST_FACTS
    foot = f"{more} more were assumed." if more > 0 else ""
    title = "Assumed: measure before anything is built"
    yield Table(columns, rows[:MOST_FACTS], title, has_boxes=True, foot=foot)


def _light_row(names: Names, shoot_id: str, row: Light) -> tuple[str, str, str]:
    shoot = names.plan.shoots[shoot_id]
    others = "everybody else" if any(each.subjects for each in shoot.light) else "everybody"
    who = _subjects(shoot, row) if row.subjects else others
    when = ""
    if row.passes is not None:
        when = f", {joined([names.pass_label(f'{shoot_id}/{each}') for each in row.passes])}"
    return f"Light at the dimmest: {who}{when}", f"{row.dim_lux:g} lux", ""


def _subjects(shoot: Shoot, row: Light) -> str:
    known = shoot.subjects_by_id
    return joined([known[each].label if each in known else each for each in row.subjects or ()])


def _place_row(source: Source, position: Position) -> tuple[str, str, str] | None:
    length = source.setting.length
    parts = []
    if not position.is_measured("at_m"):
        parts.append(("place", spot_words(source.setting, position.at_m)))
    if not position.is_measured("lens_height_m"):
        parts.append(
            ("lens height", f"lens {length(position.lens_height_m)} over its {position.stands_on}")
        )
    if not parts:
        return None
    what = joined([name for name, _ in parts])
    return f"{position.label}: {what}", "; ".join(words for _, words in parts), ""
