"""The battery rota: each camera's batteries in the order in which they go in."""

from __future__ import annotations

from kitplan.paper.power import power_text
from kitplan.plan.day.power import PackUse, PowerPlan
from kitplan.plan.day.rolls import Clip, Roll, RollPlan
from kitplan.plan.records import Day
from tests.day.supplies import RUN, placed


def used(unit: str) -> PackUse:
    """Return a use of a battery in the run."""
    return PackUse(
        pass_id=RUN, letter="A", unit=unit, minutes=20, full_min=25, before=1.0, after=0.2
    )


def clip(start_s: float, battery: str) -> Clip:
    """Return ten minutes of recording."""
    return Clip(
        start_s=start_s, end_s=start_s + 600, battery=battery, card="card-1", ends_by="hand"
    )


def test_batteries_stand_as_they_go_in() -> None:
    """As the restart sheet says it, not as the plan names them."""
    rolls = RollPlan(
        rolls=(Roll(pass_id=RUN, letter="A", clips=(clip(0, "cell-1"), clip(700, "rec-cell-1"))),),
        touches=(),
        blind=(),
        reached=(),
    )
    power = PowerPlan(
        uses=(used("rec-cell-1"), used("cell-1")),
        mains=(),
        charges=(),
        spares=(),
        value=(0, 0, 0),
        bound=(0, 0, 0),
        is_proven=True,
    )
    for known, order in ((rolls, ["cell-1", "rec-cell-1"]), (None, ["rec-cell-1", "cell-1"])):
        plan = placed().model_copy(update={"day": Day(power=power, rolls=known)})
        rows = [line.split() for line in power_text(plan).splitlines() if "Camera A" in line]
        assert [row[2] for row in rows] == order
