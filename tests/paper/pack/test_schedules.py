"""One pass or several: the chart and the table agree with the answer, or with the plan itself."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.paper.pack.answers import SchedulesAnswer
from kitplan.paper.pack.blocks import Picture, Table
from tests.paper.pack.made import (
    DANCE,
    DEPOT,
    HARBOUR,
    sheets_of,
    source_of,
    stored_sheets,
    words_of,
)
from tests.stored import stored_plan

FIGURES: dict[str, Any] = {
    "cameras": [5],
    "viewpoints": 5,
    "thinnest": 5,
    "musts_met": 2,
    "wants_met": 3,
    "reset_min": 0,
    "crew_hours": 4,
    "kilograms": 28,
}


def schedule(label: str, **changes: Any) -> dict[str, Any]:
    """Return a schedule as the command writes it."""
    given = {
        "label": label,
        "passes": label.split(" + "),
        "figures": FIGURES,
        "same_angle_every_s": 18.0,
        "uncovered_s": 0,
        "words": {"plan": "holds", "distinct viewpoints": "5"},
    }
    return {**given, **changes}


def compared(*rows: dict[str, Any]) -> str:
    """Return the sheet of an answer as text."""
    answer = SchedulesAnswer.model_validate({"schedules": rows, "why": ["Two buy most."]})
    return words_of(sheets_of(source_of(stored_plan(DEPOT), schedules=answer), "schedules"))


def test_an_answer_becomes_sentences_a_chart_and_a_table() -> None:
    """What it buys beside what it costs, each figure written at its bar."""
    more = {**FIGURES, "viewpoints": 10, "wants_met": 6, "reset_min": 107, "crew_hours": 11.8}
    text = compared(
        schedule("Show"),
        schedule("Run + Show", figures=more, same_angle_every_s=None, uncovered_s=None),
    )
    assert "Two buy most." in text
    assert "distinct viewpoints: Show 5, Run + Show 10" in text
    assert "roles met: Show 5, Run + Show 8" in text
    assert "until the same angle is back: Show 18 s, Run + Show never twice" in text
    assert "crew hours: Show 4.0, Run + Show 11.8" in text
    assert "person-minutes of reset: Show 0, Run + Show 110" in text  # in steps of five
    assert "without a usable shot: Show 0 s, Run + Show not looked at" in text
    assert "plan holds holds" in text


def test_a_schedule_without_a_plan_has_its_column_but_no_bar() -> None:
    """And one plan alone makes no chart."""
    text = compared(schedule("Show"), schedule("Run", figures=None, words={"plan": "none"}))
    assert "plan holds none" in text
    assert "distinct viewpoints 5 -" in text
    assert "Chart." not in text


def test_many_schedules_go_into_several_tables() -> None:
    """Four columns each."""
    rows = [schedule(f"P{number}") for number in range(7)]
    answer = SchedulesAnswer.model_validate({"schedules": rows, "why": []})
    (sheet,) = sheets_of(source_of(stored_plan(DEPOT), schedules=answer), "schedules")
    assert [len(b.columns) for b in sheet.blocks if isinstance(b, Table)] == [5, 4]


@pytest.mark.parametrize("name", [DANCE, DEPOT, HARBOUR])
def test_without_an_answer_the_plan_itself_is_counted(name: str) -> None:
    """Viewpoints and cameras of each pass; their sum is that of the plan; how to ask for more."""
    plan, (sheet,) = stored_plan(name), stored_sheets(name, "schedules")
    (chart,) = [block for block in sheet.blocks if isinstance(block, Picture)]
    shoot = plan.shoots[name]
    for title, numbers in (
        (
            "distinct viewpoints",
            [sum(p.is_counted for p in plan.placements_in(i)) for i in ids(name)],
        ),
        ("cameras", [len(plan.placements_in(i)) for i in ids(name)]),
    ):
        bars = ", ".join(
            f"{each.label} {number}" for each, number in zip(shoot.passes, numbers, strict=True)
        )
        assert f"{title}: {bars}" in chart.words
    text = words_of((sheet,))
    assert "Counted from this plan, not planned anew" in text
    assert f"kitplan compare {name}.yaml --out {name}-schedules.json" in text


def ids(name: str) -> tuple[str, ...]:
    """Return the ids of the passes of a stored plan."""
    return stored_plan(name).pass_ids()


def test_what_only_closed_positions_give_is_named() -> None:
    """Two of the depot's viewpoints cannot be had with the audience in."""
    text = words_of(stored_sheets(DEPOT, "schedules"))
    assert "2 viewpoints only from places that close before the audience of Show" in text
    assert "Jib spot, hall floor (Brass band MLS)" in text


def test_one_pass_has_nothing_to_compare() -> None:
    """No sheet at all."""
    plan = stored_plan(DEPOT)
    shoot = plan.shoots[DEPOT]
    alone = shoot.model_copy(update={"passes": shoot.passes[1:]})
    assert (
        sheets_of(source_of(plan.model_copy(update={"shoots": {DEPOT: alone}})), "schedules") == ()
    )
