"""The battery rota: what is in which camera when, what charges where, what is spare."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from kitplan.gear.records import Battery
from kitplan.paper.clocks import percent, wall
from kitplan.paper.layout import joined
from kitplan.paper.pack.blocks import Block, Caution, Column, Heading, Points, Sheet, Table, Words
from kitplan.paper.pack.source import Source
from kitplan.paper.power import (
    CELLS_CAUTION,
    MAINS_CAUTION,
    as_they_go_in,
    is_low,
    low_words,
    short_lines,
    user_name,
)
from kitplan.paper.restarts import where_touched
from kitplan.paper.timed import clocks
from kitplan.plan.day.power import Charge, PackUse, PowerPlan
from kitplan.plan.verify.day.clocked import PassClock

BEFORE_ALL = (
    "The night before: charge every battery, number it, try it in its camera.",
    "At each change: the empty one goes into the box for empties, contacts covered.",
    "Write down when each came out: minutes that were measured make the next plan true.",
)
STAYS_IN = "Where nothing waits for its bay, a battery may stay in until it is full."
MOST_SPARES = 12
"""Of one kind, so many are named one by one."""


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield the rota of all passes."""
    power = source.day.power
    if power is None or not (power.uses or power.mains):
        return
    blocks: list[Block] = [Points(BEFORE_ALL, mark="box")]
    short = tuple(short_lines(source.names, power))
    if short:
        blocks.insert(0, Caution("Does not last", short))
    blocks.append(Caution("Mains and chargers", (MAINS_CAUTION, CELLS_CAUTION)))
    if not power.charges:
        blocks.append(Words("Nothing has to be charged between the passes.", is_strong=True))
    for clock in clocks(source.plan, source.plan.pass_ids()):
        blocks += _pass(source, power, clock)
    blocks += _charging(source, power)
    yield Sheet("power", "Battery rota", tuple(blocks), lines=(source.plan.title,))


def _pass(source: Source, power: PowerPlan, clock: PassClock) -> Iterator[Block]:
    names, pass_id = source.names, clock.pass_id
    uses = as_they_go_in(names, [use for use in power.uses if use.pass_id == pass_id])
    mains = [user_name(names, m.pass_id, m.letter) for m in power.mains if m.pass_id == pass_id]
    spares = tuple(_spares(source, power, clock))
    if not uses and not mains:
        return
    yield Heading(f"{names.pass_label(pass_id)}: {source.hours(pass_id)}", 2)
    if mains:
        yield Words(f"On mains: {joined(mains)}.")
    if spares:
        yield Points(spares)
    if uses:
        yield _uses(source, clock, uses)


def _uses(source: Source, clock: PassClock, uses: list[PackUse]) -> Table:
    columns = (
        Column("in", 1.2, is_strong=True),
        Column("battery", 1.3, is_strong=True),
        Column("goes in", 1.9),
        Column("at start", 0.0, "right"),
        Column("runs", 0.0, "right"),
        Column("after", 0.0, "right"),
        Column("out at, really ran min", 1.5),
    )
    names = source.names
    rows = tuple(
        (
            user_name(names, use.pass_id, use.letter),
            use.unit,
            _goes_in(source, clock, use),
            percent(use.before),
            f"{use.minutes:.0f} of {use.full_min:.0f} min",
            "FLAT" if use.is_short else percent(use.after),
            "",
        )
        for use in uses
    )
    return Table(columns, rows, f"{names.pass_label(clock.pass_id)}: what goes in", has_boxes=True)


def _goes_in(source: Source, clock: PassClock, use: PackUse) -> str:
    """Return when a battery goes in: before the pass, or at which touch."""
    rolls = source.day.rolls
    for touch in rolls.touches if rolls else ():
        if (touch.pass_id, touch.letter, touch.battery) == (use.pass_id, use.letter, use.unit):
            at = source.setting.time(clock.each.start + timedelta(seconds=touch.start_s))
            return f"{at} {where_touched(clock, touch)}"
    return "before the pass"


# -- spares ----------------------------------------------------------------------------------------


def _spares(source: Source, power: PowerPlan, clock: PassClock) -> Iterator[str]:
    """Yield which batteries are spare in a pass, and how full each is when it begins."""
    pass_id = clock.pass_id
    used = {use.unit for use in power.uses if use.pass_id == pass_id}
    items = source.plan.kit.items_by_id
    for spare in power.spares:
        if spare.pass_id != pass_id:
            continue
        free = [
            f"{unit.id} {percent(level_before(source, power, unit.id, clock.each.start))}"
            for unit in source.plan.kit.units
            if unit.item == spare.item
            and unit.id not in used
            and unit.is_free_on(clock.each.start.date())
        ]
        more = len(free) - MOST_SPARES
        named = [*free[:MOST_SPARES], f"{more} more"] if more > 0 else free
        item = items[spare.item]
        assert isinstance(item, Battery)  # a whole plan names batteries as batteries
        words = f"Spare, {item.name}: {joined(named) or 'none'}."
        low = low_words(source.names, spare)
        yield f"{words} {low[:1].upper()}{low[1:]}" if is_low(source.names, spare) else words


def level_before(source: Source, power: PowerPlan, unit: str, moment: datetime) -> float:
    """Return the share of its charge that a battery has at a time: full before it is first used."""
    ends = {
        pass_id: shoot.end_of(each)
        for pass_id in source.plan.pass_ids()
        for shoot, each in (source.plan.pass_of(pass_id),)
    }
    events = [(wall(ends[u.pass_id]), u.after) for u in power.uses if u.unit == unit]
    events += [(wall(c.end), c.to_share) for c in power.charges if c.unit == unit]
    past = [event for event in events if event[0] <= wall(moment)]
    return max(past, default=(None, 1.0), key=lambda event: event[0])[1]


# -- charging --------------------------------------------------------------------------------------


def _charging(source: Source, power: PowerPlan) -> Iterator[Block]:
    if not power.charges:
        return
    columns = (
        Column("bay", 1.3, is_strong=True),
        Column("battery", 1.3, is_strong=True),
        Column("in", 0.0),
        Column("out", 0.0),
        Column("from", 0.0, "right"),
        Column("to", 0.0, "right"),
        Column("for", 2.2),
        Column("needed by", 0.0),
    )
    ordered = sorted(power.charges, key=lambda each: (each.bay, wall(each.start)))
    rows = tuple(_charge(source, power, each) for each in ordered)
    yield Table(columns, rows, "Charging, by bay", has_boxes=True)
    yield Words(STAYS_IN)


def _charge(source: Source, power: PowerPlan, charge: Charge) -> tuple[str, ...]:
    names = source.names
    letter = next(
        (u.letter for u in power.uses if (u.pass_id, u.unit) == (charge.for_pass, charge.unit)), ""
    )
    who = user_name(names, charge.for_pass, letter)
    return (
        charge.bay,
        charge.unit,
        source.clock(charge.start),
        source.clock(charge.end),
        percent(charge.from_share),
        percent(charge.to_share),
        f"{who}, {names.pass_label(charge.for_pass)}",
        source.clock(charge.needed_by),
    )
