"""How still each camera holds the picture on each kind of stand: docs/model.md, section 2b."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from kitplan.optics.steadiness import movement_share, tremor_deg
from kitplan.options.cameras import Camera
from kitplan.options.stands import Stand
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass
from kitplan.shoot.scenery import is_occupied
from kitplan.shoot.venue import Position
from kitplan.tables import table

Floats = NDArray[np.float64]
Marks = NDArray[np.int8]
Manner = Literal["operated", "locked-off"]
Tremors = Mapping[tuple[str, Manner], Floats]
"""Tremor in degrees of each camera, by kind of stand and manner."""
BY_HAND = frozenset({"hand", "walk"})
"""Rows on which a stabiliser helps against the support as well."""
USUAL_FLOOR = "timber-on-concrete"
SLACK = 1e-9


def support_row(stand: Stand, position: Position) -> str:
    """Return the row of shared/steadiness.yaml that a stand at a position belongs to."""
    support = stand.support
    if "walk" in support.moves:
        return "walk"
    if support.is_arm:
        return "arm"
    if "track" in support.moves:
        return "track"
    if not support.can_stand_alone:
        return "hand"
    return "stand" if position.stands_on == "floor" else position.stands_on


def floor_column(brief: Brief, each: Pass, position: Position) -> str:
    """Return how the floor is moved: nobody, a seated audience, people on their feet."""
    occupied = [a for a in brief.shoot.venue.audience if is_occupied(a, each)]
    if position.is_on_stage or any(area.state == "standing" for area in occupied):
        return "moving"
    return "seated" if each.has_audience else "empty"


def stabiliser_stops(camera: Camera) -> float:
    """Return the stops of the better stabiliser; a lens's only where the adapter passes it on."""
    passes_on = camera.adapter is None or "stabiliser" in camera.adapter.passes_on
    lens_stops = camera.optic.stabiliser_stops if passes_on else 0.0
    return max(camera.body.stabiliser_stops, lens_stops)


def tremors_deg(
    brief: Brief,
    each: Pass,
    position: Position,
    row: str,
    manner: Manner,
    cameras: Sequence[Camera],
) -> Floats:
    """Return the tremor of each camera on a kind of stand, in degrees, (number of cameras)."""
    rules, sizes = brief.shoot.rules, table("steadiness")
    stops = np.array([stabiliser_stops(camera) for camera in cameras])
    floors = sizes["floor_deg"]
    floor = floors.get(position.floor, floors[USUAL_FLOOR])[floor_column(brief, each, position)]
    return tremor_deg(
        sizes["support_deg"][row]["operated" if manner == "operated" else "locked"],
        floor,
        sizes["wind_deg"] if position.is_outdoors else 0.0,
        np.minimum(stops, rules.stabiliser_hand_stops) if row in BY_HAND else 0.0,
        np.minimum(stops, rules.stabiliser_floor_stops),
    )


def steady_marks(brief: Brief, tremor: Floats, view_deg: Floats, manner: Manner) -> Marks:
    """Return 0 (refused) to 3 for each view and camera.

    Args:
        tremor: In degrees, (number of cameras).
        view_deg: Vertical angles of view, (views, cameras).
    """
    rules = brief.shoot.rules
    limit = rules.steady_operated if manner == "operated" else rules.steady_locked
    share = movement_share(tremor[None, :], view_deg)
    limits = (limit, limit * 2 / 3, limit / 3)
    found: Marks = np.sum([share <= each + SLACK for each in limits], axis=0, dtype=np.int8)
    return found
