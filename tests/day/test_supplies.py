"""Charging, copying and sound of a gap as tasks: what, by when, in which bays, by whom."""

from __future__ import annotations

import pytest

from kitplan.day.media import media_plan
from kitplan.day.power import power_plan
from kitplan.day.settle import settled_media, settled_power
from kitplan.day.sound import sound_plan
from kitplan.day.supplies import (
    Between,
    also_of,
    charge_tasks,
    copy_tasks,
    sound_tasks,
    supply_resources,
)
from kitplan.day.work.book import day_work
from kitplan.day.work.task import Machine, Resource, Task
from kitplan.plan.day.work import DayWork
from kitplan.plan.verify import verify
from kitplan.shoot.brief import Brief
from tests.day.supplies import brief, kit, placed, setup, supplied
from tests.small import charger, person, position


def between(own: Brief, number: int, *, is_dark: bool = False) -> Between:
    """Return the gap after a pass, counted from 0; -1 is the load-in."""
    passes, crew = own.shoot.passes, own.shoot.crew
    after = passes[number] if number >= 0 else None
    before = passes[number + 1] if number + 1 < len(passes) else None
    begin = own.shoot.end_of(after) if after else passes[0].start
    return Between(own, "small", after, before, begin, crew, is_dark)


def charges(own: Brief, number: int) -> tuple[Task, ...]:
    """Return the charges of a gap."""
    power = power_plan(own, "small", placed().placements, sound_plan(own, "small", ()))
    return charge_tasks(between(own, number), power)


def copies(own: Brief, number: int) -> dict[str, Task]:
    """Return copies and formatting in a gap, by id."""
    sound = sound_plan(own, "small", placed().placements)
    media = media_plan(own, "small", placed().placements, sound)
    return {task.id: task for task in copy_tasks(between(own, number), media)}


def sounds(own: Brief, number: int, *, is_dark: bool = False) -> dict[str, Task]:
    """Return the work on sound in a gap, by id."""
    sound = sound_plan(own, "small", placed().placements)
    assert sound is not None
    return {task.id: task for task in sound_tasks(between(own, number, is_dark=is_dark), sound)}


def test_a_card_that_is_still_copied_is_not_in_the_recorder() -> None:
    """It goes in when it is formatted; levels are set without it."""
    own = brief()
    sound = sound_plan(own, "small", placed().placements)
    assert sound is not None
    media = media_plan(own, "small", placed().placements, sound)
    gap = between(own, 1)
    formatted = {one.card for one in media.formats if one.before == "small/later"}
    held = {card for run in sound.runs if run.pass_id == "small/later" for card in run.cards}
    assert formatted & held
    with_it = {unit for task in sound_tasks(gap, sound) for unit in task.units}
    without = {unit for task in sound_tasks(gap, sound, media) for unit in task.units}
    assert with_it - without == formatted & held


def test_a_charge_binds_a_hand_at_its_start_alone() -> None:
    """31 min in the bay, a minute of Ann or Ben, out a minute before the downbeat at 20:00."""
    (task,) = charges(brief(), 0)
    assert (task.id, task.kind, task.people, task.hands_s) == ("charge/cell-1", "charge", 1, 60)
    assert task.able == (("ann", 60), ("ben", 60))
    assert task.machines == (Machine("charger-1", 31 * 60),)
    assert (task.earliest_s, task.latest_s) == (60, (3 * 60 + 39) * 60)
    assert task.before == ()


def test_any_charger_that_fits_will_do() -> None:
    """A quick one as well, whose 16 whole minutes bring what the other brings in 32; with sockets
    for one alone the one that was chosen.
    """
    quick = charger(charge_min=30).model_copy(update={"id": "quick"})
    own = brief(kit(quick))
    (task,) = charges(own, 0)
    assert task.machines == (Machine("charger-1", 32 * 60), Machine("quick-1", 16 * 60))
    venue = own.shoot.venue.model_copy(update={"sockets": 2})
    (task,) = charges(Brief(own.shoot.model_copy(update={"venue": venue}), own.kit), 0)
    assert [machine.resource for machine in task.machines] == ["quick-1"]


