"""`kitplan gear out, back, who, slip`: what is in whose hands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Annotated, Literal, NoReturn

import typer

from kitplan.cli.common import ByOption, DbOption, JsonOption, inventory_path, print_json
from kitplan.cli.gear.asked import (
    FromOption,
    PassOption,
    PlanOption,
    UnitsArgument,
    borrower,
    day_to_come,
    spelt,
    things_of,
    wanted_units,
)
from kitplan.paper.layout import counted, paragraph

if TYPE_CHECKING:
    from kitplan.errors import NotFree
    from kitplan.gear.history import Loan, SignedOut

Found = Literal["good", "worn", "in-repair", "missing"]


def out(
    units: UnitsArgument = None,
    person: Annotated[str, typer.Option("--to", metavar="PERSON", help="Who takes them.")] = "",
    due: Annotated[
        str | None,
        typer.Option(
            "--due",
            metavar="DATE",
            help="Last day of it, 2027-05-31, or +3 for in three days.",
            show_default=False,
        ),
    ] = None,
    note: Annotated[str, typer.Option("--note", help="A word that goes with it.")] = "",
    plan_path: PlanOption = None,
    pass_name: PassOption = None,
    from_file: FromOption = None,
    only_free: Annotated[
        bool, typer.Option("--what-is-free", help="Take the rest where something is not there.")
    ] = False,
    despite_bookings: Annotated[
        bool, typer.Option("--even-if-booked", help="Give out what another shoot has booked.")
    ] = False,
    as_json: JsonOption = False,
    db: DbOption = None,
    by: ByOption = None,
) -> None:
    """Sign units, or the whole packing list of a pass, out to a person.

    If somebody else has one of them nothing goes, all that stands in the way is listed, and the
    exit status is 1. What the person has already stays; --due then gives it a new day.

    Example: kitplan gear out zoom-1 body-2 --to Ana --due 2027-05-31

    Example: kitplan gear out --plan depot-brass-plan --pass show --to Ana --due +2
    """
    from kitplan.errors import NotFree, SettingError
    from kitplan.gear.store import Store

    if not person.strip():
        raise SettingError("nobody is named", where="--to", fix="Give --to PERSON")
    last_day = day_to_come(due)
    with Store.open(inventory_path(db), writing=True, who=by or "") as store:
        wanted, list_name = wanted_units(store, units, from_file, plan_path, pass_name)
        person = spelt(store, person)
        try:
            found = store.loans.sign_out(
                wanted,
                person,
                due=last_day,
                list_name=list_name,
                note=note,
                only_free=only_free,
                despite_bookings=despite_bookings,
            )
        except NotFree as error:
            _end_refused(error, "Nothing is signed out", as_json=as_json)
    if as_json:
        print_json(
            {
                "person": person,
                "out": _records(found.loans),
                "already": _records(found.already),
                "left": found.left,
                "booked_later": found.booked_later,
            }
        )
    else:
        _print_out(found, person, last_day)
    if found.left and not found.loans and not found.already:
        raise typer.Exit(1)


def back(
    units: UnitsArgument = None,
    condition: Annotated[
        Found | None,
        typer.Option("--condition", help="What they are like now, if not as on record."),
    ] = None,
    note: Annotated[str, typer.Option("--note", help="What there is to say of it.")] = "",
    plan_path: PlanOption = None,
    pass_name: PassOption = None,
    from_file: FromOption = None,
    as_json: JsonOption = False,
    db: DbOption = None,
    by: ByOption = None,
) -> None:
    """Take units back from whoever has them; all of them, or none if one was not out.

    `kitplan gear count --back` takes back what is there, and tells what is not. What was missing
    and turns up is taken back by saying what it is like.

    Example: kitplan gear back zoom-1 --condition worn --note "ring is loose"
    """
    from kitplan.errors import NotFree
    from kitplan.gear.store import Store
    from kitplan.paper.loans import back_text

    with Store.open(inventory_path(db), writing=True, who=by or "") as store:
        wanted, _ = wanted_units(store, units, from_file, plan_path, pass_name)
        try:
            closed = store.loans.sign_back(wanted, condition=condition, note=note)
        except NotFree as error:
            _end_refused(error, "Nothing is taken back", as_json=as_json)
    found_again = [unit for unit in dict.fromkeys(wanted) if unit not in {c.unit for c in closed}]
    if as_json:
        print_json({"back": _records(closed), "found": found_again})
        return
    if closed:
        typer.echo(back_text(closed))
    if found_again:
        typer.echo(paragraph(f"Found again: {', '.join(found_again)}."))


def who(
    person: Annotated[
        str | None, typer.Argument(metavar="[PERSON]", help="Only what this person has.")
    ] = None,
    only_overdue: Annotated[
        bool, typer.Option("--overdue", help="Only what should be back by now.")
    ] = False,
    as_json: JsonOption = False,
    db: DbOption = None,
) -> None:
    """Show who has what, since when, until when.

    Example: kitplan gear who --overdue
    """
    from kitplan.gear.store import Store
    from kitplan.paper.loans import who_text

    today = date.today()
    with Store.open(inventory_path(db), writing=False) as store:
        loans = store.loans.open(person=None if person is None else borrower(store, person))
        loans = tuple(loan for loan in loans if loan.is_overdue(today) or not only_overdue)
        things = things_of(store, (loan.unit for loan in loans))
    if as_json:
        print_json(_dated(loans, today))
    elif only_overdue and not loans:
        typer.echo("Nothing is overdue.")
    else:
        typer.echo(who_text(loans, things, today))


def slip(
    person: Annotated[str, typer.Argument(metavar="PERSON", help="Who has the things.")],
    as_json: JsonOption = False,
    db: DbOption = None,
) -> None:
    """Print the loan slip of a person: everything that they have, to be checked and signed.

    Example: kitplan gear slip Ana
    """
    from kitplan.gear.store import Store
    from kitplan.paper.loans import slip_text

    today = date.today()
    with Store.open(inventory_path(db), writing=False) as store:
        person = borrower(store, person)
        loans = store.loans.open(person=person)
        things = things_of(store, (loan.unit for loan in loans))
    if as_json:
        values = [things.units[loan.unit].value for loan in loans]
        total = sum(value for value in values if value is not None)
        print_json({"person": person, "loans": _dated(loans, today), "value": total})
    else:
        typer.echo(slip_text(person, loans, things, today))


# -- what is printed -------------------------------------------------------------------------------


def _end_refused(error: NotFree, title: str, *, as_json: bool) -> NoReturn:
    """Say what stands in the way, and end with status 1."""
    if as_json:
        print_json({"problem": title.lower(), "in_the_way": list(error.reasons)})
    else:
        lines = [f"{title}: {reason}." for reason in error.reasons[:1]]
        if len(error.reasons) > 1:
            lines = [f"{title}:", *(f"- {reason}" for reason in error.reasons)]
        typer.echo("\n".join([*lines, f"{error.fix}."]), err=True)
    raise typer.Exit(1) from error


def _print_out(found: SignedOut, person: str, due: date | None) -> None:
    from kitplan.gear.days import in_words
    from kitplan.gear.store.loans import grouped_reasons

    until = f", due {due:%a} {in_words(due)}" if due else ""
    if found.loans:
        ids = ", ".join(loan.unit for loan in found.loans)
        number = counted(len(found.loans), "thing")
        typer.echo(paragraph(f"Signed out to {person}{until}: {number}: {ids}."))
    if found.already:
        ids = ", ".join(loan.unit for loan in found.already)
        typer.echo(paragraph(f"{person} had already{until}: {ids}."))
    for reason in grouped_reasons(found.left):
        typer.echo(paragraph(f"Left: {reason}."))
    for reason in grouped_reasons(found.booked_later):
        typer.echo(paragraph(f"Mind: {reason}. Say when it is back with --due."))


def _records(loans: Iterable[Loan]) -> list[dict[str, object]]:
    return [loan.model_dump(mode="json") for loan in loans]


def _dated(loans: Sequence[Loan], today: date) -> list[dict[str, object]]:
    return [loan.model_dump(mode="json") | {"overdue": loan.is_overdue(today)} for loan in loans]
