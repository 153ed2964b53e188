"""The reset sheet: times of day, people, slack, breaks, what does not fit."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from pydantic import ValidationError

from kitplan.day.sound import sound_plan
from kitplan.day.supplies import also_of
from kitplan.day.work.book import day_work
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.paper.work import reset_records, reset_sheet
from kitplan.plan.day.work import DayWork, GapWork, Job, JobKind
from kitplan.plan.records import Day, Plan
from kitplan.produce.day import work_of
from kitplan.shoot.nogoods import NoGood
from kitplan.shoot.working import Break
from tests.day.supplies import RUN, SHOW, brief, setup
from tests.day.work.made import brief_of, rig, stood
from tests.small import SHOOT_ID, at, person, position, run, show, small_kit, support
from tests.whatif.small import hand_plan, placed

MOVED = (stood("front"), placed("A", "left"))


def plan_of(*placements: object, **parts: object) -> Plan:
    """Return a plan of one camera that moves from front to left, with its work."""
    brief = brief_of(**parts)  # type: ignore[arg-type]
    plan = hand_plan(brief.shoot, placements or MOVED)  # type: ignore[arg-type]
    return plan.model_copy(update={"day": Day(work=work_of(plan))})


def sheet(plan: Plan) -> str:
    """Return the sheet of the gap between the passes."""
    assert plan.day is not None
    assert plan.day.work is not None
    gaps = [gap for gap in plan.day.work.gaps if gap.after and gap.before]
    text = reset_sheet(plan, gaps)
    assert max(map(len, text.splitlines())) <= WIDEST_TABLE
    return text


def test_the_sheet_by_hand() -> None:
    """16:20 strike 5 min, carry 24 s, build 6, frame 4, check 2: 17.4 min; doors at 19:00."""
    text = sheet(plan_of())
    assert "run to show: Sat 1 May 2027, from 16:20 to 19:00, doors" in text
    assert "Last hand free at 16:37: 142 min of slack; 40 min of it should stay free" in text
    assert "1 person, 17 person-minutes." in text
    rows = [line.split() for line in text.splitlines() if line.startswith("16:")]
    assert rows[0][:4] == ["16:20-16:25", "*", "strike", "A,"]
    assert rows[4][:4] == ["16:35-16:37", "*", "check", "A,"]
    assert all(row[-1] == "142" for row in rows[:5])


def test_breaks_are_told() -> None:
    supper = Break(id="supper", name="Supper", length_min=30, since=at(17), until=at(18))
    text = sheet(plan_of(breaks=(supper,)))
    assert "- Supper between 17:00 and 17:30, 2 people." in text
    assert "17:00-17:30      Supper" in text


def test_what_stays_is_told() -> None:
    assert "- A stays where it is." in sheet(plan_of(stood("front"), placed("A", "front")))


def test_a_slack_that_eats_the_reserve_is_told() -> None:
    """20 min, of which a quarter should stay free: 2.6 are left."""
    text = sheet(plan_of(passes=(run(gap_after_min=20), show())))
    assert "2 min of slack; 5 min of it should stay free but only some of it does." in text
    assert "The shoot gives 20 min" in " ".join(text.split())


def test_what_does_not_fit_is_told_first() -> None:
    text = " ".join(sheet(plan_of(passes=(run(gap_after_min=10), show()))).split())
    assert "It does not fit. Building camera A" in text or "These do not fit together" in text
    assert "10 min are there until the gap is over at 16:30, with two people" in text
    assert "Last hand free at 16:37: 8 minutes too late." in text


def test_what_nobody_can_do_is_told() -> None:
    text = " ".join(sheet(plan_of(crew=(person("ann", until=at(16)),))).split())
    assert "It does not fit." in text
    assert "is not possible (" in text
    assert ": it takes one person, and nobody on hand may work there)" in text


def test_what_nobody_can_do_comes_before_what_is_too_long() -> None:
    """The jib is too long for the gap, and the bar has nobody who may rig."""
    kit = small_kit(support("jib", people=2, is_arm=True))
    brief = brief_of(
        kit,
        passes=(run(gap_after_min=10), show()),
        positions=(position("front"), position("bar", name="The bar", is_overhead=True)),
    )
    cameras = (
        stood("front", rig=rig(support="jib-1")),
        placed("B", "bar", rig=rig(body="cam-2", support="legs-2")),
    )
    plan = hand_plan(brief.shoot, cameras, kit=kit)
    text = " ".join(sheet(plan.model_copy(update={"day": Day(work=work_of(plan))})).split())
    assert (
        "It does not fit. Building camera B at The bar (legs) is not possible (build: nobody on "
        "hand who may work there has the skill or the right to lead it)."
    ) in text


def test_nothing_to_do() -> None:
    plan = plan_of(stood("front"))
    assert "There is nothing to do between passes." in reset_sheet(plan, ())
    assert "Nothing is to be done." in sheet(hand_without())


def hand_without() -> Plan:
    """Return a plan without a camera."""
    plan = hand_plan(brief_of().shoot)
    return plan.model_copy(update={"day": Day(work=work_of(plan))})


def test_lifting_and_darkness_have_their_cautions() -> None:
    kit = small_kit(support(mass_kg=26))
    brief = brief_of(kit, passes=(run(is_dark_after=True), show()))
    plan = hand_plan(brief.shoot, MOVED, kit=kit)
    text = sheet(plan.model_copy(update={"day": Day(work=work_of(plan))}))
    assert "Lifting (legs, 26 kg): more than two, or wheels" in text
    assert "In the dark" in text


def test_what_was_learnt_is_told() -> None:
    plan = plan_of()
    no_good = NoGood(
        after="run", before="show", is_proven=False, words="Too much.", gap_min=5, crew=("ann",)
    )
    shoot = plan.shoots[SHOOT_ID].model_copy(update={"no_goods": (no_good,)})
    again = plan.model_copy(update={"shoots": {SHOOT_ID: shoot}})
    text = sheet(again.model_copy(update={"day": Day(work=work_of(again))}))
    assert "Planned 2 times until the work fitted. What did not fit:\n\n- Too much." in text


def test_the_records_have_times_of_day() -> None:
    plan = plan_of()
    assert plan.day is not None
    assert plan.day.work is not None
    (gap,) = reset_records(plan, [plan.day.work.gaps[0]])["gaps"]
    strike = next(job for job in gap["jobs"] if job["id"] == "strike/A")
    assert (strike["start"], strike["end"]) == ("2027-05-01T16:20:00", "2027-05-01T16:25:00")
    assert gap["slack_s"] == 160 * 60 - gap["end_s"]


def supplied_jobs(*jobs: Job) -> str:
    """Return the sheet of a gap from 19:59:50 with these jobs, in a shoot with a sound setup."""
    shoot = brief_of().shoot.model_copy(update={"sound": (setup(name="Desk and room"),)})
    gap = GapWork(
        after=RUN,
        before=SHOW,
        begin=at(19, 59) + timedelta(seconds=50),
        gate=at(21),
        jobs=jobs,
        critical=(),
        end_s=600,
        bound_s=600,
        is_proven=True,
    )
    plan = hand_plan(shoot).model_copy(update={"day": Day(work=DayWork(gaps=(gap,)))})
    return reset_sheet(plan, (gap,))


def job(job_id: str, kind: JobKind, letter: str | None = None) -> Job:
    """Return a job of ten minutes."""
    return Job(
        id=job_id,
        kind=kind,
        letter=letter,
        units=("card-1",),
        start_s=0,
        end_s=600,
        people=("ann",),
        latest_end_s=600,
    )


def test_cards_are_told_by_unit_and_disk() -> None:
    """Many cards are alike; which one is copied where must not be left to guess."""
    text = supplied_jobs(job("copy/card-1/2", "copy"), job("format/card-1", "format", "room"))
    assert "copy card-1 to disk 2" in text
    assert "format card-1 in Desk and room" in text


def test_sound_is_told_by_what_is_done_and_by_name() -> None:
    text = " ".join(
        supplied_jobs(
            job("sound-up/room", "sound", "room"),
            job("level/room", "sound", "room"),
            job("sound-down/room", "sound", "room"),
        ).split()
    )
    for done in ("set up sound", "set levels of", "strike sound"):
        assert f"{done} Desk and room" in text


def test_the_heading_and_the_jobs_round_alike() -> None:
    """A gap from 19:59:50 is read as from 20:00, as its first job is."""
    text = supplied_jobs(job("strike/A", "strike", "A"))
    assert "from 20:00 to 21:00" in text
    assert "20:00-20:10" in text


def test_sound_that_nobody_can_do_is_told_by_name() -> None:
    """Not as a task that takes no time."""
    own = brief(crew=(person("ann", until=at(16)), person("ben", until=at(16))))
    sound = sound_plan(own, SHOOT_ID, ())
    gap = next(
        gap
        for gap in day_work(own, SHOOT_ID, (), also_of(own, SHOOT_ID, sound, None, None))
        if gap.after == RUN
    )
    assert gap.reason.startswith("Setting levels of room is not possible (it takes one person, ")


@pytest.mark.parametrize(
    "changes",
    [
        {"end_s": 10**15},
        {"begin": "9999-12-31T23:59:59"},
        {"begin": "2027-05-01T16:00:00+01:00"},
        {"reserve_s": -(10**30)},
    ],
)
def test_times_that_no_clock_shows_are_refused(changes: dict[str, Any]) -> None:
    """An edited plan is damaged then, rather than a fault of the program."""
    plan = plan_of()
    assert plan.day is not None
    assert plan.day.work is not None
    given = plan.day.work.gaps[0].model_dump(mode="json")
    assert GapWork.model_validate(given) == plan.day.work.gaps[0]
    with pytest.raises(ValidationError):
        GapWork.model_validate({**given, **changes})
