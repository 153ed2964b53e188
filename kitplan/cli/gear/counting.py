"""`kitplan gear count`: what is there against a list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kitplan.cli.common import ByOption, DbOption, JsonOption, inventory_path, print_json
from kitplan.cli.gear.asked import (
    FromOption,
    PassOption,
    PlanOption,
    UnitsArgument,
    borrower,
    list_of,
    require_owned,
    scanned,
    things_of,
    units_in,
)

if TYPE_CHECKING:
    from kitplan.gear.counting import Count
    from kitplan.gear.history import Loan
    from kitplan.gear.store import Store


PersonOption = Annotated[
    str | None,
    typer.Option("--person", metavar="NAME", help="Count what a person has.", show_default=False),
]
CaseOption = Annotated[
    str | None,
    typer.Option("--case", metavar="UNIT", help="Count what lives in a case.", show_default=False),
]
BackOption = Annotated[bool, typer.Option("--back", help="Sign back what is there and was out.")]
SwapOption = Annotated[
    bool,
    typer.Option(
        "--swap",
        help="Take what came in place of another: who had signed for it has the other now.",
    ),
]
MissingOption = Annotated[
    bool, typer.Option("--missing", help="Put down as missing what is not there.")
]
DamagedOption = Annotated[
    list[str] | None,
    typer.Option("--damaged", metavar="UNIT", help="Is there, but wants repair; may be repeated."),
]
NoteOption = Annotated[str, typer.Option("--note", help="A word that goes with what changes.")]


def count(
    units: UnitsArgument = None,
    plan_path: PlanOption = None,
    pass_name: PassOption = None,
    person: PersonOption = None,
    case: CaseOption = None,
    from_file: FromOption = None,
    take_back: BackOption = False,
    take_swaps: SwapOption = False,
    mark_missing: MissingOption = False,
    damaged: DamagedOption = None,
    note: NoteOption = "",
    as_json: JsonOption = False,
    db: DbOption = None,
    by: ByOption = None,
) -> None:
    """Count a packing list, what a person has, or a case against what is there.

    Units are typed, read from a file with --from, or scanned: without either they come from a
    scanner or another program, plain or as the codes of labels. Nothing changes unless --back,
    --swap, --missing or --damaged asks for it. Exit status 1 where anything is amiss.

    Example: kitplan gear count --plan depot-brass-plan --pass show --from counted.txt --back

    Example: kitplan gear count --person Ana zoom-1 body-2
    """
    from kitplan.gear.counting import counted
    from kitplan.gear.store import Store
    from kitplan.paper.loans import back_text, count_text

    _require_one_list(plan_path, person, case)
    broken, seen = units_in(damaged, None), _seen(units, from_file)
    is_changing = take_back or take_swaps or mark_missing or bool(broken)
    with Store.open(inventory_path(db), writing=is_changing, who=by or "") as store:
        listed = _list(store, plan_path, pass_name, person, case)
        items = store.loans.item_by_unit((*listed, *seen, *broken))
        found = counted(listed, (*seen, *(each for each in broken if each not in seen)), items)
        holders = {loan.unit: loan for loan in store.loans.open(units=(*listed, *found.here))}
        things = things_of(store, (*listed, *found.here))
        swaps = found.swaps if take_swaps else ()
        closed: Sequence[Loan] = ()
        if is_changing:
            closed = store.loans.settle(
                found.here if take_back else (),
                missing=found.missing if mark_missing else (),
                swaps=[(swap.listed, swap.came) for swap in swaps],
                conditions={unit: "in-repair" for unit in broken if unit in found.here},
                note=note,
            )
        handed_on = store.loans.open(units=[swap.listed for swap in swaps])
    if as_json:
        print_json(_record(found, closed))
    else:
        typer.echo(count_text(found, len(dict.fromkeys(listed)), things, holders))
        if closed:
            typer.echo(back_text(closed, handed_on))
    if not found.is_right:
        raise typer.Exit(1)


def _require_one_list(*lists: object) -> None:
    from kitplan.errors import SettingError

    if sum(each is not None for each in lists) != 1:
        fix = "Give one of --plan PLAN --pass NAME, --person NAME and --case UNIT"
        raise SettingError("it is not clear which list to count", where="count", fix=fix)


def _seen(units: Sequence[str] | None, from_file: Path | None) -> tuple[str, ...]:
    """Return the ids that were typed, read or scanned.

    Raises:
        SettingError: If there are none: nobody counts an empty room.
        BadInput: If the file cannot be read.
    """
    from kitplan.errors import SettingError

    found = units_in(units, from_file)
    if not found and from_file is None:
        found = units_in([scanned()], None)
    if not found:
        fix = "Type or scan what is there; `kitplan gear who` shows what is out"
        raise SettingError("nothing was counted", where="count", fix=fix)
    return found


def _list(
    store: Store,
    plan_path: Path | None,
    pass_name: str | None,
    person: str | None,
    case: str | None,
) -> tuple[str, ...]:
    """Return the units that should be there."""
    if plan_path is not None:
        _, packed = list_of(plan_path, pass_name)
        require_owned(store, plan_path, packed)
        return packed
    if person is not None:
        loans = store.loans.open(person=borrower(store, person))
        return tuple(loan.unit for loan in loans)
    assert case is not None
    return store.loans.at_home(case)


def _record(found: Count, closed: Sequence[Loan]) -> dict[str, Any]:
    record = asdict(found) | {"is_right": found.is_right}
    return record | {"back": [loan.model_dump(mode="json") for loan in closed]}
