"""Shots: framing, closest focus, light, consent, and what a locked frame and focus hold."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.venue import Subject
from tests.allocate.cases import (
    Case,
    Parts,
    check_binds,
    check_is_slack,
    check_makes_infeasible,
    ids,
)
from tests.small import (
    STAGE_M,
    WIDE,
    body,
    cameras,
    optic,
    person,
    position,
    prime,
    refusals,
    role,
    run,
    show,
    singer,
    small_brief,
    small_kit,
    solve,
    words_of,
)


def _lens(**facts: Any) -> Parts:
    return {"items": (body(built_in=optic(**facts)),)}


# 12 m away on 9 mm of height a focal length f frames 9 * (12 - f / 1000) / f m. A medium shot has
# 0.80 to 1.12 m: f = 9 * 12000 / (800 + 9) = 133.50 mm to 9 * 12000 / (1120 + 9) = 95.66 mm.
# Light: 250 * 2.8 * 2.8 / (500 lx * 1/50 s) = 196.0, with 0.3 stops of headroom ISO 241.30.
CASES = (
    Case("not-too-long", "camera", lambda level: {"items": (body(built_in=prime(level)),)},
         120, 133.49, 134, rule="too-long", value=0.79697, limit=0.80, alone=True),
    Case("not-too-short", "camera", lambda level: {"items": (body(built_in=prime(level)),)},
         120, 95.67, 95, rule="too-short", value=1.12784, limit=1.12, alone=True),
    Case("not-too-close", "camera", lambda level: _lens(closest_focus_m=level),
         1, 12, 12.01, rule="closest-focus", value=12, limit=12.01),
    Case("light-enough-for-the-body", "camera", lambda level: {"items": (body(max_iso=level),)},
         6400, 241.31, 241.2, rule="light", value=241.304, limit=241.2, alone=True),
    Case("light-enough-for-the-lens", "camera",  # two stops up from ISO 241.3: f/2.8 to f/5.6
         lambda level: {"items": (body(max_iso=965.3, built_in=optic(stop_wide=level)),)},
         2.8, 5.6, 5.61, rule="light", value=968.67, limit=965.3, alone=True),
    Case("light-lost-in-the-glass", "camera",  # one stop lost doubles 241.304 to 482.609
         lambda level: {"items": (body(max_iso=482.61, built_in=optic(t_stop_loss=level)),)},
         0, 1, 1.01, rule="light", value=485.965, limit=482.61, alone=True),
    Case("light-at-the-longer-end", "camera",  # 118.8 mm of 100 to 125 mm: 77.2 % of the way
         lambda level: {"items": (body(max_iso=482.61, built_in=optic(stop_tele=level)),)},
         2.8, 4.385, 4.4, rule="light", value=485.096, limit=482.61, alone=True),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=ids(CASES))
def test_rule_of_shots_binds(case: Case) -> None:
    """Beyond the bound the plan falls back on the second camera."""
    check_binds(case)


@pytest.mark.parametrize("case", CASES, ids=ids(CASES))
def test_rule_of_shots_is_slack(case: Case) -> None:
    """At the bound the shot is possible."""
    check_is_slack(case)


@pytest.mark.parametrize("case", CASES, ids=ids(CASES))
def test_rule_of_shots_makes_infeasible(case: Case) -> None:
    """Without a second camera the must role is missed for that reason, with these figures."""
    check_makes_infeasible(case)


# -- what nobody can film --------------------------------------------------------------------------

ZOOM = small_kit(body(built_in=optic(**WIDE)))
AUDIENCE = ({"id": "floor", "outline_m": STAGE_M},)


def check(brief: Brief, is_possible: bool) -> Plan:
    """Solve; where it is not possible the must role clashes with itself."""
    plan = solve(brief)
    assert (plan.status == "solved") == is_possible
    assert set(plan.clash) == (set() if is_possible else words_of(plan, "close"))
    return plan


@pytest.mark.parametrize("has_audience", [True, False])
def test_an_audience_is_filmed_where_there_is_one(has_audience: bool) -> None:
    """A must role on the audience."""
    crowd = Subject(id="crowd", kind="audience", at_m=(0, 2), width_m=4)
    brief = small_brief(
        ZOOM,
        subjects=(crowd,),
        passes=(show(has_audience=has_audience),),
        roles=(role(subject="crowd", sizes=("MLS", "WS")),),
    )
    check(brief, has_audience)
    assert ("no-audience" in {refusal.rule for refusal in refusals(brief)}) != has_audience


@pytest.mark.parametrize(
    ("row", "is_possible"),
    [({}, True), ({"passes": ("run",)}, False), ({"subjects": ("stage",)}, False)],
    ids=["any", "other-pass", "other-subject"],
)
def test_without_a_row_of_light_nothing_is_filmed(row: Parts, is_possible: bool) -> None:
    """A pass or subject that no row of the light table fits."""
    light = ({"dim_lux": 500, "bright_lux": 1000, **row},)
    brief = small_brief(light=light, passes=(show(),), roles=(role(),))
    check(brief, is_possible)
    assert ("no-light-row" in {refusal.rule for refusal in refusals(brief)}) != is_possible


def test_the_first_row_of_light_that_fits_counts() -> None:
    """Dark on the singer in the show, bright in the run: the run is filmed."""
    dark = {"passes": ("show",), "subjects": ("singer",), "dim_lux": 0.1, "bright_lux": 1}
    light = (dark, {"dim_lux": 500, "bright_lux": 1000})
    plan = solve(small_brief(light=light, passes=(run(), show())))
    assert (len(cameras(plan, "run")), len(cameras(plan, "show"))) == (2, 0)


@pytest.mark.parametrize(
    ("closest", "is_possible"), [(None, True), ("MS", True), ("MLS", False)], ids=str
)
def test_consent_bounds_the_size(closest: str | None, is_possible: bool) -> None:
    """A singer who may be filmed from MLS on has no medium shot."""
    subjects = (singer(closest=closest),)
    plan = check(small_brief(ZOOM, subjects=subjects, roles=(role(),)), is_possible)
    sizes = {placement.shot.size for placement in cameras(plan)}
    assert sizes.isdisjoint({"ECU", "CU", "MCU"}) or closest is None


@pytest.mark.parametrize(
    ("width_m", "is_possible"), [(0.6, True), (3.03, True), (3.04, False)], ids=str
)
def test_a_frame_is_never_narrower_than_the_figure(width_m: float, is_possible: bool) -> None:
    """A full shot is at least 1.70 m high and at least as wide as the figure.

    From the front it is seen 12.007 m away and tilted by 2.0 degrees, down to 0.45 * 2.1 m: 63.1 mm
    frame 9 * (12.007 - 0.063) / 63.1 = 1.7036 m, which is 1.7036 * 16 / 9 / cos 2.0 = 3.0304 m.
    """
    kit = small_kit(body(built_in=prime(63.1)))
    brief = small_brief(
        kit,
        subjects=(singer(width_m=width_m),),
        positions=(position("front"),),
        roles=(role(sizes=("FS",)),),
    )
    check(brief, is_possible)
    assert ("too-long" in {r.rule for r in refusals(brief) if " FS " in r.what}) != is_possible


# -- locked off: frame and focus hold the subject wherever it roams --------------------------------
# MS: 0.9 m of frame, 0.9 * 16 / 9 = 1.6 m of width, f = 118.81 mm, blur 18.358 / 1500 = 0.01224 mm.
# At f/5.6 the hyperfocal distance is 118.81 ** 2 / (5.6 * 0.01224) = 206.1 m; the limits around
# the best focus between 12 - r and 12 + r reach both ends up to r = 0.6899 m.


def locked(roam_m: float, **parts: Any) -> Brief:
    """A must role for a locked-off camera on a singer who roams."""
    given: Parts = {
        "subjects": (singer(roam_m=roam_m),),
        "positions": (position("front"),),
        "roles": (role(manner="locked-off"),),
    }
    return small_brief(**{**given, **parts})


DEEP = {"rules": {"most_stop": 11}}
"""At f/10.2, all the light there is, the focus holds 12 m +- 1.2 m."""
OBJECT: Parts = {"id": "singer", "kind": "object", "height_m": 0.45, "floor_height_m": 0.958}
"""An instrument whose MS is twice its height: the same frame of 0.9 m at the same height, since
5 % of foot room put its middle 0.45 * 0.9 = 0.405 m over its floor: 0.958 + 0.405 = 1.363 m."""


@pytest.mark.parametrize(
    ("roam_m", "is_possible"), [(0.8, True), (0.801, False)], ids=["at", "beyond"]
)
def test_a_locked_frame_is_as_wide_as_the_singer_roams(roam_m: float, is_possible: bool) -> None:
    """0.8 m to either side are 1.6 m."""
    brief = locked(roam_m, **DEEP)
    check(brief, is_possible)
    if not is_possible:
        figures = [(r.value, r.limit) for r in refusals(brief) if r.rule == "roam"]
        assert figures == [pytest.approx((1.6, 1.602), rel=1e-4)]


@pytest.mark.parametrize(
    ("width_m", "is_possible"), [(0.6, True), (0.61, False)], ids=["at", "beyond"]
)
def test_a_locked_frame_holds_the_whole_object(width_m: float, is_possible: bool) -> None:
    """An object of 0.6 m that moves 0.5 m to either side takes 1.6 m."""
    thing = Subject(**OBJECT, at_m=(0, 2), roam_m=0.5, width_m=width_m)
    check(locked(0, subjects=(thing,), **DEEP), is_possible)


@pytest.mark.parametrize(
    ("roam_m", "is_possible"), [(0.689, True), (0.690, False)], ids=["within", "beyond"]
)
def test_a_locked_focus_holds_where_the_singer_roams(roam_m: float, is_possible: bool) -> None:
    """At f/5.6 the limit is 0.6899 m."""
    brief = locked(roam_m)
    check(brief, is_possible)
    if not is_possible:
        assert "focus" in {refusal.rule for refusal in refusals(brief)}


@pytest.mark.parametrize(
    ("roam_m", "parts", "rule"), [(0.801, DEEP, "roam"), (0.690, {}, "focus")], ids=str
)
def test_what_a_locked_camera_loses_an_operator_holds(
    roam_m: float, parts: Parts, rule: str
) -> None:
    """Without the must an operator is put there; without operators nothing is filmed at all."""
    free = locked(roam_m, roles=(), **parts)
    assert [placement.manner for placement in cameras(solve(free))][:1] == ["operated"]
    nobody = (person("ann", is_operator=False),)
    bound = locked(roam_m, roles=(), crew=nobody, **parts)
    assert cameras(solve(bound)) == ()
    assert rule in {refusal.rule for refusal in refusals(bound)}
    slack = locked(0.5, roles=(), crew=nobody, **parts)
    assert [placement.manner for placement in cameras(solve(slack))][:1] == ["locked-off"]
