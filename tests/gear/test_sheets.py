"""The kit as CSV sheets: reading what spreadsheets write, and writing what they read."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kitplan.errors import BadInput, SettingError
from kitplan.gear.files import read_kit
from kitplan.gear.kit import Kit
from kitplan.gear.records import Battery, Lens, Sound
from kitplan.gear.sheets import read_sheets, write_sheets
from tests.strategies import kits
from tests.test_sources import complaint

HEADS = "id,name,payload_kg,fitting\nfluid,fluid head,6.5,bowl-75\n"


def sheet(folder: Path, name: str, text: str | bytes) -> Path:
    """Write a sheet and return its path."""
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def refusal(*paths: Path) -> str:
    """Return what reading complains about."""
    with pytest.raises(BadInput) as caught:
        read_sheets(paths)
    return str(caught.value)


@pytest.mark.parametrize("name", ["heads.csv", "head.csv", "HEADS.CSV"])
def test_the_file_name_tells_the_kind(tmp_path: Path, name: str) -> None:
    """Singular and plural are both understood."""
    assert read_sheets([sheet(tmp_path, name, HEADS)]).items[0].kind == "head"


@pytest.mark.parametrize(
    "raw",
    [
        HEADS.encode(),
        b"\xef\xbb\xbf" + HEADS.encode(),
        HEADS.replace(",", "\t").encode("utf-16"),
        HEADS.replace(",", ";").replace("6.5", "6,5").encode(),
        HEADS.replace("\n", "\r\n").encode(),
        HEADS.replace("fluid head", '"fluid head"').encode("cp1252"),
    ],
    ids=["plain", "byte-order-mark", "utf-16-tabs", "semicolons", "crlf", "quotes"],
)
def test_what_spreadsheets_write_is_read(tmp_path: Path, raw: bytes) -> None:
    """Every usual way of saving gives the same head of 6.5 kg payload."""
    (head,) = read_sheets([sheet(tmp_path, "heads.csv", raw)]).items
    assert (head.name, head.model_dump()["payload_kg"]) == ("fluid head", 6.5)


def test_an_old_code_page_is_read_where_nothing_else_fits(tmp_path: Path) -> None:
    """Größe in cp1252 is no UTF-8 and still comes out right."""
    raw = HEADS.replace("fluid head", "Größe 2").encode("cp1252")
    assert read_sheets([sheet(tmp_path, "heads.csv", raw)]).items[0].name == "Größe 2"


@pytest.mark.parametrize(
    ("delimiter", "mass"), [(";", "1,250"), (";", "1.25"), (",", '"1,25"'), (",", "1.25")]
)
def test_decimal_commas_are_read(tmp_path: Path, delimiter: str, mass: str) -> None:
    """In a sheet with semicolons 1,250 is surely 1.25 kg."""
    text = "id,name,mass_kg\ncell,cell,{}\n".replace(",", delimiter).format(mass)
    (cell,) = read_sheets([sheet(tmp_path, "battery.csv", text)]).items
    assert cell.mass_kg == 1.25


def test_a_comma_that_can_mean_two_things_is_refused(tmp_path: Path) -> None:
    """Between commas, "1,250" may be 1.25 or 1250."""
    path = sheet(tmp_path, "battery.csv", 'id,name,mass_kg\ncell,cell,"1,250"\n')
    assert "battery.csv:2: 'cell', mass_kg is 1,250, which can mean" in refusal(path)
    assert "Write 1.250 or 1250" in refusal(path)


def test_a_column_kind_mixes_kinds(tmp_path: Path) -> None:
    """Cells of other kinds stay empty; lists are split at |."""
    path = sheet(
        tmp_path,
        "all.csv",
        "kind,id,name,what,batteries,charge_min,measured\n"
        "battery,cell,cell,,,,mass_kg|energy_wh\n"
        "charger,char,charger,,cell,90,\n"
        "Sound,mic,mic,microphone,,,\n",
    )
    cell, charger, mic = read_sheets([path]).items
    assert isinstance(cell, Battery)
    assert cell.measured == ("mass_kg", "energy_wh")
    assert charger.model_dump()["batteries"] == ("cell",)
    assert isinstance(mic, Sound)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "heads.csv:1: the sheet is empty"),
        ("id,nmae\n", "heads.csv:1: unknown column 'nmae'. Did you mean 'name'?"),
        ("id,id\n", "the column 'id' stands there twice. Keep one"),
        (HEADS + "x,x,1,bowl-75,5\n", "heads.csv:3: the row has 5 cells but the table has 4"),
        (HEADS + "x,x,heavy,bowl-75\n", ":3: 'x', payload_kg is 'heavy'. Write a number above 0"),
        (HEADS + "x,x,-1,bowl-75\n", ":3: 'x', payload_kg is '-1'. Write a number above 0"),
        (HEADS + "x,x,,bowl-75\n", ":3: 'x', payload_kg is missing. Add payload_kg: a number"),
        (HEADS + '"x\n', "this is not a CSV table"),
        ("kind,id,name\nhaed,x,x\n", ":2: kind is 'haed'. Did you mean 'head'?"),
    ],
)
def test_faulty_sheets_are_told_with_line_and_column(
    tmp_path: Path, text: str, message: str
) -> None:
    """Each message says where, what and what would be right."""
    assert message in refusal(sheet(tmp_path, "heads.csv", text))


def test_a_sheet_of_no_kind_is_refused(tmp_path: Path) -> None:
    """Neither name nor column tells what the rows are."""
    message = refusal(sheet(tmp_path, "stuff.csv", HEADS))
    assert "nothing says what kind of gear 'stuff' lists" in message
    assert "Add a column kind, or call it one of bodies, " in message


BODY = (
    "id,name,mount,sensor_width_mm,sensor_height_mm,max_iso,runs_on_mains\ncam,cam,E,36,24,{},yes\n"
)
MODES = (
    "body,name,frame_width_px,frame_height_px,frame_rate_fps,bit_rate_mbps\n{},hd,1920,1080,{},50\n"
)


def test_modes_join_their_body(tmp_path: Path) -> None:
    """A body takes its modes from modes.csv."""
    body = sheet(tmp_path, "bodies.csv", BODY.format(6400))
    modes = sheet(tmp_path, "modes.csv", MODES.format("cam", 25))
    (cam,) = read_sheets([body, modes]).items
    assert cam.model_dump()["modes"][0]["frame_rate_fps"] == 25


def test_faults_of_modes_and_body_are_told_together(tmp_path: Path) -> None:
    """A wrong mode does not hide the body's own faults, nor make up new ones."""
    body = sheet(tmp_path, "bodies.csv", BODY.format("lots"))
    modes = sheet(tmp_path, "modes.csv", MODES.format("cam", "x"))
    first, second = refusal(body, modes).splitlines()
    assert "bodies.csv:2: 'cam', max_iso is 'lots'" in first
    assert "modes.csv:2: frame_rate_fps is 'x'" in second


