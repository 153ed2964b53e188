"""Lists of gear read row by row: what they come to, what is guessed, what is refused and why."""

from __future__ import annotations

import csv
from io import StringIO
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kitplan.gear.files import read_kit
from kitplan.gear.grids import Grid, Row, read_grids
from kitplan.gear.intake.columns import Meant
from kitplan.gear.intake.reading import Intake, Wishes, read_lists, write_bad_rows
from kitplan.gear.intake.things import Manner
from kitplan.gear.kit import Kit
from kitplan.gear.records import Lens
from tests.test_sources import complaint

LIST = """\
Our kit 2027;;;;;;;;;
Item;Qty;Belongs to;S/N;Weight (g);Case;Value (€);Condition;Mount;Bought
Full-frame camera;1;Ana;A-1;650;Camera bag;1.890,00;good;E-mount;2019
24-70 f/2.8 zoom;1;Ana;L-77;900;Camera bag;900;OK;E;
Camera bag;1;Ana;;1800;;60;used;;
Sandbag;4;Ben;-;5000;;;;;
128 GB SD card;3;Ana;;;;;;;
Video tripod;2;Ben;T1, T2;3300;;190;worn;;
"""


def table(text: str, name: str = "Gear", **more: object) -> Grid:
    """A sheet of cells parted by semicolons."""
    rows = csv.reader(StringIO(text), delimiter=";")
    numbered = tuple(Row(number, tuple(cells)) for number, cells in enumerate(rows, 1))
    return Grid(f"kit.xlsx:{name}", name, numbered, **more)  # type: ignore[arg-type]


def taken_in(*grids: Grid, known: Kit = Kit.EMPTY, wishes: Wishes | None = None) -> Intake:
    """Read tables."""
    return read_lists(grids, known, wishes or Wishes(owner="Ana"))


def faults(found: Intake) -> str:
    """Return everything that is wrong, a line each."""
    problems = [*found.problems, *(p for each in found.bad_rows for p in each.problems)]
    return "\n".join(map(str, sorted(problems)))


def test_a_list_as_people_keep_it_becomes_a_kit(tmp_path: Path) -> None:
    """A title, trade words, grams, a price in euros, four sandbags in a row, two serials in one."""
    path = tmp_path / "kit.csv"
    path.write_text(LIST, encoding="utf-8")
    found = read_lists(read_grids(path), Kit.EMPTY, Wishes())
    assert faults(found) == ""
    items, units = found.kit.items_by_id, {unit.id: unit for unit in found.kit.units}
    lens = items["24-70-f/2.8-zoom"]
    assert isinstance(lens, Lens)
    assert (lens.mass_kg, lens.mount, lens.focal_min_mm, lens.stop_wide) == (0.9, "E", 24, 2.8)
    camera = items["full-frame-camera"].model_dump()
    assert (camera["sensor_width_mm"], camera["mount"]) == (36, "E")
    bag = units["full-frame-camera-1"].case
    assert (bag, units["camera-bag-1"].condition) == ("camera-bag-1", "worn")
    assert units["full-frame-camera-1"].value == 1890
    assert units["full-frame-camera-1"].note == "Bought: 2019"
    assert sum(unit.item == "sandbag" for unit in found.kit.units) == 4
    assert [u.serial for u in found.kit.units if u.item == "video-tripod"] == ["T1", "T2"]
    assert any("above row 2" in remark for remark in found.remarks)
    assert any("no column is called so here: Bought" in remark for remark in found.remarks)


def test_guesses_are_listed_and_facts_told_are_not() -> None:
    """A lens of 70 mm is taken to focus from 0.63 m (9 times), and that is still to ask."""
    (lens,) = taken_in(table("Item;Mount\n24-70 f/2.8 zoom;E\n")).kit.items
    assert isinstance(lens, Lens)
    assert lens.closest_focus_m == 0.63
    assert set(lens.to_ask) == {"mass_kg", "closest_focus_m", "image_circle_mm", "iris"}
    told = "Item;Mount;Weight;MFD;Covers;Iris\n24-70 f/2.8 zoom;E;0.9;38 cm;full frame;ring\n"
    (lens,) = taken_in(table(told)).kit.items
    assert isinstance(lens, Lens)
    assert (lens.closest_focus_m, lens.image_circle_mm, lens.to_ask) == (0.38, 43.3, ())


