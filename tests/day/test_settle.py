"""Power and media take over the times of the work; where that cannot be, they stay as they are."""

from __future__ import annotations

from datetime import datetime, timedelta

from kitplan.day.settle import settled_media, settled_power
from kitplan.plan.day.media import MediaPlan
from kitplan.plan.day.power import PowerPlan
from kitplan.plan.day.work import DayWork, GapWork, Job
from kitplan.plan.records import Day, Plan
from kitplan.plan.verify import verify
from tests.day.supplies import LATER, RUN, SHOW, supplied
from tests.small import at

EVENING = at(16, 20)
NIGHT = at(20, 20)


def job(job_id: str, start_min: float, minutes: float, bay: str, unit: str) -> Job:
    """Return a charge or a copy of a gap."""
    return Job(
        id=job_id,
        kind="charge" if job_id.startswith("charge") else "copy",
        units=(unit,),
        start_s=round(start_min * 60),
        end_s=round((start_min + minutes) * 60),
        people=("ann",),
        bay=bay,
        latest_end_s=86_000,
    )


def work(evening: tuple[Job, ...], night: tuple[Job, ...] = ()) -> DayWork:
    """Return the work of both gaps."""
    return DayWork(
        gaps=(_gap(RUN, SHOW, EVENING, at(19), evening), _gap(SHOW, LATER, NIGHT, None, night))
    )


def _gap(
    after: str, before: str, begin: datetime, gate: datetime | None, jobs: tuple[Job, ...]
) -> GapWork:
    return GapWork(
        after=after,
        before=before,
        begin=begin,
        gate=gate,
        jobs=jobs,
        critical=(),
        end_s=0,
        bound_s=0,
        is_proven=True,
    )


def charged(first_min: float, second_min: float = 1) -> DayWork:
    """Return work that charges the cell some minutes into both gaps."""
    return work(
        (job("charge/cell-1", first_min, 31, "charger-1/1", "cell-1"),),
        (job("charge/cell-1", second_min, 40, "charger-1/1", "cell-1"),),
    )


def power() -> PowerPlan:
    """Return the power as it was planned."""
    day = supplied().day
    assert day is not None
    assert day.power is not None
    return day.power


def media() -> MediaPlan:
    """Return the media as they were planned."""
    day = supplied().day
    assert day is not None
    assert day.media is not None
    return day.media


def rules_broken(found: DayWork, **parts: object) -> set[str]:
    """Return the rules of power and media that a plan with this work breaks."""
    day = supplied().day
    assert day is not None
    changed = Day.model_validate({**dict(day), **parts, "work": found})
    plan: Plan = supplied().model_copy(update={"day": changed})
    return {f.rule for f in verify(plan) if f.rule.startswith(("power", "media"))}


def test_charges_are_made_when_the_jobs_say_so() -> None:
    """Ten and a half minutes into the gap instead of one."""
    found = settled_power(supplied(), power(), charged(10.5))
    assert found.is_settled
    assert found.charges[0].start == EVENING + timedelta(minutes=10.5)
    assert found.charges[0].to_share == power().charges[0].to_share
    assert found.value[:3] == power().value[:3]
    assert found.is_proven
    assert rules_broken(charged(10.5), power=found) == set()


def test_times_that_are_no_jobs_are_found() -> None:
    """A rota that says it is settled has the times of the work."""
    found = settled_power(supplied(), power(), charged(10.5))
    assert rules_broken(charged(11), power=found) == {"power-settled"}


def test_a_job_that_is_too_late_changes_nothing() -> None:
    """The battery is wanted at 19:59."""
    assert settled_power(supplied(), power(), charged(190)) == power()


def test_a_job_that_is_missing_changes_nothing() -> None:
    """Both charges or none."""
    half = work((job("charge/cell-1", 10, 31, "charger-1/1", "cell-1"),))
    assert settled_power(supplied(), power(), half) == power()


def test_two_in_one_bay_change_nothing() -> None:
    """As two gaps might have it that know nothing of each other."""
    twice = power().model_copy(
        update={
            "charges": (
                *power().charges,
                power().charges[0].model_copy(update={"unit": "rec-cell-1"}),
            )
        }
    )
    found = work(
        (
            job("charge/cell-1", 10, 31, "charger-1/1", "cell-1"),
            job("charge/rec-cell-1", 20, 31, "charger-1/1", "rec-cell-1"),
        ),
        (job("charge/cell-1", 1, 40, "charger-1/1", "cell-1"),),
    )
    assert settled_power(supplied(), twice, found) == twice


def copied(start_min: float) -> DayWork:
    """Return work that copies the recorder's card some minutes into the night."""
    return work(
        (),
        tuple(
            job(f"copy/card-3/{number}", start_min + number - 1, 1, "laptop/1", "card-3")
            for number in (1, 2)
        ),
    )


def test_copies_are_made_when_the_jobs_say_so_and_the_others_around_them() -> None:
    """The card that is used again at once; the other one after it."""
    found = settled_media(supplied(), media(), copied(1))
    at_night = [c for c in found.copies if c.start.hour == 20 and c.start.day == 1]
    assert [c.card for c in at_night] == ["card-3", "card-3", "card-2", "card-2"]
    assert at_night[0].start == NIGHT + timedelta(minutes=1)
    assert at_night[2].start == NIGHT + timedelta(minutes=3)
    assert found.value == media().value
    assert rules_broken(copied(1), media=found) == set()


def test_others_fill_what_the_jobs_leave() -> None:
    """Four minutes before the job are enough for both copies of the camera's card."""
    found = settled_media(supplied(), media(), copied(5))
    at_night = [c for c in found.copies if c.start.hour == 20 and c.start.day == 1]
    assert [c.card for c in at_night] == ["card-2", "card-2", "card-3", "card-3"]
    assert rules_broken(copied(5), media=found) == set()


def test_copies_without_jobs_stay() -> None:
    """Nothing was scheduled."""
    assert settled_media(supplied(), media(), work(())) == media()
