"""Labels: codes that decode, words that fit, everything where the sheet has its labels."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from typing import Any

import numpy as np
import pytest
from PIL import Image

from kitplan.errors import SettingError
from kitplan.gear.kit import Kit
from kitplan.paper.drawings.text import width_mm
from kitplan.paper.pack.labels.codes import (
    LEAST_MODULE_MM,
    QUIET,
    address_of,
    code_of,
    modules_of,
    svg_of,
    unit_of,
)
from kitplan.paper.pack.labels.contents import Label, labels_of_kit, labels_of_plan
from kitplan.paper.pack.labels.layout import INSET_MM, LEAST_ID_MM, Drawn, drawn
from kitplan.paper.pack.labels.stock import Stock, stock_of
from kitplan.paper.pack.out.labels import labels_pdf, labels_png
from kitplan.paper.pack.setting import PAGES_MM
from kitplan.tables import table
from tests.day.cases.small import items, units
from tests.paper.pack.listed import everything
from tests.paper.pack.test_packing import HOSTILE
from tests.stored import stored_plan

DOTS = 200
ROUNDING_MM = 1e-6
LONGEST = "Zz9._/+-" * 7 + "long"
IDS = ("a", "card-128-1", LONGEST, "W" * 60, "0" * 60, "x" + "/" * 59, "battery-for-the-camera-12")
HARD = tuple(Label(unit, HOSTILE, HOSTILE, "N") for unit in IDS)


def test_codes_and_ids_belong_together() -> None:
    """A code of something else is no unit."""
    assert len(LONGEST) == 60
    for unit in IDS:
        assert unit_of(code_of(unit)) == unit
    for code in ("card-1", "kitplan:unit/", "kitplan:unit/a b", "https://kitplan:unit/a", ""):
        assert unit_of(code) is None
    assert unit_of("kitplan:unit/" + "a" * 61) is None


@pytest.mark.parametrize(
    "address", ["http://192.168.1.20:8047", "https://kit.example", "http://[::1]:80"]
)
def test_a_code_with_an_address_stands_for_its_unit_too(address: str) -> None:
    """A phone opens the page, a scanner reads the id out of it."""
    assert address_of(f" {address}/ ") == address
    for unit in IDS:
        assert code_of(unit, address) == f"{address}/gear/u/{unit}"
        assert unit_of(code_of(unit, address)) == unit
    dotted = "bag/../zoom-1"  # a browser would open zoom-1
    assert code_of(dotted, address) == f"{address}/gear/u/bag~..~zoom-1"
    assert unit_of(code_of(dotted, address)) == dotted
    for code in (
        f"{address}/gear/u/~a",
        f"{address}/gear/u/",
        f"{address}/gear/u/a b",
        f"{address}/plan",
        f"x{address}/gear/u/a",
    ):
        assert unit_of(code) is None


@pytest.mark.parametrize(
    "text",
    ["", "192.168.1.20:8047", "ftp://a", "http://", "http://a/b", "http://a b", "http://a:x"],
)
def test_what_is_no_address_is_refused(text: str) -> None:
    """Before a whole sheet is printed with codes that lead nowhere."""
    with pytest.raises(SettingError, match="such as http://192"):
        address_of(text)


def test_a_printed_address_decodes() -> None:
    """By another program, at the size of a usual label."""
    import cv2

    page = "http://192.168.100.200:8047"
    label = Label("battery-for-the-camera-12", "battery", "Ida", address=page)
    stock = stock_of("a4-21", None, None, None)
    (png,) = labels_png(drawn((label,), stock), stock, dots_per_inch=DOTS)
    picture = cv2.imdecode(np.frombuffer(png, np.uint8), cv2.IMREAD_COLOR)
    text, _, _ = cv2.QRCodeDetector().detectAndDecode(cut_out(stock, picture, 0))
    assert text == f"{page}/gear/u/battery-for-the-camera-12"


@cache
def sheet_of_hard_ones() -> tuple[Stock, tuple[Drawn, ...], Any]:
    """Return labels of hard ids on a sheet with two gone, and the page as grey values."""
    stock = stock_of("a4-21", None, None, None)
    done = drawn(HARD, stock)
    (page,) = labels_png(done, stock, skip=2, dots_per_inch=DOTS)
    return stock, done, np.asarray(Image.open(BytesIO(page)).convert("L"))


def cut_out(stock: Stock, page: Any, number: int) -> Any:
    """Return the picture of one label."""
    _, x_mm, y_mm = stock.place(number)
    left, top = round(x_mm * DOTS / 25.4), round(y_mm * DOTS / 25.4)
    width, height = round(stock.width_mm * DOTS / 25.4), round(stock.height_mm * DOTS / 25.4)
    return page[top : top + height, left : left + width]


@pytest.mark.parametrize("number", range(len(IDS)))
def test_a_printed_code_decodes_to_its_unit(number: int) -> None:
    """At 200 dots an inch, read by another program, up to ids of 60 characters."""
    import cv2

    stock, _, page = sheet_of_hard_ones()
    picture = cv2.cvtColor(cut_out(stock, page, number + 2), cv2.COLOR_GRAY2BGR)
    text, _, _ = cv2.QRCodeDetector().detectAndDecode(picture)
    assert unit_of(text) == IDS[number]


def test_labels_lie_where_the_sheet_has_them() -> None:
    """The first black of each code, to a dot; two labels are skipped; nothing beside the labels."""
    stock, done, page = sheet_of_hard_ones()
    inside = np.zeros_like(page, dtype=bool)
    for number, one in enumerate(done, 2):
        _, x_mm, y_mm = stock.place(number)
        quiet_mm = QUIET * one.module_mm
        for row, column in ((0, 0), (0, 3)):  # the corner mark is black three modules on as well
            x = (x_mm + one.code_x_mm + quiet_mm + column * one.module_mm) * DOTS / 25.4
            y = (y_mm + one.code_y_mm + quiet_mm + row * one.module_mm) * DOTS / 25.4
            assert page[round(y) + 1, round(x) + 1] < 128
        edge = page[round(y) - 3 : round(y) - 1, round(x) : round(x) + 20]
        assert edge.min() > 200
        left, top = round((x_mm + INSET_MM) * DOTS / 25.4), round((y_mm + INSET_MM) * DOTS / 25.4)
        right = round((x_mm + stock.width_mm - INSET_MM) * DOTS / 25.4)
        foot = round((y_mm + stock.height_mm - INSET_MM) * DOTS / 25.4)
        inside[top : foot + 1, left : right + 1] = True
    assert page[~inside].min() > 200


@pytest.mark.parametrize("size", ["a4-8", "a4-21", "a4-24", "a4-40", "letter-10", "50x30", "30x60"])
def test_words_stay_on_their_label(size: str) -> None:
    """Every line of 300 characters is shortened; ids stand in full; codes keep their quiet zone."""
    stock = stock_of(size, None, None, None)
    for one in drawn(HARD[:2] if size == "a4-40" else HARD, stock):  # 60 letters are too many there
        edge_mm = one.code_x_mm + one.code_mm - ROUNDING_MM
        assert min(one.code_x_mm, one.code_y_mm) >= -ROUNDING_MM
        assert max(edge_mm, one.code_y_mm + one.code_mm) <= max(stock.width_mm, stock.height_mm)
        assert one.module_mm >= LEAST_MODULE_MM
        ids = "".join(line.text for line in one.lines if line.weight == "bold")
        assert ids == one.label.unit
        for line in one.lines:
            assert line.size_mm >= LEAST_ID_MM
            assert line.x_mm >= INSET_MM
            right_mm = line.x_mm + width_mm(line.text, line.size_mm, line.weight)
            assert right_mm <= stock.width_mm - INSET_MM + ROUNDING_MM
            assert line.y_mm - 0.75 * line.size_mm >= 0
            assert line.y_mm + 0.25 * line.size_mm <= stock.height_mm
            is_right, is_under = line.x_mm >= edge_mm, line.y_mm >= one.code_y_mm + one.code_mm
            assert is_right or is_under
        assert one.disc is not None
        x_mm, y_mm, radius_mm = one.disc
        assert x_mm + radius_mm <= stock.width_mm - INSET_MM + ROUNDING_MM
        for line in one.lines:
            if line.weight == "bold" and line.y_mm - line.size_mm < y_mm + radius_mm:
                right_mm = line.x_mm + width_mm(line.text, line.size_mm, "bold")
                assert right_mm <= x_mm - radius_mm


def test_too_small_a_label_is_refused_with_what_it_would_take() -> None:
    """25 modules at 0.33 mm and 1.5 mm on both sides are 11.25 mm."""
    labels = (Label("card-1", "card", "Ann"),)
    assert len(modules_of("card-1")) == 25
    assert drawn(labels, stock_of("30x11.3", None, None, None))
    with pytest.raises(SettingError, match=r"30 x 11.2 mm, .* too small for 1 of 1.*takes 11.3 mm"):
        drawn(labels, stock_of("30x11.2", None, None, None))


def test_an_id_that_does_not_fit_is_never_cut() -> None:
    """The code would fit; sixty wide letters do not."""
    labels = (Label("W" * 60, "card", "Ann"),)
    with pytest.raises(SettingError, match="too small"):
        drawn(labels, stock_of("33x15", None, None, None))


@pytest.mark.parametrize("name", list(table("label_sheets")["sheets"]))
def test_common_sheets_lie_in_the_middle_of_their_page(name: str) -> None:
    """Labels, gaps and equal margins make up the page, to a tenth of a millimetre."""
    stock = stock_of(name, None, None, None)
    assert name == f"{stock.paper}-{stock.per_page}"
    width_mm_, height_mm = PAGES_MM[stock.paper]
    _, x_mm, y_mm = stock.place(stock.per_page - 1)
    assert x_mm + stock.width_mm + stock.left_mm == pytest.approx(width_mm_, abs=0.1)
    assert y_mm + stock.height_mm + stock.top_mm == pytest.approx(height_mm, abs=0.1)
    assert stock.pitch_x_mm >= stock.width_mm
    assert stock.pitch_y_mm >= stock.height_mm
    by_size = stock_of(f"{stock.width_mm}x{stock.height_mm}", stock.paper, None, None)
    assert by_size == stock


def test_other_sizes_are_computed_to_fit() -> None:
    """A4 with 10 mm margins: 190 mm take 3 of 60 with gaps of 5, 277 mm take 8 of 30."""
    stock = stock_of("60,0 x 30", "a4", 10, 5)
    assert (stock.columns, stock.rows) == (3, 8)
    assert (stock.left_mm, stock.top_mm) == (10.0, 11.0)
    assert stock.place(3) == (0, 10.0, 46.0)
    assert stock.place(24 + 4) == (1, 75.0, 46.0)
    assert stock_of("63.5x38.1", "a4", 0, None).name == "computed"


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (("a4-22", None, None, None), "Did you mean"),
        (("wide", None, None, None), "such as 63.5x38.1"),
        (("a4-21", "letter", None, None), "take one of letter-10"),
        (("300x20", None, None, None), "does not fit on a4"),
        (("100x20", None, 60.0, None), "90.0 mm for a side of 100 mm"),
        (("4x20", None, None, None), "at least 5 mm"),
    ],
)
def test_sizes_that_cannot_be_are_refused(given: Any, words: str) -> None:
    """With what would be right."""
    with pytest.raises(SettingError, match=words):
        stock_of(*given)


def test_a_plan_labels_what_it_takes_and_letters_what_serves_one_camera() -> None:
    """Bodies, cards, batteries; a battery that two cameras share has no letter."""
    plan = stored_plan("depot-brass")
    labels = {label.unit: label for label in labels_of_plan(plan)}
    assert sorted(labels) == everything("depot-brass")
    for placement in plan.placements:
        assert labels[placement.rig.body].letter == placement.letter
        for unit in (placement.rig.support, *placement.accessories):
            assert labels[unit].letter == ""
    cards = labels_of_plan(plan, ("cards",))
    assert {plan.kit.items_by_id[u.item].kind for u in plan.kit.units if u.id in labels} > {"media"}
    assert {label.unit for label in cards} == {u for u in labels if u.startswith("card-")}
    (first, *_), letters = plan.placements, {p.letter for p in plan.placements}
    other = next(p for p in plan.placements if p.letter != first.letter)
    shared = other.model_copy(update={"batteries": first.batteries})
    changed = plan.model_copy(
        update={"placements": tuple(shared if p is other else p for p in plan.placements)}
    )
    by_unit = {label.unit: label.letter for label in labels_of_plan(changed)}
    assert {by_unit[unit] for unit in first.batteries} == {""}
    assert letters


def test_a_kit_labels_all_of_it_by_kind() -> None:
    """Units, cases, batteries and cards are all there is, each once."""
    kit = Kit(items=items(), units=units())
    parts = [labels_of_kit(kit, (what,)) for what in ("units", "cases", "batteries", "cards")]
    found = [label.unit for part in parts for label in part]
    assert sorted(found) == sorted(unit.id for unit in kit.units)
    assert [label.unit for label in parts[1]] == ["bag-1", "crate-1", "long-1", "pouch-1"]
    assert [label.owner for label in labels_of_kit(kit, ("batteries",), {"ben": "Ben B."})] == [
        "ann",
        "Ben B.",
    ]


def test_the_same_labels_are_the_same_bytes() -> None:
    """And a code is drawn as its modules are."""
    stock = stock_of("a4-21", None, None, None)
    done = drawn(HARD[:2], stock)
    assert labels_pdf(done, stock, title=HOSTILE) == labels_pdf(done, stock, title=HOSTILE)
    rows = modules_of("a")
    black = sum(sum(row) for row in rows)
    runs = [int(part.split("v")[0]) for part in svg_of("a").split("h")[1:] if "v1" in part]
    assert sum(runs) == black
