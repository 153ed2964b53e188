"""Which setups are best counted as distinct viewpoints: an exact search over those not alike.

Lexicographic: the thinnest song first, then the points. A branch takes or leaves one setup; it is
cut off where even its bound is no better than the best so far. For the bound the open setups are
put into cliques of alike ones, each of which gives one viewpoint at most.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from kitplan.plan.verify.goals import has_got, locked_points, songs_of, value_of
from kitplan.plan.verify.marks import grade_of, seen
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.setups import Setup
from kitplan.plan.verify.sight import View, are_alike

Value = tuple[int, int]
"""Thinnest song and points, in whole numbers of the model."""
MOST_BRANCHES = 100_000


@dataclass(frozen=True)
class Counting:
    """A set of setups that may be counted together."""

    chosen: tuple[int, ...]
    """Places in the list of setups."""
    thinnest: int
    viewpoints: int
    is_exact: bool
    """Whether the search ended, so that no set is better."""


def alike_pairs(scene: Scene, setups: Sequence[Setup]) -> list[tuple[int, int]]:
    """Return the pairs of setups that are one viewpoint, by their places."""
    views = [seen(scene, setup) for setup in setups]
    return [
        (first, second)
        for second in range(len(setups))
        for first in range(second)
        if _are_alike(scene, views[first], views[second])
    ]


def _are_alike(scene: Scene, one: View | None, other: View | None) -> bool:
    if one is None or other is None:
        return False
    first, second = sorted((one, other), key=lambda view: view.key)
    return scene.once(("alike", first.key, second.key), lambda: are_alike(scene, first, second))


def best_counting(
    scene: Scene, setups: Sequence[Setup], most_branches: int = MOST_BRANCHES
) -> Counting:
    """Return the best set of setups to count, whatever is counted now."""
    return _Search(scene, setups, most_branches).run()


def count_best(scene: Scene, setups: Sequence[Setup]) -> tuple[Setup, ...]:
    """Return the setups with the best ones counted, and no others."""
    chosen = best_counting(scene, setups).chosen
    return tuple(replace(s, is_counted=place in chosen) for place, s in enumerate(setups))


class _Search:
    """A depth-first search over the setups that have a grade."""

    def __init__(self, scene: Scene, setups: Sequence[Setup], most_branches: int) -> None:
        self.scene, self.setups, self.branches_left = scene, setups, most_branches
        grades = [grade_of(scene, setup) for setup in setups]
        self.value = [value_of(scene, setup) for setup in setups]
        self.songs = [songs_of(scene, setup) for setup in setups]
        self.worth = [self._worth(place) for place in range(len(setups))]
        self.alike: dict[int, set[int]] = {
            place: set()
            for place, grade in enumerate(grades)
            if grade > 0 and has_got(scene, setups[place])
        }
        for first, second in alike_pairs(scene, setups):
            if first in self.alike and second in self.alike:
                self.alike[first].add(second)
                self.alike[second].add(first)
        self.best: Value = (-1, -1)
        self.chosen: tuple[int, ...] = ()

    def _worth(self, place: int) -> int:
        """The most that a setup may add."""
        rules, setup = self.scene.shoot.rules, self.setups[place]
        points = rules.points_operated if setup.person else max(rules.points_locked, default=0)
        return points * self.value[place]

    def run(self) -> Counting:
        """Return the best set found."""
        self.branch((), sorted(self.alike, key=lambda place: self.worth[place], reverse=True))
        return Counting(tuple(sorted(self.chosen)), *self.best, self.branches_left > 0)

    def branch(self, taken: tuple[int, ...], open_: list[int]) -> None:
        """Search all sets that hold `taken` and some of `open_`."""
        value = self._thinnest([self.songs[n] for n in taken]), self._points(taken)
        if value > self.best:
            self.best, self.chosen = value, taken
        if not open_ or self.branches_left <= 0 or self._bound(taken, open_) <= self.best:
            return
        self.branches_left -= 1
        first, rest = open_[0], open_[1:]
        alike = self.alike[first].intersection(rest)
        self.branch((*taken, first), [place for place in rest if place not in alike])
        if alike:  # taking what is alike to nothing open is never worse
            self.branch(taken, rest)

    def _thinnest(self, offers: Sequence[frozenset[int]]) -> int:
        songs = range(len(self.scene.shoot.songs))
        return min(sum(song in offer for offer in offers) for song in songs)

    def _points(self, taken: Sequence[int]) -> int:
        total = 0
        locked: dict[str, list[int]] = defaultdict(list)
        for place in taken:
            if self.setups[place].person is not None:
                total += self.worth[place]
            else:
                locked[self.setups[place].each.id].append(self.value[place])
        for each in self.scene.shoot.passes:
            total += locked_points(self.scene, locked[each.id])
        return total

    def _bound(self, taken: Sequence[int], open_: Sequence[int]) -> Value:
        cliques = self._cliques(open_)
        offers = [frozenset().union(*(self.songs[n] for n in clique)) for clique in cliques]
        thin = self._thinnest([*(self.songs[n] for n in taken), *offers])
        return thin, self._points(taken) + sum(max(self.worth[n] for n in c) for c in cliques)

    def _cliques(self, open_: Sequence[int]) -> list[list[int]]:
        cliques: list[list[int]] = []
        for place in open_:
            for clique in cliques:
                if self.alike[place].issuperset(clique):
                    clique.append(place)
                    break
            else:
                cliques.append([place])
        return cliques
