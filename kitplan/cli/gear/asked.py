"""What a command about units is asked: which units, which list, who, until when."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from kitplan.gear.store import Store
    from kitplan.paper.loans import Things

UnitsArgument = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="[UNIT]...", help="Units by id, or as the code of a label.", show_default=False
    ),
]
FromOption = Annotated[
    Path | None,
    typer.Option(
        "--from",
        metavar="FILE",
        help="Read units from a file, or from a scanner with `-`.",
        show_default=False,
    ),
]
PlanOption = Annotated[
    Path | None,
    typer.Option("--plan", metavar="PLAN", help="A plan file, or its folder.", show_default=False),
]
PassOption = Annotated[
    str | None,
    typer.Option("--pass", metavar="NAME", help="Which pass of the plan.", show_default=False),
]


def units_in(units: Sequence[str] | None, from_file: Path | None) -> tuple[str, ...]:
    """Return the ids that are typed and those in a file; `-` is what comes from a scanner.

    Raises:
        BadInput: If the file cannot be read.
    """
    from kitplan.gear.counting import ids_in

    typed = ids_in(" ".join(units or ()))
    if from_file is None:
        return typed
    if str(from_file) == "-":
        return (*typed, *ids_in(scanned()))
    from kitplan.sources import read_text

    return (*typed, *ids_in(read_text(from_file)))


def scanned() -> str:
    """Return what a scanner or a person types, until it ends.

    Raises:
        SettingError: If it is more than anybody scans.
    """
    import sys

    from kitplan.errors import SettingError
    from kitplan.sources import MAX_BYTES

    if sys.stdin.isatty():
        typer.echo("Scan or type units; end with Ctrl-D on a line of its own.", err=True)
    raw = sys.stdin.buffer.read(MAX_BYTES + 1)
    if len(raw) > MAX_BYTES:
        raise SettingError("it is too much", where="--from", fix="Pipe ids of units only")
    return raw.decode("utf-8", errors="replace")


def list_of(plan_path: Path, pass_name: str | None) -> tuple[str, tuple[str, ...]]:
    """Return the id of a pass of a plan and the units on its packing list.

    Raises:
        PlanFileError: If the plan cannot be read.
        SettingError: If the pass is not there, or several are and none is named.
    """
    from kitplan.errors import SettingError
    from kitplan.paper.lists import pass_lists
    from kitplan.paper.names import Names
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan

    plan = read_plan(plan_path)
    require_whole(plan, str(plan_path))
    names = Names(plan)
    found = names.pass_ids(pass_name)
    if len(found) != 1:
        words = ", ".join(dict.fromkeys(each.partition("/")[2] for each in found))
        wrong = f"the plan has several passes ({words})"
        raise SettingError(wrong, where="--pass", fix="Name one of them: shoot/pass")
    (packed,) = pass_lists(names, found)
    return packed.pass_id, tuple(entry.unit for entry in packed.entries)


def wanted_units(
    store: Store,
    units: Sequence[str] | None,
    from_file: Path | None,
    plan_path: Path | None,
    pass_name: str | None,
) -> tuple[tuple[str, ...], str]:
    """Return the units that a command is about, and the list that they stand on.

    Raises:
        SettingError: If none are named, or a pass without its plan, or the plan is of other gear.
    """
    from kitplan.errors import SettingError

    if pass_name is not None and plan_path is None:
        raise SettingError("it needs its plan", where="--pass", fix="Give --plan PLAN as well")
    typed = units_in(units, from_file)
    list_name = ""
    packed: tuple[str, ...] = ()
    if plan_path is not None:
        list_name, packed = list_of(plan_path, pass_name)
        require_owned(store, plan_path, packed)
    if not typed and not packed:
        fix = "Name units, or give --plan PLAN --pass NAME, or --from FILE"
        raise SettingError("no units are named", where="UNIT", fix=fix)
    return (*packed, *typed), list_name


def require_owned(store: Store, plan_path: Path, units: Iterable[str]) -> None:
    """Check that the units of a plan are in the inventory.

    Raises:
        SettingError: If some are not.
    """
    from kitplan.errors import SettingError

    ids = list(units)
    owned = store.units_by_id(ids)
    if strange := [unit for unit in ids if unit not in owned]:
        raise SettingError(
            f"{len(strange)} of {len(ids)} units on its list are not in the inventory: "
            f"{', '.join(strange[:12])}{' ...' if len(strange) > 12 else ''}",
            where=str(plan_path),
            fix="Plan with this inventory (--db), or import the kit that the plan was made with",
        )


def spelt(store: Store, person: str) -> str:
    """Return a person's name as the inventory has it, where it knows one that is the same but for
    spaces and capital letters."""
    key = " ".join(person.casefold().split())
    known = {" ".join(name.casefold().split()): name for name in store.loans.people()}
    return known.get(key, " ".join(person.split()))


def borrower(store: Store, person: str) -> str:
    """Return the name of somebody who has something.

    Raises:
        SettingError: If nobody of that name has.
    """
    from kitplan.errors import SettingError
    from kitplan.wording import hint

    name = spelt(store, person)
    have = {loan.person for loan in store.loans.open()}
    if name not in have:
        raise SettingError(f"nothing is out to {name}", where="PERSON", fix=hint(name, have))
    return name


def bounds(first: str | None, last: str | None) -> tuple[datetime | None, datetime | None]:
    """Return the moments at which local days begin and are over.

    Raises:
        SettingError: If one is no day, or they are the wrong way round.
    """
    from kitplan.errors import SettingError

    begins = None if first is None else _day(first, "--from")
    ends = None if last is None else _day(last, "--until")
    if begins is not None and ends is not None and begins > ends:
        raise SettingError(f"{first} is after {last}", where="--from", fix="Swap them")
    after = None if ends is None else ends + timedelta(days=1)
    return _midnight(begins), _midnight(after)


def _midnight(day: date | None) -> datetime | None:
    return None if day is None else datetime.combine(day, time()).astimezone()


def _day(text: str, option: str) -> date:
    from kitplan.errors import SettingError

    try:
        return date.fromisoformat(text)
    except ValueError as error:
        fix = "Write it as 2027-05-31"
        raise SettingError(f"{text!r} is not a day", where=option, fix=fix) from error


def day_to_come(text: str | None) -> date | None:
    """Return the day that an option names.

    Raises:
        SettingError: If it is no day, or one that is over.
    """
    from kitplan.errors import SettingError

    if text is None:
        return None
    today = date.today()
    fix = "Write it as 2027-05-31, or +3 for in three days"
    try:
        if text.startswith("+") and text[1:].isdecimal():
            return today + timedelta(days=int(text[1:]))
        day = date.fromisoformat(text)
    except (ValueError, OverflowError) as error:
        raise SettingError(f"{text!r} is not a day", where="--due", fix=fix) from error
    if day < today:
        raise SettingError(f"{text} is over already", where="--due", fix="Give a day to come")
    return day


def things_of(store: Store, unit_ids: Iterable[str]) -> Things:
    """Return units with their items, to call them by name."""
    from kitplan.paper.loans import Things

    units = store.units_by_id([*unit_ids])
    return Things(units, store.items_by_id([unit.item for unit in units.values()]))
