"""The ledger in words."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from kitplan.gear.history import Change, Entry
from kitplan.paper.ledger import MOST_LINES, MOST_NAMED, event, log_text

LOAN = {
    "place": 1,
    "unit": "a-1",
    "person": "Ben",
    "list": "gala/show",
    "out_at": "2027-05-01T10:00:00Z",
    "due": "2027-05-03",
    "condition_out": "good",
    "back_at": None,
    "condition_back": None,
    "note": "",
}
BACK = LOAN | {"back_at": "2027-05-02T10:00:00Z", "condition_back": "good"}
UNIT = {"place": 1, "id": "a-1", "item": "a", "owner": "Ana", "condition": "good", "health": 1.0}
ITEM = {"place": 1, "kind": "battery", "name": "cell", "mass_kg": 0.1, "facts": '{"energy_wh": 16}'}
BOOKED = {"booking": "gala", "unit": "a-1", "begins": "2027-05-03", "ends": "2027-05-05"}
BOOKING = {"title": "Gala", "begins": "2027-05-03", "ends": "2027-05-03", "note": "both days"}
REPAIR = {"fault": "loose", "begins": "2027-05-03", "expected": "2027-05-09", "note": ""}
RUN = {"place": 3, "unit": "a-1", "day": "2027-05-03", "minutes": 87.5, "is_to_flat": 1, "note": ""}


def entry(
    part: str, before: dict[str, Any] | None, after: dict[str, Any] | None, **other: Any
) -> Entry:
    """Return an entry about a-1."""
    data = {"number": 1, "change": 1, "who": "Thea", "what": "counted", "row": 1, "id": "a-1"}
    data |= {"at": datetime(2027, 5, 1, 10, tzinfo=UTC), "part": part}
    return Entry.model_validate(data | {"before": before, "after": after} | other)


@pytest.mark.parametrize(
    ("part", "before", "after", "words"),
    [
        ("loans", None, LOAN, "to Ben, due 3 May 2027, for gala/show"),
        ("loans", None, LOAN | {"due": None, "list": "", "note": "red"}, "to Ben (red)"),
        ("loans", LOAN, LOAN | {"due": "2027-05-09"}, "with Ben until 9 May 2027"),
        ("loans", LOAN, BACK, "back from Ben"),
        ("loans", LOAN, BACK | {"condition_back": "worn"}, "back from Ben, went out good, is worn"),
        (
            "loans",
            LOAN,
            BACK | {"condition_back": "missing", "note": "left behind"},
            "missing, last with Ben (left behind)",
        ),
        ("units", None, UNIT, "a, owner Ana"),
        (
            "units",
            UNIT,
            UNIT | {"condition": "worn", "health": 0.5},
            "condition good -> worn, health 1.0 -> 0.5",
        ),
        ("units", UNIT, None, "taken out: a, owner Ana"),
        ("items", None, ITEM, "battery, cell"),
        (
            "items",
            ITEM,
            ITEM | {"mass_kg": 0.2, "facts": '{"energy_wh": 20, "note": ""}'},
            "mass_kg 0.1 -> 0.2, energy_wh 16 -> 20",
        ),
        ("bookings", None, BOOKING, "booking for Gala, 3 May 2027 (both days)"),
        ("booked", None, BOOKED, "booked as gala, 3 May 2027 to 5 May 2027"),
        ("booked", BOOKED, None, "taken out: booked as gala, 3 May 2027 to 5 May 2027"),
        ("repairs", None, REPAIR, "in repair since 3 May 2027: loose, expected 9 May 2027"),
        ("runs", None, RUN, "unit a-1, day 2027-05-03, minutes 87.5, is_to_flat 1"),
    ],
)
def test_an_entry_is_told_in_words(
    part: str, before: dict[str, Any] | None, after: dict[str, Any] | None, words: str
) -> None:
    """What happened, with people and days; facts with what was and what is."""
    assert event(entry(part, before, after)) == words


def test_a_change_has_a_line_for_all_to_which_the_same_was_done() -> None:
    """And no line for what the loan says already."""
    entries = (
        entry("loans", LOAN, BACK | {"condition_back": "worn"}),
        entry("units", UNIT, UNIT | {"condition": "worn"}),
        *(entry("units", None, UNIT, id=f"n-{n}") for n in range(MOST_NAMED + 2)),
    )
    title, *lines = log_text([Change(entries)]).splitlines()
    assert title.endswith(": Thea counted")
    assert lines[0] == "- a-1: back from Ben, went out good, is worn"
    assert " ".join(lines[1:]).endswith("n-11 and 2 more: a, owner Ana")


def test_a_long_change_is_cut() -> None:
    """The rest is there for programs."""
    names = range(MOST_LINES + 3)
    entries = tuple(entry("items", None, ITEM | {"name": f"{n}"}, id=f"i{n}") for n in names)
    lines = log_text([Change(entries)]).splitlines()
    assert len(lines) == MOST_LINES + 2
    assert lines[-1] == "- and 3 lines more: --json has all"


def test_nothing_is_told_of_nothing() -> None:
    """An empty ledger, or nothing that was asked for."""
    assert log_text([]) == "Nothing has changed."
