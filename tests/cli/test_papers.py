"""`kitplan papers` writes what is asked for, all or nothing, and takes void papers away."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from pathlib import Path

import pytest
from typer.testing import CliRunner

from kitplan.cli.folder import RECORD
from kitplan.cli.main import app
from kitplan.errors import KitplanError, SettingError
from kitplan.paper.pack.blocks import Sheet, Words
from kitplan.paper.pack.papers import Paper
from kitplan.paper.pack.source import Source
from kitplan.plan.records import Plan
from tests.plans import small_plan

runner = CliRunner()
PAPERS = (
    Paper("packing", "Packing lists", "packing", is_daily=True),
    Paper("cards", "Camera cards", "cards", is_daily=True),
    Paper("risk", "Risk sheet", "risk"),
    Paper("moments", "Moments list", "moments"),
)


@dataclass
class Fixed:
    """The plan that is read, whatever file is named."""

    plan: Plan


@pytest.fixture(autouse=True)
def fixed(monkeypatch: pytest.MonkeyPatch) -> Fixed:
    """Papers of one sheet each, of a tiny plan; moments has none."""

    def sheets(paper: Paper, source: Source) -> tuple[Sheet, ...]:
        if paper.id == "moments":
            return ()
        return (Sheet(paper.id, paper.title, (Words(source.setting.length(3.0)),)),)

    found = Fixed(small_plan())
    monkeypatch.setattr("kitplan.paper.pack.papers.PAPERS", PAPERS)
    monkeypatch.setattr("kitplan.paper.pack.papers.DAILY", ("packing", "cards"))
    monkeypatch.setattr("kitplan.paper.pack.papers.Paper.sheets", sheets)
    monkeypatch.setattr("kitplan.cli.day.read_unchecked", lambda _: found.plan)
    monkeypatch.setattr("kitplan.cli.day.read_with", lambda *_: (found.plan, ()))
    for name in ("LC_ALL", "LC_PAPER", "LC_MEASUREMENT", "LC_TIME", "LANG"):
        monkeypatch.delenv(name, raising=False)
    return found


def papers(*arguments: str) -> str:
    """Run the command and return what it printed."""
    result = runner.invoke(app, ["papers", *arguments])
    if isinstance(result.exception, KitplanError):
        raise result.exception
    assert result.exit_code == 0, result.output
    return result.stdout


def names_in(folder: Path) -> list[str]:
    """Return the names of the files of a folder."""
    return sorted(path.name for path in folder.iterdir() if path.name != RECORD)


def test_the_papers_of_the_day_are_written_beside_the_plan(tmp_path: Path) -> None:
    """A PDF each, a page and a text of all; and what was written is said."""
    told = papers(str(tmp_path / "show.json"))
    folder = tmp_path / "show-papers"
    assert names_in(folder) == ["cards.pdf", "packing.pdf", "papers.html", "papers.txt"]
    assert "Camera cards" in told
    assert str(folder) in told
    assert (folder / "cards.pdf").read_bytes().startswith(b"%PDF")
    assert "Packing lists" in (folder / "papers.txt").read_text(encoding="utf-8")


def test_papers_of_a_folder_lie_beside_the_plan_in_it(tmp_path: Path) -> None:
    """Whatever was answered beside the plan; the folder is still that of one plan afterwards."""
    for name in ("show.json", "show-fallback.json"):
        (tmp_path / name).write_text("{}", encoding="utf-8")
    papers(str(tmp_path), "--only", "risk")
    assert (tmp_path / "show-papers" / "risk.pdf").is_file()
    papers(str(tmp_path), "--only", "risk", "--out", str(tmp_path))
    assert sorted(path.name for path in tmp_path.glob("*.json")) == [
        "show-fallback.json",
        "show.json",
    ]


def test_the_show_pack_is_all_of_them_and_bound(tmp_path: Path) -> None:
    """A paper on which nothing stands is left out."""
    found = json.loads(papers("p.json", "--all", "--json", "--out", str(tmp_path)))
    names = [Path(each["file"]).name for each in found["files"]]
    assert names == [
        "packing.pdf",
        "cards.pdf",
        "risk.pdf",
        "show-pack.pdf",
        "papers.html",
        "papers.txt",
    ]
    assert [each["sheets"] for each in found["files"]] == [1, 1, 1, 3, 3, 3]
    assert all(Path(each["file"]).is_file() for each in found["files"])


def test_only_some_may_be_asked_for_and_a_wrong_name_gets_a_hint(tmp_path: Path) -> None:
    """In the order of the show pack, whatever the order of the names."""
    papers("p.json", "--only", "risk, Packing", "--out", str(tmp_path / "a"))
    assert names_in(tmp_path / "a")[:2] == ["packing.pdf", "papers.html"]
    text = (tmp_path / "a" / "papers.txt").read_text(encoding="utf-8")
    assert text.index("Packing lists") < text.index("Risk sheet")
    with pytest.raises(SettingError, match=r"there is no paper 'card'. Did you mean 'cards'"):
        papers("p.json", "--only", "packing,card", "--out", str(tmp_path / "b"))
    with pytest.raises(SettingError, match="there is no paper ''"):
        papers("p.json", "--only", "", "--out", str(tmp_path / "b"))
    with pytest.raises(SettingError, match="cannot stand beside --all"):
        papers("p.json", "--only", "cards", "--all", "--out", str(tmp_path / "b"))
    assert not (tmp_path / "b").exists()


def test_papers_of_an_earlier_plan_are_taken_away(tmp_path: Path, fixed: Fixed) -> None:
    """Nobody may hold stale cards for current ones; other files stay."""
    (tmp_path / "notes.txt").write_text("mine", encoding="utf-8")
    papers("p.json", "--all", "--out", str(tmp_path))
    fixed.plan = fixed.plan.model_copy(update={"title": "Changed"})
    told = papers("p.json", "--only", "packing", "--out", str(tmp_path))
    assert names_in(tmp_path) == ["notes.txt", "packing.pdf", "papers.html", "papers.txt"]
    assert "cards.pdf, risk.pdf, show-pack.pdf" in told


def test_papers_of_the_same_plan_stay(tmp_path: Path) -> None:
    """They are current; in another size they would not belong together."""
    papers("p.json", "--out", str(tmp_path))
    papers("p.json", "--only", "risk", "--out", str(tmp_path))
    assert {"cards.pdf", "packing.pdf", "risk.pdf"} <= set(names_in(tmp_path))
    found = json.loads(
        papers("p.json", "--only", "risk", "--paper", "letter", "--json", "--out", str(tmp_path))
    )
    assert [Path(path).name for path in found["void"]] == ["cards.pdf", "packing.pdf"]
    assert {"cards.pdf", "packing.pdf"}.isdisjoint(names_in(tmp_path))


def test_a_void_paper_that_somebody_changed_is_left_alone(tmp_path: Path, fixed: Fixed) -> None:
    """Whatever they wrote on it is theirs."""
    papers("p.json", "--out", str(tmp_path))
    (tmp_path / "cards.pdf").write_bytes(b"with notes")
    fixed.plan = fixed.plan.model_copy(update={"title": "Changed"})
    papers("p.json", "--only", "packing", "--out", str(tmp_path))
    assert (tmp_path / "cards.pdf").read_bytes() == b"with notes"


@pytest.mark.parametrize("record", ["", "[]", '{"key": 1, "files": {"../x": "y"}}', "\x00"])
def test_a_broken_record_takes_nothing_away(tmp_path: Path, record: str) -> None:
    """Nor does one that names files elsewhere."""
    folder = tmp_path / "out"
    folder.mkdir()
    (tmp_path / "x").write_text("mine", encoding="utf-8")
    (folder / RECORD).write_text(record, encoding="utf-8")
    papers("p.json", "--out", str(folder))
    assert (tmp_path / "x").exists()
    assert "cards.pdf" in names_in(folder)


def test_nothing_is_written_by_half(tmp_path: Path) -> None:
    """A folder stands where a file should go: the others stay as they were."""
    papers("p.json", "--out", str(tmp_path))
    before = (tmp_path / "packing.pdf").read_bytes()
    (tmp_path / "papers.txt").unlink()
    (tmp_path / "papers.txt").mkdir()
    with pytest.raises(SettingError, match=r"papers.txt: the paper cannot be written"):
        papers("p.json", "--paper", "letter", "--out", str(tmp_path))
    assert (tmp_path / "packing.pdf").read_bytes() == before
    assert not [name for name in names_in(tmp_path) if name.endswith(".part")]


def test_what_no_run_wrote_is_not_written_over(tmp_path: Path) -> None:
    """Somebody's own file of that name: nothing is written at all."""
    (tmp_path / "packing.pdf").write_bytes(b"mine")
    with pytest.raises(SettingError, match=r"packing.pdf: it is there already"):
        papers("p.json", "--out", str(tmp_path))
    assert names_in(tmp_path) == ["packing.pdf"]
    assert (tmp_path / "packing.pdf").read_bytes() == b"mine"


