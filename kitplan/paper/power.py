"""The battery rota as text: by camera, by charger bay, spares, and what does not last."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from kitplan.paper.clocks import clock_time, percent, wall
from kitplan.paper.layout import blocks, bullets, heading, joined, paragraph, table_text
from kitplan.paper.names import Names, when
from kitplan.plan.day.power import Charge, PackUse, PowerPlan, Spare
from kitplan.plan.records import Plan

MAINS_CAUTION = (
    "Mains: dry places only, tested leads, a residual-current device (RCD, GFCI), never the dimmed "
    "circuit and never the one of the lights; leads taped or ramped where people walk. The venue's "
    "electrician says which outlets, and has the last word."
)
CELLS_CAUTION = (
    "Chargers: on something that does not burn, not covered, in sight of somebody; no swollen, wet "
    "or dropped battery in a bay."
)
FULL_FIRST = (
    "Every battery is full before the first pass: charged the night before, and tried. Where "
    "nothing waits for its bay, a battery may stay in until it is full."
)


def power_text(plan: Plan) -> str:
    """Return the power of a plan that has one."""
    names, power = Names(plan), _power(plan)
    return blocks(
        heading(f"Power: {plan.title}"),
        _short_text(names, power),
        *(_pass_text(names, power, pass_id) for pass_id in plan.pass_ids()),
        _charges_text(names, power),
        _spares_text(names, power),
        bullets([FULL_FIRST, *_proof(power), MAINS_CAUTION, CELLS_CAUTION]),
    )


def power_records(plan: Plan) -> dict[str, Any]:
    """Return the same as plain data."""
    power, names = _power(plan), Names(plan)
    found = power.model_dump()
    for row, use in zip(found["uses"], power.uses, strict=True):
        row["missing_min"] = use.missing_min
    for row, spare in zip(found["spares"], power.spares, strict=True):
        row |= {"share": round(spare.share, 4), "is_low": is_low(names, spare)}
    return found


def _power(plan: Plan) -> PowerPlan:
    assert plan.day is not None  # whoever asks has made it
    assert plan.day.power is not None
    return plan.day.power


def _short_text(names: Names, power: PowerPlan) -> str:
    lines = short_lines(names, power)
    return blocks(heading("Does not last", "-"), bullets(lines)) if lines else ""


def short_lines(names: Names, power: PowerPlan) -> list[str]:
    """Return which batteries do not last, and the cheapest way out; nothing where all do."""
    lines = [
        f"{user_name(names, use.pass_id, use.letter)}, {names.pass_label(use.pass_id)}: {use.unit} "
        f"lacks {use.missing_min:.0f} of the {use.minutes:.0f} min that are asked of it."
        for use in power.uses
        if use.is_short
    ]
    return [*lines, f"Cheapest way out: {power.way_out}."] if lines else []


def user_name(names: Names, pass_id: str, letter: str) -> str:
    """Return who uses a battery or card: 'Camera A', or the name of a sound setup."""
    shoot, _ = names.plan.pass_of(pass_id)
    setup = next((one for one in shoot.sound if one.id == letter), None)
    return setup.label if setup else f"Camera {letter}"


def _pass_text(names: Names, power: PowerPlan, pass_id: str) -> str:
    shoot, each = names.plan.pass_of(pass_id)
    uses = as_they_go_in(names, [use for use in power.uses if use.pass_id == pass_id])
    rows = [_use_row(names, use) for use in uses]
    mains = [user_name(names, m.pass_id, m.letter) for m in power.mains if m.pass_id == pass_id]
    return blocks(
        heading(f"{names.pass_label(pass_id)}: {when(shoot, each)}", "-"),
        table_text(("who", "battery", "thing", "runs", "at the start", "after"), rows)
        if rows
        else "",
        paragraph(f"On mains: {joined(mains)}.") if mains else "",
    )


def as_they_go_in(names: Names, uses: Sequence[PackUse]) -> list[PackUse]:
    """Return the batteries of each camera in the order in which they go into it."""
    rolls = names.plan.day.rolls if names.plan.day else None
    first = {
        (roll.pass_id, roll.letter, clip.battery): clip.start_s
        for roll in (rolls.rolls if rolls else ())
        for clip in reversed(roll.clips)
    }
    users = list(dict.fromkeys(use.letter for use in uses))

    def place(use: PackUse) -> tuple[int, float]:
        return users.index(use.letter), first.get((use.pass_id, use.letter, use.unit), 0.0)

    return sorted(uses, key=place)


def _use_row(names: Names, use: PackUse) -> tuple[str, ...]:
    return (
        user_name(names, use.pass_id, use.letter),
        use.unit,
        names.unit(use.unit),
        f"{use.minutes:.0f} of {use.full_min:.0f} min",
        percent(use.before),
        percent(use.after),
    )


def _charges_text(names: Names, power: PowerPlan) -> str:
    title = heading("Charging, by bay", "-")
    if not power.charges:
        return blocks(title, paragraph("Nothing has to be charged between the passes."))
    ordered = sorted(power.charges, key=lambda each: (each.bay, wall(each.start)))
    rows = [_charge_row(names, power, charge) for charge in ordered]
    return blocks(title, table_text(("bay", "battery", "in", "out", "charge", "needed for"), rows))


def _charge_row(names: Names, power: PowerPlan, charge: Charge) -> tuple[str, ...]:
    letter = next(
        (u.letter for u in power.uses if (u.pass_id, u.unit) == (charge.for_pass, charge.unit)), ""
    )
    who = user_name(names, charge.for_pass, letter)
    return (
        charge.bay,
        charge.unit,
        clock_time(names.plan, charge.start),
        clock_time(names.plan, charge.end),
        f"{percent(charge.from_share)} to {percent(charge.to_share)}",
        f"{who}, {names.pass_label(charge.for_pass)}",
    )


def _spares_text(names: Names, power: PowerPlan) -> str:
    rows = [
        (
            names.pass_label(spare.pass_id),
            names.plan.kit.items_by_id[spare.item].name,
            spare.units,
            f"{spare.held:.1f}",
            f"{spare.needed:.1f}",
            percent(spare.share),
        )
        for spare in power.spares
    ]
    if not rows:
        return ""
    headers = ("pass", "battery", "units", "full ones held", "needed", "spare")
    low = [
        f"{names.pass_label(spare.pass_id)}: {low_words(names, spare)}"
        for spare in power.spares
        if is_low(names, spare)
    ]
    return blocks(heading("Spare", "-"), table_text(headers, rows), bullets(low))


def low_words(names: Names, spare: Spare) -> str:
    """Return that there is less spare of a kind of battery than is usual."""
    name = names.plan.kit.items_by_id[spare.item].name
    share, usual = percent(max(spare.share, 0)), percent(usual_spare(names, spare))
    return f"only {share} spare of {name}; {usual} is usual."


def usual_spare(names: Names, spare: Spare) -> float:
    """Return what is usually left over as a share of what is needed."""
    return names.plan.pass_of(spare.pass_id)[0].rules.spare_share


def is_low(names: Names, spare: Spare) -> bool:
    """Return whether there is less spare than is usual."""
    return spare.share < usual_spare(names, spare)


def _proof(power: PowerPlan) -> Iterator[str]:
    if not power.is_proven:
        yield "The charging is the best found, not proven best."
