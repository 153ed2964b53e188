"""What an operator should see in the viewfinder, drawn through the pinhole camera of the plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

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
    covers = [(piece, ring) for piece in pieces for ring in view.draw_piece(pen, piece)]
    seen = [(piece, other) for piece, other in crew if not _is_covered(view, piece, covers)]
    _draw_tags(pen, view, seen)


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
class _View:
    """A camera and the box of the sheet that its frame fills."""

    camera: Pinhole
    box: Box

    @property
    def pen_share(self) -> float:
        """How much thinner lines are than in a picture of full width."""
        return float(min(1.0, (self.box.width / FULL_WIDTH_MM) ** 0.55))

    def draw_piece(self, pen: Pen, piece: Piece) -> list[list[Spot]]:
        """Draw the shapes of a piece that are in the picture; return the rings that cover it."""
        points = np.concatenate([shape.points_m for shape in piece.shapes])
        inside = self._in_camera(points)
        covers: list[list[Spot]] = []
        if not (inside[:, 2] >= NEAR_M).any():
            return covers
        start, group = 0, None
        high = self._height_mm(inside)
        # Small things get thinner lines still, or they would be nothing but lines.
        share = self.pen_share * min(1.0, 0.3 + high / 40)
        for shape in piece.shapes:
            end = start + len(shape.points_m)
            spots = self._spots(inside[start:end], is_closed=shape.is_closed)
            start = end
            if high >= shape.from_mm and self.is_seen(spots):
                group = group or pen.group()
                self._ink(group, spots, shape, share)
                if shape.is_closed and shape.style.fill != "none":
                    covers.append(spots)
        return covers

    def draw(self, pen: Pen, shape: Shape) -> None:
        """Draw one shape."""
        spots = self.spots(shape.points_m, is_closed=shape.is_closed)
        if self.is_seen(spots):
            self._ink(pen, spots, shape, self.pen_share)

    def spots(self, points_m: Floats, *, is_closed: bool) -> list[Spot]:
        """Return where points lie on the sheet; what is behind the lens is cut off."""
        return self._spots(self._in_camera(points_m), is_closed=is_closed)

    def _in_camera(self, points_m: Floats) -> Floats:
        found: Floats = in_camera(self.camera, points_m)[0]
        return found

    def _spots(self, points: Floats, *, is_closed: bool) -> list[Spot]:
        across, down = self.camera.half_width[0], self.camera.half_height[0]
        points = cut_to_frame(points, float(across), float(down), is_closed=is_closed)
        if len(points) < 2:
            return []
        u = 0.5 + points[:, 0] / points[:, 2] / (2 * across)
        v = 0.5 + points[:, 1] / points[:, 2] / (2 * down)
        x, y = self.box.left + u * self.box.width, self.box.top + v * self.box.height
        return list(zip(x.tolist(), y.tolist(), strict=True))

    def is_seen(self, spots: Sequence[Spot]) -> bool:
        """Return whether something through these spots may show in the frame."""
        if len(spots) < 2:
            return False
        xs, ys = [x for x, _ in spots], [y for _, y in spots]
        hull = Box(min(xs), min(ys), max(xs) + 1e-6, max(ys) + 1e-6)
        return hull.overlaps(self.box)

    def _height_mm(self, points: Floats) -> float:
        """How high a piece is in the picture, the part outside the frame included."""
        ahead = points[points[:, 2] >= NEAR_M]
        down = ahead[:, 1] / ahead[:, 2] / (2 * self.camera.half_height[0]) * self.box.height
        return float(np.ptp(down))

    def _ink(self, pen: Pen, spots: Iterable[Spot], shape: Shape, share: float) -> None:
        style = replace(shape.style, width=max(shape.style.width * share, 0.06))
        (pen.ring if shape.is_closed else pen.trail)(spots, style)


def cut_to_frame(
    points: Floats, half_width: float, half_height: float, *, is_closed: bool
) -> Floats:
    """Return the part of a ring or line (k, 3) in camera axes that lies in or near the frame.

    It is cut at the near plane and a little outside the frame, so that no cut shows and no line
    runs on for kilometres (Sutherland and Hodgman, Communications of the ACM 17, 1974).
    """
    planes = (
        (0.0, 0.0, 1.0, -NEAR_M),
        (1.0, 0.0, half_width * BEYOND, 0.0),
        (-1.0, 0.0, half_width * BEYOND, 0.0),
        (0.0, 1.0, half_height * BEYOND, 0.0),
        (0.0, -1.0, half_height * BEYOND, 0.0),
    )
    for a, b, c, d in planes:
        side = points[:, 0] * a + points[:, 1] * b + points[:, 2] * c + d
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


def _is_covered(view: _View, piece: Piece, covers: Sequence[tuple[Piece, Sequence[Spot]]]) -> bool:
    """Whether nearer things lie over the top and the middle of a piece."""
    box = _hull(view, piece)
    if box is None:
        return True
    x = min(max(box.middle[0], view.box.left), view.box.right)
    tops = [(x, y) for y in (box.top + 0.15 * box.height, box.middle[1]) if y > view.box.top]
    nearer = [ring for other, ring in covers if other.distance_m < piece.distance_m - 0.3]
    return all(any(_is_in(spot, ring) for ring in nearer) for spot in tops)


def _is_in(spot: Spot, ring: Sequence[Spot]) -> bool:
    """Whether a ring runs around a spot (crossings of a ray to the right)."""
    x, y = spot
    is_in = False
    for (ax, ay), (bx, by) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if (ay > y) != (by > y) and x < ax + (bx - ax) * (y - ay) / (by - ay):
            is_in = not is_in
    return is_in


def _hull(view: _View, piece: Piece) -> Box | None:
    """The box around what shows of a piece."""
    spots = [
        spot
        for shape in piece.shapes
        for spot in view.spots(shape.points_m, is_closed=shape.is_closed)
    ]
    if not view.is_seen(spots):
        return None
    xs, ys = [x for x, _ in spots], [y for _, y in spots]
    return Box(min(xs), min(ys), max(xs), max(ys))


def _draw_tags(pen: Pen, view: _View, crew: Sequence[tuple[Piece, Look]]) -> None:
    """Write the letters of other cameras on what shows of them."""
    tops: dict[str, Box] = {}
    for piece, other in crew:
        hull = _hull(view, piece)
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
