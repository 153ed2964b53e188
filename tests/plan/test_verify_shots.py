"""Shot sheets that say what is not so: the checker rejects each of them by name."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from random import Random
from typing import Any

import pytest
from pydantic import ValidationError

from kitplan.plan.day.shots import (
    SHOT_GOALS,
    Cue,
    HeldShot,
    MomentHeld,
    ShotSheet,
    SongShot,
)
from kitplan.plan.records import Day, Plan
from kitplan.shoot.past import WasHeld
from tests.day.shots.hall import (
    faults,
    hall,
    moment,
    placed,
    plan_with,
    sheet,
    sheets_of,
    song,
)
from tests.day.shots.test_rules import past_plan
from tests.examples import usual
from tests.plan.small import changed
from tests.plan.test_verify_any_plan import spoil
from tests.small import role, run, show

STAGE = ("stage", "WS")
SHOW = "small/show"


@cache
def honest() -> Plan:
    """Return a plan of everything: Ann by song with a cue, Ben's zone, a locked-off wide."""
    solo, fill = moment(at_s=30), moment("Fill", 70, subject="drummer", priority="want")
    first = song("first", solo, fill)
    return plan_with(
        hall(first, song("second"), passes=(run(has_click=False), show()), roles=(role("close"),)),
        placed("A", main=STAGE, menu=[("singer", "FS")]),
        placed("B", "left", operator="ben", menu=[("drummer", "WS")], roles=("close",)),
        placed("C", "right", STAGE, operator=None),
        placed("D", "right", STAGE, in_pass="run"),
    )


def with_sheets(plan: Plan, **changes: Any) -> Plan:
    """Return a plan with other parts of its shot sheets."""
    return plan.model_copy(update={"day": Day(shots=changed(sheets_of(plan), **changes))})


def with_sheet(plan: Plan, letter: str, change: Callable[[ShotSheet], ShotSheet]) -> Plan:
    """Return a plan with a changed sheet."""
    own = sheets_of(plan).sheets
    return with_sheets(
        plan, sheets=tuple(change(each) if each.letter == letter else each for each in own)
    )


def with_row(letter: str, number: int, change: Callable[[SongShot], SongShot]) -> Plan:
    """Return the plan with a changed row of a camera."""

    def _changed(own: ShotSheet) -> ShotSheet:
        rows = list(own.songs)
        rows[number] = change(rows[number])
        return changed(own, songs=tuple(rows))

    return with_sheet(honest(), letter, _changed)


def with_cue(change: Callable[[Cue], Cue]) -> Plan:
    """Return the plan with Ann's first cue changed."""
    return with_row("A", 0, lambda row: changed(row, cues=(change(row.cues[0]), *row.cues[1:])))


def rules_of(plan: Plan) -> set[str]:
    """Return the rules that the checker finds broken; every finding can be printed."""
    found = faults(plan)
    assert all(map(str, found))
    return {finding.rule for finding in found}


def test_the_honest_plan() -> None:
    """It has what the others spoil."""
    assert faults(honest()) == []
    assert [each.kind for each in sheets_of(honest()).sheets] == [
        "by-song",
        "by-song",
        "zone",
        "locked-off",
    ]
    assert [cue.moment for cue in sheet(honest()).songs[0].cues] == ["Solo", "Fill"]


# -- the list --------------------------------------------------------------------------------------


@pytest.mark.parametrize("letter", "ABCD")
def test_a_missing_sheet(letter: str) -> None:
    """Every camera has one."""
    left = tuple(each for each in sheets_of(honest()).sheets if each.letter != letter)
    assert "sheet-list" in rules_of(with_sheets(honest(), sheets=left))


def test_a_sheet_twice_and_one_of_nobody() -> None:
    """One for each camera, none for others."""
    own = sheets_of(honest()).sheets
    assert "sheet-list" in rules_of(with_sheets(honest(), sheets=(*own, own[1])))
    stray = changed(own[1], letter="Z")
    assert "sheet-list" in rules_of(with_sheets(honest(), sheets=(*own, stray)))


@pytest.mark.parametrize(
    ("letter", "kind"), [("A", "zone"), ("A", "safety"), ("B", "by-song"), ("C", "by-song")]
)
def test_another_kind(letter: str, kind: str) -> None:
    """The kind follows from operator and role."""
    assert "sheet-kind" in rules_of(with_sheet(honest(), letter, lambda s: changed(s, kind=kind)))


def test_another_home_or_zone() -> None:
    """Home is the main shot, the zone that and the menu, in this order."""
    own = sheet(honest(), "B")
    away = with_sheet(honest(), "B", lambda s: changed(s, home=own.zone[1]))
    assert "sheet-home" in rules_of(away)
    for zone in ((), own.zone[::-1], own.zone[:1], (*own.zone, own.zone[0])):
        spoilt = with_sheet(honest(), "B", lambda s, zone=zone: changed(s, zone=zone))  # type: ignore[misc]
        assert "sheet-zone" in rules_of(spoilt)
    assert "sheet-zone" in rules_of(
        with_sheet(honest(), "A", lambda s: changed(s, zone=own.zone[:1]))
    )


