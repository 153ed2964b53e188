"""The packing list as text: boxes to tick, counts at the foot, changes between passes, returns."""

from __future__ import annotations

from typing import Any

from kitplan.paper.layout import blocks, bullets, counted, heading, paragraph, table_text
from kitplan.paper.lists import (
    Change,
    Entry,
    Group,
    PassList,
    Return,
    Turnaround,
    pass_lists,
    returns,
    turnarounds,
)
from kitplan.paper.names import Names, when
from kitplan.plan.records import Plan

BOX = "[ ]"
BEFORE_RETURN = (
    "Cards first: two verified copies before any is formatted. Bonds come off last. "
    "Batteries out, caps on, plates back on their heads."
)


def packing(plan: Plan, pass_name: str | None = None) -> str:
    """Return the packing list of each pass, or of one; with all, changes and returns as well.

    Raises:
        SettingError: If there is no pass of that name.
    """
    names = Names(plan)
    lists = pass_lists(names, names.pass_ids(pass_name))
    parts = [heading(f"Packing list: {plan.title}")]
    turns = {turn.after: turn for turn in turnarounds(lists)}
    for each in lists:
        parts.append(_pass_text(names, each))
        if each.pass_id in turns:
            parts.append(_turnaround_text(names, turns[each.pass_id]))
    if pass_name is None:
        parts.append(_returns_text(returns(lists)))
    return blocks(*parts)


def packing_records(plan: Plan, pass_name: str | None = None) -> dict[str, Any]:
    """Return the same as plain data.

    Raises:
        SettingError: If there is no pass of that name.
    """
    from dataclasses import asdict

    names = Names(plan)
    lists = pass_lists(names, names.pass_ids(pass_name))
    found: dict[str, Any] = {
        "passes": [
            asdict(each) | {"units": len(each.entries), "mass_kg": round(each.mass_kg, 3)}
            for each in lists
        ],
        "between": [asdict(turn) for turn in turnarounds(lists)],
    }
    if pass_name is None:
        found["returns"] = [asdict(each) for each in returns(lists)]
    return found


def _pass_text(names: Names, each: PassList) -> str:
    shoot, run = names.plan.pass_of(each.pass_id)
    foot = (
        f"{counted(len(each.entries), 'thing')}, {each.mass_kg:.1f} kg with cases. "
        f"Counted out: ____  Counted in: ____"
    )
    return blocks(
        heading(f"{names.pass_label(each.pass_id)}: {when(shoot, run)}", "-"),
        *(_group_text(group) for group in each.groups),
        bullets(one.words() for one in each.missing),
        paragraph(foot),
    )


def _group_text(group: Group) -> str:
    title = f"{group.name}: {group.position}, {group.who}" if group.position else group.name
    mass_kg = sum(entry.mass_kg for entry in group.entries)
    rows = [(BOX, *_cells(entry)) for entry in group.entries]
    table = table_text(("", "thing", "unit", "owner", "case"), rows)
    return f"{paragraph(f'{title} ({len(rows)}, {mass_kg:.1f} kg)')}\n{table}"


def _cells(entry: Entry) -> tuple[str, str, str, str]:
    return (entry.item, entry.unit, entry.owner, entry.case)


def _turnaround_text(names: Names, turn: Turnaround) -> str:
    title = f"Between {names.pass_label(turn.after)} and {names.pass_label(turn.before)}"
    rows = [_change_cells(names, change) for change in turn.changes]
    table = table_text(("", "from", "to", "things"), rows, is_spaced=True)
    return f"{heading(title, '-')}\n{table}" if rows else ""


def _change_cells(names: Names, change: Change) -> tuple[str, str, str, str]:
    return (
        change.what,
        change.origin or "cases",
        change.goal or "cases",
        _things(names, change.units),
    )


def _things(names: Names, units: tuple[str, ...]) -> str:
    """Return things by name with their unit ids: 'sandbag 7 kg (sandbag-1, sandbag-2)'."""
    by_name: dict[str, list[str]] = {}
    for unit in units:
        by_name.setdefault(names.unit(unit), []).append(unit)
    return "; ".join(f"{name} ({', '.join(found)})" for name, found in by_name.items())


def _returns_text(found: tuple[Return, ...]) -> str:
    tables = []
    for each in found:
        rows = [(BOX, *(_cells(entry)[index] for index in (0, 1, 3))) for entry in each.entries]
        table = table_text(("", "thing", "unit", "case"), rows)
        tables.append(f"To {each.owner} ({counted(len(rows), 'thing')})\n{table}")
    return blocks(heading("Returns after the last pass", "-"), paragraph(BEFORE_RETURN), *tables)
