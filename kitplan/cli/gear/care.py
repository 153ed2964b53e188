"""`kitplan gear fault, mended, care, note-run`: what wants to be looked after."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
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

if TYPE_CHECKING:
    from kitplan.gear.history import Run
    from kitplan.gear.store import Store
    from kitplan.gear.upkeep import Health

UnitArgument = Annotated[str, typer.Argument(metavar="UNIT", help="Id of the unit.")]
_DAYS = ["%Y-%m-%d"]
BodyOption = Annotated[
    str | None, typer.Option("--body", metavar="ITEM", help="Item that it ran in.")
]
DayOption = Annotated[
    datetime | None,
    typer.Option("--day", metavar="DATE", formats=_DAYS, help="By default today."),
]
PlanOption = Annotated[
    Path | None, typer.Option("--plan", metavar="PLAN", help="Runs of a shoot, see --rota.")
]
RotaOption = Annotated[
    Path | None,
    typer.Option(
        "--rota",
        metavar="FILE",
        help="The rota of the plan, filled in. Without it an empty one is printed.",
    ),
]
TrialOption = Annotated[bool, typer.Option("--dry-run", help="Only say what would change.")]


def fault(
    unit: UnitArgument,
    words: Annotated[str, typer.Argument(metavar="WORDS", help="What is wrong with it.")],
    expected: Annotated[
        datetime | None,
        typer.Option(
            "--expected", metavar="DATE", formats=_DAYS, help="When it should be back from repair."
        ),
    ] = None,
    is_usable: Annotated[
        bool, typer.Option("--still-works", help="It stays in use; plans say what is wrong.")
    ] = False,
    as_json: JsonOption = False,
    db: DbOption = None,
    by: ByOption = None,
) -> None:
    """Note a fault: from now on the unit is in repair, or with --still-works worn.

    Example: kitplan gear fault zoom-24-70-1 "focus ring slips" --expected 2027-05-10
    """
    from kitplan.gear.days import in_words
    from kitplan.gear.store import Store

    with Store.open(inventory_path(db, writing=True), writing=True, who=by or "") as store:
        repair = store.care.fault(unit, words, expected=_day(expected), is_usable=is_usable)
        condition = store.units_by_id([unit])[unit].condition
    if as_json:
        print_json(repair.model_dump(mode="json") | {"condition": condition})
        return
    until = f", expected back on {in_words(repair.expected)}" if repair.expected else ""
    typer.echo(f"{unit} is {condition}: {repair.fault}{until}.")


def mended(
    unit: UnitArgument,
    cost: Annotated[
        float | None, typer.Option("--cost", metavar="N", min=0, help="What the repair cost.")
    ] = None,
    condition: Annotated[
        str, typer.Option("--condition", help="good, worn, or retired where it was not worth it.")
    ] = "good",
    note: Annotated[str, typer.Option("--note", help="What was done, by whom.")] = "",
    as_json: JsonOption = False,
    db: DbOption = None,
    by: ByOption = None,
) -> None:
    """Close the repair of a unit.

    Example: kitplan gear mended zoom-24-70-1 --cost 80 --note "new helicoid"
    """
    from typing import get_args

    from kitplan.errors import SettingError
    from kitplan.gear.days import in_words
    from kitplan.gear.store import Store
    from kitplan.gear.store.care import Mended
    from kitplan.wording import hint

    known: dict[str, Mended] = {word: word for word in get_args(Mended)}
    if condition not in known:
        wrong = f"there is no condition {condition!r} after a repair"
        raise SettingError(wrong, where="--condition", fix=hint(condition, known))
    with Store.open(inventory_path(db, writing=True), writing=True, who=by or "") as store:
        repair = store.care.mended(unit, cost=cost, condition=known[condition], note=note)
    if as_json:
        told = {} if repair is None else repair.model_dump(mode="json")
        print_json({"unit": unit} | told | {"condition": condition})
        return
    was = f" It was: {repair.fault}, since {in_words(repair.begins)}." if repair else ""
    typer.echo(f"{unit} is {condition}.{was}")


def care(
    unit: Annotated[
        str | None, typer.Argument(metavar="UNIT", help="Show the record of this unit instead.")
    ] = None,
    within: Annotated[
        int, typer.Option("--within", metavar="DAYS", min=0, max=3650, help="Service so far ahead.")
    ] = 30,
    owner: Annotated[str | None, typer.Option("--owner", help="Only units of this owner.")] = None,
    show_wear: Annotated[
        bool, typer.Option("--wear", help="How much each unit was used instead.")
    ] = False,
    as_json: JsonOption = False,
    db: DbOption = None,
) -> None:
    """List what wants to be looked after: service, repairs, faults, old packs, firmware.

    Example: kitplan gear care --within 60
    """
    from kitplan.gear.store import Store

    with Store.open(inventory_path(db), writing=False) as store:
        if unit is not None:
            _print_record(store, unit, as_json=as_json)
            return
        if show_wear:
            mine = None if owner is None else [each.id for each in store.units(owner=owner)]
            _print_wear(store, mine, as_json=as_json)
            return
        notices = store.care.notices(within_days=within, owner=owner)
    if as_json:
        print_json([notice.model_dump(mode="json") for notice in notices])
    elif not notices:
        typer.echo("Nothing wants to be looked after.")
    else:
        rows = [(n.matter, n.unit, n.owner, n.day, n.words) for n in notices]
        print_table(["what", "unit", "owner", "day", "more"], rows)


def note_run(
    unit: Annotated[
        str | None, typer.Argument(metavar="UNIT", help="Id of the battery.", show_default=False)
    ] = None,
    minutes: Annotated[
        float | None,
        typer.Argument(metavar="MINUTES", help="How long it ran.", show_default=False),
    ] = None,
    to_flat: Annotated[
        bool, typer.Option("--to-flat", help="It ran until it was flat; else it was still going.")
    ] = False,
    body: BodyOption = None,
    day: DayOption = None,
    plan_path: PlanOption = None,
    rota: RotaOption = None,
    is_trial: TrialOption = False,
    as_json: JsonOption = False,
    db: DbOption = None,
    by: ByOption = None,
) -> None:
    """Note how long a battery lasted; three runs to flat and more tell its health.

    Example: kitplan gear note-run battery-f-6 52 --to-flat --body hybrid

    Example: kitplan gear note-run --plan depot-brass-plan --rota rota.csv
    """
    from kitplan.gear.store import Store

    if plan_path is not None and rota is None:
        _print_rota(plan_path)
        return
    if rota is not None:
        _refuse_both(unit, minutes, body, day, to_flat=to_flat)
        runs = _filled(plan_path, rota)
    else:
        runs = (_one(unit, minutes, body, day, to_flat=to_flat),)
    with Store.open(inventory_path(db, writing=True), writing=True, who=by or "") as store:
        found = store.care.note(runs, is_trial=is_trial)
    if as_json:
        print_json([health.model_dump(mode="json") for health in found])
    else:
        _print_health(found, is_trial=is_trial)


def _one(
    unit: str | None,
    minutes: float | None,
    body: str | None,
    day: datetime | None,
    *,
    to_flat: bool,
) -> Run:
    """Return the run that options tell of.

    Raises:
        SettingError: If there is no unit or are no minutes.
        BadInput: If the run is none.
    """
    from kitplan.checked import validated
    from kitplan.errors import SettingError
    from kitplan.gear.history import Run

    if unit is None or minutes is None:
        fix = "Give a battery and its minutes, or --plan PLAN --rota FILE"
        raise SettingError("there is nothing to note", where="UNIT MINUTES", fix=fix)
    data = {
        "unit": unit,
        "minutes": minutes,
        "is_to_flat": to_flat,
        "body": body,
        "day": _day(day) or date.today(),
    }
    return validated(Run, data, file="the run", line_of=lambda _: 0)


def _refuse_both(*given: object, to_flat: bool) -> None:
    """Refuse a single run beside the runs of a plan.

    Raises:
        SettingError: If there is one.
    """
    from kitplan.errors import SettingError

    if to_flat or any(each is not None for each in given):
        fix = "The file says it all: give only --plan and --rota"
        raise SettingError("a single run and a rota are given", where="--rota", fix=fix)


def _filled(plan_path: Path | None, rota: Path) -> tuple[Run, ...]:
    """Return the runs of a filled rota.

    Raises:
        SettingError: If there is no plan, or it tells of none.
    """
    from kitplan.errors import SettingError
    from kitplan.plan.files import read_plan
    from kitplan.plan.rota import runs_of

    if plan_path is None:
        fix = "Give the plan as well with --plan"
        raise SettingError("a rota is of a plan", where="--rota", fix=fix)
    runs = runs_of(read_plan(plan_path), rota)
    if not runs:
        fix = "Fill in the column minutes"
        raise SettingError("no row has minutes", where=str(rota), fix=fix)
    return runs


def _print_rota(plan_path: Path) -> None:
    from kitplan.gear.listing import csv_text
    from kitplan.plan.files import read_plan
    from kitplan.plan.rota import COLUMNS, rota_rows

    typer.echo(csv_text(COLUMNS, rota_rows(read_plan(plan_path))), nl=False)


def _print_health(found: Sequence[Health], *, is_trial: bool) -> None:
    for health in found:
        if health.after != health.before:
            verb = "would go" if is_trial else "goes"
            change = f"health {verb} from {health.before:.0%} to {health.after:.0%}"
        else:
            change = f"health stays at {health.before:.0%}"
        typer.echo(f"{health.unit}: {change} ({health.why}).")
    for hint in dict.fromkeys(health.hint for health in found if health.hint):
        typer.echo(f"{hint}.", err=True)


def _print_wear(store: Store, unit_ids: Sequence[str] | None, *, as_json: bool) -> None:
    wear = store.care.wear(unit_ids)
    if as_json:
        print_json([each.model_dump(mode="json") for each in wear])
    elif not wear:
        typer.echo("Nothing was out, booked or run yet.")
    else:
        headers = ["unit", "times out", "lists", "bookings", "runs", "minutes", "full charges"]
        print_table(headers, [tuple(each.model_dump().values()) for each in wear])


def _print_record(store: Store, unit_id: str, *, as_json: bool) -> None:
    """Print what a unit went through: its facts of care, repairs and runs."""
    from kitplan.errors import SettingError
    from kitplan.gear.kit import Unit

    unit = store.find(unit_id)
    if not isinstance(unit, Unit):
        fix = f"`kitplan gear show {unit_id}` lists its units"
        raise SettingError(f"'{unit_id}' is an item", where="UNIT", fix=fix)
    repairs, runs, wear = (
        store.care.repairs(unit_id),
        store.care.runs(unit_id),
        store.care.wear([unit_id]),
    )
    kept = ("condition", "fault", "service_due", "firmware", "health", "photos")
    facts = {name: value for name, value in unit.model_dump(mode="json").items() if name in kept}
    facts |= {name: value for each in wear for name, value in each.model_dump().items()}
    facts.pop("unit", None)
    if as_json:
        lists = {"repairs": repairs, "runs": runs}
        print_json(
            {"unit": unit_id}
            | facts
            | {
                name: [each.model_dump(mode="json") for each in rows]
                for name, rows in lists.items()
            }
        )
        return
    print_table(["fact", "value"], list(facts.items()))
    if repairs:
        typer.echo()
        print_table(
            ["fault", "since", "mended", "cost", "note"],
            [(r.fault, r.begins, r.ended, r.cost, r.note) for r in repairs],
        )
    if runs:
        typer.echo()
        rows = [(r.day, r.minutes, "flat" if r.is_to_flat else "going", r.body) for r in runs]
        print_table(["day", "minutes", "then", "in"], rows)


def _day(moment: datetime | None) -> date | None:
    return None if moment is None else moment.date()
