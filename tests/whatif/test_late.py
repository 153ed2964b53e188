"""A late downbeat: rigs stay, the clock moves, and what no longer holds is said."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from kitplan.errors import SettingError
from kitplan.plan.records import Plan
from kitplan.plan.verify import verify
from kitplan.produce.day import with_day
from kitplan.whatif.late import minutes_late, plan_late
from tests.small import at, person, role, run, show, small_brief, solve


def plan_with(**parts: Any) -> Plan:
    """A small plan with its day."""
    return with_day(solve(small_brief(**parts)))


def test_a_late_show_keeps_its_rigs() -> None:
    """Everything stands where it stood, on a later clock, and the plan holds."""
    before = plan_with(passes=(run(), show()))
    late = plan_late(before, "show", 20)
    assert late.each.start - before.shoots["small"].passes_by_id["show"].start == timedelta(
        minutes=20
    )
    assert late.plan.placements == before.placements
    assert (late.gone, late.unmet, late.unheld, late.leaving) == ((), (), (), ())
    assert late.gap_min is None
    assert late.plan.day is not None
    assert late.plan.day.cover is not None
    assert verify(late.plan) == ()


def test_a_late_run_leaves_less_time_for_the_work() -> None:
    """The doors of the show do not move."""
    before = plan_with(passes=(run(), show()))
    planned = before.shoots["small"].gap_min(0)
    late = plan_late(before, "run", 15)
    assert late.gap_min == (planned, planned - 15)
    assert verify(late.plan) == ()


def test_who_has_to_leave_is_named() -> None:
    """Somebody whose time ends with the planned end cannot operate to the new one."""
    shoot = small_brief(passes=(show(),)).shoot
    end = shoot.end_of(shoot.passes[0])
    crew = (person("ann", until=end),)
    before = plan_with(passes=(show(),), crew=crew, roles=(role(manner="operated"),))
    assert {p.operator for p in before.placements} == {"ann", None}
    late = plan_late(before, "show", 10)
    assert [(each.person.id, each.minutes) for each in late.leaving] == [("ann", 10.0)]
    assert "ann" in [each.placement.operator for each in late.gone]
    assert any("role 'close'" in words for words in late.unmet)
    assert verify(late.plan) == ()


def test_into_the_next_pass_is_refused() -> None:
    """The other pass would have to move as well."""
    before = plan_with(passes=(run(), show()))
    with pytest.raises(SettingError, match="Move the other pass as well"):
        plan_late(before, "run", 600)


def test_not_before_the_doors() -> None:
    """An early downbeat with the doors as planned."""
    before = plan_with(passes=(show(doors=at(18, 30)),))
    with pytest.raises(SettingError, match="before its doors open at 18:30"):
        plan_late(before, "show", -180)


@pytest.mark.parametrize(
    ("downbeat", "minutes"), [("20:10", 40), ("19:00", -30), ("00:10", 280), ("19:30", 0)]
)
def test_the_true_downbeat(downbeat: str, minutes: float) -> None:
    """A time of day is that of the day nearest to the plan."""
    each = show(start=at(19, 30), doors=None)
    assert minutes_late(each, datetime.strptime(downbeat, "%H:%M")) == minutes
