"""The bundled shoots with as many cameras as their places hold: everything stays readable."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from functools import cache
from itertools import combinations, cycle
from math import atan, degrees, dist

import pytest

from kitplan.paper.drawings.files import drawn
from kitplan.paper.drawings.frames import frame_sheet, shots_of
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.drawings.sheet import inner_box
from kitplan.paper.names import Names
from kitplan.plan.records import Placement, Plan, Rig
from kitplan.shoot.scenery import outline_of, place_of
from kitplan.shoot.sizes import frame_range, sizes_for
from kitplan.stage.outline import width_seen_m
from tests.examples import usual
from tests.paper.drawings.made import placement, plan, shot
from tests.paper.drawings.test_floor_plan import text_boxes
from tests.plans import brief_of

MOST = 14
DEMOS = ("school-dance", "depot-brass", "harbour-festival")


@cache
def full_plan(name: str) -> Plan:
    """Return a plan by hand: in every pass a camera at each open position, subjects in turn."""
    brief = brief_of(name)
    kinds = {unit.id: brief.kit.items_by_id[unit.item].kind for unit in brief.kit.units}
    body = next(unit for unit, kind in kinds.items() if kind == "body")
    supports = cycle(unit for unit, kind in kinds.items() if kind == "support")
    subjects = cycle(brief.shoot.subjects)
    cameras: list[Placement] = []
    for each in brief.shoot.passes:
        places = [p for p in brief.shoot.venue.positions if each.id in (p.open_in or (each.id,))]
        for number, position in enumerate(places[:MOST]):
            subject = next(subjects)
            size = sizes_for(subject)[-1]
            far_m = max(dist(place_of(brief.shoot, subject), position.at_m), 1.0)
            outline, at_m = outline_of(brief.shoot, subject), place_of(brief.shoot, subject)
            wide_m = width_seen_m(outline, position.at_m, at_m) if outline else subject.width_m
            frame_m = frame_range(subject, size, wide_m, brief.shoot.delivery.aspect).frame_m
            view_deg = degrees(2 * atan(frame_m / 2 / far_m))
            rig = {"body": body, "mode": "HD", "lens": None, "adapter": None, "head": None}
            cameras.append(
                placement(
                    chr(65 + number),
                    position.id,
                    pass_id=f"{name}/{each.id}",
                    rig=Rig(**rig, support=next(supports)),
                    operator=brief.shoot.crew[number % len(brief.shoot.crew)].id
                    if number % 3
                    else None,
                    shot=shot(subject.id, size, distance_m=far_m, view_deg=view_deg),
                )
            )
    shoots = {name: brief.shoot}
    return plan(cameras, title=brief.shoot.title, shoots=shoots, kit=brief.kit)


@pytest.mark.parametrize("name", DEMOS)
def test_no_text_touches_other_text_or_leaves_the_sheet(name: str) -> None:
    """On every floor plan and every sheet of frames of every pass."""
    full = full_plan(name)
    sheets = list(drawn(Names(full), full.pass_ids(), ["plans"]))
    assert len(sheets) >= len(full.pass_ids())
    for sheet in sheets:
        root = ET.fromstring(sheet.drawing.svg())
        room = inner_box(sheet.drawing.width_mm, sheet.drawing.height_mm)
        boxes = text_boxes(root)
        assert all(room.grown(0.01).holds(box) for _, box in boxes)
        for (one, a), (other, b) in combinations(boxes, 2):
            assert not a.overlaps(b), (sheet.name, one, other)


@pytest.mark.parametrize("name", usual(1, DEMOS[:2]))
def test_every_frame_is_drawn(name: str) -> None:
    """One for each shot, and none is empty."""
    full = full_plan(name)
    pass_id = full.pass_ids()[0]
    content = Content(Names(full), pass_id)
    shots = shots_of(content)
    assert len(shots) == len(full.placements_in(pass_id))
    for each in shots:
        assert frame_sheet(content, each.look).svg().count("<path") > 8, each.name