def test_a_body_without_a_word_on_power_has_a_battery_that_nobody_owns() -> None:
    """It cannot be planned with before somebody says how many batteries there are."""
    found = taken_in(table("Item;Mount\nFull frame camera;E\n"))
    assert [item.id for item in found.kit.items] == [
        "full-frame-camera",
        "battery-for-the-full-frame-camera",
    ]
    assert [unit.item for unit in found.kit.units] == ["full-frame-camera"]


def test_the_kind_comes_from_column_name_sheet_or_heading() -> None:
    """The last word of a name counts before sheet and heading; a heading until the next one."""
    by_column = table("Item;Type;Mount\n24-70 f/2.8;Lens;E\n")
    by_sheet = table("Item;Mount\n35 f/1.4;E\n", "Lenses")
    by_heading = table("Item;Owner\nCases;\nThe red one;Ana\nAccessories;\nThe blue one;Ben\n", "x")
    kinds = [item.kind for item in taken_in(by_column, by_sheet, by_heading).kit.items]
    assert kinds == ["lens", "lens", "accessory", "case"]
    by_name = table("#;Item;Owner\n1;SUPPORT;\n2;Fluid head;Ana\n3;Head strap;Ana\n;Total;5\n")
    found = taken_in(by_name)
    assert [item.kind for item in found.kit.items] == ["head", "support"]
    assert any("row 2 '1 SUPPORT', row 5 'Total 5'" in remark for remark in found.remarks)


def test_maker_and_model_are_the_name_and_the_kind_is_told_by_the_thing() -> None:
    """'Camera' says the kind, 'C-1' which one; a bag is found by its model too."""
    text = (
        "Item;Make;Model;Sensor;Mount;Case\nCamera;Acme;C-1;APS-C;X;Bag 1\nCamera bag;;Bag 1;;;\n"
    )
    found = taken_in(table(text))
    assert faults(found) == ""
    assert [
        (item.kind, item.name) for item in found.kit.items if item.kind in ("body", "case")
    ] == [
        ("body", "Acme C-1"),
        ("case", "Camera bag (Bag 1)"),
    ]
    assert found.kit.units[0].case == "camera-bag-bag-1-1"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("Item;Mount\n50 f/1.8 lens;Ee\n", "'Ee', which is not in the mount table"),
        ("Item;Weight\nLens cap;heavy\n", "Gear:2: column B 'Weight' is 'heavy'. Write a number"),
        ("Item;Weight\nLens cap;450\n", "column B 'Weight' is '450', 450 kg for a accessory"),
        ("Item;Status\nSandbag;purple\n", "column B 'Status' is 'purple'. Write one of good, worn"),
        ("Item;Owner\nThingummy;Ana\n", "Gear:2: nothing says what kind it is. Add a column kind"),
        ("Item;Type\nThing;Widget\n", "'Widget' is no kind of gear. Known here: accessory"),
        ("Item;Mount\nCamera;E\n", "sensor is missing. Add a column 'sensor', such as full frame"),
        ("Item;Max aperture\nZoom 24-70;2.8\n", "mount is missing. Add a column 'mount'"),
        ("Item;S/N\nSandbag;7\nSandbag;7\n", "Gear:3: the serial 7 stands in row 2 of Gear too"),
        ("Item;Qty;S/N\nSandbag;2;7\n", "column C 'S/N' has 1 serials for 2 things"),
        ("Item;S/N\nSandbag;1234567890123450\n", "a spreadsheet has rounded the number"),
        ("Item;S/N\nSandbag;1.23E+17\n", "a spreadsheet has rounded the number"),
        ("Item;Case\nSandbag;Red box\n", "the case 'Red box' is nowhere listed. Add a row for it"),
        ("Item;ID\nSandbag;s1\nTripod;s1\n", "the id 's1' stands in row 2 of Gear too"),
        ("Item;Weight\nSandbag;5\nSandbag;6\n", "mass_kg of 'Sandbag' is 6.0 here, 5.0 in row 2"),
        ("Item;Value\nSandbag;#REF!\n", "column B 'Value' holds the error #REF!"),
        ("Item;Owner\nSandbag;JosÃ©\n", "column B 'Owner' holds 'Ã©', letters of another encoding"),
        ("Item;Service due\nSandbag;46156\n", "the number 46156, which stands for 2026-05-14"),
        (
            "Item;Focal length;Mount\nLens;2026-10-18;E\n",
            "a spreadsheet has made of what was typed",
        ),
        ("Item;Sensor\nCamcorder;1 inch\n", "neither its mount nor its own lens is told. Add a"),
        ("Item;S/N\n;5\n", "the row has no name. Say what the thing is"),
        ("Item;Weight (g)\nTripod head;1.9\n", "'1.9', 0.0019 kg for a head. Write the unit"),
        ("Item;Note\nSandbag;" + "n" * 2001, "note has 2001 letters. Write text of at most 2000"),
        ("Item\nAA battery\nPack battery\nTwo-bay charger\n", "Add a column 'for battery'"),
    ],
)
def test_rows_that_cannot_be_read_are_told(text: str, message: str) -> None:
    """With sheet, row, column, reason and remedy."""
    assert message in faults(taken_in(table(text)))


