"""A plan that names what it does not hold is refused, whatever was changed in it."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.errors import PlanFileError
from kitplan.paper.whole import require_whole
from kitplan.plan.day.work import DayWork
from kitplan.plan.framing import Framing
from kitplan.plan.records import Day, LeftOut, Plan
from tests.plans import small_plan
from tests.stored import stored_plan


def changed(**facts: Any) -> Plan:
    """Return the small plan with its first placement changed."""
    plan = small_plan()
    first, *others = plan.placements
    return plan.model_copy(update={"placements": (first.model_copy(update=facts), *others)})


def rig(**parts: str) -> dict[str, Any]:
    """Return the first placement's rig with a part changed."""
    return {"rig": small_plan().placements[0].rig.model_copy(update=parts)}


def test_a_plan_as_written_is_whole() -> None:
    """Every one that leaves the program."""
    require_whole(small_plan(), "plan.json")


@pytest.mark.parametrize(
    ("facts", "message"),
    [
        ({"pass_id": "small/other"}, "no pass small/other"),
        ({"position": "roof"}, "no position roof"),
        ({"cards": ("card-99",)}, "no unit card-99"),
        ({"menu": (Framing(subject="ghost", size="MS"),)}, "no subject ghost"),
        (rig(body="legs-1"), "no body legs-1"),
        (rig(support="cam-1"), "no support cam-1"),
    ],
    ids=["pass", "position", "card", "subject", "body", "support"],
)
def test_strays_are_named(facts: dict[str, Any], message: str) -> None:
    """With what to do."""
    with pytest.raises(PlanFileError, match=message) as refused:
        require_whole(changed(**facts), "plan.json")
    assert "kitplan verify" in str(refused.value)


@pytest.mark.parametrize(
    ("facts", "message"),
    [
        ({"after": "small/other"}, "no pass small/other"),
        ({"jobs": ("ghost-1",)}, "no unit ghost-1"),
    ],
    ids=["pass", "unit"],
)
def test_strays_in_the_work_are_named(facts: dict[str, Any], message: str) -> None:
    """What the reset sheet looks up as well."""
    gap = {
        "after": None, "before": small_plan().pass_ids()[0], "begin": "2027-05-01T12:00:00",
        "gate": None, "critical": (), "end_s": 0, "bound_s": 0, "is_proven": True, **facts,
    }  # fmt: skip
    given = {"kind": "strike", "start_s": 0, "end_s": 60, "people": (), "latest_end_s": 60}
    jobs = tuple({"id": "strike/A", "units": (unit,), **given} for unit in facts.get("jobs", ()))
    work = DayWork.model_validate({"gaps": ({**gap, "jobs": jobs},)})
    plan = small_plan().model_copy(update={"day": Day(work=work)})
    with pytest.raises(PlanFileError, match=message):
        require_whole(plan, "plan.json")


def day_changed(**parts: Any) -> Plan:
    """Return the stored plan of the school dance with parts of its day changed."""
    plan = stored_plan("school-dance")
    assert plan.day is not None
    return plan.model_copy(update={"day": plan.day.model_copy(update=parts)})


def test_worth_is_stated_of_every_pass_and_song_and_of_no_other() -> None:
    """Figures are read off it."""
    plan = stored_plan("school-dance")
    (first, songs), *_ = plan.worth.items()
    (song, value), *others = songs.items()
    forged = {
        f"what {first} is worth in song {song}": {**plan.worth, first: dict(others)},
        "there is no song ghost": {**plan.worth, first: {**songs, "ghost": value}},
        "there is no pass school-dance/ghost": {**plan.worth, "school-dance/ghost": songs},
    }
    require_whole(plan, "plan.json")
    for message, worth in forged.items():
        with pytest.raises(PlanFileError, match=message):
            require_whole(plan.model_copy(update={"worth": worth}), "plan.json")


def test_rolls_are_stated_of_every_camera_and_pass() -> None:
    """Restart sheets, cards and the cover page look them up."""
    plan = stored_plan("school-dance")
    assert plan.day is not None
    rolls = plan.day.rolls
    assert rolls is not None
    first, *others = rolls.rolls
    clip = first.clips[0].model_copy(update={"card": "ghost-1"})
    stray = first.model_copy(update={"clips": (clip,)})
    forged: dict[str, dict[str, Any]] = {
        f"camera {first.letter} has no clips": {"rolls": tuple(others)},
        "the kit has no unit ghost-1": {"rolls": (stray, *others)},
        "its rolls state nothing of": {"reached": rolls.reached[1:]},
    }
    for message, parts in forged.items():
        with pytest.raises(PlanFileError, match=message):
            require_whole(day_changed(rolls=rolls.model_copy(update=parts)), "plan.json")


def test_names_inside_a_shoot_and_what_is_left_out_are_held_against_it() -> None:
    """A light on nobody, an item that the kit has not."""
    plan = stored_plan("school-dance")
    ((shoot_id, shoot),) = plan.shoots.items()
    light = (shoot.light[0].model_copy(update={"subjects": ("ghost",)}), *shoot.light[1:])
    dark = plan.model_copy(update={"shoots": {shoot_id: shoot.model_copy(update={"light": light})}})
    with pytest.raises(PlanFileError, match="light row 1 names the subject 'ghost'"):
        require_whole(dark, "plan.json")
    left = (LeftOut(item="ghost", units=1, reason=""),)
    with pytest.raises(PlanFileError, match="the kit has no item ghost"):
        require_whole(plan.model_copy(update={"left_out": left}), "plan.json")


def test_an_outline_that_crosses_itself_is_refused() -> None:
    """Nobody can say what lies inside it."""
    plan = stored_plan("school-dance")
    ((shoot_id, shoot),) = plan.shoots.items()
    stage = shoot.venue.stage.model_copy(update={"outline_m": ((-3, 0), (3, 0), (3, 3), (-3, -1))})
    venue = shoot.venue.model_copy(update={"stage": stage})
    crossed = plan.model_copy(
        update={"shoots": {shoot_id: shoot.model_copy(update={"venue": venue})}}
    )
    with pytest.raises(PlanFileError, match="the outline of the stage crosses itself"):
        require_whole(crossed, "plan.json")
