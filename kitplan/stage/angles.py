"""Viewing directions and which views are alike. Pure geometry in three dimensions.

Two views are alike if their directions differ by less than `angle_deg` and their frame heights by
less than the factor `size_factor`. Thresholds are inclusive: at the threshold views are distinct.
Source of the angle: Corrigan & White, The Film Experience (2004), p. 130.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
ANGLE_EPSILON_DEG = 1e-7
SIZE_EPSILON = 1e-9


def directions(from_m: Floats, to_m: Floats) -> Floats:
    """Return unit vectors from cameras to aim points, shape (n, 3)."""
    rays = np.asarray(to_m, dtype=np.float64) - np.asarray(from_m, dtype=np.float64)
    units: Floats = rays / np.linalg.norm(rays, axis=-1, keepdims=True)
    return units


def angles_between_deg(units: Floats) -> Floats:
    """Return the angle between every pair of unit vectors in degrees, shape (n, n).

    From the chord, 2 * asin(|a - b| / 2): exact for small angles, where acos of the dot product
    loses half its digits.
    """
    chord = np.linalg.norm(units[:, None, :] - units[None, :, :], axis=-1)
    found: Floats = np.degrees(2 * np.arcsin(np.clip(chord / 2, 0.0, 1.0)))
    return found


def size_factors(frame_m: Floats) -> Floats:
    """Return by which factor the frame heights of every pair differ (>= 1), shape (n, n)."""
    logs = np.log(frame_m)
    found: Floats = np.exp(np.abs(logs[:, None] - logs[None, :]))
    return found


def alike(
    units: Floats, frame_m: Floats, angle_deg: float, size_factor: float
) -> NDArray[np.bool_]:
    """Return for every pair whether they are one viewpoint, shape (n, n), diagonal True."""
    near = angles_between_deg(units) < angle_deg - ANGLE_EPSILON_DEG
    same = size_factors(frame_m) < size_factor - SIZE_EPSILON
    found: NDArray[np.bool_] = near & same
    np.fill_diagonal(found, True)
    return found


def clearly_distinct(
    units: Floats,
    frame_m: Floats,
    angle_deg: float,
    angle_with_size_deg: float,
    size_factor: float,
) -> NDArray[np.bool_]:
    """Return for every pair whether it is distinct at a glance, shape (n, n).

    True from `angle_deg` apart, or from `angle_with_size_deg` with sizes `size_factor` apart.
    """
    angle = angles_between_deg(units)
    sizes = size_factors(frame_m)
    found: NDArray[np.bool_] = (angle >= angle_deg - ANGLE_EPSILON_DEG) | (
        (angle >= angle_with_size_deg - ANGLE_EPSILON_DEG) & (sizes >= size_factor - SIZE_EPSILON)
    )
    return found


def clique_cover(conflicts: NDArray[np.bool_]) -> list[tuple[int, ...]]:
    """Return cliques that cover every edge of a conflict graph, each as large as greed makes it.

    One row 'at most one of these' per clique is much tighter than one row per pair. Every edge is
    in at least one clique; loops are ignored.
    """
    graph = conflicts.copy()
    np.fill_diagonal(graph, False)
    uncovered = graph.copy()
    cliques: list[tuple[int, ...]] = []
    for first in range(len(graph)):
        while uncovered[first].any():
            second = int(uncovered[first].argmax())
            clique = _grown_clique(graph, uncovered, [first, second])
            uncovered[np.ix_(clique, clique)] = False
            cliques.append(tuple(clique))
    return cliques


def _grown_clique(
    graph: NDArray[np.bool_], uncovered: NDArray[np.bool_], members: list[int]
) -> list[int]:
    """Add nodes to a clique until none fits, those first that still cover most uncovered edges."""
    candidates = np.flatnonzero(graph[members].all(axis=0))
    while len(candidates):
        gain = uncovered[candidates][:, members].sum(axis=1) * len(graph)
        gain += graph[candidates][:, candidates].sum(axis=1)  # then the most connected one
        chosen = int(candidates[gain.argmax()])
        members = [*members, chosen]
        candidates = candidates[graph[chosen, candidates]]
    return sorted(members)
