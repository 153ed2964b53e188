"""The search itself: slot by slot, best first, with bounds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import NamedTuple

from kitplan.gear.records import Body
from kitplan.plan.verify import Scene, Setup
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass
from tests.oracle.choices import find_choices
from tests.oracle.pictures import pictures_of
from tests.oracle.rules import Rules
from tests.oracle.worth import MUST, WANT, Choice, Worth, union


class Values(NamedTuple):
    """What the best plan comes to, goal by goal in order; whole numbers of the model."""

    musts: int
    """Musts missed, counted downwards."""
    wants: int
    thinnest: int
    viewpoints: int
    variety: int


WORST = Values(-(10**9), 0, 0, 0, 0)


@dataclass(frozen=True)
class Best:
    """The best values, a set of placements with roles that reaches them, and what was refused."""

    values: Values
    setups: tuple[Setup, ...]
    refused: Counter[str]
    """By rule: how often placements, or sets of them, broke this rule and no other."""
    leaves: int


@dataclass(frozen=True)
class Rest:
    """The most that the slots from some slot on can add, each by itself."""

    deeds: int
    met: int
    slots_of_song: tuple[int, ...]
    views_of_song: tuple[int, ...]
    """Bits of the views with a grade that are on offer in a song."""
    points: int
    pairs: int
    bands: int


def best_plan(brief: Brief) -> Best:
    """Return what the best plan of a small shoot comes to."""
    search = Search(Scene(brief.shoot, brief.kit))
    search.run()
    setups = tuple(choice.setup for choice in search.best_choices)
    lost = search.worth.lost_moments(search.best_choices)
    ways = search.worth.ways_to_give_out(search.best_choices, lost)
    _, deeds = max(ways, key=lambda way: way[0])
    with_roles = tuple(replace(s, roles=d.names) for s, d in zip(setups, deeds, strict=True))
    refused = search.choices.refused + search.rules.refused
    return Best(search.best, with_roles, refused, search.leaves)


def can_meet(brief: Brief, demands: frozenset[int]) -> bool:
    """Return whether these demands, by their place in the shoot's order, can all be met at once."""
    search = Search(Scene(brief.shoot, brief.kit), demands)
    search.run()
    return search.best.musts == 0


