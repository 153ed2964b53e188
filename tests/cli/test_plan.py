"""`kitplan plan`, `demo`, `packing`, `verify` and `compare` from end to end on a small shoot."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from kitplan.allocate.search import Found, Limits, Step
from kitplan.cli.main import app
from kitplan.cli.progress import Progress
from kitplan.errors import SettingError
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.plan.files import read_plan
from kitplan.plan.records import Plan
from kitplan.plan.verify import Finding, verify
from kitplan.produce.solve import Solved
from kitplan.tables import scenario
from tests.plans import small_plan, written
from tests.small import position, role, run, show, small_brief
from tests.stored import stored_plan

CHECKOUT = Path(__file__).parents[2]
SHORT = ["--seconds", "4"]
DANCE = "school-dance"


@pytest.fixture(autouse=True)
def _elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Commands write into the current folder; keep them out of the checkout."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("KITPLAN_DB", raising=False)


def small_files(folder: Path, **parts: Any) -> list[str]:
    """Write a tiny shoot and its kit and return the arguments that name them."""
    brief = small_brief(**parts)
    for name, record in (("shoot", brief.shoot), ("kit", brief.kit)):
        text = record.model_dump_json(by_alias=True, exclude_none=True)
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return ["shoot.yaml", "--kit", "kit.yaml", *SHORT]


def test_plan_writes_and_sums_up(tmp_path: Path) -> None:
    """Into a folder named after the shoot; progress goes to stderr only."""
    result = CliRunner().invoke(app, ["plan", *small_files(tmp_path)])
    assert result.exit_code == 0, result.output
    path = tmp_path / "shoot-plan" / "shoot.json"
    assert read_plan(path).title in result.stdout
    assert f"Plan written to {path.relative_to(tmp_path)}" in result.stdout
    assert "musts missed: 0, proven best" in result.stderr
    assert "proven best" not in result.stdout
    assert max(map(len, result.output.splitlines())) <= WIDEST_TABLE


def test_plan_as_json_is_the_plan_alone(tmp_path: Path) -> None:
    """What is printed is what is written, where nothing else is looked for."""
    arguments = ["plan", *small_files(tmp_path), "--json", "--out", "out", "--alternatives", "0"]
    result = CliRunner().invoke(app, arguments)
    assert result.exit_code == 0, result.output
    file = (tmp_path / "out" / "shoot.json").read_text(encoding="utf-8")
    assert json.loads(result.stdout) == json.loads(file)


def test_a_missed_must_is_status_1(tmp_path: Path) -> None:
    """The plan is still written, with what clashes: only `left` will do, and nobody said yes."""
    places = (position("front"), position("left", permission={"state": "asked"}))
    arguments = small_files(tmp_path, positions=places, roles=(role(positions=("left",)),))
    result = CliRunner().invoke(app, ["plan", *arguments])
    assert result.exit_code == 1, result.output
    assert "1 must MISSED" in result.stdout
    assert "This cannot be done at all" in result.stdout
    assert "permission is not given" in " ".join(result.stdout.split())
    assert read_plan(tmp_path / "shoot-plan").status == "musts-missed"


def test_compare_plans_every_schedule(tmp_path: Path) -> None:
    """Two passes make three columns; with --json the same as data."""
    arguments = [*small_files(tmp_path, passes=(run(), show())), "--processes", "1"]
    result = CliRunner().invoke(app, ["compare", *arguments])
    assert result.exit_code == 0, result.output
    assert result.stderr.splitlines()[0] == "Schedules 1 of 3: run"
    assert "run + show" in result.stdout
    assert "than show alone" in result.stdout
    again = CliRunner().invoke(app, ["compare", *arguments, "--json", "--out", "shoot-answer.json"])
    data = json.loads(again.stdout)
    assert again.stderr.endswith("Written to shoot-answer.json\n")
    kept = json.loads((tmp_path / "shoot-answer.json").read_text(encoding="utf-8"))
    assert (kept["kind"], kept["found"]) == ("schedules", data)
    assert [row["passes"] for row in data["schedules"]] == [["run"], ["show"], ["run", "show"]]
    assert all(row["findings"] == [] for row in data["schedules"])


@pytest.mark.parametrize("command", ["compare", "gains"])
def test_a_cluster_that_is_not_there_is_bad_input(tmp_path: Path, command: str) -> None:
    """Said before any search; a number of processes beside it makes no sense."""
    arguments = [command, *small_files(tmp_path), "--cluster", "localhost"]
    result = CliRunner().invoke(app, arguments)
    assert isinstance(result.exception, SettingError)
    assert "--cluster localhost: no scheduler answers there" in str(result.exception)
    assert "such as tcp://192.168.1.20:8786" in str(result.exception)
    result = CliRunner().invoke(app, [*arguments, "--processes", "2"])
    assert "Leave it out beside --cluster" in str(result.exception)


def test_a_folder_that_cannot_be_made_is_said_before_the_search(tmp_path: Path) -> None:
    """Nobody waits a minute to learn that."""
    (tmp_path / "taken").write_text("", encoding="utf-8")
    arguments = ["plan", str(scenario("school-dance")), "--seconds", "999", "--out", "taken"]
    result = CliRunner().invoke(app, arguments)
    assert isinstance(result.exception, SettingError)
    assert "it is a file" in str(result.exception)


def test_demo_needs_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Plan, packing lists and the path, in any folder; here without the search."""
    nothing: Any = None
    answer = Solved(stored_plan(DANCE), DANCE, Limits(), nothing, nothing, Found(), ())
    monkeypatch.setattr("kitplan.produce.rounds.solve_shoot", lambda *_, **__: answer)
    monkeypatch.setattr("kitplan.produce.whole.verify", lambda _: ())
    result = CliRunner().invoke(app, ["demo", "--shoot", DANCE, "--alternatives", "0"])
    assert result.exit_code == 0, result.output
    assert "Packing list: Lanterns over Thistlebeck" in result.stdout
    assert "Cover: every second of 8 songs has a usable shot." in result.stdout
    assert (tmp_path / "kitplan-demo" / "school-dance.json").exists()


