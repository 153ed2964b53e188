"""The checker of the work between passes: an honest plan passes, and each way to spoil it is found.

A jib (two people, one who knows it) and legs before; after them the jib's camera and a new one on
legs, one of which stays. Supper for all, a doorway, a cart that is used, an overhead position.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import pytest

from kitplan.plan.day.work import DayWork, GapWork, Job
from kitplan.plan.records import Day, Plan
from kitplan.plan.verify.day import day_findings
from kitplan.plan.verify.scene import Scene
from kitplan.produce.day import work_of
from kitplan.shoot.working import Break
from tests.day.work.made import brief_of, rig, stood
from tests.plan.small import changed
from tests.small import SHOOT_ID, at, person, position, run, show, small_kit, support
from tests.whatif.small import hand_plan, placed


@cache
def honest() -> Plan:
    """Return a plan with its work."""
    kit = small_kit(
        support("jib", people=2, skill="jib", is_arm=True, mass_kg=26),
        support("tower", mass_kg=60),
        counts={"cam": 4},
    )
    brief = brief_of(
        kit,
        crew=(
            person("ann", skills=("jib",), since=at(14)),
            person("ben", skills=("rigging",), is_first_time=True),
            person("cy", may_be_on_stage=True, until=at(18, 40)),
        ),
        passes=(run(), show()),
        positions=(
            position("front"),
            position("left", is_on_stage=True),
            position("right"),
            position("bar", is_overhead=True, at_m=(0, -4)),
        ),
        breaks=(Break(id="supper", length_min=30, since=at(16, 30), until=at(17, 40)),),
    )
    venue = brief.shoot.venue.model_copy(update={"people_through_door_min": 3})
    carrying = brief.shoot.carrying.model_copy(update={"carts": 1})
    shoot = brief.shoot.model_copy(update={"venue": venue, "carrying": carrying})
    placements = (
        stood("front", "A", rig=rig(body="cam-1", support="jib-1")),
        stood("left", "B", rig=rig(body="cam-2", support="legs-2"), operator=None),
        stood("right", "C", rig=rig(body="cam-3", support="legs-3"), batteries=("cell-1",)),
        placed("A", "right", rig=rig(body="cam-1", support="tower-1"), batteries=("cell-1",)),
        placed("B", "left", rig=rig(body="cam-2", support="legs-2"), operator=None),
        placed("D", "bar", rig=rig(body="cam-4", support="legs-4"), operator=None),
    )
    plan = hand_plan(shoot, placements, kit=kit)
    return plan.model_copy(update={"day": Day(work=work_of(plan))})


def rules(plan: Plan) -> set[str]:
    """Return the rules that the day of a plan breaks."""
    scenes = {name: Scene(shoot, plan.kit) for name, shoot in plan.shoots.items()}
    return {finding.rule for finding in day_findings(plan, scenes)}


def work(plan: Plan) -> DayWork:
    """Return the work of a plan."""
    assert plan.day is not None
    assert plan.day.work is not None
    return plan.day.work


def with_gap(change: Callable[[GapWork], GapWork], number: int = 1) -> Plan:
    """Return the honest plan with one gap spoilt: the one between the passes."""
    plan = honest()
    gaps = list(work(plan).gaps)
    gaps[number] = change(gaps[number])
    return plan.model_copy(update={"day": Day(work=changed(work(plan), gaps=tuple(gaps)))})


def with_job(name: str, change: Callable[[Job], dict[str, Any]]) -> Plan:
    """Return the honest plan with one job spoilt."""

    def spoil(gap: GapWork) -> GapWork:
        assert any(job.id == name for job in gap.jobs)
        jobs = tuple(changed(j, **change(j)) if j.id == name else j for j in gap.jobs)
        return changed(gap, jobs=jobs)

    return with_gap(spoil)


def job(name: str) -> Job:
    """Return a job of the honest plan."""
    return next(each for each in work(honest()).gaps[1].jobs if each.id == name)


def test_an_honest_plan_holds() -> None:
    gap = work(honest()).gaps[1]
    assert rules(honest()) == set()
    assert not gap.reason
    assert {each.kind for each in gap.jobs} == {
        "strike", "carry", "build", "frame", "check", "break",
    }  # fmt: skip
    assert {"stay/B", "off/A", "carry/A", "fetch/A", "fetch/D", "away/C"} <= {
        each.id for each in gap.jobs
    }
    assert any(each.bay == "cart/1" for each in gap.jobs)


def shifted(by_s: int) -> Callable[[Job], dict[str, Any]]:
    """Return a change that moves a job."""
    return lambda one: {"start_s": one.start_s + by_s, "end_s": one.end_s + by_s}


@pytest.mark.parametrize(
    ("name", "change", "rule"),
    [
        ("build/A", lambda j: {"end_s": j.end_s - 60}, "work-length"),
        ("build/D", lambda _: {"people": ("ann", "cy")}, "work-led"),
        ("build/D", lambda _: {"people": ("ben",)}, "work-people"),
        ("stay/B", lambda _: {"people": ("ann",)}, "work-able"),
        ("stay/B", lambda _: {"people": ("zoe",)}, "work-able"),
        ("strike/A", lambda _: {"people": ("ben", "cy")}, "work-led"),
        ("frame/A", lambda _: {"after": ()}, "work-after"),
        ("frame/A", shifted(-3600), "work-after"),
        ("frame/A", lambda _: {"after": ("build/A", "dance/A")}, "work-after"),
        ("carry/A", lambda _: {"units": ("cam-2",)}, "work-facts"),
        ("carry/A", lambda _: {"position": "front"}, "work-facts"),
        ("carry/A", lambda _: {"letter": "B"}, "work-facts"),
        ("strike/C", lambda _: {"kind": "build"}, "work-facts"),
        ("frame/A", lambda j: {"free_s": j.start_s + 60}, "work-hands"),
        ("fetch/A", lambda _: {"bay": "cart/2"}, "work-cart"),
        ("frame/A", lambda _: {"bay": "cart/1"}, "work-cart"),
        ("check/A", shifted(9000), "work-gate"),
        ("frame/A", lambda j: {"latest_end_s": j.latest_end_s + 1}, "work-slack"),
        ("break/supper/ann", shifted(-6000), "work-break"),
        ("break/supper/ann", lambda j: {"end_s": j.end_s - 60}, "work-break"),
        ("break/supper/ann", lambda _: {"people": ("cy",)}, "work-break"),
    ],
)
def test_a_spoilt_job_is_found(name: str, change: Any, rule: str) -> None:
    assert rule in rules(with_job(name, change))


def without(name: str) -> Callable[[GapWork], GapWork]:
    """Return a change that drops a job."""
    return lambda gap: changed(gap, jobs=tuple(j for j in gap.jobs if j.id != name))


def doubled(gap: GapWork) -> GapWork:
    """List a job twice."""
    return changed(gap, jobs=(*gap.jobs, gap.jobs[0]))


def invented(gap: GapWork) -> GapWork:
    """Strike a camera that is not there."""
    extra = changed(gap.jobs[0], id="strike/Z", people=(), after=())
    return changed(gap, jobs=(*gap.jobs, extra))


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        (without("check/A"), "work-jobs"),
        (without("away/C"), "work-jobs"),
        (without("break/supper/ben"), "work-break"),
        (doubled, "work-jobs"),
        (invented, "work-jobs"),
        (lambda gap: changed(gap, begin=at(16, 10)), "work-hours"),
        (lambda gap: changed(gap, gate=at(19, 30)), "work-hours"),
        (lambda gap: changed(gap, reserve_s=gap.reserve_s + 1), "work-reserve"),
        (lambda gap: changed(gap, end_s=gap.end_s - 1), "work-end"),
        (lambda gap: changed(gap, bound_s=gap.end_s + 1), "work-bound"),
        (lambda gap: changed(gap, is_proven=not gap.is_proven), "work-bound"),
        (lambda gap: changed(gap, hand_overs=gap.hand_overs + 1), "work-hand-overs"),
        (lambda gap: changed(gap, hand_overs_bound=gap.hand_overs + 1), "work-hand-overs"),
        (lambda gap: changed(gap, critical=gap.critical[1:]), "work-critical"),
        (lambda gap: changed(gap, critical=gap.critical[:-1]), "work-critical"),
        (lambda gap: changed(gap, critical=(*gap.critical, "dance/A")), "work-critical"),
        (lambda gap: changed(gap, reason="No time"), "work-reason"),
    ],
)
def test_a_spoilt_gap_is_found(change: Any, rule: str) -> None:
    assert rule in rules(with_gap(change))


def test_two_things_at_once_are_found() -> None:
    """Two jobs of one person are put on each other."""
    own = sorted(
        (j for j in work(honest()).gaps[1].jobs if "ann" in j.people), key=lambda j: j.start_s
    )
    start_s = own[0].start_s + 1

    def onto(one: Job) -> dict[str, Any]:
        return {"start_s": start_s, "end_s": start_s + one.end_s - one.start_s}

    assert "work-twice" in rules(with_job(own[1].id, onto))


def test_work_after_somebody_has_gone_is_found() -> None:
    """Cy goes at 18:40, 8400 s after the beginning; 9000 s is still before the doors."""
    own = next(j for j in work(honest()).gaps[1].jobs if "cy" in j.people and j.kind != "break")
    length_s = own.end_s - own.start_s
    late = with_job(own.id, lambda _: {"start_s": 9000 - length_s, "end_s": 9000})
    assert "work-hours" in rules(late)


def test_a_crowded_doorway_is_found() -> None:
    start_s = job("fetch/A").start_s
    length_s = job("fetch/D").end_s - job("fetch/D").start_s
    spoilt = with_job("fetch/D", lambda _: {"start_s": start_s, "end_s": start_s + length_s})
    assert "work-door" in rules(spoilt)


def test_a_bay_taken_twice_is_found() -> None:
    """Charges are asked for by other rules; their bays are looked at here."""

    def charged(gap: GapWork) -> GapWork:
        extra = tuple(
            Job(id=f"charge/{n}", kind="charge", start_s=0, end_s=600, people=(), bay="charger-1/1",
                latest_end_s=600)
            for n in (1, 2)
        )  # fmt: skip
        return changed(gap, jobs=(*gap.jobs, *extra))

    assert rules(with_gap(charged)) == {"work-bay"}


def test_a_gap_left_out_is_found() -> None:
    plan = honest()
    fewer = changed(work(plan), gaps=work(plan).gaps[:-1])
    assert rules(plan.model_copy(update={"day": Day(work=fewer)})) == {"work-gaps"}


def test_wrong_rounds_are_found() -> None:
    plan = honest()
    more = changed(work(plan), rounds=2)
    assert rules(plan.model_copy(update={"day": Day(work=more)})) == {"work-rounds"}


def test_a_break_together_is_taken_together() -> None:
    plan = honest()
    shoot = plan.shoots[SHOOT_ID]
    together = shoot.breaks[0].model_copy(update={"is_together": True})
    shoots = {SHOOT_ID: shoot.model_copy(update={"breaks": (together,)})}
    apart = plan.model_copy(update={"shoots": shoots})
    starts = {j.start_s for j in work(plan).gaps[1].jobs if j.kind == "break"}
    assert ("work-break" in rules(apart)) == (len(starts) > 1)
    again = apart.model_copy(update={"day": Day(work=work_of(apart))})
    assert rules(again) == set()


def test_a_plan_that_names_nothing_known_raises_nothing() -> None:
    plan = honest()
    lost = plan.model_copy(
        update={
            "placements": tuple(
                p.model_copy(update={"rig": p.rig.model_copy(update={"support": "gone"})})
                for p in plan.placements
            )
        }
    )
    assert rules(lost) == set(), "others say that there is no such unit"


def test_the_plan_without_its_day_has_nothing_to_check() -> None:
    assert rules(honest().model_copy(update={"day": None})) == set()
