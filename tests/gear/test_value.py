"""The schedule for the insurer."""

from __future__ import annotations

import csv
from io import StringIO

from kitplan.gear.kit import Kit, Unit
from kitplan.gear.listing import csv_text
from kitplan.gear.records import Battery
from kitplan.gear.value import schedule, totals

KIT = Kit(
    items=(Battery(id="cell", name="cell"),),
    units=(
        Unit(id="c-1", item="cell", owner="Ben", value=20, serial="=1+1"),
        Unit(id="c-2", item="cell", owner="Ana", value=10.1, photos=("c-2.jpg",)),
        Unit(id="c-3", item="cell", owner="Ana", value=10.2, serial="7", condition="missing"),
        Unit(id="c-4", item="cell", owner="Ana"),
        Unit(id="c-5", item="cell", owner="Ana", value=999, condition="retired"),
        Unit(id="c-6", item="cell", owner="Hire", value=50, hire=5),
    ),
)


def test_the_schedule_is_by_owner_the_dearest_first() -> None:
    """What is missing stays, what is retired goes, what is hired says so."""
    lines = schedule(KIT)
    assert [line.unit for line in lines] == ["c-3", "c-2", "c-4", "c-1", "c-6"]
    assert [line.unit for line in lines if line.is_hired] == ["c-6"]
    assert [line.unit for line in schedule(KIT, "Ben")] == ["c-1"]
    assert schedule(KIT, "Zoe") == ()


def test_totals_by_hand() -> None:
    """10.2 + 10.1 = 20.3 of Ana's three, one of them without a value; 90.3 in all."""
    ana, ben, hire, everybody = totals(schedule(KIT))
    assert (ana.owner, ana.units, ana.value) == ("Ana", 3, 20.3)
    assert (ana.without_value, ana.without_serial, ana.without_photo) == (1, 2, 2)
    assert (ben.owner, ben.value, hire.value) == ("Ben", 20, 50)
    assert (everybody.owner, everybody.units, everybody.value) == ("", 5, 90.3)
    assert len(totals(schedule(KIT, "Ana"))) == 1  # no total of all beside the only one


def test_no_cell_of_a_list_is_a_formula() -> None:
    """Signs that begin one get an apostrophe; numbers, dates and gaps stay as they are."""
    text = csv_text(("a", "b"), [("=1+1", -1), ("@x", None), ('"q", r', True), ((), ("x",))])
    rows = list(csv.reader(StringIO(text, newline="")))
    assert rows[0] == ["a", "b"]
    assert rows[1:] == [["'=1+1", "-1"], ["'@x", ""], ['"q", r', "yes"], ["", "x"]]
