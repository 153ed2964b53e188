"""One shot worked out by itself, from the formulas of optics and the words of docs/model.md.

No arrays. What the view sees (hidden share, empty seats, lamps ...) is taken as found: it does not
depend on the camera, and `test_sights` works it out by hand.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan, log2
from typing import Literal

from kitplan.optics.focus import circle_of_confusion_mm, focus_limits_m, holds_span
from kitplan.optics.lens import (
    focal_for_frame_mm,
    frame_height_m,
    stop_at_focal,
    view_of_frame_deg,
)
from kitplan.optics.light import iso_needed, t_stop
from kitplan.options.cameras import Camera
from kitplan.options.spots import Spot
from kitplan.options.stands import Stand
from kitplan.options.views import View
from kitplan.shoot.brief import Brief
from kitplan.tables import table

Manner = Literal["operated", "locked-off"]
MANNERS: tuple[Manner, Manner] = ("operated", "locked-off")


@dataclass(frozen=True)
class Scalar:
    """One shot worked out by itself."""

    frame_m: float
    focal_mm: float
    stop: float
    iso: float
    view_deg: float
    refused: dict[Manner, str]
    """Rule that refuses it on every stand, or nothing."""
    steady: dict[tuple[str, Manner], int]
    """Marks of steadiness by kind of stand and manner."""
    grade: dict[Manner, int]
    """Weakest of light, focus and sight."""
    marks: dict[Manner, int]
    """All marks but those of steadiness."""


@dataclass(frozen=True)
class Seen:
    """What one view sees."""

    hidden: float
    hidden_arms: float
    seats: float
    seats_near_m: float
    seats_far_m: float
    wings: float
    has_lamp: bool
    has_laser: bool
    lacks_consent: bool


def seen_by(spot: Spot, row: int) -> Seen:
    """Return what a view of a spot sees."""
    sights = spot.shots.sights
    return Seen(
        float(sights.hidden[row]),
        float(sights.hidden_arms[row]),
        float(sights.seats[row]),
        float(sights.seats_near_m[row]),
        float(sights.seats_far_m[row]),
        float(sights.wings[row]),
        bool(sights.has_lamp[row]),
        bool(sights.has_laser[row]),
        bool(sights.unconsenting[row]),
    )


def by_hand(brief: Brief, spot: Spot, view: View, camera: Camera, seen: Seen) -> Scalar:
    """Work out one shot from kitplan.optics, without arrays."""
    rules, light = brief.shoot.rules, brief.light_on(view.subject, spot.each)
    assert light is not None
    distance = view.distance_m
    tightest = frame_height_m(camera.focal_max_mm, distance, camera.height_mm)
    widest = frame_height_m(camera.focal_min_mm, distance, camera.height_mm)
    frame = min(max(view.frame.frame_m, tightest), widest)
    focal = focal_for_frame_mm(frame, distance, camera.height_mm)
    wide_open = stop_at_focal(
        focal, camera.focal_min_mm, camera.focal_max_mm, camera.stop_wide, camera.stop_tele
    )
    headroom = light.headroom_stops
    headroom = rules.light_headroom_stops if headroom is None else headroom
    t_open = t_stop(wide_open, camera.t_loss_stops)
    iso_open = iso_needed(t_open, brief.shutter.shutter_s, light.dim_lux, headroom)
    spare = log2(camera.body.max_iso / iso_open)
    stop = wide_open
    if not camera.has_fixed_stop and spare > rules.good_light_stops:
        closed = wide_open * 2 ** ((spare - rules.good_light_stops) / 2)
        stop = max(wide_open, min(closed, rules.most_stop, camera.optic.least_stop))
    blur = circle_of_confusion_mm(camera.width_mm, camera.height_mm)
    holds = holds_span(focal, stop, blur, view.near_m, view.far_m)
    low, high = focus_limits_m(focal, stop, blur, distance)
    view_deg = view_of_frame_deg(frame, distance)
    steady = {
        (row_of(stand, spot), manner): steady_mark(brief, spot, stand, camera, manner, view_deg)
        for stand in spot.stands
        for manner in MANNERS
        if (stand.can_be_operated(spot.position) if manner == "operated" else _rests(stand))
    }
    refused: list[tuple[str, bool]] = [
        ("no-audience", view.subject.kind == "audience" and not spot.each.has_audience),
        ("laser", seen.has_laser),
        ("consent", seen.lacks_consent and view.frame.frame_m < rules.consent_wide_m),
        ("hidden", seen.hidden > rules.hidden_most + 1e-9),
        ("too-long", widest < view.frame.least_m - 1e-9),
        ("too-short", tightest > view.frame.most_m + 1e-9),
        ("closest-focus", distance < camera.optic.closest_focus_m),
        ("light", spare < -1e-9),
        ("empty-seats", _seats_refuse(brief, spot, view, camera, seen, focal, stop)),
    ]
    alone = [
        ("roam", frame * brief.shoot.delivery.aspect < view.needed_width_m - 1e-9),
        ("focus", not holds),
        ("automatic", not camera.body.has_manual_control),
    ]
    untouched = alone if not spot.position.is_out_of_reach else refused
    untouched.append(("endurance", _lasts_too_short(brief, spot, camera)))
    fails = {"operated": refused, "locked-off": [*refused, *alone]}
    lit = _mark(-spare, -rules.good_light_stops, -rules.fair_light_stops, 0)
    off = max(frame / view.frame.frame_m, view.frame.frame_m / frame)
    sight = _mark(seen.hidden, rules.hidden_full, rules.hidden_fair, rules.hidden_most)
    arms = 1 if seen.hidden_arms > rules.hidden_most + 1e-9 and sight > 1 else 0
    behind = 3 - seen.has_lamp
    behind -= (seen.wings > rules.wings_share + 1e-9) + (
        seen.seats > rules.seats_share_plain + 1e-9
    )
    focus: dict[Manner, int] = {
        "operated": 3 if holds else 2 if high - low >= 0.3 else 1,
        "locked-off": 3 if holds else 0,
    }
    others = max(_mark(off, 1.05, 1.15, off), 1) + sight - arms + behind
    return Scalar(
        frame_m=frame,
        focal_mm=focal,
        stop=stop,
        iso=iso_open * (stop / wide_open) ** 2,
        view_deg=view_deg,
        refused={manner: _rule(fails[manner], steady, manner) for manner in MANNERS},
        steady=steady,
        grade={manner: min(lit, found, sight) for manner, found in focus.items()},
        marks={manner: lit + found + others for manner, found in focus.items()},
    )


def _rule(
    fails: list[tuple[str, bool]], steady: dict[tuple[str, Manner], int], manner: Manner
) -> str:
    """The first rule that fails; steadiness last, where no stand holds it."""
    marks = [mark for (_, way), mark in steady.items() if way == manner]
    shaken = ("steadiness", bool(marks) and not any(marks))
    return next((rule for rule, is_failed in (*fails, shaken) if is_failed), "")


def _mark(value: float, full: float, fair: float, poor: float) -> int:
    """3 up to `full`, 2 up to `fair`, 1 up to `poor`, else 0."""
    return sum(value <= limit + 1e-9 for limit in (full, fair, poor))


def _lasts_too_short(brief: Brief, spot: Spot, camera: Camera) -> bool:
    lasts = spot.endurance[spot.cameras.index(camera)]
    return spot.is_unreachable and lasts.untouched_min < brief.roll_min(spot.each) - 1e-9


def _rests(stand: Stand) -> bool:
    return stand.support.can_stand_alone and not stand.support.is_arm


# -- empty seats -----------------------------------------------------------------------------------


def _seats_refuse(
    brief: Brief, spot: Spot, view: View, camera: Camera, seen: Seen, focal: float, stop: float
) -> bool:
    """Above 3 % where they are lit or sharp, above 18 % where they are dark and soft."""
    rules, light = brief.shoot.rules, brief.light_on(view.subject, spot.each)
    assert light is not None
    house = spot.each.house_lux
    if house is None:
        house = light.dim_lux / 32 if spot.each.is_in_show_light else light.dim_lux
    is_dark = log2(light.dim_lux / max(house, 1e-9)) >= rules.seats_dark_stops - 1e-9
    blur = 0.0
    if not isnan(seen.seats_near_m):
        depth_m = min(max(view.distance_m, seen.seats_near_m), seen.seats_far_m)
        ahead_mm = view.distance_m * 1000
        disc_mm = focal**2 / (stop * (ahead_mm - focal)) * abs(depth_m - view.distance_m) / depth_m
        blur = disc_mm / camera.height_mm
    is_soft = blur >= rules.seats_soft_share - 1e-9
    most = rules.seats_share_soft if is_dark and is_soft else rules.seats_share_plain
    return seen.seats > most + 1e-9


# -- steadiness ------------------------------------------------------------------------------------


def row_of(stand: Stand, spot: Spot) -> str:
    """The kind of stand, in the order of docs/model.md."""
    support = stand.support
    asked = (
        ("walk", "walk" in support.moves),
        ("arm", support.is_arm),
        ("track", "track" in support.moves),
        ("hand", not support.can_stand_alone),
        ("rail", spot.position.stands_on == "rail"),
        ("bar", spot.position.stands_on == "bar"),
        ("stand", True),
    )
    return next(row for row, is_so in asked if is_so)


def steady_mark(
    brief: Brief, spot: Spot, stand: Stand, camera: Camera, manner: Manner, view_deg: float
) -> int:
    """3 up to a third of the limit, 2 up to two thirds, 1 up to the limit, 0 above it."""
    sizes, rules, row = table("steadiness"), brief.shoot.rules, row_of(stand, spot)
    lens_helps = camera.adapter is None or "stabiliser" in camera.adapter.passes_on
    stops = camera.body.stabiliser_stops
    if lens_helps:
        stops = max(stops, camera.optic.stabiliser_stops)
    against_hand = min(stops, rules.stabiliser_hand_stops) if row in ("hand", "walk") else 0.0
    against_floor = min(stops, rules.stabiliser_floor_stops)
    support_deg = sizes["support_deg"][row]["operated" if manner == "operated" else "locked"]
    floor_deg = sizes["floor_deg"][spot.position.floor][_floor_column(brief, spot)]
    parts_deg = [support_deg / 2**against_hand, floor_deg / 2**against_floor]
    if spot.position.is_outdoors:
        parts_deg.append(sizes["wind_deg"])
    share = sum(part**2 for part in parts_deg) ** 0.5 / view_deg
    limit = rules.steady_operated if manner == "operated" else rules.steady_locked
    return _mark(share, limit / 3, limit * 2 / 3, limit)


def _floor_column(brief: Brief, spot: Spot) -> str:
    each = spot.each
    if spot.position.is_on_stage:
        return "moving"
    if not each.has_audience:
        return "empty"
    standing = [
        area
        for area in brief.shoot.venue.audience
        if area.state == "standing" and each.id not in area.empty_in
    ]
    return "moving" if standing else "seated"