def test_a_row_without_an_owner_is_told() -> None:
    """Unless one is given for all that have none."""
    sandbag = table("Item;Value\nSandbag;5\n")
    assert "nothing says whose it is" in faults(taken_in(sandbag, wishes=Wishes()))
    assert taken_in(sandbag, wishes=Wishes(owner="Ben")).kit.units[0].owner == "Ben"


def test_merged_cells_formulas_without_result_and_hidden_sheets_are_told() -> None:
    """Nothing is read into what a spreadsheet does not say."""
    text = "Item;Owner\nSandbag;Ana\nOld tripod;\n"
    assert "Gear:3: the cells B2:B3 are merged" in faults(
        taken_in(table(text, merged=((2, 3, "B2:B3"),)))
    )
    formulas = frozenset({(3, 1)})
    assert "column B 'Owner' holds a formula without its result" in faults(
        taken_in(table(text, formulas=formulas))
    )
    hidden = table(text, is_hidden=True)
    assert "the sheet is hidden. Show it, delete it, or name" in faults(taken_in(hidden))
    assert taken_in(hidden, wishes=Wishes(sheets=("gear",), owner="Ana")).kit.units


def test_only_named_sheets_are_read() -> None:
    """A name that there is not is told with the nearest one."""
    both = table("Item;Owner\nSandbag;Ana\n"), table("nonsense\n", "Notes")
    assert faults(taken_in(*both, wishes=Wishes(sheets=("Gear",)))) == ""
    assert "no row with names of columns" in faults(taken_in(*both))
    assert "no sheet 'Geer'. Did you mean 'Gear'?" in faults(
        taken_in(*both, wishes=Wishes(sheets=("Geer",)))
    )


def test_a_faulty_row_takes_with_it_only_what_hangs_on_it() -> None:
    """The bag cannot be read, so what is at home in it cannot either; the rest stands."""
    text = "Item;Case;Value\nCamera bag;;cheap\nLens cap;Camera bag;1\nSandbag;;5\n"
    found = taken_in(table(text))
    assert [unit.item for unit in found.kit.units] == ["sandbag"]
    assert [row.row.number for row in found.bad_rows] == [2, 3]


def known_kit() -> Kit:
    """An inventory with a measured tripod of serial T1."""
    found = taken_in(table("Item;S/N;Weight;Value\nVideo tripod;T1;3.3;190\n")).kit
    tripod = found.items[0].model_copy(update={"measured": ("mass_kg", "payload_kg")})
    return found.model_copy(update={"items": (tripod,)})


