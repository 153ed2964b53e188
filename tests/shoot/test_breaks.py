"""Checks of breaks, and of what only plans may keep: what is wrong, the remedy, and the line."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.shoot.small import SHOOT, changed, found

BREAKS = """\
breaks:
- {id: supper, length_min: 30, since: 2027-05-15 16:00, until: 2027-05-15 18:00, people: [ana]}
- {id: tea, length_min: 10, since: 2027-05-15 13:00, until: 2027-05-15 14:00}
"""
NO_GOOD = """\
no_goods:
- {after: closed, before: show, is_proven: true, words: Too much, gap_min: 20, crew: [ana]}
"""


def test_right_breaks_are_taken(tmp_path: Path) -> None:
    assert found(tmp_path, SHOOT + BREAKS) == []


@pytest.mark.parametrize(
    ("old", "new", "wrong", "right"),
    [
        ("id: tea", "id: supper", "the break id 'supper' is given twice", "id of its own"),
        ("people: [ana]", "people: [anna]", "break 'supper' names the person 'anna'", "'ana'"),
        ("13:00, until: 2027-05-15 14:00", "13:00+02:00, until: 2027-05-15 14:00+02:00",
         "until 2027-05-15 14:00+0200 has an offset, other times have none", "Europe/Paris"),
    ],
    ids=["twice", "nobody", "offset"],
)  # fmt: skip
def test_wrong_breaks_are_refused(
    tmp_path: Path, old: str, new: str, wrong: str, right: str
) -> None:
    problems = found(tmp_path, changed(SHOOT + BREAKS, old, new))
    meant = [one for one in problems if wrong in one.problem.wrong]
    assert meant, [str(one.problem) for one in problems]
    assert right in meant[0].problem.right


def test_nobody_writes_no_goods(tmp_path: Path) -> None:
    (problem,) = found(tmp_path, SHOOT + NO_GOOD)
    assert problem.problem.wrong == "no_goods are kept by plans alone"
    assert "Take it out" in problem.problem.right
