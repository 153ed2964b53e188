"""What else is in the picture: empty seats, wings, lamps, and who did not consent.

docs/model.md, section 2b. Areas are shares of the frame; metres and degrees.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, hypot, radians, sin, tan

from kitplan.plan.verify.blocks import is_blocked, solids
from kitplan.plan.verify.pinhole import Card, pinhole_of
from kitplan.plan.verify.plane import EDGE_M, edges_of, is_inside, to_edge_m
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.seen import HIGH, LOW, MIDDLE, SHARE_SLACK, areal_points
from kitplan.plan.verify.sight import Vector, View
from kitplan.plan.verify.subjects import Outline, figure_m, floor_of, middle_of, place_of
from kitplan.shoot.records import Pass
from kitplan.shoot.venue import AudienceArea, Lamp, Subject

WING_M = 4.0
"""How high over the stage one sees into the wings."""
FACING_SLACK = 1e-9
CORNER_M = 1e-6
"""A corner cut out of an outline is no further than this outside of it."""
FULL_MARK = 3


@dataclass(frozen=True)
class Seats:
    """Empty seats in a picture: their share, and between which depths in m they are."""

    share: float = 0.0
    nearest_m: float = 0.0
    farthest_m: float = 0.0

    def depth_near(self, distance_m: float) -> float:
        """Return the depth of the seats that is nearest to a distance."""
        return min(max(distance_m, self.nearest_m), self.farthest_m)


# -- empty seats -----------------------------------------------------------------------------------


def seats_in(scene: Scene, each: Pass, view: View) -> Seats:
    """Return the empty seats in a view in a pass."""
    key = ("seats", scene.occupied(each), view.key)
    return scene.once(key, lambda: _seats(scene, each, view))


def _seats(scene: Scene, each: Pass, view: View) -> Seats:
    camera, people = pinhole_of(scene, view), scene.occupied(each)
    shares, depths = [0.0], []
    for area in scene.shoot.venue.audience:
        if area.id not in people:
            cut = camera.cut(list(_seat_points(scene, area)))
            shares.append(camera.share(cut))
            # where pieces hang together by a line only, the cut has corners outside of all of them
            places = ((seen[2], camera.placed(seen)) for seen in cut)
            depths += [depth for depth, (x, y, _) in places if _is_on(area.outline_m, (x, y))]
    if sum(shares) == 0 or not depths:
        return Seats()
    return Seats(sum(shares), min(depths), max(depths))


def _seat_points(scene: Scene, area: AudienceArea) -> Iterator[Vector]:
    over = area.height_m + (scene.shoot.rules.seat_m if area.state == "seated" else 0.0)
    rise, back = tan(radians(area.rake_deg)), max(y for _, y in area.outline_m)
    return ((x, y, over + rise * (back - y)) for x, y in area.outline_m)


def _is_on(outline: Outline, at: tuple[float, float]) -> bool:
    """Whether a point is inside an outline or on its edge."""
    return is_inside(outline, at) or any(to_edge_m(at, e) <= CORNER_M for e in edges_of(outline))


# -- wings -----------------------------------------------------------------------------------------


def wings_in(scene: Scene, view: View) -> float:
    """Return the share of a view in which one sees off stage."""
    return scene.once(("wings", view.key), lambda: _wings(scene, view))


def _wings(scene: Scene, view: View) -> float:
    stage, camera = scene.shoot.venue.stage, pinhole_of(scene, view)
    if stage.form != "end" or not stage.has_wings:
        return 0.0
    inner, low, high = middle_of(stage.outline_m), stage.height_m, stage.height_m + WING_M
    return sum(
        camera.share(camera.cut([(*one, low), (*other, low), (*other, high), (*one, high)]))
        for one, other in _side_edges(stage.outline_m)
        if _side(one, other, view.eye[:2]) * _side(one, other, inner) > 0
    )


def _side_edges(outline: Outline) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """Edges that lie neither at the front nor at the back of a stage."""
    ends = (min(y for _, y in outline), max(y for _, y in outline))
    for one, other in edges_of(outline):
        if not any(abs(one[1] - y) <= EDGE_M and abs(other[1] - y) <= EDGE_M for y in ends):
            yield one, other


def _side(one: tuple[float, float], other: tuple[float, float], at: tuple[float, float]) -> int:
    """On which side of a line a point is: 1 or -1, 0 on it."""
    length = hypot(other[0] - one[0], other[1] - one[1])
    turn = (other[0] - one[0]) * (at[1] - one[1]) - (other[1] - one[1]) * (at[0] - one[0])
    return 0 if abs(turn) <= EDGE_M * length else (1 if turn > 0 else -1)


# -- lamps -----------------------------------------------------------------------------------------


def lamps_in(scene: Scene, each: Pass, view: View) -> tuple[Lamp, ...]:
    """Return the lamps, windows and lasers that a view looks into in a pass."""
    key = ("lamps", each.id, view.key)
    return scene.once(
        key,
        lambda: tuple(
            lamp
            for lamp in scene.shoot.venue.lamps
            if lamp.passes is None or each.id in lamp.passes
            if _is_looked_into(scene, view, lamp)
        ),
    )


def _is_looked_into(scene: Scene, view: View, lamp: Lamp) -> bool:
    at = (*lamp.at_m, lamp.height_m)
    spot = pinhole_of(scene, view).spot(at)
    if spot is None or not spot.is_in_frame or not _faces(lamp, view.eye):
        return False
    return not is_blocked(view.eye, at, solids(scene))


def _faces(lamp: Lamp, eye: Vector) -> bool:
    """Whether a lamp shines less than a right angle from the lens, in plan."""
    if lamp.faces_deg is None:
        return True
    bearing = radians(lamp.faces_deg)
    to_x, to_y = eye[0] - lamp.at_m[0], eye[1] - lamp.at_m[1]
    return to_x * sin(bearing) + to_y * cos(bearing) > FACING_SLACK * hypot(to_x, to_y)


# -- consent ---------------------------------------------------------------------------------------


def without_consent_in(scene: Scene, view: View) -> tuple[str, ...]:
    """Return the ids of those in a view who did not consent, in the order of the shoot."""
    return scene.once(
        ("consent", view.key),
        lambda: tuple(
            subject.id
            for subject in scene.shoot.subjects
            if not subject.has_consent and _is_shown(scene, view, subject)
        ),
    )


def _is_shown(scene: Scene, view: View, subject: Subject) -> bool:
    camera = pinhole_of(scene, view)
    if subject.kind in ("person", "object"):
        floor, width = floor_of(scene, subject), subject.width_m + 2 * subject.roam_m
        card = Card(place_of(scene, subject), floor, floor + figure_m(subject), width)
        return camera.box(card) is not None
    if subject.kind != "group":
        return False
    points = areal_points(scene, view.eye, subject, (LOW, MIDDLE, HIGH))
    return any((spot := camera.spot(point)) and spot.is_in_frame for point in points)


def is_wide(scene: Scene, view: View) -> bool:
    """Return whether a view is so wide that nobody in it is refused for want of consent."""
    return view.planned_m >= scene.shoot.rules.consent_wide_m - SHARE_SLACK


def flagged_in(scene: Scene, view: View) -> tuple[str, ...]:
    """Return the ids of those in a wide view who did not consent."""
    return without_consent_in(scene, view) if is_wide(scene, view) else ()


# -- mark ------------------------------------------------------------------------------------------


def background_mark(scene: Scene, each: Pass, view: View) -> int:
    """Return the background mark: 3 less one each for wings, lamps and empty seats."""
    rules = scene.shoot.rules
    return FULL_MARK - sum(
        (
            wings_in(scene, view) > rules.wings_share + SHARE_SLACK,
            has_lamp(scene, each, view),
            seats_in(scene, each, view).share > rules.seats_share_plain + SHARE_SLACK,
        )
    )


def has_lamp(scene: Scene, each: Pass, view: View) -> bool:
    """Return whether a view looks into a lamp or window."""
    return any(lamp.kind != "laser" for lamp in lamps_in(scene, each, view))
