"""`kitplan cases` and `kitplan line-up` from end to end."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from kitplan.cli.main import app
from kitplan.errors import KitplanError, PlanFileError, SettingError
from kitplan.paper.layout import WIDEST_TABLE
from tests.plans import small_plan, written

Run = Callable[..., Any]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Return a function that runs a command on a plan that was solved."""
    written(tmp_path, small_plan())
    return lambda command, *more: CliRunner().invoke(app, [command, str(tmp_path), *more])


@pytest.mark.parametrize("command", ["cases", "line-up"])
def test_the_plan_holds_and_is_printed(run: Run, command: str) -> None:
    """As text no wider than a page, and as JSON."""
    text = run(command)
    assert text.exit_code == 0, text.output
    assert max(map(len, text.stdout.splitlines())) <= WIDEST_TABLE
    assert text.stdout.splitlines()[0].endswith(": Small")
    assert json.loads(run(command, "--json").stdout)


def test_a_kit_without_cases_leaves_everything(run: Run) -> None:
    """And says which bag would do."""
    output = run("cases").stdout
    assert "Does not fit" in output
    assert "No case that is owned takes it: a long bag of" in output


def test_what_was_packed_with_the_plan_is_printed(tmp_path: Path) -> None:
    """The packing that the plan file carries; one that is spoiled ends with 1."""
    from kitplan.produce.day import with_cases

    plan = with_cases(small_plan())
    assert plan.day is not None
    assert plan.day.cases is not None
    written(tmp_path, plan)
    assert CliRunner().invoke(app, ["verify", str(tmp_path)]).exit_code == 0
    (load,) = plan.day.cases.loads
    spoiled = plan.day.cases.model_copy(
        update={"loads": (load.model_copy(update={"left": load.left[1:]}),)}
    )
    day = plan.day.model_copy(update={"cases": spoiled})
    written(tmp_path, plan.model_copy(update={"day": day}))
    for command, words in (("cases", "does not hold"), ("verify", "packed-once")):
        result = CliRunner().invoke(app, [command, str(tmp_path)])
        assert result.exit_code == 1
        assert words in result.output


@pytest.mark.parametrize(
    ("arguments", "error", "words"),
    [
        (("cases", "nothing.json"), PlanFileError, "cannot be read"),
        (("line-up", "nothing.json"), PlanFileError, "cannot be read"),
    ],
)
def test_bad_input_is_refused(
    arguments: tuple[str, ...], error: type[KitplanError], words: str
) -> None:
    """In one line."""
    result = CliRunner().invoke(app, list(arguments))
    assert isinstance(result.exception, error)
    assert words in str(result.exception)


def test_an_unknown_pass_is_refused(run: Run) -> None:
    """With the nearest name."""
    result = run("line-up", "--pass", "shwo")
    assert isinstance(result.exception, SettingError)
    assert "show" in str(result.exception)


@pytest.mark.parametrize("command", ["cases", "packing"])
def test_a_packing_of_what_is_not_there_is_refused(tmp_path: Path, command: str) -> None:
    """Changed by hand."""
    from kitplan.plan.day.cases import CasePlan, PackedCase
    from tests.day.cases.small import packed

    plan = packed()
    assert plan.day is not None
    assert plan.day.cases is not None
    (load,) = plan.day.cases.loads
    strange = PackedCase(case="nowhere-1", units=("cam-1",), used_l=1, gross_kg=1, hands=1)
    spoiled = load.model_copy(update={"cases": (strange,)})
    day = plan.day.model_copy(update={"cases": CasePlan(loads=(spoiled,))})
    written(tmp_path, plan.model_copy(update={"day": day}))
    result = CliRunner().invoke(app, [command, str(tmp_path)])
    assert isinstance(result.exception, PlanFileError)
    assert "the kit has no case nowhere-1" in str(result.exception)
