"""`kitplan new`: a complete shoot file from a dozen answers. `kitplan recce`: the form for them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.common import JsonOption, print_json

if TYPE_CHECKING:
    from kitplan.recce.questions import Known, Question, Setting


LISTS = frozenset({"songs", "plot", "crew"})
"""Questions whose answer may come as several lines."""


def new(
    path: Annotated[
        Path, typer.Argument(metavar="FILE", help="The shoot file to write: my-show.yaml.")
    ],
    answers: Annotated[
        Path | None,
        typer.Option(
            "--answers",
            metavar="FILE",
            help="Take the answers from a file (see `kitplan recce`) and ask nothing.",
            show_default=False,
        ),
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Overwrite a file that is there.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Start a shoot: a dozen questions, then a complete shoot file that plans at once.

    Enter takes what stands in brackets. Answers can be corrected later in the file itself.

    Example: kitplan new my-show.yaml

    Example: kitplan new my-show.yaml --answers recce.yaml
    """
    from kitplan.errors import SettingError
    from kitplan.recce.files import made, read_answers, setting_here

    if path.suffix.lower() not in (".yaml", ".yml"):
        raise SettingError(f"{path.name} is no shoot file", where="FILE", fix="End it in .yaml")
    if path.exists() and not replace:
        fix = "Choose another name, or use --replace"
        raise SettingError(f"{path} exists already", where="FILE", fix=fix)
    setting = setting_here()
    given = read_answers(answers) if answers else _asked(setting, path.parent)
    written = made(given, setting, path)
    if as_json:
        print_json([str(each) for each in written])
        return
    for each in written:
        typer.echo(f"Wrote {each}")
    typer.echo(f"Now, as a page in the browser: kitplan serve {path} --open")
    typer.echo(f"Or here: kitplan check {path}   then: kitplan plan {path}")


def _asked(setting: Setting, beside: Path) -> dict[str, str]:
    """Ask every question until it is understood, and return the answers as they were typed."""
    from kitplan.recce.questions import questions

    given: dict[str, str] = {}
    known: Known = {}
    typer.echo(f"{len(questions())} questions; Enter takes what stands in brackets.", err=True)
    for number, question in enumerate(questions(), 1):
        given[question.id] = _answer(question, number, known, setting, beside)
    return given


def _answer(question: Question, number: int, known: Known, setting: Setting, beside: Path) -> str:
    from kitplan.recce.answers import NotUnderstood
    from kitplan.recce.files import require_kit, with_file

    default = question.default(known, setting)
    typer.echo(f"\n{number}. {question.ask}\n   e.g. {question.example}", err=True)
    while True:
        text = typer.prompt("  ", default=default, err=True)
        try:
            text = with_file(question.id, text, Path())
            if question.id == "kit":
                require_kit(text, beside)
            found = question.read(text, known, setting)
            if question.id in LISTS and text != default and len(found) == 1 and "\n" not in text:
                text = _and_more(text)
                found = question.read(text, known, setting)
            known[question.id] = found
            return text
        except NotUnderstood as error:
            typer.echo(f"   {error}.", err=True)


def _and_more(first: str) -> str:
    """Return a list that comes one a line, as it is pasted: to the first empty line."""
    lines = [first]
    while more := typer.prompt("   next, Enter ends", default="", show_default=False, err=True):
        lines.append(more)
    return "\n".join(lines)


def recce(
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="FILE", help="Write the form as a file to fill in.", show_default=False
        ),
    ] = None,
) -> None:
    """Print the form for the recce: what to measure, in the order in which one walks the room.

    With --out it is a file whose answers `kitplan new --answers` reads.

    Example: kitplan recce

    Example: kitplan recce --out recce.yaml
    """
    from kitplan.recce.files import setting_here, write_form
    from kitplan.recce.form import form_text

    if out is None:
        typer.echo(form_text())
        return
    write_form(out, setting_here())
    typer.echo(f"Wrote {out}. Fill it in, then: kitplan new my-show.yaml --answers {out}")
