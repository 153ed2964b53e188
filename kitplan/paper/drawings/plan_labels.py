"""The labels of a floor plan: what they say, in which forms, and how they are drawn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kitplan.paper.drawings.boxes import Box
from kitplan.paper.drawings.ground import Ground
from kitplan.paper.drawings.key import height_words
from kitplan.paper.drawings.labels import Label, Wish
from kitplan.paper.drawings.looks import Look, focal_words
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.drawings.plan_marks import (
    DISC_MM,
    FREE_MM,
    LAMP_MM,
    bounds_of,
    number_ring,
    person_mm,
)
from kitplan.paper.drawings.rows import is_inside
from kitplan.paper.drawings.sheet import GREY
from kitplan.paper.drawings.svg import INK, Anchor, Pen, Spot, Style
from kitplan.paper.drawings.text import (
    ASCENT,
    LEAST_MM,
    LINE,
    TEXT_MM,
    Weight,
    balanced,
    shortened,
    shown,
    width_mm,
    wrapped,
)
from kitplan.shoot.scenery import SHOULDERS_M, is_occupied, outline_of, place_of
from kitplan.shoot.venue import AudienceArea
from kitplan.stage.outline import centre_of

CAMERA_WIDTH_MM, NAME_WIDTH_MM = 40.0, 34.0
MOST_LINES = 3
HALO_MM = 0.7
PAD_MM = 0.35
NUMBER_SIZE_MM = (4.6, 3.6)
Row = tuple[str, float, Weight]


@dataclass(frozen=True)
class Form:
    """One way to write a label."""

    rows: tuple[Row, ...]

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height."""
        wide = max(width_mm(*row) for row in self.rows)
        return wide + 2 * PAD_MM, sum(row[1] * LINE for row in self.rows) + 2 * PAD_MM


@dataclass(frozen=True)
class Name:
    """A label to be placed: a wish, and what each of its forms says.

    Where the last form is a number (`is_numbered`), that and the missing go to the key.
    """

    wish: Wish
    forms: tuple[Form, ...]
    full: str
    """What the key says."""
    is_numbered: bool
    ink: str = INK

    def is_written(self, label: Label | None) -> bool:
        """Whether the name itself found room, not just its number."""
        return label is not None and label.form < len(self.forms)

    def draw(self, pen: Pen, label: Label, mark: str) -> None:
        """Draw the label with its leader."""
        if label.leader is not None:
            start, end = label.leader[:2], label.leader[2:]
            pen.line(start, end, Style(stroke=self.ink, width=0.18))
        box = label.box
        if label.form >= len(self.forms):
            number_ring(pen, box.middle, mark)
            return
        top = box.top + PAD_MM
        x, anchor = self._side(box)
        for words, size, weight in self.forms[label.form].rows:
            base = top + size * (ASCENT + (LINE - 1) / 2)
            pen.text((x, base), words, size, weight, anchor=anchor, ink=self.ink, halo=HALO_MM)
            top += size * LINE

    def _side(self, box: Box) -> tuple[float, Anchor]:
        """Lines begin or end on the side of their mark; names of areas are centred."""
        if self.wish.spots:
            return box.middle[0], "middle"
        if box.middle[0] < self.wish.at[0] - 1:
            return box.right - PAD_MM, "end"
        return box.left + PAD_MM, "start"


def names_of(content: Content, ground: Ground, discs: Sequence[Spot]) -> list[Name]:
    """Return all labels of a floor plan, cameras first."""
    return [
        *(_camera(content, look, disc) for look, disc in zip(content.looks, discs, strict=True)),
        *_subjects(content, ground),
        *_small(content, ground),
        *_areas(content, ground),
    ]


def _camera(content: Content, look: Look, disc: Spot) -> Name:
    names, placement = content.names, look.placement
    room = CAMERA_WIDTH_MM
    title = wrapped(
        f"{placement.letter}  {look.subject.label} {look.size}", room, TEXT_MM, "bold", 2
    )
    rig = f"{focal_words(look.focal_mm)}, {names.unit(placement.rig.support)}"
    who = names.operator(placement)
    height = height_words(look.position, content.printed)
    small = LEAST_MM * 1.02
    bold: tuple[Row, ...] = tuple((line, TEXT_MM, "bold") for line in title)
    full = Form(
        (
            *bold,
            (shortened(rig, room, small), small, "regular"),
            (_standing(who, height, room, small), small, "regular"),
        )
    )
    short = Form((*bold, (shortened(who, room, small), small, "regular")))
    forms = (full, short)
    wish = Wish(
        f"camera {placement.letter} {placement.position}",
        disc,
        DISC_MM + 0.3,
        tuple(form.size_mm for form in forms),
        weight=6.0,
    )
    return Name(wish, forms, "", is_numbered=False)


def _standing(who: str, height: str, room: float, size: float) -> str:
    """Return who is at a camera and how high it stands, without its floor or its height where there
    is no room for them: a figure that is cut would be read as another one. The key has all of it.
    """
    lens = height.partition(", ")[0]
    for words in (f"{who}, {height}", f"{who}, {lens}"):
        if width_mm(shown(words), size) <= room:
            return shown(words)
    return shortened(who, room, size)


