"""Rigs, operators and sweeps in the pictures of others: which, how large, whether it matters.

For every view and every position within its wedge (a spatial index finds those) the level at which
each kind of presence there is in the picture: 0 not, 1 small, 2 middling, 3 refused (docs/model.md,
section 2b).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from kitplan.options.presence import CardAt, Kind, Presence, kind_of
from kitplan.options.sights import Lookout
from kitplan.options.stands import Stand, stand_refusal
from kitplan.options.targets import some
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass
from kitplan.shoot.scenery import Block, heads, solids
from kitplan.shoot.venue import Position
from kitplan.stage.frame import Pinhole, card_boxes
from kitplan.stage.sight import blocked, convex_parts

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Ints = NDArray[np.int64]
WIDEST_WEDGE_DEG = 85.0
"""Frames wider than this to one side are held against every position."""
LEVEL_ENOUGH = 0.87
"""Cameras tilted by more than 30 degrees (this cosine) are held against every position as well."""
CHUNK = 4000
"""Views that are tried against the cards of a position at once: keeps the memory small."""
MARGIN_M = 1.0
"""A box round a leaning card reaches further than the card itself."""
SLACK = 1e-9
REFUSED = 3


@dataclass(frozen=True)
class Seen:
    """One kind of presence at one position, and the views it is in."""

    position: str
    kind: Kind
    rows: Ints
    """Places of the views."""
    levels: Ints
    """1 to 3."""
    shares: Floats
    """Largest height in the frame."""
    is_across: Flags

    def level_of(self, row: int) -> int:
        """Return the level in one view, 0 where it is not in the picture."""
        place = self._place(row)
        return 0 if place is None else int(self.levels[place])

    def share_of(self, row: int) -> float:
        """Return the height it takes of one view's frame."""
        place = self._place(row)
        return 0.0 if place is None else float(self.shares[place])

    def is_across_in(self, row: int) -> bool:
        """Return whether it stands before the subject of one view."""
        place = self._place(row)
        return place is not None and bool(self.is_across[place])

    def _place(self, row: int) -> int | None:
        place = int(np.searchsorted(self.rows, row))
        return place if place < len(self.rows) and self.rows[place] == row else None


