"""`kitplan gear add, list, show, change, retire`: what is owned and what it can do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kitplan.cli.common import (
    ByOption,
    DbOption,
    JsonOption,
    inventory_path,
    print_json,
    print_table,
)
from kitplan.cli.gear.photos import warn_of_lost_photos
from kitplan.paper.layout import counted

if TYPE_CHECKING:
    from kitplan.gear.kit import Unit
    from kitplan.gear.records import AnyItem

IdArgument = Annotated[str, typer.Argument(help="Id of an item or of a unit.")]
SetOption = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="NAME=VALUE",
        help="A fact, such as mass_kg=0.9 or measured='[mass_kg]'; may be given many times.",
        show_default=False,
    ),
]


def add(
    kind: Annotated[str, typer.Argument(help="body, lens, head, support ... or unit.")],
    record_id: Annotated[str, typer.Argument(metavar="ID", help="Its new id.")],
    name: Annotated[str | None, typer.Option("--name", help="What the crew calls it.")] = None,
    settings: SetOption = None,
    num_units: Annotated[
        int, typer.Option("--units", min=0, max=999, help="How many are owned: ID-1, ID-2 ...")
    ] = 0,
    owner: Annotated[str | None, typer.Option("--owner", help="Whose units they are.")] = None,
    as_json: JsonOption = False,
    by: ByOption = None,
    db: DbOption = None,
) -> None:
    """Add an item with its units, or one more unit.

    Example: kitplan gear add lens wide --name "8 mm wide" --set mount=MFT --set focal_min_mm=8
    --set focal_max_mm=8 --set stop_wide=2 --set closest_focus_m=0.2 --set image_circle_mm=21.6
    --units 1 --owner Ana

    Example: kitplan gear add unit wide-2 --set item=wide --owner Ben
    """
    from kitplan.gear.store import Store

    facts = {"id": record_id} | facts_set(settings)
    facts |= {"name": name} if name is not None else {}
    if kind == "unit":
        facts |= {"owner": owner} if owner is not None else {}
        unit = _built_unit(facts)
        with Store.open(inventory_path(db, writing=True), writing=True, who=by or "") as store:
            store.add_unit(unit)
        warn_of_lost_photos(unit, db)
        if as_json:
            print_json(unit.model_dump(mode="json"))
    else:
        item = _built_item(kind, facts)
        units = numbered_units(record_id, num_units, owner)
        with Store.open(inventory_path(db, writing=True), writing=True, who=by or "") as store:
            store.add_item(item, units)
        if as_json:
            print_json(_item_json(item, units))
    if not as_json:
        number = f" with {counted(num_units, 'unit')}" if num_units else ""
        typer.echo(f"Added {record_id}{number}.")


def list_gear(
    show_units: Annotated[bool, typer.Option("--units", help="One row for each unit.")] = False,
    kind: Annotated[str | None, typer.Option("--kind", help="Only this kind of item.")] = None,
    owner: Annotated[str | None, typer.Option("--owner", help="Only units of this owner.")] = None,
    as_json: JsonOption = False,
    db: DbOption = None,
) -> None:
    """List the items, or with --units the single things.

    Example: kitplan gear list --units --owner Ana
    """
    from kitplan.gear.store import Store

    if kind is not None:
        known_kind(kind)
    with Store.open(inventory_path(db), writing=False) as store:
        kit = store.load()
        units = store.units(kind=kind, owner=owner)
    if show_units:
        _print_units(units, as_json)
        return
    owned = {unit.item for unit in units}
    items = [
        item
        for item in kit.items
        if kind in (None, item.kind) and (owner is None or item.id in owned)
    ]
    _print_items(items, units, as_json)


def show(record_id: IdArgument, as_json: JsonOption = False, db: DbOption = None) -> None:
    """Show every fact of an item with its source and its units, or of one unit.

    Example: kitplan gear show wide
    """
    from kitplan.gear.kit import Unit
    from kitplan.gear.store import Store

    with Store.open(inventory_path(db), writing=False) as store:
        record = store.find(record_id)
        units = () if isinstance(record, Unit) else store.units(item=record_id)
    if isinstance(record, Unit):
        facts = record.model_dump(mode="json")
        print_json(facts) if as_json else print_table(["fact", "value"], list(facts.items()))
    elif as_json:
        print_json(_item_json(record, units))
    else:
        _print_item(record, units)


def change(
    record_id: IdArgument,
    settings: SetOption = None,
    as_json: JsonOption = False,
    by: ByOption = None,
    db: DbOption = None,
) -> None:
    """Change facts of an item or a unit; an empty value takes a fact back to its default.

    Example: kitplan gear change wide --set mass_kg=0.31 --set measured='[mass_kg]'

    Example: kitplan gear change wide-2 --set photos='[wide-2-front.jpg, wide-2-serial.jpg]'
    """
    from kitplan.errors import SettingError
    from kitplan.gear.kit import Unit
    from kitplan.gear.store import Store

    facts = facts_set(settings)
    if not facts:
        raise SettingError("nothing to change", where="--set", fix="Give --set NAME=VALUE")
    with Store.open(inventory_path(db), writing=True, who=by or "") as store:
        if isinstance(store.find(record_id), Unit):
            unit = store.change_unit(record_id, facts)
            warn_of_lost_photos(unit, db)
            record = unit.model_dump(mode="json")
        else:
            item = store.change_item(record_id, facts)
            record = _item_json(item, store.units(item=record_id))
    if as_json:
        print_json(record)
    else:
        typer.echo(f"Changed {record_id}.")


def retire(
    record_id: IdArgument, as_json: JsonOption = False, by: ByOption = None, db: DbOption = None
) -> None:
    """Take a unit, or all units of an item, out of use; they stay on record.

    What is signed out stays with whoever has it until it is signed back, and is told.

    Example: kitplan gear retire wide-2
    """
    from kitplan.gear.kit import Unit
    from kitplan.gear.store import Store

    with Store.open(inventory_path(db), writing=True, who=by or "") as store:
        if isinstance(store.find(record_id), Unit):
            retired: Sequence[Unit] = [store.retire_unit(record_id)]
        else:
            retired = store.retire_item(record_id)
        loans = store.loans.open(units=[unit.id for unit in retired])
    for loan in loans:
        typer.echo(f"{loan.unit} is still signed out to {loan.person}.", err=True)
    if as_json:
        print_json([unit.model_dump(mode="json") for unit in retired])
        return
    typer.echo(f"Retired {', '.join(unit.id for unit in retired) or 'nothing: it has no units'}.")


def facts_set(settings: Sequence[str] | None) -> dict[str, Any]:
    """Return the values of repeated --set NAME=VALUE by name.

    Raises:
        SettingError: If one has no name or no `=`, or a name comes twice.
        BadInput: If a value's brackets or quotes do not match.
    """
    from kitplan.errors import SettingError
    from kitplan.sources import parse_value

    facts: dict[str, Any] = {}
    for setting in settings or ():
        name, equals, text = setting.partition("=")
        name = name.strip()
        if not equals or not name:
            raise SettingError(
                f"{setting!r} is not NAME=VALUE", where="--set", fix="Write it as mass_kg=0.9"
            )
        if name in facts:
            raise SettingError(f"{name!r} is given twice", where="--set", fix="Keep one of them")
        facts[name] = parse_value(text, name)
    return facts


def known_kind(kind: str, where: str = "--kind") -> type[Any]:
    """Return the record of a kind of item.

    Raises:
        SettingError: If there is no such kind.
    """
    from kitplan.errors import SettingError
    from kitplan.gear.records import ITEM_TYPES
    from kitplan.wording import hint

    if kind not in ITEM_TYPES:
        raise SettingError(
            f"there is no kind {kind!r}",
            where=where,
            fix=hint(kind, [*ITEM_TYPES, *(["unit"] if where == "KIND" else [])]),
        )
    return ITEM_TYPES[kind]


def _built_item(kind: str, facts: Mapping[str, Any]) -> AnyItem:
    from kitplan.checked import validated
    from kitplan.gear.store import with_facts

    model = known_kind(kind, "KIND")
    item: AnyItem = validated(model, with_facts({}, facts), file="add", line_of=lambda _: 0)
    return item


def _built_unit(facts: Mapping[str, Any]) -> Unit:
    from kitplan.checked import validated
    from kitplan.gear.kit import Unit

    return validated(Unit, facts, file="add", line_of=lambda _: 0)


def numbered_units(item_id: str, num_units: int, owner: str | None) -> list[Unit]:
    """Return the units ID-1, ID-2 ... of a new item.

    Raises:
        SettingError: If units are wanted without an owner, or an owner without units.
    """
    from kitplan.errors import SettingError

    if bool(num_units) != (owner is not None):
        raise SettingError(
            "units and their owner belong together", where="--units", fix="Give --units and --owner"
        )
    return [
        _built_unit({"id": f"{item_id}-{number}", "item": item_id, "owner": owner})
        for number in range(1, num_units + 1)
    ]


def _print_items(items: Sequence[AnyItem], units: Sequence[Unit], as_json: bool) -> None:
    from kitplan.gear.records import USABLE

    rows = []
    for item in items:
        own = [unit for unit in units if unit.item == item.id]
        usable = sum(unit.condition in USABLE for unit in own)
        rows.append((item.kind, item.id, item.name, item.mass_kg, len(own), usable))
    names = ["kind", "id", "name", "mass_kg", "units", "usable"]
    if as_json:
        print_json([dict(zip(names, row, strict=True)) for row in rows])
    else:
        print_table(names, rows)


def _print_units(units: Sequence[Unit], as_json: bool) -> None:
    if as_json:
        print_json([unit.model_dump(mode="json") for unit in units])
        return
    rows = [
        (unit.id, unit.item, unit.owner, unit.condition, unit.case, _window(unit)) for unit in units
    ]
    print_table(["id", "item", "owner", "condition", "case", "available"], rows)


def _window(unit: Unit) -> str:
    """Return when a unit is available; nothing when it always is."""
    if unit.available_from is None and unit.available_until is None:
        return ""
    return f"{unit.available_from or ''} to {unit.available_until or ''}".strip()


def _item_json(item: AnyItem, units: Sequence[Unit]) -> dict[str, Any]:
    facts = item.model_dump(mode="json")
    measured = facts.pop("measured")
    return {
        "item": facts,
        "measured": measured,
        "units": [unit.model_dump(mode="json") for unit in units],
    }


def _print_item(item: AnyItem, units: Sequence[Unit]) -> None:
    """Print an item's facts, one row each, and its units."""
    rows: list[tuple[str, object, str]] = []
    for name, value in item.model_dump(exclude={"measured", "looked_up", "to_ask"}).items():
        entries = (
            {f"{name} {n}": one for n, one in enumerate(value, 1)}
            if name == "modes"
            else {name: value}
        )
        for label, entry in entries.items():
            parts = entry if isinstance(entry, dict) else {"": entry}
            rows += [
                (f"{label}.{key}".removesuffix("."), part, _source(item, name, part))
                for key, part in parts.items()
            ]
    print_table(["fact", "value", "source"], rows)
    if units:
        typer.echo()
        _print_units(units, as_json=False)


def _source(item: AnyItem, fact: str, value: object) -> str:
    if value is None or fact in {"id", "kind", "name", "note"}:
        return ""
    if item.is_measured(fact):
        return "measured"
    if fact in item.to_ask:
        return "a guess"
    return "looked up" if fact in item.looked_up else "assumed"
