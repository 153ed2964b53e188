"""The packing lists on paper: everything once at the shelf, in the cases, at each camera."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from io import BytesIO

import pytest
from pypdf import PdfReader

from kitplan.paper.lists import turnarounds
from kitplan.paper.pack.blocks import Caution, Checklist, Tick
from kitplan.paper.pack.contents import packing, returns
from kitplan.paper.pack.contents.checklists import numbered, ticks
from kitplan.paper.pack.out.page import html_of
from kitplan.paper.pack.out.pdf import pdf_of
from kitplan.paper.pack.out.text import text_of
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.plan.records import Plan
from tests.day.cases.small import changed_kit, packed, unpacked
from tests.paper.pack.listed import (
    NAMES,
    cautions,
    checklists,
    everything,
    leads,
    lids,
    lists_of,
    once,
    packing_of,
    renamed,
    returns_of,
    source_of,
    ticked,
    titled,
)

HOSTILE = (
    '#set page(fill: red) <script>alert("1")</script> {{ 7*7 }} =1+1 $x$ *b* _i_ \\ & مرحبا 🎺 '
)
HOSTILE = (HOSTILE * 4)[:299] + "X"


@pytest.fixture(params=NAMES)
def name(request: pytest.FixtureRequest) -> str:
    """The name of a plan: a small one with a pouch in a bag, and the three bundled shoots."""
    return str(request.param)


@pytest.fixture(autouse=True, scope="module")
def _small_is_small() -> None:
    """Two cameras, a pouch in a bag, sandbag by hand, a feed at the venue: 16 things."""
    assert len(everything("small")) == 16


def test_everything_is_pulled_once(name: str) -> None:
    """Cases, chargers and sound included."""
    (pull,) = titled(packing_of(name), "Pull list")
    assert once(pull) == everything(name)


def test_everything_lies_in_one_case_or_goes_by_hand(name: str) -> None:
    """The lists in the lids, and the load list, together hold everything but the venue's own."""
    (load,) = titled(packing_of(name), "Load list")
    plan = source_of(name).plan
    assert plan.day is not None
    assert plan.day.cases is not None
    (kept,) = (each.at_venue for each in plan.day.cases.loads)
    assert sorted([*once(*lids(name), load), *kept]) == everything(name)
    assert {sheet.title for sheet in lids(name)} <= set(once(load))


def test_what_a_lid_says_is_the_packing(name: str) -> None:
    """Things, their number, and the mass of all with the case."""
    plan = source_of(name).plan
    assert plan.day is not None
    assert plan.day.cases is not None
    cases = {each.case: each for load in plan.day.cases.loads for each in load.cases}
    for sheet in lids(name):
        packed_case = cases[sheet.title]
        assert once(sheet) == sorted(packed_case.units)
        (lead,) = leads(sheet)
        assert lead.endswith(f", {packed_case.gross_kg:.1f} kg with the case")
        assert lead.split()[0] == str(len(packed_case.units))
        assert ("Not alone" in cautions(sheet)) == (packed_case.hands > 1)


def test_the_load_list_keeps_the_order_of_loading(name: str) -> None:
    """Equal things that follow each other share a line."""
    (load,) = titled(packing_of(name), "Load list")
    plan = source_of(name).plan
    assert plan.day is not None
    assert plan.day.cases is not None
    order = plan.day.cases.loads[0].order
    at = 0
    for line in next(checklists(load)).lines:
        assert set(line.units) == set(order[at : at + len(line.units)])
        at += len(line.units)
    assert at == len(order)


def test_each_pass_lists_its_units_once(name: str) -> None:
    """By camera in the order of building, as `kitplan packing` does."""
    sheets = titled(packing_of(name), "Packing list: ")
    plan = source_of(name).plan
    assert len(sheets) == len(lists_of(name)) == len(plan.pass_ids())
    for sheet, each in zip(sheets, lists_of(name), strict=True):
        assert once(sheet) == sorted(entry.unit for entry in each.entries)
        cameras = {p.letter: set(p.units) for p in plan.placements_in(each.pass_id)}
        for block in checklists(sheet):
            letter = re.match(r"Camera (\w+):", block.title)
            if letter:
                found = {unit for line in block.lines for unit in line.units}
                assert found == cameras.pop(letter[1])
        assert cameras == {}


