"""What an operator should see in the viewfinder, drawn through the pinhole camera of the plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from kitplan.paper.drawings.boxes import Box
from kitplan.paper.drawings.labels import Wish, place
from kitplan.paper.drawings.looks import LEAST_DISTANCE_M, Look
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.drawings.scene import Eye, Floats
from kitplan.paper.drawings.svg import INK, PAPER, Pen, Spot, Style, path_through
from kitplan.paper.drawings.text import LEAST_MM, width_mm
from kitplan.paper.drawings.view_people import crew_pieces, performer_pieces
from kitplan.paper.drawings.view_venue import (
    crowd_pieces,
    grounds,
    lamp_pieces,
    solid_pieces,
    wing_lines,
)
from kitplan.paper.drawings.viewfinder import Drawn, Seen, View

SAFE = 0.9
"""Action safe: this share of width and height. Common practice."""
FULL_WIDTH_MM = 160.0
"""Lines are drawn with their own widths in a picture this wide, thinner in smaller ones."""
THIRDS = Style(stroke="#8d8d8d", width=0.13, dash="0.3 1.1", is_round=True)
SAFE_AREA = Style(stroke="#8d8d8d", width=0.16, dash="2.2 1.4")
TAG_FROM_MM = 2.5


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
    view = View(eye.camera, box)
    _ink_all(pen, view, filter(None, map(view.drawn, grounds(eye, content))))
    crew = list(crew_pieces(eye, content))
    pieces = [
        *solid_pieces(eye, content),
        *performer_pieces(eye, content),
        *crowd_pieces(eye, content),
        *lamp_pieces(eye, content),
        *(piece for piece, _ in crew),
    ]
    _ink_all(pen, view, filter(None, map(view.drawn, wing_lines(content))))
    pieces.sort(key=lambda piece: -piece.distance_m)
    seen = view.seen(pieces)
    for each in seen:
        # Small things get thinner lines still, or they would be nothing but lines.
        _ink_all(pen, view, each.drawn, min(1.0, 0.3 + each.height_mm / 40))
    by_piece = {id(each.piece): each for each in seen}
    others = [(by_piece[id(piece)], other) for piece, other in crew if id(piece) in by_piece]
    covers = list(_covers(seen)) if others else []
    _draw_tags(pen, view, [one for one in others if not _is_covered(view, one[0], covers)])


def _ink_all(pen: Pen, view: View, drawn: Iterable[Drawn], share: float = 1.0) -> None:
    """Draw shapes in their places, with their lines as thin as the size of the picture asks for."""
    share *= min(1.0, (view.box.width / FULL_WIDTH_MM) ** 0.55)
    for shape, spots, _ in drawn:
        style = thinner(shape.style, f"{max(shape.style.width * share, 0.06):.2f}")
        pen.path(path_through(spots.ravel().tolist(), is_closed=shape.is_closed), style)


@lru_cache(maxsize=4096)
def thinner(style: Style, width: str) -> Style:
    """Return a style with another width in mm, as it is written."""
    return replace(style, width=float(width))


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
class _Cover:
    """A ring that covers what is farther away."""

    distance_m: float
    ring: Floats
    box: Box

    def holds(self, spot: Spot) -> bool:
        """Whether it runs around a spot."""
        x, y = spot
        box = self.box
        is_near = box.left <= x <= box.right and box.top <= y <= box.bottom
        return is_near and _is_in(spot, self.ring.tolist())


def _covers(seen: Iterable[Seen]) -> Iterator[_Cover]:
    """Yield the rings that cover what is farther away."""
    for each in seen:
        for shape, spots, hull in each.drawn:
            if shape.is_closed and shape.style.fill != "none":
                yield _Cover(each.piece.distance_m, spots, hull)


def _is_covered(view: View, seen: Seen, covers: Sequence[_Cover]) -> bool:
    """Whether nearer things lie over the top and the middle of a piece."""
    box = seen.hull
    if not view.is_seen(box):
        return True
    x = min(max(box.middle[0], view.box.left), view.box.right)
    tops = [(x, y) for y in (box.top + 0.15 * box.height, box.middle[1]) if y > view.box.top]
    nearer = [each for each in covers if each.distance_m < seen.piece.distance_m - 0.3]
    return all(any(each.holds(spot) for each in nearer) for spot in tops)


def _is_in(spot: Spot, ring: Sequence[Sequence[float]]) -> bool:
    """Whether a ring runs around a spot (crossings of a ray to the right)."""
    x, y = spot
    is_in = False
    for (ax, ay), (bx, by) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if (ay > y) != (by > y) and x < ax + (bx - ax) * (y - ay) / (by - ay):
            is_in = not is_in
    return is_in


def _draw_tags(pen: Pen, view: View, crew: Sequence[tuple[Seen, Look]]) -> None:
    """Write the letters of other cameras on what shows of them."""
    tops: dict[str, Box] = {}
    for seen, other in crew:
        hull = seen.hull
        if hull.height < TAG_FROM_MM:
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
