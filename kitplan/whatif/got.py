"""What was got in the passes that are over: a short file, written on the hall floor.

Rows of pass, camera, song and result (got, spoiled or not run), as a YAML list or a CSV table with
these columns. Without a camera a row is for all of them, without a song for the whole pass; later
rows win, and what no row speaks of was got as planned.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from kitplan.checked import validated
from kitplan.errors import BadInput, Problem, SettingError
from kitplan.gear.records import Name, Record
from kitplan.plan.records import Placement, Plan
from kitplan.shoot.past import Past, Stood, WasHeld
from kitplan.shoot.records import Pass, Shoot, Song
from kitplan.sources import read_text, read_yaml
from kitplan.wording import Place, file_name, hint, plain, shown

COLUMNS = ("pass", "camera", "song", "result")
EXAMPLE = "- {pass: closed-run, camera: B, song: opener, result: spoiled}"


def _with_hyphen(given: Any) -> Any:
    """People write 'not run' and 'Not_run'."""
    return "-".join(given.replace("_", " ").casefold().split()) if isinstance(given, str) else given


class Row(Record):
    """One line of the file."""

    pass_: Name = Field(alias="pass")
    camera: Name | None = None
    song: Name | None = None
    result: Annotated[Literal["got", "spoiled", "not-run"], BeforeValidator(_with_hyphen)]


@dataclass(frozen=True)
class _Line:
    """A row and where it stands."""

    row: Row
    file: str
    line: int

    def problem(self, wrong: str, right: str) -> BadInput:
        return BadInput([Problem(self.file, self.line, wrong, right)])


def read_past(path: Path, plan: Plan) -> Past:
    """Return what a file says of a plan of one shoot: every pass up to the last one that it names
    is over. What the plan knows of the past already stays.

    Raises:
        BadInput: With everything that is wrong in the file.
        SettingError: If no pass is left to plan.
    """
    ((shoot_id, shoot),) = plan.shoots.items()
    missed: dict[tuple[str, str], set[str]] = {}
    named: set[str] = set()
    problems: list[Problem] = []
    for line in _lines(path):
        try:
            each = _pass_of(line, shoot)
            named.add(each.id)
            letters = _letters_of(line, plan.placements_in(f"{shoot_id}/{each.id}"), each)
            songs = [song.id for song in _songs_of(line, shoot, each)]
        except BadInput as error:
            problems += error.problems
            continue
        for letter in letters:
            own = missed.setdefault((each.id, letter), set())
            own.difference_update(songs)
            if line.row.result != "got":
                own.update(songs)
    if problems:
        raise BadInput(problems)
    return _past(path, plan, shoot_id, named, missed)


def _past(
    path: Path,
    plan: Plan,
    shoot_id: str,
    named: set[str],
    missed: dict[tuple[str, str], set[str]],
) -> Past:
    shoot = plan.shoots[shoot_id]
    order = [each.id for each in shoot.passes]
    named |= set(shoot.past.passes)
    over = order[: max(map(order.index, named)) + 1]
    if len(over) == len(order):
        raise SettingError(
            "every pass is over, so nothing is left to plan",
            where=f"--got {path}",
            fix="Leave out the passes that are still to come",
        )
    stood = []
    for each in over:
        for placement in plan.placements_in(f"{shoot_id}/{each}"):
            known = shoot.past.stood_with(each, placement.rig.body)
            before = known.missed if known else ()
            own = missed.get((each, placement.letter), before)
            songs = tuple(s.id for s in shoot.songs if s.id in own)
            held = known.held if known else was_held(plan, placement)
            stood.append(stood_of(placement, songs, held))
    return Past(passes=tuple(over), stood=tuple(stood), lost_units=shoot.past.lost_units)


def stood_of(
    placement: Placement, missed: tuple[str, ...], held: tuple[WasHeld, ...] = ()
) -> Stood:
    """Return a placement of a pass that is over, with the songs that it has not got and what it
    held.
    """
    rig = placement.rig
    return Stood(
        in_pass=placement.pass_id.partition("/")[2],
        position=placement.position,
        letter=placement.letter,
        body=rig.body,
        mode=rig.mode,
        lens=rig.lens,
        adapter=rig.adapter,
        head=rig.head,
        support=rig.support,
        operator=placement.operator,
        subject=placement.shot.subject,
        size=placement.shot.size,
        roles=placement.roles,
        menu=tuple((framing.subject, framing.size) for framing in placement.menu),
        batteries=placement.batteries,
        cards=placement.cards,
        accessories=placement.accessories,
        missed=missed,
        held=held,
    )


def was_held(plan: Plan, placement: Placement) -> tuple[WasHeld, ...]:
    """Return what the shot sheet of a placement says; nothing where there is none."""
    sheets = () if plan.day is None or plan.day.shots is None else plan.day.shots.sheets
    return tuple(
        WasHeld(song=row.song, moment=moment, subject=shot.subject, size=shot.size)
        for sheet in sheets
        if (sheet.pass_id, sheet.letter) == (placement.pass_id, placement.letter)
        for row in sheet.songs
        for moment, shot in ((None, row.shot), *((cue.moment, cue.shot) for cue in row.cues))
    )


# -- names -----------------------------------------------------------------------------------------


def _pass_of(line: _Line, shoot: Shoot) -> Pass:
    name = line.row.pass_
    for each in shoot.passes:
        if name.casefold() in (each.id.casefold(), each.label.casefold()):
            return each
    raise line.problem(f"there is no pass '{plain(name)}'", hint(name, shoot.passes_by_id))


def _letters_of(line: _Line, there: tuple[Placement, ...], each: Pass) -> tuple[str, ...]:
    name = line.row.camera
    letters = tuple(placement.letter for placement in there)
    if name is None:
        return letters
    found = tuple(letter for letter in letters if letter.casefold() == name.casefold())
    if not found:
        wrong = f"there is no camera '{plain(name)}' in pass '{each.id}'"
        raise line.problem(wrong, hint(name, letters))
    return found


def _songs_of(line: _Line, shoot: Shoot, each: Pass) -> tuple[Song, ...]:
    name, songs = line.row.song, shoot.run_songs(each)
    if name is None:
        return songs
    wanted = name.casefold()
    found = tuple(s for s in shoot.songs if wanted in (s.id.casefold(), s.label.casefold()))
    if not found:
        raise line.problem(f"there is no song '{plain(name)}'", hint(name, shoot.songs_by_id))
    if found[0] not in songs:
        wrong = f"song '{found[0].id}' was not to be run in pass '{each.id}'"
        raise line.problem(wrong, hint(name, (song.id for song in songs)))
    return found[:1]


# -- the file --------------------------------------------------------------------------------------


def _lines(path: Path) -> list[_Line]:
    """Return the rows of a file.

    Raises:
        BadInput: If it is neither YAML nor CSV, empty, or if rows are wrong for themselves.
    """
    readers = {".yaml": _yaml_rows, ".yml": _yaml_rows, ".csv": _csv_rows}
    if path.suffix.lower() not in readers:
        wrong = f"files with the ending '{plain(path.suffix)}' are not read"
        raise BadInput([Problem(file_name(path), 0, wrong, "Save it as .csv or .yaml")])
    found: list[_Line] = []
    problems: list[Problem] = []
    for data, line_of, text_of in readers[path.suffix.lower()](path):
        try:
            file = file_name(path)
            row = validated(Row, data, file=file, line_of=line_of, text_of=text_of)
            found.append(_Line(row, file, line_of(())))
        except BadInput as error:
            problems += error.problems
    if problems:
        raise BadInput(problems)
    if not found:
        right = f"Write what was got, such as {EXAMPLE}"
        raise BadInput([Problem(file_name(path), 0, "the file has no rows", right)])
    return found


Read = tuple[Any, Callable[[Place], int], Callable[[Place], str | None]]
"""A row's data, the line of a place in it, and its source text."""


