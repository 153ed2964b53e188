"""`kitplan restarts` and `kitplan coverage` from end to end on plans made by hand."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from kitplan.cli.main import app
from kitplan.errors import PlanFileError, SettingError
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.plan.day.rolls import Blind
from kitplan.plan.records import Plan
from kitplan.produce.day import with_rolls
from tests.day.small import cam, kit_of, placed, plan_of, shoot_of, songs_of
from tests.plans import small_plan, written
from tests.small import show

Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Return a function that writes a plan and runs a command on it; it finds nothing wrong."""
    monkeypatch.setattr("kitplan.plan.verify.verify", lambda _: ())

    def _run(command: str, plan: Plan, *arguments: str) -> Result:
        written(tmp_path, plan)
        result = CliRunner().invoke(app, [command, str(tmp_path), *arguments])
        assert max(map(len, result.output.splitlines()), default=0) <= WIDEST_TABLE
        return result

    return _run


def day(gap_s: float = 20, **facts: Any) -> Plan:
    """Return a plan of two songs: A by Ann stops at a clip limit of 80 s, B goes on."""
    solo = {"name": "Solo", "subject": "singer", "at_s": 10, "length_s": 10, "priority": "must"}
    shoot = shoot_of(songs_of((60, gap_s), (60, 0), moments=(solo,)), passes=(show(name="Show"),))
    kit = kit_of(cam("one", 80), cam("two"))
    others = () if facts.pop("is_alone", False) else (placed("B", "two", subject="stage"),)
    placements = (placed("A", "one", **{"operator": "ann", **facts}), *others)
    return with_rolls(plan_of(shoot, kit, placements))


def test_the_sheet_says_who_touches_what_when(run: Run) -> None:
    """By clock and song, with the gap and the seconds that it takes."""
    result = run("restarts", day())
    assert result.exit_code == 0, result.output
    assert "20:01:00  after s1 (gap 20 s)  A      stop, roll again (10 s)  ann" in result.output
    assert "19:59:40  before the downbeat" in result.output
    assert "1 touch, all between songs: no camera stands still in any song." in result.output
    assert "Tightest: camera A has 0:10 of clip left at the end of s1." in result.output


def test_no_touch_is_told_as_such(run: Run) -> None:
    plan = with_rolls(
        plan_of(shoot_of(songs_of((60, 0))), kit_of(cam("one", 800)), (placed("A", "one"),))
    )
    output = run("restarts", plan).output
    assert "No touch once all roll: no camera stands still in any song." in output


def test_bars_show_where_a_camera_would_go_blind(run: Run) -> None:
    """80 s from -10 s: half of the 140 s of the show."""
    lines = run("restarts", day()).output.splitlines()
    bar = next(n for n, line in enumerate(lines) if line.startswith("A    ="))
    assert lines[bar].index("R") == 5 + 36
    assert lines[bar + 1].index("^") == 5 + 42
    assert lines[bar + 2].startswith("B    =")


def test_songs_have_the_numbers_of_the_shot_sheets(run: Run) -> None:
    """A song that a pass does not run keeps its number: the sheets lie side by side."""
    shoot = shoot_of(songs_of((60, 20), (60, 20), (60, 0)), passes=(show(songs={"s2": "not-run"}),))
    plan = with_rolls(plan_of(shoot, kit_of(cam("one", 800)), (placed("A", "one"),)))
    lines = run("restarts", plan).output.splitlines()
    bar = next(n for n, line in enumerate(lines) if line.startswith("A    ="))
    assert lines[bar - 1].split() == ["1", "3"]
    assert "Numbers stand where songs begin: 1 s1; 3 s3." in " ".join(lines)


def test_what_stands_still_is_told(run: Run) -> None:
    """A gap of 5 s is for nobody."""
    output = run("restarts", day(gap_s=5, operator=None)).output
    assert "Cameras that stand still in songs: A, see below." in output
    assert "Camera A has reached its clip limit: s2 0:05 to 1:00." in output
    assert "#" in output


def test_minutes_left_stand_at_the_end_of_each_song(run: Run) -> None:
    """As data to the second: clip of 80 s from -10 s, and from 70 s."""
    result = run("restarts", day(), "--json")
    (each,) = json.loads(result.stdout)["passes"]
    left = [(row["song"], row["clip_s"]) for row in each["left"] if row["letter"] == "A"]
    assert left == [("s1", 10), ("s2", 10)]
    assert each["is_proven"]
    assert [goal["value"] for goal in each["goals"]][:5] == [0, 0, 0, 10, 1]
    assert each["touches"][2]["at"] == "20:01:00"


def test_covered_throughout(run: Run) -> None:
    """Songs by cameras, and who holds the moments."""
    result = run("coverage", day())
    assert result.exit_code == 0, result.output
    assert "Covered throughout" in result.output
    assert "BLIND 0" not in result.output
    (row, _) = (line for line in result.output.splitlines() if "Solo" in line)
    assert row.split() == ["s1", "Solo", "must", "Show,", "camera", "A", "nobody"]


