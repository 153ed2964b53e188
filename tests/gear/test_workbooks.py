"""Workbooks of gear: nothing is lost on the way out and back, and no file of any kind breaks in."""

from __future__ import annotations

import zipfile
from datetime import date, time, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from kitplan.errors import BadInput, SettingError
from kitplan.gear.files import read_kit
from kitplan.gear.grids import Grid, read_grids
from kitplan.gear.kit import Away, Kit, Unit
from kitplan.gear.records import Battery
from kitplan.gear.workbooks import MOST_UNPACKED, read_workbook, write_workbook
from tests.strategies import kits
from tests.test_sources import complaint


def book(path: Path, *rows: tuple[Any, ...]) -> Path:
    """Write a workbook of one sheet."""
    made = Workbook()
    sheet = made.active
    for row in rows:
        sheet.append(row)
    made.save(path)
    return path


def changed_part(path: Path, name: str, old: bytes, new: bytes) -> Path:
    """Replace bytes of one part of a workbook, which must be there."""
    with zipfile.ZipFile(path) as archive:
        parts = {part: archive.read(part) for part in archive.namelist()}
    assert old in parts[name]
    parts[name] = parts[name].replace(old, new, 1)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for part, raw in parts.items():
            archive.writestr(part, raw)
    return path


def _texts(path: Path) -> str:
    """Return the part that holds the texts of a workbook."""
    with zipfile.ZipFile(path) as archive:
        shared = "xl/sharedStrings.xml"
        return shared if shared in archive.namelist() else SHEET


SHEET = "xl/worksheets/sheet1.xml"


def refusal(path: Path) -> str:
    """Return what reading complains about."""
    with pytest.raises(BadInput) as caught:
        read_grids(path)
    return str(caught.value)


@given(kit=kits())
@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_workbooks_round_trip_loses_nothing(tmp_path: Path, kit: Kit) -> None:
    """What is written is read back equal, whatever the names."""
    path = tmp_path / "kit.xlsx"
    write_workbook(kit, path)
    assert read_kit(path) == kit


def test_text_is_written_as_text_and_numbers_as_numbers(tmp_path: Path) -> None:
    """No formula, no date, no lost zeros; sums still work in a spreadsheet."""
    away = (Away(begins=date(2027, 5, 14), ends=date(2027, 5, 16), why="with the owner"),)
    unit = Unit(id="cell-1", item="cell", owner="=1+1", serial="007", value=12.5, away=away)
    path = tmp_path / "kit.xlsx"
    write_workbook(Kit(items=(Battery(id="cell", name="-cell"),), units=(unit,)), path)
    sheet = load_workbook(path)["units"]
    header = [cell.value for cell in sheet[1]]
    cells = dict(zip(header, sheet[2], strict=True))
    assert (cells["owner"].value, cells["owner"].data_type) == ("=1+1", "s")
    assert (cells["serial"].value, cells["serial"].data_type) == ("007", "s")
    assert cells["value"].value == 12.5
    assert cells["away"].value == "2027-05-14/2027-05-16 with the owner"


def test_cells_are_read_as_they_are_shown(tmp_path: Path) -> None:
    """Whole numbers without a point, days without a time, lengths of time as on a clock."""
    values = (5.0, 2.5, True, date(2027, 5, 14), time(1, 30), timedelta(hours=26), "x ")
    (grid,) = read_grids(book(tmp_path / "kit.xlsx", values))
    assert grid.rows[0].cells == ("5", "2.5", "yes", "2027-05-14", "01:30:00", "26:00:00", "x ")


def test_merged_hidden_and_unfinished_cells_are_noticed(tmp_path: Path) -> None:
    """A formula that no spreadsheet has worked out yet has no result in the file."""
    made = Workbook()
    sheet = made.active
    sheet.append(("Item", "Value"))
    sheet.append(("Sandbag", "=1+1"))
    sheet.merge_cells("A3:B4")
    made.create_sheet("old").append(("x",))
    made["old"].sheet_state = "hidden"
    made.save(tmp_path / "kit.xlsx")
    first, old = read_grids(tmp_path / "kit.xlsx")
    assert first.merged == ((3, 4, "A3:B4"),)
    assert first.formulas == {(2, 1)}
    assert (first.is_hidden, old.is_hidden) == (False, True)


def test_a_formula_with_its_result_is_that_result(tmp_path: Path) -> None:
    """As a spreadsheet saves it."""
    path = book(tmp_path / "kit.xlsx", ("Value",), ("=1+1",))
    changed_part(path, SHEET, b"<v></v>" if b"<v></v>" in _part(path) else b"<v />", b"<v>2</v>")
    (grid,) = read_grids(path)
    assert (grid.rows[1].cells, grid.formulas) == (("2",), frozenset())


def _part(path: Path) -> bytes:
    with zipfile.ZipFile(path) as archive:
        return archive.read(SHEET)


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (b"", "this is not an .xlsx workbook"),
        (b"Item,Owner\n", "Save it as .xlsx, or call it .csv"),
        (b"PK\x03\x04broken", "the workbook cannot be read"),
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1old",
            "this is an old workbook (.xls). Save it as .xlsx",
        ),
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "EncryptedPackage".encode("utf-16-le"),
            "protected by a password. Save it without",
        ),
    ],
    ids=["empty", "csv", "broken-zip", "old", "password"],
)
def test_what_is_no_workbook_is_told(tmp_path: Path, raw: bytes, message: str) -> None:
    """By what it is."""
    path = tmp_path / "kit.xlsx"
    path.write_bytes(raw)
    assert message in refusal(path)


