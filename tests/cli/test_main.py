"""The command line as a whole: help, exit statuses, faults, logs, and what starting up imports."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
import typer.main
from typer.testing import CliRunner

from kitplan import __version__
from kitplan.cli import main
from kitplan.cli.main import app, run
from kitplan.errors import BadInput, Problem
from tests.plans import written

COMMANDS = (
    "demo",
    "new",
    "recce",
    "serve",
    "plan",
    "without",
    "fallback",
    "songs",
    "late",
    "packing",
    "papers",
    "labels",
    "shots",
    "coverage",
    "restarts",
    "power",
    "media",
    "sound",
    "cases",
    "line-up",
    "reset",
    "draw",
    "angles",
    "compare",
    "gains",
    "check",
    "verify",
    "why",
    "measure-first",
    "sights",
    "frame",
    "schema",
)
HEAVY = {"ortools", "sqlite_utils", "pandas"}


@pytest.fixture
def status(monkeypatch: pytest.MonkeyPatch) -> Callable[..., int]:
    """Return a function that runs kitplan as its entry point does and returns the exit status."""

    def _status(*arguments: str) -> int:
        monkeypatch.setattr(sys, "argv", ["kitplan", *arguments])
        with pytest.raises(SystemExit) as ending:
            run()
        return int(ending.value.code or 0)

    return _status


def imported_by(*commands: tuple[str, ...]) -> set[str]:
    """Run commands of kitplan in a new process and return the names of all modules imported."""
    code = (
        "import sys\n"
        "from kitplan.cli.main import run\n"
        f"for words in {commands!r}:\n"
        "    sys.argv = ['kitplan', *words]\n"
        "    try:\n"
        "        run()\n"
        "    except SystemExit as ending:\n"
        "        assert not ending.code, (words, ending.code)\n"
        "print(*sys.modules, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stderr.split())


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_and_an_example(name: str) -> None:
    """On a page of at most 100 columns."""
    result = CliRunner().invoke(app, [name, "--help"])
    assert result.exit_code == 0
    assert f"Example: kitplan {name}" in " ".join(result.output.split())
    assert max(map(len, result.output.splitlines())) <= 100


def test_there_are_no_other_commands() -> None:
    """So that the list above is complete."""
    group = typer.main.get_command(app)
    assert set(group.commands) == {*COMMANDS, "gear"}  # type: ignore[attr-defined]


def test_version() -> None:
    """As installed."""
    assert CliRunner().invoke(app, ["--version"]).output == f"kitplan {__version__}\n"


def test_unknown_command_names_the_nearest(
    status: Callable[..., int], capsys: pytest.CaptureFixture[str]
) -> None:
    """Wrong use is status 2."""
    assert status("pakcing") == 2
    assert "Did you mean 'packing'?" in capsys.readouterr().err


def test_no_command_shows_help(
    status: Callable[..., int], capsys: pytest.CaptureFixture[str]
) -> None:
    """With an example to begin with."""
    assert status() == 2
    shown = capsys.readouterr()
    assert "kitplan demo" in shown.out + shown.err


def test_an_error_is_one_line_and_status_2(
    status: Callable[..., int], capsys: pytest.CaptureFixture[str]
) -> None:
    """On stderr; stdout is for answers."""
    assert status("packing", "no-such-plan.json") == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.count("\n") == 1
    assert "no-such-plan.json: cannot be read" in shown.err


def test_bad_input_is_one_line_a_problem_and_a_count(
    status: Callable[..., int],
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Sorted by line."""
    wrong = [Problem("a.yaml", 9, "b is 1", "Write 2"), Problem("a.yaml", 3, "c is 1", "Write 3")]

    def fail(*_: object, **__: object) -> None:
        raise BadInput(wrong)

    monkeypatch.setattr(main, "app", fail)
    assert status("plan") == 2
    lines = ["a.yaml:3: c is 1. Write 3", "a.yaml:9: b is 1. Write 2", "2 problems found."]
    assert capsys.readouterr().err.splitlines() == lines


