"""Reading kits from files and folders, the rules across records, and writing YAML."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from kitplan.errors import BadInput, SettingError
from kitplan.gear.files import read_kit, write_kit
from kitplan.gear.kit import Kit
from kitplan.gear.records import Lens
from tests.strategies import kits

KIT = """\
items:
- {kind: battery, id: cell, name: cell}
- kind: body
  id: cam
  name: camera
  mount: E
  sensor_width_mm: 35,8
  sensor_height_mm: 24
  max_iso: 6400
  battery: cell
  battery_min: 90
  modes:
  - {name: hd, frame_width_px: 1920, frame_height_px: 1080, frame_rate_fps: 25, bit_rate_mbps: 50}
- {kind: case, id: crate, name: crate, volume_l: 60, most_load_kg: 20}
units:
- {id: crate-1, item: crate, owner: Ana}
- {id: cam-1, item: cam, owner: Ana, case: crate-1, serial: 00123}
"""


@pytest.fixture
def kit_file(tmp_path: Path) -> Path:
    """A small right kit as a YAML file."""
    path = tmp_path / "kit.yaml"
    path.write_text(KIT, encoding="utf-8")
    return path


def changed(path: Path, old: str, new: str) -> Path:
    """Replace a piece of the file, which must be there."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return path


def refusal(path: Path, *more: Path) -> str:
    """Return what reading complains about."""
    with pytest.raises(BadInput) as caught:
        read_kit(path, *more)
    return str(caught.value)


def test_a_kit_is_read_with_decimal_comma_and_leading_zeros(kit_file: Path) -> None:
    """35,8 is a number and the serial 00123 stays as it is written."""
    kit = read_kit(kit_file)
    assert kit.items_by_id["cam"].model_dump()["sensor_width_mm"] == 35.8
    assert [unit.serial for unit in kit.units] == ["", "00123"]
    assert [item.kind for item in kit.items] == ["body", "battery", "case"]


@pytest.mark.parametrize(
    ("old", "new", "line", "wrong", "right"),
    [
        ("item: cam,", "item: cma,", 17, "of item 'cma'", "Did you mean 'cam'?"),
        ("case: crate-1", "case: crate-2", 17, "'crate-2', which does not", "'crate-1'?"),
        ("case: crate-1", "case: cam-1", 17, "'cam-1', which is not a case", "a case"),
        ("owner: Ana}\n-", "owner: Ana, case: crate-1}\n-", 16, "inside itself", "no case"),
        ("battery: cell", "battery: crate", 10, "'crate', which is not a battery", "battery"),
        ("battery: cell", "battery: cel", 10, "which does not exist", "'cell'?"),
        ("mount: E", "mount: Ee", 6, "'Ee', which is not in the mount table", "Or write own/Ee"),
        ("id: crate-1, item", "id: cam-1, item", 17, "'cam-1' is given twice", "of its own"),
        ("id: crate,", "id: cell,", 14, "'cell' is given twice", "of its own"),
        ("id: cam-1", "id: cam", 17, "same id as the item", "Call the unit cam-1"),
        ("mount: E\n", "mout: E\n", 6, "unknown key 'mout'", "Did you mean 'mount'?"),
        ("kind: case", "kind: csae", 14, "kind is 'csae'", "Did you mean 'case'?"),
    ],
)
def test_what_does_not_fit_is_told_with_line_and_remedy(
    kit_file: Path, old: str, new: str, line: int, wrong: str, right: str
) -> None:
    """Each message names the file, the line, what is wrong and what would be right."""
    message = refusal(changed(kit_file, old, new))
    assert f"kit.yaml:{line}: " in message
    assert wrong in message
    assert right in message


def test_all_problems_are_told_at_once(kit_file: Path) -> None:
    """Two faults in one file make two lines."""
    changed(kit_file, "max_iso: 6400", "max_iso: lots")
    changed(kit_file, "volume_l: 60", "volume_l: 0")
    message = refusal(kit_file)
    assert "max_iso is 'lots'. Write a number above 0" in message
    assert "volume_l is 0. Write a number above 0" in message


def adapter_file(folder: Path, lens_mount: str, body_mount: str) -> Path:
    """A kit of one plain adapter."""
    path = folder / "ring.yaml"
    path.write_text(
        f"items:\n- {{kind: adapter, id: ring, name: ring, lens_mount: {lens_mount},"
        f" body_mount: {body_mount}}}\n",
        encoding="utf-8",
    )
    return path


