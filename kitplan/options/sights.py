"""What each view sees in a pass: what hides its subject, empty seats, wings, lamps, who else.

Everything is asked of the planned frame of a view, before any camera is chosen; all views at once
(docs/model.md, section 2b). Other rigs and operators in the picture: `crowding`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kitplan.options.targets import (
    AREAL_HEIGHTS,
    CARD_COLUMNS,
    across,
    always_hidden,
    areal_places,
    cameras_of,
    some,
    targets_of,
)
from kitplan.options.views import View
from kitplan.shoot.records import Pass, Shoot
from kitplan.shoot.rules import Rules
from kitplan.shoot.scenery import Block, empty_seats, floor_of, head_m, heads, solids
from kitplan.shoot.sizes import height_m
from kitplan.shoot.venue import Lamp, Subject
from kitplan.stage.frame import Pinhole, card_boxes, project, taken_by
from kitplan.stage.sight import blocked, convex_parts

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Ints = NDArray[np.int64]
SLACK = 1e-9
WING_HEIGHT_M = 4.0
"""Wings are looked into up to this height over the stage. Common practice, no source."""


@dataclass(frozen=True)
class Sights:
    """What views see in a pass; arrays over views (n)."""

    hidden: Floats
    """Share of the subject that is hidden."""
    hidden_arms: Floats
    """The same with a standing audience's arms raised."""
    seats: Floats
    """Share of the frame that empty seats take."""
    seats_near_m: Floats
    seats_far_m: Floats
    """Depths of those along the axis; not a number where none is seen."""
    wings: Floats
    """Share of the frame beside the stage."""
    has_lamp: Flags
    has_laser: Flags
    unconsenting: tuple[tuple[str, ...], ...]
    """Ids of the subjects without consent in the picture."""

    def of(self, rows: Sequence[int]) -> Sights:
        """Return those of some views."""
        places = np.asarray(rows, dtype=np.int64)
        return Sights(
            self.hidden[places],
            self.hidden_arms[places],
            self.seats[places],
            self.seats_near_m[places],
            self.seats_far_m[places],
            self.wings[places],
            self.has_lamp[places],
            self.has_laser[places],
            tuple(self.unconsenting[row] for row in rows),
        )

    def sight_grade(self, rules: Rules) -> Ints:
        """Return 0 to 3: how little of the subject is hidden."""
        limits = (rules.hidden_most, rules.hidden_fair, rules.hidden_full)
        held = [self.hidden <= limit + SLACK for limit in limits]
        found: Ints = np.sum(held, axis=0, dtype=np.int64)
        return found

    def sight_mark(self, rules: Rules) -> Ints:
        """Return the grade, less one where raised arms would hide too much."""
        grade = self.sight_grade(rules)
        is_lower = (self.hidden_arms > rules.hidden_most + SLACK) & (grade > 1)
        found: Ints = np.where(is_lower, grade - 1, grade)
        return found

    def background_mark(self, rules: Rules) -> Ints:
        """Return 3, less one each for wings, a lamp or window, and empty seats."""
        lost = [
            self.wings > rules.wings_share + SLACK,
            self.has_lamp,
            self.seats > rules.seats_share_plain + SLACK,
        ]
        found: Ints = np.subtract(3, np.sum(lost, axis=0, dtype=np.int64))
        return found


