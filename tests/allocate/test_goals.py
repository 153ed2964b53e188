"""What each goal comes to, worked out by hand."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

import pytest

from kitplan.gear.records import AnyItem
from kitplan.shoot.brief import Brief
from kitplan.shoot.venue import Position, Subject
from tests.small import (
    LENS_M,
    WIDE,
    body,
    cameras,
    lens,
    optic,
    part,
    person,
    position,
    prime,
    reached,
    role,
    run,
    show,
    singer,
    small_brief,
    small_kit,
    solve,
)

AROUND = {
    "front": (0, -10),
    "left": (-8, -6),
    "right": (8, -6),
    "far-left": (-11, 2),
    "far-right": (11, 2),
}
"""Five places around the singer, each 45 degrees from the next."""
NOBODY = (person("ann", is_operator=False), person("ben", is_operator=False))
"""Two who operate nothing and so mind three locked-off cameras each."""


def around(number: int, **facts: Any) -> tuple[Position, ...]:
    """Return so many of the places."""
    return tuple(position(p, at_m=at_m, **facts) for p, at_m in list(AROUND.items())[:number])


def brief_of(number: int, *items: AnyItem, cams: int | None = None, **parts: Any) -> Brief:
    """Return a shoot with so many places and cameras."""
    kit = small_kit(*items, counts={"cam": cams or number})
    return small_brief(kit, **{"positions": around(number), **parts})


# -- viewpoints ------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_an_operated_viewpoint_has_ten_points_a_song(number: int) -> None:
    """Two songs: 20 for each camera."""
    crew = tuple(map(person, ("ann", "ben", "cleo", "dara")))
    plan = solve(brief_of(number, crew=crew))
    assert reached(plan, "viewpoints") == 20 * number
    assert reached(plan, "thinnest") == number


@pytest.mark.parametrize(("number", "points"), [(1, 4), (2, 7), (3, 9), (4, 10), (5, 10)])
def test_locked_off_viewpoints_have_falling_points(number: int, points: int) -> None:
    """4, 3, 2, 1 and 0 a song; each is one more in the thinnest song."""
    plan = solve(brief_of(number, crew=NOBODY))
    assert reached(plan, "viewpoints") == 2 * points
    assert reached(plan, "thinnest") == number


def test_locked_off_points_begin_anew_in_every_pass() -> None:
    """One in the run at the left, one in the show at the right: 4 points each, both songs."""
    spots = (position("left", open_in=("run",)), position("right", open_in=("show",)))
    plan = solve(brief_of(2, positions=spots, passes=(run(), show()), crew=NOBODY))
    assert reached(plan, "viewpoints") == 2 * (4 + 4)


@pytest.mark.parametrize(
    ("closed_run", "thirds"),
    [
        ({}, 6),
        ({"has_click": False}, 2),
        ({"songs": {"first": "stopped"}}, 4),
        ({"songs": {"first": "not-run"}}, 3),
        ({"songs": {"first": "not-run", "second": "stopped"}}, 1),
    ],
    ids=["locks", "inserts", "one-stopped", "one-not-run", "one-of-each"],
)
def test_inserts_count_a_third(closed_run: dict[str, Any], thirds: int) -> None:
    """A song that locks gives three thirds of 10 points, one for inserts a third, one not run 0."""
    spots = (position("front", open_in=("run",)),)
    plan = solve(brief_of(1, positions=spots, passes=(run(**closed_run), show())))
    assert reached(plan, "viewpoints") == pytest.approx(10 * thirds / 3)
    assert reached(plan, "thinnest") == (1 if thirds == 6 else 0)


@pytest.mark.parametrize(
    ("apart_deg", "counted"), [(29.99, 1), (30, 2), (30.01, 2)], ids=["below", "at", "above"]
)
def test_alike_directions_count_once(apart_deg: float, counted: int) -> None:
    """Two cameras 12 m from the singer, so far apart in direction."""
    spots = (position("front"), position("aside", at_m=_turned(apart_deg)))
    plan = solve(brief_of(2, positions=spots))
    assert part(plan, "viewpoints", "counted") == counted
    assert reached(plan, "viewpoints") == 20 * counted


def _turned(deg: float) -> tuple[float, float]:
    return 12 * sin(radians(deg)), 2 - 12 * cos(radians(deg))


@pytest.mark.parametrize(("frame_m", "counted"), [(1.79, 1), (1.8, 2)], ids=["below", "at"])
def test_alike_sizes_count_once(frame_m: float, counted: int) -> None:
    """Two cameras beside each other on one thing: frames of 0.9 m and twice that, or less.

    Both are level: 7 % of head room over 1.197 m of thing put the middle of 0.9 m at 1.197 - 0.387
    = 0.81 m, and 5 % of foot room that of 1.8 m at 0.45 * 1.8 = 0.81 m. No other size is near:
    the thing is filmed from MS on, and its WS takes 4.5 * 1.197 = 5.4 m.
    """
    wide = body("wide", built_in=prime(9 * 12000 / (1000 * frame_m + 9)))
    thing = Subject(
        id="singer",
        kind="object",
        at_m=(0, 2),
        floor_height_m=LENS_M - 0.81,
        height_m=1.197,
        frames_m={"MS": 0.9, "FS": frame_m},
        closest="MS",
    )
    spots = (position("front", rigs=2, room_m=9),)
    plan = solve(brief_of(1, wide, positions=spots, subjects=(thing,)))
    assert part(plan, "viewpoints", "counted") == counted


def test_the_same_view_in_two_passes_counts_once() -> None:
    """One place, one camera, two passes: 20 points and not 40."""
    plan = solve(brief_of(1, passes=(run(), show())))
    assert reached(plan, "viewpoints") == 20
    assert sum(placement.is_counted for placement in plan.placements) == 1


def test_of_three_in_a_row_the_two_ends_are_counted() -> None:
    """20 degrees apart each: the middle is alike to both ends, the ends are 40 degrees apart."""
    spots = tuple(position(f"p{deg}", at_m=_turned(deg)) for deg in (0, 20, 40))
    crew = tuple(map(person, ("ann", "ben", "cleo")))
    plan = solve(brief_of(3, positions=spots, crew=crew))
    assert {p.position for p in plan.placements if p.is_counted} == {"p0", "p40"}


# ISO 241.3 is needed: 482.7 leaves a stop, 303.3 a third of a stop (0.33), 241.4 nothing.
@pytest.mark.parametrize(
    ("max_iso", "percent"),
    [(482.7, 100), (482.5, 60), (303.4, 60), (303.2, 30), (241.4, 30)],
    ids=["good", "below-good", "fair", "below-fair", "just-enough"],
)
def test_light_grades_a_viewpoint(max_iso: float, percent: int) -> None:
    """20 points at 100, 60 or 30 percent."""
    plan = solve(brief_of(1, body(max_iso=max_iso)))
    assert reached(plan, "viewpoints") == pytest.approx(20 * percent / 100)


# At f/5.6 the focus holds a singer who roams 0.6899 m; the depth of field at 12 m is 1.40 m.
# At f/1.0 the hyperfocal distance is 118.81 ** 2 / 0.01224 = 1153 m: 2 * 12 * 12 / 1153 = 0.25 m.
@pytest.mark.parametrize(
    ("roam_m", "stop", "percent"),
    [(0.689, 5.6, 100), (0.69, 5.6, 60), (0.69, 1.0, 30)],
    ids=["holds-all", "room-to-work", "hair-thin"],
)
def test_focus_grades_an_operated_viewpoint(roam_m: float, stop: float, percent: int) -> None:
    """20 points at 100, 60 or 30 percent."""
    cam = body(built_in=optic(stop_wide=1))
    subjects = (singer(roam_m=roam_m),)
    plan = solve(brief_of(1, cam, subjects=subjects, rules={"most_stop": stop}))
    assert reached(plan, "viewpoints") == pytest.approx(20 * percent / 100)


def test_the_best_grade_takes_the_most_points() -> None:
    """Locked off at 100 and at 60 percent: 4 * 1.0 + 3 * 0.6 = 5.8 a song, not 4 * 0.6 + 3."""
    plan = solve(brief_of(2, body("dim", max_iso=400), cams=1, crew=NOBODY))
    assert reached(plan, "viewpoints") == pytest.approx(2 * 5.8)


@pytest.mark.parametrize("percent", [0, 30])
def test_a_grade_of_no_worth_adds_no_points(percent: int) -> None:
    """A shot of grade 1 counts as a viewpoint, for what the rule says."""
    rules = {"grade_percent": (0, percent, 60, 100)}
    plan = solve(brief_of(1, body(max_iso=242), rules=rules))
    assert reached(plan, "viewpoints") == pytest.approx(20 * percent / 100)
    assert reached(plan, "thinnest") == 1


# -- thinnest --------------------------------------------------------------------------------------


def test_the_thinnest_song_is_the_least_of_all_songs() -> None:
    """The run adds a viewpoint to the first song only: the second has the show's alone."""
    spots = (position("left", open_in=("run",)), position("right", open_in=("show",)))
    for songs, least in (({}, 2), ({"second": "stopped"}, 1)):
        passes = (run(songs=songs), show())
        assert reached(solve(brief_of(2, positions=spots, passes=passes)), "thinnest") == least


