"""Replies against an exhaustive search: something is lost, or a pass is over and not all was got.

Random tiny shoots; what is lost, and what was missed, is random too. The reply is proven, holds,
and is as good in musts, wants, thinnest song and viewpoints as the best there is.
"""

from __future__ import annotations

from random import Random

import pytest

from kitplan.allocate.past import PastError
from kitplan.allocate.search import Limits
from kitplan.plan.records import Plan
from kitplan.plan.verify import SHOWN_PER_WHOLE, verify
from kitplan.produce.solve import plan_shoot
from kitplan.shoot.brief import Brief
from kitplan.shoot.past import Past
from kitplan.whatif.got import stood_of
from kitplan.whatif.losses import Loss, brief_without, find_losses
from kitplan.whatif.since import with_past
from tests.oracle import best_plan
from tests.oracle.search import WORST
from tests.random_shoots import random_brief

LIMITS = Limits(seconds=20, seed=1, workers=1)
GOALS = ("musts", "wants", "thinnest", "viewpoints")
SEEDS = range(300)
QUICK_SEEDS = (*range(6), 156)
"""In the last one what stood before cannot all be struck: no plan leaves the stage empty."""


def loss_from(plan: Plan, chance: Random) -> tuple[Loss, ...]:
    """Return something that the plan uses, or nothing."""
    used = [unit for each in plan.placements for unit in each.units]
    used += [unit.id for unit in plan.kit.units if unit.item.startswith("charger")]
    people = [each.operator for each in plan.placements if each.operator]
    places = [each.position for each in plan.placements]
    names = sorted({*used, *people, *places})
    (shoot,) = plan.shoots.values()
    if len(shoot.passes) > 1 and (gap_min := int(shoot.gap_min(0))) > 0 and chance.random() < 0.3:
        names = [f"{chance.randint(1, gap_min)}min:{shoot.passes[0].id}"]
    return find_losses(plan, [chance.choice(names)]) if names and chance.random() < 0.6 else ()


def past_from(plan: Plan, chance: Random) -> Past:
    """Return the first pass as over, with songs missed by chance; nothing if it is the only one."""
    ((shoot_id, shoot),) = plan.shoots.items()
    if len(shoot.passes) < 2:
        return Past()
    first = shoot.passes[0]
    songs = [song.id for song in shoot.run_songs(first)]
    stood = tuple(
        stood_of(each, tuple(song for song in songs if chance.random() < 0.5))
        for each in plan.placements_in(f"{shoot_id}/{first.id}")
    )
    return Past(passes=(first.id,), stood=stood)


def values(plan: Plan, goals: tuple[str, ...]) -> tuple[int, ...]:
    """Return what goals have come to, in whole numbers; each is proven."""
    found = {goal.goal: goal for goal in plan.goals}
    assert all(found[goal].is_proven for goal in goals)
    return tuple(round(found[goal].value * SHOWN_PER_WHOLE.get(goal, 1)) for goal in goals)


def check(seed: int) -> bool:
    """The reply is as good as the best; return whether a pass was over."""
    chance = Random(seed)
    brief = random_brief(seed)
    before = plan_shoot(brief, shoot_id="small", limits=LIMITS)
    past = past_from(before, chance)
    changed = brief_without(with_past(brief, past), loss_from(before, chance))
    best = best_plan(changed).values
    if best == WORST:  # nobody is left to strike what stood
        with pytest.raises(PastError, match="even to strike"):
            plan_shoot(changed, shoot_id="small", limits=LIMITS, before=before)
        return False
    reply = plan_shoot(changed, shoot_id="small", limits=LIMITS, before=before)
    assert [str(finding) for finding in verify(reply)] == []
    assert values(reply, GOALS) == best[: len(GOALS)]
    if past.passes:
        _check_afresh(changed, tuple(best))
    return bool(past.passes)


def _check_afresh(brief: Brief, best: tuple[int, ...]) -> None:
    """A plan made afresh keeps what is over as well, and is the best in variety, too."""
    afresh = plan_shoot(brief, shoot_id="small", limits=LIMITS)
    assert [str(finding) for finding in verify(afresh) if finding.rule != "letter"] == []
    assert values(afresh, (*GOALS, "variety")) == best


@pytest.mark.parametrize("seed", QUICK_SEEDS)
def test_a_reply_is_the_best_there_is(seed: int) -> None:
    """On some shoots, always."""
    check(seed)


@pytest.mark.parametrize("seed", QUICK_SEEDS)
def test_so_it_is_with_many_places(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Decided on the coarse model, the rest counted for what stands: as good in what decides."""
    monkeypatch.setattr("kitplan.allocate.reply.MANY", 0)
    check(seed)


@pytest.mark.long
def test_every_reply_with_many_places_is_the_best_there_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same on many."""
    monkeypatch.setattr("kitplan.allocate.reply.MANY", 0)
    assert sum(check(seed) for seed in SEEDS if seed not in QUICK_SEEDS) > 50


@pytest.mark.long
def test_every_reply_is_the_best_there_is() -> None:
    """On many shoots, of which many have a pass behind them."""
    assert sum(check(seed) for seed in SEEDS if seed not in QUICK_SEEDS) > 50
