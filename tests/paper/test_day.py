"""The day in a few lines."""

from __future__ import annotations

from kitplan.paper.day import day_lines
from kitplan.paper.summary import summary
from kitplan.plan.day.rolls import Cover, Uncovered
from kitplan.plan.day.work import DayWork, GapWork
from kitplan.plan.records import Day, Plan
from kitplan.produce.day import PARTS, with_day
from tests.day.work.made import brief_of
from tests.plans import small_plan
from tests.small import at
from tests.whatif.small import hand_plan


def test_a_plan_without_a_day_says_nothing_of_it() -> None:
    """Nothing is promised that nobody has worked out."""
    assert day_lines(small_plan()) == []
    assert "The day" not in summary(small_plan())


def test_every_part_has_its_line() -> None:
    """And none where it was left out."""
    lines = day_lines(with_day(small_plan()))
    starts = {line.split(":")[0] for line in lines}
    assert {"Cover", "Power", "Media", "Cases"} <= starts
    assert "The day" in summary(with_day(small_plan()))
    assert day_lines(with_day(small_plan(), leave_out=PARTS)) == []


def test_parts_are_worked_out_in_order() -> None:
    """Each is told before it is worked out; those left out are not."""
    told: list[str] = []
    with_day(small_plan(), leave_out=("sound", "cases"), tell=told.append)
    assert told == [part for part in PARTS if part not in ("sound", "cases")]


def test_what_is_not_covered_comes_first() -> None:
    """With how much, and the repair."""
    gap = Uncovered(
        song="first", pass_id=None, start_s=0, end_s=90, stands=(), repair="Bring a card."
    )
    plan: Plan = small_plan().model_copy(update={"day": Day(cover=Cover(uncovered=(gap,)))})
    assert day_lines(plan) == [
        "Cover: NOT throughout: 1 stretch, 90 s in all without; see `kitplan coverage`.",
        "Cover: Bring a card.",
    ]


def test_the_last_hand_is_free_as_on_the_reset_sheet() -> None:
    """Both to the nearest minute: 40 s past 16:10 are 16:11."""
    gap = GapWork(
        after="small/run",
        before="small/show",
        begin=at(16),
        gate=at(19),
        jobs=(),
        critical=(),
        end_s=640,
        bound_s=640,
        is_proven=True,
    )
    plan = hand_plan(brief_of().shoot).model_copy(update={"day": Day(work=DayWork(gaps=(gap,)))})
    assert day_lines(plan) == [
        "run to show: 0 jobs, the last hand free at 16:11, 169 min before 19:00."
    ]
