"""The work of random turnarounds always passes the checker, whether it fits or not."""

from __future__ import annotations

import random
from typing import Any

import pytest

from kitplan.gear.kit import Kit, Unit
from kitplan.plan.records import Day, Placement, Plan, Rig
from kitplan.plan.verify.day import day_findings
from kitplan.plan.verify.scene import Scene
from kitplan.produce.day import work_of
from kitplan.shoot.records import Shoot
from kitplan.shoot.working import Break
from tests.day.work.made import brief_of
from tests.small import accessory, at, body, lens, person, position, run, show, small_kit, support
from tests.whatif.small import hand_plan, placed

PLACES = ("front", "left", "loft", "bar")


def random_plan(seed: int) -> Plan:
    """Return a plan of one to three cameras on each side with its work."""
    dice = random.Random(seed)
    kit = _kit(dice)
    shoot = _shoot(dice, kit)
    units = {name: [f"{name}-{n}" for n in range(1, 7)] for name in ("cam", "legs", "zoom", "cell")}
    cameras: list[Placement] = []
    for side in ("run", "show"):
        number = dice.randint(0 if side == "run" else 1, 3)
        free = {name: dice.sample(of, len(of)) for name, of in units.items()}
        for _ in range(number):
            cameras.append(_camera(dice, side, free, cameras))
    plan = hand_plan(shoot, cameras, kit=kit)
    return plan.model_copy(update={"day": Day(work=work_of(plan))})


def _kit(dice: random.Random) -> Kit:
    kit = small_kit(
        body(mount="E", mass_kg=dice.choice((1, 3))),
        support(mass_kg=dice.choice((2, 15, 45)), setup_min=dice.choice((None, 1.25, 9))),
        support("jib", people=2, skill="jib", is_arm=True, mass_kg=26),
        lens(),
        accessory("plate", "vmount"),
        accessory("sandbag").model_copy(update={"mass_kg": 7.0}),
        counts={"cam": 6, "legs": 6, "zoom": 6, "sandbag": 3},
    )
    own = dice.random() < 0.3
    return Kit(
        items=kit.items,
        units=tuple(
            Unit(**{**dict(u), "owner": "ann", "owner_only": True})
            if own and u.id == "zoom-1"
            else u
            for u in kit.units
        ),
    )


def _shoot(dice: random.Random, kit: Kit) -> Shoot:
    gap_min = dice.choice((None, None, 15, 25, 45, 70))
    brief = brief_of(
        kit,
        crew=tuple(
            _person(dice, name) for name in ("ann", "ben", "cy", "dan")[: dice.randint(1, 4)]
        ),
        passes=(run(gap_after_min=gap_min, is_dark_after=dice.random() < 0.3), show()),
        positions=(
            position("front", rigs=3, room_m=9),
            position("left", is_on_stage=dice.random() < 0.5, rigs=2, room_m=9),
            position("loft", floor_height_m=3.5, at_m=(3, -12)),
            position("bar", is_overhead=dice.random() < 0.6, stands_on="bar", floor_height_m=6),
        ),
        breaks=_breaks(dice),
        rules={"reset_slack": dice.choice((0, 0.25))},
    )
    shoot = brief.shoot
    return shoot.model_copy(
        update={
            "venue": shoot.venue.model_copy(
                update={
                    "people_through_door_min": dice.choice((0, 2.5)),
                    "loads_through_door": dice.randint(1, 2),
                }
            ),
            "carrying": shoot.carrying.model_copy(update={"carts": dice.randint(0, 2)}),
        }
    )


def _person(dice: random.Random, name: str) -> Any:
    skills = tuple(skill for skill in ("jib", "rigging") if dice.random() < 0.6)
    return person(
        name,
        skills=skills,
        is_first_time=dice.random() < 0.3,
        may_be_on_stage=dice.random() < 0.7,
        since=dice.choice((None, None, at(13), at(16, 40))),
        until=dice.choice((None, None, at(18), at(22))),
    )


def _breaks(dice: random.Random) -> tuple[Break, ...]:
    if dice.random() < 0.4:
        return ()
    people = dice.choice((None, ("ann",)))
    supper = Break(
        id="sup/per", length_min=20, since=at(16, 30), until=at(17, 45), people=people,
        is_together=dice.random() < 0.4,
    )  # fmt: skip
    tea = Break(id="tea", length_min=5, since=at(16), until=at(16, 45))
    return (supper, tea) if dice.random() < 0.3 else (supper,)


def _camera(
    dice: random.Random, side: str, free: dict[str, list[str]], known: list[Placement]
) -> Placement:
    """Return a camera of a pass; often it is where it was."""
    old = [one for one in known if one.pass_id.endswith("/run") and one.rig.body in free["cam"]]
    if side == "show" and old and dice.random() < 0.5:
        one = dice.choice(old)
        rig, place = one.rig, one.position
    else:
        stand = "jib-1" if dice.random() < 0.2 and "jib" not in free else free["legs"][0]
        free.setdefault("jib", []) if stand == "jib-1" else None
        zoom = free["zoom"][0] if dice.random() < 0.7 else None
        rig = Rig(body=free["cam"][0], mode="HD", lens=zoom, adapter=None, head=None, support=stand)
        place = dice.choice(PLACES)
    for name, unit in (("cam", rig.body), ("legs", rig.support), ("zoom", rig.lens)):
        if unit in free[name]:
            free[name].remove(unit)
    return placed(
        f"{rig.body[-1]}", place, in_pass=side, rig=rig,
        batteries=(free["cell"].pop(),), cards=(),
        accessories=tuple(_popped(free, dice)),
    )  # fmt: skip


def _popped(free: dict[str, list[str]], dice: random.Random) -> list[str]:
    """Return small things that no other camera of the pass has."""
    left = free.setdefault("small", ["plate-1", "sandbag-1", "sandbag-2"])
    return [left.pop() for _ in range(dice.randint(0, min(2, len(left))))]


def _check(seed: int) -> bool:
    """Check a plan and return whether all of its work fits."""
    plan = random_plan(seed)
    scenes = {name: Scene(shoot, plan.kit) for name, shoot in plan.shoots.items()}
    assert list(day_findings(plan, scenes)) == [], seed
    assert plan.day is not None
    assert plan.day.work is not None
    return not any(gap.reason for gap in plan.day.work.gaps)


def test_the_work_of_any_plan_holds() -> None:
    fits = [_check(seed) for seed in range(8)]
    assert 1 < sum(fits) < 8, "the plans say nothing about what fits and what does not"


@pytest.mark.long
@pytest.mark.parametrize("first", range(8, 308, 50))
def test_the_work_of_any_plan_holds_often(first: int) -> None:
    fits = [_check(seed) for seed in range(first, first + 50)]
    assert 0 < sum(fits) < len(fits)