@pytest.mark.parametrize(
    ("manner", "text", "message", "ids"),
    [
        ("new", "Video tripod;T2", "'video-tripod' is in the inventory already. Use --more", []),
        ("more", "Video tripod;T2", "", ["video-tripod-2"]),
        ("more", "Video tripod;T1", "the serial T1 is that of 'video-tripod-1' in the inv", []),
        ("replace", "Video tripod;T1", "", ["video-tripod-1"]),
        ("replace", "Video tripod;", "", ["video-tripod-1"]),
        ("new", "Ball head;B1", "", ["ball-head-1"]),
    ],
)
def test_what_is_owned_already_is_met_as_wished(
    manner: Manner, text: str, message: str, ids: list[str]
) -> None:
    """Refused, joined by further units, or overwritten where serial or number is the same."""
    wishes = Wishes(owner="Ben", manner=manner)
    found = taken_in(table(f"Item;S/N\n{text}\n"), known=known_kit(), wishes=wishes)
    assert message in faults(found)
    assert [unit.id for unit in found.kit.units] == ids


def test_overwriting_keeps_what_the_list_does_not_say() -> None:
    """The value of the unit and the measured payload stay; a weight told anew is assumed again."""
    wishes = Wishes(owner="Ben", manner="replace")
    found = taken_in(
        table("Item;S/N;Weight\nVideo tripod;T1;3.5\n"), known=known_kit(), wishes=wishes
    )
    (tripod,), (unit,) = found.kit.items, found.kit.units
    assert (tripod.mass_kg, tripod.measured) == (3.5, ("payload_kg",))
    assert (unit.owner, unit.value) == ("Ben", 190)


def test_more_units_must_be_of_the_same_kind_of_thing() -> None:
    """A weight that differs from the inventory's is told."""
    found = taken_in(
        table("Item;Weight\nVideo tripod;4\n"),
        known=known_kit(),
        wishes=Wishes(owner="A", manner="more"),
    )
    assert "'video-tripod': mass_kg is 4.0 here, 3.3 in the inventory" in faults(found)


def test_columns_named_in_a_file_count_first() -> None:
    """Heft is the weight in pounds; 2 lb are 0.907185 kg."""
    wishes = Wishes({"heft": Meant("mass_kg", "lb"), "bought": Meant("ignore")}, owner="Ana")
    found = taken_in(table("Item;Heft;Bought\nSandbag;2;2019\n"), wishes=wishes)
    assert found.kit.items[0].mass_kg == pytest.approx(0.907185)
    assert found.kit.units[0].note == ""


def test_bad_rows_are_written_to_be_mended(tmp_path: Path) -> None:
    """Each with its problem; mended, they are read, and the problem is not taken for a note."""
    path = tmp_path / "mend.csv"
    found = taken_in(table("Item;Value\n35 f/1.4;cheap\n=1+1 f/2 50mm;5\n", "Lenses"))
    write_bad_rows(found.bad_rows, path)
    text = path.read_text(encoding="utf-8-sig")
    assert text.splitlines()[0] == "Item,Value,kind,problem"
    assert "'=1+1" in text
    path.write_text(
        text.replace("cheap", "5")
        .replace("Item,", "Item,Mount,")
        .replace("35 f/1.4,", "35 f/1.4,E,")
        .replace("50mm,", "50mm,E,"),
        encoding="utf-8",
    )
    mended = taken_in(*read_grids(path))
    assert faults(mended) == ""
    assert [item.kind for item in mended.kit.items] == ["lens", "lens"]
    assert [unit.note for unit in mended.kit.units] == ["", ""]


@given(raw=st.binary(max_size=200), position=st.integers(0, 500))
@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_broken_lists_raise_only_bad_input(tmp_path: Path, raw: bytes, position: int) -> None:
    """Random bytes in the middle of a list are told or read, never a traceback."""
    path = tmp_path / "kit.csv"
    whole = LIST.encode()
    path.write_bytes(whole[:position] + raw + whole[position:])
    complaint(lambda: taken_in(*read_grids(path)))


def test_what_is_taken_in_obeys_every_rule_of_a_kit(tmp_path: Path) -> None:
    """It can be exported and read in the exact form."""
    from kitplan.gear.workbooks import write_workbook

    kit = taken_in(table(LIST)).kit
    write_workbook(kit, tmp_path / "kit.xlsx")
    assert read_kit(tmp_path / "kit.xlsx") == kit


