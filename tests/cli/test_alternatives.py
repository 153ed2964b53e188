"""`kitplan plan --alternatives` from end to end on a tiny shoot: one camera, three places."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from kitplan.cli.main import app
from kitplan.errors import PlanFileError
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.plan.alternatives import places_of
from kitplan.plan.files import read_plan
from kitplan.plan.verify import verify
from tests.small import position, small_brief, small_kit

LINE = "1 of 1 camera stands elsewhere (show: "


@pytest.fixture(autouse=True)
def _elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Commands write into the current folder; keep them out of the checkout."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("KITPLAN_DB", raising=False)


def planned(*options: str, **parts: Any) -> Result:
    """Plan a shoot with one camera and return what was printed."""
    brief = small_brief(small_kit(counts={"cam": 1}), **parts)
    for name, record in (("shoot", brief.shoot), ("kit", brief.kit)):
        text = record.model_dump_json(by_alias=True, exclude_none=True)
        Path(f"{name}.yaml").write_text(text, encoding="utf-8")
    arguments = ["plan", "shoot.yaml", "--kit", "kit.yaml", "--seconds", "4", *options]
    return CliRunner().invoke(app, arguments)


def test_two_alternatives_come_with_a_plan() -> None:
    """A line each, a folder each inside the plan's, no table; each is a plan that holds."""
    result = planned()
    assert result.exit_code == 0, result.output
    words = " ".join(result.stdout.split())
    assert words.count(LINE) == 2
    assert "proven as different as possible" in words
    assert "Where cameras stand" not in words
    assert "Looking for alternatives, at most about 4 s" in result.stderr
    folders = ["shoot-plan", "shoot-plan/alternative-1", "shoot-plan/alternative-2"]
    plans = [read_plan(Path(folder)) for folder in folders]
    assert [verify(plan) for plan in plans] == [(), (), ()]
    assert len({frozenset(places_of(plan)) for plan in plans}) == 3
    assert all(f"{folder}/shoot.json" in result.stdout for folder in folders)


@pytest.mark.parametrize(
    ("options", "plans"), [(("--alternatives", "1"), 2), (("--detail",), 3)], ids=["number", "all"]
)
def test_the_table_comes_where_it_is_asked_for(options: tuple[str, ...], plans: int) -> None:
    """By a number of alternatives, or with all detail: a row for each place, marked."""
    result = planned(*options)
    assert result.exit_code == 0, result.output
    assert "Where cameras stand, show" in result.stdout
    rows = [line.split() for line in result.stdout.splitlines() if line.startswith("*   ")]
    assert len({row[1] for row in rows} & {"front", "left", "right"}) == len(rows) == plans
    assert max(map(len, result.output.splitlines())) <= WIDEST_TABLE


def test_more_than_there_are() -> None:
    """All that there are, and why there are no more."""
    result = planned("--alternatives", "5")
    assert result.exit_code == 0, result.output
    words = " ".join(result.stdout.split())
    assert words.count(LINE) == 2
    assert "There is no other: proven" in words


def test_none_where_there_is_none() -> None:
    """One place."""
    result = planned(positions=(position("front"),))
    assert result.exit_code == 0, result.output
    assert "There is none: proven" in result.stdout
    assert not Path("shoot-plan/alternative-1").exists()


def test_none_where_none_is_wanted() -> None:
    """Nothing is looked for, nothing said."""
    result = planned("--alternatives", "0")
    assert result.exit_code == 0, result.output
    assert "lternative" not in result.output


def test_json_carries_all_and_is_read_as_a_plan() -> None:
    """The plan's own keys, and the alternatives beside them."""
    result = planned("--json")
    assert result.exit_code == 0, result.output
    data = json.loads(result.stdout)
    others = data["alternatives"]
    assert others["ending"] == "all-found"
    assert [one["left"] for one in others["found"]] == [[1], [1, 1]]
    assert all(read_plan(Path(one["file"])) for one in others["found"])
    assert all(LINE in one["words"] for one in others["found"])
    cameras = [[len(plan) for plan in row["cameras"]] for row in others["differences"]]
    assert sorted(cameras) == [[0, 0, 1], [0, 1, 0], [1, 0, 0]]
    Path("printed.json").write_text(result.stdout, encoding="utf-8")
    assert read_plan(Path("printed.json")) == read_plan(Path("shoot-plan"))


def test_alternatives_to_an_earlier_plan_are_set_aside() -> None:
    """What lies beside a plan belongs to it."""
    planned()
    assert planned("--alternatives", "1").exit_code == 0
    second = Path("shoot-plan/alternative-2")
    assert [path.name for path in second.iterdir()] == ["shoot.json.earlier"]
    first = Path("shoot-plan/alternative-1")
    assert sorted(path.name for path in first.iterdir()) == ["shoot.json", "shoot.json.earlier"]


def test_a_folder_that_is_a_file_is_said() -> None:
    """The plan itself is written by then."""
    Path("shoot-plan").mkdir()
    Path("shoot-plan/alternative-1").write_text("", encoding="utf-8")
    result = planned()
    assert isinstance(result.exception, PlanFileError)
    assert "the plan cannot be written" in str(result.exception)
    assert read_plan(Path("shoot-plan"))


@pytest.mark.parametrize("number", ["-1", "21", "two"])
def test_a_wrong_number_is_refused(number: str) -> None:
    """With what would be right."""
    result = planned("--alternatives", number)
    assert result.exit_code == 2
    assert "--alternatives" in result.output


def test_a_faulty_alternative_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """An alternative is checked like any plan, and status 1 says so."""
    from kitplan.plan.verify import Finding

    def found(plan: Any) -> tuple[Finding, ...]:
        return (Finding("light", "somewhere", "too dark", "More"),) if plan.keeps_letters else ()

    monkeypatch.setattr("kitplan.produce.whole.verify", found)
    result = planned("--alternatives", "1")
    assert result.exit_code == 1
    assert "Alternative 1: " in result.stderr
    assert "too dark" in result.stderr