def test_counts_and_masses_agree(name: str) -> None:
    """The foot of a group counts it, the foot of the sheet all groups, the pull list all of it."""
    names = source_of(name).names
    for sheet in titled(packing_of(name), "P"):
        for block in checklists(sheet):
            number = sum(len(line.units) for line in block.lines)
            assert block.foot.split(" ")[0] == str(number)
        units = once(sheet)
        mass = sum(names.item_of(unit).mass_kg for unit in units)
        (lead,) = leads(sheet)
        assert lead.startswith(f"{len(units)} things, {mass:.1f} kg")


def test_between_passes_every_thing_of_a_camera_goes_one_way(name: str) -> None:
    """Each stands once on the sheet of the gap."""
    turns = turnarounds(lists_of(name))
    sheets = titled(packing_of(name), "From ")
    assert len(sheets) == len(turns)
    for sheet, turn in zip(sheets, turns, strict=True):
        assert once(sheet) == sorted(unit for each in turn.changes for unit in each.units)


def test_a_later_pass_says_where_its_things_are() -> None:
    """The clamp stands there already; the lens comes from another camera; the card from a case."""
    show = titled(packing_of("depot-brass"), "Packing list: Show")[0]
    origins = {
        unit: line.more[0]
        for block in checklists(show)
        for line in block.lines
        if line.more
        for unit in line.units
    }
    plan = source_of("depot-brass").plan
    run, second = plan.pass_ids()
    before = {u: p for p in plan.placements_in(run) for u in p.units}
    after = {u: p for p in plan.placements_in(second) for u in p.units}
    assert {origins[unit] for unit in after} > {"stands there"}
    for unit, placement in after.items():
        if unit not in before:
            assert not origins[unit].startswith("camera")
        elif before[unit].position == placement.position:
            assert origins[unit] == "stands there"
        else:
            assert origins[unit] == f"camera {before[unit].letter}"


def test_what_is_missing_stands_first() -> None:
    """The recorder of the school has no card left: on the pull list and on the list of the pass."""
    sheets = packing_of("school-dance")
    for sheet in (*titled(sheets, "Pull"), *titled(sheets, "Packing list: Dress run")):
        first = sheet.blocks[0]
        assert isinstance(first, Caution)
        assert first.title.startswith("Missing")
        assert any("SD card for two-track recorder" in line for line in first.lines)
    (pull,) = titled(packing_of("depot-brass"), "Pull")
    assert not cautions(pull)


def test_what_does_not_fit_stands_first_on_the_load_list() -> None:
    """With the smallest remedy; legs of 50 litres each go into no bag."""
    plan = packed(changed_kit(items_changed={"legs": {"volume_l": 50}}))
    sheets = tuple(packing.sheets(Source(plan, Setting())))
    (load,) = titled(sheets, "Load list")
    assert isinstance(load.blocks[0], Caution)
    assert "a long bag of 100 l, or by hand" in cautions(load)["Does not fit"]
    (pull,) = titled(sheets, "Pull list")
    lines = [line for block in checklists(pull) for line in block.lines if "legs-1" in line.units]
    assert lines[0].more == ("fits no case: see the load list",)


def test_heavy_pieces_are_not_lifted_alone() -> None:
    """The jib in its bag; the venue and the employer decide."""
    (load,) = titled(packing_of("depot-brass"), "Load list")
    words = cautions(load)["Not alone"]
    assert "jib-bag-1, long bag for the jib, Ottilie: 29.0 kg, more than two, or wheels." in words
    assert "filters, not limits" in words
    assert "case-bram" not in words


def test_what_lives_in_a_pouch_says_so() -> None:
    """Cards lie in the pouch in the bag; what has no home goes into the bag."""
    (pull,) = titled(packing_of("small"), "Pull list")
    notes = {u: ln.more for b in checklists(pull) for ln in b.lines for u in ln.units}
    assert notes["card-1"] == ("in pouch-1",)
    assert notes["cam-2"] == ("goes into bag-1",)
    lid = next(sheet for sheet in lids("small") if sheet.title == "bag-1")
    notes = {u: ln.more for b in checklists(lid) for ln in b.lines for u in ln.units}
    assert notes["card-2"] == ("in pouch-1",)
    assert notes["cam-2"] == ("of ben",)


