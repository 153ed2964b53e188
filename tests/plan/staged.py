"""Small scenes and setups for tests of what a view sees: the sums are easy by hand.

The singer of `tests.small` stands at (0, 2). From the front, 12 m before him, a medium shot is
level at 1.363 m: 0.9 m high and 1.6 m wide.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from kitplan.gear.records import Body, Support
from kitplan.plan.verify import Camera, Fault, Scene, Setup, Stand, View, view_of
from kitplan.shoot.records import Person
from kitplan.shoot.venue import Position, Subject
from tests.small import (
    STAGE_M,
    WIDE,
    body,
    optic,
    person,
    position,
    show,
    singer,
    small_kit,
    small_shoot,
    support,
)

FRONT = position("front")
CAM = body(built_in=optic(**WIDE))
"""It frames every size."""
PILLAR_M = 0.2
"""Width of a pillar."""


def scene(*items: Any, **parts: Any) -> Scene:
    """Return a small scene without wings; obstacles, lamps and the like are parts of the venue."""
    venue = {name: parts.pop(name) for name in ("obstacles", "lamps", "audience") if name in parts}
    stage = {"outline_m": STAGE_M, "has_wings": False, **parts.pop("stage", {})}
    shoot = small_shoot(stage=stage, **parts)
    changed = shoot.venue.model_dump() | venue
    return Scene(
        shoot.model_copy(update={"venue": type(shoot.venue).model_validate(changed)}),
        small_kit(CAM, *items),
    )


def setup(
    place: Position = FRONT,
    who: str | Person | None = "ann",
    *,
    camera: Body = CAM,
    legs: Support | None = None,
    **facts: Any,
) -> Setup:
    """Return a medium shot of the singer in the show, by Ann."""
    given: dict[str, Any] = {"each": show(), "subject": singer(), "size": "MS"}
    return Setup(
        position=place,
        camera=Camera(camera, camera.modes[0]),
        stand=Stand(legs or support()),
        person=person(who) if isinstance(who, str) else who,
        **{**given, **facts},
    )


def view(setting: Scene, subject: Subject | None = None, size: str = "MS", **at: Any) -> View:
    """Return a view of the singer, or of another subject, from the front or elsewhere."""
    place = position("front", **at)
    found = view_of(setting, place, subject or singer(), size)
    assert found is not None
    return found


def pillar(x: float, y: float, **facts: Any) -> dict[str, Any]:
    """Return a pillar of 0.2 x 0.2 m around a point, 3 m high."""
    half = PILLAR_M / 2
    corners = (
        (x - half, y - half),
        (x + half, y - half),
        (x + half, y + half),
        (x - half, y + half),
    )
    return {
        "id": f"pillar-{x:g}-{y:g}".replace("--", "-m"),
        "outline_m": corners,
        "height_m": 3.0,
        **facts,
    }


def seats(south: float, north: float, *, half: float = 5.0, **facts: Any) -> dict[str, Any]:
    """Return an audience area from one y to another, as wide to either side."""
    corners = ((-half, south), (half, south), (half, north), (-half, north))
    return {"id": "seats", "outline_m": corners, **facts}


def rules_of(faults: Iterable[Fault]) -> set[str]:
    """Return the slugs of some faults."""
    return {fault.rule for fault in faults}
