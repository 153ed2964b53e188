"""`kitplan gains` from end to end on a tiny shoot."""

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

from kitplan.cli.counting import counting
from kitplan.cli.main import app
from kitplan.errors import BadInput, SettingError
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.tables import scenario
from tests.small import small_brief

CHECKOUT = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def _elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Files lie in the current folder; keep them out of the checkout."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("KITPLAN_DB", raising=False)


def small_files(folder: Path, **parts: Any) -> list[str]:
    """Write a tiny shoot and its kit and return the arguments that name them."""
    brief = small_brief(**parts)
    for name, record in (("shoot", brief.shoot), ("kit", brief.kit)):
        text = record.model_dump_json(by_alias=True, exclude_none=True)
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return ["gains", "shoot.yaml", "--kit", "kit.yaml", "--seconds", "2", "--processes", "1"]


def lent(folder: Path, text: str) -> list[str]:
    """Write a kit file of a friend and return the option that names it."""
    (folder / "friends.yaml").write_text(text, encoding="utf-8")
    return ["--borrow", "friends.yaml"]


def test_what_each_thing_is_worth(tmp_path: Path) -> None:
    """A sentence, a table, and on stderr a line for each solve."""
    result = CliRunner().invoke(app, small_files(tmp_path))
    assert result.exit_code == 0, result.output
    assert "Without one of 2 cam 1 viewpoint and 1 in the thinnest song go." in result.stdout
    assert "points -12" in result.stdout  # Ann or Ben: 20 operated, 8 locked off
    lines = result.stderr.splitlines()
    assert lines[:2] == ["Everything 1 of 1: Small", "Without 1 of 5: one of 2 cam"]
    assert len(lines) == 6
    assert max(map(len, result.output.splitlines())) <= WIDEST_TABLE


@pytest.mark.long  # the sweep under it is held against one process in every run
def test_two_processes_give_the_same_as_data(tmp_path: Path) -> None:
    """The second camera is worth 20 points; legs are in plenty."""
    arguments = [*small_files(tmp_path), "--json", "--processes", "2", "--out", "a/gains.json"]
    data = json.loads(CliRunner().invoke(app, arguments).stdout)
    kept = json.loads((tmp_path / "a" / "gains.json").read_text(encoding="utf-8"))
    assert (kept["kind"], kept["found"]) == ("gains", data)
    assert data["best"]["viewpoints"] == 2
    assert data["losses"][0]["id"] == "cam"
    assert data["losses"][0]["difference"]["points"] == 20
    (legs,) = [row for row in data["losses"] if row["id"] == "legs"]
    assert legs["settled"] == "one to spare"


def test_one_more_and_what_a_friend_has(tmp_path: Path) -> None:
    """A third camera is locked off: 8 points for 400 are 50 a point, one viewpoint for 400."""
    friend = lent(tmp_path, "units: [{id: cam-k, item: cam, owner: kim, value: 400}]")
    arguments = [*small_files(tmp_path), "--one-more", *friend]
    result = CliRunner().invoke(app, arguments)
    assert result.exit_code == 0, result.output
    assert "With one more cam 1 viewpoint" in result.stdout
    assert "400, 400 a viewpoint" in result.stdout
    assert "Nothing comes with: one more legs." in result.stdout
    assert "points +8" in result.stdout


def test_what_has_to_be_hired_stays_out_unless_it_is_allowed(tmp_path: Path) -> None:
    """The third camera, locked off, for a fee of 40; its value does not matter."""
    fee = "units: [{id: cam-h, item: cam, owner: shop, value: 900, hire: 40}]"
    arguments = [*small_files(tmp_path), *lent(tmp_path, fee)]
    result = CliRunner().invoke(app, arguments)
    assert "Left out, since they would have to be hired: cam (cam-h)" in result.stdout
    assert "With 1 of" not in result.stderr
    result = CliRunner().invoke(app, [*arguments, "--allow-borrowed"])
    assert "Left out" not in result.stdout
    assert "40, 40 a viewpoint" in result.stdout
    data = json.loads(CliRunner().invoke(app, [*arguments, "--json"]).stdout)
    assert (data["gains"], data["hired"]) == ([], ["cam (cam-h)"])


def test_hiring_from_no_list_is_refused(tmp_path: Path) -> None:
    """Before any search."""
    result = CliRunner().invoke(app, [*small_files(tmp_path), "--allow-borrowed"])
    assert isinstance(result.exception, SettingError)
    assert "Name one with --borrow FILE" in str(result.exception)


@pytest.mark.parametrize(
    ("text", "error", "words"),
    [
        ("units: [{id: cam-1, item: cam, owner: kim}]", SettingError, "'cam-1' is that of another"),
        ("units: [{id: cam, item: cam, owner: kim}]", SettingError, "'cam' is that of another"),
        ("units: [{id: x-1, item: crane, owner: kim}]", BadInput, "which does not exist"),
        ("units: []", SettingError, "no units"),
    ],
    ids=["taken", "an-item", "unknown-item", "empty"],
)
def test_a_wrong_list_of_a_friend_is_said_before_any_search(
    tmp_path: Path, text: str, error: type[Exception], words: str
) -> None:
    """With what to do about it."""
    result = CliRunner().invoke(app, [*small_files(tmp_path), *lent(tmp_path, text)])
    assert isinstance(result.exception, error)
    assert words in str(result.exception)
    assert "Everything" not in result.stderr


def test_a_plan_that_does_not_hold_is_status_1(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is worth nothing; the others are told all the same."""
    calls: list[object] = []

    def verify(plan: object) -> tuple[str, ...]:
        calls.append(plan)
        return ("a fault",) if len(calls) == 2 else ()

    monkeypatch.setattr("kitplan.plan.verify.verify", verify)
    result = CliRunner().invoke(app, small_files(tmp_path))
    assert result.exit_code == 1
    assert "Not known (the plan found does not hold): one of 2 cam." in result.stdout


def test_without_any_plan_there_is_nothing_to_compare_with(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """More time may help."""
    monkeypatch.setattr("kitplan.plan.verify.verify", lambda _: ("a fault",))
    result = CliRunner().invoke(app, small_files(tmp_path))
    assert isinstance(result.exception, SettingError)
    assert "does not hold" in str(result.exception)


@pytest.mark.long  # the sweep under it is interrupted in every run
@pytest.mark.skipif(sys.platform == "win32", reason="no such signal there")
def test_interrupting_keeps_what_is_done(tmp_path: Path) -> None:
    """Ctrl-C after the first solve: the rest is not known, and nothing more is tried."""
    command = [sys.executable, "-m", "kitplan", "gains", str(scenario("school-dance"))]
    with subprocess.Popen(
        [*command, "--seconds", "0.5", "--one-more", "--processes", "1"],
        stderr=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(CHECKOUT)},
    ) as process:
        assert process.stderr is not None
        assert any(line.startswith("Without 1 of") for line in process.stderr)
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=120)
    assert process.returncode == 0, err
    assert "Not known (stopped before it was worked out):" in out
    assert "With 1 of" not in err


def test_progress_is_a_bar_on_a_terminal(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """With names as they are."""
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    with counting("Without", lambda key: f"[{key}]") as tell:
        tell(1, 2, "cam")
    shown = capsys.readouterr()
    assert "Without: [cam]" in shown.err
    assert "1/2" in shown.err
    assert shown.out == ""
