"""A hall in which shot sheets are decided by hand: singer and drummer on stage, few shots.

From `front` the singer is seen 12 m away, from `left` and `right` 45 degrees from either side.
Every camera has a zoom from a close-up to the whole stage. Songs last 100 s with gaps of 20 s.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from kitplan.day.shots import shot_sheets
from kitplan.gear.kit import Kit
from kitplan.plan.day.shots import SHOT_GOALS, ShotSheet, ShotSheets, SongShot
from kitplan.plan.framing import Framing
from kitplan.plan.records import Day, Placement, Plan, Rig
from kitplan.plan.verify import Finding, Scene
from kitplan.plan.verify.day import day_findings
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Moment, Shoot, Song
from kitplan.shoot.venue import Subject
from tests.small import (
    QUIET,
    SHOOT_ID,
    body,
    person,
    position,
    show,
    singer,
    small_kit,
    small_shoot,
)
from tests.small import song as small_song
from tests.whatif.small import hand_plan
from tests.whatif.small import placed as hand_placed

WIDE = {
    "focal_min_mm": 5,
    "focal_max_mm": 250,
    "stop_wide": 2.8,
    "t_stop_loss": 0,
    "closest_focus_m": 0.5,
}
LETTERS = "ABCDEF"
Pair = tuple[str, str]


def kit() -> Kit:
    """Return six cameras with a zoom each, and legs in plenty."""
    return small_kit(body(built_in=WIDE), counts={"cam": len(LETTERS)})


def song(item: str, *moments: Moment, **facts: Any) -> Song:
    """Return a song of 100 s."""
    return small_song(item, **{"length_s": 100, "gap_s": 20, "moments": moments, **facts})


def moment(name: str = "Solo", at_s: float = 30, **facts: Any) -> Moment:
    """Return a must moment of the singer, a medium shot for 20 s."""
    given = {"subject": "singer", "length_s": 20, "size": "MS", "priority": "must"}
    return Moment(**{"name": name, "at_s": at_s, **given, **facts})


def hall(*songs: Song, **parts: Any) -> Shoot:
    """Return a shoot with a steady hand (Ann), a novice (Ben), and Cy, who is one too."""
    given: dict[str, Any] = {
        "songs": songs or (song("first"), song("second")),
        "positions": (
            position("front", rigs=3),
            position("left", rigs=3),
            position("right", rigs=3),
        ),
        "subjects": (
            singer(),
            singer("drummer", at_m=(2, 4)),
            Subject(id="stage", kind="stage"),
            Subject(id="band", kind="group", outline_m=((-3, 1), (3, 1), (3, 5), (-3, 5))),
        ),
        "passes": (show(),),
        "crew": (person("ann"), person("ben", is_skilled=False), person("cy", is_skilled=False)),
        "rules": QUIET,
    }
    return small_shoot(**{**given, **parts})


def placed(
    letter: str,
    place: str = "front",
    main: Pair = ("singer", "MS"),
    *,
    menu: Iterable[Pair] = (),
    **facts: Any,
) -> Placement:
    """Return a camera that Ann operates in the show, with a menu."""
    number = LETTERS.index(letter) + 1
    rig = Rig(
        body=f"cam-{number}",
        mode="HD",
        lens=None,
        adapter=None,
        head=None,
        support=f"legs-{number}",
    )
    own = tuple(Framing(subject=subject, size=size) for subject, size in menu)
    return hand_placed(letter, place, *main, **{"rig": rig, "menu": own, **facts})


def plan_with(shoot: Shoot, *placements: Placement) -> Plan:
    """Return a plan with its shot sheets, which hold as the checker sees it."""
    made = hand_plan(shoot, placements, kit=kit())
    sheets = shot_sheets({SHOOT_ID: Brief(shoot, kit())}, made.placements)
    plan = made.model_copy(update={"day": Day(shots=sheets)})
    assert [str(finding) for finding in faults(plan)] == []
    return plan


def faults(plan: Plan) -> list[Finding]:
    """Return what the checker says of the day of a plan."""
    scenes = {key: Scene(shoot, plan.kit) for key, shoot in plan.shoots.items()}
    return list(day_findings(plan, scenes))


def sheets_of(plan: Plan) -> ShotSheets:
    """Return the shot sheets of a plan."""
    assert plan.day is not None
    assert plan.day.shots is not None
    return plan.day.shots


def sheet(plan: Plan, letter: str = "A", in_pass: str = "show") -> ShotSheet:
    """Return the sheet of a camera."""
    (found,) = (
        each
        for each in sheets_of(plan).sheets
        if (each.letter, each.pass_id) == (letter, f"{SHOOT_ID}/{in_pass}")
    )
    return found


def pair(shot: Framing | None) -> Pair | None:
    """Return a framing as a pair."""
    return None if shot is None else (shot.subject, shot.size)


def held(plan: Plan, letter: str = "A", in_pass: str = "show") -> list[Pair | None]:
    """Return the shots of a camera, song by song."""
    return [pair(row.shot) for row in sheet(plan, letter, in_pass).songs]


def cues(row: SongShot) -> list[tuple[str, Pair | None]]:
    """Return the cues of a row."""
    return [(cue.moment, pair(cue.shot)) for cue in row.cues]


def value(plan: Plan, goal: str) -> float:
    """Return what a goal came to, which is proven."""
    sheets = sheets_of(plan)
    assert sheets.is_proven
    return sheets.value[SHOT_GOALS.index(goal)]
