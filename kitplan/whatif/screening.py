"""A quick look at what an assumed fact may do to a plan, before anything is solved anew.

Does the plan still hold if the fact is otherwise, and if so does it come to the same? And do shots
become possible, impossible, better or worse? Where neither changes, no plan changes either.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kitplan.options.spots import Options, Spot, find_options
from kitplan.plan.records import Plan
from kitplan.plan.verify import Scene, goal_values, verify
from kitplan.plan.verify.resolve import resolve
from kitplan.shoot.brief import Brief
from kitplan.whatif.facts import End, Fact

Grades = NDArray[np.int64]
Shots = dict[tuple[str, ...], Any]
CLAIMS = (
    *("figure-", "goal-", "in-picture", "reset-work", "reset-available", "reset-stays", "status"),
    *("demand-", "clash", "shutter-time", "worth", "left-out", "letter"),
)
"""How the rules begin by which a plan does not say of itself what it is in the changed shoot; they
do not keep it from being carried out."""
HANDED_OUT = frozenset({"battery", "card", "accessory"})
"""Rules of what is handed out to a rig: more or less of it is, where there is enough."""
GOALS_THAT_COUNT = ("musts", "wants", "thinnest", "viewpoints", "variety")
BETWEEN = frozenset({"gap", "setup"})
OF_PLACES = frozenset({"distance", "floor_height"})
"""Kinds of fact that bind placements together as well, by the work between passes, or by which
views are alike and who is in whose picture: the same shots do not mean the same plan.
"""


@dataclass(frozen=True)
class Look:
    """What one value of a fact does."""

    broken: int
    """Placements, and rules that bind several, which no longer hold."""
    values: dict[str, int] | None
    """What the plan comes to where nothing is broken, by goal, in the solver's numbers."""
    is_other: bool
    """The plan stands, and comes to something else."""
    changed: float
    """Shots that come, go or change their grade, as a share of those possible now."""

    @property
    def promise(self) -> tuple[float, ...]:
        """The more, the more a new plan may differ."""
        return (self.broken, self.is_other, self.changed)


@dataclass(frozen=True)
class Screened:
    """A fact that has been looked at."""

    fact: Fact
    looks: tuple[Look, ...]
    """One for each of its values."""
    binds: bool
    """Placements together as well: the same shots do not mean the same plan."""

    @property
    def promise(self) -> tuple[float, ...]:
        """What it is sorted by, most first."""
        return max(look.promise for look in self.looks)

    @property
    def is_settled(self) -> bool:
        """Whether it is known without a search that it changes nothing."""
        return not any(self.promise) and not self.binds


class Screen:
    """Looks at facts of a plan of one shoot."""

    def __init__(self, plan: Plan, brief: Brief) -> None:
        self._plan = plan
        ((self._shoot_id, _),) = plan.shoots.items()
        self._options = find_options(brief)
        self._values = self._worth(brief)

    def look_at(self, fact: Fact) -> Screened:
        """Return what each value of a fact does."""
        is_open = fact.kind in OF_PLACES and any(
            spot.position.id == fact.id for spot in self._options.spots
        )
        return Screened(fact, tuple(map(self._look, fact.ends)), is_open or fact.kind in BETWEEN)

    def _look(self, end: End) -> Look:
        plan = in_brief(self._plan, end.brief)
        places = {
            finding.where
            for finding in verify(plan)
            if not finding.rule.startswith(CLAIMS) and finding.rule not in HANDED_OUT
        }
        values = None if places else self._worth(end.brief)
        is_other = values is not None and values != self._values
        return Look(len(places), values, is_other, self._changed(end.brief))

    def _worth(self, brief: Brief) -> dict[str, int]:
        """Return what the plan comes to in a brief in which it holds."""
        scene = Scene(brief.shoot, brief.kit)
        placed = resolve(self._plan, self._shoot_id, scene, [])
        values = goal_values(scene, [one.setup for one in placed])
        return {goal: values[goal] for goal in GOALS_THAT_COUNT}

    @cached_property
    def _now(self) -> dict[tuple[str, ...], Any]:
        return dict(_possible(self._options))

    def _changed(self, brief: Brief) -> float:
        return _changed_share(self._now, dict(_possible(find_options(brief))))


def changed_shots(brief: Brief, others: Sequence[Sequence[Brief]]) -> Iterator[float]:
    """Yield for each group of changed briefs the most that one of them changes: shots that come, go
    or change their grade, as a share of those possible now."""
    now = dict(_possible(find_options(brief)))
    for group in others:
        shares = (_changed_share(now, dict(_possible(find_options(each)))) for each in group)
        yield max(shares, default=0.0)


def _changed_share(now: Shots, then: Shots) -> float:
    total = sum(np.count_nonzero(grades) for grades in now.values())
    changed = sum(_different(now.get(key), then.get(key)) for key in now.keys() | then.keys())
    return float(changed / max(total, 1))


def in_brief(plan: Plan, brief: Brief) -> Plan:
    """Return the same placements in a changed brief."""
    ((shoot_id, _),) = plan.shoots.items()
    return plan.model_copy(update={"shoots": {shoot_id: brief.shoot}, "kit": brief.kit})


def _possible(options: Options) -> Iterator[tuple[tuple[str, ...], Grades]]:
    """Yield for each camera in each spot and manner the grades of its shots plus 1, 0 where one is
    not possible; and as a row of its own what it lasts for and which stands carry it.
    """
    for spot in options.spots:
        for column, camera in enumerate(spot.cameras):
            for manner in ("operated", "locked-off"):
                key = (*spot.key, camera.key, camera.mode.name, manner)
                yield key, _grades(spot, column, manner)
            yield (*spot.key, camera.key, camera.mode.name), _holds(spot, column)


def _grades(spot: Spot, column: int, manner: Any) -> Grades:
    best = np.zeros(len(spot.views), dtype=np.int64)
    for row in spot.shots.stand_rows(manner):
        is_possible = spot.shots.possible_on(row, manner)[:, column]
        grades = spot.shots.grade(manner, row)[:, column] + 1
        best = np.maximum(best, np.where(is_possible, grades, 0))
    return best


def _holds(spot: Spot, column: int) -> Grades:
    lasts, camera = spot.endurance[column], spot.cameras[column]
    cards = sum(number for _, number in lasts.card_choice)
    carried = [stand.carries(camera.mass_kg) for stand in spot.stands]
    return np.array(
        [lasts.rolls_throughout, lasts.batteries, cards, lasts.reliability, *carried],
        dtype=np.int64,
    )


def _different(one: Grades | None, other: Grades | None) -> int:
    if one is None or other is None or one.shape != other.shape:
        return max(int(np.count_nonzero(each)) for each in (one, other) if each is not None)
    return int(np.count_nonzero(one != other))
