"""Answers that lie beside a plan: found by name, refused where they belong to another."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from kitplan.errors import PlanFileError
from kitplan.paper.pack.beside import (
    mark_of_plan,
    mark_of_shoot,
    read_beside,
    with_beside,
    write_beside,
)
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.plan.files import read_plan
from kitplan.plan.records import Plan
from kitplan.shoot.reading import read_brief
from kitplan.tables import scenario
from tests.plans import small_plan, written
from tests.stored import stored_plan

NOTHING: dict[str, Any] = {"losses": []}


def told(source: Source, path: Path) -> tuple[Source, list[str]]:
    """Return a source with what lies beside its plan, and what was said about that."""
    lines: list[str] = []
    return with_beside(source, path, lines.append), lines


@pytest.fixture
def plan_path(tmp_path: Path) -> Path:
    """Return a plan file."""
    return written(tmp_path)


def test_an_answer_beside_the_plan_is_found_by_its_name(plan_path: Path) -> None:
    """By the file or by its folder, which still counts as a folder with one plan."""
    plan = small_plan()
    write_beside(plan_path.with_name("plan-fallback.json"), "fallback", mark_of_plan(plan), NOTHING)
    for path in (plan_path, plan_path.parent):
        found, lines = told(Source(read_plan(path), Setting()), path)
        assert found.fallback is not None
        assert (found.schedules, found.gains, lines) == (None, None, [])


def test_an_answer_to_another_plan_is_left_out_with_a_word(plan_path: Path) -> None:
    """The papers are made without it."""
    other = small_plan().model_copy(update={"title": "Another"})
    path = plan_path.with_name("plan-fallback.json")
    write_beside(path, "fallback", mark_of_plan(other), NOTHING)
    found, (line,) = told(Source(small_plan(), Setting()), plan_path)
    assert found.fallback is None
    assert line == (
        f"not used: {path}: it belongs to another plan. Make it again with `kitplan fallback PLAN "
        f"--out plan-fallback.json`"
    )


def test_an_answer_that_is_named_by_hand_has_to_fit(plan_path: Path) -> None:
    """It is used from anywhere, or refused."""
    path = plan_path.with_name("elsewhere.json")
    source = Source(small_plan(), Setting())
    write_beside(path, "fallback", mark_of_plan(small_plan()), NOTHING)
    given = with_beside(source, plan_path, pytest.fail, {"fallback": path})
    assert given.fallback is not None
    write_beside(path, "fallback", "0123", NOTHING)
    with pytest.raises(PlanFileError, match="belongs to another plan"):
        with_beside(source, plan_path, pytest.fail, {"fallback": path})


def test_a_plan_keeps_its_answers_when_its_day_is_worked_out() -> None:
    """But not when a camera moves."""
    plan = stored_plan("school-dance")
    assert mark_of_plan(plan) == mark_of_plan(plan.model_copy(update={"day": None}))
    fewer = plan.model_copy(update={"placements": plan.placements[1:]})
    assert mark_of_plan(plan) != mark_of_plan(fewer)


def test_a_plan_knows_the_shoot_that_it_was_made_from() -> None:
    """Schedules and gains are asked of the shoot file; kit and shoot count, the plan's notes do
    not.
    """
    plan, brief = stored_plan("school-dance"), read_brief(scenario("school-dance"))
    shoot = plan.shoots["school-dance"]
    mark = mark_of_shoot(brief.shoot, brief.kit)
    assert mark == mark_of_shoot(shoot, plan.kit)
    assert mark != mark_of_shoot(shoot.model_copy(update={"title": "Another"}), plan.kit)
    fewer = plan.kit.model_copy(update={"units": plan.kit.units[1:]})
    assert mark != mark_of_shoot(shoot, fewer)


def spoiled(plan: Plan, **changes: Any) -> str:
    """Return the text of an answer with some of its head changed."""
    data = {
        "format": "kitplan-beside",
        "version": 1,
        "kind": "fallback",
        "of": mark_of_plan(plan),
        "found": NOTHING,
    }
    return json.dumps({**data, **changes})


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "is not JSON"),
        ("[]", "no answer of `kitplan fallback"),
        (spoiled(small_plan(), kind="gains"), "no answer of `kitplan fallback"),
        (spoiled(small_plan(), version=2), "another kitplan has written it"),
        (spoiled(small_plan(), found=None), "damaged at its content"),
        (spoiled(small_plan(), found={"losses": [{"kind": "item"}]}), "damaged at losses.0.label"),
    ],
    ids=["no-json", "a-list", "another-kind", "newer", "empty", "cut"],
)
def test_a_broken_answer_is_bad_input(tmp_path: Path, text: str, words: str) -> None:
    """One clear line: where, what is wrong, what would be right."""
    path = tmp_path / "answer.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(PlanFileError, match=words) as error:
        read_beside(path, "fallback", small_plan())
    assert str(error.value).startswith(f"{path}: ")


def test_an_answer_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    """Where it cannot be written the folder stays as it was."""
    with pytest.raises(PlanFileError, match="cannot be written"):
        write_beside(tmp_path / "no" / "answer.json", "fallback", "0", NOTHING)
    assert list(tmp_path.iterdir()) == []
    write_beside(tmp_path / "answer.json", "fallback", "0", NOTHING)
    assert [path.name for path in tmp_path.iterdir()] == ["answer.json"]
