"""The points of what is filmed, and what hides them at all times: obstacles, stage, performers.

Points of a target stand in columns (places in plan) at several heights; docs/model.md, section 2b.
Arrays go over views: n views, c columns, h heights.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from kitplan.options.views import View
from kitplan.shoot.records import Shoot
from kitplan.shoot.scenery import (
    Block,
    Card,
    family_of,
    head_m,
    outline_of,
    performers,
    place_of,
    solids,
)
from kitplan.shoot.sizes import AREAL, height_m
from kitplan.shoot.venue import Subject
from kitplan.stage.frame import STRAIGHT_ABOVE_M, Pinhole, pinhole, project
from kitplan.stage.sight import blocked, blocked_by_card, convex_parts, hulls_of, inside

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Ints = NDArray[np.int64]
CARD_COLUMNS = (-0.25, 0.0, 0.25)
"""Places across a person or object, as shares of its width."""
CARD_HEIGHTS = (np.arange(8) + 0.5) / 8
AREAL_ACROSS, AREAL_DEEP = (0.1, 0.3, 0.5, 0.7, 0.9), (1 / 6, 3 / 6, 5 / 6)
AREAL_HEIGHTS = np.array([0.3, 0.6, 0.95])
UPPER = 0.6
"""From here on a group counts as the picture's middle: the waist."""


@dataclass(frozen=True)
class Targets:
    """Some views with the points of their targets."""

    rows: Ints
    """Places of the views in the list they come from."""
    lens_m: Floats
    """(n, 3)"""
    places_m: Floats
    """(n, c, 2)"""
    heights_m: Floats
    """(n, c, h)"""
    is_place: Flags
    """(n, c): targets have different numbers of columns."""
    counts: Flags
    """(n, c, h): the points that lie in the picture, or all where none does."""
    boxes: Floats
    """(n, 4): least u, least v, most u, most v of those that make the middle of the picture."""

    def share(self, is_blocked: Flags) -> Floats:
        """Return the share of the counted points that is blocked, (n)."""
        number = self.counts.sum(axis=(1, 2))
        found: Floats = (is_blocked & self.counts).sum(axis=(1, 2)) / np.maximum(number, 1)
        return found

    def blocked_by(self, blocks: Sequence[Block], among: Flags | None = None) -> Flags:
        """Return which points blocks hide, (n, c, h).

        Args:
            among: Views (n, number of blocks) that a block may hide at all.
        """
        found = np.zeros(self.heights_m.shape, dtype=np.bool_)
        if not len(self.rows) or not blocks:
            return found
        tree = shapely.STRtree(hulls_of(self.lens_m[:, :2], self.places_m))
        for number, block in enumerate(blocks):
            for part in convex_parts(block.outline_m):
                meet = tree.query(shapely.Polygon(part.corners_m), predicate="intersects")
                if among is not None:
                    meet = meet[among[meet, number]]
                if len(meet):
                    found[meet] |= blocked(
                        self.lens_m[meet],
                        self.places_m[meet],
                        self.heights_m[meet],
                        part,
                        block.bottom_m,
                        block.top_m,
                        block.rise,
                        block.from_y_m,
                    )
        return found

    def blocked_by_cards(self, cards: Sequence[Card], among: Flags) -> Flags:
        """Return which points upright cards hide, (n, c, h)."""
        found = np.zeros(self.heights_m.shape, dtype=np.bool_)
        if not len(self.rows) or not cards:
            return found
        tree = shapely.STRtree(hulls_of(self.lens_m[:, :2], self.places_m))
        for number, card in enumerate(cards):
            disc = shapely.box(
                card.at_m[0] - card.width_m / 2,
                card.at_m[1] - card.width_m / 2,
                card.at_m[0] + card.width_m / 2,
                card.at_m[1] + card.width_m / 2,
            )
            meet = tree.query(disc, predicate="intersects")
            meet = meet[among[meet, number]]
            if len(meet):
                figures = (*card.at_m, card.foot_m, card.top_m, card.width_m)
                found[meet] |= blocked_by_card(
                    self.lens_m[meet], self.places_m[meet], self.heights_m[meet], figures
                )
        return found


