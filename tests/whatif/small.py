"""Plans made by hand: placements wherever a test wants them, without a search."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from kitplan.plan.records import MadeWith, Placement, Plan, Rig, Shot
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Role, Shoot
from kitplan.whatif.pairs import Angle, Pair, angles, pairs
from tests.small import SHOOT_ID, small_kit

SAFETY = Role(
    id="safety", subject="stage", sizes=("WS",), priority="must", in_passes="every", is_safety=True
)
RIG = Rig(body="cam-1", mode="HD", lens=None, adapter=None, head=None, support="legs-1")


def shot(subject: str = "singer", size: str = "MS") -> Shot:
    """Return a shot; its figures are any, since angles follow from the shoot."""
    return Shot(
        subject=subject,
        size=size,
        distance_m=12,
        frame_height_m=0.9,
        focal_mm=100,
        view_deg=4,
        stop=4,
        iso=400,
        iso_bright=200,
        nd_stops=0,
        shutter_s=1 / 50,
        focus_m=12,
        near_m=11,
        far_m=13,
        grade=3,
        marks=9,
        band="narrow",
    )


def placed(
    letter: str, position: str = "front", subject: str = "singer", size: str = "MS", **facts: Any
) -> Placement:
    """Return a counted placement that Ann operates in the show, without a role."""
    given: dict[str, Any] = {
        "pass_id": f"{SHOOT_ID}/{facts.pop('in_pass', 'show')}",
        "operator": "ann",
        "roles": (),
        "menu": (),
        "is_counted": True,
        "batteries": (),
        "cards": (),
        "accessories": (),
        "rig": RIG,
    }
    return Placement(
        **{**given, **facts}, letter=letter, position=position, shot=shot(subject, size)
    )


def safety(letter: str = "A", position: str = "front", **facts: Any) -> Placement:
    """Return a locked-off safety shot of the whole stage."""
    given = {"roles": ("safety",), "operator": None}
    return placed(letter, position, "stage", "WS", **{**given, **facts})


def hand_plan(shoot: Shoot, placements: Iterable[Placement] = (), **facts: Any) -> Plan:
    """Return a plan of a small shoot with these placements; what a pass is worth is worked out."""
    kit = small_kit()
    brief = Brief(shoot, kit)
    worth = {
        f"{SHOOT_ID}/{each.id}": {song.id: brief.worth(each, song) for song in shoot.songs}
        for each in shoot.passes
    }
    given: dict[str, Any] = {
        "title": shoot.title,
        "status": "solved",
        "shoots": {SHOOT_ID: shoot},
        "kit": kit,
        "made_with": MadeWith(kitplan="0", ortools="0", tables="0", seconds=0, seed=1, workers=1),
        "shutter_s": 1 / 50,
        "shutter_words": "1/50 s",
        "placements": tuple(placements),
        "demands": (),
        "goals": (),
        "resets": (),
        "worth": worth,
        "left_out": (),
    }
    return Plan(**{**given, **facts})


def angles_of(shoot: Shoot, *placements: Placement) -> tuple[Angle, ...]:
    """Return the angles of a hand-made plan."""
    return angles(hand_plan(shoot, placements), SHOOT_ID)


def pair_of(shoot: Shoot, first: Placement, second: Placement) -> Pair:
    """Return the one pair of two placements."""
    (pair,) = pairs(shoot, angles_of(shoot, first, second))
    return pair