class Crowding:
    """What every position shows to every view, pass by pass."""

    def __init__(self, brief: Brief, lookout: Lookout, stands: Sequence[Stand]) -> None:
        self.brief, self.lookout = brief, lookout
        self.kinds = {
            position.id: kinds_at(brief, position, stands)
            for position in brief.shoot.venue.positions
        }
        self._known: dict[tuple[str, ...], tuple[Seen, ...]] = {}

    def seen(self, each: Pass) -> tuple[Seen, ...]:
        """Return what is in which picture in a pass; passes with the same audience share it."""
        people = heads(self.brief.shoot, each)
        key = tuple(block.id for block in people)
        if key not in self._known:
            meetings = self._meetings
            is_hidden = (meetings.is_hidden | self._hidden(meetings, people)).all(axis=1)
            self._known[key] = tuple(self._by_kind(meetings.some(np.flatnonzero(~is_hidden))))
        return self._known[key]

    @cached_property
    def _cards(self) -> tuple[CardAt, ...]:
        """Every card that some kind of presence shows."""
        return tuple(dict.fromkeys(card for cards in self._cards_of.values() for card in cards))

    @cached_property
    def _cards_of(self) -> dict[tuple[str, Kind], tuple[CardAt, ...]]:
        return {
            (position.id, kind): Presence(position, kind).cards
            for position in self.brief.shoot.venue.positions
            for kind in self.kinds[position.id]
        }

    @cached_property
    def _meetings(self) -> _Meetings:
        """Every view with every card in its frame; obstacles and the stage may hide it."""
        cameras = self.lookout.cameras
        figures = np.array([card[:5] for card in self._cards]).reshape(-1, 5)
        found = [
            self._in_frame(some(cameras, rows), rows, numbers, figures)
            for rows, numbers in _candidates(cameras, figures, self._cards_by_place)
        ]
        rows, numbers = (np.concatenate(part) for part in list(zip(*found, strict=True))[:2])
        boxes = np.concatenate([each[2] for each in found])
        shares = boxes[:, 3] - boxes[:, 1]
        across = self._is_across(rows, boxes, figures[numbers, :2])
        meetings = _Meetings(
            rows,
            numbers,
            self._levels(shares, across),
            shares,
            across,
            np.zeros((len(rows), 3), bool),
        )
        return replace(meetings, is_hidden=self._hidden(meetings, solids(self.brief.shoot)))

    def _in_frame(
        self, cameras: Pinhole, rows: Ints, numbers: Ints, figures: Floats
    ) -> tuple[Ints, Ints, Floats]:
        """Return those of some views and cards that meet in the frame, and the boxes."""
        boxes = card_boxes(cameras, figures[numbers])
        has_width = boxes[:, 2] > boxes[:, 0]
        least = self.brief.shoot.rules.rig_least_share
        kept = np.flatnonzero(has_width & (boxes[:, 3] - boxes[:, 1] > least + SLACK))
        return rows[kept], numbers[kept], boxes[kept]

    @cached_property
    def _cards_by_place(self) -> list[Ints]:
        """Numbers of the cards of each position."""
        place_of = {card: number for number, card in enumerate(self._cards)}
        found: dict[str, set[int]] = {p.id: set() for p in self.brief.shoot.venue.positions}
        for (position, _), cards in self._cards_of.items():
            found[position].update(place_of[card] for card in cards)
        return [np.array(sorted(numbers), dtype=np.int64) for numbers in found.values()]

    def _hidden(self, meetings: _Meetings, blocks: Sequence[Block]) -> Flags:
        """Whether blocks hide foot, middle and top of the cards, (n, 3)."""
        figures = np.array([card[:5] for card in self._cards]).reshape(-1, 5)[meetings.cards]
        lenses = self.lookout.cameras.place_m[meetings.rows]
        foot, top = figures[:, 2], figures[:, 3]
        heights = np.stack([foot, (foot + top) / 2, top], axis=-1)
        return hidden_by(lenses, figures[:, :2], heights, blocks)

    def _levels(self, shares: Floats, across: Flags) -> Ints:
        rules = self.brief.shoot.rules
        refused = rules.rig_refused_share[self.brief.shoot.performance]
        is_refused = across | (shares > refused + SLACK)
        is_noted = shares > rules.rig_noted_share + SLACK
        return np.where(is_refused, REFUSED, np.where(is_noted, 2, 1)).astype(np.int64)

    def _is_across(self, rows: Ints, boxes: Floats, at_m: Floats) -> Flags:
        """Whether a card stands before the middle of the picture: nearer, and overlapping it."""
        lens = self.lookout.cameras.place_m[rows, :2]
        aims = np.array([view.aim_m[:2] for view in self.lookout.views]).reshape(-1, 2)[rows]
        is_nearer = np.linalg.norm(lens - at_m, axis=1) < np.linalg.norm(lens - aims, axis=1)
        middle = self.lookout.middles[rows]
        overlap_u = np.minimum(boxes[:, 2], middle[:, 2]) > np.maximum(boxes[:, 0], middle[:, 0])
        overlap_v = np.minimum(boxes[:, 3], middle[:, 3]) > np.maximum(boxes[:, 1], middle[:, 1])
        found: Flags = is_nearer & overlap_u & overlap_v
        return found

    def _by_kind(self, meetings: _Meetings) -> Iterator[Seen]:
        """Put together what the cards of each kind of presence show, the worst of them counting."""
        place_of = {card: number for number, card in enumerate(self._cards)}
        order = np.argsort(meetings.cards, kind="stable")
        starts = np.searchsorted(meetings.cards[order], np.arange(len(self._cards) + 1))
        owners = self.lookout.position_numbers
        positions = {p.id: n for n, p in enumerate(self.brief.shoot.venue.positions)}
        for (position, kind), cards in self._cards_of.items():
            parts, avoidable = [], []
            for card in cards:
                number = place_of[card]
                part = order[starts[number] : starts[number + 1]]
                parts.append(part)
                avoidable.append(np.full(len(part), card.is_avoidable))
            own = np.concatenate(parts)
            can_avoid = np.concatenate(avoidable)
            is_other = owners[meetings.rows[own]] != positions[position]
            found = _worst(meetings.some(own[is_other]), can_avoid[is_other])
            if len(found.rows):
                yield Seen(position, kind, found.rows, found.levels, found.shares, found.is_across)


