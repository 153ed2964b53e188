"""Positions and cameras: what is open and what goes together, three tests to each rule."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.gear.records import Lens
from tests.allocate.cases import (
    Case,
    Parts,
    check_binds,
    check_is_slack,
    check_makes_infeasible,
    ids,
)
from tests.small import accessory, adapter, body, lens, person, position, unit


def _cam(**facts: Any) -> Parts:
    return {"items": (body(**facts),)}


def _front(**facts: Any) -> Parts:
    return {"positions": (position("front", **facts),)}


def _pair(body_mount: str, glass: Lens, *more: Any) -> Parts:
    return {"items": (body(mount=body_mount), glass, *more)}


def _overhead(by: str = "the keeper", people: int = 2, skill: str = "rigging") -> Parts:
    crew = (person("ann", skills=(skill,)), person("ben"))[:people]
    given = {"state": "given", "by": by}
    parts = _front(is_overhead=True, permission=given)
    return {**parts, "items": (accessory("bond"),), "crew": crew}


POSITIONS = (
    Case(
        "open-in-the-pass",
        "position",
        lambda level: _front(open_in=level),
        loose=None,
        at=("show",),
        beyond=("run",),
        rule="closed",
    ),
    Case(
        "permission-asked",
        "position",
        lambda level: _front(permission=level),
        loose=None,
        at={"state": "given"},
        beyond={"state": "asked", "by": "the keeper"},
        rule="permission",
    ),
    Case(
        "permission-refused",
        "position",
        lambda level: _front(permission=level),
        loose=None,
        at={"state": "given"},
        beyond={"state": "refused"},
        rule="permission",
    ),
    Case(
        "overhead-permission-by-somebody",
        "position",
        lambda level: _overhead(by=level),
        loose="the keeper and the owner",
        at="k",
        beyond="",
        rule="overhead",
    ),
    Case(
        "overhead-two-people",
        "position",
        lambda level: _overhead(people=level),
        loose=2,
        at=2,
        beyond=1,
        rule="overhead",
    ),
    Case(
        "overhead-skill-rigging",
        "position",
        lambda level: _overhead(skill=level),
        loose="rigging",
        at="rigging",
        beyond="driving",
        rule="overhead",
    ),
    Case(
        "somebody-may-build-there",
        "position",
        lambda level: {"role": {"manner": "locked-off"}, **_front(only_people=level)},
        loose=None,
        at=("ann",),
        beyond=(),
        rule="nobody-rigs",
    ),
)

# The active area is 16 x 9 mm: its diagonal is sqrt(256 + 81) = 18.358 mm.
# Rings: PL 52.0 - E 18.0 = 34 mm; C/Y 45.5 - A 44.5 = 1.00 mm; K 45.46 - A 44.5 = 0.96 mm.
CAMERAS = (
    Case(
        "unit-is-usable",
        "camera",
        lambda level: {"units": (unit("cam", condition=level),)},
        loose="good",
        at="worn",
        beyond="in-repair",
        rule="no-unit",
    ),
    Case(
        "item-has-a-unit",
        "camera",
        lambda level: {"counts": {"cam": level}},
        loose=1,
        at=1,
        beyond=0,
        rule="no-unit",
    ),
    Case(
        "mode-frame-rate",
        "camera",
        lambda level: _cam(mode={"frame_rate_fps": level}),
        loose=25,
        at=25.005,
        beyond=25.006,
        rule="mode",
    ),
    Case(
        "mode-frame-width",
        "camera",
        lambda level: _cam(mode={"frame_width_px": level}),
        loose=3840,
        at=1920,
        beyond=1919,
        rule="mode",
    ),
    Case(
        "mode-frame-height",
        "camera",
        lambda level: _cam(mode={"frame_height_px": level}),
        loose=2160,
        at=1080,
        beyond=1079,
        rule="mode",
    ),
    Case(
        "shutter-speed",  # the second body has 1/50 s and records no 25 frames per second
        "camera",
        lambda level: {
            "items": (
                body(shutter_speeds_per_s=(level,)),
                body("clock", mode={"frame_rate_fps": 50}, shutter_speeds_per_s=(50,)),
            )
        },
        loose=50,
        at=50.49,
        beyond=50.51,
        rule="shutter",
        value=float("nan"),
        limit=50,
    ),
    Case(
        "mount-taken-without-a-ring",
        "camera",
        lambda level: _pair(level[0], lens(mount=level[1])),
        loose=("EF", "EF"),
        at=("EF-S", "EF"),
        beyond=("EF", "EF-S"),
        rule="mount",
    ),
    Case(
        "adapter-between-these-mounts",
        "camera",
        lambda level: _pair("E", lens(mount="PL"), adapter(lens_mount=level)),
        loose="PL",
        at="PL",
        beyond="LPL",
        rule="mount",
    ),
    Case(
        "ring-obeys-the-flange",
        "camera",
        lambda level: _pair(
            level[0], lens(mount=level[1]), adapter(body_mount=level[0], lens_mount=level[1])
        ),
        loose=("E", "PL"),
        at=("A", "C/Y"),
        beyond=("A", "K"),
        rule="flange",
        value=0.96,
        limit=1.0,
    ),
    Case(
        "ring-between-unknown-mounts-is-not-judged",
        "camera",
        lambda level: _pair(
            level[0], lens(mount=level[1]), adapter(body_mount=level[0], lens_mount=level[1])
        ),
        loose=("E", "PL"),
        at=("PL", "own"),
        beyond=("PL", "E"),
        rule="flange",
        value=-34.0,
        limit=1.0,
    ),
    Case(
        "glass-is-not-bound-by-the-flange",
        "camera",
        lambda level: _pair(
            "PL", lens(mount="E"), adapter(lens_mount="E", body_mount="PL", has_glass=level)
        ),
        loose=True,
        at=True,
        beyond=False,
        rule="flange",
        value=-34.0,
        limit=1.0,
    ),
    Case(
        "image-circle-covers-the-area",
        "camera",
        lambda level: _pair("E", lens(image_circle_mm=level)),
        loose=40,
        at=337**0.5,
        beyond=18.35,
        rule="image-circle",
        value=18.35,
        limit=18.3576,
    ),
    Case(
        "image-circle-of-a-cropped-mode",  # 32 x 18 mm read at crop 2 are 16 x 9 mm again
        "camera",
        lambda level: {
            "items": (
                body(mount="E", sensor_width_mm=32, sensor_height_mm=18, mode={"crop": level}),
                lens(),
            )
        },
        loose=2,
        at=2,
        beyond=1.8,
        rule="image-circle",
        value=20,
        limit=20.3973,  # 2 * 18.3576 / 1.8
    ),
    Case(
        "image-circle-behind-glass",  # a factor of 0.8 shrinks the circle to 0.8 of its own
        "camera",
        lambda level: _pair(
            "E",
            lens(mount="PL", image_circle_mm=level, focal_min_mm=125, focal_max_mm=156.25),
            adapter(has_glass=True, focal_factor=0.8),
        ),
        loose=40,
        at=22.948,
        beyond=22.9,
        rule="image-circle",
        value=18.32,
        limit=18.3576,
    ),
)

CASES = (*POSITIONS, *CAMERAS)


@pytest.mark.parametrize("case", CASES, ids=ids(CASES))
def test_rule_of_rigs_binds(case: Case) -> None:
    """Beyond the bound the plan falls back on the second choice."""
    check_binds(case)


@pytest.mark.parametrize("case", CASES, ids=ids(CASES))
def test_rule_of_rigs_is_slack(case: Case) -> None:
    """At the bound the plan is the same as far within it."""
    check_is_slack(case)


@pytest.mark.parametrize("case", CASES, ids=ids(CASES))
def test_rule_of_rigs_makes_infeasible(case: Case) -> None:
    """Without a second choice the must role is missed for that reason."""
    check_makes_infeasible(case)