def test_a_folder_that_is_a_file_is_refused(tmp_path: Path) -> None:
    """Before anything is drawn."""
    taken = tmp_path / "taken"
    taken.write_text("", encoding="utf-8")
    with pytest.raises(SettingError, match=r"it is a file.*Choose another folder with --out"):
        papers("p.json", "--out", str(taken))


@pytest.mark.parametrize(
    ("variables", "options", "length"),
    [
        ({}, (), "3.0 m"),
        ({"LANG": "en_US.UTF-8"}, (), "9 ft 10 in"),
        ({"LANG": "en_US.UTF-8", "LC_MEASUREMENT": "de_DE.UTF-8"}, (), "3.0 m"),
        ({"LANG": "en_US.UTF-8", "KITPLAN_UNITS": "m"}, (), "3.0 m"),
        ({"KITPLAN_UNITS": "m"}, ("--units", "ft"), "9 ft 10 in"),
    ],
    ids=["nothing", "land", "one of the land", "variable", "option"],
)
def test_option_goes_before_variable_before_land(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    variables: dict[str, str],
    options: tuple[str, ...],
    length: str,
) -> None:
    """Of page size, units and clock."""
    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    papers("p.json", "--only", "risk", "--out", str(tmp_path), *options)
    assert length in (tmp_path / "papers.txt").read_text(encoding="utf-8")


def test_files_are_the_same_bytes_whether_a_second_process_helps_or_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing on paper depends on who drew it when."""
    monkeypatch.setattr("kitplan.cli.papers._findings", lambda *_: ())
    written = []
    for forks in (False, hasattr(os, "fork")):
        monkeypatch.setattr("kitplan.cli.aside._may_fork", lambda forks=forks: forks)
        folder = tmp_path / str(forks)
        papers("plan.json", "--all", "--out", str(folder))
        written.append({path.name: path.read_bytes() for path in folder.iterdir()})
    assert written[0] == written[1]
    assert len(written[0]) == 7
