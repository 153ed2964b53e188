"""Shots: all at once in arrays, and the same one by one from the formulas of optics."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import log2
from typing import Any, Literal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitplan.optics.focus import (
    circle_of_confusion_mm,
    focus_limits_m,
    holds_span,
)
from kitplan.optics.lens import (
    focal_for_frame_mm,
    frame_height_m,
    stop_at_focal,
    view_of_frame_deg,
)
from kitplan.optics.light import iso_needed, t_stop
from kitplan.options.cameras import Camera
from kitplan.options.refusals import SENTENCES, Refusal
from kitplan.options.shots import RULES, Shots, band_names, band_of
from kitplan.options.spots import Options, Spot, find_options
from kitplan.options.views import View
from kitplan.shoot.reading import read_brief
from kitplan.shoot.venue import Subject
from kitplan.tables import scenario
from tests.small import (
    adapter,
    body,
    card,
    lens,
    optic,
    person,
    position,
    prime,
    show,
    singer,
    small_brief,
    small_kit,
    support,
    unit,
)

Manner = Literal["operated", "locked-off"]


@cache
def demo() -> Options:
    """Return the options of the smallest bundled shoot."""
    return find_options(read_brief(scenario("school-dance")))


@dataclass(frozen=True)
class Scalar:
    """One shot worked out by itself."""

    frame_m: float
    focal_mm: float
    stop: float
    iso: float
    refused: dict[Manner, str]
    grade: dict[Manner, int]
    quality: dict[Manner, int]


def by_hand(spot: Spot, view: View, camera: Camera, lasts: float) -> Scalar:
    """Work out one shot from kitplan.optics, without arrays."""
    brief = demo().brief
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
    shutter_s = brief.shutter.shutter_s
    t_open = t_stop(wide_open, camera.t_loss_stops)
    iso_open = iso_needed(t_open, shutter_s, light.dim_lux, headroom)
    spare = log2(camera.body.max_iso / iso_open)
    stop = wide_open
    if not camera.has_fixed_stop and spare > rules.good_light_stops:
        closed = wide_open * 2 ** ((spare - rules.good_light_stops) / 2)
        stop = max(wide_open, min(closed, rules.most_stop, camera.optic.least_stop))
    blur = circle_of_confusion_mm(camera.width_mm, camera.height_mm)
    holds = holds_span(focal, stop, blur, view.near_m, view.far_m)
    low, high = focus_limits_m(focal, stop, blur, distance)
    refused: list[tuple[str, bool]] = [
        ("no-audience", view.subject.kind == "audience" and not spot.each.has_audience),
        ("too-long", widest < view.frame.least_m - 1e-9),
        ("too-short", tightest > view.frame.most_m + 1e-9),
        ("closest-focus", distance < camera.optic.closest_focus_m),
        ("light", spare < -1e-9),
    ]
    alone = [
        ("roam", frame * brief.shoot.delivery.aspect < view.needed_width_m - 1e-9),
        ("focus", not holds),
        ("automatic", not camera.body.has_manual_control),
        ("endurance", lasts < 0),
    ]
    lit = 3 if spare >= rules.good_light_stops else 2 if spare >= rules.fair_light_stops else 1
    lit = lit if spare >= 0 else 0
    off = max(frame / view.frame.frame_m, view.frame.frame_m / frame)
    fit = 3 if off <= 1.05 else 2 if off <= 1.15 else 1
    focus: dict[Manner, int] = {
        "operated": 3 if holds else 2 if high - low >= 0.3 else 1,
        "locked-off": 3 if holds else 0,
    }
    return Scalar(
        frame_m=frame,
        focal_mm=focal,
        stop=stop,
        iso=iso_open * (stop / wide_open) ** 2,
        refused={
            "operated": next((rule for rule, fails in refused if fails), ""),
            "locked-off": next((rule for rule, fails in (*refused, *alone) if fails), ""),
        },
        grade={manner: min(lit, found) for manner, found in focus.items()},
        quality={manner: lit + found + fit for manner, found in focus.items()},
    )


@settings(deadline=None)  # the first example reads the shoot
@given(st.randoms(use_true_random=False))
def test_arrays_and_single_formulas_agree(random: Any) -> None:
    """Any view with any camera at any position in any pass of a bundled shoot."""
    spot = random.choice([spot for spot in demo().spots if spot.cameras])
    row, column = random.randrange(len(spot.views)), random.randrange(len(spot.cameras))
    shots: Shots = spot.shots
    lasts = 0.0
    if spot.is_unreachable:
        lasts = spot.endurance[column].untouched_min - demo().brief.roll_min(spot.each)
    one = by_hand(spot, spot.views[row], spot.cameras[column], lasts)
    place = (row, column)
    assert shots.frame_m[place] == pytest.approx(one.frame_m)
    assert shots.focal_mm[place] == pytest.approx(one.focal_mm)
    assert shots.stop[place] == pytest.approx(one.stop)
    assert shots.iso[place] == pytest.approx(one.iso)
    view_deg = view_of_frame_deg(one.frame_m, spot.views[row].distance_m)
    assert shots.view_deg[place] == pytest.approx(view_deg)
    manners: tuple[Manner, Manner] = ("operated", "locked-off")
    for manner in manners:
        refusal = shots.refusal(row, column, manner)
        assert (refusal.rule if refusal else "") == one.refused[manner]
        assert shots.possible(manner)[place] == (refusal is None)
        if refusal is None:
            assert shots.grade(manner)[place] == one.grade[manner]
            assert shots.quality(manner)[place] == one.quality[manner]


@pytest.mark.parametrize(
    ("view_deg", "band"),
    [
        (0.5, "long tele"),
        (4.49, "long tele"),
        (4.5, "tele"),
        (9, "short tele"),
        (17.9, "short tele"),
        (18, "normal"),
        (32, "wide"),
        (55, "very wide"),
        (120, "very wide"),
    ],
)
def test_bands_begin_at_their_lower_edge(view_deg: float, band: str) -> None:
    """The table's bands, narrowest first."""
    assert band_names()[int(band_of(np.array([view_deg]))[0])] == band


