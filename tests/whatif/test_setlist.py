"""The file of a changed set list: one song a line, forgiving in form, strict in names and times."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitplan.errors import BadInput
from kitplan.shoot.records import Shoot
from kitplan.whatif.setlist import read_order
from tests.small import small_shoot, song

Row = tuple[str, float | None, float | None]


def shoot() -> Shoot:
    """Return four songs, one with a comma in its name, two of one name."""
    return small_shoot(
        songs=(
            song("opener", name="The Opener"),
            song("well", name="Well, well"),
            song("reel-1", name="Reel"),
            song("reel-2", name="Reel"),
        )
    )


def read(folder: Path, text: str | bytes) -> list[Row]:
    """Write a file and return what is read from it."""
    path = folder / "order.txt"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return [(each.song.id, each.length_s, each.gap_s) for each in read_order(path, shoot())]


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("well\nopener\n", [("well", None, None), ("opener", None, None)]),
        ("# tonight\n\n  THE OPENER  \r\nwell", [("opener", None, None), ("well", None, None)]),
        ("Well, well\n", [("well", None, None)]),
        ('"Well, well", 340, 30', [("well", 340, 30)]),
        ("Well, well; 340,5; 30", [("well", 340.5, 30)]),
        ("reel-2,5:40,", [("reel-2", 340, None)]),
        ("reel-2\t1:00:00.5\t0", [("reel-2", 3600.5, 0)]),
        (
            "1. opener\n2) reel-1\n3 reel-2",
            [(s, None, None) for s in ("opener", "reel-1", "reel-2")],
        ),
        ("\ufeffopener", [("opener", None, None)]),
        ("song,length,gap\nopener,340,30\nwell", [("opener", 340, 30), ("well", None, None)]),
        ("Title;key;gap_s;length_s\nopener;Bb;5;200", [("opener", 200, 5)]),
        ("name\nopener", [("opener", None, None)]),
    ],
)
def test_what_is_read(tmp_path: Path, text: str, rows: list[Row]) -> None:
    """Ids, names, numbers in front, lengths, gaps, columns."""
    assert read(tmp_path, text) == rows


def test_a_song_called_song(tmp_path: Path) -> None:
    """Is one, and no heading."""
    path = tmp_path / "order.txt"
    path.write_text("song\n")
    found = read_order(path, small_shoot(songs=(song("song"), song("other"))))
    assert [each.song.id for each in found] == ["song"]


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("openr", 1, "there is no song 'openr'. Did you mean 'opener'"),
        ("well\nThe Opner", 2, "Did you mean 'The Opener'"),
        ("Reel", 1, "there is no song 'Reel'"),
        (",340", 1, "the line names no song"),
        ("well\nopener\nwell", 3, "'well' stands here and on line 1"),
        ("well, long", 1, "the length 'long' is no time"),
        ("well, 0", 1, "the length '0' is no time"),
        ("well, 340, -5", 1, "the gap '-5' is no time"),
        ("well, 90000", 1, "Give seconds from 1 to 86400"),
        ("well, 5:75", 1, "is no time"),
        ("well, inf", 1, "is no time"),
        ('"well', 1, "the line cannot be read"),
        ("# nothing\n\n", 0, "the file lists no song"),
        (b"\x00\x01", 1, "control character"),
    ],
)
def test_what_is_wrong(tmp_path: Path, text: str | bytes, line: int, words: str) -> None:
    """One clear line: where, what, what would be right."""
    with pytest.raises(BadInput) as caught:
        read(tmp_path, text)
    (problem,) = caught.value.problems
    assert problem.line == line
    assert words in str(problem)


def test_every_problem_is_told(tmp_path: Path) -> None:
    """All at once."""
    with pytest.raises(BadInput) as caught:
        read(tmp_path, "one\nwell\ntwo\n")
    assert [problem.line for problem in caught.value.problems] == [1, 3]


def test_no_such_file(tmp_path: Path) -> None:
    """Says so."""
    with pytest.raises(BadInput, match="there is no such file"):
        read_order(tmp_path / "nothing.txt", shoot())
