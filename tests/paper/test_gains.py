"""What things are worth on paper: the first sentences, the tables, and the same as data."""

from __future__ import annotations

import pytest

from kitplan.gear.kit import Kit, Unit
from kitplan.paper.gains import Gains, gains_records, gains_text
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.whatif.things import things_of
from kitplan.whatif.worth import NOWHERE, losses
from tests.small import lens, role, small_brief, small_kit
from tests.whatif.test_worth import base_of, lent_of, sweep


@pytest.fixture(scope="module")
def page() -> Gains:
    """Return everything about the tiny shoot, with a camera and a lens of a friend."""
    brief = small_brief(small_kit(lens("idle", mount="EF")))
    base = base_of(brief)
    best, lost = losses(brief, base, things_of(brief, base), sweep)
    lent = Kit(
        units=(
            Unit(id="cam-k", item="cam", owner="kim", value=400),
            Unit(id="idle-k", item="idle", owner="kim", value=50),
        )
    )
    singles, pairs = lent_of(brief, lent)
    assert best.figures is not None
    return Gains("Small", best.figures, lost, singles, pairs)


def test_the_first_sentence_names_the_most_valuable_thing(page: Gains) -> None:
    """And the second what is best to borrow, with its price in the table."""
    text = gains_text(page, top=10)
    assert "Without one of 2 cam 1 viewpoint and 1 in the thinnest song go." in text
    assert "With cam 1 viewpoint and 1 in the thinnest song come." in text
    assert "400, 400 a viewpoint" in text
    assert "Not used, so the plan stands without: idle." in text
    assert "Possible nowhere in this shoot: idle." in text
    assert max(map(len, text.splitlines())) <= WIDEST_TABLE


def test_a_short_table_says_what_it_hides(page: Gains) -> None:
    """One row of each kind."""
    text = gains_text(page, top=1)
    assert "more with a larger --top" in text
    assert "12 points of viewpoints" not in text


def test_a_single_thing_goes_in_the_singular() -> None:
    """One role of one position, which alone has it."""
    asked = role("side", name="Drum camera", positions=("left",), priority="want")
    brief = small_brief(roles=(asked,))
    base = base_of(brief)
    things = [each for each in things_of(brief, base) if each.id == "left"]
    best, lost = losses(brief, base, things, sweep)
    assert best.figures is not None
    text = gains_text(Gains("Small", best.figures, lost), top=5)
    assert "Without the position left the role Drum camera goes." in text


def test_nothing_lost_is_said(page: Gains) -> None:
    """Instead of a sentence about something worth nothing."""
    free = tuple(row for row in page.losses if row.change.settled)
    text = gains_text(Gains("Small", page.best, free), top=5)
    assert "loses nothing without any single thing that was tried" in text


def test_records_hold_it_all(page: Gains) -> None:
    """For other programs."""
    data = gains_records(page)
    assert data["losses"][0]["difference"]["points"] == 20
    assert {row["settled"] for row in data["gains"]} == {"", NOWHERE}
    assert data["gains"][0]["price"] == data["gains"][0]["price_per_viewpoint"] == 400
