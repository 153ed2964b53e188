"""A first plan, put down rig by rig as a crew lead would: a start for the search.

What has to be comes first (musts, then wants by weight), then the best further viewpoint again and
again, where the thinnest song gains most. Each rig is checked against every row of the model as it
is put down, and none is taken back; so the plan holds, but nothing says that it is good.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import chain, islice
from typing import get_args

from kitplan.allocate.board import Board
from kitplan.allocate.demands import Demand
from kitplan.allocate.model import Allocation
from kitplan.allocate.offers import Offers, Rig
from kitplan.allocate.settle import decisions
from kitplan.allocate.variables import ShotClass
from kitplan.shoot.records import Moment, Role
from kitplan.shoot.sizes import is_tight_enough
from kitplan.shoot.venue import PersonSize

MOST_TRIES = 400
"""Rigs that are tried for one demand or one further viewpoint."""
MOST_FAILURES_OF_ONE = 60
"""Of these, so many may fail for want of hands, minutes, cards or batteries; steps of the search
find what is left sooner. Measured on M 4: a must that 400 rigs in 4.3 s fail for."""
MOST_LOOKED_AT = 50
"""Shots that are looked at for what a role asks for."""
MOST_TWINS = 8
MOST_FAILURES = 25
"""Rigs for further viewpoints of a pass that may fail for want of hands, minutes, cards or
batteries before the pass is left as it is."""


def first_plan(allocation: Allocation) -> frozenset[int]:
    """Return the numbers of the decisions that are 1 in a plan that holds; none for the empty plan.

    Where passes are over, what stood in them is not put down again: the empty plan serves.
    """
    if allocation.variables.options.brief.shoot.past.passes:
        return frozenset()
    return _Lead(allocation).plan()


class _Lead(Offers):
    """Somebody who plans by hand."""

    def __init__(self, allocation: Allocation) -> None:
        super().__init__(allocation)
        self.demands = allocation.demands
        self.is_large = allocation.is_large
        """A small one finds its wants in a moment, and goes on better from where all is in the
        show: in 10 s viewpoints of S 7 come to 101300, not 65300, of S 1 to 137900, not 98200."""
        self.own = [
            [var.index for var in (*decisions(slot), *slot.roles.values())] for slot in self.x.slots
        ]
        allocation.whole.refresh()
        self.board = Board(allocation.whole, chain(*self.own))
        never = [d.is_met.index for d in self.demands.locks if d.kind == "never"]
        self.board.require(never)
        self.done: set[tuple[str, str]] = set()
        """Role and pass of the roles that rigs do."""
        self.tried: set[Rig] = set()
        """Rigs that were, or could not be, left standing in other passes."""
        self.failures: Counter[str] = Counter()
        """By pass, rigs that did not hold up."""
        self._shares: dict[str, dict[str, float]] = {}
        self.in_vain: set[tuple[tuple[str, str], int, int, bool]] = set()
        """Rigs that did not hold up, whatever they frame: spot, camera, stand, locked off."""

    def plan(self) -> frozenset[int]:
        """Return what is placed in the end."""
        demands = self.demands
        for demand in (d for d in demands.roles if d.priority == "must"):
            self._fill(demand)
        for song in self.brief.shoot.songs:
            passes = {each.id for each in self.brief.on_offer(song)}
            for moment in (m for m in song.moments if m.priority == "must"):
                self._hold(moment, passes)
        wants = [demand for demand in demands.roles if demand.priority == "want"]
        for demand in sorted(wants, key=self._turn):
            self._fill(demand)
        self._leave_standing()
        while self._add_viewpoint():
            self._leave_standing()
        return frozenset(
            chain.from_iterable(r.chosen(self.x.slots[n]) for n, r in self.placed.items())
        )

    # -- what is asked for -----------------------------------------------------------------------

    def _fill(self, demand: Demand) -> None:
        """Let a rig that stands do a role, or put one down for it, wherever it is asked for."""
        role = self._role(demand)
        passes = {each.id for each in self.brief.passes_of(role)}
        groups = [{one} for one in sorted(passes)] if role.in_passes == "every" else [passes]
        self._spare_for_others(demand)
        for group in groups:
            if not any((role.id, each) in self.done for each in group):
                self._give(role, group) or self._put_for(role, group)
        self.asked_for.clear()

    def _spare_for_others(self, demand: Demand) -> None:
        """Let what other roles ask for, that nothing does yet, be taken last: the one long lens is
        not for what any lens does.
        """
        if not self.is_large:
            return
        done = {role for role, _ in self.done}
        for other in self.demands.roles:
            if other.id not in done and other.id != demand.id:
                for item, share in self._asked_by(other).items():
                    self.asked_for[item] = self.asked_for.get(item, 0.0) + other.weight * share

    def _asked_by(self, demand: Demand) -> dict[str, float]:
        """Return in which share of the cameras for a role each item is."""
        if demand.id not in self._shares:
            role = self._role(demand)
            shots = self._shots_for(role, {each.id for each in self.brief.passes_of(role)})
            cameras = [
                self.x.slots[number].spot.cameras[place].items
                for number, shot in islice(shots, MOST_LOOKED_AT)
                for place in self.x.slots[number].cameras_of_class[shot]
            ]
            times = Counter(chain.from_iterable(cameras))
            self._shares[demand.id] = {item: n / len(cameras) for item, n in times.items()}
        return self._shares[demand.id]

    def _turn(self, demand: Demand) -> tuple[int, int]:
        """Return when the turn of a want comes: sooner the fewer passes can give it, and the more
        it weighs. The audience is there in the show only, and what others could do before it must
        not take its place.
        """
        if not self.is_large:
            return 0, -demand.weight
        role = self._role(demand)
        shots = self._shots_for(role, {each.id for each in self.brief.passes_of(role)})
        return len({self.x.slots[number].spot.each.id for number, _ in shots}), -demand.weight

    def _role(self, demand: Demand) -> Role:
        return next(role for role in self.brief.roles if role.id == demand.id)

    def _give(self, role: Role, passes: set[str]) -> bool:
        for number, rig in self.placed.items():
            slot = self.x.slots[number]
            subject, size = self.view(number, rig.shot)
            if (
                role.id in slot.roles
                and slot.spot.each.id in passes
                and subject == role.subject
                and size in role.sizes
                and self.board.add([slot.roles[role.id].index])
            ):
                self.done.add((role.id, slot.spot.each.id))
                return True
        return False

    def _put_for(self, role: Role, passes: set[str]) -> bool:
        return self._put_first(self._shots_for(role, passes), role)

    def _shots_for(self, role: Role, passes: set[str]) -> Iterator[tuple[int, ShotClass]]:
        shots = self.shots(passes, subject=role.subject, sizes=role.sizes, manner=role.manner)
        return (shot for shot in shots if role.id in self.x.slots[shot[0]].roles)

    def _hold(self, moment: Moment, passes: set[str]) -> None:
        """Put a rig down for a moment, unless one frames it already."""
        for number, rig in self.placed.items():
            subject, size = self.view(number, rig.shot)
            is_there = self.x.slots[number].spot.each.id in passes
            if is_there and subject == moment.subject and is_tight_enough(size, moment.size):
                return
        sizes = [size for size in get_args(PersonSize) if is_tight_enough(size, moment.size)]
        self._put_first(self.shots(passes, subject=moment.subject, sizes=sizes), None)

    def _add_viewpoint(self) -> bool:
        """Put down the best rig with a view that is like none before; return whether one went."""
        passes = {p.id for p in self.brief.shoot.passes if self.failures[p.id] < MOST_FAILURES}
        return self._put_first(self.shots(passes, is_new=True), None)

    def _leave_standing(self) -> None:
        """Let rigs stand in the pass before or after as well, for a new view: that saves work."""
        left = list(self.placed.values())
        while left:
            rig = left.pop()
            if rig in self.tried:
                continue
            self.tried.add(rig)
            for twin in islice(self.twins(rig), MOST_TWINS):
                if self.is_new(twin.slot, twin.shot) and self._put_if_it_holds(twin):
                    left.append(twin)
                    break

    # -- putting down ------------------------------------------------------------------------------

    def _put_first(self, shots: Iterable[tuple[int, ShotClass]], role: Role | None) -> bool:
        """Put down the first rig that goes."""
        failed = self.failures.total()
        self.in_vain.clear()
        for rig in islice(chain.from_iterable(self.rigs(*each) for each in shots), MOST_TRIES):
            if self._put(rig, role):
                return True
            if self.failures.total() >= failed + MOST_FAILURES_OF_ONE:
                return False
        return False

    def _put(self, rig: Rig, role: Role | None) -> bool:
        is_full = self.failures[self.x.slots[rig.slot].spot.each.id] >= MOST_FAILURES
        work = self.x.slots[rig.slot].spot.key, rig.camera, rig.stand, rig.operator is None
        if (is_full and role is None) or work in self.in_vain or not self._put_down(rig, role):
            return False
        if self.board.holds_up():
            return True
        # where only the reset is in the way: leave it standing before or after as well
        if any(self._put_if_it_holds(twin) for twin in islice(self.twins(rig), MOST_TWINS)):
            return True
        self._take_back(rig, role)
        self.in_vain.add(work)
        self.failures[self.x.slots[rig.slot].spot.each.id] += 1
        return False

    def _put_if_it_holds(self, rig: Rig) -> bool:
        if not self._put_down(rig, None):
            return False
        if self.board.holds_up():
            return True
        self._take_back(rig, None)
        return False

    def _put_down(self, rig: Rig, role: Role | None) -> bool:
        slot = self.x.slots[rig.slot]
        roles = [] if role is None else [slot.roles[role.id].index]
        if not self.board.put(rig.slot, self.own[rig.slot], [*rig.chosen(slot), *roles]):
            return False
        self.stand(rig)
        if role is not None:
            self.done.add((role.id, slot.spot.each.id))
        return True

    def _take_back(self, rig: Rig, role: Role | None) -> None:
        slot = self.x.slots[rig.slot]
        roles = [] if role is None else [slot.roles[role.id].index]
        self.board.take_back(rig.slot, self.own[rig.slot], [*rig.chosen(slot), *roles])
        self.clear(rig)
        if role is not None:
            self.done.discard((role.id, slot.spot.each.id))
