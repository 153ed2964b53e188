"""`kitplan draw` writes every drawing of a plan and says which."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PIL import Image
from typer.testing import CliRunner

from kitplan.cli.main import app
from kitplan.errors import KitplanError, SettingError
from kitplan.plan.records import Plan
from tests.paper.drawings.made import menu, placement, plan
from tests.small import run, show, small_shoot

runner = CliRunner()


@pytest.fixture(autouse=True)
def _a_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever file is named, the plan is that of the tests: it need not hold."""
    made = plan(
        [placement("A", menu=menu(("singer", "FS"))), placement("B", "left", operator=None)],
        small_shoot(passes=(run(), show())),
    )

    def read(path: Path) -> Plan:
        del path
        return made

    monkeypatch.setattr("kitplan.plan.files.read_plan", read)


@pytest.fixture
def _no_pixels(monkeypatch: pytest.MonkeyPatch) -> None:
    """PNGs are empty: making them takes most of the time."""
    monkeypatch.setattr("kitplan.paper.drawings.png.png_of", lambda *_: b"")


def drawn(*arguments: str) -> str:
    """Run the command and return what it printed."""
    result = runner.invoke(app, ["draw", *arguments])
    if isinstance(result.exception, KitplanError):
        raise result.exception
    assert result.exit_code == 0, result.output
    return result.stdout


def test_all_files_are_written_beside_the_plan(tmp_path: Path) -> None:
    """A floor plan for each pass, and frames where there are cameras."""
    text = drawn(str(tmp_path / "my-show.json"))
    folder = tmp_path / "my-show-drawings"
    found = {path.relative_to(folder).as_posix() for path in folder.rglob("*.*")}
    names = (
        "run-floor-plan",
        "show-floor-plan",
        "show-frames",
        "show/A-singer-MS",
        "show/A-singer-FS",
        "show/B-singer-MS",
    )
    assert found == {f"{name}.{ending}" for name in names for ending in ("svg", "png")}
    assert "run: no camera films it, so it has no frames." in text
    assert f"12 drawings (SVG and PNG) written to {folder}" in text
    with Image.open(folder / "show-frames.png") as image:
        assert image.size == (1654, 2339) or image.size == (1654, 2340)


@pytest.mark.usefixtures("_no_pixels")
def test_json_lists_the_files(tmp_path: Path) -> None:
    """For other programs; only one pass, only plans."""
    given = (str(tmp_path / "p.json"), "--out", str(tmp_path / "out"), "--json")
    files = json.loads(drawn(*given, "--pass", "show", "--only", "plans"))
    assert [Path(file).name for file in files] == ["show-floor-plan.svg", "show-floor-plan.png"]
    assert all(Path(file).is_file() for file in files)


@pytest.mark.usefixtures("_no_pixels")
def test_several_passes_may_be_named(tmp_path: Path) -> None:
    """In the order of the plan."""
    given = (str(tmp_path / "p.json"), "--json", "--only", "plans")
    files = json.loads(drawn(*given, "--pass", "show", "--pass", "run"))
    assert [Path(file).stem for file in files[::2]] == ["run-floor-plan", "show-floor-plan"]


def test_a_wrong_kind_or_pass_is_refused(tmp_path: Path) -> None:
    """With the nearest right name."""
    with pytest.raises(SettingError, match=r"there is no kind of drawing 'plan'.*plans"):
        drawn(str(tmp_path / "p.json"), "--only", "plan")
    with pytest.raises(SettingError, match=r"there is no pass 'shwo'.*show"):
        drawn(str(tmp_path / "p.json"), "--pass", "shwo")
    assert not list(tmp_path.iterdir())


def test_a_folder_that_is_a_file_is_refused(tmp_path: Path) -> None:
    """Before anything is drawn."""
    taken = tmp_path / "taken"
    taken.write_text("", encoding="utf-8")
    with pytest.raises(SettingError, match=r"it is a file.*Choose another folder with --out"):
        drawn(str(tmp_path / "p.json"), "--out", str(taken))


@pytest.mark.usefixtures("_no_pixels")
def test_a_file_that_cannot_be_written_is_refused(tmp_path: Path) -> None:
    """A folder stands where a drawing should go."""
    (tmp_path / "out" / "show-floor-plan.svg").mkdir(parents=True)
    with pytest.raises(SettingError, match="the drawing cannot be written"):
        drawn(str(tmp_path / "p.json"), "--out", str(tmp_path / "out"), "--pass", "show")