def test_a_thing_is_marked_with_its_camera() -> None:
    """The lens is on B in the closed run and on A in the show."""
    lines = [line for b in checklists(*lids("depot-brass")) for line in b.lines]
    marks = {u: m for line in lines for u, m in zip(line.units, line.marks, strict=True)}
    plan = source_of("depot-brass").plan
    for unit, mark in marks.items():
        letters = dict.fromkeys(
            p.letter
            for pass_id in plan.pass_ids()
            for p in plan.placements_in(pass_id)
            if unit in p.units
        )
        assert mark in (" ".join(letters), "sound")


def test_without_a_packing_there_are_no_lids() -> None:
    """Pull list and lists of the passes go by the home cases."""
    sheets = tuple(packing.sheets(Source(unpacked(), Setting())))
    assert not titled(sheets, "Load list")
    assert not [sheet for sheet in sheets if sheet.size == "half"]
    assert once(titled(sheets, "Pull list")[0])


def test_a_plan_without_cameras_has_no_empty_lists() -> None:
    """Nothing is placed: no table without lines."""
    plan = unpacked().model_copy(update={"placements": ()})
    source = Source(plan, Setting())
    for sheet in (*packing.sheets(source), *returns.sheets(source)):
        assert all(block.lines for block in checklists(sheet))
    assert pdf_of(source, tuple(packing.sheets(source)), "x")


def test_numbers_in_ids_are_counted() -> None:
    """2 before 10; equal things on one line."""
    assert sorted(["bag-10", "bag-2", "bag"], key=numbered) == ["bag", "bag-2", "bag-10"]
    names = source_of("small").names
    assert ticks(names, ["cell-2", "cam-1", "cell-1"]) == (
        Tick("cell", ("cell-1", "cell-2")),
        Tick("cam", ("cam-1",)),
    )


# -- as they are printed ---------------------------------------------------------------------------


def test_the_pdf_holds_every_unit_as_often_as_the_lists() -> None:
    """Once at the shelf, in its lid, on each pass that takes it, and where it goes between them."""
    source, sheets = source_of("school-dance"), packing_of("school-dance")
    reader = PdfReader(BytesIO(pdf_of(source, sheets, "Lists")))
    printed = Counter(" ".join(page.extract_text() for page in reader.pages).split())
    listed = ticked(*sheets)
    assert set(listed) == set(everything("school-dance"))
    for unit, number in listed.items():
        if source.names.item_of(unit).kind != "case":  # things say which case they lie in
            assert printed[unit] == number, unit


def test_text_and_page_hold_every_unit() -> None:
    """One box for each in every column of boxes."""
    sheets = packing_of("depot-brass")
    boxes = sum(len(b.boxes) * sum(len(ln.units) for ln in b.lines) for b in checklists(*sheets))
    text = text_of(sheets)
    assert text.count("[ ]") >= boxes
    assert max(map(len, text.splitlines())) <= 100
    page = html_of(source_of("depot-brass"), sheets, "Lists")
    assert page.count('type="checkbox"') >= boxes
    for unit in everything("depot-brass"):
        assert unit in text
        assert unit in page


@cache
def hostile() -> Source:
    """Return the small plan with 300 characters of markup for every name."""
    plan: Plan = renamed(source_of("small").plan, HOSTILE)
    return Source(plan, Setting())


def test_hostile_names_are_text() -> None:
    """Markup of any kind is printed as it stands."""
    sheets = (*packing.sheets(hostile()), *returns.sheets(hostile()))
    page = html_of(hostile(), sheets, "x")
    assert "<script>" not in page
    assert "{{ 7*7 }}" in page
    assert "#set page(fill: red)" in " ".join(text_of(sheets).split())
    made = PdfReader(BytesIO(pdf_of(hostile(), sheets, "x")))
    printed = " ".join(" ".join(page.extract_text() for page in made.pages).split())
    assert "#set page(fill: red)" in printed
    assert "{{ 7*7 }} =1+1 $x$ *b* _i_" in printed


def test_every_checklist_has_its_columns() -> None:
    """As many cells as columns, as many marks as units or none."""
    for name in NAMES:
        for block in checklists(*packing_of(name), *returns_of(name)):
            assert isinstance(block, Checklist)
            for line in block.lines:
                assert len(line.more) == len(block.columns)
                assert len(line.marks) in (0, len(line.units))
