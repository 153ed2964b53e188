"""What of the pieces before a lens lies in its frame, and where that is on the sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from kitplan.paper.drawings.boxes import Box
from kitplan.paper.drawings.scene import Floats, Piece, Shape
from kitplan.stage.frame import NEAR_M, Pinhole, in_camera

BEYOND = 1.3
"""Shapes are cut this far from the middle of the frame, in half frames."""
UNSEEN_MM = 0.012
"""A corner nearer than this to the line between its neighbours is left out."""
TOUCH_MM = 1e-6
Planes = tuple[tuple[float, float, float, float], ...]
"""Each as a, b, c, d of ax + by + cz + d >= 0."""
Place = list[float]
Flags = NDArray[np.bool_]
Numbers = NDArray[np.int_]


class Drawn(NamedTuple):
    """A shape that shows in the frame."""

    shape: Shape
    spots: Floats
    """(k, 2), in mm on the sheet."""
    hull: Box
    """The box around them."""


@dataclass(frozen=True)
class Seen:
    """A piece of which something lies in or near the frame."""

    piece: Piece
    drawn: tuple[Drawn, ...]
    """Those of its shapes that show."""
    hulls: Floats
    """(k, 4): the boxes around all its shapes; not a number for one beside the frame."""
    height_mm: float
    """How high it is in the picture, the part outside the frame included."""

    @cached_property
    def hull(self) -> Box:
        """The box around what lies in or near the frame."""
        low, high = np.nanmin(self.hulls[:, :2], axis=0), np.nanmax(self.hulls[:, 2:], axis=0)
        return Box(*low.tolist(), *high.tolist())


@dataclass(frozen=True)
class View:
    """A camera and the box of the sheet that its frame fills."""

    camera: Pinhole
    box: Box

    def seen(self, pieces: Sequence[Piece]) -> list[Seen]:
        """Return those pieces of which something lies in or near the frame, all looked at together:
        there are thousands.
        """
        shapes = [shape for piece in pieces for shape in piece.shapes]
        if not shapes:
            return []
        ends = np.cumsum([len(shape.points_m) for shape in shapes])
        starts = np.concatenate([[0], ends[:-1]])
        counts = [len(piece.shapes) for piece in pieces]
        firsts = np.concatenate([[0], np.cumsum(counts)])
        points = self._in_camera(np.concatenate([shape.points_m for shape in shapes]))
        is_whole, is_beside = self._where(points, starts)
        with np.errstate(all="ignore"):  # what is behind the lens is not used
            places = self._on_sheet(points)
            hulls = _hulls(places, starts)
        hulls[is_beside] = np.nan
        cuts: dict[int, Floats] = {}
        for number in np.flatnonzero(~is_beside & ~(is_whole & (ends - starts > 1))).tolist():
            part = points[starts[number] : ends[number]]
            spots = self._cut_spots(part, is_closed=shapes[number].is_closed)
            cuts[number] = spots
            hulls[number] = _hull(spots)
        heights = self._heights_mm(points, starts[firsts[:-1]])
        least = np.array([shape.from_mm for shape in shapes])
        shows = self._are_in_frame(hulls) & (np.repeat(heights, counts) >= least)
        drawn = self._drawn(shapes, np.flatnonzero(shows), (places, starts, ends), cuts, hulls)
        is_near = np.logical_or.reduceat(~np.isnan(hulls[:, 0]), firsts[:-1])
        return [
            Seen(
                pieces[at],
                tuple(drawn[n] for n in range(firsts[at], firsts[at + 1]) if n in drawn),
                hulls[firsts[at] : firsts[at + 1]],
                float(heights[at]),
            )
            for at in np.flatnonzero(is_near).tolist()
        ]

    def drawn(self, shape: Shape) -> Drawn | None:
        """Return one shape where it shows in the frame."""
        spots = self._cut_spots(self._in_camera(shape.points_m), is_closed=shape.is_closed)
        hull = _hull(spots)
        if not self._are_in_frame(hull[None])[0]:
            return None
        return Drawn(shape, spots, Box(*hull.tolist()))

    def _drawn(
        self,
        shapes: Sequence[Shape],
        numbers: Numbers,
        whole: tuple[Floats, Numbers, Numbers],
        cuts: dict[int, Floats],
        hulls: Floats,
    ) -> dict[int, Drawn]:
        """Return the shapes of some numbers with where they are: their cut part, or all of them."""
        places, starts, ends = whole
        wanted = [n for n in numbers.tolist() if n not in cuts and shapes[n].is_closed]
        spots = cuts | _plainer(places, starts[wanted], ends[wanted], wanted)
        boxes = hulls.tolist()
        return {
            n: Drawn(
                shapes[n],
                spots[n] if n in spots else places[starts[n] : ends[n]],
                Box(*boxes[n]),
            )
            for n in numbers.tolist()
        }

    def _heights_mm(self, points: Floats, starts: Numbers) -> Floats:
        """Return how high pieces are in the picture, the part outside the frame included."""
        with np.errstate(all="ignore"):
            down = points[:, 1] / points[:, 2] / (2 * self.camera.half_height[0]) * self.box.height
        is_ahead = points[:, 2] >= NEAR_M
        most = np.maximum.reduceat(np.where(is_ahead, down, -np.inf), starts)
        least = np.minimum.reduceat(np.where(is_ahead, down, np.inf), starts)
        found: Floats = most - least
        return found

    def _where(self, points: Floats, starts: Numbers) -> tuple[Flags, Flags]:
        """Return which shapes lie wholly in or near the frame, and which wholly beside it."""
        is_whole = np.ones(len(starts), dtype=np.bool_)
        is_beside = np.zeros(len(starts), dtype=np.bool_)
        for plane in self._planes:
            side = _side(points, plane)
            is_whole &= np.minimum.reduceat(side, starts) >= 0
            is_beside |= np.maximum.reduceat(side, starts) < 0
        return is_whole, is_beside

    @cached_property
    def _planes(self) -> Planes:
        return planes_of(float(self.camera.half_width[0]), float(self.camera.half_height[0]))

    def _in_camera(self, points_m: Floats) -> Floats:
        found: Floats = in_camera(self.camera, points_m)[0]
        return found

    def _cut_spots(self, points: Floats, *, is_closed: bool) -> Floats:
        """Return where points lie on the sheet; what is behind the lens is cut off."""
        points = cut_to_frame(points, self._planes, is_closed=is_closed)
        return self._on_sheet(points) if len(points) > 1 else np.empty((0, 2))

    def _on_sheet(self, points: Floats) -> Floats:
        across, down = self.camera.half_width[0], self.camera.half_height[0]
        u = 0.5 + points[:, 0] / points[:, 2] / (2 * across)
        v = 0.5 + points[:, 1] / points[:, 2] / (2 * down)
        x, y = self.box.left + u * self.box.width, self.box.top + v * self.box.height
        found: Floats = np.stack([x, y], axis=-1)
        return found

    def _are_in_frame(self, hulls: Floats) -> Flags:
        """Return which boxes (k, 4) share something with the frame; a line has no area."""
        box = self.box
        found: Flags = (hulls[:, 0] < box.right) & (hulls[:, 2] > box.left - TOUCH_MM)
        return found & (hulls[:, 1] < box.bottom) & (hulls[:, 3] > box.top - TOUCH_MM)

    def is_seen(self, hull: Box) -> bool:
        """Return whether something within a box may show in the frame."""
        return bool(self._are_in_frame(np.array([hull]))[0])


def _plainer(
    places: Floats, starts: Numbers, ends: Numbers, numbers: Sequence[int]
) -> dict[int, Floats]:
    """Return rings without the corners that nobody sees, by their numbers; what is so thin that
    nothing would be left is not among them. Half of the corners of small figures are such.
    """
    sizes = ends - starts
    if not len(sizes) or sizes.min() < 3:
        many = sizes > 2
        if not many.any():
            return {}
        kept = [number for number, is_ring in zip(numbers, many.tolist(), strict=True) if is_ring]
        return _plainer(places, starts[many], ends[many], kept)
    owner = np.repeat(np.arange(len(sizes)), sizes)
    offsets = np.arange(sizes.sum()) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    rings = shapely.linearrings(places[starts[owner] + offsets], indices=owner)
    left = shapely.simplify(rings, UNSEEN_MM, preserve_topology=False)
    spots, owner = shapely.get_coordinates(left, return_index=True)
    edges = np.searchsorted(owner, np.arange(len(sizes) + 1)).tolist()
    return {
        number: spots[begin : end - 1]  # a ring of shapely ends where it begins
        for number, begin, end in zip(numbers, edges, edges[1:], strict=False)
        if end - begin > 3
    }


def _hulls(places: Floats, starts: Numbers) -> Floats:
    """The boxes around runs of places, all at once."""
    low, high = (reach.reduceat(places, starts, axis=0) for reach in (np.minimum, np.maximum))
    found: Floats = np.concatenate([low, high], axis=1)
    return found


def _hull(spots: Floats) -> Floats:
    """The box around spots; not a number where there are fewer than two."""
    if len(spots) < 2:
        return np.full(4, np.nan)
    return np.concatenate([spots.min(axis=0), spots.max(axis=0)])


def planes_of(half_width: float, half_height: float) -> Planes:
    """Return the near plane and four planes a little outside the frame: what is on their positive
    side is in or near the picture.
    """
    return (
        (0.0, 0.0, 1.0, -NEAR_M),
        (1.0, 0.0, half_width * BEYOND, 0.0),
        (-1.0, 0.0, half_width * BEYOND, 0.0),
        (0.0, 1.0, half_height * BEYOND, 0.0),
        (0.0, -1.0, half_height * BEYOND, 0.0),
    )


def _side(points: Floats, plane: tuple[float, float, float, float]) -> Floats:
    """How far points in camera axes lie on the positive side of a plane."""
    a, b, c, d = plane
    found: Floats = points[:, 0] * a + points[:, 1] * b + points[:, 2] * c + d
    return found


def cut_to_frame(points: Floats, planes: Planes, *, is_closed: bool) -> Floats:
    """Return the part of a ring or line (k, 3) in camera axes that lies in or near the frame.

    It is cut at the near plane and a little outside the frame, so that no cut shows and no line
    runs on for kilometres (Sutherland and Hodgman, Communications of the ACM 17, 1974).
    """
    left: list[Place] = points.tolist()
    for a, b, c, d in planes:
        side = [a * x + b * y + c * z + d for x, y, z in left]
        if max(side) < 0:
            return np.empty((0, 3))
        if min(side) < 0:
            left = _cut(left, side, is_closed=is_closed)
    return np.array(left)


def _cut(points: list[Place], side: list[float], *, is_closed: bool) -> list[Place]:
    """The part of a ring or line on the positive side of a plane. A line that leaves and comes back
    goes straight on in between, outside the frame.
    """
    kept: list[Place] = []
    before, a = points[-1], side[-1]
    if not is_closed:
        before, a = points[0], side[0]
    for here, b in zip(points, side, strict=True):
        if (a >= 0) != (b >= 0):
            share = a / (a - b)
            kept.append([p + (q - p) * share for p, q in zip(before, here, strict=True)])
        if b >= 0:
            kept.append(here)
        before, a = here, b
    return kept