def break_reading(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
    """Make reading a plan fail."""

    def fail(_: Path) -> None:
        raise error

    monkeypatch.setattr("kitplan.plan.files.read_plan", fail)


@pytest.mark.skipif(os.name != "posix", reason="elsewhere such names are just not there")
@pytest.mark.parametrize(
    "words",
    [
        ("new", f"{'n' * 300}.yaml"),
        ("new", "show.yaml", "--answers", f"{'n' * 300}.yaml"),
        ("recce", "--out", "n" * 300),
        ("packing", "n" * 300),
        ("gear", "list", "--db", "n" * 300),
    ],
    ids=["new", "answers", "recce", "packing", "gear"],
)
def test_paths_that_cannot_be_are_told_in_a_line(
    status: Callable[..., int], capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    """Asking whether there is such a file is an error already."""
    assert status(*words) == 2
    shown = capsys.readouterr().err
    assert "name too long" in shown
    assert len(shown.splitlines()) <= 2


def test_own_fault_is_one_line_and_status_3(
    status: Callable[..., int],
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """No trace for the user, however many lines the error has."""
    break_reading(monkeypatch, RuntimeError("one\ntwo"))
    assert status("packing", "plan.json") == 3
    shown = capsys.readouterr().err
    assert shown.startswith("kitplan met a fault of its own: RuntimeError: one two.")
    assert "please report" in shown
    assert "Traceback" not in shown


def test_own_fault_has_its_trace_in_the_log(
    status: Callable[..., int],
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    """On the terminal with -v, in the file with --log."""
    break_reading(monkeypatch, RuntimeError("odd"))
    log = tmp_path / "log.txt"
    assert status("-v", "--log", str(log), "packing", "plan.json") == 3
    assert "Traceback" in capsys.readouterr().err
    assert "RuntimeError: odd" in log.read_text(encoding="utf-8")


def test_a_log_that_cannot_be_written_is_said(
    status: Callable[..., int], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Before anything is done."""
    assert status("--log", str(tmp_path), "frame", "--focal", "50", "--distance", "5") == 2
    assert "the log cannot be written" in capsys.readouterr().err


def test_interrupt_is_status_130(
    status: Callable[..., int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Outside a search there is nothing to keep."""
    break_reading(monkeypatch, KeyboardInterrupt())
    assert status("packing", "plan.json") == 130


EARLY = """
import os, runpy, signal, sys
class Interrupts:
    def find_spec(self, name, *_):
        if name == "typer":
            os.kill(os.getpid(), signal.SIGINT)
sys.meta_path.insert(0, Interrupts())
runpy.run_module("kitplan", run_name="__main__")
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal there")
def test_an_interrupt_while_loading_is_quiet() -> None:
    """It ends the process as a signal does, without a traceback."""
    done = subprocess.run([sys.executable, "-c", EARLY], capture_output=True, text=True)
    assert (done.returncode, done.stdout, done.stderr) == (-signal.SIGINT, "", "")


@pytest.mark.skipif(sys.platform == "win32", reason="pipes close otherwise there")
def test_a_closed_pipe_is_quiet(tmp_path: Path) -> None:
    """As in `kitplan packing ... | head -1`."""
    reading, writing = os.pipe()
    os.close(reading)
    command = [sys.executable, "-m", "kitplan", "packing", str(written(tmp_path))]
    done = subprocess.run(command, stdout=writing, stderr=subprocess.PIPE, check=False)
    os.close(writing)
    assert done.stderr == b""


def test_what_does_not_solve_starts_light(tmp_path: Path) -> None:
    """No solver and no database; help does not even need records."""
    path = str(written(tmp_path))
    assert not imported_by(("--help",)) & (HEAVY | {"numpy", "pydantic", "ruamel"})
    frame = ("frame", "--focal", "50", "--distance", "5")
    assert not imported_by(("packing", path), ("line-up", path), ("verify", path), frame) & HEAVY
