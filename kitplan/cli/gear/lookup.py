"""`kitplan gear lookup`: a lens or body by name, from the open lens data."""

from __future__ import annotations

import sys
from collections.abc import Sequence
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
from kitplan.cli.gear.keeping import SetOption, facts_set, known_kind, numbered_units

if TYPE_CHECKING:
    from kitplan.gear.lookup import Candidate

ASKED = {"mass_kg": "Weight in kg, ready to shoot", "closest_focus_m": "Closest focus in m"}
"""Facts that the data never have and a scale or a tape tells: asked in the terminal."""


def lookup(
    words: Annotated[str, typer.Argument(help="Its name, or part of it: '24-70 2.8 MFT'.")],
    kind: Annotated[
        str | None, typer.Option("--kind", help="Only lens, or only body.", show_default=False)
    ] = None,
    take: Annotated[
        int | None,
        typer.Option("--take", metavar="N", min=1, help="Add the N-th one.", show_default=False),
    ] = None,
    item_id: Annotated[
        str | None, typer.Option("--id", help="Its id in the inventory.", show_default=False)
    ] = None,
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
    """Find a lens or body in the open lens data and add it: mount, focal range, stops, sensor.

    Needs the extra `lookup`. What comes from the data is named in `looked_up` of the item and never
    counts as measured; what they lack (weight, closest focus, modes) is asked or left in `to_ask`.

    Example: kitplan gear lookup "24-70 2.8" --kind lens

    Example: kitplan gear lookup "24-70 2.8" --take 1 --id zoom-24-70 --units 1 --owner Ana
    --set mass_kg=0.9
    """
    from kitplan.errors import SettingError
    from kitplan.gear.lookup import candidates

    if kind is not None:
        known_kind(kind)
    found = candidates(words, kind=kind)
    if not found:
        fix = "Try fewer words, or add it by hand with `kitplan gear add`"
        raise SettingError(f"the open lens data have no {words!r}", where="lookup", fix=fix)
    if as_json and take is None:
        print_json([{"kind": c.kind, "name": c.name, "facts": c.facts} for c in found])
        return
    if take is None:
        _print(found)
        take = _asked_which(len(found))
        if take is None:
            typer.echo("Nothing added. Add one with --take N --id ID.")
            return
    if take > len(found):
        fix = f"Give a number from 1 to {len(found)}"
        raise SettingError(f"there is no candidate {take}", where="--take", fix=fix)
    told = facts_set(settings)
    _add(found[take - 1], item_id, name, told, num_units, owner, as_json, by, db)


def _print(found: Sequence[Candidate]) -> None:
    rows = [
        (number, each.kind, each.name, _told(each.facts)) for number, each in enumerate(found, 1)
    ]
    print_table(["", "kind", "name", "facts"], rows)


def _told(facts: dict[str, Any]) -> str:
    flat = facts | facts.get("built_in", {})
    return ", ".join(f"{fact} {value}" for fact, value in flat.items() if fact != "built_in")


def has_terminal() -> bool:
    """Whether somebody is there to be asked."""
    return sys.stdin.isatty()


def _asked_which(count: int) -> int | None:
    """Return which candidate the user chooses; None without a terminal, or where it is none."""
    if not has_terminal():
        return None
    while True:
        answer: str = typer.prompt("Which one (number, Enter for none)", default="")
        if not answer.strip():
            return None
        if answer.strip().isdecimal() and 1 <= int(answer) <= count:
            return int(answer)
        typer.echo(f"A number from 1 to {count}.")


def _add(
    candidate: Candidate,
    item_id: str | None,
    name: str | None,
    told: dict[str, Any],
    num_units: int,
    owner: str | None,
    as_json: bool,
    by: str | None,
    db: Any,
) -> None:
    from kitplan.gear.intake.ids import identifier
    from kitplan.gear.kit import Kit
    from kitplan.gear.lookup import item_of
    from kitplan.gear.store import Store

    is_asked = has_terminal() and not as_json
    if item_id is None:
        usual = identifier(name or candidate.name)
        item_id = typer.prompt("Its id", default=usual) if is_asked else usual
    if is_asked:
        told = told | _asked_facts(candidate, told)
    items = item_of(candidate, str(item_id), name or candidate.name, told)
    units = numbered_units(items[0].id, num_units, owner)
    with Store.open(inventory_path(db, writing=True), writing=True, who=by or "") as store:
        store.save_kit(Kit(items=items, units=tuple(units)), replace=False)
    if as_json:
        print_json([item.model_dump(mode="json") for item in items])
        return
    typer.echo(f"Added {', '.join(item.id for item in items)}.")
    typer.echo(f"From the open lens data: {', '.join(items[0].looked_up)}.")
    for item in items:
        if item.to_ask:
            typer.echo(f"Still to ask of {item.id}: {', '.join(item.to_ask)}.")


def _asked_facts(candidate: Candidate, told: dict[str, Any]) -> dict[str, Any]:
    """Return what the user knows of the facts that the data lack, measured."""
    found = {}
    for fact, question in ASKED.items():
        if fact in told or (fact == "closest_focus_m" and candidate.kind != "lens"):
            continue
        answer = typer.prompt(f"{question} (Enter if you do not know)", default="")
        if answer.strip():
            found[fact] = answer.strip()
    return found | ({"measured": list(found)} if found else {})