class Lookout:
    """All views of a shoot, with everything that does not change from pass to pass."""

    def __init__(self, shoot: Shoot, views: Sequence[View]) -> None:
        self.shoot, self.views = shoot, views
        self.cameras = cameras_of(views, shoot.delivery.aspect)
        self.targets = targets_of(shoot, views, self.cameras)
        self.always = tuple(always_hidden(shoot, views, each) for each in self.targets)
        self.wings = _wings(shoot, self.cameras)
        self.unconsenting = _unconsenting(shoot, self.cameras)
        self._known: dict[tuple[object, ...], Sights] = {}

    @cached_property
    def middles(self) -> Floats:
        """The box of the middle of every view's picture, (n, 4)."""
        found = np.zeros((len(self.views), 4))
        for targets in self.targets:
            found[targets.rows] = targets.boxes
        return found

    @cached_property
    def position_numbers(self) -> Ints:
        """The number of each view's position in the venue's list, (n)."""
        numbers = {each.id: n for n, each in enumerate(self.shoot.venue.positions)}
        return np.array([numbers[view.position.id] for view in self.views], dtype=np.int64)

    def sights(self, each: Pass) -> Sights:
        """Return what all views see in a pass; passes that look the same share it."""
        people, empty = heads(self.shoot, each), empty_seats(self.shoot, each)
        lamps = tuple(
            lamp for lamp in self.shoot.venue.lamps if lamp.passes is None or each.id in lamp.passes
        )
        key = (tuple(b.id for b in people), tuple(lamp.id for lamp in lamps))
        if key not in self._known:
            raised = heads(self.shoot, each, arms_up=True)
            self._known[key] = self._look(people, raised, empty, lamps)
        return self._known[key]

    def _look(
        self,
        people: Sequence[Block],
        raised: Sequence[Block],
        empty: Sequence[Block],
        lamps: Sequence[Lamp],
    ) -> Sights:
        seats, near, far = _seats(self.cameras, empty)
        has_lamp = np.zeros(len(self.views), dtype=np.bool_)
        has_laser = has_lamp.copy()
        for lamp in lamps:
            seen = self._sees(lamp)
            if lamp.kind == "laser":
                has_laser |= seen
            else:
                has_lamp |= seen
        return Sights(
            self._hidden(people),
            self._hidden(raised),
            seats,
            near,
            far,
            self.wings,
            has_lamp,
            has_laser,
            self.unconsenting,
        )

    def _hidden(self, people: Sequence[Block]) -> Floats:
        """Share of each subject that is hidden; the audience does not hide itself."""
        found = np.zeros(len(self.views))
        for targets, always in zip(self.targets, self.always, strict=True):
            is_other = np.array(
                [self.views[int(n)].subject.kind != "audience" for n in targets.rows],
                dtype=np.bool_,
            )
            among = np.repeat(is_other[:, None], len(people), axis=1)
            is_blocked = always | targets.blocked_by(people, among)
            found[targets.rows] = targets.share(is_blocked)
        return found

    def _sees(self, lamp: Lamp) -> Flags:
        """Which views have a lamp in the frame that shines towards them."""
        place = np.array([*lamp.at_m, lamp.height_m])
        u, v, _ = project(self.cameras, place[None, :])
        in_frame = ((u >= 0) & (u <= 1) & (v >= 0) & (v <= 1))[:, 0]
        if lamp.faces_deg is not None:
            bearing = np.radians(lamp.faces_deg)
            faces = np.array([np.sin(bearing), np.cos(bearing)])
            in_frame &= (self.cameras.place_m[:, :2] - place[:2]) @ faces > 0
        rows = np.flatnonzero(in_frame)
        if len(rows):
            in_frame[rows] &= ~blocked_at(self.cameras.place_m[rows], place, solids(self.shoot))
        return in_frame

    # -- the safety shot -----------------------------------------------------------------------

    def is_clear_over_heads(self, each: Pass, lens_m: tuple[float, float, float]) -> bool:
        """Whether a lens sees every performer from the waist up over the audience's heads."""
        people = heads(self.shoot, each)
        lens = np.array([lens_m])
        for subject in safety_subjects(self.shoot):
            places, heights = _waist_up(self.shoot, subject, lens)
            for block in people:
                for part in convex_parts(block.outline_m):
                    figures = (block.bottom_m, block.top_m, block.rise, block.from_y_m)
                    if blocked(lens, places, heights, part, *figures).any():
                        return False
        return True


WAIST_UP = (0.6, 0.95)


def safety_subjects(shoot: Shoot) -> tuple[Subject, ...]:
    """Return whom the safety shot must see: persons and groups; without any, the stage."""
    people = tuple(s for s in shoot.subjects if s.kind in ("person", "group"))
    stage = tuple(s for s in shoot.subjects if s.kind == "stage")
    return people or stage or (Subject(id="stage", kind="stage"),)


def _waist_up(shoot: Shoot, subject: Subject, lens: Floats) -> tuple[Floats, Floats]:
    if subject.kind == "person":
        assert subject.at_m is not None  # the record asks for it
        at, width = np.array([subject.at_m]), np.array([subject.width_m])
        places, height = across(lens[:, :2], at, width, CARD_COLUMNS), head_m(subject)
    else:
        places, height = areal_places(shoot, subject, lens[:, :2]), height_m(subject)
    levels = floor_of(shoot, subject) + height * np.array(WAIST_UP)
    return places, np.broadcast_to(levels, (*places.shape[:2], len(WAIST_UP)))


# -- single questions ------------------------------------------------------------------------------


