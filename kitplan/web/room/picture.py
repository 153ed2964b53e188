"""A sighted shot as the page shows it: the drawn frame, figures in words, what can be chosen."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot
from typing import Any

import numpy as np

from kitplan.options.endurance import Supplies, endurance
from kitplan.options.shots import find_shots
from kitplan.options.spots import Spot
from kitplan.options.steadiness import support_row, tremors_deg
from kitplan.paper.drawings.boxes import Box
from kitplan.paper.drawings.frame import draw_picture
from kitplan.paper.drawings.looks import looks_of
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.drawings.svg import Drawing
from kitplan.paper.names import Names, settings
from kitplan.plan.records import MadeWith, Placement, Plan, Rig, Shot
from kitplan.shoot.brief import Brief
from kitplan.shoot.sizes import sizes_for
from kitplan.web.room.sighting import Sighted, in_words

WIDTH_MM = 160.0
NOTED = 0.005
"""Shares below half a percent are not worth a word."""
SHOOT = "room"


def answer(seen: Sighted) -> dict[str, Any]:
    """Return everything that the page shows of a shot."""
    shot = _shot(seen)
    return {
        "title": f"{seen.subject.label} {seen.size} from {seen.position.label}",
        "svg": "" if shot is None else _svg(seen, shot),
        "cone": [] if shot is None else _cone(seen, shot),
        "figures": [] if shot is None else list(_figures(seen, shot)),
        "notes": [] if shot is None else list(_notes(seen, shot)),
        "refusals": [
            {"rule": refusal.rule, "words": in_words(refusal)} for refusal in seen.refusals
        ],
        "chosen": {
            "size": seen.size,
            "camera": seen.camera.key,
            "stand": seen.stand.key,
            "manner": seen.manner,
        },
        "sizes": list(sizes_for(seen.subject)),
        "cameras": list(_cameras(seen)),
        "stands": [
            {
                "key": stand.key,
                "support": stand.support.id,
                "head": stand.head.id if stand.head else None,
                "label": stand.support.name + (f" with {stand.head.name}" if stand.head else ""),
                "refusal": None if refusal is None else in_words(refusal),
            }
            for stand, refusal in seen.stands
        ],
    }


def _cameras(seen: Sighted) -> Iterator[dict[str, Any]]:
    """Yield every camera, and whether some stand lets it take the shot."""
    for camera, works in seen.cameras:
        parts = [part for part in (camera.lens, camera.adapter) if part is not None]
        yield {
            "key": camera.key,
            "body": camera.body.id,
            "mode": camera.mode.name,
            "lens": camera.lens.id if camera.lens else None,
            "adapter": camera.adapter.id if camera.adapter else None,
            "body_label": f"{camera.body.name} ({camera.mode.name})",
            "lens_label": " through ".join(part.name for part in parts) or "its own lens",
            "works": works,
        }


# -- figures ---------------------------------------------------------------------------------------


def _shot(seen: Sighted) -> Shot | None:
    """Return the shot with its settings; None where there is nothing to see or no light known."""
    from kitplan.allocate.readback import Chosen
    from kitplan.produce.figures import shot_record

    brief, view = seen.brief, seen.view
    if view is None or brief.light_on(seen.subject, seen.each) is None:
        return None
    row, cameras = support_row(seen.stand, seen.position), (seen.camera,)
    tremor = tremors_deg(brief, seen.each, seen.position, row, seen.manner, cameras)
    shots = find_shots(
        brief,
        seen.each,
        (view,),
        cameras,
        np.zeros(1),
        0.0,
        seen.options.lookout.sights(seen.each),
        {(row, seen.manner): tremor},
    )
    lasts = endurance(Supplies(brief, seen.each), seen.position, seen.camera)
    spot = Spot(
        seen.each, seen.position, cameras, (seen.stand,), (), (view,), (0,), shots, (lasts,), ()
    )
    operator = None if seen.manner == "locked-off" else "operator"
    return shot_record(
        brief,
        Chosen(spot, 0, 0, seen.stand, operator, (), (), is_counted=True, cards=("", 0)),
    )


def _figures(seen: Sighted, shot: Shot) -> Iterator[tuple[str, str]]:
    aspect = seen.brief.shoot.delivery.aspect
    yield "Set to", settings(shot)
    yield "Frame", f"{shot.frame_height_m * aspect:.2f} × {shot.frame_height_m:.2f} m"
    yield "Distance", f"{shot.distance_m:.1f} m"
    far = "to infinity" if shot.far_m is None else f"to {shot.far_m:.2f} m"
    yield "Sharp", f"{shot.near_m:.2f} m {far}"
    yield "Angle of view", f"{shot.view_deg:.1f}° high"
    yield "Hidden", f"{shot.hidden:.0%}"
    yield "Shake", f"{shot.steady_share:.1%} of the frame's height"
    yield "Grade", f"{shot.grade} of 3"


def _notes(seen: Sighted, shot: Shot) -> Iterator[str]:
    """Yield what is in the picture beside the subject, in the words of `sights`."""
    if shot.hidden_arms > shot.hidden + NOTED:
        yield f"{shot.hidden_arms:.0%} hidden with raised arms"
    if shot.seats > NOTED:
        yield f"empty seats fill {shot.seats:.0%} of the frame"
    if shot.wings > NOTED:
        yield f"wings {shot.wings:.0%}"
    if shot.has_lamp:
        yield "against the light"
    if shot.unconsenting:
        subjects = seen.brief.shoot.subjects_by_id
        names = ", ".join(subjects[one].label for one in shot.unconsenting)
        yield f"{names} without consent"


def _cone(seen: Sighted, shot: Shot) -> list[tuple[float, float]]:
    """Return the lens and the ends of the frame at the subject, in plan."""
    view = seen.view
    assert view is not None  # there is no shot without a view
    x, y, _ = view.lens_at_m
    way = (view.aim_m[0] - x, view.aim_m[1] - y)
    flat = hypot(*way)
    half = shot.frame_height_m * seen.brief.shoot.delivery.aspect / 2
    if flat < half / 10:  # from above it has no ends in plan
        return []
    across = (way[1] / flat * half, -way[0] / flat * half)
    return [
        (x, y),
        (view.aim_m[0] - across[0], view.aim_m[1] - across[1]),
        (view.aim_m[0] + across[0], view.aim_m[1] + across[1]),
    ]


# -- the frame -------------------------------------------------------------------------------------


def _svg(seen: Sighted, shot: Shot) -> str:
    names = Names(_plan(seen, shot))
    placement = names.plan.placements[0]
    content = Content(names, placement.pass_id)
    aspect = seen.brief.shoot.delivery.aspect
    height = WIDTH_MM / aspect
    drawing = Drawing(WIDTH_MM, height, f"{seen.subject.label} {seen.size}")
    look = looks_of(names, placement)[0]
    draw_picture(drawing, content, look, Box(0.0, 0.0, WIDTH_MM, height))
    return drawing.svg()


def _plan(seen: Sighted, shot: Shot) -> Plan:
    """Return a plan of nothing but this placement: what the drawings are made from."""
    brief, camera, stand = seen.brief, seen.camera, seen.stand
    placement = Placement(
        pass_id=f"{SHOOT}/{seen.each.id}",
        position=seen.position.id,
        letter="A",
        rig=Rig(
            body=_unit(brief, camera.body.id),
            mode=camera.mode.name,
            lens=_unit(brief, camera.lens.id) if camera.lens else None,
            adapter=_unit(brief, camera.adapter.id) if camera.adapter else None,
            head=_unit(brief, stand.head.id) if stand.head else None,
            support=_unit(brief, stand.support.id),
        ),
        operator=None,
        roles=(),
        shot=shot,
        menu=(),
        is_counted=True,
        batteries=(),
        cards=(),
        accessories=(),
    )
    return Plan(
        title=brief.shoot.title,
        status="solved",
        shoots={SHOOT: brief.shoot},
        kit=brief.kit,
        made_with=MadeWith(kitplan="", ortools="", tables="", seconds=0, seed=0, workers=0),
        shutter_s=shot.shutter_s,
        shutter_words="",
        placements=(placement,),
        demands=(),
        goals=(),
        resets=(),
        worth={},
        left_out=(),
    )


def _unit(brief: Brief, item_id: str) -> str:
    return brief.kit.units_by_item[item_id][0].id
