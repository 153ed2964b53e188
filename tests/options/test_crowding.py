"""Rigs, operators and sweeps in the pictures of others: sizes and levels by hand, then every pair.

The wide shot of the singer from the front is level at 1.6 m and 4 m high 12 m away: at a depth d
it shows d / 3 m of height, from 1.6 - d / 6 to 1.6 + d / 6, and d / 3 * 16 / 9 of width. What
stands on the floor further away than 9.6 m is seen down to its foot.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from kitplan.options.presence import CardAt, Kind, Presence
from kitplan.options.sights import blocked_at
from kitplan.options.spots import Options, find_options
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass
from kitplan.shoot.scenery import heads, solids
from kitplan.shoot.venue import Position, Subject
from kitplan.stage.frame import card_boxes
from tests.examples import usual
from tests.small import (
    AS_USUAL,
    position,
    run,
    show,
    singer,
    small_brief,
    small_kit,
    support,
)

RIG, OPERATOR = Kind(False), Kind(True)
FRONT = position("front", lens_height_m=1.6)


def options_of(*others: Position, kit: Any = None, **parts: Any) -> Options:
    """Return the options of a shoot with the front and other positions."""
    given = {"positions": (FRONT, *others), "rules": AS_USUAL, **parts}
    return find_options(small_brief(kit, **given))


def other(depth_m: float, x: float = 0.0, item: str = "other", **facts: Any) -> Position:
    """Return a position so far before the lens; its rig is 1.65 m high, its operator 1.7 m."""
    place = (x, -10 + depth_m)
    return position(item, **{"at_m": place, "lens_height_m": 1.5, "room_m": 9, **facts})


def level(
    options: Options, kind: Kind = RIG, *, of: str = "other", size: str = "WS", number: int = 0
) -> int:
    """Return the level at which a kind of presence is in the singer's picture from the front."""
    row = [view.key for view in options.views].index(("front", "singer", size))
    found = options.crowding.seen(options.brief.shoot.passes[number])
    return next((s.level_of(row) for s in found if (s.position, s.kind) == (of, kind)), 0)


# -- levels ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("performance", "depth_m", "expected"),
    [
        # the rig takes 1.65 / (d / 3) = 4.95 / d of the height
        ("concert", 500, 0),  # 0.99 %
        ("concert", 490, 1),  # 1.01 %
        ("concert", 49.5, 1),  # 10 %
        ("concert", 49, 2),
        ("concert", 24.75, 2),  # 20 %
        ("concert", 24.5, 3),
        ("worship", 24.75, 2),
        ("worship", 24.5, 3),
        ("dance", 490, 3),  # nothing may be seen at all
        ("dance", 500, 0),  # what is that small nobody notices
        ("theatre", 490, 3),
        ("school", 490, 3),
    ],
)
def test_the_level_of_a_rig_by_its_size(performance: str, depth_m: float, expected: int) -> None:
    """Behind the singer in a wide shot: 1 % is noticed, 10 % costs two marks, 20 % is refused."""
    assert level(options_of(other(depth_m), performance=performance)) == expected


@pytest.mark.parametrize(("depth_m", "rig", "operator"), [(25, 2, 3), (49.8, 1, 2), (497, 0, 1)])
def test_an_operator_is_a_little_taller_than_the_rig(
    depth_m: float, rig: int, operator: int
) -> None:
    """5.1 / d of the height: 20.4 % where the rig has 19.8, and so on."""
    options = options_of(other(depth_m))
    assert (level(options), level(options, OPERATOR)) == (rig, operator)


def test_figures_are_kept_with_the_level() -> None:
    """A rig 30 m away takes 16.5 % of the height; of a view it is not in, nothing is known."""
    options = options_of(other(30))
    row = [view.key for view in options.views].index(("front", "singer", "WS"))
    found = options.crowding.seen(options.brief.shoot.passes[0])
    seen = next(s for s in found if (s.position, s.kind) == ("other", RIG))
    assert seen.share_of(row) == pytest.approx(0.165)
    assert (seen.level_of(row), seen.is_across_in(row)) == (2, False)
    own = [view.key for view in options.views].index(("other", "singer", "WS"))
    assert (seen.level_of(own), seen.share_of(own), seen.is_across_in(own)) == (0, 0.0, False)