def test_whoever_performs_in_a_song_offers_nothing_in_it() -> None:
    """Ann operates and performs in the first song; there only Ben's camera is on offer."""
    crew = (person("ann", performs_in=("first",)), person("ben"))
    roles = (role("one", manner="operated"), role("two", manner="operated"))
    plan = solve(brief_of(2, crew=crew, roles=roles))
    assert reached(plan, "thinnest") == 1
    assert reached(plan, "viewpoints") == 40  # points are given for the pass, not by song


# -- variety ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rules", "value"),
    [
        ({}, 7),
        ({"menu_shots": 0}, 4),
        ({"menu_shots": 1}, 5),
        ({"menu_shots": 9}, 9),
        ({"menu_shots": 9, "pairs_per_subject": 2}, 7),
        ({"menu_shots": 9, "pairs_per_subject": 0}, 3),
        ({"band_points": 0}, 4),
        ({"band_points": 5}, 9),
    ],
    ids=str,
)
def test_pairs_and_bands_make_variety(rules: dict[str, int], value: int) -> None:
    """One operated zoom: a main shot, a menu of three, one band of three points: 1 + 3 + 3 = 7.

    It reaches five sizes of the singer (MS to EWS) and three of the stage (MLS, WS, EWS); at most
    three of a subject count.
    """
    zoom = body(built_in=optic(**WIDE))
    assert reached(solve(brief_of(1, zoom, rules=rules)), "variety") == value


