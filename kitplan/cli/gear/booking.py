"""`kitplan gear book, bookings, release`: what is spoken for, on which days."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.common import (
    ByOption,
    DbOption,
    JsonOption,
    inventory_path,
    print_json,
    print_table,
)
from kitplan.paper.layout import counted

if TYPE_CHECKING:
    from kitplan.gear.history import Booked, Booking
    from kitplan.plan.records import Plan


def book(
    plan_path: Annotated[Path, typer.Argument(metavar="PLAN", help="A plan file, or its folder.")],
    booking_id: Annotated[
        str | None,
        typer.Option("--as", metavar="ID", help="Id of the booking; by default that of the shoot."),
    ] = None,
    travel_days: Annotated[
        int | None,
        typer.Option(
            "--travel-days",
            metavar="N",
            min=0,
            max=60,
            help="Days on the road before and after each pass; by default those of the shoot.",
            show_default=False,
        ),
    ] = None,
    note: Annotated[str, typer.Option("--note", help="A word to those who want the gear.")] = "",
    as_json: JsonOption = False,
    db: DbOption = None,
    by: ByOption = None,
) -> None:
    """Book every unit that a plan takes along, each on the days of its own passes.

    A plan that is booked again replaces its earlier booking. If anything stands in the way nothing
    is booked, and all of it is listed; exit status 1.

    Example: kitplan gear book depot-brass-plan --travel-days 1
    """
    from kitplan.errors import NotFree
    from kitplan.gear.store import Store
    from kitplan.plan.files import read_plan

    booking = _booking(read_plan(plan_path), booking_id, travel_days, note)
    with Store.open(inventory_path(db), writing=True, who=by or "") as store:
        try:
            before = store.bookings.book(booking)
        except NotFree as error:
            _print_refusal(error, as_json=as_json)
            raise typer.Exit(1) from error
    if as_json:
        print_json(_record(booking))
        return
    verb = "Booked" if before is None else "Booked again"
    typer.echo(f"{verb} as {booking.id}: {counted(len(booking.units), 'unit')}, {_days(booking)}.")
    if before is not None:
        _print_difference(before, booking)


def bookings(
    unit: Annotated[
        str | None, typer.Argument(metavar="[UNIT]", help="Only what this unit is booked for.")
    ] = None,
    as_json: JsonOption = False,
    db: DbOption = None,
) -> None:
    """List what is booked: for what, when, how many units; of one unit on which days.

    Example: kitplan gear bookings

    Example: kitplan gear bookings zoom-24-70-1
    """
    from kitplan.gear.store import Store

    with Store.open(inventory_path(db), writing=False) as store:
        if unit is not None:
            store.find(unit)
            _print_unit(store.bookings.of(unit), as_json=as_json)
            return
        found = store.bookings.all()
    if as_json:
        print_json([_record(each) for each in found])
    elif not found:
        typer.echo("Nothing is booked.")
    else:
        rows = [(b.id, b.title, b.begins, b.ends, len(b.units), b.note) for b in found]
        print_table(["id", "for", "from", "until", "units", "note"], rows)


def release(
    booking_id: Annotated[str, typer.Argument(metavar="ID", help="Id of the booking.")],
    as_json: JsonOption = False,
    db: DbOption = None,
    by: ByOption = None,
) -> None:
    """Let go of everything that is booked under an id; the ledger keeps what it was.

    Example: kitplan gear release depot-brass
    """
    from kitplan.gear.store import Store

    with Store.open(inventory_path(db), writing=True, who=by or "") as store:
        booking = store.bookings.release(booking_id)
    if as_json:
        print_json(_record(booking))
        return
    number = counted(len(booking.units), "unit")
    typer.echo(f"Released what was booked for {booking.title}: {number}.")


def _booking(plan: Plan, booking_id: str | None, travel_days: int | None, note: str) -> Booking:
    """Return the booking of a plan.

    Raises:
        BadInput: If the id is not one.
        SettingError: If the plan takes nothing along.
    """
    from kitplan.checked import validated
    from kitplan.errors import SettingError
    from kitplan.gear.history import Booking
    from kitplan.plan.spoken_for import spoken_for

    mark = "+".join(plan.shoots)
    booked = [each.model_dump() for each in spoken_for(plan, travel_days)]
    if not booked:
        fix = "Book a plan that uses something"
        raise SettingError("the plan takes nothing along", where="PLAN", fix=fix)
    data = {"id": booking_id or mark, "title": plan.title, "plan": mark, "note": note}
    where = "the booking"
    return validated(Booking, data | {"booked": booked}, file=where, line_of=lambda _: 0)


def _print_unit(found: Sequence[tuple[Booking, Booked]], *, as_json: bool) -> None:
    rows = [(b.id, b.title, each.begins, each.ends, b.note) for b, each in found]
    names = ["id", "for", "from", "until", "note"]
    if as_json:
        print_json([dict(zip(names, row, strict=True)) for row in rows])
    elif not rows:
        typer.echo("It is not booked.")
    else:
        print_table(names, rows)


def _record(booking: Booking) -> dict[str, object]:
    data = booking.model_dump(mode="json")
    return data | {"begins": booking.begins, "ends": booking.ends, "units": len(booking.units)}


def _days(booking: Booking) -> str:
    from kitplan.gear.days import from_to

    return from_to(booking.begins, booking.ends)


def _print_refusal(error: Exception, *, as_json: bool) -> None:
    from kitplan.errors import NotFree

    assert isinstance(error, NotFree)
    if as_json:
        print_json({"problem": "not free", "in_the_way": list(error.reasons)})
        return
    typer.echo(f"Nothing is booked. In the way ({len(error.reasons)}):", err=True)
    for reason in error.reasons:
        typer.echo(f"- {reason}", err=True)
    typer.echo(f"{error.fix}.", err=True)


def _print_difference(before: Booking, after: Booking) -> None:
    """Say which units came to a booking and which went, and whether its days changed."""
    for words, units in (
        ("Added", sorted({*after.units} - {*before.units})),
        ("Let go of", sorted({*before.units} - {*after.units})),
    ):
        if units:
            typer.echo(f"{words}: {', '.join(units)}.")
    old: tuple[date, date] = (before.begins, before.ends)
    if old != (after.begins, after.ends):
        typer.echo(f"Before it was {_days(before)}.")