def test_what_is_not_covered_is_told_with_cause_and_repair(run: Run) -> None:
    """And ends with status 1."""
    result = run("coverage", day(gap_s=5, operator=None, is_alone=True))
    assert result.exit_code == 1
    assert "NOT covered throughout: 1 stretch, 0:55 in all." in result.output
    said = " ".join(result.output.split())
    assert "s2, 0:05 to 1:00: no usable shot (Show, camera A has reached its clip limit)" in said
    assert "Smallest repair found: Show: a pause of 10 s instead of 5 s after s1." in said
    assert "BLIND 0:05 to 1:00" in said


def test_cover_as_data(run: Run) -> None:
    """For other programs."""
    plan = day(gap_s=5, operator=None, is_alone=True)
    data = json.loads(run("coverage", plan, "--json").stdout)
    assert not data["is_throughout"]
    assert data["uncovered"][0]["start_s"] == 5
    (each,) = data["passes"]
    assert each["songs"][1]["blind"] == [
        {"letter": "A", "start_s": 5, "end_s": 60, "cause": "clip-limit"}
    ]
    assert each["songs"][0]["cameras"]["A"] == [{"subject": "singer", "size": "MS"}]
    assert [m["holders"] for m in data["moments"]] == [
        [{"pass": "small/show", "letter": "A"}],
        [],
    ]


@pytest.mark.parametrize("command", ["restarts", "coverage"])
def test_a_plan_without_rolls_gets_them_now(tmp_path: Path, command: str) -> None:
    """And says so; the whole plan holds, rolls included."""
    plan = small_plan().model_copy(update={"day": None})
    result = CliRunner().invoke(app, [command, str(written(tmp_path, plan))])
    assert result.exit_code == 0, result.output
    assert "working it out" in result.stderr


@pytest.mark.parametrize("command", ["restarts", "coverage"])
def test_wrong_names_and_files_are_told(tmp_path: Path, command: str) -> None:
    """One line, and what would be right."""
    path = str(written(tmp_path, day()))
    with pytest.raises(SettingError, match="there is no pass 'shwo'"):
        CliRunner().invoke(app, [command, path, "--pass", "shwo"], catch_exceptions=False)
    with pytest.raises(PlanFileError):
        CliRunner().invoke(app, [command, str(tmp_path / "no.json")], catch_exceptions=False)


DAMAGE: dict[str, dict[str, Any]] = {
    "no rolls": {"rolls": ()},
    "no values": {"reached": ()},
    "songs": {"blind": (Blind(pass_id="small/show", letter="A", song="s9", start_s=0, end_s=1,
                              cause="hand"),)},
}  # fmt: skip


@pytest.mark.parametrize("what", DAMAGE)
@pytest.mark.parametrize("command", ["restarts", "coverage"])
def test_damaged_rolls_are_refused(tmp_path: Path, command: str, what: str) -> None:
    """One line, never a traceback."""
    plan = day()
    assert plan.day is not None
    assert plan.day.rolls is not None
    spoilt = plan.day.rolls.model_copy(update=DAMAGE[what])
    changed = plan.model_copy(update={"day": plan.day.model_copy(update={"rolls": spoilt})})
    path = str(written(tmp_path, changed))
    with pytest.raises(PlanFileError, match="it is damaged"):
        CliRunner().invoke(app, [command, path], catch_exceptions=False)


@pytest.mark.parametrize("command", ["restarts", "coverage"])
def test_cameras_that_are_not_there_are_refused(tmp_path: Path, command: str) -> None:
    """A mode that the body does not have, a person who is not of the crew."""
    plan = day()
    first = plan.placements[0]
    for spoilt in (
        first.model_copy(update={"rig": first.rig.model_copy(update={"mode": "8K"})}),
        first.model_copy(update={"operator": "zoe"}),
    ):
        changed = plan.model_copy(update={"placements": (spoilt,), "day": None})
        path = str(written(tmp_path, changed))
        with pytest.raises(
            PlanFileError, match=r"it is damaged|it has no restarts and does not hold"
        ):
            CliRunner().invoke(app, [command, path], catch_exceptions=False)
        rolled = changed.model_copy(update={"day": plan.day})
        with pytest.raises(PlanFileError, match="it is damaged"):
            CliRunner().invoke(
                app, [command, str(written(tmp_path, rolled))], catch_exceptions=False
            )


@pytest.mark.parametrize("command", ["restarts", "coverage"])
def test_a_plan_that_does_not_hold_is_warned_of(tmp_path: Path, command: str) -> None:
    """Rolls that were changed by hand."""
    plan = day()
    assert plan.day is not None
    assert plan.day.rolls is not None
    spoilt = plan.day.rolls.model_copy(update={"touches": ()})
    changed = plan.model_copy(update={"day": plan.day.model_copy(update={"rolls": spoilt})})
    result = CliRunner().invoke(app, [command, str(written(tmp_path, changed))])
    assert result.exit_code == 1
    assert "this plan does not hold" in result.stderr
