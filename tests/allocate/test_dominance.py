"""Cameras that another recording mode makes superfluous are left out, and nothing is lost by it."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.allocate.dominance import superfluous_cameras
from kitplan.allocate.search import search
from kitplan.allocate.solver import Limits
from kitplan.gear.records import Body
from kitplan.options.spots import Options, Spot, find_options
from kitplan.whatif.changed import with_item
from tests.random_shoots import random_brief
from tests.small import MODE, body, card, small_brief, small_kit

ONE = Limits(seconds=20, seed=1, workers=1)


def spot_with(**second: Any) -> Spot:
    """Return the position in front with a body that has the usual mode and a second one."""
    cam = body(modes=(MODE, {**MODE, "name": "second", **second}))
    spots = find_options(small_brief(kit=small_kit(cam, card("card")))).spots
    return next(spot for spot in spots if spot.position.id == "front" and len(spot.cameras) == 2)


@pytest.mark.parametrize(
    ("second", "left_out"),
    [
        ({}, {1}),  # of two that are the same the first stays
        ({"bit_rate_mbps": 100}, {1}),  # 1200 minutes on a card, still one card
        ({"bit_rate_mbps": 7000}, {1}),  # too fast for the card: none would do
        ({"clip_limit_min": 5}, {1}),  # stops in every song
        ({"crop": 2}, set()),  # other shots
        ({"crop": 1.05}, {1}),  # a little narrower: takes no more, and shows no more
    ],
    ids=["same", "bit-rate", "too-fast", "clip-limit", "crop", "little-crop"],
)
def test_a_mode_that_does_no_more_for_no_less_is_left_out(
    second: dict[str, Any], left_out: set[int]
) -> None:
    """By hand, the two modes of one body."""
    assert superfluous_cameras(spot_with(**second)) == left_out


def test_a_camera_of_a_plan_before_stays() -> None:
    """Nobody turns a dial on a rig that stands, merely because another mode is as good."""
    spot = spot_with(bit_rate_mbps=100)
    wanted = {(camera.items, camera.mode.name) for camera in spot.cameras}
    assert superfluous_cameras(spot, wanted) == set()


def doubled(seed: int) -> Options:
    """Return what is possible in a random shoot whose bodies have one mode more: like their first,
    but half as much again on the card.
    """
    brief = random_brief(seed)
    for each in brief.kit.of_kind(Body):
        first = each.modes[0]
        facts = {"name": "more", "bit_rate_mbps": 1.5 * first.bit_rate_mbps}
        modes = (*each.modes, first.model_copy(update=facts))
        brief = with_item(brief, each.id, modes=modes)
    return find_options(brief)


def values_of(options: Options) -> dict[str, int]:
    """Return the best values of the goals."""
    found = search(options, ONE)
    assert all(reached.is_proven for reached in found.reached.values())
    return {goal: reached.value for goal, reached in found.reached.items()}


def compare(seeds: range, monkeypatch: pytest.MonkeyPatch) -> int:
    """Hold each shoot against itself with every camera; return how many cameras were left out."""
    every = [doubled(seed) for seed in seeds]
    own = [values_of(options) for options in every]
    number = sum(
        len(superfluous_cameras(spot))
        for options in every
        for spot in options.spots
        if spot.cameras
    )
    monkeypatch.setattr("kitplan.allocate.variables.superfluous_cameras", lambda *_: frozenset())
    assert [values_of(options) for options in every] == own
    return number


def test_nothing_is_lost_by_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """On some random shoots, all seven goals."""
    assert compare(range(8), monkeypatch) > 8


@pytest.mark.long
def test_nothing_is_ever_lost_by_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """On many."""
    assert compare(range(8, 150), monkeypatch) > 150
