"""The angles of all passes on one rose: from which side each camera looks, and how tight.

Round the middle lies the bearing from which a shot sees its subject, the house below, upstage
above; outwards the height of its frame, a ring for each factor that makes two angles distinct. So
two marks that are less than a ring and a spoke apart are one angle to the edit. Heights of cameras
are not on it: what looks steeply down has a rim.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import atan2, ceil, cos, floor, log, pi, radians, sin

from kitplan.paper.drawings.boxes import Box, around
from kitplan.paper.drawings.labels import Wish, place
from kitplan.paper.drawings.looks import Look, is_steep, looks_of
from kitplan.paper.drawings.plan_labels import Form, Name
from kitplan.paper.drawings.plan_marks import DISC_MM, camera_disc
from kitplan.paper.drawings.svg import INK, Drawing, Spot, Style
from kitplan.paper.drawings.text import ASCENT, DESCENT, PT_MM, Weight, width_mm, wrapped
from kitplan.paper.names import Names
from kitplan.shoot.rules import Rules

WIDTH_MM = 182.0
"""What a page of A4 has between its margins."""
MIDDLE_MM = 10.0
"""Radius of the tightest ring: nearer the middle bearings could not be told apart."""
OUTER_MM = 54.0
LABEL_MM = 8 * PT_MM
NAME_WIDTH_MM = 30.0
LEAST_FRAME_M = 0.05
MOST_RINGS = 9
MOST_NAMED = 24
"""With more marks than this names would only hide them: a list has to stand beside."""
GRID = Style(stroke="#888", width=0.18)
FAINT = Style(stroke="#aaa", width=0.15, dash="0.9 0.9")


@dataclass(frozen=True)
class Mark:
    """One placement on the rose."""

    look: Look
    tag: str
    """Camera letter, with the number of its pass where there are several."""
    frame_m: float
    bearing: float
    """From its subject to it, in radians clockwise from upstage."""

    @property
    def is_steep(self) -> bool:
        """Whether it looks down so steeply that its bearing says little."""
        return is_steep(self.look)


@dataclass(frozen=True)
class Rose:
    """The grid: rings for frame heights, spokes for bearings."""

    least: int
    """Power of the factor on the innermost ring."""
    most: int
    factor: float
    spoke_deg: float

    @cached_property
    def step_mm(self) -> float:
        """From ring to ring."""
        return (OUTER_MM - MIDDLE_MM) / max(self.most - self.least, 1)

    @property
    def rings_mm(self) -> dict[float, float]:
        """Radius of each ring by its frame height in metres."""
        powers = range(self.least, self.most + 1)
        return {self.factor**p: MIDDLE_MM + (p - self.least) * self.step_mm for p in powers}

    def ring_mm(self, frame_m: float) -> float:
        """Radius at which a frame height lies."""
        power = log(max(frame_m, LEAST_FRAME_M)) / log(self.factor)
        return max(MIDDLE_MM + (power - self.least) * self.step_mm, MIDDLE_MM / 2)

    def spot(self, radius_mm: float, bearing: float) -> Spot:
        """A place relative to the middle."""
        return radius_mm * sin(bearing), -radius_mm * cos(bearing)


def angle_rose(
    names: Names, tags: dict[tuple[str, str], str], length: Callable[[float], str]
) -> Drawing:
    """Return the rose of a plan.

    Args:
        tags: What each placement is called, by pass id and letter.
        length: Words for a length in metres.
    """
    marks = tuple(
        _mark(looks_of(names, placement)[0], tags[placement.pass_id, placement.letter])
        for pass_id in names.plan.pass_ids()
        for placement in names.plan.placements_in(pass_id)
    )
    rose = _rose(marks, next(iter(names.plan.shoots.values())).rules)
    spots = [rose.spot(rose.ring_mm(mark.frame_m), mark.bearing) for mark in marks]
    top = min([-MIDDLE_MM, *(y for _, y in spots)]) - 3 * DISC_MM
    low = max([OUTER_MM, *(y for _, y in spots)]) + 2 * DISC_MM
    drawing = Drawing(WIDTH_MM, low - top, f"{names.plan.title}: angles")
    middle = (WIDTH_MM / 2, -top)
    _draw_grid(drawing, rose, middle)
    _draw_marks(
        drawing,
        marks,
        [_moved(middle, spot) for spot in spots],
        _draw_words(drawing, rose, middle, marks, length),
    )
    return drawing


def _mark(look: Look, tag: str) -> Mark:
    across, up = (a - b for a, b in zip(look.lens_m[:2], look.aim_m[:2], strict=True))
    return Mark(look, tag, look.placement.shot.frame_height_m, atan2(across, up))


def _rose(marks: Sequence[Mark], rules: Rules) -> Rose:
    factor = max(rules.size_factor, 1.2)
    frames = [max(mark.frame_m, LEAST_FRAME_M) for mark in marks] or [1.0]
    powers = [log(frame) / log(factor) for frame in frames]
    least, most = floor(min(powers)), max(ceil(max(powers)), floor(min(powers)) + 1)
    while most - least > MOST_RINGS:  # a factor near 1: rings further apart
        factor, least, most = factor**2, floor(least / 2), ceil(most / 2)
    return Rose(least, most, factor, rules.angle_deg if rules.angle_deg >= 10 else 30.0)


def _draw_grid(drawing: Drawing, rose: Rose, middle: Spot) -> None:
    window = drawing.window(0, 0, drawing.width_mm, drawing.height_mm)
    count = int(180 // rose.spoke_deg)
    for number in range(-count, count + 1):
        bearing = pi + radians(number * rose.spoke_deg)
        start, end = rose.spot(MIDDLE_MM, bearing), rose.spot(OUTER_MM, bearing)
        window.line(_moved(middle, start), _moved(middle, end), FAINT)
    for radius in rose.rings_mm.values():
        window.circle(middle, radius, GRID)
    window.circle(middle, 1.0, Style(stroke="none", fill=INK))


def _draw_words(
    drawing: Drawing,
    rose: Rose,
    middle: Spot,
    marks: Sequence[Mark],
    length: Callable[[float], str],
) -> list[Box]:
    """Write the directions and the rings' frame heights; return what they cover."""
    width, height = drawing.width_mm, drawing.height_mm
    side = OUTER_MM + 9.0
    directions = (
        ("house left", (middle[0] - side, middle[1])),
        ("house right", (middle[0] + side, middle[1])),
        ("upstage", (middle[0], LABEL_MM)),
        ("house", (middle[0], height - 0.9)),
    )
    texts = [(words, at, "bold") for words, at in directions]
    bearing = _emptiest(rose, marks)
    for frame_m, radius in rose.rings_mm.items():
        at = _moved(middle, rose.spot(radius, bearing))
        if at[1] > 2 * LABEL_MM:
            texts.append((length(frame_m), at, "regular"))
    covered: list[Box] = []
    for words, (x, y), weight in texts:
        bold: Weight = "bold" if weight == "bold" else "regular"
        half = width_mm(words, LABEL_MM, bold) / 2
        x = min(max(x, half), width - half)
        box = Box(x - half, y - LABEL_MM * ASCENT, x + half, y + LABEL_MM * DESCENT)
        if any(box.overlaps(other) for other in covered):
            continue
        ink = INK if bold == "bold" else "#444"
        drawing.text((x, y), words, LABEL_MM, bold, anchor="middle", ink=ink, halo=1.0)
        covered.append(box)
    return covered


