"""Answers about the plan, kept as long as it is the same."""

from __future__ import annotations

from itertools import count

import pytest

from kitplan.web.memo import Memo


def test_an_answer_is_worked_out_once_for_each_state() -> None:
    """Another state of the plan forgets everything."""
    memo, answers = Memo(), count()
    found = [memo.get(stamp, "songs", lambda: next(answers)) for stamp in ("a", "a", "b", "a")]
    assert found == [0, 0, 1, 2]


def test_questions_without_an_answer_are_forgotten() -> None:
    """Whoever asks for cameras that there are not fills no memory."""
    memo = Memo()
    for number in range(100):
        with pytest.raises(ZeroDivisionError):
            memo.get("a", number, lambda: 1 / 0)
    assert memo._slots == {}
    assert memo.get("a", 0, lambda: "found") == "found"
