"""Loans as people read them: who has what, and the slip that goes with it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from kitplan.gear.counting import Count
from kitplan.gear.days import in_words
from kitplan.gear.history import Loan
from kitplan.gear.kit import Unit
from kitplan.gear.records import USABLE, AnyItem
from kitplan.paper.layout import blocks, counted, heading, paragraph, table_text
from kitplan.wording import plain

HAND_LINE = "____________________________"


@dataclass(frozen=True)
class Things:
    """Units and their items, to call them by name."""

    units: Mapping[str, Unit]
    items: Mapping[str, AnyItem]

    def name(self, unit_id: str) -> str:
        """Return what the crew calls a unit; its id where it is not known."""
        unit = self.units.get(unit_id)
        return unit_id if unit is None else self.items[unit.item].name


def who_text(loans: Sequence[Loan], things: Things, today: date) -> str:
    """Return who has what: a table for each person, what is overdue first.

    Args:
        today: The day where the crew is.
    """
    if not loans:
        return "Nothing is out."
    by_person: dict[str, list[Loan]] = {}
    for loan in sorted(loans, key=lambda each: (each.due or date.max, each.out_at)):
        by_person.setdefault(loan.person, []).append(loan)
    return blocks(*(_person_text(*each, things, today) for each in by_person.items()))


def _person_text(person: str, loans: Sequence[Loan], things: Things, today: date) -> str:
    late = sum(loan.is_overdue(today) for loan in loans)
    words = f", {late} overdue" if late else ""
    rows = [
        (
            loan.unit,
            things.name(loan.unit),
            loan.list,
            in_words(out_on(loan)),
            due_words(loan, today),
            loan.note,
        )
        for loan in loans
    ]
    table = table_text(("unit", "thing", "for", "out since", "due", "note"), rows)
    title = f"{person}: {counted(len(loans), 'thing')}{words}"
    return f"{paragraph(title)}\n{table}"


def due_words(loan: Loan, today: date) -> str:
    """Return until when a loan may run, and by how many days it is overdue."""
    if loan.due is None:
        return ""
    late = f", {counted((today - loan.due).days, 'day')} over" if loan.is_overdue(today) else ""
    return f"{in_words(loan.due)}{late}"


def out_on(loan: Loan) -> date:
    """Return the local day on which a unit went out."""
    return loan.out_at.astimezone().date()


def back_text(closed: Sequence[Loan], handed_on: Sequence[Loan] = ()) -> str:
    """Return what came back from whom, and what came back otherwise than it went or not at all.

    Args:
        handed_on: Open loans that took the place of others, as things were swapped.
    """
    by_person: dict[str, list[str]] = {}
    lost: dict[str, list[str]] = {}
    for loan in closed:
        where = lost if loan.condition_back == "missing" else by_person
        where.setdefault(loan.person, []).append(loan.unit)
    lines = [
        f"Back from {person}: {counted(len(units), 'thing')}: {', '.join(units)}."
        for person, units in by_person.items()
    ]
    lines += [
        f"{loan.unit} went out {loan.condition_out} and is {loan.condition_back} now."
        for loan in closed
        if loan.condition_back not in (loan.condition_out, "missing")
    ]
    lines += [f"Missing, last with {person}: {', '.join(units)}." for person, units in lost.items()]
    lines += [f"{loan.person} has {loan.unit} now." for loan in handed_on]
    return "\n".join(map(paragraph, lines))


def count_text(found: Count, number: int, things: Things, holders: Mapping[str, Loan]) -> str:
    """Return what a count has found: how much is there, then all that is amiss.

    Args:
        number: How many things should be there.
        holders: The open loans of the things, by unit.
    """

    def on_record(unit: str) -> str:
        if unit in holders:
            return f"with {holders[unit].person} since {in_words(out_on(holders[unit]))}"
        condition = things.units[unit].condition
        return "in" if condition in USABLE else condition

    rows = [("missing", unit, things.name(unit), on_record(unit)) for unit in found.missing]
    for swap in found.swaps:
        what = f"{things.name(swap.listed)}: {swap.came} came"
        rows.append(("swapped", swap.listed, what, f"{swap.came} {on_record(swap.came)}"))
    rows += [("extra", unit, things.name(unit), on_record(unit)) for unit in found.extra]
    rows += [("unknown", plain(unit), "", "not in the inventory") for unit in found.unknown]
    twice = ", ".join(map(plain, found.repeated))
    all_there = "All there" if found.is_right else "There"
    return blocks(
        paragraph(f"{all_there}: {len(found.there)} of {counted(number, 'thing')}."),
        table_text(("", "unit", "thing", "on record"), rows) if rows else "",
        paragraph(f"Counted more than once: {twice}. Two things with the same label?")
        if twice
        else "",
    )


def slip_text(person: str, loans: Sequence[Loan], things: Things, today: date) -> str:
    """Return the slip of everything that a person has: to be read, checked and signed.

    Args:
        today: The day where the crew is.
    """
    rows = []
    for loan in loans:
        unit = things.units[loan.unit]
        value = "" if unit.value is None else f"{unit.value:.2f}"
        what = f"{things.name(loan.unit)} ({loan.unit})"
        due = due_words(loan, today)
        rows.append(("[ ]", what, unit.serial, unit.owner, loan.condition_out, value, due))
    values = [things.units[loan.unit].value for loan in loans]
    known = [value for value in values if value is not None]
    rest = len(values) - len(known)
    unvalued = f"; {counted(rest, 'thing')} without a value" if rest else ""
    columns = ("", "thing", "serial", "owner", "condition", "value", "due back")
    notes = [f"{loan.unit}: {loan.note}" for loan in loans if loan.note]
    return blocks(
        heading(f"Loan slip: {person}"),
        paragraph(f"{counted(len(loans), 'thing')}, as of {in_words(today)}."),
        table_text(columns, rows),
        "\n".join(map(paragraph, notes)),
        paragraph(f"Replacement value: {sum(known):.2f}{unvalued}.") if known else "",
        paragraph(
            "I have these things, in the condition written here. I look after them, tell at once "
            "what is broken or lost, and bring them back by the day that is due."
        ),
        f"Received:    {HAND_LINE}   Date: ____________\n\n"
        f"Given by:    {HAND_LINE}   Date: ____________\n\n"
        f"Came back:   {HAND_LINE}   Date: ____________",
    )
