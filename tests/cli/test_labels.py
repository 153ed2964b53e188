"""`kitplan labels` from end to end."""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner

from kitplan.cli.main import app
from kitplan.errors import BadInput, KitplanError, SettingError
from kitplan.gear.files import write_kit
from kitplan.gear.kit import Kit
from kitplan.gear.store import Store
from kitplan.tables import folder, scenario
from tests.day.cases.small import items, units
from tests.plans import small_plan, written


def run(*arguments: object) -> Any:
    """Run the command."""
    return CliRunner().invoke(app, ["labels", *map(str, arguments)])


def test_a_plan_is_labelled(tmp_path: Path) -> None:
    """With its letters; as many pages as it needs."""
    plan = written(tmp_path, small_plan())
    out = tmp_path / "mine" / "labels.pdf"
    result = run(plan, "--size", "a4-8", "--skip", 7, "--json", "--out", out)
    assert result.exit_code == 0, result.output
    found = json.loads(result.stdout)
    assert found["file"] == str(out)
    bodies = {p.rig.body: p.letter for p in small_plan().placements}
    letters = {label["unit"]: label["letter"] for label in found["labels"]}
    assert letters.items() >= bodies.items()
    assert (found["labels"][0]["page"], found["labels"][1]["page"]) == (1, 2)
    assert found["labels"][1]["x_mm"] == 4.65
    pages = PdfReader(BytesIO(out.read_bytes())).pages
    assert len(pages) == found["labels"][-1]["page"]
    words = pages[0].extract_text()
    assert found["labels"][0]["unit"] in words.replace("\n", "")


def test_codes_lead_to_the_page_of_a_unit(tmp_path: Path) -> None:
    """Where an address is given, which is checked first."""
    plan = written(tmp_path, small_plan())
    out = ("--json", "--out", tmp_path / "labels.pdf")
    found = json.loads(run(plan, "--address", "http://10.0.0.7:8047/", *out).stdout)
    for label in found["labels"]:
        assert label["code"] == f"http://10.0.0.7:8047/gear/u/{label['unit']}"
    refused = run(plan, "--address", "10.0.0.7", "--out", tmp_path / "none.pdf")
    assert isinstance(refused.exception, SettingError)
    assert not (tmp_path / "none.pdf").exists()


def test_kit_inventory_and_shoot_are_labelled(tmp_path: Path) -> None:
    """All of it; the shoot knows its people by name, the kit alone does not."""
    kit = Kit(items=items(), units=units())
    write_kit(kit, tmp_path / "kit.yaml")
    with Store.open(tmp_path / "kit.sqlite", writing=True) as store:
        store.save_kit(kit, replace=False)
    out = ("--out", tmp_path / "x.pdf", "--json")
    stored = tmp_path / "kit.sqlite"
    for source in ((tmp_path / "kit.yaml",), (stored,), ("--db", stored)):
        assert len(json.loads(run(*source, *out).stdout)["labels"]) == len(units())
    owners = [
        {
            label["owner"]
            for label in json.loads(run(source, "--what", "cases", *out).stdout)["labels"]
        }
        for source in (scenario("school-dance"), folder("catalog") / "school-dance.yaml")
    ]
    assert owners == [{"Thea", "Wilf"}, {"thea", "wilf"}]


def test_what_was_printed_is_said(tmp_path: Path) -> None:
    """In two lines: how many, where; and to print it at full size."""
    result = run(written(tmp_path, small_plan()), "--what", "units", "--out", tmp_path / "x.pdf")
    assert result.exit_code == 0
    assert "of 63.5 x 38.1 mm on 1 sheet (3 x 7, a4-21)" in result.stdout
    assert "full size (100 %)" in result.stdout


@pytest.mark.parametrize(
    ("arguments", "error", "words"),
    [
        (("nothing.yaml",), BadInput, "there is no such file"),
        (("PLAN", "--what", "card"), SettingError, "Did you mean 'cards'"),
        (("PLAN", "--what", "cases"), SettingError, "nothing to label among cases"),
        (("PLAN", "--skip", "21"), SettingError, "at most 20"),
        (("PLAN", "--size", "20x8"), SettingError, "too small"),
        (("PLAN", "--out", "PLAN/x.pdf"), SettingError, "cannot be written"),
    ],
)
def test_bad_input_is_refused(
    tmp_path: Path, arguments: tuple[str, ...], error: type[KitplanError], words: str
) -> None:
    """In one line."""
    plan = str(written(tmp_path, small_plan()))
    result = run(*(each.replace("PLAN", plan) for each in arguments))
    assert isinstance(result.exception, error)
    assert words in str(result.exception)
