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
from kitplan.recce.questions import LISTS, Setting, questions, understood
from kitplan.recce.writing import shoot_text
from kitplan.shoot.reading import default_inventory, kit_at, read_brief
from kitplan.sources import Document, read_text, read_yaml, write_text
from kitplan.tables import folder
from kitplan.wording import Place, file_name, hint

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
        try:
            given[name] = _text_of(document, name, value)
        except NotUnderstood as error:
            line = document.line_of((name,))
            problems.append(Problem(document.file, line, f"{name}: {error.wrong}", error.right))
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


def _text_of(document: Document, name: str, value: object) -> str:
    """Return an answer as text, as it is written in the file; a list has an entry a line.

    Raises:
        NotUnderstood: If it is neither text nor a list of texts.
    """
    if value is None:
        return ""
    places: list[tuple[Place, object]] = [((name,), value)]
    if isinstance(value, list) and name in LISTS:
        places = [((name, number), each) for number, each in enumerate(value)]
    if any(each is None or isinstance(each, list | dict) for _, each in places):
        right = "Write the answer behind the colon, in quotes"
        raise NotUnderstood(
            "that is no text", right if name not in LISTS else f"{right}, or a list"
        )
    return "\n".join(document.texts.get(place, str(each)) for place, each in places)


def with_file(question: str, text: str, beside: Path) -> str:
    """Return an answer, with the text of the file that it names where songs are read from one.

    Raises:
        NotUnderstood: If there is no such file.
    """
    name = text.strip()
    if question != "songs" or "\n" in name or Path(name).suffix.lower() not in SONG_FILES:
        return text
    try:
        found = read_text(beside / name, fallback_encoding="cp1252")
    except BadInput as error:
        raise NotUnderstood(f"{name}: {error.problem}", error.fix) from error
    if not found.strip():
        raise NotUnderstood(f"{name}: the file is empty", "Write a song a line into it")
    return found


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
    example: Path | None = None
    if kit_name.strip().casefold() == EXAMPLE:
        kit_path = path.with_name(f"{path.stem}-kit.yaml")
        given = given | {"kit": kit_path.name}
        example = None if kit_path.exists() else folder("catalog") / f"{EXAMPLE_KIT}.yaml"
    answers, wrong = understood(given, setting)
    if wrong:
        found = [Problem("answers", 0, f"{name}: {e.wrong}", e.right) for name, e in wrong.items()]
        raise BadInput(found)
    kit = kit_at(example or _kit_path(answers.kit or INVENTORY, path.parent))
    text = shoot_text(answers, fitting(kit, answers), time_zone_here())
    _check(path, text, example)
    written = [] if example is None else [_copied(example, kit_path)]
    try:
        write_text(path, text)
    except BaseException:
        for each in written:
            each.unlink(missing_ok=True)
        raise
    return (*written, path)


def _kit_path(name: str, beside: Path) -> Path:
    return default_inventory() if name.casefold() == INVENTORY else beside / name


def _check(path: Path, text: str, kit_path: Path | None) -> None:
    """Refuse a shoot that does not fit together. Its file is not there, so no line is named."""
    try:
        read_brief(path, kit_path, text=text)
    except BadInput as error:
        own = file_name(path)
        found = [
            replace(each, file="the answers", line=0) if each.file == own else each
            for each in error.problems
        ]
        raise BadInput(found) from error


def _copied(example: Path, kit_path: Path) -> Path:
    write_text(kit_path, example.read_text(encoding="utf-8"))
    return kit_path


def write_form(path: Path, setting: Setting) -> None:
    """Write the recce form as a file to fill in.

    Raises:
        SettingError: If there is such a file already, or it cannot be written.
    """
    if path.exists():
        raise SettingError(f"{path} exists already", where="--out", fix="Choose another name")
    write_text(path, answers_text(setting))