def _yaml_rows(path: Path) -> Iterator[Read]:
    document = read_yaml(path)
    if not isinstance(document.data, list):
        wrong, right = "this is not a list of rows", f"Write lines such as {EXAMPLE}"
        raise BadInput([Problem(document.file, 1, wrong, right)])
    for index, data in enumerate(document.data):
        if not isinstance(data, dict):
            wrong, line = f"{shown(data)} is not a row", document.line_of((index,))
            problem = Problem(document.file, line, wrong, f"Write it as {EXAMPLE}")
            raise BadInput([problem])
        yield (
            data,
            lambda place, index=index: document.line_of((index, *place)),  # type: ignore[misc]
            lambda place, index=index: document.texts.get((index, *place)),  # type: ignore[misc]
        )


def _csv_rows(path: Path) -> Iterator[Read]:
    text, file = read_text(path, fallback_encoding="cp1252"), file_name(path)
    first_line = text.split("\n", 1)[0]
    delimiter = max(",;\t", key=first_line.count)
    reader = csv.reader(StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        header = [name.strip().casefold() for name in next(reader, [])]
        if sorted(header) != sorted(COLUMNS):
            right = f"Let the first line be {delimiter.join(COLUMNS)}"
            wrong = f"the columns are {', '.join(map(plain, header)) or 'none'}"
            raise BadInput([Problem(file, 1, wrong, right)])
        line = reader.line_num + 1
        for cells in reader:
            row_line, line = line, reader.line_num + 1
            if any(cell.strip() for cell in cells):
                if len(cells) > len(header):
                    wrong = f"the row has {len(cells)} cells but the table has {len(header)}"
                    right = f"Put cells that contain {delimiter!r} in quotes"
                    raise BadInput([Problem(file, row_line, wrong, right)])
                pairs = zip(header, (cell.strip() for cell in cells), strict=False)
                data = {name: cell for name, cell in pairs if cell}
                yield data, lambda _, at=row_line: at, lambda _: None  # type: ignore[misc]
    except csv.Error as error:
        right = "Check the quotes; a quote inside a cell is written twice"
        wrong = f"this is not a CSV table ({error})"
        raise BadInput([Problem(file, reader.line_num, wrong, right)]) from error