def cameras_of(views: Sequence[View], aspect: float) -> Pinhole:
    """Return the pinhole of each view at its planned frame height."""
    places = np.array([view.lens_at_m for view in views]).reshape(-1, 3)
    aims = np.array([view.aim_m for view in views]).reshape(-1, 3)
    half = np.array([view.frame.frame_m / (2 * view.distance_m) for view in views])
    return pinhole(places, aims, 2 * np.degrees(np.arctan(half)), aspect)


def some(cameras: Pinhole, rows: Ints) -> Pinhole:
    """Return some of the cameras."""
    return Pinhole(*(part[rows] for part in cameras))


def targets_of(shoot: Shoot, views: Sequence[View], cameras: Pinhole) -> tuple[Targets, Targets]:
    """Return the views of persons and objects, and those of groups, stage and audience."""
    is_areal = np.array([view.subject.kind in AREAL for view in views], dtype=np.bool_)
    single, areal = np.flatnonzero(~is_areal), np.flatnonzero(is_areal)
    return (
        _singles(shoot, [views[int(n)] for n in single], single, some(cameras, single)),
        _areals(shoot, [views[int(n)] for n in areal], areal, some(cameras, areal)),
    )


def _singles(shoot: Shoot, views: Sequence[View], rows: Ints, cameras: Pinhole) -> Targets:
    at = np.array([place_of(shoot, view.subject) for view in views]).reshape(-1, 2)
    width = np.array([view.subject.width_m for view in views])
    floor = np.array([view.floor_m for view in views])
    head = floor + np.array([head_m(view.subject) for view in views])
    aim = np.array([view.aim_m[2] for view in views])
    frame = np.array([view.untilted_m for view in views])
    low, high = np.maximum(floor, aim - frame / 2), np.minimum(head, aim + frame / 2)
    low, high = np.minimum(low, high), np.maximum(low, high)
    heights = low[:, None] + CARD_HEIGHTS * (high - low)[:, None]
    places = across(cameras.place_m[:, :2], at, width, CARD_COLUMNS)
    shape = (len(views), len(CARD_COLUMNS), len(CARD_HEIGHTS))
    all_heights = np.broadcast_to(heights[:, None, :], shape)
    return _with_picture(rows, cameras, places, all_heights, np.ones(shape[:2], dtype=np.bool_), 0)


def across(lens_m: Floats, at_m: Floats, width_m: Floats, shares: Sequence[float]) -> Floats:
    """Return places across a card that is turned to its lens, (n, number of shares, 2)."""
    ray = at_m - lens_m
    reach = np.linalg.norm(ray, axis=-1, keepdims=True)
    square = np.stack([-ray[:, 1], ray[:, 0]], axis=-1) / np.maximum(reach, STRAIGHT_ABOVE_M)
    square = np.where(reach < STRAIGHT_ABOVE_M, [1.0, 0.0], square)
    steps = width_m[:, None] * np.asarray(shares)
    found: Floats = at_m[:, None, :] + steps[..., None] * square[:, None, :]
    return found


def _areals(shoot: Shoot, views: Sequence[View], rows: Ints, cameras: Pinhole) -> Targets:
    most = len(AREAL_ACROSS) * len(AREAL_DEEP)
    places = np.zeros((len(views), most, 2))
    is_place = np.zeros((len(views), most), dtype=np.bool_)
    heights = np.zeros((len(views), most, len(AREAL_HEIGHTS)))
    for subject in {view.subject.id: view.subject for view in views}.values():
        own = np.array([n for n, view in enumerate(views) if view.subject.id == subject.id])
        found = areal_places(shoot, subject, cameras.place_m[own, :2])
        places[own, : found.shape[1]] = found
        places[own, found.shape[1] :] = found[:, :1]
        is_place[own, : found.shape[1]] = True
        heights[own] = views[own[0]].floor_m + AREAL_HEIGHTS * height_m(subject)
    return _with_picture(rows, cameras, places, heights, is_place, UPPER)