def _subjects(content: Content, ground: Ground) -> Iterator[Name]:
    wide = person_mm(SHOULDERS_M, ground.mm_per_m)
    for subject in content.people:
        spot = ground.spot(place_of(content.shoot, subject))
        outline = outline_of(content.shoot, subject)
        spots: tuple[Spot, ...] = ()
        if subject.kind == "group" and outline is not None:
            spots = _group_spots(bounds_of(ground.spots(outline)))
        clearance = wide * 0.6
        yield _named(f"subject {subject.id}", subject.label, spot, clearance, 4.0, INK, spots=spots)


def _group_spots(box: Box) -> tuple[Spot, ...]:
    """Places for the name of a group: outside along its rim, then between its rows."""
    x = box.middle[0]
    out = LEAST_MM * 0.9
    across = [x + (box.width / 2) * share for share in (0, -0.5, 0.5, -0.8, 0.8)]
    rim = [(at, side) for side in (box.bottom + out, box.top - out) for at in across]
    inner = [
        (x + box.width * across / 10, box.top + box.height * down / 12)
        for down in (6, 5, 7, 4, 8, 3, 9, 2, 10, 1, 11)
        for across in (0, -2, 2, -4, 4)
    ]
    return (*rim, *inner)


def _small(content: Content, ground: Ground) -> Iterator[Name]:
    """Lamps and free positions."""
    for lamp in content.lamps:
        words = lamp.id if lamp.kind in lamp.id else f"{lamp.kind} {lamp.id}"
        spot = ground.spot(lamp.at_m)
        yield _named(f"lamp {lamp.id}", words, spot, LAMP_MM + 0.2, 2.0, INK)
    for position in content.free:
        permission = position.permission
        is_asked = permission is not None and permission.state == "asked"
        words = f"{position.label} (asked, not given)" if is_asked else position.label
        spot = ground.spot(position.at_m)
        yield _named(f"free {position.id}", words, spot, FREE_MM + 0.2, 1.5, GREY)


def _areas(content: Content, ground: Ground) -> Iterator[Name]:
    """Names of audience areas, zones and obstacles."""
    venue = content.shoot.venue
    for area in venue.audience:
        words = audience_words(area, is_occupied(area, content.each))
        yield _area(ground, f"area {area.id}", words, area.outline_m, 2.5, INK)
    for zone in venue.zones:
        words = f"{zone.id}, floor {content.printed.length(zone.height_m)} up"
        yield _area(ground, f"zone {zone.id}", words, zone.outline_m, 1.0, GREY)
    for obstacle in venue.obstacles:
        box = bounds_of(ground.spots(obstacle.outline_m))
        clearance = min(max(box.width, box.height) / 2, 4.5)
        yield _named(f"obstacle {obstacle.id}", obstacle.id, box.middle, clearance, 1.0, GREY)


def _area(
    ground: Ground,
    key: str,
    words: str,
    outline_m: Sequence[tuple[float, float]],
    weight: float,
    ink: str,
) -> Name:
    """The name of an area, within it if there is room."""
    wide = bounds_of(ground.spots(outline_m)).width
    middle = ground.spot(centre_of(tuple(outline_m)))
    spots = _inner_spots(ground, outline_m)
    return _named(key, words, middle, 0.0, weight, ink, spots=spots, room_mm=wide)


def audience_words(area: AudienceArea, is_full: bool) -> str:
    """Return what an audience area is in this pass."""
    return f"audience, {area.state} ({area.id})" if is_full else f"{area.state}, empty ({area.id})"


def _inner_spots(ground: Ground, outline_m: Sequence[tuple[float, float]]) -> tuple[Spot, ...]:
    """Places inside an outline, from its middle outwards."""
    low = [min(point[axis] for point in outline_m) for axis in (0, 1)]
    high = [max(point[axis] for point in outline_m) for axis in (0, 1)]
    found = [
        (low[0] + (high[0] - low[0]) * a / 16, low[1] + (high[1] - low[1]) * b / 16)
        for b in (1, 2, 3, 4, 8, 6, 10, 12, 14, 15)
        for a in (8, 6, 10, 4, 12, 3, 13)
    ]
    return tuple(ground.spot(place) for place in found if is_inside(outline_m, place))


def _named(
    key: str,
    words: str,
    spot: Spot,
    clearance_mm: float,
    weight: float,
    ink: str,
    *,
    spots: tuple[Spot, ...] = (),
    room_mm: float = NAME_WIDTH_MM,
) -> Name:
    """A name that falls back to a number in the key."""
    size = TEXT_MM if ink == INK else LEAST_MM
    lines = balanced(words, min(max(room_mm - 2, 14.0), NAME_WIDTH_MM), size)
    forms: tuple[Form, ...] = ()
    if len(lines) <= MOST_LINES:
        forms = (Form(tuple((line, size, "regular") for line in lines)),)
    sizes = (*(form.size_mm for form in forms), NUMBER_SIZE_MM)
    wish = Wish(key, spot, clearance_mm, sizes, weight, spots)
    return Name(wish, forms, words, is_numbered=True, ink=ink)
