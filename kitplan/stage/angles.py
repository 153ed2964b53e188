"""Viewing directions, angles seen from a subject, and which views are alike. Pure geometry in 3-D.

Two views are alike if their directions differ by less than `angle_deg` and their frame heights by
less than the factor `size_factor`. Thresholds are inclusive: at the threshold views are distinct.
Source of the angle: Corrigan & White, The Film Experience (2004), p. 130.
"""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
ANGLE_EPSILON_DEG = 1e-7
SIZE_EPSILON = 1e-9
IN_THE_LENS_M = 0.1
"""Nobody stands nearer to a lens than this."""
_AT_ONCE = 64
"""So many views are compared with all others at once, for the sake of memory."""
_RINGS, _BEARINGS, _ROUNDS, _SHRINK = 12, 96, 10, 0.4
"""Grid over a disc; then rounds of a finer one around the best point, each so much smaller."""


class Seen(NamedTuple):
    """The angle between two places in degrees, as seen by somebody who roams."""

    least_deg: float
    home_deg: float
    most_deg: float


def directions(from_m: Floats, to_m: Floats) -> Floats:
    """Return unit vectors from cameras to aim points, shape (n, 3)."""
    rays = np.asarray(to_m, dtype=np.float64) - np.asarray(from_m, dtype=np.float64)
    units: Floats = rays / np.linalg.norm(rays, axis=-1, keepdims=True)
    return units


def angles_between_deg(units: Floats) -> Floats:
    """Return the angle between every pair of unit vectors in degrees, shape (n, n).

    2 * atan(|a - b| / |a + b|): exact for small angles and for those near 180 degrees, where acos
    of the dot product, or asin of half the chord, loses half its digits.
    """
    found = np.empty((len(units), len(units)))
    for first in range(0, len(units), _AT_ONCE):
        some = slice(first, first + _AT_ONCE)
        found[some] = _angle_deg(units[some, None, :], units[None, :, :])
    return found


def angles_seen_deg(first_m: Floats, second_m: Floats, from_m: Floats) -> Floats:
    """Return the angle between two places as seen from others, in degrees.

    Args:
        first_m: One place, shape (..., 3).
        second_m: The other place.
        from_m: Where it is seen from, shape (..., 3). From either place itself the angle is 0.
    """
    rays = [np.asarray(to_m, dtype=np.float64) - from_m for to_m in (first_m, second_m)]
    lengths = [np.linalg.norm(ray, axis=-1, keepdims=True) for ray in rays]
    units = [ray / np.maximum(far, 1e-300) for ray, far in zip(rays, lengths, strict=True)]
    is_apart = (np.minimum(*lengths) > 0)[..., 0]
    found: Floats = np.where(is_apart, _angle_deg(*units), 0.0)
    return found


def seen_by_roamer_deg(first_m: Floats, second_m: Floats, home_m: Floats, roam_m: float) -> Seen:
    """Return the least and most angle between two lenses from a level disc, and from its middle.

    Between lenses at different heights the extremes may lie inside the disc, not on its edge, so
    the whole of it is searched: a grid of rings, then ever finer grids around its best points, to
    better than 0.01 degrees. Places in a lens do not count.

    Args:
        home_m: The middle of the disc, shape (3,).
        roam_m: Its radius in metres, >= 0.
    """
    lenses = np.asarray(first_m, dtype=np.float64), np.asarray(second_m, dtype=np.float64)
    home = np.asarray(home_m, dtype=np.float64)
    home_deg = float(angles_seen_deg(*lenses, home))
    if roam_m <= 0:
        return Seen(home_deg, home_deg, home_deg)
    least, most = _extremes_deg(*lenses, home, roam_m)
    return Seen(min(least, home_deg), home_deg, max(most, home_deg))


def turned_in_plan_deg(units: Floats, axis: Floats) -> Floats:
    """Return how far directions are turned from an axis as seen from above, 0 to 180 degrees.

    Args:
        units: Directions, shape (n, 3).
        axis: The direction to measure from, shape (3,).

    A direction (or axis) straight up or down is turned by nothing: it is on neither side.
    """
    flat, ahead = units[:, :2], np.asarray(axis, dtype=np.float64)[:2]
    across = flat[:, 0] * ahead[1] - flat[:, 1] * ahead[0]
    turned = np.degrees(np.arctan2(np.abs(across), flat @ ahead))
    lengths = np.linalg.norm(flat, axis=1) * np.linalg.norm(ahead)
    found: Floats = np.where(lengths > 1e-9, turned, 0.0)
    return found


def size_factors(frame_m: Floats) -> Floats:
    """Return by which factor the frame heights of every pair differ (>= 1), shape (n, n)."""
    logs = np.log(frame_m)
    found: Floats = np.exp(np.abs(logs[:, None] - logs[None, :]))
    return found


def differ(apart_deg: Floats, factors: Floats, angle_deg: float, size_factor: float) -> Flags:
    """Return where angle or size, either of them, reaches its threshold; any shape."""
    found: Flags = (apart_deg >= angle_deg - ANGLE_EPSILON_DEG) | (
        factors >= size_factor - SIZE_EPSILON
    )
    return found


def differ_clearly(
    apart_deg: Floats,
    factors: Floats,
    angle_deg: float,
    angle_with_size_deg: float,
    size_factor: float,
) -> Flags:
    """Return where two pictures differ at a glance; any shape.

    True from `angle_deg` apart, or from `angle_with_size_deg` with sizes `size_factor` apart.
    """
    found: Flags = (apart_deg >= angle_deg - ANGLE_EPSILON_DEG) | (
        (apart_deg >= angle_with_size_deg - ANGLE_EPSILON_DEG)
        & (factors >= size_factor - SIZE_EPSILON)
    )
    return found