@pytest.mark.parametrize(
    ("x", "is_seen"),
    # the frame is 30 / 3 * 16 / 9 / 2 = 8.89 m wide to either side at that depth, the rig 0.25 m
    [(8.5, True), (9.1, True), (9.25, False), (-9.1, True), (-9.25, False)],
)
def test_a_rig_beside_the_frame_is_not_seen(x: float, is_seen: bool) -> None:
    """A corner of it is enough (turned to the lens it is a little nearer on its inner side)."""
    assert (level(options_of(other(30, x))) > 0) == is_seen


def test_a_rig_behind_the_lens_is_not_seen() -> None:
    """Nor one a little beside it."""
    assert level(options_of(other(-3))) == 0
    assert level(options_of(other(0, 1))) == 0


def test_rigs_at_one_position_do_not_see_each_other() -> None:
    """However many stand there."""
    options = options_of(kit=small_kit(support("slider", moves=("track",))))
    assert options.crowding.seen(options.brief.shoot.passes[0]) == ()


# -- across the subject ----------------------------------------------------------------------------

LOW: Any = {"lens_height_m": 0.5}
"""A rig of 0.65 m: 19.5 % of 10 / 3 m of height 10 m away, too little to be refused for that."""


@pytest.mark.parametrize(
    ("depth_m", "x", "expected"),
    [
        (10, 0, 3),
        # its points lie within 0.15 m of 10.67 m of half frame 12 m away: 0.0211 of the frame's
        # width to either side; the rig 10 m away takes 0.25 of 5.926 m, 0.0422: together 0.375 m
        (10, 0.36, 3),
        (10, 0.39, 2),
        (10, -0.36, 3),
        (10, -0.39, 2),
        # behind her it covers nothing, however near to the line
        (16, 0, 2),
        (12.1, 0, 2),
    ],
    ids=str,
)
def test_what_stands_before_the_subject_is_refused(depth_m: float, x: float, expected: int) -> None:
    """Nearer than she is and overlapping her in the picture."""
    assert level(options_of(other(depth_m, x, **LOW))) == expected


def test_what_lies_under_the_subject_in_the_picture_is_not_before_it() -> None:
    """6 m away the frame ends 0.6 m over the floor: 5 cm of the rig are seen, under her feet.

    The lowest of her points is 0.109 m up, v = 0.5 + 1.491 / 4 = 0.873; the rig begins at 0.975.
    """
    assert level(options_of(other(6, 0, **LOW))) == 1


def test_a_group_is_covered_from_the_waist_up_only() -> None:
    """A group counts with its points at 6/10 and more: 1.05 m up. A low rig does not reach them."""
    choir = Subject(id="singer", kind="group", at_m=(0, 2), width_m=2, frames_m={"WS": 4})
    assert level(options_of(other(10, 0, **LOW), subjects=(choir,))) == 2
    assert level(options_of(other(10, 0, lens_height_m=1.2), subjects=(choir,))) == 3


# -- what hides a rig ------------------------------------------------------------------------------

SEATS = ((-5, -8), (5, -8), (5, -1), (-5, -1))
AUDIENCE = ({"id": "house", "outline_m": SEATS},)
BOTH = (run(), show())


@pytest.mark.parametrize(
    ("lens_m", "in_run", "in_show"),
    [
        # the ray to its top, 10 m away, passes the last row, 9 m away, at 1.6 - 0.9 (1.6 - top)
        (0.5, 2, 0),  # 0.745 m: foot, middle and top are behind heads of 1.3 m
        (1.1, 3, 0),  # 1.285 m
        (1.2, 3, 3),  # 1.375 m: its top looks over them; what is hidden of it does not count
    ],
)
def test_a_rig_behind_heads_is_not_seen(lens_m: float, in_run: int, in_show: int) -> None:
    """Only while people sit there; and only if all of it is hidden."""
    low = other(10, 1.5, lens_height_m=lens_m)
    options = options_of(low, audience=AUDIENCE, passes=BOTH)
    assert (level(options, number=0), level(options, number=1)) == (in_run, in_show)


