"""How steady a camera is (docs/model.md, section 2b: Steadiness). Degrees within a second."""

from __future__ import annotations

from math import hypot

from kitplan.plan.records import Manner
from kitplan.plan.verify.findings import Fault
from kitplan.plan.verify.optics import optic_of, power
from kitplan.plan.verify.picture import Picture
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.seen import SHARE_SLACK
from kitplan.plan.verify.setups import Camera, Stand
from kitplan.shoot.records import Pass
from kitplan.shoot.venue import Position
from kitplan.tables import table

USUAL_FLOOR = "timber-on-concrete"
"""A floor that the table does not list counts as this one."""
STABILISED = ("hand", "walk")
"""Supports against whose tremor a stabiliser works."""


def steady_share(
    scene: Scene,
    each: Pass,
    position: Position,
    rig: tuple[Camera, Stand],
    picture: Picture,
    manner: Manner,
) -> float:
    """Return by which share of its height a picture moves within a second."""
    return tremor_deg(scene, each, position, rig, manner) / picture.view_deg


def tremor_deg(
    scene: Scene, each: Pass, position: Position, rig: tuple[Camera, Stand], manner: Manner
) -> float:
    """Return the tremor of a camera on a stand at a position in a pass."""
    camera, stand = rig
    people = scene.occupied(each)
    key = ("tremor", each.has_audience, people, position.id, camera.key, stand.items, manner)
    return scene.once(key, lambda: _tremor(scene, each, position, rig, manner))


def _tremor(
    scene: Scene, each: Pass, position: Position, rig: tuple[Camera, Stand], manner: Manner
) -> float:
    tables, rules, (camera, stand) = table("steadiness"), scene.shoot.rules, rig
    row = support_row(stand, position)
    floors = tables["floor_deg"]
    floor = floors.get(position.floor, floors[USUAL_FLOOR])[_floor_column(scene, each, position)]
    held = tables["support_deg"][row]["locked" if manner == "locked-off" else "operated"]
    stops = stabiliser_stops(camera)
    by_hand = min(stops, rules.stabiliser_hand_stops) if row in STABILISED else 0.0
    by_floor = min(stops, rules.stabiliser_floor_stops)
    wind = tables["wind_deg"] if position.is_outdoors else 0.0
    return hypot(held * power(-by_hand), floor * power(-by_floor), wind)


def support_row(stand: Stand, position: Position) -> str:
    """Return the row of the table that a stand at a position belongs to."""
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


def _floor_column(scene: Scene, each: Pass, position: Position) -> str:
    people = scene.occupied(each)
    crowd = [a for a in scene.shoot.venue.audience if a.id in people and a.state == "standing"]
    if position.is_on_stage or crowd:
        return "moving"
    return "seated" if each.has_audience else "empty"


def stabiliser_stops(camera: Camera) -> float:
    """Return the stops of stabilisation of body or lens, whichever gives more."""
    optic = optic_of(camera)
    is_passed_on = camera.adapter is None or "stabiliser" in camera.adapter.passes_on
    by_lens = optic.stabiliser_stops if optic is not None and is_passed_on else 0.0
    return max(camera.body.stabiliser_stops, by_lens)


# -- rule and mark ---------------------------------------------------------------------------------


def _most_share(scene: Scene, manner: Manner) -> float:
    rules = scene.shoot.rules
    return rules.steady_locked if manner == "locked-off" else rules.steady_operated


def steady_mark(scene: Scene, share: float, manner: Manner) -> int:
    """Return the steadiness mark: 3 up to a third of what is allowed, 2 up to two, else 1."""
    most = _most_share(scene, manner)
    return 1 + sum(share <= most * part + SHARE_SLACK for part in (1 / 3, 2 / 3))


def steadiness_fault(scene: Scene, share: float, manner: Manner) -> Fault | None:
    """Return the fault of a picture that moves too much."""
    most = _most_share(scene, manner)
    if share <= most + SHARE_SLACK:
        return None
    wrong = f"the picture moves by {share:.2%} of its height within a second"
    return Fault("steadiness", wrong, f"At most {most:.2%} are allowed {manner}")