def test_a_locked_off_camera_has_no_menu() -> None:
    """Its main shot and its band: 1 + 3."""
    zoom = body(built_in=optic(**WIDE))
    plan = solve(brief_of(1, zoom, crew=NOBODY))
    assert reached(plan, "variety") == 4
    assert [placement.menu for placement in cameras(plan)] == [()]


def test_two_bands_count_twice() -> None:
    """MS at 4.3 or 4.6 degrees is long tele or tele, FS at 10 degrees short tele: 2 + 2 * 3."""
    wide = body("wide", built_in=prime(9 * 12000 / 2109))
    plan = solve(brief_of(2, wide, cams=1))
    assert reached(plan, "variety") == 8
    bands = {placement.shot.band for placement in cameras(plan)}
    assert "short tele" in bands
    assert len(bands) == 2


@pytest.mark.parametrize(("points", "value"), [(0, 4), (1, 9), (2, 14)])
def test_nice_roles_count_by_weight(points: int, value: int) -> None:
    """A pair and a band make 4; a nice role of weight 5 adds 5 * `nice_points`."""
    roles = (role(priority="nice", weight=5),)
    plan = solve(brief_of(1, roles=roles, rules={"nice_points": points}))
    assert reached(plan, "variety") == value


# -- quality ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("frame_m", "lost"),
    [(0.945, 0), (0.946, 1), (1.035, 1), (1.036, 2)],
    ids=["within-5", "beyond-5", "within-15", "beyond-15"],
)
def test_a_frame_off_the_plan_loses_marks(frame_m: float, lost: int) -> None:
    """A prime frames so much instead of 0.9 m: 3 marks within 5 %, 2 within 15 %, else 1."""
    cam = body(built_in=prime(9 * 12000 / (1000 * frame_m + 9)))
    assert reached(solve(brief_of(1, cam)), "quality") == -lost


