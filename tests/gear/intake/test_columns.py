"""Which column means which fact."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitplan.errors import BadInput, Problem
from kitplan.gear.grids import Grid, Row
from kitplan.gear.intake.columns import Meant, facts, header_of, is_exact, meant_by, read_meanings
from kitplan.gear.intake.words import last_meaning
from kitplan.tables import table


@pytest.mark.parametrize(
    ("title", "fact", "unit"),
    [
        ("Serial No.", "serial", None),
        ("S/N", "serial", None),
        ("serial #", "serial", None),
        ("Belongs to", "owner", None),
        ("OWNER", "owner", None),
        ("Qty", "count", None),
        ("Weight (g)", "mass_kg", "g"),
        ("Weight [lb]", "mass_kg", "lb"),
        ("weight in oz", "mass_kg", "oz"),
        ("mass_kg", "mass_kg", None),
        ("Gewicht (kg)", "mass_kg", "kg"),
        ("Filter Ø", "filter_thread_mm", None),
        ("Focal length", "focal", None),
        ("Max. aperture", "aperture", None),
        ("Value (€)", "value", None),
        ("Replacement value EUR", "value", None),
        ("Battery life (h)", "battery_min", "h"),
        ("Close focus (cm)", "closest_focus_m", "cm"),
        ("Item", "name", None),
        ("No.", "ignore", None),
    ],
)
def test_trade_words_are_recognised(title: str, fact: str, unit: str | None) -> None:
    """In any spelling, with a unit in brackets or behind."""
    assert meant_by(title, {}) == Meant(fact, unit)


@pytest.mark.parametrize("title", ["Bought", "Colour", "Weight (m)x", "Owner's cat"])
def test_what_is_no_trade_word_means_nothing(title: str) -> None:
    """Nothing is guessed from a resemblance."""
    assert meant_by(title, {}) is None


def test_every_word_of_the_table_means_one_fact_that_there_is() -> None:
    """A word in two rows would be read by chance."""
    several = {"count", "maker", "model", "focal", "aperture", "covers", "height", "clip", "ignore"}
    seen: dict[str, str] = {}
    for fact, words in table("column_names")["fields"].items():
        assert fact in facts() | several
        for word in words:
            assert seen.setdefault(word.casefold(), fact) == fact, word


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("Tripod head", "head"),
        ("Camera bag", "case"),
        ("Lens cap 77 mm", "accessory"),
        ("24-70 f/2.8 zoom", "lens"),
        ("Charger for camera batteries", "charger"),
        ("Long bag for legs", "case"),
        ("SD card 64GB", "media"),
        ("Speed ring", None),
    ],
)
def test_the_last_word_says_what_a_thing_is(name: str, kind: str | None) -> None:
    """What follows 'for' is another thing."""
    assert last_meaning("kinds", name) == kind


def grid(*rows: tuple[str, ...], merged: tuple[tuple[int, int, str], ...] = ()) -> Grid:
    """A table whose rows are numbered from 1."""
    numbered = tuple(Row(number, cells) for number, cells in enumerate(rows, 1))
    return Grid("kit.xlsx:Gear", "Gear", numbered, merged=merged)


def test_titles_above_the_header_are_passed_over() -> None:
    """The header is the first row with two known names."""
    problems: list[Problem] = []
    header = header_of(grid(("Our gear",), ("Item", "Owner"), ("Lens", "Ana")), {}, problems)
    assert header is not None
    assert (header.row, [column.fact for column in header.columns]) == (1, ["name", "owner"])
    assert problems == []


@pytest.mark.parametrize(
    ("rows", "merged", "message"),
    [
        ((("Item", "S/N", "Serial"), ("x", "1", "2")), (), "'S/N' and column C 'Serial' both mean"),
        (
            (("Item", "", "Owner"), ("x", "lost", "Ana")),
            (),
            "column B has no name but holds 'lost'",
        ),
        (
            (("Item", "Owner"), ("x", "Ana")),
            ((1, 1, "B1:C1"),),
            "the cells B1:C1 of the header are",
        ),
        (
            (("Thingy", "Owner", "S/N"), ("x", "Ana", "1")),
            (),
            "no column tells what the things are called; here are Thingy, Owner, S/N. Call one",
        ),
        ((("a", "b"), ("x", "Ana")), (), "no row with names of columns was found"),
    ],
)
def test_faulty_headers_are_told(
    rows: tuple[tuple[str, ...], ...], merged: tuple[tuple[int, int, str], ...], message: str
) -> None:
    """With the column's letter."""
    problems: list[Problem] = []
    header_of(grid(*rows, merged=merged), {}, problems)
    assert any(message in str(problem) for problem in problems), problems


def test_a_file_says_what_columns_mean(tmp_path: Path) -> None:
    """Their title, our fact, the unit of numbers without one."""
    path = tmp_path / "columns.yaml"
    path.write_text("Heft: mass_kg in lb\nNr: serial\nBought: ignore\n", encoding="utf-8")
    meanings = read_meanings(path)
    assert meant_by("Heft", meanings) == Meant("mass_kg", "lb")
    assert meant_by("NR.", meanings) == Meant("serial")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "Heft: mas_kg\n",
            "columns.yaml:1: column 'Heft' is to be 'mas_kg', which is no fact. Did",
        ),
        ("Heft: mass_kg in stone\n", "mass_kg of column 'Heft' cannot be in 'stone'"),
        ("Heft: owner in g\n", "owner of column 'Heft' cannot be in 'g'. Leave ' in ...' out"),
        ("[a, b]\n", "this is not a list of columns"),
    ],
)
def test_a_wrong_file_of_columns_is_refused(tmp_path: Path, text: str, message: str) -> None:
    """With its line."""
    path = tmp_path / "columns.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        read_meanings(path)
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("name", "header", "exact"),
    [
        ("heads", ("id", "name", "payload_kg"), True),
        ("heads", ("id", "nmae"), True),
        ("modes", ("body", "name"), True),
        ("units", ("id", "item", "owner"), True),
        ("Gear", ("kind", "id", "name"), True),
        ("heads", ("id", "name", "Belongs to"), False),
        ("heads", ("id", "name", "owner"), False),
        ("heads", ("Name", "Load"), False),
        ("Gear", ("id", "name"), False),
    ],
)
def test_the_exact_form_is_told_from_a_list(
    name: str, header: tuple[str, ...], exact: bool
) -> None:
    """By the sheet's kind, its ids, and no column in other trade words; a slip stays exact."""
    assert is_exact(Grid(f"{name}.csv", name, (Row(1, header),))) is exact
