"""Answers from a file, and the shoot file with its kit, written whole or not at all."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import date
from pathlib import Path

from kitplan.errors import BadInput, Problem, SettingError
from kitplan.recce.answers import NotUnderstood
from kitplan.recce.fitting import fitting
from kitplan.recce.form import answers_text
from kitplan.recce.questions import Setting, questions, understood
from kitplan.recce.writing import shoot_text
from kitplan.shoot.reading import default_inventory, kit_at, read_brief
from kitplan.sources import read_text, read_yaml, write_text
from kitplan.tables import folder
from kitplan.wording import hint

EXAMPLE, INVENTORY = "example", "inventory"
EXAMPLE_KIT = "starter"
"""A small invented kit to begin with."""
SIXTY_HZ = ("America/", "US/", "Canada/", "Asia/Manila", "Asia/Seoul", "Asia/Taipei", "Asia/Riyadh")
"""Time zones whose mains are 60 Hz, most of them; the question asks anyway."""
SONG_FILES = frozenset({".txt", ".csv", ".tsv"})


def setting_here() -> Setting:
    """Return what this machine knows: today, the mains of its time zone, whether there is gear."""
    is_sixty = time_zone_here().startswith(SIXTY_HZ)
    return Setting(date.today(), 60 if is_sixty else 50, default_inventory().exists())


def time_zone_here() -> str:
    """Return the time zone of this machine by its name in the IANA database, else UTC."""
    named = os.environ.get("TZ", "").lstrip(":")
    link = os.path.realpath("/etc/localtime")
    for zone in (named, link.partition("zoneinfo/")[2]):
        if (
            zone
            and zone.replace("/", "").replace("_", "").replace("-", "").replace("+", "").isalnum()
        ):
            return zone
    return "UTC"


def read_answers(path: Path) -> dict[str, str]:
    """Return the answers of a file, by question.

    Raises:
        BadInput: If it is no list of answers, or names a question that there is not.
    """
    document = read_yaml(path)
    known = [question.id for question in questions()]
    if not isinstance(document.data, dict):
        wrong = "this is no form with answers"
        raise BadInput(
            [Problem(document.file, 1, wrong, "Make one with `kitplan recce --out FILE`")]
        )
    problems = [
        Problem(
            document.file,
            document.line_of((name,)),
            f"there is no question '{name}'",
            hint(str(name), known),
        )
        for name in document.data
        if name not in known
    ]
    given: dict[str, str] = {}
    for name, value in document.data.items():
        text = document.texts.get((name,), value)
        given[name] = "\n".join(map(str, text)) if isinstance(text, list) else str(text or "")
    setting = setting_here()
    try:
        given = {name: with_file(name, text, path.parent) for name, text in given.items()}
    except NotUnderstood as error:
        problems.append(
            Problem(document.file, document.line_of(("songs",)), error.wrong, error.right)
        )
    _, wrong_answers = understood(given, setting)
    problems += [
        Problem(document.file, document.line_of((name,)), f"{name}: {error.wrong}", error.right)
        for name, error in wrong_answers.items()
    ]
    if problems:
        raise BadInput(problems)
    return given


def with_file(question: str, text: str, beside: Path) -> str:
    """Return an answer, with the text of the file that it names where songs are read from one.

    Raises:
        NotUnderstood: If there is no such file.
    """
    name = text.strip()
    if question != "songs" or "\n" in name or Path(name).suffix.lower() not in SONG_FILES:
        return text
    try:
        return read_text(beside / name, fallback_encoding="cp1252")
    except BadInput as error:
        raise NotUnderstood(f"{name}: {error.problem}", error.fix) from error


def require_kit(text: str, beside: Path) -> None:
    """Raise where the kit that an answer names is not there.

    Args:
        beside: The folder of the shoot file.
    Raises:
        NotUnderstood: If it cannot be read.
    """
    name = text.strip()
    if name.casefold() == EXAMPLE:
        return
    try:
        kit_at(_kit_path(name, beside))
    except BadInput as error:
        first = error.problems[0]
        raise NotUnderstood(f"{first.file}: {first.wrong}", first.right) from error


def made(given: dict[str, str], setting: Setting, path: Path) -> tuple[Path, ...]:
    """Write the shoot file that answers make, with an example kit beside it where one is asked for.

    Returns:
        What was written. The shoot file is read back with its kit before it counts.
    Raises:
        BadInput: If the answers do not make a shoot.
        SettingError: If a file cannot be written.
    """
    kit_name = given.get("kit") or (INVENTORY if setting.has_inventory else EXAMPLE)
    written: list[Path] = []
    if kit_name.strip().casefold() == EXAMPLE:
        kit_path = path.with_name(f"{path.stem}-kit.yaml")
        given = given | {"kit": kit_path.name}
        if not kit_path.exists():
            example = folder("catalog") / f"{EXAMPLE_KIT}.yaml"
            write_text(kit_path, example.read_text(encoding="utf-8"))
            written.append(kit_path)
    answers, wrong = understood(given, setting)
    if wrong:
        found = [Problem("answers", 0, f"{name}: {e.wrong}", e.right) for name, e in wrong.items()]
        raise BadInput(found)
    kit = kit_at(_kit_path(answers.kit or INVENTORY, path.parent))
    _write_checked(path, shoot_text(answers, fitting(kit, answers), time_zone_here()))
    return (*written, path)


def _kit_path(name: str, beside: Path) -> Path:
    return default_inventory() if name.casefold() == INVENTORY else beside / name


def _write_checked(path: Path, text: str) -> None:
    """Write a shoot file that reads well together with its kit, or nothing."""
    part = path.with_name(f".{path.name}")
    write_text(part, text)
    try:
        read_brief(part)
        part.replace(path)
    except BadInput as error:
        raise BadInput([replace(each, file=path.name) for each in error.problems]) from error
    except OSError as error:
        reason = error.strerror or str(error)
        raise SettingError(
            f"it cannot be written ({reason})", where=str(path), fix="Choose another folder"
        ) from error
    finally:
        part.unlink(missing_ok=True)


def write_form(path: Path, setting: Setting) -> None:
    """Write the recce form as a file to fill in.

    Raises:
        SettingError: If there is such a file already, or it cannot be written.
    """
    if path.exists():
        raise SettingError(f"{path} exists already", where="--out", fix="Choose another name")
    write_text(path, answers_text(setting))
