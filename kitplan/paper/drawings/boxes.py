"""Rectangles and straight lines on a sheet, in millimetres: which of them meet.

Arrays hold one rectangle a row (left, top, right, bottom) or one line a row (x, y, x, y). `meet`,
`strike` and `cross` look at all pairs of two arrays; `meets`, `strikes` and `crosses` at one pair,
where an array would cost more than the answer.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Line = tuple[float, float, float, float]
"""x and y of one end, then of the other."""
_TINY = 1e-9


class Box(NamedTuple):
    """An upright rectangle."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """Its width."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Its height."""
        return self.bottom - self.top

    @property
    def middle(self) -> tuple[float, float]:
        """Its middle."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def grown(self, by: float) -> Box:
        """Return it with a rim on all sides (or without one, if negative)."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def overlaps(self, other: Box) -> bool:
        """Whether the two share an area."""
        return (
            self.left < other.right - _TINY
            and other.left < self.right - _TINY
            and self.top < other.bottom - _TINY
            and other.top < self.bottom - _TINY
        )

    def holds(self, other: Box) -> bool:
        """Whether another one lies in it."""
        return (
            self.left <= other.left + _TINY
            and self.top <= other.top + _TINY
            and self.right >= other.right - _TINY
            and self.bottom >= other.bottom - _TINY
        )


def around(x: float, y: float, radius: float) -> Box:
    """Return the square around a circle."""
    return Box(x - radius, y - radius, x + radius, y + radius)


def rows_of(boxes: list[Box] | tuple[Box, ...]) -> Floats:
    """Return rectangles as an array (n, 4)."""
    return np.array(boxes, dtype=np.float64).reshape(-1, 4)


def meet(boxes: Floats, others: Floats, gap: float = 0.0) -> Flags:
    """Return which rectangles (n) come nearer than a gap to which others (m), shape (n, m)."""
    a, b = boxes[:, None, :], others[None, :, :]
    apart = (a[..., 0] >= b[..., 2] + gap - _TINY) | (b[..., 0] >= a[..., 2] + gap - _TINY)
    apart |= (a[..., 1] >= b[..., 3] + gap - _TINY) | (b[..., 1] >= a[..., 3] + gap - _TINY)
    found: Flags = ~apart
    return found


def meets(box: Box, other: Box, gap: float = 0.0) -> bool:
    """Return whether two rectangles come nearer than a gap to each other."""
    return (
        box.left < other.right + gap - _TINY
        and other.left < box.right + gap - _TINY
        and box.top < other.bottom + gap - _TINY
        and other.top < box.bottom + gap - _TINY
    )


def strike(lines: Floats, boxes: Floats) -> Flags:
    """Return which lines (n) run through which rectangles (m), shape (n, m).

    Lines that are not a number strike nothing. The method of slabs: along the line, from where to
    where it lies between the two sides, and between top and bottom.
    """
    found: Flags = np.zeros((len(lines), len(boxes)), dtype=np.bool_)
    low, high = np.minimum(lines[:, :2], lines[:, 2:]), np.maximum(lines[:, :2], lines[:, 2:])
    near = np.ones_like(found)
    for axis in (0, 1):
        near &= low[:, axis, None] < boxes[None, :, axis + 2]
        near &= high[:, axis, None] > boxes[None, :, axis]
    rows, columns = np.nonzero(near)
    if not len(rows):
        return found
    enter, leave = np.zeros(len(rows)), np.ones(len(rows))
    for axis in (0, 1):
        begin, end = _between(lines[rows], boxes[columns], axis)
        enter, leave = np.maximum(enter, begin), np.minimum(leave, end)
    found[rows, columns] = enter < leave - _TINY
    return found


def _between(lines: Floats, boxes: Floats, axis: int) -> tuple[Floats, Floats]:
    """Where along each line (0 to 1) it enters and leaves the sides of its rectangle."""
    start, step = lines[:, axis], lines[:, axis + 2] - lines[:, axis]
    low, high = boxes[:, axis], boxes[:, axis + 2]
    flat = np.abs(step) < _TINY
    safe = np.where(flat, 1.0, step)
    first, second = (low - start) / safe, (high - start) / safe
    never = np.where((start > low) & (start < high), -np.inf, np.inf)
    enter = np.where(flat, never, np.minimum(first, second))
    leave = np.where(flat, -never, np.maximum(first, second))
    return enter, leave


def strikes(line: Line, box: Box) -> bool:
    """Return whether a line runs through a rectangle."""
    enter, leave = 0.0, 1.0
    for axis in (0, 1):
        start, step = line[axis], line[axis + 2] - line[axis]
        low, high = box[axis], box[axis + 2]
        if abs(step) < _TINY:
            if not low < start < high:
                return False
            continue
        first, second = (low - start) / step, (high - start) / step
        enter, leave = max(enter, min(first, second)), min(leave, max(first, second))
    return enter < leave - _TINY


def cross(lines: Floats, others: Floats) -> Flags:
    """Return which lines (n) cross which others (m), shape (n, m); those that are not a number
    cross nothing.
    """
    if np.isnan(others).any(axis=1).all():
        return np.zeros((len(lines), len(others)), dtype=np.bool_)
    p, q = lines[:, None, :2], lines[:, None, 2:]
    r, s = others[None, :, :2], others[None, :, 2:]
    found: Flags = (_side(p, q, r) * _side(p, q, s) < 0) & (_side(r, s, p) * _side(r, s, q) < 0)
    return found


def crosses(line: Line, other: Line) -> bool:
    """Return whether two lines cross."""

    def sides(own: Line, two: Line) -> float:
        """Positive where both ends of a line lie on one side of another."""
        x, y = own[2] - own[0], own[3] - own[1]
        one = x * (two[1] - own[1]) - y * (two[0] - own[0])
        return one * (x * (two[3] - own[1]) - y * (two[2] - own[0]))

    return sides(line, other) < 0 and sides(other, line) < 0


def _side(start: Floats, end: Floats, point: Floats) -> Floats:
    found: Floats = (end[..., 0] - start[..., 0]) * (point[..., 1] - start[..., 1]) - (
        end[..., 1] - start[..., 1]
    ) * (point[..., 0] - start[..., 0])
    return found