@pytest.mark.parametrize(
    ("facts", "expected"), [({}, 0), ({"height_m": 1.5}, 2), ({"base_m": 1}, 2)], ids=str
)
def test_an_obstacle_hides_a_rig(facts: Any, expected: int) -> None:
    """A wall before it; a lower one leaves its top, a banner its foot to be seen."""
    outline = ((-3, 19), (3, 19), (3, 19.2), (-3, 19.2))
    wall = ({"id": "wall", "outline_m": outline, "height_m": 3, **facts},)
    assert level(options_of(other(30), obstacles=wall)) == expected


def test_performers_do_not_hide_a_rig() -> None:
    """They move: a choir between the lens and the rig is no cover."""
    row = Subject(id="row", kind="group", outline_m=((-3, 10), (3, 10), (3, 11), (-3, 11)))
    assert level(options_of(other(30), subjects=(singer(), row))) == 2


# -- sweeps ----------------------------------------------------------------------------------------


def test_a_sweep_counts_with_the_worst_of_its_places() -> None:
    """Home is 9.5 m beside the axis, outside the frame of 8.89 m; 1 m of track reaches into it."""
    slider = small_kit(support("slider", moves=("track",), sweep_m=1))
    options = options_of(other(30, 9.5), kit=slider)
    assert level(options) == 0
    assert level(options, Kind(True, "line", 1.0)) == 2


@pytest.mark.parametrize(
    ("park_deg", "expected"), [(None, 3), (90, 2), (270, 3)], ids=["swings", "away", "in-the-frame"]
)
def test_a_parked_arm_costs_marks_but_refuses_nothing(
    park_deg: float | None, expected: int
) -> None:
    """An arm of 3 m, 4.5 m right of the axis and 10 m away; the frame is 2.96 m to either side.

    Swung to 270 degrees, house left, its end is 1.5 m off the axis at 1 to 2 m of height: a third
    of the frame. Parked at 90 degrees it is 7.5 m off.
    """
    jib = small_kit(support("jib", is_arm=True, sweep_m=3))
    beside = other(10, 4.5, arc_deg=(270, 90), park_deg=park_deg)
    options = options_of(beside, kit=jib)
    assert level(options) == 0
    assert level(options, Kind(True, "arm", 3.0)) == expected


def test_only_what_the_kit_can_build_is_seen() -> None:
    """Neither a clamp nor a jib stands there; the legs do, and nothing else moves."""
    kit = small_kit(
        support("clamp", stands_on=("rail",)), support("jib", is_arm=True, footprint_m=9.5)
    )
    options = options_of(other(30), kit=kit)
    assert options.crowding.kinds["other"] == (RIG, OPERATOR)


# -- the index loses nothing -----------------------------------------------------------------------


def venue(seed: int) -> Brief:
    """A random venue with lenses high above the stage, right beside it and on towers."""
    dice = np.random.default_rng(seed)
    places = tuple(_somewhere(dice, number) for number in range(8))
    high: Any = {"height_min_m": 0, "height_max_m": 12}
    kit = small_kit(
        support(**high, stands_on=("floor", "rail", "bar")),
        support("slider", **high, moves=("track",)),
        support("jib", **high, is_arm=True, sweep_m=3),
    )
    subjects = (
        singer(at_m=tuple(map(float, dice.uniform((-4, 0), (4, 6))))),
        singer("near", at_m=places[0].at_m, floor_height_m=-1),  # right under a lens
        Subject(id="choir", kind="group", at_m=(0, 3), width_m=4),
        Subject(id="stage", kind="stage"),
    )
    block = ((-1, -4), (2, -4), (2, -3), (-1, -3))
    return small_brief(
        kit,
        positions=places,
        subjects=subjects,
        audience=({"id": "house", "outline_m": ((-6, -15), (6, -15), (6, -2), (-6, -2))},),
        obstacles=({"id": "desk", "outline_m": block, "height_m": 2.5},),
        rules=AS_USUAL,
    )


