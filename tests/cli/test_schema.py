"""`kitplan schema`: a valid JSON Schema that takes every bundled file and refuses broken ones."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer
from hypothesis import given, settings
from jsonschema import Draft202012Validator  # type: ignore[import-untyped,unused-ignore]
from ruamel.yaml import YAML
from typer.testing import CliRunner

from kitplan.cli.schema import DIALECT, FileKind, file_schema, schema
from kitplan.gear.kit import Kit, facts_of
from kitplan.shoot.records import Shoot
from kitplan.sources import read_yaml
from kitplan.tables import folder, table
from tests.shoot.small import KIT, SHOOT
from tests.strategies import kits
from tests.strategies_shoot import shoots

app = typer.Typer()
app.command()(schema)
BY_KIND = {kind: Draft202012Validator(file_schema(kind)) for kind in FileKind}
FOLDERS = {FileKind.SHOOT: "scenarios", FileKind.KIT: "catalog"}
FILES = [(kind, path) for kind, name in FOLDERS.items() for path in folder(name).glob("*.yaml")]


def complaints(kind: FileKind, data: Any) -> list[str]:
    """Return what the schema holds against plain data, dates written as text."""
    as_text = json.loads(json.dumps(data, default=str))
    return [error.message for error in BY_KIND[kind].iter_errors(as_text)]


@pytest.mark.parametrize("kind", FileKind)
def test_it_is_a_schema_of_its_dialect(kind: FileKind) -> None:
    """It names draft 2020-12 and obeys it."""
    found = file_schema(kind)
    assert found["$schema"] == DIALECT
    assert found["title"] == f"kitplan {kind} file"
    Draft202012Validator.check_schema(found)


@pytest.mark.parametrize(("kind", "path"), FILES, ids=[path.stem for _, path in FILES])
def test_bundled_files_are_valid(kind: FileKind, path: Path) -> None:
    """Every demo passes."""
    assert not complaints(kind, read_yaml(path).data)


@settings(max_examples=10, deadline=None)
@given(kit=kits())
def test_kits_as_they_are_written_are_valid(kit: Kit) -> None:
    """What the program writes its own schema takes."""
    data = {
        "items": [facts_of(one) for one in kit.items],
        "units": [facts_of(one) for one in kit.units],
    }
    assert not complaints(FileKind.KIT, data)


@settings(max_examples=10, deadline=None)
@given(shoot=shoots())
def test_shoots_as_they_are_written_are_valid(shoot: Shoot) -> None:
    """What the records take the schema takes."""
    assert not complaints(FileKind.SHOOT, shoot.model_dump(mode="json", by_alias=True))


@pytest.mark.parametrize(
    ("kind", "old", "new", "complaint"),
    [
        (FileKind.SHOOT, "mains_hz: 50", "mains_hz: 55", "55 is not one of [50, 60]"),
        (FileKind.SHOOT, "gap_s: 30", "gaps: 30", "'gaps' was unexpected"),
        (FileKind.SHOOT, "start: 2027-05-15 14:00", "start: 14:00", "'14:00' does not match"),
        (FileKind.SHOOT, "title: Small evening\n", "", "'title' is a required property"),
        (FileKind.KIT, "owner: ana}\n- {id: zoom-1", "ower: ana}\n- {id: zoom-1", "'ower' was un"),
        (FileKind.KIT, "kind: head", "kind: hat", "is not valid under any of the given schemas"),
    ],
)
def test_broken_files_are_refused(kind: FileKind, old: str, new: str, complaint: str) -> None:
    """What the reader refuses an editor marks."""
    text = SHOOT if kind is FileKind.SHOOT else KIT
    load = YAML(typ="safe", pure=True).load
    assert not complaints(kind, load(text))
    assert old in text
    assert complaint in "\n".join(complaints(kind, load(text.replace(old, new))))


@pytest.mark.parametrize(
    ("old", "new", "complaint"),
    [
        ("at_m: [0, 8]", "at_m: [0, 8, 4]", "[0, 8, 4] is too long"),
        ("kind: window", "kind: lazer", "'lazer' is not one of ['lamp', 'window', 'laser']"),
        ("faces_deg: 180", "faces_deg: 400", "is not valid under any of the given schemas"),
        ("{id: back,", "{id: back, arc_deg: [350],", "is not valid under any of the given"),
        ("{id: back,", "{id: back, walk_m: -1,", "-1 is less than the minimum of 0"),
        ("{id: boxes,", "{id: boxes, empty_in: show,", "'show' is not of type 'array'"),
        ("house_lux: 8", "house_lux: -8", "is not valid under any of the given schemas"),
    ],
)
def test_what_a_view_sees_is_described(old: str, new: str, complaint: str) -> None:
    """Lamps, arcs, empty seats and the light on them are marked as the reader would."""
    load = YAML(typ="safe", pure=True).load
    assert old in SHOOT
    assert complaint in "\n".join(complaints(FileKind.SHOOT, load(SHOOT.replace(old, new))))


@pytest.mark.parametrize(
    ("record", "fields"),
    [
        ("Stage", "has_wings"),
        ("AudienceArea", "empty_in"),
        ("Lamp", "height_m faces_deg passes"),
        ("Position", "walk_m arc_deg park_deg"),
        ("Subject", "has_consent"),
        ("Pass", "house_lux"),
        ("Support", "sweep_m"),
    ],
)
def test_fields_carry_their_meaning(record: str, fields: str) -> None:
    """An editor shows what the docstring below a field says."""
    kind = FileKind.KIT if record == "Support" else FileKind.SHOOT
    properties = file_schema(kind)["$defs"][record]["properties"]
    for name in fields.split():
        assert properties[name]["description"], name


def test_rules_are_described_and_none_is_required() -> None:
    """Each rule carries its default and the comment of the table."""
    rules = file_schema(FileKind.SHOOT)["$defs"]["Rules"]
    assert "required" not in rules
    for name, default in table("rules").items():
        assert rules["properties"][name]["default"] == default
        assert rules["properties"][name]["description"]


def _nodes(node: Any) -> Iterator[dict[str, Any]]:
    if isinstance(node, dict):
        yield node
    for one in node.values() if isinstance(node, dict) else node if isinstance(node, list) else ():
        yield from _nodes(one)


@pytest.mark.parametrize("kind", FileKind)
def test_nothing_private_is_left_in(kind: FileKind) -> None:
    """Keys that only this program or another standard knows are gone."""
    for node in _nodes(file_schema(kind)):
        assert "words" not in node or isinstance(node["words"], dict)
        assert "discriminator" not in node


def test_every_record_is_described() -> None:
    """An editor shows what each block is for."""
    for kind in FileKind:
        for name, one in file_schema(kind)["$defs"].items():
            assert one.get("description"), name


def test_it_is_printed_or_written(tmp_path: Path) -> None:
    """The same text goes to the terminal or into a file."""
    printed = CliRunner().invoke(app, ["shoot"]).output
    path = tmp_path / "shoot.schema.json"
    result = CliRunner().invoke(app, ["shoot", "--out", str(path)])
    assert result.output == f"Wrote {path}.\n"
    assert path.read_text(encoding="utf-8") == printed
    assert json.loads(printed) == file_schema(FileKind.SHOOT)


def test_an_unknown_kind_of_file() -> None:
    """Only kits and shoots have a schema."""
    assert CliRunner().invoke(app, ["plan"]).exit_code == 2


def test_help_says_how_an_editor_uses_it() -> None:
    """The comment on the first line of a file is shown."""
    text = CliRunner().invoke(app, ["--help"]).output
    assert "# yaml-language-server: $schema=shoot.schema.json" in text
    assert "Example: kitplan schema shoot" in text