def blocked_at(lens_m: Floats, point_m: Floats, blocks: Sequence[Block]) -> Flags:
    """Return from which lenses (n, 3) blocks hide one point (3)."""
    places = np.broadcast_to(point_m[:2], (len(lens_m), 1, 2))
    heights = np.full((len(lens_m), 1, 1), point_m[2])
    found = np.zeros(len(lens_m), dtype=np.bool_)
    for block in blocks:
        for part in convex_parts(block.outline_m):
            figures = (block.bottom_m, block.top_m, block.rise, block.from_y_m)
            found |= blocked(lens_m, places, heights, part, *figures)[:, 0, 0]
    return found


def _seats(cameras: Pinhole, empty: Sequence[Block]) -> tuple[Floats, Floats, Floats]:
    """Share of the frame that empty seats take, and their depths."""
    number = len(cameras.place_m)
    share, near, far = np.zeros(number), np.full(number, np.nan), np.full(number, np.nan)
    for area in empty:
        for part in convex_parts(area.outline_m):  # a concave one leaves stray corners when cut
            taken = taken_by(cameras, surface_of(area, part.corners_m))
            share += taken.share
            near, far = np.fmin(near, taken.near_m), np.fmax(far, taken.far_m)
    return share, near, far


def surface_of(block: Block, part_m: Floats) -> Floats:
    """Return the top of a block over a part of its outline, in space, (k, 3)."""
    top_m = block.top_m + block.rise * (block.from_y_m - part_m[:, 1])
    return np.column_stack([part_m, top_m])


def _wings(shoot: Shoot, cameras: Pinhole) -> Floats:
    """Share of the frame that looks past the sides of the stage."""
    stage = shoot.venue.stage
    found = np.zeros(len(cameras.place_m))
    if stage.form != "end" or not stage.has_wings:
        return found
    corners = np.asarray(stage.outline_m)
    low_m, high_m = stage.height_m, stage.height_m + WING_HEIGHT_M
    middle = (corners.min(axis=0) + corners.max(axis=0)) / 2
    front, back = corners[:, 1].min(), corners[:, 1].max()
    for one, other in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        if (one[1] == other[1] == front) or (one[1] == other[1] == back):
            continue
        side = _side_of(one, other, cameras.place_m[:, :2]) * _side_of(one, other, middle[None])
        rows = np.flatnonzero(side > 0)
        if len(rows):
            wall = np.array([(*one, low_m), (*other, low_m), (*other, high_m), (*one, high_m)])
            found[rows] += taken_by(some(cameras, rows), wall).share
    return found


def _side_of(one: Floats, other: Floats, points: Floats) -> Floats:
    """On which side of a line points lie: the sign of a cross product."""
    along, to = other - one, points - one
    found: Floats = np.sign(along[0] * to[:, 1] - along[1] * to[:, 0])
    return found


def _unconsenting(shoot: Shoot, cameras: Pinhole) -> tuple[tuple[str, ...], ...]:
    """Who without consent is in each picture."""
    found: list[list[str]] = [[] for _ in cameras.place_m]
    for subject in shoot.subjects:
        if not subject.has_consent and subject.kind in ("person", "object", "group"):
            for row in np.flatnonzero(_shows(shoot, subject, cameras)):
                found[row].append(subject.id)
    return tuple(tuple(each) for each in found)


def _shows(shoot: Shoot, subject: Subject, cameras: Pinhole) -> Flags:
    floor_m, number = floor_of(shoot, subject), len(cameras.place_m)
    if subject.kind == "group":
        places = areal_places(shoot, subject, cameras.place_m[:, :2])
        return _has_points(cameras, places, floor_m, height_m(subject))
    assert subject.at_m is not None  # the record asks for it
    width_m = subject.width_m + 2 * subject.roam_m
    card = (*subject.at_m, floor_m, floor_m + height_m(subject), width_m)
    boxes = card_boxes(cameras, np.tile(np.array(card), (number, 1)))
    found: Flags = (boxes[:, 2] > boxes[:, 0]) & (boxes[:, 3] > boxes[:, 1])
    return found


def _has_points(cameras: Pinhole, places: Floats, floor_m: float, height: float) -> Flags:
    found = np.zeros(len(places), dtype=np.bool_)
    for share in AREAL_HEIGHTS:
        level = np.full((*places.shape[:2], 1), floor_m + share * height)
        u, v, _ = project(cameras, np.concatenate([places, level], axis=-1))
        found |= ((u >= 0) & (u <= 1) & (v >= 0) & (v <= 1)).any(axis=1)
    return found
