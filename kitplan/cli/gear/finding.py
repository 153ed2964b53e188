"""`kitplan gear find, value`: what there is and where, and what it is worth."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.common import DbOption, JsonOption, inventory_path, print_json, print_table

if TYPE_CHECKING:
    from kitplan.gear.records import Condition
    from kitplan.gear.value import Insured, Total

CsvOption = Annotated[
    Path | None,
    typer.Option("--csv", metavar="FILE", help="Write it as CSV instead; - prints it."),
]
OwnerOption = Annotated[str | None, typer.Option("--owner", help="Only units of this owner.")]


def find(
    words: Annotated[
        list[str] | None,
        typer.Argument(metavar="[WORDS]...", help="All of them, anywhere, in any order."),
    ] = None,
    kind: Annotated[str | None, typer.Option("--kind", help="Only this kind of item.")] = None,
    owner: OwnerOption = None,
    condition: Annotated[
        str | None, typer.Option("--condition", help="good, worn, in-repair, missing, retired.")
    ] = None,
    where: Annotated[
        str | None,
        typer.Option("--where", help="A case, shelf or person, 'in repair', 'booked for ...'"),
    ] = None,
    free: Annotated[
        str | None,
        typer.Option(
            "--free", metavar="DAYS", help="Free then: 2027-05-15, or 2027-05-15..16 for all days."
        ),
    ] = None,
    csv: CsvOption = None,
    as_json: JsonOption = False,
    db: DbOption = None,
) -> None:
    """Find units by words and say where each of them is now.

    Example: kitplan gear find zoom 70-200 --free 2027-05-15..16
    """
    from kitplan.cli.gear.keeping import known_kind
    from kitplan.gear.store import Store
    from kitplan.gear.store.finding import Found, Question

    if kind is not None:
        known_kind(kind)
    question = Question(
        tuple(words or ()), kind, owner, _condition(condition), where, _days(free) if free else None
    )
    with Store.open(inventory_path(db), writing=False) as store:
        found = store.finding.find(question)
    if as_json:
        print_json([each._asdict() for each in found])
    elif csv is not None:
        _write(csv, Found._fields, found)
    elif not found:
        typer.echo("Nothing fits." + (" --where NAME says what somebody has." if words else ""))
    else:
        headers = ["unit", "thing", "owner", "condition", "where", "until"]
        rows = [(f.unit or f.item, f.name, f.owner, f.condition, f.where, f.until) for f in found]
        print_table(headers, rows)


def value(
    owner: OwnerOption = None,
    csv: CsvOption = None,
    as_json: JsonOption = False,
    db: DbOption = None,
) -> None:
    """List serial numbers and values for the insurer, with totals for each owner.

    Example: kitplan gear value --owner Ana --csv schedule.csv
    """
    from kitplan.gear.store import Store
    from kitplan.gear.value import schedule, totals

    with Store.open(inventory_path(db), writing=False) as store:
        lines = schedule(store.load(), owner)
    sums = totals(lines)
    if as_json:
        print_json(
            {
                "units": [line.model_dump(mode="json") for line in lines],
                "totals": [total.model_dump() for total in sums],
            }
        )
    elif csv is not None:
        _write_schedule(csv, lines, sums)
    elif not lines:
        typer.echo("Nothing is owned." if owner is None else f"Nothing of {owner} is on record.")
    else:
        _print_schedule(lines, sums)


def _print_schedule(lines: Sequence[Insured], sums: Sequence[Total]) -> None:
    rows = [
        (
            line.owner,
            line.unit,
            line.name + (" (hired)" if line.is_hired else ""),
            line.serial or "NO SERIAL",
            "NO VALUE" if line.value is None else f"{line.value:.2f}",
            "" if line.condition in ("good", "worn") else line.condition,
            "\n".join(line.photos),
        )
        for line in lines
    ]
    print_table(["owner", "unit", "thing", "serial", "value", "condition", "photos"], rows)
    typer.echo()
    headers = ["owner", "units", "value", "no value", "no serial", "no photo"]
    print_table(headers, [_total_row(total) for total in sums])


def _total_row(total: Total) -> tuple[object, ...]:
    return (
        total.owner or "all",
        total.units,
        f"{total.value:.2f}",
        total.without_value,
        total.without_serial,
        total.without_photo,
    )


def _write_schedule(path: Path, lines: Sequence[Insured], sums: Sequence[Total]) -> None:
    """Write the schedule, then the totals: each in the columns of an owner and a value."""
    from kitplan.gear.value import Insured

    names = [*Insured.model_fields]
    rows: list[Sequence[object]] = [[getattr(line, name) for name in names] for line in lines]
    for total in sums:
        facts = {"unit": "total", "owner": total.owner or "all", "value": total.value}
        rows.append([facts.get(name) for name in names])
    _write(path, names, rows)


def _write(path: Path, headers: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    """Write rows as CSV to a file, or print them for `-`."""
    from kitplan.gear.listing import BYTE_ORDER_MARK, csv_text
    from kitplan.sources import write_text

    text = csv_text(headers, rows)
    if str(path) == "-":
        typer.echo(text, nl=False)
        return
    write_text(path, f"{BYTE_ORDER_MARK}{text}")
    typer.echo(f"Wrote {len(rows)} rows to {path}.")


def _condition(word: str | None) -> Condition | None:
    """Return a condition.

    Raises:
        SettingError: If there is no such condition.
    """
    from typing import get_args

    from kitplan.errors import SettingError
    from kitplan.gear.records import Condition
    from kitplan.wording import hint

    known: dict[str, Condition] = {one: one for one in get_args(Condition)}
    if word is not None and word not in known:
        fix = hint(word, known)
        raise SettingError(f"there is no condition {word!r}", where="--condition", fix=fix)
    return None if word is None else known[word]


def _days(text: str) -> tuple[date, date]:
    """Return the first and last day of `2027-05-15`, `2027-05-15..16`, `2027-05-30..06-02`.

    Raises:
        SettingError: If the text is none of these, or the last day comes first.
    """
    from kitplan.errors import SettingError

    first, _, last = text.strip().partition("..")
    fix = "Write 2027-05-15, or 2027-05-15..16 for the days from the 15th to the 16th"
    try:
        begins = date.fromisoformat(first)
        ends = date.fromisoformat(first[: len(first) - len(last)] + last)
    except ValueError as error:
        raise SettingError(f"{text!r} is no day", where="--free", fix=fix) from error
    if ends < begins:
        raise SettingError(f"{text!r} ends before it begins", where="--free", fix=fix)
    return begins, ends