@dataclass(frozen=True)
class _Meetings:
    """Views with cards in their frames: arrays over meetings (n)."""

    rows: Ints
    """Places of the views."""
    cards: Ints
    """Numbers of the cards."""
    levels: Ints
    shares: Floats
    is_across: Flags
    is_hidden: Flags
    """Foot, middle and top, (n, 3)."""

    def some(self, places: Ints) -> _Meetings:
        """Return some of them."""
        return _Meetings(*(getattr(self, each.name)[places] for each in fields(self)))


def _worst(meetings: _Meetings, can_avoid: Flags) -> _Meetings:
    """For each view the worst level of its meetings; a sweep that can be avoided never refuses."""
    levels = np.where(can_avoid, np.minimum(meetings.levels, REFUSED - 1), meetings.levels)
    across = meetings.is_across & (levels == REFUSED)
    rows, starts = np.unique(
        meetings.rows[np.argsort(meetings.rows, kind="stable")], return_index=True
    )
    if not len(rows):
        return meetings
    order = np.argsort(meetings.rows, kind="stable")
    return _Meetings(
        rows,
        np.zeros_like(rows),
        np.maximum.reduceat(levels[order], starts),
        np.maximum.reduceat(meetings.shares[order], starts),
        np.logical_or.reduceat(across[order], starts),
        np.zeros((len(rows), 3), dtype=np.bool_),
    )


def hidden_by(lens_m: Floats, at_m: Floats, heights_m: Floats, blocks: Sequence[Block]) -> Flags:
    """Return which points blocks hide, each from its own lens.

    Args:
        lens_m: Lenses, (n, 3).
        at_m: Places in plan, (n, 2).
        heights_m: Heights of the points there, (n, h).
    Returns:
        Shape (n, h).
    """
    found = np.zeros(heights_m.shape, dtype=np.bool_)
    low = np.minimum(lens_m[:, :2], at_m)
    high = np.maximum(lens_m[:, :2], at_m)
    for block in blocks:
        corners = np.asarray(block.outline_m)
        may = (low <= corners.max(axis=0)) & (high >= corners.min(axis=0))
        places = np.flatnonzero(may.all(axis=1))
        if not len(places):
            continue
        for part in convex_parts(block.outline_m):
            figures = (block.bottom_m, block.top_m, block.rise, block.from_y_m)
            found[places] |= blocked(
                lens_m[places], at_m[places, None, :], heights_m[places, None, :], part, *figures
            )[:, 0, :]
    return found


def kinds_at(brief: Brief, position: Position, stands: Iterable[Stand]) -> tuple[Kind, ...]:
    """Return the kinds of presence that the kit makes possible at a position."""
    slack = brief.shoot.rules.height_slack_m
    found = {
        kind_of(stand.support, position, is_operated=is_operated)
        for stand in stands
        if stand_refusal(stand, position, slack) is None
        for is_operated in (False, True)
    }
    return tuple(sorted(found))


