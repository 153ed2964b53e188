"""Schedules: which are compared, what they are ranked by, and what is said about them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitplan.allocate.solver import Limits
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.paper.schedules import schedules_records, schedules_text, why
from kitplan.plan.records import Plan
from kitplan.produce.solve import NoPlanInTime
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Shoot
from kitplan.whatif.executors import Here
from kitplan.whatif.figures import Figures, figures, offers
from kitplan.whatif.forecast import forecast
from kitplan.whatif.outside import gain
from kitplan.whatif.schedules import Outcome, Schedule, compare, rank, schedules, trials
from kitplan.whatif.sweep import STOPPED
from tests.plans import brief_of, small_plan
from tests.small import SHOOT_ID, part, reached, run, show, small_brief
from tests.stored import stored_plan

NAME = "school-dance"


def with_passes(number: int) -> Shoot:
    """Return the school dance with so many passes, the last one the master."""
    shoot = brief_of(NAME).shoot
    first = shoot.passes[0]
    made = tuple(
        first.model_copy(update={"id": f"p{n}", "is_master": n == number})
        for n in range(1, number + 1)
    )
    return shoot.model_copy(update={"passes": made})


def ids(shoot: Shoot) -> list[str]:
    """Return the schedules of a shoot in short."""
    return ["+".join(each.ids) for each in schedules(shoot)]


def made(**changes: object) -> Figures:
    """Return figures of an invented schedule."""
    facts = figures(stored_plan(NAME), brief_of(NAME).shoot).__dict__
    return Figures(**{**facts, **changes})


@pytest.mark.parametrize(
    ("number", "wanted"),
    [
        (1, ["p1"]),
        (2, ["p1", "p2", "p1+p2"]),
        (3, ["p1", "p2", "p3", "p1+p2", "p1+p3", "p2+p3", "p1+p2+p3"]),
        (4, ["p1", "p2", "p3", "p4", "p1+p2+p3+p4"]),
    ],
)
def test_every_pass_alone_pairs_of_three_and_all(number: int, wanted: list[str]) -> None:
    """Each schedule once."""
    assert ids(with_passes(number)) == wanted


def test_never_more_than_seven_and_the_master_is_among_them() -> None:
    """Nine passes: six alone, one of them the master, and all."""
    found = ids(with_passes(9))
    assert len(found) == 7
    assert "p9" in found


def test_each_schedule_is_planned_with_its_passes_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """In a way that repeats; where no plan is found the rest goes on."""
    asked: list[tuple[str, ...]] = []

    def plan_shoot(part: Brief, *, limits: Limits, **_: object) -> Plan:
        asked.append(tuple(each.id for each in part.shoot.passes))
        assert limits.workers == 1
        if len(part.shoot.passes) < 3:
            raise NoPlanInTime("no plan was found in 9 s", where="here", fix="Wait")
        return stored_plan(NAME)

    monkeypatch.setattr("kitplan.produce.solve.plan_shoot", plan_shoot)
    brief = brief_of(NAME)
    assert brief.shoot.passes_by_id  # a look-up that records keep must not get in the way
    outcomes = compare(trials(brief, NAME, Limits(workers=4)), Here(), lambda *_: None)
    assert ("dress", "first-show") in asked
    assert [each.figures is not None for each in outcomes] == [False] * 6 + [True]
    text = schedules_text(brief.shoot, outcomes)
    assert "none" in text
    assert "No plan of Dress run + First show: no plan was found in 9 s." in text
    assert max(map(len, text.splitlines())) <= WIDEST_TABLE


def test_an_interrupt_keeps_the_schedules_that_are_done(monkeypatch: pytest.MonkeyPatch) -> None:
    """After the second of three; two of them have a plan to show."""
    monkeypatch.setattr("kitplan.produce.solve.plan_shoot", lambda *_, **__: small_plan())

    def tell(done: int, *_: object) -> None:
        if done == 2:
            raise KeyboardInterrupt

    brief = small_brief(passes=(run(), show()))
    outcomes = compare(trials(brief, SHOOT_ID, Limits()), Here(), tell)
    assert [each.reason for each in outcomes] == ["", "", STOPPED]
    assert [each.plan is not None for each in outcomes] == [True, True, False]
    assert schedules_records(brief.shoot, outcomes)["schedules"][2]["reason"] == STOPPED


def test_figures_are_those_of_the_plan() -> None:
    """Counted by hand from its placements."""
    plan = stored_plan(NAME)
    found = figures(plan, brief_of(NAME).shoot)
    counted = [p for p in plan.placements if p.is_counted]
    assert found.viewpoints == len(counted) == found.operated + found.locked_off
    assert sum(found.cameras) == len(plan.placements)
    assert found.reset_min == pytest.approx(sum(reset.work_min for reset in plan.resets))
    assert found.thinnest == min(offers(plan, NAME).values())


def test_figures_agree_with_the_goals_of_the_search() -> None:
    """The thinnest song, variety and proof of a tiny shoot."""
    plan = small_plan()
    found = figures(plan, plan.shoots[SHOOT_ID])
    assert found.thinnest == reached(plan, "thinnest")
    assert found.points == reached(plan, "viewpoints")
    assert (found.pairs, found.bands) == (
        part(plan, "variety", "pairs"),
        part(plan, "variety", "bands"),
    )
    assert found.is_proven


def test_crew_hours_are_people_times_running_time_and_work() -> None:
    """Two parents, passes of 55, 38.67 and 38.67 minutes, and the work between them."""
    plan = stored_plan(NAME)
    songs_min = (
        270 + 40 + 215 + 30 + 240 + 30 + 260 + 35 + 230 + 25 + 285 + 30 + 250 + 40 + 340
    ) / 60
    work_min = sum(reset.work_min for reset in plan.resets)
    wanted = (2 * (55 + 2 * songs_min) + work_min) / 60
    assert figures(plan, brief_of(NAME).shoot).crew_hours == pytest.approx(wanted)


def test_a_role_that_a_schedule_cannot_be_asked_for_is_not_met() -> None:
    """All roles of the whole shoot count in the end."""
    plan = stored_plan(NAME)
    shoot = brief_of(NAME).shoot
    without = plan.model_copy(
        update={"demands": tuple(d for d in plan.demands if d.id != "full-figures")}
    )
    assert figures(without, shoot).musts_met == figures(plan, shoot).musts_met - 1


def test_rank_is_musts_then_wants_then_thinnest_then_points() -> None:
    """The order of the goals."""
    order = [
        made(musts_met=1, wants_weight=9, thinnest=9, points=999),
        made(musts_met=2, wants_weight=1, thinnest=9, points=999),
        made(musts_met=2, wants_weight=2, thinnest=1, points=999),
        made(musts_met=2, wants_weight=2, thinnest=2, points=1),
        made(musts_met=2, wants_weight=2, thinnest=2, points=2),
    ]
    assert sorted([order[n] for n in (3, 0, 4, 1, 2)], key=rank) == order


def test_gain_tells_closed_positions_from_open_ones() -> None:
    """Positions open in the dress run only are closed once the audience is in."""
    plan = stored_plan(NAME)
    shoot = brief_of(NAME).shoot
    found = gain(plan, shoot.master)
    closed = {p.id for p in shoot.venue.positions if p.open_in == ("dress",)}
    assert {p.position for p in found.closed} <= closed
    assert not {p.position for p in found.elsewhere} & closed
    assert len(found.closed) + len(found.elsewhere) + sum(
        p.is_counted and p.pass_id.endswith("second-show") for p in plan.placements
    ) == sum(p.is_counted for p in plan.placements)
    assert all(not p.is_counted for p in found.repeats)


def outcome(number: int, *, is_all: bool = False, **changes: object) -> Outcome:
    """Return an invented outcome of the first so many passes, or of the master alone for 0."""
    shoot = brief_of(NAME).shoot
    passes = shoot.passes[:number] if number else (shoot.master,)
    return Outcome(Schedule(passes), stored_plan(NAME), made(**changes), is_all=is_all)


def test_why_has_the_numbers_and_owns_up_to_what_is_not_proven() -> None:
    """The master alone against all passes."""
    alone = outcome(0, viewpoints=3, thinnest=3, wants_weight=3, is_proven=True)
    longer = outcome(3, is_all=True, viewpoints=8, thinnest=6, wants_weight=7, is_proven=False)
    text = " ".join(why(brief_of(NAME).shoot, (alone, longer)))
    assert "All 3 passes buys most: want roles by weight 7, against 3 for Second show" in text
    assert "All 3 passes: 8 distinct viewpoints, 5 more than Second show alone (3)" in text
    assert "6 viewpoints instead of 3 with Second show alone" in text
    assert "All 3 passes is the best found, not proven best" in text


@pytest.mark.parametrize(
    ("kilograms", "words"),
    [
        (22.0, "and 4 kg more than Second show alone."),
        (16.2, "crew hours more than Second show alone, with 2 kg less of kit."),
        (18.4, "crew hours more than Second show alone, with the same weight of kit."),
    ],
)
def test_less_kit_is_not_called_so_many_kilograms_more(kilograms: float, words: str) -> None:
    """The master alone brings 18 kg."""
    alone = outcome(0, kilograms=18.0, is_proven=True)
    longer = outcome(3, is_all=True, kilograms=kilograms, is_proven=True)
    assert words in " ".join(why(brief_of(NAME).shoot, (alone, longer)))


def test_why_says_where_more_passes_give_nothing() -> None:
    """Honest where the longer schedule does not win."""
    alone = outcome(0, viewpoints=3, thinnest=3, is_proven=True)
    longer = outcome(3, is_all=True, viewpoints=3, thinnest=3, is_proven=True)
    text = " ".join(why(brief_of(NAME).shoot, (alone, longer)))
    assert "come to the same; take the shorter" in text
    assert "as many as Second show alone" in text
    assert "3 viewpoints either way" in text
    assert "All of these are proven best" in text


def test_schedules_are_compared_by_how_often_the_same_angle_comes_round() -> None:
    """Rows of the table and a sentence; as data song by song."""
    own = forecast(stored_plan(NAME), NAME)
    alone, longer = outcome(0, is_proven=True), outcome(3, is_all=True, is_proven=True)
    both = (replace(alone, forecast=own), replace(longer, forecast=own))
    text = schedules_text(brief_of(NAME).shoot, both)
    assert "same angle comes round" in text
    words = " ".join(text.split())
    assert "Cut forecast: in 8 songs with a pass that locks to Second show" in words
    assert "as with Second show alone" in words
    assert max(map(len, text.splitlines())) <= WIDEST_TABLE
    data = schedules_records(brief_of(NAME).shoot, both)["schedules"][0]["forecast"]
    assert data["same_angle_every_s"] == own.typical_s
    assert len(data["songs"]) == 8


def test_records_hold_what_the_table_shows() -> None:
    """For other programs."""
    data = schedules_records(brief_of(NAME).shoot, (outcome(0), outcome(3, is_all=True)))
    assert [row["passes"] for row in data["schedules"]] == [
        ("second-show",),
        ("dress", "first-show", "second-show"),
    ]
    assert data["schedules"][0]["figures"]["thinnest"] == outcome(0).figures.thinnest  # type: ignore[union-attr]
