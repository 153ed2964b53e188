"""What a plan has to have booked: every unit that it takes along, on the days of its passes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date, timedelta

from kitplan.gear.history import Booked
from kitplan.plan.brought import brought, cases_around
from kitplan.plan.records import Plan


def units_of_pass(plan: Plan, pass_id: str) -> tuple[str, ...]:
    """Return every unit that a pass takes along, the cases included, each once."""
    own = brought(plan, pass_id)
    return tuple(dict.fromkeys([*own, *_cases(plan, own)]))


def days_by_unit(plan: Plan) -> dict[str, tuple[date, ...]]:
    """Return the days of the passes that a plan uses each unit in, by unit id."""
    found: dict[str, set[date]] = defaultdict(set)
    for pass_id in plan.pass_ids():
        day = plan.pass_of(pass_id)[1].start.date()
        for unit in units_of_pass(plan, pass_id):
            found[unit].add(day)
    return {unit: tuple(sorted(found[unit])) for unit in sorted(found)}


def spoken_for(plan: Plan, travel_days: int | None = None) -> tuple[Booked, ...]:
    """Return what has to be booked for a plan, each unit on the days of its own passes.

    Args:
        travel_days: Days on the road before and after each pass; None for those of the shoots.
    """
    if travel_days is None:
        travel_days = max(shoot.travel_days for shoot in plan.shoots.values())
    return tuple(
        Booked(unit=unit, begins=begins, ends=ends)
        for unit, days in days_by_unit(plan).items()
        for begins, ends in spans(days, travel_days)
    )


def _cases(plan: Plan, own: Iterable[str]) -> Iterator[str]:
    """Yield the cases that units travel in: those they are packed into, else their homes."""
    units = {unit.id: unit for unit in plan.kit.units}
    packing = None if plan.day is None else plan.day.cases
    loaded = None if packing is None else {*packing.case_of, *packing.case_of.values()}
    for unit in own:
        around = cases_around(units, unit) if unit in units else ()
        yield from (case for case in around if loaded is None or case in loaded)
        if packing is not None and unit in packing.case_of:
            yield packing.case_of[unit]


def spans(days_of_use: Iterable[date], travel_days: int) -> Iterator[tuple[date, date]]:
    """Yield the first and last day of each run of days on which something is in use or on the road.

    Args:
        travel_days: So many days before and after each day of use belong to it.
    """
    margin = timedelta(days=travel_days)
    begins: date | None = None
    ends = date.min
    for day in sorted(set(days_of_use)):
        if begins is not None and day - margin > ends + timedelta(days=1):
            yield begins, ends
            begins = None
        begins = begins or day - margin
        ends = day + margin
    if begins is not None:
        yield begins, ends
