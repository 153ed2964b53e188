"""Tampered roll plans and covers: every kind that the checker must reject."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import pytest

from kitplan.plan.day.rolls import Blind, RollPlan, Standing, Touch, Uncovered
from kitplan.plan.records import Day, Plan
from kitplan.plan.verify import verify
from kitplan.plan.verify.day import day_findings
from kitplan.produce.day import with_rolls
from tests.day.small import SHOW, cam, kit_of, placed, plan_of, scenes_of, shoot_of, songs_of, worn
from tests.plan.small import changed
from tests.small import person, position, show

Spoil = Callable[[RollPlan], RollPlan]


@cache
def honest() -> Plan:
    """Return a plan with a restart and a battery: camera A by Ann, B locked off, C overhead."""
    shoot = shoot_of(
        songs_of((60, 40), (60, 30), (20, 0)),
        positions=(
            position("front"),
            position("left", at_m=(-10, -10)),
            position("bar", is_out_of_reach=True),
        ),
        crew=(person("ann"), person("ben"), person("dora", performs_in=("s2",))),
        passes=(show(needs_safety=True),),
        roles=({"id": "safe", "subject": "stage", "sizes": ("WS",), "is_safety": True},),
    )
    kit = kit_of(
        cam("one", 160), cam("two", battery_s=200), cam("three", 9000), **worn((140, 200), 200)
    )
    placements = (
        placed("A", "one", operator="ann", roles=("safe",)),
        placed("B", "two", "left", batteries=("cell-1", "cell-2")),
        placed("C", "three", "bar"),
    )
    kit = kit.model_copy(update={"units": (*kit.units, *_cells(kit))})
    return with_rolls(plan_of(shoot, kit, placements))


def _cells(kit: Any) -> tuple[Any, ...]:
    cell = next(unit for unit in kit.units if unit.item == "cell")
    return (cell.model_copy(update={"id": "cell-9", "health": 1.0}),)


def findings(plan: Plan) -> list[str]:
    """Return the rules that a plan breaks."""
    return [finding.rule for finding in day_findings(plan, scenes_of(plan))]


def with_rolls_changed(change: Spoil) -> Plan:
    """Return the plan with its roll plan spoilt."""
    plan = honest()
    assert plan.day is not None
    assert plan.day.rolls is not None
    day = plan.day.model_copy(update={"rolls": change(plan.day.rolls)})
    return plan.model_copy(update={"day": day})


def test_the_honest_plan_holds() -> None:
    """With a touch of each camera in reach, and everything covered."""
    plan = honest()
    assert findings(plan) == []
    assert plan.day is not None
    assert plan.day.rolls is not None
    assert [t.letter for t in plan.day.rolls.touches if t.does == ("restart",)] == ["A"]
    assert [t.letter for t in plan.day.rolls.touches if t.does == ("battery",)] == ["B"]
    assert plan.day.cover is not None
    assert plan.day.cover.is_throughout


# -- ways to spoil it ------------------------------------------------------------------------------


def clip(letter: str, number: int, **changes: Any) -> Spoil:
    """Spoil a clip."""

    def change(rolls: RollPlan) -> RollPlan:
        found = []
        for roll in rolls.rolls:
            clips = list(roll.clips)
            if roll.letter == letter:
                clips[number] = changed(clips[number], **changes)
            found.append(changed(roll, clips=tuple(clips)))
        return changed(rolls, rolls=tuple(found))

    return change


def touch(letter: str, work: str, **changes: Any) -> Spoil:
    """Spoil the touch of a camera that does something."""

    def is_it(one: Touch) -> bool:
        return one.letter == letter and work in one.does

    def change(rolls: RollPlan) -> RollPlan:
        assert any(map(is_it, rolls.touches))
        return changed(
            rolls,
            touches=tuple(changed(t, **changes) if is_it(t) else t for t in rolls.touches),
        )

    return change


def goal(**changes: Any) -> Spoil:
    """Spoil what the goals came to."""
    return lambda rolls: changed(rolls, reached=(changed(rolls.reached[0], **changes),))


def moved(letter: str, work: str, start_s: float, end_s: float, **more: Any) -> Spoil:
    """Move a touch, and the clips on either side with it."""

    def change(rolls: RollPlan) -> RollPlan:
        rolls = touch(letter, work, start_s=start_s, end_s=end_s, **more)(rolls)
        return clip(letter, 1, start_s=end_s)(clip(letter, 0, end_s=start_s)(rolls))

    return change


VALUE = (0,) * 8
SPOILT: dict[str, tuple[str, Spoil]] = {
    "a camera without a roll": ("rolls", lambda r: changed(r, rolls=r.rolls[1:])),
    "a camera with two": ("rolls", lambda r: changed(r, rolls=(*r.rolls, r.rolls[0]))),
    "a roll of a camera that is not there": (
        "rolls",
        lambda r: changed(r, rolls=(changed(r.rolls[0], letter="Z"), *r.rolls[1:])),
    ),
    "a pass that is not there": (
        "rolls",
        lambda r: changed(r, reached=(*r.reached, changed(r.reached[0], pass_id="small/none"))),
    ),
    "no clips": ("rolls-clips", lambda r: changed(r, rolls=(
        changed(r.rolls[0], clips=()), *r.rolls[1:]
    ))),
    "a clip backwards": ("rolls-clips", clip("A", 1, end_s=0)),
    "clips that overlap": ("rolls-clips", clip("A", 1, start_s=20)),
    "a late start": ("rolls-early", clip("A", 0, start_s=-5)),
    "a start after the doors where nobody reaches it": ("rolls-early", clip("C", 0, start_s=-10)),
    "a battery of somebody else": ("rolls-units", clip("B", 1, battery="cell-9")),
    "a battery that was never changed": ("rolls-units", lambda r: clip(
        "B", 1, battery=r.rolls[1].clips[0].battery
    )(r)),
    "a card of somebody else": ("rolls-units", clip("A", 1, card="card-3")),
    "a battery that does not exist": ("rolls-units", clip("B", 0, battery="ghost")),
    "a card that does not exist": ("rolls-units", clip("A", 0, card="ghost")),
    "a battery put in that does not exist": (
        "rolls-units", touch("B", "battery", battery="ghost")
    ),
    "a change to nothing": ("rolls-units", touch("B", "battery", battery=None)),
    "a battery put in that it does not carry": (
        "rolls-units", touch("B", "battery", battery="cell-9")
    ),
    "a card put in by a restart": ("rolls-units", touch("A", "restart", card="card-9")),
    "mains where there are none": ("rolls-units", clip("B", 0, battery=None)),
    "beyond the clip limit": ("rolls-limit", moved("A", "restart", 160, 170)),
    "beyond the battery": ("rolls-limit", clip("B", 1, end_s=9000)),
    "a stop without a hand": ("rolls-ending", clip("A", 0, end_s=55)),
    "a limit that was not reached": ("rolls-ending", clip("A", 0, ends_by="clip-limit")),
    "too short for the work": ("rolls-work", touch("B", "battery", end_s=110)),
    "work that nobody knows": ("rolls-work", touch("A", "restart", does=("check",))),
    "no work": ("rolls-work", touch("A", "restart", does=())),
    "a touch inside a clip": ("rolls-touch", touch("A", "restart", start_s=30, end_s=40)),
    "a first start that starts nothing": ("rolls-touch", touch("A", "roll", end_s=-30)),
    "a last stop within the songs": ("rolls-touch", touch("A", "stop", start_s=150, end_s=160)),
    "a touch by nobody": ("rolls-hands", touch("A", "restart", person=None)),
    "a touch by a stranger": ("rolls-hands", touch("A", "restart", person="zoe")),
    "a start by a stranger": ("rolls-hands", touch("A", "roll", person="zoe")),
    "by one who performs next to it": ("rolls-hands", touch("A", "restart", person="dora")),
    "without the way": ("rolls-walk", touch("B", "battery", person="ann", walk_s=0)),
    "not back in the gap": ("rolls-walk", touch("B", "battery", person="ann", walk_s=10)),
    "across the beginning of a song": ("rolls-place", moved("A", "restart", 95, 105)),
    "locked off, inside a song": ("rolls-place", moved("B", "battery", 110, 140)),
    "two at once": ("rolls-at-once", lambda r: moved("A", "restart", 65, 75)(
        moved("B", "battery", 60, 90)(r)
    )),
    "in two places": ("rolls-person", lambda r: touch("A", "restart", person="ben", walk_s=10)(
        moved("A", "restart", 90, 100)(moved("B", "battery", 60, 90)(r))
    )),
    "blind where it is not": ("rolls-blind", lambda r: changed(r, blind=(
        Blind(pass_id=SHOW, letter="A", song="s1", start_s=0, end_s=9, cause="hand"),
    ))),
    "a better value": ("rolls-value", goal(value=(0, 0, 0, 0, 1, 0, 99, 99))),
    "no value": ("rolls-value", lambda r: changed(r, reached=())),
    "a bound that is worse": ("rolls-bound", goal(bound=(1, 0, 0, 0, 0, 0, 9999, 9999))),
    "a bound too short": ("rolls-bound", goal(bound=(0,))),
}  # fmt: skip


@pytest.mark.parametrize("what", SPOILT)
def test_a_tampered_roll_plan_is_rejected(what: str) -> None:
    """For the reason that it was given."""
    rule, spoil = SPOILT[what]
    assert rule in findings(with_rolls_changed(spoil))


def test_blind_stretches_are_all_listed() -> None:
    """A camera that stops inside a song, and no word of it."""
    spoil = clip("C", 0, end_s=30)
    assert "rolls-blind" in findings(with_rolls_changed(spoil))


# -- cover -----------------------------------------------------------------------------------------


def hole(**changes: Any) -> Uncovered:
    """Return a hole that is none."""
    given: dict[str, Any] = {
        "song": "s1", "pass_id": SHOW, "start_s": 10, "end_s": 20, "repair": "none",
        "stands": (Standing(pass_id=SHOW, letter="A", cause="hand"),),
    }  # fmt: skip
    return Uncovered(**{**given, **changes})


def with_cover(plan: Plan, uncovered: tuple[Uncovered, ...]) -> Plan:
    """Return a plan with another cover."""
    assert plan.day is not None
    assert plan.day.cover is not None
    cover = plan.day.cover.model_copy(update={"uncovered": uncovered})
    return plan.model_copy(update={"day": plan.day.model_copy(update={"cover": cover})})


def test_a_hole_that_is_none_is_rejected() -> None:
    """Everything is covered."""
    assert findings(with_cover(honest(), (hole(),))) == ["cover"]


@cache
def holed() -> Plan:
    """Return a plan whose only camera stops for good at 70 s, in the second song."""
    shoot = shoot_of(
        songs_of((60, 5), (60, 0)),
        passes=(show(needs_safety=True),),
        roles=({"id": "safe", "subject": "stage", "sizes": ("WS",), "is_safety": True},),
    )
    plan = plan_of(shoot, kit_of(cam("one", 80)), (placed("A", "one", roles=("safe",)),))
    return with_rolls(plan)


def test_holes_are_told_with_their_cause() -> None:
    """The song begins at 65 s: from its second 5 on there is neither a shot nor the safety."""
    plan = holed()
    assert findings(plan) == []
    assert plan.day is not None
    assert plan.day.cover is not None
    stands = (Standing(pass_id=SHOW, letter="A", cause="clip-limit"),)
    assert [
        (u.song, u.pass_id, u.start_s, u.end_s, u.stands) for u in plan.day.cover.uncovered
    ] == [
        ("s2", None, 5, 60, stands),
        ("s2", SHOW, 5, 60, stands),
    ]


@pytest.mark.parametrize(
    "changes",
    [
        {"start_s": 6},
        {"end_s": 59},
        {"song": "s1"},
        {"pass_id": "small/none"},
        {"stands": ()},
        {"stands": (Standing(pass_id=SHOW, letter="A", cause="card"),)},
    ],
)
def test_a_tampered_hole_is_rejected(changes: dict[str, Any]) -> None:
    """Whatever of it is changed."""
    plan = holed()
    assert plan.day is not None
    assert plan.day.cover is not None
    first, second = plan.day.cover.uncovered
    assert "cover" in findings(with_cover(plan, (first, changed(second, **changes))))


def test_a_hole_left_out_or_listed_twice_is_rejected() -> None:
    """Nothing is hidden, nothing doubled."""
    plan = holed()
    assert plan.day is not None
    assert plan.day.cover is not None
    first, second = plan.day.cover.uncovered
    assert findings(with_cover(plan, (first,))) == ["cover"]
    assert findings(with_cover(plan, (first, second, second))) == ["cover"]


def test_a_cover_needs_rolls() -> None:
    """It rests on them."""
    plan = honest()
    assert plan.day is not None
    bare = plan.model_copy(update={"day": Day(cover=plan.day.cover)})
    assert findings(bare) == ["cover"]


def test_broken_cameras_are_told_and_never_raise() -> None:
    """A plan changed by hand may name anything."""
    plan = honest()
    for changes in (
        {"position": "nowhere"},
        {"operator": "nobody"},
        {"batteries": ("ghost",)},
        {"cards": ("x",)},
    ):
        first = changed(plan.placements[0], **changes)
        broken = plan.model_copy(update={"placements": (first, *plan.placements[1:])})
        assert "rolls" in findings(broken)
        assert verify(broken)
