"""Lives of cards and batteries in the roll plan against published figures and definitions."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.day.rolls import days_of
from kitplan.plan.verify.day.clocked import PassClock
from tests.day.small import SHOW, cam, kit_of, placed, plan_of, scenes_of, shoot_of, songs_of, worn
from tests.small import MODE, card


@pytest.mark.parametrize(
    ("capacity_gb", "bit_rate_mbps", "fill", "minutes"),
    [
        # minutes = 8 * bytes / (rate * 60), GB = 10^9 bytes (SI prefix)
        (64, 50, 1, 170.6667),
        (64, 100, 1, 85.3333),
        (128, 150, 1, 113.7778),
        (256, 200, 1, 170.6667),
        (1000, 240, 1, 555.5556),
        (45, 100, 1, 60.0),  # 100 Mb/s are 45 GB an hour
        (64, 50, 0.9, 153.6),  # the same at nine tenths
        (64, 200, 0.9, 38.4),
    ],
)
def test_a_card_lasts_what_the_units_say(
    capacity_gb: float, bit_rate_mbps: float, fill: float, minutes: float
) -> None:
    """To the second, rounded down; in the plan and in its check."""
    body = cam("one").model_copy(update={"modes": ()})
    mode = {**MODE, "bit_rate_mbps": bit_rate_mbps}
    body = type(body).model_validate({**dict(body), "modes": (mode,)})
    kit = kit_of(body, cards=(card(capacity_gb=capacity_gb, sustained_mb_s=500),))
    plan = plan_of(
        shoot_of(songs_of((60, 0)), rules={"card_fill": fill}), kit, (placed("A", "one"),)
    )
    assert days_of(plan)[0].recorders[0].cards[0].life_s == int(minutes * 60 + 0.01)
    clock = PassClock(plan, scenes_of(plan)["small"], plan.shoots["small"].passes[0], SHOW)
    assert clock.card_s(clock.placements["A"], "card-9") == int(minutes * 60 + 0.01)


@pytest.mark.parametrize(
    ("hours", "measured", "health", "share"),
    [
        # 98 Wh at 30 W run 3.2667 h (t = Wh / W, definition)
        (98 / 30, (), 1.0, 0.7),
        (98 / 30, ("battery_min",), 1.0, 0.85),
        (98 / 30, (), 0.5, 0.7),
    ],
)
def test_a_battery_is_planned_on_in_part(
    hours: float, measured: tuple[str, ...], health: float, share: float
) -> None:
    """Measured minutes at 85 %, others at 70 %, and the health of the unit itself."""
    body = cam("one", battery_s=hours * 3600, measured=measured)
    facts: dict[str, Any] = worn([health * 100], 100)
    rules = {"battery_measured": 0.85, "battery_assumed": 0.7}
    plan = plan_of(
        shoot_of(songs_of((60, 0)), rules=rules),
        kit_of(body, **facts),
        (placed("A", "one", batteries=("cell-1",)),),
    )
    life = int(11760 * share * health + 0.01)
    assert days_of(plan)[0].recorders[0].batteries[0].life_s == life
    clock = PassClock(plan, scenes_of(plan)["small"], plan.shoots["small"].passes[0], SHOW)
    assert clock.battery_s(clock.placements["A"], "cell-1") == life