class Search:
    """A depth-first search over the slots of a shoot.

    Args:
        only: Look for these demands alone, by place; None looks for all goals.
    """

    def __init__(self, scene: Scene, only: frozenset[int] | None = None) -> None:
        pictures = pictures_of(scene)
        self.scene, self.rules = scene, Rules(scene, pictures)
        self.worth = Worth(scene, pictures)
        self.is_narrow = only is not None
        if only is not None:
            self.worth.only(only)
        self.most_musts = sum(value >= MUST for value in self.worth.valued)
        self.choices = find_choices(scene)
        self.slots = [
            sorted(map(self.worth.choice, slot), key=self._merit, reverse=True)
            for slot in self.choices.slots
        ]
        self.bodies = {
            each.id: sum(len(scene.free_units(body.id, each)) for body in scene.kit.of_kind(Body))
            for each in scene.shoot.passes
        }
        self.rests: dict[tuple[int, int], Rest] = {}
        self.best, self.leaves = WORST, 0
        self.best_choices: tuple[Choice, ...] = ()

    def run(self) -> None:
        """Find the best plan."""
        self._branch(0, (), 0)

    def _merit(self, choice: Choice) -> tuple[int, int, int]:
        return self.worth.best_deeds((choice,)), choice.points, len(choice.songs)

    # -- branching -----------------------------------------------------------------------------

    def _branch(self, place: int, taken: tuple[Choice, ...], first: int) -> None:
        """Search all plans that begin with what is taken in the slots before a place.

        Args:
            first: The choices before this one were tried in the slot before, which is alike.
        """
        if self._bound(place, taken) <= self.best:
            return
        if place == len(self.slots):
            self.leaves += 1
            values = self._values(taken)
            if values > self.best:
                self.best, self.best_choices = values, taken
            return
        self._spread(place, taken, first)

    def _spread(self, place: int, taken: tuple[Choice, ...], first: int) -> None:
        """Try everything that a slot may hold, and nothing in it."""
        each, _ = self.choices.spots[place]
        for number in range(first, len(self.slots[place])):
            more = (*taken, self.slots[place][number])
            if self.rules.may_grow(each, _in(each, more)):
                self._go_on(place, more, number)
        if not self.scene.shoot.past.is_over(each.id):  # what stood there cannot be left out
            self._go_on(place, taken, len(self.slots[place]))

    def _go_on(self, place: int, taken: tuple[Choice, ...], number: int) -> None:
        """Step to the next slot; behind the last one of a pass that pass must be sound."""
        spots = self.choices.spots
        following = spots[place + 1] if place + 1 < len(spots) else None
        each = spots[place][0]
        if (following is None or following[0] is not each) and not self._is_sound(each, taken):
            return
        is_alike = following == spots[place]
        self._branch(place + 1, taken, number if is_alike else 0)

    def _is_sound(self, each: Pass, taken: tuple[Choice, ...]) -> bool:
        """Return whether a pass and the resets around it hold, all passes before being complete."""
        if not self.rules.is_sound(each, _in(each, taken)) or not self.rules.supplies_last(taken):
            return False
        passes = self.scene.shoot.passes
        slotted = [one.id for one, _ in self.choices.spots]
        done = slotted.index(each.id) + slotted.count(each.id)
        complete = [p.id for p in passes if p.id not in slotted[done:]]
        return all(
            self.rules.reset_works(index, taken)
            for index in range(len(passes) - 1)
            if {passes[index].id, passes[index + 1].id} <= set(complete)
        )

    # -- values --------------------------------------------------------------------------------

    def _split(self, deeds: int) -> tuple[int, int, int]:
        """Return musts missed, counted downwards, weight of wants, and of nice roles."""
        musts, rest = divmod(deeds, MUST)
        return musts - self.most_musts, *divmod(rest, WANT)

    def _values(self, taken: tuple[Choice, ...]) -> Values:
        lost = self.worth.lost_moments(taken)
        musts, wants, nice = self._split(self.worth.best_deeds(taken, lost))
        if self.is_narrow:
            return Values(musts, 0, 0, 0, 0)
        rules, bands = self.scene.shoot.rules, union(choice.band for choice in taken)
        variety = self.worth.best_pairs(taken)
        variety += rules.band_points * bands.bit_count() + rules.nice_points * nice
        return Values(musts, wants, *self.worth.best_counting(taken), variety)

    def _bound(self, place: int, taken: tuple[Choice, ...]) -> Values:
        """Return goal by goal no less than any plan has that begins like this."""
        rest, worth = self._rest(place, taken), self.worth
        met = worth.given | rest.met | union(choice.met for choice in taken)
        optimist = worth.value(met)
        musts, wants, _ = self._split(min(optimist, worth.best_deeds(taken) + rest.deeds))
        if self.is_narrow:
            return Values(musts, 0, 0, 0, 0)
        rules = self.scene.shoot.rules
        bands = rest.bands | union(choice.band for choice in taken)
        pairs = rest.pairs | union(choice.given | choice.framed for choice in taken)
        variety = worth.capped(pairs) + rules.band_points * bands.bit_count()
        return Values(
            musts,
            wants,
            min(_most_on_offer(song, rest, taken) for song in range(len(rest.views_of_song))),
            worth.most_points(taken) + rest.points,
            variety + rules.nice_points * self._split(optimist)[2],
        )

    def _rest(self, place: int, taken: tuple[Choice, ...]) -> Rest:
        """Return what the slots from a place on can add, given the bodies left in its pass."""
        if place == len(self.slots):
            return self.rests.setdefault((place, 0), rest_of(self.worth, []))
        each = self.choices.spots[place][0]
        left = self.bodies[each.id] - sum(choice.setup.each is each for choice in taken)
        if (place, left) not in self.rests:
            groups = []
            for other in self.scene.shoot.passes:
                slots = [
                    self.slots[number]
                    for number in range(place, len(self.slots))
                    if self.choices.spots[number][0] is other
                ]
                most = left if other is each else self.bodies[other.id]
                if slots and most:
                    groups.append((slots, most))
            self.rests[place, left] = rest_of(self.worth, groups)
        return self.rests[place, left]


def _most_on_offer(song: int, rest: Rest, taken: tuple[Choice, ...]) -> int:
    here = [1 << choice.view for choice in taken if song in choice.songs]
    views = (rest.views_of_song[song] | union(here)).bit_count()
    return min(len(here) + rest.slots_of_song[song], views)


def _in(each: Pass, taken: Sequence[Choice]) -> list[Choice]:
    return [choice for choice in taken if choice.setup.each is each]


def _offers(song: int, choice: Choice) -> int:
    return song in choice.songs


def rest_of(worth: Worth, groups: Sequence[tuple[Sequence[Sequence[Choice]], int]]) -> Rest:
    """Return the most that some slots can add.

    Args:
        groups: Slots of a pass, and how many of them can be filled.
    """
    songs = range(len(worth.scene.shoot.songs))
    every = [choice for slots, _ in groups for slot in slots for choice in slot]

    def most(value: Callable[[Choice], int]) -> int:
        """Add up the best choice of each slot, of as many slots as can be filled."""
        bests = [
            (sorted((max(map(value, s)) for s in slots), reverse=True), n) for slots, n in groups
        ]
        return sum(sum(best[:number]) for best, number in bests)

    return Rest(
        deeds=most(lambda choice: max(worth.value(deed.met) for deed in choice.deeds)),
        met=union(choice.met for choice in every),
        slots_of_song=tuple(most(partial(_offers, song)) for song in songs),
        views_of_song=tuple(
            union(1 << choice.view for choice in every if song in choice.songs) for song in songs
        ),
        points=most(lambda choice: choice.points),
        pairs=union(choice.given | choice.framed for choice in every),
        bands=union(choice.band for choice in every),
    )
