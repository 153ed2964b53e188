"""Marks on floor plans: cameras, people, lamps, free positions. Nothing is told by colour alone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import atan2, cos, degrees, hypot, pi, sin

from kitplan.paper.drawings.boxes import Box, around
from kitplan.paper.drawings.svg import INK, PAPER, Pen, Spot, Style, number
from kitplan.paper.drawings.text import LEAST_MM, PT_MM, width_mm

DISC_MM = 3.3
"""Radius of a camera's disc."""
LETTER_MM = 12 * PT_MM
FREE_MM = 1.1
LAMP_MM = 1.6
LEAST_PERSON_MM, MOST_PERSON_MM = 3.0, 7.0
SOFT = "#555"
SHOULDERS = Style(width=0.22, fill="#6e6e6e")


def camera_disc(pen: Pen, middle: Spot, letter: str, *, is_operated: bool) -> None:
    """Draw a camera's letter: white on black where somebody operates, black on white locked off."""
    fill, ink = (INK, PAPER) if is_operated else (PAPER, INK)
    pen.circle(middle, DISC_MM, Style(width=0.55, fill=fill))
    size = LETTER_MM
    while width_mm(letter, size, "bold") > 1.7 * DISC_MM and size > LEAST_MM:
        size *= 0.9
    base = (middle[0], middle[1] + size * 0.35)
    pen.text(base, letter, size, "bold", anchor="middle", ink=ink)


def number_ring(pen: Pen, middle: Spot, mark: str) -> None:
    """Draw a number in a ring, for what is named in the key."""
    half = max(width_mm(mark, LEAST_MM) / 2 + 0.7, 1.75)
    box = (middle[0] - half, middle[1] - 1.7, 2 * half, 3.4)
    pen.box(*box, Style(width=0.2, fill=PAPER), corner=1.7)
    pen.text((middle[0], middle[1] + LEAST_MM * 0.35), mark, LEAST_MM, anchor="middle")


def person_mm(width_m: float, mm_per_m: float) -> float:
    """Return the width of a person's mark."""
    return min(max(width_m * mm_per_m, LEAST_PERSON_MM), MOST_PERSON_MM)


def person_mark(pen: Pen, at: Spot, wide_mm: float, posture: str) -> Box:
    """Draw somebody from above, facing the house (down the sheet); return what is covered.

    Shoulders are a bean, the head a disc on it; a seat is a square behind; a dancer's arms reach up
    and out; children are smaller.
    """
    wide = wide_mm * (0.78 if posture == "child" else 1.0)
    x, y = at
    if posture == "seated":
        side = wide * 0.62
        pen.box(x - side / 2, y - side * 0.75, side, side, Style(width=0.2, fill=PAPER))
    if posture == "dancer":
        for way in (-1, 1):
            tip = (x + way * wide * 0.72, y + wide * 0.34)
            bend = (x + way * wide * 0.62, y - wide * 0.1)
            pen.trail(((x + way * wide * 0.3, y), bend, tip), Style(width=0.3, is_round=True))
    deep = wide * 0.36
    corner = deep / 2
    pen.box(x - wide / 2, y - deep / 2, wide, deep, SHOULDERS, corner)
    head = wide * 0.25
    face = y + head * 0.25
    nose = ((x - head * 0.4, face + head * 0.8), (x + head * 0.4, face + head * 0.8))
    pen.ring((*nose, (x, face + head * 1.4)), Style(width=0.18, fill=INK))
    pen.circle((x, face), head, Style(width=0.22, fill=PAPER))
    return around(x, y, wide / 2 + 0.2)


def person_box(at: Spot, wide_mm: float) -> Box:
    """Return what a person's mark covers at most."""
    return around(*at, wide_mm * 0.6)


def free_mark(pen: Pen, at: Spot) -> None:
    """Draw a position that no camera uses in this pass: a small grey lozenge."""
    x, y = at
    ring = ((x, y - FREE_MM), (x + FREE_MM, y), (x, y + FREE_MM), (x - FREE_MM, y))
    pen.ring(ring, Style(stroke=SOFT, width=0.22, fill=PAPER))


def lamp_mark(pen: Pen, at: Spot, kind: str, faces_deg: float | None) -> None:
    """Draw a lamp (a crossed ring), a window (a double bar) or a laser (a star), and its way."""
    x, y = at
    thin = Style(width=0.25, fill=PAPER)
    if kind == "window":
        pen.box(x - LAMP_MM, y - 0.5, 2 * LAMP_MM, 1.0, thin)
        pen.line((x - LAMP_MM, y), (x + LAMP_MM, y), thin)
    elif kind == "laser":
        for step in range(3):
            angle = pi * step / 3
            dx, dy = LAMP_MM * cos(angle), LAMP_MM * sin(angle)
            pen.line((x - dx, y - dy), (x + dx, y + dy), thin)
    else:
        pen.circle(at, LAMP_MM * 0.8, thin)
        leg = LAMP_MM * 0.8 * 0.707
        pen.line((x - leg, y - leg), (x + leg, y + leg), thin)
        pen.line((x - leg, y + leg), (x + leg, y - leg), thin)
    if faces_deg is not None:
        angle = faces_deg * pi / 180
        way = (sin(angle), -cos(angle))
        start = (x + way[0] * LAMP_MM, y + way[1] * LAMP_MM)
        arrow(pen, start, (x + way[0] * LAMP_MM * 2.6, y + way[1] * LAMP_MM * 2.6), 0.25)


def arrow(pen: Pen, start: Spot, end: Spot, width: float, *, is_double: bool = False) -> None:
    """Draw an arrow."""
    pen.line(start, end, Style(width=width))
    ends = ((start, end), (end, start)) if is_double else ((start, end),)
    for tail, tip in ends:
        angle = atan2(tip[1] - tail[1], tip[0] - tail[0])
        long = min(1.6, hypot(tip[0] - tail[0], tip[1] - tail[1]) * 0.6)
        wings = [
            (tip[0] - long * cos(angle + way), tip[1] - long * sin(angle + way))
            for way in (-0.38, 0.38)
        ]
        pen.ring((tip, *wings), Style(stroke="none", fill=INK))


def dots(pen: Pen, spots: Iterable[Spot], size_mm: float, *, is_seat: bool, is_full: bool) -> None:
    """Draw an audience in one path: squares are seats, rings are standing; filled are people."""
    half = size_mm / 2
    n, size = number(half), number(size_mm)
    parts = []
    for x, y in spots:
        if is_seat:
            parts.append(f"M{number(x - half)} {number(y - half)}h{size}v{size}h-{size}z")
        else:
            ring = f"a{n} {n} 0 1 0 {size} 0a{n} {n} 0 1 0 -{size} 0z"
            parts.append(f"M{number(x - half)} {number(y)}{ring}")
    style = Style(stroke="none", fill="#9a9a9a") if is_full else Style(stroke="#8a8a8a", width=0.14)
    pen.path("".join(parts), style)


def turned(start: Spot, end: Spot) -> float:
    """Return the direction of a line on the sheet in degrees."""
    return degrees(atan2(end[1] - start[1], end[0] - start[0]))


def bounds_of(spots: Sequence[Spot]) -> Box:
    """Return the box around some spots."""
    xs, ys = [x for x, _ in spots], [y for _, y in spots]
    return Box(min(xs), min(ys), max(xs), max(ys))
