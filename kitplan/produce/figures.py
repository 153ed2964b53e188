"""The figures of a placement: focal length, stop, ISO, ND, focus, as the crew sets them."""

from __future__ import annotations

from collections.abc import Sequence
from math import isinf

from kitplan.allocate.readback import Chosen
from kitplan.allocate.units import Given
from kitplan.optics.focus import circle_of_confusion_mm, focus_for_span_m, focus_limits_m
from kitplan.optics.light import iso_needed, nd_stops, t_stop
from kitplan.optics.steadiness import movement_share
from kitplan.options.presence import kind_of
from kitplan.options.shots import band_names
from kitplan.options.spots import Options
from kitplan.options.steadiness import support_row
from kitplan.plan.framing import Framing
from kitplan.plan.records import InPicture, Manner, Placement, Rig, Shot
from kitplan.shoot.brief import Brief

Others = tuple[InPicture, ...]


def placement_record(
    brief: Brief, shoot_id: str, chosen: Chosen, given: Given, letter: str, others: Others
) -> Placement:
    """Return the record of a placement, units and figures included."""
    camera, stand = chosen.camera, chosen.stand
    return Placement(
        pass_id=f"{shoot_id}/{chosen.spot.each.id}",
        position=chosen.spot.position.id,
        letter=letter,
        rig=Rig(
            body=given.rig[camera.body.id],
            mode=camera.mode.name,
            lens=given.rig[camera.lens.id] if camera.lens else None,
            adapter=given.rig[camera.adapter.id] if camera.adapter else None,
            head=given.rig[stand.head.id] if stand.head else None,
            support=given.rig[stand.support.id],
        ),
        operator=chosen.operator,
        roles=chosen.roles,
        shot=shot_record(brief, chosen),
        menu=tuple(Framing(subject=subject, size=size) for subject, size in chosen.menu),
        in_picture=others,
        is_counted=chosen.is_counted,
        batteries=tuple(given.batteries),
        cards=tuple(given.cards),
        accessories=tuple(given.accessories),
    )


def others_in_pictures(
    options: Options, chosen: Sequence[Chosen], letters: Sequence[str]
) -> tuple[Others, ...]:
    """Return for each placement which others of its pass stand in its main shot."""
    return tuple(
        tuple(
            InPicture(letter=letter, height_share=share)
            for other, letter in zip(chosen, letters, strict=True)
            if other.spot.each.id == each.spot.each.id
            and other.spot.position.id != each.spot.position.id
            and (share := _share(options, each, other)) > 0
        )
        for each in chosen
    )


def _share(options: Options, each: Chosen, other: Chosen) -> float:
    """The height that a placement takes in another's main shot; 0 where it is not in it."""
    kind = kind_of(other.stand.support, other.spot.position, is_operated=other.operator is not None)
    number = each.spot.view_numbers[each.row]
    for seen in options.crowding.seen(each.spot.each):
        if (seen.position, seen.kind) == (other.spot.position.id, kind):
            return seen.share_of(number)
    return 0.0


def shot_record(brief: Brief, chosen: Chosen) -> Shot:
    """Return the main shot with its settings.

    The bright figure has no headroom for coloured light: the follow spot must not clip.
    """
    shots, row, column = chosen.spot.shots, chosen.row, chosen.column
    camera, view = chosen.camera, chosen.view
    manner: Manner = "locked-off" if chosen.operator is None else "operated"
    stand_row = support_row(chosen.stand, chosen.spot.position)
    tremor, sights = shots.tremors[stand_row, manner][column], shots.sights
    focal, stop, iso, frame_m, view_deg = shots.settings(row, column)
    light = brief.light_on(view.subject, chosen.spot.each)
    assert light is not None  # a shot without a light row is refused
    shutter_s = brief.shutter.shutter_s
    bright = iso_needed(t_stop(stop, camera.t_loss_stops), shutter_s, light.bright_lux)
    focus_m = focus_for_span_m(view.near_m, view.far_m)
    blur = circle_of_confusion_mm(camera.width_mm, camera.height_mm)
    near_m, far_m = focus_limits_m(focal, stop, blur, focus_m)
    factor = camera.adapter.focal_factor if camera.adapter else 1.0
    return Shot(
        subject=view.subject.id,
        size=view.size,
        distance_m=view.distance_m,
        frame_height_m=frame_m,
        focal_mm=focal / factor,
        view_deg=view_deg,
        stop=stop,
        iso=iso,
        iso_bright=bright,
        nd_stops=nd_stops(bright, camera.body.base_iso),
        shutter_s=shutter_s,
        focus_m=focus_m,
        near_m=near_m,
        far_m=None if isinf(far_m) else far_m,
        grade=int(shots.grade(manner, stand_row)[row, column]),
        marks=int(shots.quality(manner, stand_row)[row, column]),
        band=band_names()[int(shots.band[row, column])],
        steady_share=float(movement_share(tremor, view_deg)),
        hidden=float(sights.hidden[row]),
        hidden_arms=float(sights.hidden_arms[row]),
        seats=float(sights.seats[row]),
        wings=float(sights.wings[row]),
        has_lamp=bool(sights.has_lamp[row]),
        unconsenting=sights.unconsenting[row],
    )
