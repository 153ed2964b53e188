"""Plain outlines that figures are made of: ovals, limbs, blocks. In metres, across and up."""

from __future__ import annotations

from math import cos, hypot, pi, sin

Flat = tuple[float, float]
ROUND = 28
"""Corners of an oval."""


def block(left: float, right: float, low: float, high: float) -> tuple[Flat, ...]:
    return ((left, low), (right, low), (right, high), (left, high))


def oval(middle: Flat, wide: float, high: float) -> tuple[Flat, ...]:
    return tuple(
        (middle[0] + wide * sin(2 * pi * n / ROUND), middle[1] + high * cos(2 * pi * n / ROUND))
        for n in range(ROUND)
    )


def limb(start: Flat, end: Flat, start_radius: float, end_radius: float) -> tuple[Flat, ...]:
    """A limb with round ends that tapers from one joint to the next."""
    dx, dz = end[0] - start[0], end[1] - start[1]
    long = max(hypot(dx, dz), 1e-9)
    along, across = (dx / long, dz / long), (-dz / long, dx / long)
    points = []
    for joint, radius, turn in ((start, start_radius, pi / 2), (end, end_radius, -pi / 2)):
        for step in range(7):
            angle = turn + pi * step / 6
            a, b = radius * cos(angle), radius * sin(angle)
            points.append(
                (joint[0] + a * along[0] + b * across[0], joint[1] + a * along[1] + b * across[1])
            )
    return tuple(points)