def test_a_workbook_that_unpacks_to_too_much_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A few kilobytes of zeros that come to more than the limit are never unpacked."""
    assert MOST_UNPACKED == 100_000_000
    monkeypatch.setattr("kitplan.gear.workbooks.MOST_UNPACKED", 2_000_000)
    path = book(tmp_path / "kit.xlsx", ("Item",))
    assert read_grids(path)
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/media/bomb", bytes(3_000_000))
    assert path.stat().st_size < 20_000
    assert "the workbook unpacks to 3 MB" in refusal(path)


def test_another_kind_of_spreadsheet_is_told(tmp_path: Path) -> None:
    """Renamed, not saved anew."""
    path = tmp_path / "kit.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
    assert "another kind of spreadsheet. Save it as .xlsx" in refusal(path)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (b'<row r="1"', b'<row r="900000"', "the sheet goes down to row 900000. The limit is"),
        (b"<sheetData>", b"<!ENTITY a 'b'><sheetData>", "defines names of its own in its XML"),
    ],
)
def test_sheets_that_no_spreadsheet_writes_are_refused(
    tmp_path: Path, old: bytes, new: bytes, message: str
) -> None:
    """Before their rows are read."""
    path = book(tmp_path / "kit.xlsx", ("Item",))
    assert message in refusal(changed_part(path, SHEET, old, new))


def test_definitions_in_any_part_are_refused(tmp_path: Path) -> None:
    """A few names that stand for each other would grow without end."""
    path = book(tmp_path / "kit.xlsx", ("Item",))
    bomb = b"<!DOCTYPE a [<!ENTITY b 'bb'><!ENTITY c '&b;&b;'>]><workbook"
    assert "defines names of its own" in refusal(
        changed_part(path, "xl/workbook.xml", b"<workbook", bomb)
    )


def test_a_row_too_wide_is_refused(tmp_path: Path) -> None:
    """Something stands far to the right of the list."""
    path = book(tmp_path / "kit.xlsx", ("Item", *[None] * 300, "x"))
    assert "the row goes out to column 302. The limit is 200" in refusal(path)


def test_a_cell_too_long_makes_its_row_a_bad_one(tmp_path: Path) -> None:
    """The other rows are read."""
    path = book(tmp_path / "kit.xlsx", ("Item",), ("x" * 32_767,), ("Sandbag",))
    changed_part(path, _texts(path), b"xxxx", b"xxxxx")
    (grid,) = read_grids(path)
    assert "a cell holds 32768 characters" in str(grid.problems[0])
    assert len(grid.rows) == 2


def test_a_fact_too_long_for_a_cell_is_not_cut(tmp_path: Path) -> None:
    """Export refuses rather than lose the end of it."""
    photos = tuple(f"{number:03d}{'x' * 290}" for number in range(120))
    unit = Unit(id="cell-1", item="cell", owner="Ana", photos=photos)
    kit = Kit(items=(Battery(id="cell", name="cell"),), units=(unit,))
    with pytest.raises(SettingError, match="A cell holds 32767: export to YAML instead"):
        write_workbook(kit, tmp_path / "kit.xlsx")
    assert not (tmp_path / "kit.xlsx").exists()


@given(raw=st.binary(min_size=1, max_size=40), share=st.floats(0, 1))
@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_broken_workbooks_raise_only_bad_input(tmp_path: Path, raw: bytes, share: float) -> None:
    """Random bytes in the middle of a right one never end in a traceback."""
    path = tmp_path / "kit.xlsx"
    whole = _WHOLE.getvalue() or _filled().getvalue()
    place = int(share * len(whole))
    path.write_bytes(whole[:place] + raw + whole[place + len(raw) :])
    complaint(lambda: read_workbook(path))


_WHOLE = BytesIO()


def _filled() -> BytesIO:
    made = Workbook()
    made.active.append(("Item", "Owner"))
    made.save(_WHOLE)
    return _WHOLE


def test_a_column_too_many_is_named_in_the_exact_form(tmp_path: Path) -> None:
    """Cells beyond the header would be lost."""
    path = tmp_path / "kit.xlsx"
    made = Workbook()
    made.active.title = "batteries"
    made.active.append(("id", "name"))
    made.active.append(("cell", "cell", "lost"))
    made.save(path)
    with pytest.raises(BadInput, match=r"kit\.xlsx:batteries:2: the row has 3 cells but the table"):
        read_kit(path)


def grids_of(path: Path, text: str, encoding: str = "utf-8") -> Grid:
    """Read a CSV text."""
    path.write_text(text, encoding=encoding)
    (grid,) = read_grids(path)
    return grid


def test_a_csv_file_may_say_what_parts_its_cells(tmp_path: Path) -> None:
    """The line sep=; is no row, but it counts as a line."""
    grid = grids_of(tmp_path / "kit.csv", "sep=;\nItem, small;Owner\nx;Ana\n")
    assert [(row.number, row.cells) for row in grid.rows] == [
        (2, ("Item, small", "Owner")),
        (3, ("x", "Ana")),
    ]


def test_a_csv_file_of_mixed_delimiters_is_told_row_by_row(tmp_path: Path) -> None:
    """A row that is parted like no other is not read as one long name."""
    grid = grids_of(tmp_path / "kit.csv", "Item;Owner;Value\nSandbag;Ana;5\nTripod,Ben,6\n")
    assert len(grid.rows) == 2
    assert "kit.csv:3: the cells are parted by ',' here, by ';' elsewhere" in str(grid.problems[0])


def test_a_delimiter_inside_quotes_does_not_count(tmp_path: Path) -> None:
    """Three commas in a title, one semicolon outside."""
    grid = grids_of(tmp_path / "kit.csv", '"Item, or, what";Owner\nx;Ana\n')
    assert grid.delimiter == ";"
