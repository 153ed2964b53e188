"""Returns and loan slips: everything goes back once, with its value, to be signed."""

from __future__ import annotations

from datetime import date

import pytest

from kitplan.gear.kit import Kit
from kitplan.paper.lists import returns as given_back
from kitplan.paper.pack.blocks import Beside, Facts, Fields, Points
from kitplan.paper.pack.contents import returns
from kitplan.paper.pack.contents.returns import BLANK, money
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from tests.day.cases.small import items, packed, units
from tests.paper.pack.listed import (
    NAMES,
    everything,
    leads,
    lists_of,
    once,
    returns_of,
    source_of,
    tables,
    ticked,
    titled,
)


@pytest.mark.parametrize("name", NAMES)
def test_everything_goes_back_once(name: str) -> None:
    """To its owner, or stays where it belongs: at the venue."""
    sheets = returns_of(name)
    assert once(*sheets) == everything(name)
    owners = {
        one.owner: {entry.unit for entry in one.entries} for one in given_back(lists_of(name))
    }
    for sheet in titled(sheets, "Return list: "):
        found = set(once(sheet))
        assert found <= owners[sheet.title.removeprefix("Return list: ")]
        assert leads(sheet)[0].startswith(f"{len(found)} thing")


@pytest.mark.parametrize("name", NAMES)
def test_a_slip_holds_what_the_list_does(name: str) -> None:
    """Each owner has one; numbers, ids and values agree."""
    sheets = returns_of(name)
    slips = {sheet.title.removeprefix("Loan slip: "): sheet for sheet in titled(sheets, "Loan")}
    lists = {s.title.removeprefix("Return list: "): s for s in titled(sheets, "Return list")}
    assert list(slips) == list(lists)
    by_id = source_of(name).names.units_by_id
    for owner, slip in slips.items():
        (table,) = tables(slip)
        listed = [unit for row in table.rows for unit in row[2].split(", ")]
        assert sorted(listed) == once(lists[owner])
        assert sum(int(row[0]) for row in table.rows) == len(listed)
        known = sum(by_id[unit].value or 0 for unit in listed)
        if any(by_id[unit].value is not None for unit in listed):
            assert table.foot.startswith(f"{len(listed)} thing")
            assert f"Value: {money(known)}" in table.foot


def test_the_feed_of_the_house_is_on_no_slip() -> None:
    """It is left as it was found."""
    strike = returns_of("depot-brass")[0]
    assert once(strike) == ["desk-feed-1"]
    assert not titled(returns_of("depot-brass"), "Loan slip: the depot")


def test_serials_and_conditions_are_those_of_the_kit() -> None:
    """A blank line where a body or lens has no serial."""
    (slip,) = titled(returns_of("depot-brass"), "Loan slip: Corin")
    rows = {row[2]: row for row in tables(slip)[0].rows}
    by_id = source_of("depot-brass").names.units_by_id
    assert rows["apsc-1"][3] == by_id["apsc-1"].serial
    assert rows["apsc-1"][5] == by_id["apsc-1"].condition == "worn"
    assert rows["zoom-17-55-1"][3] == BLANK
    assert rows["battery-s-1, battery-s-2, battery-s-3, battery-s-4"][0] == "4"


def test_unknown_values_are_counted_and_left_blank() -> None:
    """Ann's bag has a value, nothing else; its day of return is known."""
    kit_units = tuple(
        unit.model_copy(update={"value": 80.5, "available_until": date(2030, 1, 2)})
        if unit.id == "bag-1"
        else unit
        for unit in units()
    )
    source = Source(packed(Kit(items=items(), units=kit_units)), Setting())
    (slip,) = titled(tuple(returns.sheets(source)), "Loan slip: ann")
    (table,) = tables(slip)
    assert {row[2]: row[4] for row in table.rows}["bag-1"] == "80.50"
    assert {row[4] for row in table.rows} == {"80.50", BLANK}
    number = sum(int(row[0]) for row in table.rows)
    assert table.foot == f"{number} things. Value: 80.50, {number - 1} things not known."
    facts = next(block for block in slip.blocks if isinstance(block, Facts))
    assert ("Needed back by", "Wed 2 Jan 2030: bag-1") in facts.rows


def test_a_slip_is_signed_twice() -> None:
    """When it goes, and when it is back."""
    (slip,) = titled(returns_of("depot-brass"), "Loan slip: Bram")
    signed = next(block for block in slip.blocks if isinstance(block, Beside))
    for side in (signed.left, signed.right):
        assert [block.labels for block in side if isinstance(block, Fields)] == [
            ("Lender", "Borrower", "Date")
        ]


def test_the_strike_begins_with_the_cards_and_leaves_bonds_to_the_end() -> None:
    """No word of bonds where there are none."""
    strike = returns_of("depot-brass")[0]
    steps = next(block for block in strike.blocks if isinstance(block, Points)).lines
    assert steps[0].startswith("Cards first")
    assert "Two verified copies" in steps[0]
    assert any("the bond comes off last" in step for step in steps)
    assert any("up at the bars" in step for step in steps)
    small = next(b for b in returns_of("small")[0].blocks if isinstance(b, Points)).lines
    assert not any("bond" in step for step in small)


def test_a_return_list_is_not_the_slip() -> None:
    """Slips have no boxes for single units: the same thing is not counted twice."""
    assert not ticked(*titled(returns_of("depot-brass"), "Loan slip"))
