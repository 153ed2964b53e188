"""`kitplan gear ask`: the few missing facts that planning needs most."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
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

if TYPE_CHECKING:
    from kitplan.whatif.asking import Weighed

LEAVE, HOW = "q", "?"
PROMPT = "  answer (Enter skips, ? how, q leaves)"


def ask(
    shoot: Annotated[
        Path | None,
        typer.Option(
            "--shoot", metavar="FILE", help="What matters for this shoot.", show_default=False
        ),
    ] = None,
    top: Annotated[int, typer.Option("--top", metavar="N", min=1, help="So many questions.")] = 10,
    only_list: Annotated[bool, typer.Option("--list", help="Only list them.")] = False,
    as_json: JsonOption = False,
    by: ByOption = None,
    db: DbOption = None,
) -> None:
    """Ask for the facts that most rigs hang on, one by one; an answer counts as measured.

    Enter skips a question, ? says how to find out, q leaves; every answer is written at once. Rigs:
    bodies with lenses on stands that carry them; `decides` are those possible or not by that fact.

    Example: kitplan gear ask --list

    Example: kitplan gear ask --shoot my-show.yaml --top 5
    """
    from kitplan.gear.store import Store
    from kitplan.whatif.asking import weighed_questions

    path = inventory_path(db)
    with Store.open(path, writing=False) as store:
        kit = store.load()
    found = weighed_questions(kit)
    if shoot is not None:
        found = _for_shoot(shoot, path, found)
    first = found[:top]
    if as_json:
        print_json([_as_json(each) for each in first])
    elif only_list or not first:
        _list(first, len(found), with_shoot=shoot is not None)
    else:
        _walk(first, path, by)


def _for_shoot(shoot: Path, db: Path, found: Sequence[Weighed]) -> list[Weighed]:
    from kitplan.shoot.reading import read_brief
    from kitplan.whatif.asking import weighed_for

    return weighed_for(read_brief(shoot, db=db), found)


def _as_json(each: Weighed) -> dict[str, Any]:
    asked = each.question
    return {
        "item": asked.item,
        "fact": asked.fact,
        "ask": asked.ask,
        "assumed": asked.value or None,
        "unit": asked.unit,
        "how": asked.how,
        "is_guess": asked.is_guess,
        "rigs": each.rigs,
        "decides": each.decided,
        "changed_shots": each.shots,
    }


def _list(first: Sequence[Weighed], total: int, *, with_shoot: bool) -> None:
    if not first:
        typer.echo("Nothing to ask: every fact that counts is measured.")
        return
    headers = ["item", "ask for", "so far", "rigs", "decides", *(["shots"] if with_shoot else [])]
    rows = [
        (
            each.question.item,
            each.question.ask,
            _so_far(each),
            each.rigs,
            each.decided,
            *([f"{each.shots:.0%}" if each.shots is not None else ""] if with_shoot else []),
        )
        for each in first
    ]
    print_table(headers, rows)
    if total > len(first):
        typer.echo(f"{total - len(first)} more: --top {total}.")


def _so_far(each: Weighed) -> str:
    asked = each.question
    value = f"{asked.value} {asked.unit}".strip() if asked.value else "nothing"
    return f"{value} (a guess)" if asked.is_guess else value


def _walk(first: Sequence[Weighed], path: Path, by: str | None) -> None:
    """Ask question by question; what is answered is written at once."""
    from kitplan.paper.layout import counted

    num_answers = 0
    try:
        for number, each in enumerate(first, start=1):
            asked = each.question
            typer.echo(
                f"\n{number} of {len(first)}. {asked.name}: {asked.ask}? So far {_so_far(each)}; "
                f"{counted(each.rigs, 'rig')} in the balance."
            )
            num_answers += _answered(each, path, by)
    except (typer.Abort, KeyboardInterrupt):
        typer.echo()
    typer.echo(f"{num_answers} answered; the rest can be asked again at any time.")


def _answered(each: Weighed, path: Path, by: str | None) -> bool:
    """Ask one question until it is answered or skipped.

    Raises:
        typer.Abort: If the user leaves.
    """
    from kitplan.errors import BadInput, StoreError
    from kitplan.gear.intake.amounts import Unreadable
    from kitplan.gear.questions import answered
    from kitplan.gear.store import Store

    asked = each.question
    while True:
        text: str = typer.prompt(PROMPT, default="", show_default=False).strip()
        if text == LEAVE:
            raise typer.Abort
        if not text:
            return False
        if text == HOW:
            typer.echo(f"  {asked.how[:1].upper()}{asked.how[1:]}.")
            continue
        try:
            with Store.open(path, writing=True, who=by or "") as store:
                item = store.items_by_id([asked.item])[asked.item]
                store.change_item(asked.item, answered(item, asked.fact, text))
            return True
        except Unreadable as error:
            typer.echo(f"  That is {error.wrong}. {error.right}.")
        except (BadInput, StoreError) as error:
            typer.echo(f"  {error.problem}. {error.fix}.")