def _somewhere(dice: np.random.Generator, number: int) -> Position:
    stands_on = str(dice.choice(["floor", "floor", "rail", "bar"]))
    is_low = stands_on == "floor"
    return position(
        f"p{number}",
        at_m=tuple(map(float, dice.uniform((-12, -16), (12, 9)))),
        stands_on=stands_on,
        floor_height_m=float(
            dice.choice([0, dice.uniform(0, 9)]) if is_low else dice.uniform(2, 12)
        ),
        lens_height_m=float(dice.uniform(0.5, 9) if is_low else dice.uniform(0, 0.3)),
        room_m=9,
        arc_deg=tuple(map(float, dice.uniform(0, 360, 2))) if number % 2 else None,
        park_deg=float(dice.uniform(0, 360)) if number % 3 == 0 else None,
    )


@pytest.mark.parametrize("seed", usual(4, range(10)))
def test_no_pair_of_view_and_card_is_lost(seed: int) -> None:
    """Every card held against every frame one by one gives the same levels, steep lenses too."""
    options = find_options(venue(seed))
    each = options.brief.shoot.passes[0]
    found = {
        (seen.position, seen.kind, int(row)): int(own)
        for seen in options.crowding.seen(each)
        for row, own in zip(seen.rows, seen.levels, strict=True)
    }
    assert any(abs(axis[2]) > 0.5 for axis in options.lookout.cameras.forward)  # 30 degrees
    assert found == dict(_one_by_one(options, each))
    assert set(found.values()) == {1, 2, 3}


def _one_by_one(options: Options, each: Pass) -> Iterator[tuple[tuple[str, Kind, int], int]]:
    for place in options.brief.shoot.venue.positions:
        for kind in options.crowding.kinds[place.id]:
            levels: dict[int, int] = {}
            for card in Presence(place, kind).cards:
                for row, own in _levels_of(options, each, place, card):
                    levels[row] = max(levels.get(row, 0), own)
            for row, own in levels.items():
                yield (place.id, kind, row), own


def _levels_of(
    options: Options, each: Pass, place: Position, card: CardAt
) -> Iterator[tuple[int, int]]:
    """The level of one card in every view that it is in, from the words of docs/model.md."""
    rules, cameras = options.brief.shoot.rules, options.lookout.cameras
    boxes = card_boxes(cameras, np.tile(np.array(card[:5]), (len(options.views), 1)))
    blocks = (*solids(options.brief.shoot), *heads(options.brief.shoot, each))
    is_in = (boxes[:, 2] > boxes[:, 0]) & (boxes[:, 3] - boxes[:, 1] > rules.rig_least_share)
    points = [np.array((card.x, card.y, z)) for z in np.linspace(card.foot_m, card.top_m, 3)]
    rows = np.flatnonzero(is_in)
    is_hidden = np.all([blocked_at(cameras.place_m[rows], at, blocks) for at in points], axis=0)
    for row in map(int, rows[~is_hidden]):
        (left, upper, right, lower), lens = boxes[row], cameras.place_m[row]
        view = options.views[row]
        if view.position == place:
            continue
        middle = options.lookout.middles[row]
        to_card = np.hypot(lens[0] - card.x, lens[1] - card.y)
        is_across = (
            to_card < np.hypot(lens[0] - view.aim_m[0], lens[1] - view.aim_m[1])
            and min(right, middle[2]) > max(left, middle[0])
            and min(lower, middle[3]) > max(upper, middle[1])
        )
        height = lower - upper
        own = 3 if is_across or height > 0.2 else 2 if height > 0.1 else 1
        yield row, min(own, 2) if card.is_avoidable else own
