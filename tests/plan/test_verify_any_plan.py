"""The checker takes any plan: it never fails, whatever a plan says, and finds real ones sound."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError
from ruamel.yaml import YAML

from kitplan.allocate.search import Limits
from kitplan.gear.kit import Kit
from kitplan.plan.records import Plan
from kitplan.plan.verify import Finding, verify
from kitplan.produce.solve import plan_shoot
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Shoot
from kitplan.tables import folder, scenario
from tests.examples import usual
from tests.plan.small import honest_plan
from tests.stored import stored_plan

NUMBERS = (0, -1, 1, 1e-300, 1e-9, 1e5, 1e6)
WORDS = ("nothing", "singer", "stage", "cam", "cam-1", "zoom", "front", "show", "WS", "CU")


def _places(data: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Yield the path of every value inside plain data."""
    if path:
        yield path
    keys = data.keys() if isinstance(data, dict) else range(len(data))
    for key in keys:
        if isinstance(data[key], (dict, list)):
            yield from _places(data[key], (*path, key))
        else:
            yield (*path, key)


def spoil(data: Any, chance: random.Random) -> None:
    """Change one value anywhere: another number, word or truth, or something from elsewhere."""
    places = list(_places(data))
    place, other = chance.choice(places), chance.choice(places)
    *path, last = place
    inside, elsewhere = data, data
    for key in path:
        inside = inside[key]
    for key in other:
        elsewhere = elsewhere[key]
    old = inside[last]
    if isinstance(old, list):
        inside[last] = chance.choice([[], old[:1], old[::-1], old * 2])
    elif isinstance(old, bool):
        inside[last] = not old
    elif isinstance(old, (int, float)):
        inside[last] = chance.choice(NUMBERS)
    elif isinstance(old, str):
        inside[last] = chance.choice((*WORDS, elsewhere if isinstance(elsewhere, str) else ""))
    else:
        inside[last] = None


@pytest.mark.parametrize("seed", usual(2, range(8)))
def test_no_plan_makes_it_fail(seed: int) -> None:
    """Whatever parses as a plan is checked to the end."""
    chance = random.Random(seed)
    text = honest_plan().model_dump_json(by_alias=True)
    checked = 0
    for _ in range(60):
        data = json.loads(text)
        for _ in range(chance.randint(1, 3)):
            spoil(data, chance)
        try:
            plan = Plan.model_validate(data)
        except ValidationError:
            continue
        assert all(str(finding) for finding in verify(plan))
        checked += 1
    assert checked > 5


def test_a_plan_without_anything_in_it() -> None:
    """No shoots, no placements: only the goals are missing."""
    empty = honest_plan().model_dump() | {"shoots": {}, "placements": (), "demands": ()}
    plan = Plan.model_validate({**empty, "resets": (), "worth": {}, "kit": {}, "left_out": ()})
    assert all(isinstance(finding, Finding) for finding in verify(plan))
    day = stored_plan("school-dance").day
    assert day is not None
    assert verify(plan.model_copy(update={"day": day}))


def _read(path: Path) -> Any:
    return YAML(typ="safe", pure=True).load(path.read_text(encoding="utf-8"))


@pytest.mark.long
def test_the_school_dance_holds() -> None:
    """The plan of a bundled shoot has no finding, proven or not."""
    shoot = Shoot.model_validate(_read(scenario("school-dance")))
    kit = Kit.model_validate(_read(folder("catalog") / "school-dance.yaml"))
    limits = Limits(seconds=3, seed=1, workers=1)
    plan = plan_shoot(Brief(shoot, kit), shoot_id="dance", limits=limits)
    assert [str(finding) for finding in verify(plan)] == []


def test_a_plan_says_the_same_after_writing_and_reading() -> None:
    """Figures survive the plan file."""
    again = Plan.model_validate_json(honest_plan().model_dump_json(by_alias=True))
    assert verify(again) == ()


def test_an_older_plan_still_opens() -> None:
    """Version 1 knew nothing of what is in the picture; the checker says what is missing."""
    data = json.loads(honest_plan().model_dump_json(by_alias=True))
    new = ("steady_share", "hidden", "hidden_arms", "seats", "wings", "has_lamp", "unconsenting")
    for placement in data["placements"]:
        for name in new:
            del placement["shot"][name]
    plan = Plan.model_validate({**data, "version": 1})
    assert {shot.hidden for shot in (p.shot for p in plan.placements)} == {0.0}
    assert "figure-steady-share" in {finding.rule for finding in verify(plan)}


def test_a_finding_in_one_line() -> None:
    """Where, what is wrong, what would be right, and the rule."""
    found = Finding("payload", "show, front, camera B", "2100 g are on legs", "It carries 2000 g")
    assert str(found) == "show, front, camera B: 2100 g are on legs. It carries 2000 g [payload]"
