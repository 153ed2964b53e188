"""The floor plan of a pass on one page: composed so that everything is in it and nothing overlaps.

Three ways to lay the sheet are tried, upright and lying with the key at its foot and lying with the
key at its side; the largest scale wins. What finds no room as a label is numbered and listed in the
key; a key that would take too much of the sheet goes onto a sheet of its own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from kitplan.paper.drawings.boxes import Box, around
from kitplan.paper.drawings.ground import Ground, lay
from kitplan.paper.drawings.key import Key, camera_note, number_note
from kitplan.paper.drawings.labels import Label, place
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.drawings.plan_labels import Name, names_of
from kitplan.paper.drawings.plan_legend import LEGEND_MM, draw_frame, draw_legend
from kitplan.paper.drawings.plan_marks import DISC_MM
from kitplan.paper.drawings.plan_venue import (
    draw_ground,
    draw_people,
    draw_small,
    people_boxes,
    small_boxes,
    venue_lines,
)
from kitplan.paper.drawings.plan_views import (
    APEX_MM,
    arm_boxes,
    disc_spots,
    draw_camera,
    draw_sweep,
    draw_wedge,
    wedge_lines,
)
from kitplan.paper.drawings.sheet import (
    ON_A4,
    Head,
    Print,
    Sheet,
    head_of,
    pages_of,
)
from kitplan.paper.drawings.svg import Drawing, Spot
from kitplan.paper.names import Names

SIDE_KEY_MM = 86.0
RIM_MM = 6.0
STRIP_MM = 5.0
"""Beside the plan, for 'house left', 'house right', 'upstage', 'house'."""
MOST_KEY_SHARE = 0.42
GAP_MM = 2.2


@dataclass(frozen=True)
class Layout:
    """How a sheet is divided."""

    width_mm: float
    height_mm: float
    head: Head
    plan: Box
    """With the strips for directions."""
    key: Box
    inner: Box
    """All that is drawn on."""

    @property
    def area(self) -> Box:
        """Where the plan itself goes."""
        return self.plan.grown(-STRIP_MM)


def floor_plan(names: Names, pass_id: str, name: str, printed: Print = ON_A4) -> list[Sheet]:
    """Return the floor plan of a pass, and further sheets for its key where that is long."""
    content = Content(names, pass_id, printed)
    cameras = tuple(camera_note(names, look, content.printed) for look in content.looks)
    layout, key, drawn = _composed(content, Key(cameras, ()))
    title = f"{names.plan.title}, {names.pass_label(pass_id)}: floor plan"
    drawing = Drawing(layout.width_mm, layout.height_mm, title)
    layout.head.draw(drawing, layout.inner)
    _draw(drawing, layout, content, drawn)
    fits = key.height_mm(layout.key.width) <= layout.key.height + 0.01
    if fits:
        key.draw(drawing, layout.key)
        return [Sheet(name, drawing)]
    return [Sheet(name, drawing), *_key_sheets(content, name, key)]


# -- composing -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Drawn:
    """A plan that is laid out: where everything goes."""

    ground: Ground
    discs: list[Spot]
    names: list[Name]
    labels: dict[str, Label]
    marks: dict[str, str]
    """Numbers by key of label."""


def _composed(content: Content, key: Key) -> tuple[Layout, Key, _Drawn]:
    """Return the layout with the larger scale; the key grows by what has to be numbered."""
    points = content.points_m()
    ways = (_upright, _lying, _lying_beside)
    layouts = [way(content, key) for way in ways]
    fit = [
        (lay(points, layout.area, RIM_MM).scale, layout.area.width * layout.area.height)
        for layout in layouts
    ]
    best = fit.index(min(fit))
    make, layout = ways[best], layouts[best]
    for _ in range(4):
        drawn = _laid(content, layout)
        numbered = [
            n
            for n in drawn.names
            if n.is_numbered and not n.is_written(drawn.labels.get(n.wish.key))
        ]
        marks = {name.wish.key: str(count) for count, name in enumerate(numbered, 1)}
        drawn = replace(drawn, marks=marks)
        key = Key(key.cameras, tuple(number_note(i, n.full) for i, n in enumerate(numbered, 1)))
        next_layout = make(content, key)
        if next_layout.key.height <= layout.key.height + 0.01:
            return layout, key, drawn
        layout = next_layout
    return layout, key, drawn


def _upright(content: Content, key: Key) -> Layout:
    """Upright, the key at the foot."""
    return _divided(content, key, content.printed.sides_mm, is_beside=False)


def _lying(content: Content, key: Key) -> Layout:
    """Lying, the key at the foot."""
    return _divided(content, key, content.printed.sides_mm[::-1], is_beside=False)


def _lying_beside(content: Content, key: Key) -> Layout:
    """Lying, the key at the right-hand side."""
    return _divided(content, key, content.printed.sides_mm[::-1], is_beside=True)


def _divided(
    content: Content, key: Key, size_mm: tuple[float, float], *, is_beside: bool
) -> Layout:
    width, height = size_mm
    inner = content.printed.inner_box(width, height)
    head = head_of(content.names, content.pass_id, "Floor plan", content.printed.setting)
    top = inner.top + head.height_mm(inner.width)
    bottom = inner.bottom - LEGEND_MM
    if is_beside and (key.cameras or key.numbers):
        side = Box(inner.right - SIDE_KEY_MM, top + 2, inner.right, bottom)
        if key.height_mm(side.width) <= side.height:
            plan = Box(inner.left, top, side.left - GAP_MM, bottom)
            return Layout(width, height, head, plan, side, inner)
    needed = key.height_mm(inner.width)
    if needed > MOST_KEY_SHARE * (bottom - top):
        needed = 0.0
    foot = Box(inner.left, bottom - needed, inner.right, bottom)
    plan = Box(inner.left, top, inner.right, foot.top - (GAP_MM if needed else 0.0))
    return Layout(width, height, head, plan, foot, inner)


def _laid(content: Content, layout: Layout) -> _Drawn:
    """Return where everything goes on a layout."""
    ground = lay(content.points_m(), layout.area, RIM_MM)
    marks = [*people_boxes(ground, content), *small_boxes(ground, content)]
    discs = disc_spots(ground, content.looks, layout.area, marks)
    names = names_of(content, ground, discs)
    solid = [
        *marks,
        *(around(*disc, DISC_MM + 0.3) for disc in discs),
        *(around(*ground.spot(look.lens_m), APEX_MM) for look in content.looks),
        *(box for sweep in content.sweeps for box in arm_boxes(ground, sweep)),
    ]
    lines = [line for look in content.looks for line in wedge_lines(ground, look)]
    lines += venue_lines(ground, content)
    labels = place([name.wish for name in names], layout.area, solid, lines)
    return _Drawn(ground, discs, names, labels, {})


# -- drawing ---------------------------------------------------------------------------------------


def _draw(drawing: Drawing, layout: Layout, content: Content, drawn: _Drawn) -> None:
    area, ground = layout.area, drawn.ground
    pen = drawing.window(area.left, area.top, area.width, area.height)
    texts = [label.box for label in drawn.labels.values()]
    texts += [around(*disc, DISC_MM + 0.4) for disc in drawn.discs]
    draw_ground(pen, ground, content, texts)
    for look in content.looks:
        draw_wedge(pen, ground, look, min(0.045, 0.2 / len(content.looks)))
    for sweep in content.sweeps:
        draw_sweep(pen, ground, sweep)
    draw_people(pen, ground, content)
    draw_small(pen, ground, content)
    for look, disc in zip(content.looks, drawn.discs, strict=True):
        draw_camera(pen, ground, look, disc)
    for name in drawn.names:
        label = drawn.labels.get(name.wish.key)
        if label is not None:
            name.draw(pen, label, drawn.marks.get(name.wish.key, ""))
    draw_frame(drawing, area, ground, content.printed)
    draw_legend(drawing, layout.inner, content)


def _key_sheets(content: Content, name: str, key: Key) -> list[Sheet]:
    """Return the sheets of a key that is too long for the plan's own sheet."""
    names, pass_id, printed = content.names, content.pass_id, content.printed
    notes = [*key.cameras, *key.numbers]
    head = head_of(names, pass_id, "Key of the floor plan", printed.setting)
    inner = printed.inner_box(*printed.sides_mm)
    top = inner.top + head.height_mm(inner.width)
    wide = (inner.width - 5.0) / 2
    pages = pages_of([note.height_mm(wide) for note in notes], inner.bottom - top, 2)
    sheets = []
    for number, page in enumerate(pages, 2):
        title = f"{names.plan.title}, {names.pass_label(pass_id)}: key of the floor plan"
        drawing = Drawing(*printed.sides_mm, title)
        head.draw(drawing, inner)
        column, down = 0, 0.0
        for index in page:
            height = notes[index].height_mm(wide)
            if down > 0 and top + down + height > inner.bottom:
                column, down = column + 1, 0.0
            notes[index].draw(drawing, inner.left + column * (wide + 5.0), top + down, wide)
            down += height
        sheets.append(Sheet(f"{name}-{number}", drawing))
    return sheets