@pytest.mark.parametrize(
    ("lens_mount", "body_mount"),
    [("EF", "E"), ("own/a", "E"), ("E", "own/a"), ("own/a", "own/a")],
    ids=["26-mm-apart", "own-lens", "own-body", "own-both"],
)
def test_possible_rings_are_read(tmp_path: Path, lens_mount: str, body_mount: str) -> None:
    """EF 44 - E 18 = 26 mm leaves room; the user's own mounts are the user's matter."""
    assert len(read_kit(adapter_file(tmp_path, lens_mount, body_mount)).items) == 1


@pytest.mark.parametrize(
    ("lens_mount", "body_mount", "apart"),
    [("E", "EF", "-26.00 mm"), ("MFT", "E", "1.25 mm"), ("E", "E", "0.00 mm")],
)
def test_rings_need_room(tmp_path: Path, lens_mount: str, body_mount: str, apart: str) -> None:
    """MFT 19.25 - E 18 = 1.25 mm is enough for a ring of 1 mm; less is refused with the sums."""
    path = adapter_file(tmp_path, lens_mount, body_mount)
    if apart == "1.25 mm":
        assert read_kit(path).items
        return
    message = refusal(path)
    assert f"{apart} apart" in message
    assert "at least 1 mm: set has_glass" in message


def test_glass_lifts_the_rule(tmp_path: Path) -> None:
    """An adapter with glass may go the other way."""
    path = adapter_file(tmp_path, "E", "EF")
    assert read_kit(changed(path, "body_mount", "has_glass: true, body_mount")).items


def test_a_folder_is_merged_and_hidden_files_are_skipped(kit_file: Path) -> None:
    """Files of a folder make one kit; ids may not repeat across them."""
    folder = kit_file.parent
    (folder / ".hidden.yaml").write_text("broken: [", encoding="utf-8")
    (folder / "readme.txt").write_text("not gear", encoding="utf-8")
    more = folder / "more.yml"
    more.write_text("units:\n- {id: cam-2, item: cam, owner: Ben}\n", encoding="utf-8")
    assert [unit.id for unit in read_kit(folder).units] == ["crate-1", "cam-1", "cam-2"]
    changed(more, "cam-2", "cam-1")
    assert "more.yml:2: the unit id 'cam-1' is given twice" in refusal(folder)


def test_sheets_and_yaml_mix(kit_file: Path) -> None:
    """A sheet of units beside a YAML file of items belongs to the same kit."""
    (kit_file.parent / "units.csv").write_text(
        "id;item;owner;health\ncell-1;cell;Ana;0,8\n", encoding="utf-8"
    )
    assert read_kit(kit_file.parent).units[-1].health == 0.8


def test_known_gear_may_be_referred_to(kit_file: Path, tmp_path: Path) -> None:
    """Units of an item that the inventory holds already can be read alone."""
    units = tmp_path / "units.yaml"
    units.write_text("units:\n- {id: cam-9, item: cam, owner: Ben}\n", encoding="utf-8")
    assert read_kit(units, known=read_kit(kit_file)).units[0].id == "cam-9"
    assert "which does not exist" in refusal(units)


def test_an_empty_folder_is_refused(tmp_path: Path) -> None:
    """A folder without kit files is a mistake, not an empty kit."""
    assert "holds no kit files" in refusal(tmp_path)


def test_spreadsheets_are_refused_rather_than_skipped(kit_file: Path) -> None:
    """A spreadsheet among the files must not silently stay unread."""
    (kit_file.parent / "more.ods").write_bytes(b"PK")
    assert "'.ods' are not read. Save it as .xlsx" in refusal(kit_file.parent)


@given(kit=kits())
@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_yaml_round_trip_loses_nothing(tmp_path: Path, kit: Kit) -> None:
    """What is written is read back equal, whatever the names."""
    path = tmp_path / "round.yaml"
    write_kit(kit, path)
    assert read_kit(path) == kit


def test_defaults_are_left_out_and_the_old_file_goes_as_a_whole(tmp_path: Path) -> None:
    """The file says what the kit says, and no scratch file stays behind."""
    lens = Lens(
        id="wide",
        name="wide",
        focal_min_mm=8,
        focal_max_mm=8,
        stop_wide=2,
        closest_focus_m=0.2,
        mount="MFT",
        image_circle_mm=21.6,
    )
    path = tmp_path / "kit.yaml"
    path.write_text("old", encoding="utf-8")
    write_kit(Kit(items=(lens,)), path)
    text = path.read_text(encoding="utf-8")
    assert text.startswith("items:\n- kind: lens\n  id: wide\n  name: wide\n")
    assert "least_stop" not in text
    assert [one.name for one in tmp_path.iterdir()] == ["kit.yaml"]


def test_a_missing_folder_cannot_be_written_to(tmp_path: Path) -> None:
    """The message says where and what to check."""
    with pytest.raises(SettingError, match="Check that the folder exists"):
        write_kit(Kit.EMPTY, tmp_path / "no" / "kit.yaml")
