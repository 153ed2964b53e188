"""Floor plans: each pass to scale on a page of its own, and the same in words."""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.paper.drawings.floor_plan import floor_plan
from kitplan.paper.drawings.sheet import Print
from kitplan.paper.names import settings
from kitplan.paper.pack.blocks import Picture, Sheet
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.plan.records import Placement

ON_THE_LINE_M = 0.05
"""Nearer than this to a line counts as on it."""


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield the floor plan of each pass, with further pages where its key is long."""
    printed = Print(source.setting, has_foot=True)
    for pass_id in source.plan.pass_ids():
        label = source.names.pass_label(pass_id)
        lines = tuple(_words(source, each) for each in source.plan.placements_in(pass_id))
        for number, page in enumerate(floor_plan(source.names, pass_id, "plan", printed)):
            drawing = page.drawing
            wide, high = drawing.width_mm, drawing.height_mm
            words = f"Plan to scale: {label}" if number == 0 else f"Key of the plan: {label}"
            picture = Picture(drawing.svg(), wide, high, words, lines=() if number else lines)
            more = f", key {number}" if number else ""
            title = f"Floor plan: {label}{more}"
            yield Sheet("floor-plan", title, (picture,), is_lying=wide > high, is_bare=True)


def _words(source: Source, placement: Placement) -> str:
    names, setting = source.names, source.setting
    position = names.position(placement)
    high = setting.length(position.floor_height_m + position.lens_height_m)
    framed = names.framing(placement.pass_id, placement.shot)
    return (
        f"{placement.letter}, {position.label}: {spot_words(setting, position.at_m)}; lens {high} "
        f"over the house floor; {names.operator(placement)}; {framed}, {settings(placement.shot)}."
    )


def spot_words(setting: Setting, at_m: tuple[float, float]) -> str:
    """Return a place in the venue: '2.0 m house left of centre, 5.5 m from the stage edge into the
    house'."""
    across_m, upstage_m = at_m
    if abs(across_m) < ON_THE_LINE_M:
        across = "on the centre line"
    else:
        side = "right" if across_m > 0 else "left"
        across = f"{setting.length(abs(across_m))} house {side} of centre"
    if abs(upstage_m) < ON_THE_LINE_M:
        return f"{across}, at the stage edge"
    way = "upstage" if upstage_m > 0 else "into the house"
    return f"{across}, {setting.length(abs(upstage_m))} {way} from the stage edge"