def test_a_single_shot_by_hand() -> None:
    """The singer from the front: 118.81 mm, f/5.6, ISO 965, 4.295 degrees, nine marks."""
    spot = find_options(small_brief()).spots[0]
    row = [view.key for view in spot.views].index(("front", "singer", "MS"))
    shots = spot.shots
    assert shots.focal_mm[row, 0] == pytest.approx(9 * 12000 / 909)
    assert shots.stop[row, 0] == pytest.approx(5.6)
    assert shots.iso[row, 0] == pytest.approx(241.304 * 4, rel=1e-5)
    assert shots.view_deg[row, 0] == pytest.approx(4.2952, rel=1e-4)
    assert shots.quality("operated")[row, 0] == shots.quality("locked-off")[row, 0] == 9


@pytest.mark.parametrize(
    ("max_iso", "stop"),
    [(6400, 5.6), (965.2, 3.9598), (482.7, 2.8), (300, 2.8)],
    ids=["all-the-way", "one-stop", "none-to-spare", "short-of-light"],
)
def test_the_stop_is_closed_by_what_light_is_spare(max_iso: float, stop: float) -> None:
    """ISO 241.3 wide open: one stop is kept, the rest closes the iris, to f/5.6 at most."""
    spot = find_options(small_brief(small_kit(body(max_iso=max_iso)))).spots[0]
    row = [view.key for view in spot.views].index(("front", "singer", "MS"))
    assert spot.shots.stop[row, 0] == pytest.approx(stop, rel=1e-3)


@pytest.mark.parametrize(("least_stop", "stop"), [(4, 4), (5.6, 5.6), (16, 5.6)])
def test_the_stop_is_closed_as_far_as_the_lens_goes(least_stop: float, stop: float) -> None:
    """To its smallest aperture, or to the rule `most_stop`, whichever comes first."""
    kit = small_kit(body(built_in=optic(least_stop=least_stop)))
    spot = find_options(small_brief(kit)).spots[0]
    row = [view.key for view in spot.views].index(("front", "singer", "MS"))
    assert spot.shots.stop[row, 0] == pytest.approx(stop)


def test_a_fixed_stop_stays_open() -> None:
    """An electronic iris behind a plain ring."""
    kit = small_kit(body(mount="E"), lens(mount="PL", iris="electronic"), adapter())
    spot = find_options(small_brief(kit)).spots[0]
    assert spot.shots.stop == pytest.approx(2.8)


# -- every refusal ---------------------------------------------------------------------------------


def _refused(kit: Any = None, **parts: Any) -> set[str]:
    options = find_options(small_brief(kit, **parts))
    found: list[Refusal] = [*options.refusals, *(refusal for _, refusal in options.closed)]
    found += [refusal for spot in options.spots for refusal in spot.refusals]
    found += [refusal for _, refusal in options.shot_refusals()]
    for refusal in found:
        assert str(refusal).startswith(f"{refusal.what}: ")  # every figure it prints is there
    return {refusal.rule for refusal in found}