def test_modes_and_bodies_need_each_other(tmp_path: Path) -> None:
    """A body without modes and a mode without body are both told."""
    body = sheet(tmp_path, "bodies.csv", BODY.format(6400))
    modes = sheet(tmp_path, "modes.csv", MODES.format("cma", 25))
    message = refusal(body, modes)
    assert "body 'cam' has no recording modes. Add them in modes.csv" in message
    assert "modes.csv:2: body is 'cma', which is in none of the sheets. Did you mean 'cam'?" in (
        message
    )


def make_lens(name: str, note: str = "") -> Lens:
    """A lens of a given name."""
    return Lens(
        id="wide",
        name=name,
        note=note,
        focal_min_mm=8,
        focal_max_mm=8,
        stop_wide=2,
        closest_focus_m=0,
        mount="MFT",
        image_circle_mm=21.6,
    )


@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@a", "'=1", "''=1"])
def test_formulas_are_written_as_text(tmp_path: Path, name: str) -> None:
    """No cell begins with what a spreadsheet would run, and reading takes the guard off again."""
    write_sheets(Kit(items=(make_lens(name),)), tmp_path)
    text = (tmp_path / "lenses.csv").read_text(encoding="utf-8-sig")
    assert text.splitlines()[1].startswith(f"wide,'{name},")
    assert read_sheets([tmp_path / "lenses.csv"]).items[0].name == name


def test_an_apostrophe_of_ones_own_stays(tmp_path: Path) -> None:
    """Only the guard is taken off."""
    write_sheets(Kit(items=(make_lens("'t Hooft"),)), tmp_path)
    assert read_sheets([tmp_path / "lenses.csv"]).items[0].name == "'t Hooft"


@given(kit=kits())
@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_sheets_round_trip_loses_nothing(tmp_path: Path, kit: Kit) -> None:
    """What is written is read back equal, whatever the names."""
    for old in tmp_path.iterdir():
        old.unlink()
    write_sheets(kit, tmp_path)
    assert read_kit(tmp_path) == kit


@given(raw=st.binary(max_size=200), position=st.integers(0, 2000))
@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_broken_sheets_raise_only_bad_input(tmp_path: Path, raw: bytes, position: int) -> None:
    """Random bytes, alone or in the middle of a right sheet, never end in a traceback."""
    whole = HEADS.encode() * 3
    for text in (raw, whole[:position] + raw, whole[: position % len(whole)]):
        path = sheet(tmp_path, "heads.csv", text)
        assert complaint(partial(read_sheets, [path])) != ""


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    """A file is where the folder should be."""
    sheet(tmp_path, "taken", "x")
    with pytest.raises(SettingError, match="Give the path of a folder"):
        write_sheets(Kit.EMPTY, tmp_path / "taken")
