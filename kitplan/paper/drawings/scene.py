"""What lies before a lens, as pieces in venue metres with their distance: far ones are drawn first.

People stand on cards turned to the lens; floors and walls are cut into pieces of about a metre, so
that the order by distance is right where people stand on them or before them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import ceil, dist, hypot
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from kitplan.paper.drawings.figures import Part, Shade
from kitplan.paper.drawings.looks import Look, is_steep
from kitplan.paper.drawings.svg import INK, PAPER, Style
from kitplan.stage.frame import Pinhole, in_camera, pinhole

Floats = NDArray[np.float64]
PIECE_M = 1.0
FACES_FROM_MM = 34.0
"""Smaller people have no faces: they would be blots."""
TALLEST_STEP_M = 1.5
"""Floors up to this over what is around them are solid below; higher ones are slabs."""
SLAB_M = 0.25
GROUND, TOP, WALL, OBSTACLE = "#f1f1f1", "#ffffff", "#d6d6d6", "#bdbdbd"
EDGE = Style(width=0.3)


class Shape(NamedTuple):
    """A ring or line in the venue, with its pen."""

    points_m: Floats
    """(k, 3)"""
    style: Style
    is_closed: bool = True
    from_mm: float = 0.0
    """Drawn only where its whole piece is at least this high in the picture."""


class Piece(NamedTuple):
    """Shapes that belong together, later ones over earlier ones."""

    distance_m: float
    shapes: tuple[Shape, ...]


@dataclass(frozen=True)
class Eye:
    """A lens and its way of looking at cards."""

    look: Look

    @property
    def lens_m(self) -> tuple[float, float, float]:
        """Where it is."""
        return self.look.lens_m

    @cached_property
    def camera(self) -> Pinhole:
        """The look as a pinhole camera."""
        look = self.look
        return pinhole(
            np.array([look.lens_m]), np.array([look.aim_m]), np.array([look.view_deg]), look.aspect
        )

    def sees(self, places_m: Floats, around_m: float) -> NDArray[np.bool_]:
        """Return which places (k, 3), or something within a reach of them, may be in the frame."""
        x, y, z = np.moveaxis(in_camera(self.camera, places_m)[0], -1, 0)
        wide, high = self.camera.half_width[0], self.camera.half_height[0]
        ahead = np.maximum(z + around_m, 0.0)
        found: NDArray[np.bool_] = (z > -around_m) & (
            (np.abs(x) <= ahead * wide + around_m) & (np.abs(y) <= ahead * high + around_m)
        )
        return found

    @property
    def is_above(self) -> bool:
        """Whether figures are seen from above."""
        return is_steep(self.look)

    def distance_m(self, point_m: Sequence[float]) -> float:
        """From the lens to a point."""
        return dist(self.lens_m, tuple(point_m))

    def right_at(self, at_m: tuple[float, float]) -> tuple[float, float]:
        """Which way is right on a card over a place, square to the ray in plan."""
        x, y = at_m[0] - self.lens_m[0], at_m[1] - self.lens_m[1]
        flat = hypot(x, y)
        return (1.0, 0.0) if flat < 1e-9 else (y / flat, -x / flat)

    def on_card(
        self, at_m: tuple[float, float], foot_m: float, flat: Sequence[Sequence[float]] | Floats
    ) -> Floats:
        """Return points (across, up) of a card over a place in venue metres."""
        right = self.right_at(at_m)
        points = np.asarray(flat, dtype=np.float64)
        x = at_m[0] + points[:, 0] * right[0]
        return np.stack([x, at_m[1] + points[:, 0] * right[1], foot_m + points[:, 1]], axis=-1)


@dataclass(frozen=True)
class Palette:
    """Pens for the parts of a figure."""

    styles: dict[Shade, Style]


def _palette(ink: str, width: float, skin: str, top: str, legs: str, hair: str) -> Palette:
    pen = Style(stroke=ink, width=width)
    fills: dict[Shade, str] = {"skin": skin, "top": top, "legs": legs, "hair": hair, "line": "none"}
    return Palette({shade: pen.filled(fill) for shade, fill in fills.items()})


TARGET = _palette(INK, 0.42, PAPER, PAPER, "#c8c8c8", "#2b2b2b")
OTHERS = _palette("#6a6a6a", 0.22, "#f7f7f7", "#ededed", "#d5d5d5", "#9b9b9b")
CROWD = _palette(PAPER, 0.25, "#8c8c8c", "#8c8c8c", "#8c8c8c", "#8c8c8c")
CROWD_AS_TARGET = _palette("#333", 0.3, PAPER, "#f2f2f2", PAPER, PAPER)
SEATS = _palette("#777", 0.22, "#fafafa", "#fafafa", "#fafafa", "#fafafa")
CREW = _palette(PAPER, 0.25, "#3c3c3c", "#3c3c3c", "#3c3c3c", "#3c3c3c")


def upright(
    eye: Eye, at_m: tuple[float, float], foot_m: float, parts: Iterable[Part], palette: Palette
) -> Piece:
    """Return a figure on its card."""
    parts = tuple(parts)
    # All points at once: a figure has a dozen parts.
    points = eye.on_card(at_m, foot_m, np.concatenate([part.flat for part in parts]))
    shapes, start = [], 0
    for part in parts:
        end = start + len(part.points)
        least = FACES_FROM_MM if part.is_face else 0.0
        style = palette.styles[part.shade]
        shapes.append(Shape(points[start:end], style, part.is_closed, least))
        start = end
    return Piece(eye.distance_m((*at_m, _middle_m(eye, foot_m))), tuple(shapes))


def uprights(
    eye: Eye,
    places_m: Sequence[tuple[float, float]],
    feet_m: Sequence[float],
    parts: Sequence[Part],
    palette: Palette,
) -> Iterator[Piece]:
    """Yield one and the same figure on a card at each of many places: a crowd."""
    if not places_m:
        return
    at, feet = np.array(places_m)[:, :, None], np.array(feet_m)[:, None]
    right = np.array([eye.right_at(place) for place in places_m])[:, :, None]
    rings = []
    for part in parts:
        flat = part.flat
        x, y = (at[:, axis] + flat[:, 0] * right[:, axis] for axis in (0, 1))
        rings.append(np.stack([x, y, feet + flat[:, 1]], axis=-1))
    pens = [
        (palette.styles[p.shade], p.is_closed, FACES_FROM_MM if p.is_face else 0.0) for p in parts
    ]
    for number, (place, foot) in enumerate(zip(places_m, feet_m, strict=True)):
        shapes = tuple(Shape(ring[number], *pen) for ring, pen in zip(rings, pens, strict=True))
        yield Piece(eye.distance_m((*place, _middle_m(eye, foot))), shapes)


def _middle_m(eye: Eye, foot_m: float) -> float:
    """Return at which height a figure is nearest to the lens."""
    return max(foot_m, min(eye.lens_m[2], foot_m + 1.7))


def level(
    eye: Eye,
    at_m: tuple[float, float],
    foot_m: float,
    rings: Iterable[tuple[Sequence[tuple[float, float, float]], Shade]],
    palette: Palette,
) -> Piece:
    """Return a figure seen from above."""
    shapes = tuple(
        Shape(np.array(ring) + np.array([*at_m, foot_m]), palette.styles[shade])
        for ring, shade in rings
    )
    return Piece(eye.distance_m((*at_m, foot_m + 1.0)), shapes)


# -- floors and walls ------------------------------------------------------------------------------


def block(
    eye: Eye,
    outline_m: Sequence[tuple[float, float]],
    low_m: float,
    high_m: float,
    wall: str,
    top: str,
) -> Iterator[Piece]:
    """Yield the sides of a block that face the lens, and its top or underside, in pieces."""
    yield from _sides(eye, outline_m, low_m, high_m, wall)
    if eye.lens_m[2] > high_m:
        yield from _cells(eye, outline_m, high_m, top)
    elif eye.lens_m[2] < low_m:
        yield from _cells(eye, outline_m, low_m, wall)


def floor(
    eye: Eye, outline_m: Sequence[tuple[float, float]], height_m: float, fill: str
) -> Shape | None:
    """Return a whole floor as one shape, if it is seen from above."""
    if eye.lens_m[2] <= height_m:
        return None
    return Shape(_at_height(outline_m, height_m), EDGE.filled(fill))


def _sides(
    eye: Eye, outline_m: Sequence[tuple[float, float]], low_m: float, high_m: float, fill: str
) -> Iterator[Piece]:
    height = min(max(eye.lens_m[2], low_m), high_m)
    for start, out, panels in _sides_of(tuple(outline_m), low_m, high_m, fill):
        if (eye.lens_m[0] - start[0]) * out[0] + (eye.lens_m[1] - start[1]) * out[1] <= 0:
            continue
        for middle, shapes in panels:
            yield Piece(eye.distance_m((*middle, height)), shapes)


Panel = tuple[tuple[float, float], tuple[Shape, ...]]
"""A piece of a wall, with the place of its middle."""


@lru_cache(maxsize=256)
def _sides_of(
    outline_m: tuple[tuple[float, float], ...], low_m: float, high_m: float, fill: str
) -> tuple[tuple[tuple[float, float], tuple[float, float], tuple[Panel, ...]], ...]:
    """Return the sides of a block, the same for every lens: where each starts, which way is out,
    and its pieces.
    """
    turn = _turn(outline_m)
    return tuple(
        (a, ((b[1] - a[1]) * turn, (a[0] - b[0]) * turn), tuple(_panels(a, b, low_m, high_m, fill)))
        for a, b in zip(outline_m, [*outline_m[1:], outline_m[0]], strict=True)
    )


def _panels(
    a: tuple[float, float], b: tuple[float, float], low_m: float, high_m: float, fill: str
) -> Iterator[Panel]:
    body = Style(stroke=fill, width=0.12, fill=fill)
    number = max(1, min(ceil(dist(a, b) / PIECE_M), 60))
    for step in range(number):
        p, q = _between(a, b, step / number), _between(a, b, (step + 1) / number)
        panel = np.array([(*p, low_m), (*q, low_m), (*q, high_m), (*p, high_m)])
        shapes = [Shape(panel, body), Shape(panel[2:], EDGE, is_closed=False)]
        shapes.append(Shape(panel[:2], EDGE, is_closed=False))
        if step == 0:
            shapes.append(Shape(panel[[0, 3]], EDGE, is_closed=False))
        if step == number - 1:
            shapes.append(Shape(panel[[1, 2]], EDGE, is_closed=False))
        yield _between(p, q, 0.5), tuple(shapes)


def _cells(
    eye: Eye, outline_m: Sequence[tuple[float, float]], height_m: float, fill: str
) -> Iterator[Piece]:
    """A level floor in cells, as far as their farthest corner: who stands there comes later."""
    for corners, shape in _cells_of(tuple(outline_m), height_m, fill):
        yield Piece(max(map(eye.distance_m, corners)), (shape,))


@lru_cache(maxsize=256)
def _cells_of(
    outline_m: tuple[tuple[float, float], ...], height_m: float, fill: str
) -> tuple[tuple[tuple[tuple[float, float, float], ...], Shape], ...]:
    """Return the cells of a floor and its rim, the same for every lens, each with its corners."""
    ring = shapely.Polygon(outline_m)
    left, low, right, high = ring.bounds
    across, deep = (max(1, min(ceil(size / PIECE_M), 12)) for size in (right - left, high - low))
    body = Style(stroke=fill, width=0.12, fill=fill)
    found = []
    for i in range(across):
        for j in range(deep):
            cell = shapely.box(
                left + (right - left) * i / across,
                low + (high - low) * j / deep,
                left + (right - left) * (i + 1) / across,
                low + (high - low) * (j + 1) / deep,
            )
            part = ring.intersection(cell) if ring.is_valid else cell
            if part.geom_type == "Polygon" and not part.is_empty:
                found.append((list(part.exterior.coords)[:-1], body))
    found.append((list(outline_m), EDGE.filled(fill)))
    return tuple(
        (tuple((x, y, height_m) for x, y in ring), Shape(_at_height(ring, height_m), style))
        for ring, style in found
    )


def _at_height(outline_m: Iterable[Sequence[float]], height_m: float) -> Floats:
    return np.array([(x, y, height_m) for x, y in outline_m])


def _between(a: Sequence[float], b: Sequence[float], share: float) -> tuple[float, float]:
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def _turn(outline_m: Sequence[tuple[float, float]]) -> float:
    """1 for an outline that runs counter-clockwise (from above), else -1."""
    area = sum(
        a[0] * b[1] - b[0] * a[1]
        for a, b in zip(outline_m, [*outline_m[1:], outline_m[0]], strict=True)
    )
    return 1.0 if area > 0 else -1.0
