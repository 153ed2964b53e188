"""How long a camera lasts: untouched where nobody can reach it, throughout where a role asks."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.plan.records import Plan
from tests.allocate.cases import (
    Case,
    Parts,
    check_binds,
    check_is_slack,
    check_makes_infeasible,
    ids,
)
from tests.small import (
    body,
    card,
    head,
    position,
    refusals,
    role,
    show,
    small_brief,
    small_kit,
    solve,
    song,
    support,
    unit,
    words_of,
)

LOCKED = {"manner": "locked-off"}


def _away(*items: Any, **parts: Any) -> Parts:
    """A locked-off camera that nobody can reach."""
    spot = position("front", is_out_of_reach=True, **parts.pop("front", {}))
    return {"items": items, "positions": (spot,), "role": LOCKED, **parts}


# A pass of 20 minutes asks for 20 * 1.15 + 10 = 33 minutes untouched. An assumed battery gives
# 0.7 of its minutes, a measured one 0.85: 33 / 0.7 = 47.143, 33 / 0.85 = 38.824. A card gives
# 2.4 minutes a gigabyte: 33 / 2.4 = 13.75 GB. The figures are minutes to spare, and 0.
UNTOUCHED = (
    Case("battery-assumed", "camera", lambda level: _away(body(battery_min=level)),
         400, 47.15, 47.14, rule="endurance", value=32.998, limit=33),
    Case("battery-measured", "camera",
         lambda level: _away(body(battery_min=level, measured=("battery_min",))),
         400, 38.83, 38.82, rule="endurance", value=32.997, limit=33),
    Case("clip-limit", "camera", lambda level: _away(body(mode={"clip_limit_min": level})),
         None, 33.01, 32.99, rule="endurance", value=32.99, limit=33),
    Case("clip-limit-of-a-mode-that-splits", "camera",
         lambda level: _away(body(mode={"clip_limit_min": 5, "at_limit": level})),
         "splits", "splits", "stops", rule="endurance", value=5, limit=33),
    Case("heat-limit", "camera", lambda level: _away(body(heat_limit_min=level)),
         None, 33.01, 32.99, rule="endurance", value=32.99, limit=33),
    Case("on-mains", "camera",
         lambda level: _away(body(battery_min=10, runs_on_mains=level), front={"has_mains": True}),
         True, True, False, rule="endurance", value=7, limit=33),
    Case("largest-card", "camera",  # the spare camera writes to cards of its own
         lambda level: _away(body(card_type="cf"), card("cf", card_type="cf", capacity_gb=level),
                             card("cf-small", card_type="cf", capacity_gb=1)),
         100, 13.76, 13.74, rule="endurance", value=32.976, limit=33),
    Case("largest-card-that-is-fast-enough", "camera",
         lambda level: _away(body(card_type="cf"),
                             card("cf", card_type="cf", sustained_mb_s=level),
                             card("cf-small", card_type="cf", capacity_gb=10)),
         100, 7.5, 7.49, rule="endurance", value=24, limit=33),
    Case("shut-in-by-an-audience", "camera",
         lambda level: {**_away(body(battery_min=40)),
                        "positions": (position("front", is_shut_in_by_audience=True),),
                        "passes": (show(has_audience=level),)},
         False, False, True, rule="endurance", value=28, limit=33),
    Case("roll-factor", "camera",  # 28 minutes from the battery, 20 * 1.4
         lambda level: _away(body(battery_min=40),
                             rules={"roll_factor": level, "roll_extra_min": 0}),
         1, 1.39, 1.41, rule="endurance", value=28, limit=28.2),
    Case("roll-extra", "camera",
         lambda level: _away(body(battery_min=40),
                             rules={"roll_factor": 1, "roll_extra_min": level}),
         0, 7.99, 8.01, rule="endurance", value=28, limit=28.01),
)  # fmt: skip


@pytest.mark.parametrize("case", UNTOUCHED, ids=ids(UNTOUCHED))
def test_rule_of_lasting_binds(case: Case) -> None:
    """A camera that does not last gives way to the heavier one that does."""
    check_binds(case)


@pytest.mark.parametrize("case", UNTOUCHED, ids=ids(UNTOUCHED))
def test_rule_of_lasting_is_slack(case: Case) -> None:
    """A camera that lasts just long enough is as good as one that lasts for ever."""
    check_is_slack(case)


@pytest.mark.parametrize("case", UNTOUCHED, ids=ids(UNTOUCHED))
def test_rule_of_lasting_makes_infeasible(case: Case) -> None:
    """Without another camera the must role is missed."""
    check_makes_infeasible(case)


@pytest.mark.parametrize("battery_min", [47.14, 10], ids=str)
def test_an_operated_camera_need_not_last_untouched(battery_min: float) -> None:
    """Shut in, an operator sits beside it: only the card has to hold all."""
    brief = small_brief(
        small_kit(body(battery_min=battery_min)),
        positions=(position("front", is_shut_in_by_audience=True),),
        roles=(role(manner="operated"),),
    )
    assert solve(brief).status == "solved"


def test_lasting_exactly_as_long_as_it_must_is_enough() -> None:
    """A clip limit of 33 minutes against 20 * 1.15 + 10."""
    brief = UNTOUCHED[2].brief(33, has_second=False)
    assert solve(brief).status == "solved"


def test_the_refusal_says_how_long_it_lasts_and_must() -> None:
    """'it lasts 28 min and needs 33 min', and not '-5 min and needs 0 min'."""
    brief = UNTOUCHED[0].brief(40, has_second=False)
    found = [r for r in refusals(brief) if r.rule == "endurance"]
    assert found
    assert all((r.value, r.limit) == pytest.approx((28, 33)) for r in found)


def test_a_remote_head_does_not_change_a_battery() -> None:
    """Out of reach an operated camera has to last as well."""
    remote = head(is_remote=True, fitting="bowl-75")
    legs = support(fitting="bowl-75")

    def operated(battery_min: float) -> Plan:
        kit = small_kit(body(battery_min=battery_min), remote, legs)
        spots = (position("front", is_out_of_reach=True),)
        return solve(small_brief(kit, positions=spots, roles=(role(manner="operated"),)))

    assert operated(47.15).status == "solved"
    assert operated(47.14).status == "musts-missed"


# -- rolls throughout ------------------------------------------------------------------------------
# Two songs of 9 minutes. A gap that is long enough for the job parts them: the longest stretch is
# 9 minutes. One that is too short joins them: 9 + gap + 9.


def _throughout(*items: Any, gap_s: float = 60, **parts: Any) -> Parts:
    songs = (song("first", gap_s=gap_s), song("second", gap_s=gap_s))
    return {"items": items, "songs": songs, "role": {"rolls_throughout": True}, **parts}


SMALL_CARD = card("cf", card_type="cf", capacity_gb=9.1 / 2.4)
"""9.1 minutes."""
THROUGHOUT = (
    Case("clip-of-one-song", "camera",
         lambda level: _throughout(body(mode={"clip_limit_min": level})),
         None, 9.01, 8.99, rule=""),
    Case("gap-to-restart-a-clip", "camera",
         lambda level: _throughout(body(mode={"clip_limit_min": 9.1}), gap_s=level),
         60, 10, 9.9, rule=""),
    Case("clip-of-a-mode-that-splits", "camera",
         lambda level: _throughout(body(mode={"clip_limit_min": 5, "at_limit": level})),
         "splits", "splits", "stops", rule=""),
    Case("battery-of-one-song", "camera",  # 0.7 * 12.86 = 9.002, 0.7 * 12.85 = 8.995
         lambda level: _throughout(body(battery_min=level)), 400, 12.86, 12.85, rule=""),
    Case("gap-to-change-a-battery", "camera",
         lambda level: _throughout(body(battery_min=13.1), gap_s=level),
         70, 60, 59.9, rule=""),
    Case("card-of-one-song", "camera",  # 9 / 2.4 = 3.75 GB
         lambda level: _throughout(body(card_type="cf"),
                                   card("cf", card_type="cf", capacity_gb=level), counts={"cf": 9}),
         100, 3.76, 3.74, rule=""),
    Case("gap-to-change-a-card", "camera",
         lambda level: _throughout(body(card_type="cf"), SMALL_CARD, counts={"cf": 9}, gap_s=level),
         60, 30, 29.9, rule=""),
    Case("heat-of-the-whole-pass", "camera",  # 20 minutes
         lambda level: _throughout(body(heat_limit_min=level)), None, 20, 19.99, rule=""),
    Case("out-of-reach-untouched", "camera",
         lambda level: {**_throughout(body(battery_min=level)),
                        "positions": (position("front", is_shut_in_by_audience=True),)},
         400, 47.15, 47.14, rule=""),
)  # fmt: skip


@pytest.mark.parametrize("case", THROUGHOUT, ids=ids(THROUGHOUT))
def test_rolling_throughout_binds(case: Case) -> None:
    """The camera that would stop inside a song gives way to the heavier one."""
    check_binds(case)


@pytest.mark.parametrize("case", THROUGHOUT, ids=ids(THROUGHOUT))
def test_rolling_throughout_is_slack(case: Case) -> None:
    """Just long enough is long enough."""
    check_is_slack(case)


@pytest.mark.parametrize("case", THROUGHOUT, ids=ids(THROUGHOUT))
def test_rolling_throughout_makes_infeasible(case: Case) -> None:
    """Without another camera the must role is missed."""
    check_makes_infeasible(case)


@pytest.mark.parametrize("rolls_throughout", [True, False])
def test_a_role_that_does_not_ask_is_done_by_a_camera_that_stops(rolls_throughout: bool) -> None:
    """A clip limit of 5 minutes inside songs of 9."""
    kit = small_kit(body(mode={"clip_limit_min": 5}))
    plan = solve(small_brief(kit, roles=(role(rolls_throughout=rolls_throughout),)))
    assert set(plan.clash) == (words_of(plan, "close") if rolls_throughout else set())


def test_rolling_throughout_counts_the_card_that_is_in_the_camera() -> None:
    """The large card is in repair; cards of 3 GB hold 7.2 minutes of songs of 9."""
    cards = (card("small", capacity_gb=3), card())
    kit = small_kit(*cards, counts={"small": 9}, units=(unit("card", condition="in-repair"),))
    plan = solve(small_brief(kit, roles=(role(rolls_throughout=True),)))
    assert set(plan.clash) == words_of(plan, "close")
