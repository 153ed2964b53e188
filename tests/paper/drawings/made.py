"""Plans made by hand for drawings: they need not hold, only name what they hold.

Records are made without checks, so that facts which drawings do not ask for may be left out.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import atan, degrees
from typing import Any

from kitplan.gear.kit import Kit
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.names import Names
from kitplan.plan.framing import Framing
from kitplan.plan.records import Placement, Plan, Rig, Shot
from kitplan.shoot.records import Shoot
from tests.small import SHOOT_ID, lens, small_kit, small_shoot, support, unit

SHOW = f"{SHOOT_ID}/show"
EVIL = 'Ann <b>&"Ben" 🎺'


def kit() -> Kit:
    """Return cameras, legs, an arm and a slider."""
    return small_kit(
        lens("zoom", focal_min_mm=10, focal_max_mm=200),
        support("arm", is_arm=True, sweep_m=2.5, can_stand_alone=False),
        support("slider", moves=("track",), footprint_m=1.6),
        units=(unit("zoom"),),
    )


def shot(subject: str = "singer", size: str = "MS", **facts: Any) -> Shot:
    """Return a shot with a vertical angle of view of 4.295 degrees: 0.9 m high at 12 m."""
    given: dict[str, Any] = {
        "subject": subject,
        "size": size,
        "distance_m": 12.0,
        "frame_height_m": 0.9,
        "focal_mm": 118.8,
        "view_deg": degrees(2 * atan(0.9 / 24)),
    }
    return Shot.model_construct(**{**given, **facts})


def placement(letter: str = "A", position: str = "front", **facts: Any) -> Placement:
    """Return a camera with a built-in lens on legs, operated by Ann."""
    given: dict[str, Any] = {
        "pass_id": SHOW,
        "position": position,
        "letter": letter,
        "rig": rig(),
        "operator": "ann",
        "roles": (),
        "shot": shot(),
        "menu": (),
        "is_counted": True,
        "batteries": (),
        "cards": (),
        "accessories": (),
    }
    return Placement.model_construct(**{**given, **facts})


def rig(support: str = "legs-1", **parts: Any) -> Rig:
    """Return the camera with its own lens on a support."""
    given: dict[str, Any] = {
        "body": "cam-1",
        "mode": "HD",
        "lens": None,
        "adapter": None,
        "head": None,
        "support": support,
    }
    return Rig(**{**given, **parts})


def menu(*framings: tuple[str, str]) -> tuple[Framing, ...]:
    """Return a menu of subjects at sizes."""
    return tuple(Framing(subject=subject, size=size) for subject, size in framings)


def plan(placements: Iterable[Placement] = (), shoot: Shoot | None = None, **facts: Any) -> Plan:
    """Return a plan of the small show with some placements."""
    shoot = shoot or small_shoot()
    songs = {song.id: "live" for song in shoot.songs}
    given: dict[str, Any] = {
        "title": "Small",
        "shoots": {SHOOT_ID: shoot},
        "kit": kit(),
        "placements": tuple(placements),
        "worth": {f"{SHOOT_ID}/{each.id}": songs for each in shoot.passes},
        "left_out": (),
    }
    return Plan.model_construct(**{**given, **facts})


def content(
    placements: Iterable[Placement] = (), shoot: Shoot | None = None, pass_id: str = SHOW
) -> Content:
    """Return what the drawings of a pass show."""
    return Content(Names(plan(placements, shoot)), pass_id)