def _emptiest(rose: Rose, marks: Sequence[Mark]) -> float:
    """Return the bearing between two spokes that is furthest from all marks."""
    count = max(int(360 // rose.spoke_deg), 1)
    bearings = [radians((number + 0.5) * rose.spoke_deg) for number in range(count)]
    below = [bearing for bearing in bearings if cos(bearing) < 0.6] or bearings

    def room(bearing: float) -> float:
        return min((1 - cos(bearing - mark.bearing) for mark in marks), default=0.0)

    return max(below, key=lambda bearing: round(room(bearing), 6))


def _draw_marks(
    drawing: Drawing, marks: Sequence[Mark], spots: Sequence[Spot], words: Sequence[Box]
) -> None:
    area = Box(0.5, LABEL_MM * 1.4, drawing.width_mm - 0.5, drawing.height_mm - LABEL_MM * 1.4)
    discs: list[Spot] = []
    for spot in spots:
        discs.append(_free(spot, discs, area))
    for mark, spot, disc in zip(marks, spots, discs, strict=True):
        if disc != spot:
            drawing.line(spot, disc, Style(width=0.3))
            drawing.circle(spot, 0.55, Style(stroke="none", fill=INK))
        if mark.is_steep:
            drawing.circle(disc, DISC_MM + 0.9, Style(width=0.25))
    named = zip(marks, discs, strict=True) if len(marks) <= MOST_NAMED else ()
    names = [_name(mark, disc) for mark, disc in named]
    solid = [*words, *(around(*disc, DISC_MM + 0.9) for disc in discs)]
    labels = place([name.wish for name in names], area, solid)
    for name in names:
        if (label := labels.get(name.wish.key)) is not None:
            name.draw(drawing, label, "")
    for mark, disc in zip(marks, discs, strict=True):
        camera_disc(drawing, disc, mark.tag, is_operated=mark.look.placement.operator is not None)


def _name(mark: Mark, disc: Spot) -> Name:
    look = mark.look
    rows = wrapped(f"{look.subject.label} {look.size}", NAME_WIDTH_MM, LABEL_MM, "regular", 2)
    forms = (Form(tuple((row, LABEL_MM, "regular") for row in rows)),)
    wish = Wish(mark.tag, disc, DISC_MM + 0.9, tuple(form.size_mm for form in forms))
    return Name(wish, forms, "", is_numbered=False)


def _free(spot: Spot, taken: Sequence[Spot], area: Box) -> Spot:
    """Return the nearest place for a disc that touches no other; its own where all is taken."""
    room = area.grown(-DISC_MM)
    for ring in range(9):
        for turn in range(max(12 * bool(ring), 1)):
            reach = ring * DISC_MM
            angle = pi * turn / 6
            x, y = spot[0] + reach * sin(angle), spot[1] - reach * cos(angle)
            x = min(max(x, room.left), room.right)
            y = min(max(y, room.top), room.bottom)
            if all((x - a) ** 2 + (y - b) ** 2 > (2 * DISC_MM + 0.6) ** 2 for a, b in taken):
                return x, y
    return spot


def _moved(middle: Spot, by: Spot) -> Spot:
    return middle[0] + by[0], middle[1] + by[1]