# -- rows ------------------------------------------------------------------------------------------


def _without_last(own: ShotSheet) -> ShotSheet:
    return changed(own, songs=own.songs[:-1])


def _turned(own: ShotSheet) -> ShotSheet:
    return changed(own, songs=own.songs[::-1])


def _twice(own: ShotSheet) -> ShotSheet:
    return changed(own, songs=(*own.songs, own.songs[-1]))


def _unknown(own: ShotSheet) -> ShotSheet:
    return changed(own, songs=(*own.songs, changed(own.songs[0], song="encore")))


@pytest.mark.parametrize("change", [_without_last, _turned, _twice, _unknown])
@pytest.mark.parametrize("letter", "ABCD")
def test_rows_missing_turned_or_too_many(
    change: Callable[[ShotSheet], ShotSheet], letter: str
) -> None:
    """A row for each song that is filmed, in running order."""
    assert "sheet-songs" in rules_of(with_sheet(honest(), letter, change))


def _shot(subject: str, size: str, focal_mm: float = 100.0) -> HeldShot:
    return HeldShot(subject=subject, size=size, focal_mm=focal_mm)


def test_a_shot_that_is_not_planned() -> None:
    """It could be framed, but is neither main shot nor on the menu."""
    close = sheet(honest()).songs[0].cues[0].shot
    plan = with_row("A", 1, lambda row: changed(row, shot=close))
    assert {"sheet-shot", "sheet-value"} <= rules_of(plan)


def test_a_locked_off_camera_that_moves() -> None:
    """It has one frame, no cue and no fallback."""
    cue = sheet(honest()).songs[0].cues[0]
    close = cue.shot
    assert "sheet-shot" in rules_of(with_row("C", 1, lambda row: changed(row, shot=close)))
    assert "sheet-cues" in rules_of(with_row("C", 0, lambda row: changed(row, cues=(cue,))))
    assert "sheet-fallback" in rules_of(with_row("C", 0, lambda row: changed(row, fallback=close)))


@pytest.mark.parametrize("place", ["shot", "fallback", "cue", "home"])
@pytest.mark.parametrize(
    ("framed", "rule"),
    [
        (("singer", "ECU"), "sheet-possible"),
        (("nobody", "MS"), "sheet-possible"),
        (("stage", "MS"), "sheet-possible"),
    ],
)
def test_a_shot_that_this_camera_has_not(place: str, framed: tuple[str, str], rule: str) -> None:
    """Too tight for the lens, of a stranger, at a size that a stage has not."""
    shot = _shot(*framed)
    if place == "home":
        plan = with_sheet(honest(), "A", lambda s: changed(s, home=shot))
    elif place == "cue":
        plan = with_cue(lambda cue: changed(cue, shot=shot))
    else:
        plan = with_row("A", 1, lambda row: changed(row, **{place: shot}))
    assert rule in rules_of(plan)


@pytest.mark.parametrize("place", ["shot", "fallback"])
def test_another_focal_length(place: str) -> None:
    """A thousandth more is not so."""

    def _longer(row: SongShot) -> SongShot:
        shot = getattr(row, place)
        return changed(row, **{place: changed(shot, focal_mm=shot.focal_mm * 1.001)})

    assert rules_of(with_row("A", 1, _longer)) == {"sheet-focal"}


def test_too_many_exceptions_and_a_role_that_is_left() -> None:
    """With none allowed, each song away from home is one too many; the role is held in none."""
    away = sheet(honest(), "B").zone[1]
    plan = with_row("B", 1, lambda row: changed(row, shot=away))
    plan = with_sheet(
        plan, "B", lambda s: changed(s, songs=(changed(s.songs[0], shot=away), *s.songs[1:]))
    )
    assert "sheet-role" in rules_of(plan)
    shoot = plan.shoots["small"]
    strict = changed(shoot, rules=changed(shoot.rules, zone_exceptions=0))
    assert "sheet-exceptions" in rules_of(plan.model_copy(update={"shoots": {"small": strict}}))


# -- cues ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "change",
    [{"at_s": 31}, {"length_s": 19}, {"moment": "Break"}, {"at_s": float("nan")}],
)
def test_a_cue_for_no_moment(change: dict[str, Any]) -> None:
    """Name, beginning and length are the moment's."""
    assert "sheet-cue" in rules_of(with_cue(lambda cue: changed(cue, **change)))


def test_a_cue_that_does_not_hold_its_moment() -> None:
    """Too wide, or of somebody else."""
    fill = sheet(honest()).songs[0].cues[1].shot
    assert "sheet-cue" in rules_of(with_cue(lambda cue: changed(cue, shot=fill)))
    wide = sheet(honest()).songs[1].fallback
    assert "sheet-cue" in rules_of(with_cue(lambda cue: changed(cue, shot=wide)))


def test_a_cue_to_where_the_camera_is() -> None:
    """Ben holds the solo throughout; a cue would only disturb."""
    solo = sheet(honest()).songs[0].cues[0]
    own = sheet(honest(), "B").songs[0].shot
    plan = with_row("B", 0, lambda row: changed(row, cues=(changed(solo, shot=own),)))
    assert "sheet-cue" in rules_of(plan)