@pytest.mark.parametrize(
    ("narrow_deg", "is_skilled", "lost"),
    [(4.29, False, 0), (4.30, False, 3), (4.30, True, 0)],
    ids=["wide-enough", "narrow", "narrow-in-steady-hands"],
)
def test_a_narrow_view_wants_a_steady_hand(narrow_deg: float, is_skilled: bool, lost: int) -> None:
    """0.9 m at 12 m fill 2 * atan(0.45 / 12) = 4.295 degrees."""
    crew = (person("ann", is_skilled=is_skilled),)
    plan = solve(brief_of(1, crew=crew, rules={"narrow_deg": narrow_deg}))
    assert reached(plan, "quality") == -lost


@pytest.mark.parametrize(
    ("apart_deg", "lost"), [(30, 2), (44.99, 2), (45, 0)], ids=["just-distinct", "below", "clear"]
)
def test_two_viewpoints_not_clearly_distinct_lose_a_mark_each(apart_deg: float, lost: int) -> None:
    """From 30 degrees on they differ, from 45 on clearly."""
    spots = (position("front"), position("aside", at_m=_turned(apart_deg)))
    assert reached(solve(brief_of(2, positions=spots)), "quality") == -lost


@pytest.mark.parametrize(
    ("facts", "lost"),
    [
        ({}, 0),
        ({"mode": {"clip_limit_min": 19.9}}, 1),
        ({"mode": {"clip_limit_min": 20}}, 0),
        ({"battery_min": 28.5}, 1),
        ({"heat_limit_min": 19.9}, 1),
        ({"mode": {"clip_limit_min": 12}, "battery_min": 20, "heat_limit_min": 12}, 3),
    ],
    ids=["reliable", "clip", "clip-at-the-length", "power", "heat", "all"],
)
def test_the_safety_shot_loses_marks_for_what_stops_it(facts: dict[str, Any], lost: int) -> None:
    """A pass of 20 minutes: clip limit, power (70 % of 28.5 is 19.95) and heat."""
    roles = (role("safe", is_safety=True),)
    cam = body(**facts)
    plan = solve(brief_of(1, cam, roles=roles, passes=(show(needs_safety=True),)))
    assert reached(plan, "quality") == -lost


# -- economy ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("mass_kg", "points"), [(1, 6), (2.5, 9), (0, 4)])
def test_a_kilogram_costs_two_points(mass_kg: float, points: float) -> None:
    """Camera and legs of 2 kg."""
    assert reached(solve(brief_of(1, body(mass_kg=mass_kg))), "economy") == -points


def test_what_is_used_in_both_passes_is_brought_once() -> None:
    """One rig of 3 kg stays: 6 points, and 4 minutes of reset."""
    plan = solve(brief_of(1, passes=(run(), show()), roles=(role(in_passes="every"),)))
    assert reached(plan, "economy") == -(6 + 4)
    assert part(plan, "economy", "grams") == 3000


@pytest.mark.parametrize(("change", "points"), [(5, 5), (0, 0), (9, 9)])
def test_a_lens_that_is_changed_costs_points(change: int, points: int) -> None:
    """One body, a lens for each pass: legs stay, the camera is struck and built, 2 + 4 minutes."""
    kit = small_kit(
        body(mount="E", mass_kg=0),
        lens("long", mass_kg=0),
        lens("wide", mass_kg=0, focal_min_mm=50, focal_max_mm=52),
        counts={"cam": 1},
    )
    roles = (role("close", passes=("run",)), role("full", passes=("show",), sizes=("FS",)))
    brief = small_brief(
        kit,
        positions=(position("front"),),
        passes=(run(), show()),
        roles=roles,
        rules={"lens_change_points": change},
    )
    plan = solve(brief)
    assert part(plan, "economy", "lens changes") == 1
    assert reached(plan, "economy") == -(2 * 2 + 6 + points)