def test_where_nobody_gets_in_after_the_doors_the_check_waits_for_the_battery() -> None:
    """It has to be in the body before 19:00."""
    shut = position("front", is_shut_in_by_audience=True)
    (task,) = charges(brief(positions=(shut,)), 0)
    assert task.before == ("check/A", "stay/A", "level/A")
    assert task.latest_s == (2 * 60 + 39) * 60


def test_only_cards_that_are_used_again_are_copied() -> None:
    """The camera's first card in the first gap, the recorder's in the second; both are formatted
    before the second evening, the first one's copies being done.
    """
    first, second = copies(brief(), 0), copies(brief(), 1)
    assert list(first) == ["copy/card-1/1", "copy/card-1/2"]
    assert list(second) == ["copy/card-3/1", "copy/card-3/2", "format/card-3", "format/card-1"]
    assert first["copy/card-1/2"].after == ("copy/card-1/1",)
    assert first["copy/card-1/1"].machines == (Machine("laptop", 120),)
    assert first["copy/card-1/1"].earliest_s == second["copy/card-3/1"].earliest_s == 60
    assert second["copy/card-3/1"].hands_s == 60
    assert second["format/card-3"].after == ("copy/card-3/1", "copy/card-3/2")
    assert second["format/card-1"].after == ()
    assert second["copy/card-3/2"].latest_s == (23 * 60 + 39) * 60
    assert second["format/card-3"].latest_s == (23 * 60 + 40) * 60


def test_sound_is_put_up_once_and_checked_before_each_pass() -> None:
    """15 min to set up by the table, 10 for levels; what stays stands, and is struck at the end."""
    own = brief()
    first, second = sounds(own, -1), sounds(own, 0)
    assert list(first) == ["sound-up/room", "level/room"]
    assert first["sound-up/room"].able == (("ann", 900), ("ben", 900))
    assert first["level/room"].after == ("sound-up/room",)
    assert list(second) == ["level/room"]
    assert list(sounds(own, 2)) == ["sound-down/room"]


def test_sound_that_is_not_in_the_next_pass_is_struck() -> None:
    """And one that begins there is put up."""
    own = brief(sound=(setup(passes=("run",)), setup(id="other", passes=("show", "later"))))
    assert list(sounds(own, 0)) == ["sound-down/room", "sound-up/other", "level/other"]


def test_darkness_and_a_first_time_take_longer() -> None:
    """Half as long again, and twice as long."""
    own = brief(crew=(person("ann", is_first_time=True), person("ben")))
    level = sounds(own, 0, is_dark=True)["level/room"]
    assert level.able == (("ann", 1800), ("ben", 900))


@pytest.mark.parametrize(("bays", "laptops"), [(1, 1), (2, 3)])
def test_bays_and_laptops_are_resources(bays: int, laptops: int) -> None:
    """As many as there are."""
    own = brief(kit(charger(bays=bays)))
    copying = own.shoot.copying.model_copy(update={"laptops": laptops})
    own = Brief(own.shoot.model_copy(update={"copying": copying}), own.kit)
    assert supply_resources(own) == (Resource("charger-1", bays), Resource("laptop", laptops))


def test_the_schedule_takes_all_of_it() -> None:
    """The charge, the copies and the level check are jobs of the first gap, and the power and media
    take their times from it.
    """
    plan = supplied()
    assert plan.day is not None
    assert plan.day.power is not None
    assert plan.day.media is not None
    own = brief()
    also = also_of(own, "small", plan.day.sound, plan.day.power, plan.day.media)
    work = DayWork(gaps=day_work(own, "small", placed().placements, also))
    first = next(gap for gap in work.gaps if gap.after == "small/run")
    kinds = sorted(job.kind for job in first.jobs if job.kind in ("charge", "copy", "sound"))
    assert kinds == ["charge", "copy", "copy", "sound"]
    assert first.reason == ""
    power = settled_power(plan, plan.day.power, work)
    media = settled_media(plan, plan.day.media, work)
    assert power.is_settled
    changed = {"work": work, "power": power, "media": media}
    day = plan.day.model_copy(update=changed)
    assert verify(plan.model_copy(update={"day": day})) == ()