def areal_places(shoot: Shoot, subject: Subject, lens_m: Floats) -> Floats:
    """Return the places of a group, stage or audience seen from lenses (n, 2): (n, c, 2)."""
    outline = outline_of(shoot, subject)
    if outline is None:
        at = np.broadcast_to(place_of(shoot, subject), lens_m.shape)
        width = np.full(len(lens_m), subject.width_m)
        return across(lens_m, at, width, [share - 0.5 for share in AREAL_ACROSS])
    corners = np.asarray(outline)
    low, size = corners.min(axis=0), np.ptp(corners, axis=0)
    grid = np.array([(x, y) for y in AREAL_DEEP for x in AREAL_ACROSS]) * size + low
    kept = grid[inside(outline, grid)]
    if not len(kept):
        kept = np.array([place_of(shoot, subject)])
    return np.broadcast_to(kept, (len(lens_m), *kept.shape))


def _with_picture(
    rows: Ints,
    cameras: Pinhole,
    places: Floats,
    heights: Floats,
    is_place: Flags,
    upper: float,
) -> Targets:
    """Add which points lie in the picture, and the box of the middle."""
    n, c, h = heights.shape
    points = np.concatenate(
        [np.broadcast_to(places[:, :, None, :], (n, c, h, 2)), heights[..., None]], axis=-1
    )
    u, v, _ = (each.reshape(n, c, h) for each in project(cameras, points.reshape(n, c * h, 3)))
    is_in = is_place[..., None] & (u >= 0) & (u <= 1) & (v >= 0) & (v <= 1)
    has_any = is_in.any(axis=(1, 2), keepdims=True)
    counts = np.where(has_any, is_in, is_place[..., None])
    middle = is_in & (upper - 1e-9 <= AREAL_HEIGHTS) if upper else is_in
    boxes = np.stack(
        [
            np.where(middle, u, np.inf).min(axis=(1, 2), initial=np.inf),
            np.where(middle, v, np.inf).min(axis=(1, 2), initial=np.inf),
            np.where(middle, u, -np.inf).max(axis=(1, 2), initial=-np.inf),
            np.where(middle, v, -np.inf).max(axis=(1, 2), initial=-np.inf),
        ],
        axis=-1,
    )
    return Targets(rows, cameras.place_m, places, heights, is_place, counts, boxes)


# -- what hides at all times -----------------------------------------------------------------------


def always_hidden(shoot: Shoot, views: Sequence[View], targets: Targets) -> Flags:
    """Return which points obstacles, the stage and other performers hide, (n, c, h)."""
    found = targets.blocked_by(solids(shoot))
    own = [views[int(n)] for n in targets.rows]
    standing = performers(shoot)
    blocks = [shape for _, shape in standing if isinstance(shape, Block)]
    cards = [shape for _, shape in standing if isinstance(shape, Card)]
    found |= targets.blocked_by(blocks, _may_hide(shoot, own, blocks))
    found |= targets.blocked_by_cards(cards, _may_hide(shoot, own, cards))
    return found


def _may_hide(
    shoot: Shoot, views: Sequence[View], shapes: Sequence[Block] | Sequence[Card]
) -> Flags:
    """Which shape may stand in the way of which view: not its own family, not what it or the lens
    stands in, nothing where the target is the stage or the audience.
    """
    allowed = np.zeros((len(views), len(shapes)), dtype=np.bool_)
    if not views or not shapes:
        return allowed
    subjects = {view.subject.id: view.subject for view in views}
    hides = {
        subject.id: np.array([_hides(shoot, subject, shape) for shape in shapes])
        for subject in subjects.values()
    }
    allowed = np.array([hides[view.subject.id] for view in views])
    lenses = np.array([view.lens_at_m[:2] for view in views])
    for number, shape in enumerate(shapes):
        if isinstance(shape, Block):
            allowed[:, number] &= ~inside(shape.outline_m, lenses)
    return allowed


def _hides(shoot: Shoot, subject: Subject, shape: Block | Card) -> bool:
    if subject.kind in ("stage", "audience") or shape.id in family_of(shoot, subject):
        return False
    if isinstance(shape, Card):
        return True
    return not inside(shape.outline_m, np.array(place_of(shoot, subject)))
