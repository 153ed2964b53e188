"""What an operator should see in the viewfinder, drawn through the pinhole camera of the plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from kitplan.paper.drawings.boxes import Box
from kitplan.paper.drawings.labels import Wish, place
from kitplan.paper.drawings.looks import LEAST_DISTANCE_M, Look
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.drawings.scene import Eye, Floats, Piece, Shape
from kitplan.paper.drawings.svg import INK, PAPER, Pen, Spot, Style
from kitplan.paper.drawings.text import LEAST_MM, width_mm
from kitplan.paper.drawings.view_people import crew_pieces, performer_pieces
from kitplan.paper.drawings.view_venue import (
    crowd_pieces,
    grounds,
    lamp_pieces,
    solid_pieces,
    wing_lines,
)
from kitplan.stage.frame import NEAR_M, Pinhole, in_camera

SAFE = 0.9
"""Action safe: this share of width and height. Common practice."""
FULL_WIDTH_MM = 160.0
"""Lines are drawn with their own widths in a picture this wide, thinner in smaller ones."""
THIRDS = Style(stroke="#8d8d8d", width=0.13, dash="0.3 1.1", is_round=True)
SAFE_AREA = Style(stroke="#8d8d8d", width=0.16, dash="2.2 1.4")
TAG_FROM_MM = 2.5
BEYOND = 1.3
"""Shapes are cut this far from the middle of the frame, in half frames."""
Planes = tuple[tuple[float, float, float, float], ...]
"""Each as a, b, c, d of ax + by + cz + d >= 0."""
Flags = NDArray[np.bool_]


def draw_picture(pen: Pen, content: Content, look: Look, box: Box) -> None:
    """Draw the picture of a look into a box of the sheet, cut to the frame."""
    inside = pen.window(box.left, box.top, box.width, box.height)
    inside.box(box.left, box.top, box.width, box.height, Style(stroke="none", fill=PAPER))
    if look.distance_m < LEAST_DISTANCE_M:
        words = "the lens is in the subject: nothing to see"
        inside.text(box.middle, words, LEAST_MM, anchor="middle")
    else:
        _draw_scene(inside, content, look, box)
    _draw_guides(inside, box)
    pen.box(box.left, box.top, box.width, box.height, Style(width=0.5 if look.is_main else 0.3))


def _draw_scene(pen: Pen, content: Content, look: Look, box: Box) -> None:
    eye = Eye(look)
    view = _View(eye.camera, box)
    for shape in grounds(eye, content):
        view.draw(pen, shape)
    crew = list(crew_pieces(eye, content))
    pieces = [
        *solid_pieces(eye, content),
        *performer_pieces(eye, content),
        *crowd_pieces(eye, content),
        *lamp_pieces(eye, content),
        *(piece for piece, _ in crew),
    ]
    for shape in wing_lines(content):
        view.draw(pen, shape)
    pieces.sort(key=lambda piece: -piece.distance_m)
    seen = view.seen(pieces)
    covers = [cover for each in seen for cover in view.draw_piece(pen, each)]
    by_piece = {id(each.piece): each for each in seen}
    others = [(by_piece[id(piece)], other) for piece, other in crew if id(piece) in by_piece]
    _draw_tags(
        pen, view, [(each, other) for each, other in others if not _is_covered(view, each, covers)]
    )


def _draw_guides(pen: Pen, box: Box) -> None:
    """Thirds, and the part of the frame that every screen shows."""
    for share in (1 / 3, 2 / 3):
        x, y = box.left + box.width * share, box.top + box.height * share
        pen.line((x, box.top), (x, box.bottom), THIRDS)
        pen.line((box.left, y), (box.right, y), THIRDS)
    rim = (1 - SAFE) / 2
    pen.box(
        box.left + box.width * rim,
        box.top + box.height * rim,
        box.width * SAFE,
        box.height * SAFE,
        SAFE_AREA,
    )


@dataclass(frozen=True)
class _Seen:
    """A piece of which something lies in or near the frame."""

    piece: Piece
    spots: tuple[Sequence[Spot], ...]
    """Of each of its shapes, where it lies on the sheet; none where it is beside the frame."""
    hulls: tuple[Box | None, ...]
    """The boxes around them."""
    height_mm: float
    """How high it is in the picture, the part outside the frame included."""

    @cached_property
    def hull(self) -> Box | None:
        """The box around what shows of it."""
        hulls = [hull for hull in self.hulls if hull is not None]
        if not hulls:
            return None
        lefts, tops, rights, bottoms = zip(*hulls, strict=True)
        return Box(min(lefts), min(tops), max(rights), max(bottoms))


@dataclass(frozen=True)
class _Cover:
    """A ring that covers what is farther away."""

    distance_m: float
    ring: Sequence[Spot]
    box: Box

    def holds(self, spot: Spot) -> bool:
        """Whether it runs around a spot."""
        x, y = spot
        box = self.box
        is_near = box.left <= x <= box.right and box.top <= y <= box.bottom
        return is_near and _is_in(spot, self.ring)


@dataclass(frozen=True)
class _View:
    """A camera and the box of the sheet that its frame fills."""

    camera: Pinhole
    box: Box

    @property
    def pen_share(self) -> float:
        """How much thinner lines are than in a picture of full width."""
        return float(min(1.0, (self.box.width / FULL_WIDTH_MM) ** 0.55))

    def seen(self, pieces: Sequence[Piece]) -> list[_Seen]:
        """Return those pieces of which something lies in or near the frame, all looked at together:
        there are thousands.
        """
        shapes = [shape for piece in pieces for shape in piece.shapes]
        if not shapes:
            return []
        starts = np.cumsum([0, *(len(shape.points_m) for shape in shapes)])
        firsts = np.cumsum([0, *(len(piece.shapes) for piece in pieces)])
        points = self._in_camera(np.concatenate([shape.points_m for shape in shapes]))
        is_whole, is_beside = self._where(points, starts[:-1])
        with np.errstate(all="ignore"):  # what is behind the lens is not used
            places = self._on_sheet(points)
            hulls = _hulls(places, starts[:-1])
        heights = self._heights_mm(points, starts[firsts[:-1]]).tolist()
        shown = np.flatnonzero(~np.logical_and.reduceat(is_beside, firsts[:-1])).tolist()
        # Lists: a loop reads their figures faster (with the boxes at once 0.1 s of 1.6 s of cards).
        is_whole, is_beside = (is_whole & (np.diff(starts) > 1)).tolist(), is_beside.tolist()
        begins, numbers = starts.tolist(), firsts.tolist()
        found: list[_Seen] = []
        for at in shown:
            spots: list[Sequence[Spot]] = []
            boxes: list[Box | None] = []
            for number in range(numbers[at], numbers[at + 1]):
                part = slice(begins[number], begins[number + 1])
                if is_beside[number]:
                    spots.append([])
                    boxes.append(None)
                elif is_whole[number]:
                    spots.append(list(map(tuple, places[part].tolist())))
                    boxes.append(Box(*hulls[number]))
                else:
                    is_closed = shapes[number].is_closed
                    spots.append(self._spots(points[part], is_closed=is_closed))
                    boxes.append(_hull(spots[-1]))
            found.append(_Seen(pieces[at], tuple(spots), tuple(boxes), heights[at]))
        return found

    def _heights_mm(self, points: Floats, starts: NDArray[np.int_]) -> Floats:
        """Return how high pieces are in the picture, the part outside the frame included."""
        with np.errstate(all="ignore"):
            down = points[:, 1] / points[:, 2] / (2 * self.camera.half_height[0]) * self.box.height
        is_ahead = points[:, 2] >= NEAR_M
        most = np.maximum.reduceat(np.where(is_ahead, down, -np.inf), starts)
        least = np.minimum.reduceat(np.where(is_ahead, down, np.inf), starts)
        found: Floats = most - least
        return found

    def _where(self, points: Floats, starts: NDArray[np.int_]) -> tuple[Flags, Flags]:
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

    def draw_piece(self, pen: Pen, seen: _Seen) -> Iterator[_Cover]:
        """Draw the shapes of a piece that are in the picture; yield the rings that cover it."""
        group = None
        # Small things get thinner lines still, or they would be nothing but lines.
        share = self.pen_share * min(1.0, 0.3 + seen.height_mm / 40)
        for shape, spots, hull in zip(seen.piece.shapes, seen.spots, seen.hulls, strict=True):
            if seen.height_mm >= shape.from_mm and hull is not None and self._is_in_frame(hull):
                group = group or pen.group()
                self._ink(group, spots, shape, share)
                if shape.is_closed and shape.style.fill != "none":
                    yield _Cover(seen.piece.distance_m, spots, hull)

    def draw(self, pen: Pen, shape: Shape) -> None:
        """Draw one shape."""
        spots = self._spots(self._in_camera(shape.points_m), is_closed=shape.is_closed)
        hull = _hull(spots)
        if hull is not None and self._is_in_frame(hull):
            self._ink(pen, spots, shape, self.pen_share)

    def _in_camera(self, points_m: Floats) -> Floats:
        found: Floats = in_camera(self.camera, points_m)[0]
        return found

    def _spots(self, points: Floats, *, is_closed: bool) -> list[Spot]:
        """Return where points lie on the sheet; what is behind the lens is cut off."""
        points = cut_to_frame(points, self._planes, is_closed=is_closed)
        if len(points) < 2:
            return []
        return list(map(tuple, self._on_sheet(points).tolist()))

    def _on_sheet(self, points: Floats) -> Floats:
        across, down = self.camera.half_width[0], self.camera.half_height[0]
        u = 0.5 + points[:, 0] / points[:, 2] / (2 * across)
        v = 0.5 + points[:, 1] / points[:, 2] / (2 * down)
        x, y = self.box.left + u * self.box.width, self.box.top + v * self.box.height
        found: Floats = np.stack([x, y], axis=-1)
        return found

    def _is_in_frame(self, hull: Box) -> bool:
        return Box(hull.left, hull.top, hull.right + 1e-6, hull.bottom + 1e-6).overlaps(self.box)

    def is_seen(self, hull: Box | None) -> bool:
        """Return whether something within a box may show in the frame."""
        return hull is not None and self._is_in_frame(hull)

    def _ink(self, pen: Pen, spots: Iterable[Spot], shape: Shape, share: float) -> None:
        style = thinner(shape.style, f"{max(shape.style.width * share, 0.06):.2f}")
        (pen.ring if shape.is_closed else pen.trail)(spots, style)


@lru_cache(maxsize=4096)
def thinner(style: Style, width: str) -> Style:
    """Return a style with another width in mm, as it is written."""
    return replace(style, width=float(width))


def _hull(spots: Sequence[Spot]) -> Box | None:
    """The box around spots; None where there are fewer than two."""
    if len(spots) < 2:
        return None
    xs, ys = zip(*spots, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def _hulls(places: Floats, starts: NDArray[np.int_]) -> list[list[float]]:
    """The boxes around runs of places, all at once."""
    low, high = (reach.reduceat(places, starts, axis=0) for reach in (np.minimum, np.maximum))
    found: list[list[float]] = np.concatenate([low, high], axis=1).tolist()
    return found


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
    for plane in planes:
        side = _side(points, plane)
        if (side >= 0).all():
            continue
        if (side < 0).all():
            return np.empty((0, 3))
        points = _cut(points, side, is_closed=is_closed)
    return points


def _cut(points: Floats, side: Floats, *, is_closed: bool) -> Floats:
    """The part of a ring or line on the positive side of a plane. A line that leaves and comes back
    goes straight on in between, outside the frame.
    """
    kept: list[Floats] = []
    number = len(points)
    for index in range(number):
        here, a = points[index], side[index]
        if a >= 0:
            kept.append(here)
        if index == number - 1 and not is_closed:
            break
        there, b = points[(index + 1) % number], side[(index + 1) % number]
        if (a >= 0) != (b >= 0):
            kept.append(here + (there - here) * (a / (a - b)))
    return np.array(kept).reshape(-1, 3)


def _is_covered(view: _View, seen: _Seen, covers: Sequence[_Cover]) -> bool:
    """Whether nearer things lie over the top and the middle of a piece."""
    box = seen.hull
    if box is None or not view.is_seen(box):
        return True
    x = min(max(box.middle[0], view.box.left), view.box.right)
    tops = [(x, y) for y in (box.top + 0.15 * box.height, box.middle[1]) if y > view.box.top]
    nearer = [each for each in covers if each.distance_m < seen.piece.distance_m - 0.3]
    return all(any(each.holds(spot) for each in nearer) for spot in tops)


def _is_in(spot: Spot, ring: Sequence[Spot]) -> bool:
    """Whether a ring runs around a spot (crossings of a ray to the right)."""
    x, y = spot
    is_in = False
    for (ax, ay), (bx, by) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if (ay > y) != (by > y) and x < ax + (bx - ax) * (y - ay) / (by - ay):
            is_in = not is_in
    return is_in


def _draw_tags(pen: Pen, view: _View, crew: Sequence[tuple[_Seen, Look]]) -> None:
    """Write the letters of other cameras on what shows of them."""
    tops: dict[str, Box] = {}
    for seen, other in crew:
        hull = seen.hull
        if hull is None or hull.height < TAG_FROM_MM:
            continue
        tops[other.placement.letter] = _joined(tops.get(other.placement.letter), hull)
    wishes = [_tag_wish(letter, hull, view.box) for letter, hull in sorted(tops.items())]
    for label in place(wishes, view.box.grown(-0.6)).values():
        x, y = label.box.middle
        pen.box(
            *label.box[:2], label.box.width, label.box.height, Style(width=0.2, fill=PAPER), 0.5
        )
        pen.text((x, y + LEAST_MM * 0.35), label.key, LEAST_MM, "bold", anchor="middle", ink=INK)
        if label.leader is not None:
            pen.line(label.leader[:2], label.leader[2:], Style(width=0.15))


def _joined(one: Box | None, other: Box) -> Box:
    if one is None:
        return other
    return Box(
        min(one.left, other.left),
        min(one.top, other.top),
        max(one.right, other.right),
        max(one.bottom, other.bottom),
    )


def _tag_wish(letter: str, hull: Box, frame: Box) -> Wish:
    """The letter above what shows, or wherever it still is in the picture."""
    x = min(max(hull.middle[0], frame.left + 2), frame.right - 2)
    y = min(max(hull.top, frame.top + 2), frame.bottom - 2)
    size = (width_mm(letter, LEAST_MM, "bold") + 1.2, LEAST_MM * 1.15)
    return Wish(letter, (x, y), 0.0, (size,), spots=((x, y - 1.9), (x, y + 1.9)))