def test_a_cue_twice_and_two_too_near() -> None:
    """One cue for a moment; 5 s between two of them (20 are there)."""
    twice = with_row("A", 0, lambda row: changed(row, cues=(row.cues[0], *row.cues)))
    assert "sheet-cue" in rules_of(twice)
    shoot = honest().shoots["small"]
    slow = changed(shoot, rules=changed(shoot.rules, recompose_s=21))
    assert "sheet-cue" in rules_of(honest().model_copy(update={"shoots": {"small": slow}}))


def test_a_cue_in_a_pass_that_gives_inserts_only() -> None:
    """Out of step, it holds nothing."""
    cue = sheet(honest()).songs[0].cues[0]
    assert "sheet-cues" in rules_of(with_row("D", 0, lambda row: changed(row, cues=(cue,))))


# -- fallback, past --------------------------------------------------------------------------------


def test_another_fallback() -> None:
    """The rule has one answer."""
    close = sheet(honest()).songs[0].cues[0].shot
    for wrong in (None, close):
        plan = with_row("B", 1, lambda row, wrong=wrong: changed(row, fallback=wrong))  # type: ignore[misc]
        assert rules_of(plan) & {"sheet-fallback", "sheet-focal"}


def test_what_is_over_has_changed() -> None:
    """Ann held the whole stage in the first song; the sheet may not say otherwise."""
    noted = WasHeld(song="first", subject="stage", size="WS")
    plan = past_plan(noted)
    own = sheet(plan, in_pass="run")
    spoilt = with_sheet(
        plan, "A", lambda s: changed(s, songs=(changed(s.songs[0], shot=own.home), *s.songs[1:]))
    )
    assert "sheet-past" in rules_of(spoilt)


# -- moments and values ----------------------------------------------------------------------------


def _moments(change: Callable[[MomentHeld], MomentHeld]) -> Plan:
    first, *rest = sheets_of(honest()).moments
    return with_sheets(honest(), moments=(change(first), *rest))


@pytest.mark.parametrize(
    "change",
    [
        {"first": None},
        {"second": None},
        {"first": None, "second": None},
        {"first": (SHOW, "C")},
        {"second": (SHOW, "Z")},
        {"first": (SHOW, "A"), "second": (SHOW, "A")},
    ],
)
def test_others_are_said_to_hold_a_moment(change: dict[str, Any]) -> None:
    """Ann and Ben hold the solo; the locked-off wide does not."""
    row = sheets_of(honest()).moments[0]
    assert {row.first, row.second} == {(SHOW, "A"), (SHOW, "B")}
    assert "moment-held" in rules_of(_moments(lambda row: changed(row, **change)))


def test_moments_missing_turned_or_strange() -> None:
    """A row for each, in their order."""
    rows = sheets_of(honest()).moments
    assert "moment-list" in rules_of(with_sheets(honest(), moments=rows[1:]))
    assert "moment-list" in rules_of(with_sheets(honest(), moments=rows[::-1]))
    assert "moment-list" in rules_of(_moments(lambda row: changed(row, moment="Break")))
    assert "moment-list" in rules_of(_moments(lambda row: changed(row, shoot="other")))


@pytest.mark.parametrize("number", range(len(SHOT_GOALS)))
@pytest.mark.parametrize("more", [-1, 1])
def test_another_value(number: int, more: int) -> None:
    """Counted anew, one by one."""
    value = list(sheets_of(honest()).value)
    value[number] += more
    bound = [max(pair) for pair in zip(value, sheets_of(honest()).bound, strict=True)]
    found = rules_of(with_sheets(honest(), value=tuple(value), bound=tuple(bound)))
    assert "sheet-value" in found


def _claims(**changes: Any) -> set[str]:
    return rules_of(with_sheets(honest(), **changes))


def test_bounds_and_proof() -> None:
    """No bound below its value; proven where all are met, and only there."""
    sheets = sheets_of(honest())
    higher = tuple(bound + 1 for bound in sheets.bound)
    lower = tuple(bound - 1 for bound in sheets.bound)
    assert _claims(bound=higher) == {"sheet-proven"}
    assert _claims(bound=higher, is_proven=False) == set()
    assert _claims(is_proven=False) == {"sheet-proven"}
    assert "sheet-bound" in _claims(bound=lower)
    assert "sheet-value" in _claims(value=sheets.value[1:])


@pytest.mark.parametrize("seed", usual(1, range(4)))
def test_no_sheet_makes_it_fail(seed: int) -> None:
    """Whatever parses as shot sheets is checked to the end."""
    chance = Random(seed)
    text = honest().model_dump_json(by_alias=True)
    checked = 0
    for _ in range(40):
        data = json.loads(text)
        for _ in range(chance.randint(1, 3)):
            spoil(data["day"]["shots"], chance)
        try:
            plan = Plan.model_validate(data)
        except ValidationError:
            continue
        rules_of(plan)
        checked += 1
    assert checked > 5
