"""Cells of several lines: they stay lines in every output, and are measured as such."""

from __future__ import annotations

from kitplan.paper.pack.blocks import Column, Sheet, Table
from kitplan.paper.pack.out.form import Form
from kitplan.paper.pack.out.signs import on_paper, on_screen
from kitplan.paper.pack.out.widths import lines_in, text_width

CELL = "- Rope it off\n- Nobody below"


def test_lines_of_a_cell_stay_lines() -> None:
    """On paper and on screen; no name of a plan can hold a break."""
    sheet = Sheet("risk", "Risk sheet", (Table((Column("usually done"),), ((CELL,),)),))
    for spell in (on_paper, on_screen):
        (plain,) = Form(spell).sheets((sheet,))
        assert plain["blocks"][0]["rows"] == [[CELL]]


def test_lines_of_a_cell_are_measured_one_by_one() -> None:
    """As wide as the widest, as high as all of them."""
    first, second = CELL.split("\n")
    widths = [text_width(line, 10, "regular") for line in (first, second)]
    assert text_width(CELL, 10, "regular") == max(widths)
    assert lines_in(CELL, 200, 10, "regular") == 2
    assert lines_in(f"{CELL}\n{'word ' * 100}", 50, 10, "regular") > 3