def test_a_body_with_its_own_lens_is_told_by_the_columns_of_lenses() -> None:
    """Focal range and aperture are those of the lens built in; where it focuses is still to ask."""
    text = "Item;Sensor;Focal length;Aperture\nCamcorder;1 inch;9-135 mm;f/2.8-4.5\n"
    body = taken_in(table(text)).kit.items[0].model_dump()
    built_in = body["built_in"]
    assert (built_in["focal_max_mm"], built_in["stop_tele"]) == (135, 4.5)
    assert "built_in.closest_focus_m" in body["to_ask"]
    told = text.replace("Aperture", "Aperture;MFD").replace("f/2.8-4.5", "f/2.8-4.5;80 cm")
    body = taken_in(table(told)).kit.items[0].model_dump()
    assert (body["built_in"]["closest_focus_m"], "built_in" in str(body["to_ask"])) == (0.8, False)


def test_a_cell_too_many_is_a_fault_of_its_row() -> None:
    """In a CSV file a comma has lost its quotes there."""
    found = taken_in(table("Item;Owner\nSandbag;Ana;5\nTripod;Ben\n", delimiter=";"))
    assert "Gear:2: the row has 3 cells but the header 2. Put cells that contain" in faults(found)
    assert [unit.item for unit in found.kit.units] == ["tripod"]


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("24-70 f/2.8", (24, 70, 2.8, None)),
        ("24-70/2.8", (24, 70, 2.8, None)),
        ("50 mm 1:1.8", (50, 50, 1.8, None)),
        ("35/1.4", (35, 35, 1.4, None)),
        ("70-300mm f/4-5.6", (70, 300, 4, 5.6)),
        ("Macro 100mm F2.8", (100, 100, 2.8, None)),
    ],
)
def test_focal_length_and_stop_stand_in_names(
    name: str, expected: tuple[float, float, float, float | None]
) -> None:
    """Such a name says that it is a lens, too."""
    (lens,) = taken_in(table(f"Item;Mount\n{name};E\n")).kit.items
    assert isinstance(lens, Lens)
    assert (lens.focal_min_mm, lens.focal_max_mm, lens.stop_wide, lens.stop_tele) == expected


def test_nothing_that_a_row_says_is_dropped() -> None:
    """Remarks, columns that nobody knows and facts of other kinds of gear end in the note."""
    text = "Item;Notes;Bought;Filter\nSandbag;leaks;2019;77 mm\n"
    assert taken_in(table(text)).kit.units[0].note == "leaks; Bought: 2019; Filter: 77 mm"


def test_an_owner_has_one_spelling() -> None:
    """That of the inventory, or else the first one: totals for each owner depend on it."""
    found = taken_in(
        table("Item;Owner\nSandbag;ANA\nLens cap;Ben\nTorch;ben \n"), known=known_kit()
    )
    assert faults(found) == ""
    assert [unit.owner for unit in found.kit.units] == ["Ana", "Ben", "Ben"]
    assert "'ANA' is Ana, 'ben' is Ben" in found.remarks[-1]


def test_what_nobody_sees_is_taken_out_of_names() -> None:
    """Spaces of no width, and marks that turn what follows back to front."""
    found = taken_in(table("Item;Owner\n\u202eSand\u200bbag;A\ufeffna\n"))
    assert [unit.owner for unit in found.kit.units] == ["Ana"]
    assert [item.name for item in found.kit.items] == ["Sandbag"]


def test_guessed_letters_are_told(tmp_path: Path) -> None:
    """A file that is not UTF-8 may be of another alphabet: one of its words is shown."""
    for encoding, number in (("cp1252", 1), ("utf-8", 0), ("utf-16", 0)):
        path = tmp_path / f"{encoding}.csv"
        path.write_bytes("Item,Owner\nSandbag,Jörg\n".encode(encoding))
        found = taken_in(*read_grids(path))
        assert [unit.owner for unit in found.kit.units] == ["Jörg"]
        assert ["'Jörg'. If they are wrong, save it as UTF-8" in e for e in found.remarks] == (
            [True] * number
        )
