"""The set list as it is handed over late on the day: a file of songs in their new order.

One song a line, by id or name; a number in front of it does not count. After it, with commas,
semicolons or tabs between them, may stand a new length and a new gap (`cobbles, 340, 30`; also
`5:40`). A first line `song, length, gap` names columns instead, and others are passed over. Lines
that begin with # are comments.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

from kitplan.errors import BadInput, Problem
from kitplan.shoot.records import Shoot, Song
from kitplan.sources import read_text
from kitplan.wording import file_name, nearest, plain

EXAMPLE = "cobbles, 340, 30"
LONGEST_S = 86_400
_NUMBER = re.compile(r"\s*\d+\s*[.):]?\s+")
_CLOCK = re.compile(r"(?:(\d{1,2}):)?(\d{1,4}):([0-5]\d(?:[.,]\d+)?)")
_SECONDS = re.compile(r"\d+(?:[.,]\d+)?")
_SONG, _LENGTH, _GAP = ("song", "id", "name", "title"), ("length_s", "length"), ("gap_s", "gap")


@dataclass(frozen=True)
class Listed:
    """A song of the new order; None leaves length or gap as it was."""

    song: Song
    length_s: float | None = None
    gap_s: float | None = None


def read_order(path: Path, shoot: Shoot) -> tuple[Listed, ...]:
    """Return the songs that a file lists.

    Raises:
        BadInput: With everything that is wrong in it.
    """
    found: list[Listed] = []
    lines: dict[str, int] = {}
    problems: list[Problem] = []
    for line, cells in _rows(path, shoot):
        try:
            listed = _listed(path, line, cells, shoot)
        except BadInput as error:
            problems += error.problems
            continue
        if listed.song.id in lines:
            wrong = f"'{listed.song.id}' stands here and on line {lines[listed.song.id]}"
            right = "List each song once"
            problems.append(Problem(file_name(path), line, wrong, right))
        lines.setdefault(listed.song.id, line)
        found.append(listed)
    if problems:
        raise BadInput(problems)
    if not found:
        right = f"List the songs in their new order, one a line, such as {EXAMPLE}"
        raise BadInput([Problem(file_name(path), 0, "the file lists no song", right)])
    return tuple(found)


def _rows(path: Path, shoot: Shoot) -> Iterator[tuple[int, tuple[str, str, str]]]:
    """Yield line number, song, length and gap as they are written."""
    columns: tuple[int | None, ...] | None = None
    is_first = True
    for line, text in enumerate(read_text(path, fallback_encoding="cp1252").split("\n"), 1):
        if not text.strip() or text.lstrip().startswith("#"):
            continue
        if _find(shoot, text.strip()) is not None:  # a name may hold commas of its own
            cells = [text.strip()]
        else:
            cells = _cells(path, line, text)
        if is_first and cells and cells[0].casefold() in _SONG and _find(shoot, cells[0]) is None:
            columns = _columns(cells)
        elif columns is not None and len(cells) > 1:
            cell_of = dict(enumerate(cells))
            yield line, tuple(cell_of.get(at, "") if at is not None else "" for at in columns)  # type: ignore[misc]
        else:
            song, length, gap, *_ = (*cells, "", "")
            yield line, (song, length, gap)
        is_first = False


def _columns(header: Sequence[str]) -> tuple[int | None, ...]:
    """Return where song, length and gap stand; None where there is no such column."""
    names = [name.casefold() for name in header]
    return tuple(
        next((at for at, name in enumerate(names) if name in known), None)
        for known in (_SONG, _LENGTH, _GAP)
    )


def _cells(path: Path, line: int, text: str) -> list[str]:
    delimiter = next((mark for mark in ";\t" if mark in text), ",")
    try:
        cells = next(csv.reader(StringIO(text), delimiter=delimiter, strict=True))
    except csv.Error as error:
        right = "Check the quotes; a quote inside a cell is written twice"
        wrong = f"the line cannot be read ({error})"
        raise BadInput([Problem(file_name(path), line, wrong, right)]) from error
    return [cell.strip() for cell in cells]


def _listed(path: Path, line: int, cells: Sequence[str], shoot: Shoot) -> Listed:
    name, length, gap = cells
    song = _find(shoot, name)
    if song is None:
        song = _find(shoot, _NUMBER.sub("", f"{name}", count=1))
    if song is None:
        wrong = f"there is no song '{plain(name)}'" if name else "the line names no song"
        raise BadInput([Problem(file_name(path), line, wrong, _hint(name, shoot))])
    return Listed(
        song,
        _seconds(path, line, length, "length", least=1.0),
        _seconds(path, line, gap, "gap", least=0.0),
    )


def _hint(name: str, shoot: Shoot) -> str:
    """Return the nearest of all ids and of the names of one song, and the ids that are known."""
    labels = [song.label for song in shoot.songs]
    near = nearest(
        name, {*shoot.songs_by_id, *(each for each in labels if labels.count(each) == 1)}
    )
    listed = f"Known here: {', '.join(sorted(shoot.songs_by_id))}"
    return f"Did you mean '{near}'? {listed}" if near else listed


def _find(shoot: Shoot, name: str) -> Song | None:
    """Return the song of an id or, if it is of one song only, a name, without regard to case."""
    wanted = name.casefold()
    by_id = [song for song in shoot.songs if song.id.casefold() == wanted]
    found = by_id or [song for song in shoot.songs if song.label.casefold() == wanted]
    return found[0] if len(found) == 1 else None


def _seconds(path: Path, line: int, text: str, what: str, *, least: float) -> float | None:
    """Return a time in seconds, also one written as minutes:seconds; None where there is none."""
    if not text:
        return None
    seconds = None
    if _SECONDS.fullmatch(text):
        seconds = float(text.replace(",", "."))
    elif clock := _CLOCK.fullmatch(text):
        hours, minutes, rest = clock.groups(default="0")
        seconds = int(hours) * 3600 + int(minutes) * 60 + float(rest.replace(",", "."))
    if seconds is None or not least <= seconds <= LONGEST_S:
        wrong = f"the {what} '{plain(text)}' is no time"
        right = f"Give seconds from {least:g} to {LONGEST_S}, or minutes such as 5:40"
        raise BadInput([Problem(file_name(path), line, wrong, right)])
    return seconds