def test_demo_of_an_unknown_shoot_names_the_nearest() -> None:
    """And all that there are."""
    result = CliRunner().invoke(app, ["demo", "--shoot", "school-dence"])
    assert isinstance(result.exception, SettingError)
    assert "Did you mean 'school-dance'?" in str(result.exception)


def test_packing_as_text_and_as_data(tmp_path: Path) -> None:
    """The same things in both; a folder with one plan will do for its file."""
    written(tmp_path, stored_plan(DANCE))
    text = CliRunner().invoke(app, ["packing", str(tmp_path)]).output
    data = json.loads(CliRunner().invoke(app, ["packing", str(tmp_path), "--json"]).output)
    units = [e["unit"] for p in data["passes"] for g in p["groups"] for e in g["entries"]]
    units += [e["unit"] for r in data["returns"] for e in r["entries"]]
    assert len(units) == text.count("[ ]")
    assert [len(data["passes"]), len(data["between"])] == [3, 2]


def test_packing_of_one_pass(tmp_path: Path) -> None:
    """By its name."""
    result = CliRunner().invoke(app, ["packing", str(written(tmp_path)), "--pass", "SHOW"])
    assert result.exit_code == 0
    assert "run: Sat" not in result.output
    assert "show: Sat" in result.output


def test_verify_holds(tmp_path: Path) -> None:
    """With how much was looked at."""
    result = CliRunner().invoke(app, ["verify", str(written(tmp_path))])
    assert result.exit_code == 0
    number = len(small_plan().placements)
    assert f"holds: {number} placements" in " ".join(result.output.split())


def test_verify_finds_what_is_spoilt(tmp_path: Path) -> None:
    """Status 1, and the findings as text and as data."""
    plan = small_plan()
    first, *others = plan.placements
    spoilt = first.model_copy(update={"shot": first.shot.model_copy(update={"iso": 1.0})})
    path = written(tmp_path, plan.model_copy(update={"placements": (spoilt, *others)}))
    result = CliRunner().invoke(app, ["verify", str(path)])
    assert result.exit_code == 1
    assert "the plan does not hold" in result.output
    result = CliRunner().invoke(app, ["verify", str(path), "--json"])
    assert result.exit_code == 1
    assert json.loads(result.output)["holds"] is False


def test_progress_tells_each_goal_once_when_its_group_is_done(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Goals of a group take turns; a line comes when the search goes on to the next group."""
    with Progress("Planning [b]") as progress:
        progress.tell(Step("musts", 0, 0, 0.1))
        progress.tell(Step("thinnest", None, None, 0.2))
        progress.tell(Step("thinnest", 5, 7, 0.3))
        progress.tell(Step("viewpoints", 30000, 60000, 0.4))
        progress.tell(Step("thinnest", 7, 7, 0.5))
        progress.tell(Step("viewpoints", 60000, 60000, 0.6))
    lines = [line.strip() for line in capsys.readouterr().err.splitlines()]
    assert lines == [
        "Planning [b]",
        "0.1 s  musts missed: 0, proven best",
        "0.5 s  viewpoints in the thinnest song: 7, proven best",
        "0.6 s  points of distinct viewpoints: 200.0, proven best",
    ]


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal there")
def test_interrupting_a_search_keeps_the_best_plan(tmp_path: Path) -> None:
    """Ctrl-C while searching: the plan is verified, written and summed up."""
    command = [sys.executable, "-m", "kitplan", "plan", str(scenario(DANCE))]
    with subprocess.Popen(
        [*command, "--seconds", "300"],
        stderr=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(CHECKOUT)},
    ) as process:
        assert process.stderr is not None
        assert any("musts missed: 0" in line for line in process.stderr)
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=120)
    assert "stopped early; best plan so far" in err
    assert "this is the best plan so far" in " ".join(out.split())
    assert process.returncode == 0
    assert read_plan(tmp_path / f"{DANCE}-plan").status == "stopped-early"


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal there")
def test_an_interrupt_while_checking_keeps_the_plan(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Pressed once more as the search ends, Ctrl-C does not cost what was found."""

    def interrupted(plan: Plan) -> tuple[Finding, ...]:
        os.kill(os.getpid(), signal.SIGINT)
        return verify(plan)

    monkeypatch.setattr("kitplan.produce.whole.verify", interrupted)
    result = CliRunner().invoke(app, ["plan", *small_files(tmp_path), "--out", "made"])
    assert "Plan written to" in result.output
    assert verify(read_plan(Path("made"))) == ()