def alike(units: Floats, frame_m: Floats, angle_deg: float, size_factor: float) -> Flags:
    """Return for every pair whether they are one viewpoint, shape (n, n), diagonal True."""
    found = ~differ(angles_between_deg(units), size_factors(frame_m), angle_deg, size_factor)
    np.fill_diagonal(found, True)
    return found


def clearly_distinct(
    units: Floats,
    frame_m: Floats,
    angle_deg: float,
    angle_with_size_deg: float,
    size_factor: float,
) -> Flags:
    """Return for every pair whether it is distinct at a glance, shape (n, n)."""
    apart_deg, factors = angles_between_deg(units), size_factors(frame_m)
    return differ_clearly(apart_deg, factors, angle_deg, angle_with_size_deg, size_factor)


def clique_cover(conflicts: Flags, needed: Flags | None = None) -> list[tuple[int, ...]]:
    """Return cliques that cover every edge of a conflict graph, each as large as greed makes it.

    One row 'at most one of these' per clique is much tighter than one row per pair. Every edge is
    in at least one clique; loops are ignored.

    Args:
        needed: The edges that have to be covered, where others hold already; None for all.
    """
    graph = conflicts.copy()
    np.fill_diagonal(graph, False)
    uncovered = graph.copy() if needed is None else graph & needed
    cliques: list[tuple[int, ...]] = []
    for first in range(len(graph)):
        while uncovered[first].any():
            second = int(uncovered[first].argmax())
            clique = _grown_clique(graph, uncovered, [first, second])
            uncovered[np.ix_(clique, clique)] = False
            cliques.append(tuple(clique))
    return cliques


def _grown_clique(graph: Flags, uncovered: Flags, members: list[int]) -> list[int]:
    """Add nodes to a clique until none fits, those first that still cover most uncovered edges."""
    candidates = np.flatnonzero(graph[members].all(axis=0))
    covers = uncovered[candidates][:, members].sum(axis=1)
    degree = graph[candidates[:, None], candidates].sum(axis=1)
    while len(candidates):
        if degree.sum() == len(candidates) * (len(candidates) - 1):  # all fit, whatever their order
            return sorted([*members, *candidates.tolist()])
        gain = covers * len(graph) + degree  # of those that cover as many the most connected one
        chosen = int(candidates[gain.argmax()])
        members = [*members, chosen]
        fits = graph[chosen, candidates]
        dropped, candidates = candidates[~fits], candidates[fits]
        covers = covers[fits] + uncovered[candidates, chosen]
        degree = degree[fits] - graph[candidates[:, None], dropped].sum(axis=1)
    return sorted(members)


def _norm(rays: Floats) -> Floats:
    """The same figures as `np.linalg.norm` along the last axis, with less around them: with one
    first grid for both extremes the angles of a festival took 0.08 s for 0.18 s.
    """
    found: Floats = np.sqrt(np.add.reduce(rays * rays, axis=-1))
    return found


def _angle_deg(first: Floats, second: Floats) -> Floats:
    """Return the angle between unit vectors in degrees, from their difference and their sum."""
    found: Floats = np.degrees(2 * np.arctan2(_norm(first - second), _norm(first + second)))
    return found


@cache
def _grids() -> tuple[Floats, Floats]:
    """A grid of rings over a disc of radius 1, and a square grid of side 2, both around 0."""
    turns = np.linspace(0, 2 * np.pi, _BEARINGS, endpoint=False)
    rim = np.stack([np.cos(turns), np.sin(turns)], axis=1)
    steps = (np.arange(_RINGS) + 1) / _RINGS
    rings = np.concatenate([[[0.0, 0.0]], (steps[:, None, None] * rim).reshape(-1, 2)])
    across = np.linspace(-1, 1, 9)
    return rings, np.stack(np.meshgrid(across, across), axis=-1).reshape(-1, 2)


def _extremes_deg(
    first_m: Floats, second_m: Floats, home_m: Floats, roam_m: float
) -> tuple[float, float]:
    """Return the least and most angle between two lenses seen from a level disc; infinite where
    all of it is in a lens.
    """
    rings, square = _grids()

    def seen(places: Floats) -> tuple[Floats, Flags]:
        level = np.zeros((len(places), 3))
        level[:, :2] = places
        return _seen_outside_lenses(first_m, second_m, home_m + roam_m * level)

    deg, is_free = seen(rings)
    found = []
    for sign in (1, -1):
        places, width, best = rings, 2.0 / _RINGS, np.inf
        angle, free = deg, is_free
        for round_ in range(_ROUNDS):
            if round_:
                angle, free = seen(places)
            if not free.any():
                break
            signed = np.where(free, sign * angle, np.inf)
            at = int(signed.argmin())
            best = min(best, float(signed[at]))
            places = places[at] + width * square
            places /= np.maximum(_norm(places)[:, None], 1.0)
            width *= _SHRINK
        found.append(sign * best)
    return found[0], found[1]


def _seen_outside_lenses(
    first_m: Floats, second_m: Floats, points_m: Floats
) -> tuple[Floats, Flags]:
    """Return the angle between two lenses seen from places (n, 3), and which are not in a lens."""
    rays = [lens_m - points_m for lens_m in (first_m, second_m)]
    lengths = [_norm(ray) for ray in rays]
    units = [ray / np.maximum(far, 1e-300)[:, None] for ray, far in zip(rays, lengths, strict=True)]
    return _angle_deg(*units), np.minimum(*lengths) >= IN_THE_LENS_M
