"""The plan on a page: promises, names instead of ids, what is missing, cautions."""

from __future__ import annotations

from datetime import date

import pytest

from kitplan.paper.layout import WIDEST_TABLE
from kitplan.paper.names import Names, settings, when
from kitplan.paper.summary import summary
from kitplan.paper.worth import promise
from kitplan.plan.brought import brought
from kitplan.plan.records import Plan
from tests.stored import stored_plan


def flat(text: str) -> str:
    """Return a text on one line, so that wrapping does not matter."""
    return " ".join(text.split())


@pytest.fixture(params=["school-dance", "depot-brass"])
def plan(request: pytest.FixtureRequest) -> Plan:
    """A plan of each of two bundled shoots."""
    return stored_plan(request.param)


def missing(plan: Plan, demand_id: str) -> Plan:
    """Return a plan in which a demand is not met."""
    demands = tuple(
        d.model_copy(update={"is_met": d.is_met and d.id != demand_id}) for d in plan.demands
    )
    return plan.model_copy(update={"demands": demands})


def test_page_is_never_too_wide(plan: Plan) -> None:
    """In short and in detail."""
    for is_detailed in (False, True):
        text = summary(plan, is_detailed=is_detailed)
        assert max(map(len, text.splitlines())) <= WIDEST_TABLE


def test_every_pass_and_camera_has_its_row(plan: Plan) -> None:
    """By name: no unit ids."""
    text = summary(plan)
    for pass_id in plan.pass_ids():
        assert Names(plan).pass_label(pass_id) in text
    for placement in plan.placements:
        assert placement.rig.support not in text
    assert plan.title in text


def test_counted_viewpoints_are_told_operated_from_locked_off(plan: Plan) -> None:
    """The numbers are those of the plan."""
    counted = [p for p in plan.placements if p.is_counted]
    operated = sum(p.operator is not None for p in counted)
    words = (
        f"{len(counted)} distinct viewpoints: {operated} operated, {len(counted) - operated} locked"
    )
    assert words in flat(summary(plan))


def test_promises_of_a_free_and_of_a_locked_pass() -> None:
    """The band's closed run locks in three songs (to a click); the rest is stopped or free."""
    names = Names(stored_plan("depot-brass"))
    assert promise(names, "depot-brass/show") == "Live in the show in every song."
    # hold: 2 frames / 2 % / 25 frames per second = 4 s; a third of it for lips and bows
    assert promise(names, "depot-brass/afternoon") == (
        "Beside Show: locks to it in 3 songs; inserts only in 7 songs "
        "(hold about 4 s; lips, bows, sticks and slides 1.3 s); not run: Cobbles."
    )


def test_hours_are_in_steps_of_five_minutes() -> None:
    """Ends are rounded up: the last song ends at 20:29:50."""
    shoot, each = stored_plan("depot-brass").pass_of("depot-brass/show")
    assert when(shoot, each) == "Sat 15 May 2027, 19:30 to 20:30, doors 18:30, audience in"


def test_settings_give_the_range_of_iso() -> None:
    """From the brightest to the dimmest light; ND where the brightest is too much."""
    shot = stored_plan("school-dance").placements[0].shot
    changes = {"focal_mm": 35.2, "stop": 5.6, "iso": 1517.0, "iso_bright": 616.0, "nd_stops": 0.0}
    assert settings(shot.model_copy(update=changes)) == "35 mm, f/5.6, ISO 640 to 1600"
    changes |= {"iso": 100.0, "iso_bright": 50.0, "nd_stops": 1.0, "focal_mm": 8.5}
    assert settings(shot.model_copy(update=changes)) == (
        "8.5 mm, f/5.6, ISO 100, ND 1.0 stops in the brightest light"
    )


def test_missed_must_is_loud_and_has_its_clash() -> None:
    """With the smallest clash in plain words."""
    plan = missing(stored_plan("school-dance"), "full-figures")
    clash = tuple(d.words for d in plan.demands if d.id == "full-figures")
    text = flat(summary(plan.model_copy(update={"clash": clash})))
    assert "3 musts MISSED, see below" in text
    assert "it clashes with other musts, below" in text
    assert "These cannot all hold; give up or loosen any one of them" in text


def test_unmet_want_says_why() -> None:
    """Proven or not found in time; never silent."""
    text = flat(summary(missing(stored_plan("school-dance"), "duet-wide")))
    assert "WANT: role 'Duet whole'" in text
    assert "no plan" in text


def test_nothing_is_said_of_unmet_where_all_is_met() -> None:
    """No empty heading."""
    plan = stored_plan("school-dance")
    met = tuple(d.model_copy(update={"is_met": True}) for d in plan.demands)
    assert "not met" not in summary(plan.model_copy(update={"demands": met}))


def test_cautions_fit_the_plan() -> None:
    """Lasers always; overhead only where a camera hangs."""
    plan = stored_plan("depot-brass")
    assert "Lasers: beams, sweeps and mirrors are never computed here" in summary(plan)
    hung = any(Names(plan).position(p).is_overhead for p in plan.placements)
    assert ("Overhead (" in summary(plan)) == hung
    assert "Overhead (" not in summary(stored_plan("school-dance"))


def test_gear_to_look_at_first_is_what_the_plan_takes() -> None:
    """A fault and a service of a lens in use; of one that stays at home nothing is said."""
    plan = stored_plan("depot-brass")
    used = next(p.rig.lens for p in plan.placements if p.rig.lens)
    taken = {unit for pass_id in plan.pass_ids() for unit in brought(plan, pass_id)}
    home = next(unit.id for unit in plan.kit.units if unit.id not in taken)
    facts = {"fault": "ring slips", "service_due": date(2027, 5, 14)}
    units = tuple(
        unit.model_copy(update=facts) if unit.id in (used, home) else unit
        for unit in plan.kit.units
    )
    text = summary(plan.model_copy(update={"kit": plan.kit.model_copy(update={"units": units})}))
    assert f"- Service overdue by then: {used} (due 2027-05-14).\n" in text
    assert f"- With a fault: {used} (ring slips).\n" in text
    assert f"{home} (" not in text
    due = {"fault": "", "service_due": date(2027, 5, 15)}
    units = tuple(unit.model_copy(update=due) for unit in plan.kit.units)
    text = summary(plan.model_copy(update={"kit": plan.kit.model_copy(update={"units": units})}))
    assert "With a fault" not in text
    assert "Service overdue" not in text


def test_performing_operators_are_named() -> None:
    """Nobody frames while they are on stage."""
    plan = stored_plan("depot-brass")
    operates = any(p.operator == "corin" for p in plan.placements)
    assert ("Corin is on stage in" in flat(summary(plan))) == operates


def test_stopped_early_is_said() -> None:
    """So that nobody takes it for the end of the search."""
    plan = stored_plan("school-dance").model_copy(update={"status": "stopped-early"})
    assert "stopped early: this is the best plan so far" in flat(summary(plan))


def test_detail_has_goals_left_out_and_assumptions() -> None:
    """Proof and gaps belong here, not on the first page."""
    plan = stored_plan("school-dance")
    text = flat(summary(plan, is_detailed=True))
    assert "proven best" in text
    assert "(given " in text
    assert "Left at home" in text
    assert "about the kit in use are assumed, not measured" in text
    assert "proven best" not in summary(plan)