def _candidates(
    cameras: Pinhole, figures: Floats, cards_by_place: Sequence[Ints]
) -> Iterator[tuple[Ints, Ints]]:
    """Yield the pairs of views and cards that may meet, some at a time: those where the card lies
    within the wedge that the frame sees in plan, at least with a margin.

    A spatial index finds the positions that a wedge touches; what is left is tried card by card.
    """
    yield np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    if not len(cameras.place_m):
        return
    everything = np.concatenate([figures[:, :2], cameras.place_m[:, :2]])
    reach_m = float(np.hypot(*np.ptp(everything, axis=0))) + 2 * MARGIN_M
    tallest_m = float((figures[:, 3] - figures[:, 2]).max(initial=0))
    wedge = _wedges(cameras, reach_m, tallest_m)
    tree = shapely.STRtree(wedge.shapes)
    for numbers in cards_by_place:
        if not len(numbers):
            continue
        half = figures[numbers, 4, None] / 2 + MARGIN_M
        low, high = figures[numbers, :2] - half, figures[numbers, :2] + half
        around = shapely.box(*low.min(axis=0), *high.max(axis=0))
        near = np.sort(tree.query(around, predicate="intersects"))
        for start in range(0, len(near), CHUNK):
            rows = np.repeat(near[start : start + CHUNK], len(numbers))
            cards = np.tile(numbers, len(near[start : start + CHUNK]))
            ray = figures[cards, :2] - cameras.place_m[rows, :2]
            along = (ray * wedge.axis[rows]).sum(axis=1)
            across = np.abs((ray * wedge.side[rows]).sum(axis=1))
            margin = (figures[cards, 4] / 2 + MARGIN_M) * (1 + wedge.spread[rows])
            reach = wedge.spread[rows] * (along + wedge.back_m[rows])
            may = wedge.is_wide[rows] | (across <= reach + margin)
            yield rows[may], cards[may]


class _Wedge(NamedTuple):
    """What frames may see in plan: shapes, axes, and by how much they spread to one side."""

    shapes: NDArray[np.object_]
    axis: Floats
    side: Floats
    spread: Floats
    """Tangent of the half angle."""
    back_m: Floats
    """How far behind the lens it begins."""
    is_wide: Flags
    """The frame is too wide, or looks too steeply, for a wedge."""


def _wedges(cameras: Pinhole, reach_m: float, tallest_m: float) -> _Wedge:
    """Return in plan what each frame may see: a triangle, or everything where the frame is too wide
    or looks too steeply.

    A tilted lens sees the ends of a tall card at different depths, so that its box may lie in the
    frame though the card is beside it: by no more than if the wedge began its height times the
    tilt's sine behind the lens.
    """
    corners = [
        cameras.forward
        + a * cameras.half_width[:, None] * cameras.right
        + b * cameras.half_height[:, None] * cameras.down
        for a in (-1, 1)
        for b in (-1, 1)
    ]
    flat = np.linalg.norm(cameras.forward[:, :2], axis=1)
    axis = cameras.forward[:, :2] / np.maximum(flat, 1e-9)[:, None]
    side = np.stack([axis[:, 1], -axis[:, 0]], axis=-1)
    angles = np.stack(
        [
            np.arctan2((ray[:, :2] * side).sum(axis=1), (ray[:, :2] * axis).sum(axis=1))
            for ray in corners
        ]
    )
    half = np.abs(angles).max(axis=0)
    is_wide = (flat < LEVEL_ENOUGH) | (half > np.radians(WIDEST_WEDGE_DEG))
    half = np.where(is_wide, 0.5, half)
    lens = cameras.place_m[:, :2]
    back = tallest_m * np.abs(cameras.forward[:, 2])
    apex = lens - back[:, None] * axis
    far = (reach_m + back) / np.cos(half)
    ends = [
        apex + far[:, None] * (np.cos(half)[:, None] * axis + sign * np.sin(half)[:, None] * side)
        for sign in (-1, 1)
    ]
    triangles = shapely.polygons(np.stack([apex, *ends], axis=1))
    around = shapely.box(*(lens.T - reach_m), *(lens.T + reach_m))
    shapes: NDArray[np.object_] = np.where(is_wide, around, triangles)
    return _Wedge(shapes, axis, side, np.tan(half), back, is_wide)
