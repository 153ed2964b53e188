"""Rows of a model as a matrix: the same whichever way they are read."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator

import pytest
from ortools.sat.python import cp_model

from kitplan.allocate import matrix
from kitplan.allocate.matrix import Matrix, rows_of
from tests.allocate.test_part import random_model


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("since", [0, 3])
def test_rows_are_the_same_bit_by_bit(
    seed: int, since: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All at once, a few at a time, and where nothing can be written to a file."""
    model, *_ = random_model(seed)
    whole = _plain(rows_of(model, since=since))
    assert len(whole[0]) >= 4
    monkeypatch.setattr(matrix, "CHUNK", 2)
    assert _plain(rows_of(model, since=since)) == whole
    monkeypatch.setattr(tempfile, "tempdir", "/nowhere/at/all")
    assert _plain(rows_of(model, since=since)) == whole


def test_rows_are_those_that_were_asked_for() -> None:
    """A linear row with two ends, one that holds while a decision is taken, a clique."""
    model = cp_model.CpModel()
    x = model.new_int_var(0, 9, "x")
    a, b = model.new_bool_var("a"), model.new_bool_var("b")
    model.add_linear_constraint(2 * x - a, -1, 7)
    model.add(x <= 4).only_enforce_if(b)
    model.add_at_most_one([a, b.negated()])
    found = rows_of(model)
    assert list(_rows(found)) == [
        ({0: 2.0, 1: -1.0}, -1.0, 7.0),
        ({0: 1.0, 2: 5.0}, -matrix.INFINITE, 9.0),
        ({1: 1.0, 2: -1.0}, -matrix.INFINITE, 0.0),
    ]


@pytest.mark.parametrize("is_read_anyway", [False, True])
def test_a_row_of_another_kind_is_told(
    is_read_anyway: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody is given a weaker model without notice."""
    if is_read_anyway:
        monkeypatch.setattr(tempfile, "tempdir", "/nowhere/at/all")
    model = cp_model.CpModel()
    model.add_all_different([model.new_int_var(0, 2, name) for name in "xyz"])
    with pytest.raises(ValueError, match="not linear"):
        rows_of(model)


def _plain(found: Matrix) -> list[list[float]]:
    parts = (found.starts, found.columns, found.values, found.low, found.high)
    return [list(part) for part in parts]


def _rows(found: Matrix) -> Iterator[tuple[dict[int, float], float, float]]:
    ends = [*found.starts[1:], len(found.columns)]
    for start, end, low, high in zip(found.starts, ends, found.low, found.high, strict=True):
        terms = zip(found.columns[start:end], found.values[start:end], strict=True)
        yield dict(terms), low, high
