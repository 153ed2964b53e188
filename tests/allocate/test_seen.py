"""Rules of what a view sees, in whole plans: each refuses the front, and the left is taken instead.

The medium shot from the front is level at 1.363 m, 12 m before the singer, 0.075 m of height and
0.1333 m of width for each metre of depth. Its points are 0.965, 1.070, 1.175, 1.279 m ... high:
three hidden ones of eight are too many. Nothing here is in the picture from the left.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.allocate.cases import (
    Case,
    Parts,
    check_binds,
    check_is_slack,
    check_makes_infeasible,
    ids,
)
from tests.small import AS_USUAL, show, singer

HIDDEN = {name: AS_USUAL[name] for name in ("hidden_full", "hidden_fair", "hidden_most")}
ROWS = ((-2, -8), (2, -8), (2, -2), (-2, -2))
BEHIND = ((-1.2, 8), (1.2, 8), (1.2, 20), (-1.2, 20))


def _desk(height_m: float) -> Parts:
    """Half way to her the ray to z is at 1.363 + (z - 1.363) / 2: 1.24 m hide z < 1.117."""
    outline = ((-2, -4), (2, -4), (2, -3.9), (-2, -3.9))
    desk = {"id": "desk", "outline_m": outline, "height_m": height_m}
    return {"obstacles": (desk,), "rules": HIDDEN}


def _heads(height_m: float) -> Parts:
    """8 of 12 m away the ray is at 1.363 + (z - 1.363) * 2 / 3: 1.2 m hide z < 1.119."""
    return {
        "audience": ({"id": "rows", "outline_m": ROWS},),
        "rules": {**HIDDEN, "heads_seated_m": height_m},
    }


def _laser(facts: Any) -> Parts:
    """2 m behind her, in the frame."""
    beam = {"id": "beam", "kind": "laser", "at_m": (0.3, 4), "height_m": 1.6}
    return {"lamps": () if facts is None else ({**beam, **facts},)}


def _kid(wide_m: float) -> Parts:
    """Somebody without consent, 3 m behind her and half a metre aside."""
    kid = singer("kid", at_m=(0.5, 5), has_consent=False)
    return {"subjects": (singer(), kid), "rules": {"consent_wide_m": wide_m}}


def _seats(share: float) -> Parts:
    """Seats as wide as the frame 18 m away and 3 / 5 of it 30 m away, 0.463 m under the axis: from
    v = 0.843 to 0.706, 0.1372 * (1 + 0.6) / 2 = 10.975 %. The house is as bright as the stage.
    """
    return {
        "audience": ({"id": "behind", "outline_m": BEHIND},),
        "passes": (show(has_audience=False, doors=None, house_lux=500),),
        "rules": {"seats_share_plain": share, "seats_share_soft": max(share, 0.18)},
    }


def _steady(share: float) -> Parts:
    """Legs and concrete under a seated audience: 0.01204 degrees of 4.295 are 0.28035 %."""
    return {"role": {"manner": "operated"}, "rules": {"steady_operated": share}}


CASES = (
    Case("hidden-by-a-desk", "position", _desk, 0.5, 1.24, 1.28,
         rule="hidden", value=37.5, limit=25, alone=True),
    Case("hidden-by-heads", "position", _heads, 0.5, 1.2, 1.25,
         rule="hidden", value=37.5, limit=25, alone=True),
    Case("laser", "position", _laser, None, {"faces_deg": 0}, {}, rule="laser"),
    Case("laser-that-is-off", "position", _laser, None, {"passes": ("run",)}, {"passes": ("show",)},
         rule="laser"),
    Case("consent", "position", _kid, 0.5, 0.9, 0.91, rule="consent", value=0.9, limit=0.91),
    Case("empty-seats", "position", _seats, 1, 0.1098, 0.1097,
         rule="empty-seats", value=10.9748, limit=10.97),
    Case("steadiness", "position", _steady, 99, 0.0028036, 0.0028034,
         rule="steadiness", value=0.280352, limit=4.29519, alone=True),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=ids(CASES))
def test_rule_of_the_picture_binds(case: Case) -> None:
    """Beyond the bound the plan films from the left."""
    check_binds(case)


@pytest.mark.parametrize("case", CASES, ids=ids(CASES))
def test_rule_of_the_picture_is_slack(case: Case) -> None:
    """At the bound the front will do."""
    check_is_slack(case)


@pytest.mark.parametrize("case", CASES, ids=ids(CASES))
def test_rule_of_the_picture_makes_infeasible(case: Case) -> None:
    """Without the left the must role is missed for that reason, with these figures."""
    check_makes_infeasible(case)