def _front(**facts: Any) -> dict[str, Any]:
    return {"positions": (position("front", **facts),)}


ROAMS = (singer(roam_m=3),)
CROWD = (singer(), Subject(id="crowd", kind="audience"))
REFUSED: dict[str, tuple[Any, dict[str, Any]]] = {
    "mount": (small_kit(body(mount="E"), lens(mount="PL"), body("spare")), {}),
    "flange": (
        small_kit(
            body(mount="PL"),
            lens(),
            adapter(lens_mount="E", body_mount="PL"),
            body("spare"),
        ),
        {},
    ),
    "image-circle": (small_kit(body(mount="E"), lens(image_circle_mm=11), body("spare")), {}),
    "mode": (small_kit(body(mode={"frame_rate_fps": 50}), body("spare")), {}),
    "shutter": (
        small_kit(body(shutter_speeds_per_s=(60,)), body("spare", shutter_speeds_per_s=(50,))),
        {},
    ),
    "no-unit": (small_kit(body("spare"), units=(unit("cam", condition="missing"),)), {}),
    "fitting": (small_kit(support("tower", fitting="thread")), {}),
    "stands-on": (small_kit(support("clamp", stands_on=("rail",))), {}),
    "height": (small_kit(support("low", height_max_m=0.6)), {}),
    "room": (small_kit(support("slider", footprint_m=3)), {}),
    "mains": (small_kit(support("crane", needs_mains=True)), {}),
    "payload": (small_kit(body("heavy", mass_kg=9)), {}),
    "skill": (small_kit(support("jib", skill="jib")), {}),
    "hands": (small_kit(support("crane", people=3)), {}),
    "closed": (None, _front(open_in=("run",))),
    "permission": (None, _front(permission={"state": "refused"})),
    "overhead": (None, _front(is_overhead=True)),
    "not-operator": (None, {"crew": (person("ann", is_operator=False),)}),
    "not-on-hand": (None, {"passes": (show(people=("ann",)),)}),
    "performs": (None, {"crew": (person("ann", performs_in=("first", "second")),)}),
    "on-stage": (None, _front(is_on_stage=True)),
    "not-allowed-there": (None, _front(only_people=("ann",))),
    "shut-in": (
        None,
        {
            "crew": (person("ann", performs_in=("first",)),),
            **_front(is_shut_in_by_audience=True),
        },
    ),
    "too-long": (None, {}),
    "too-short": (None, {}),
    "closest-focus": (small_kit(body(built_in=optic(closest_focus_m=50))), {}),
    "light": (small_kit(body(max_iso=200)), {}),
    "no-light-row": (None, {"light": ({"subjects": ("x",), "dim_lux": 1, "bright_lux": 1},)}),
    "no-audience": (None, {"subjects": CROWD, "passes": (show(has_audience=False),)}),
    "focus": (None, {"subjects": (singer(roam_m=0.75),)}),
    "roam": (None, {"subjects": ROAMS}),
    "endurance": (small_kit(body(battery_min=20)), _front(is_out_of_reach=True)),
    "needs-hand": (None, _front(is_out_of_reach=True)),
    "needs-rest": (small_kit(support("shoulder", can_stand_alone=False)), {}),
    "no-card": (small_kit(card(card_type="cf")), {}),
    "automatic": (small_kit(body(has_manual_control=False)), {}),
}
"""A shoot and kit for every rule that refuses something."""


@pytest.mark.parametrize("rule", REFUSED)
def test_every_refusal_can_be_reached(rule: str) -> None:
    """And its sentence has all its figures."""
    kit, parts = REFUSED[rule]
    assert rule in _refused(kit, **parts)


def test_every_sentence_has_a_case_and_every_rule_a_sentence() -> None:
    """No rule without words, no words without a rule."""
    assert set(REFUSED) == set(SENTENCES)
    assert set(RULES) - {""} <= set(SENTENCES)


def test_the_first_rule_that_fails_is_named() -> None:
    """Too long and too dark: too long comes first."""
    kit = small_kit(body(max_iso=200, built_in=prime(200)))
    spot = find_options(small_brief(kit)).spots[0]
    row = [view.key for view in spot.views].index(("front", "singer", "MS"))
    refusal = spot.shots.refusal(row, 0, "operated")
    assert refusal is not None
    assert refusal.rule == "too-long"
