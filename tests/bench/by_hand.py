"""Planning as a competent crew lead does it, without a solver: one rig after the other.

The most important demand first, with the best free kit that does it; then the best further
viewpoint again and again, where the thinnest song gains most; then what else each operator may
frame. Every rig is checked against all rules as it is put down, and none is taken back. What each
position offers is read off the same lists that the solver gets; whether a choice holds, and what
the plan is worth, is asked of the independent checker.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice

import numpy as np

from kitplan.plan.verify import (
    Setup,
    alike_pairs,
    between_faults,
    count_best,
    demands_of,
    does,
    goal_values,
    is_possible,
    menu_faults,
    pass_faults,
    sizes_of,
)
from kitplan.plan.verify.demands import holds
from kitplan.plan.verify.sight import SIZES
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Moment, Role, Song
from tests.bench.hand_ideas import Idea, Ideas

MOST_TRIES = 150
"""Ideas that the lead looks into for one demand or viewpoint before giving a pass up."""
MOST_TWINS = 8
"""Views that the lead looks at for a rig left standing from pass to pass."""


class Lead(Ideas):
    """Somebody who plans by hand.

    Args:
        seconds: When to stop looking for more.
    """

    def __init__(self, brief: Brief, seconds: float) -> None:
        super().__init__(brief)
        self.until = time.monotonic() + seconds
        self.is_out_of_time = False
        self.full: set[str] = set()
        """Passes in which the lead has given up on further viewpoints."""

    def plan(self) -> dict[str, int]:
        """Return the value of every goal of the plan."""
        roles = self.brief.roles
        for role in (r for r in roles if r.priority == "must"):
            self._fill(role)
        for song in self.brief.shoot.songs:
            for moment in song.moments:
                if moment.priority == "must":
                    self._hold(song, moment)
        for role in sorted((r for r in roles if r.priority == "want"), key=lambda r: -r.weight):
            self._fill(role)
        while self._add(self.viewpoint_ideas(), None, is_new_view=True):
            pass
        for role in (r for r in roles if r.priority == "nice"):
            self._fill(role)
        self.setups = list(count_best(self.scene, self.setups))
        self._fill_menus()
        return goal_values(self.scene, self.setups)

    # -- demands -------------------------------------------------------------------------------

    def _fill(self, role: Role) -> None:
        passes = self.brief.passes_of(role)
        groups = [[p.id] for p in passes] if role.in_passes == "every" else [[p.id for p in passes]]
        for group in groups:
            if any(role.id in s.roles for s in self.setups if s.each.id in group):
                continue
            if self._give_to_a_placed_one(role, group):
                continue
            self._add(self.ideas(group, role.subject, role.sizes, role), role)

    def _give_to_a_placed_one(self, role: Role, group: Sequence[str]) -> bool:
        """Give a role to a rig that stands already and does it."""
        for place, setup in enumerate(self.setups):
            wider = replace(setup, roles=(*setup.roles, role.id))
            others = [r for r in setup.roles if not self.scene.roles_by_id[r].also]
            if (
                setup.each.id in group
                and does(self.scene, setup, role)
                and (role.also or not others)
                and self._hold_together(wider, without=place)
            ):
                self.setups[place] = wider
                return True
        return False

    def _hold(self, song: Song, moment: Moment) -> None:
        if any(holds(self.scene, s, song, moment, self.setups) for s in self.setups):
            return
        passes = [p.id for p in self.brief.on_offer(song)]
        sizes = SIZES[: SIZES.index(moment.size) + 1]
        self._add(self.ideas(passes, moment.subject, sizes, None), None, (song, moment))

    # -- putting down --------------------------------------------------------------------------

    def _add(
        self,
        ideas: Sequence[Idea],
        role: Role | None,
        moment: tuple[Song, Moment] | None = None,
        *,
        is_new_view: bool = False,
    ) -> bool:
        """Put down the first idea that works; return whether one did."""
        tries: Counter[str] = Counter()
        for idea in ideas:
            where = idea.spot.each.id
            if self._is_late():
                return False
            if is_new_view and tries[where] >= MOST_TRIES:
                self.full.add(where)
            if tries[where] >= MOST_TRIES or (is_new_view and where in self.full):
                continue
            for setup in islice(self.rigged(idea), 6):
                if is_new_view and self._is_alike(setup):
                    break
                tries[where] += 1
                wanted = replace(setup, roles=(role.id,)) if role else setup
                if role and not does(self.scene, setup, role):
                    continue
                if moment and not holds(self.scene, setup, *moment, [*self.setups, setup]):
                    continue
                if is_possible(self.scene, wanted) and self._put_down(wanted):
                    return True
        return False

    def _is_late(self) -> bool:
        self.is_out_of_time = self.is_out_of_time or time.monotonic() > self.until
        return self.is_out_of_time

    def _is_alike(self, setup: Setup) -> bool:
        last = len(self.setups)
        pairs = (alike_pairs(self.scene, [other, setup]) for other in self.setups)
        return last > 0 and any(pairs)

    def _put_down(self, setup: Setup) -> bool:
        """Put a rig down where it goes with all others; where only the reset is in the way, leave
        it standing in the pass before or after as well, on another view if there is one.
        """
        broken = self._broken_by(setup)
        if broken == "reset":
            for both in ((setup, twin) for twin in islice(self._left_standing(setup), MOST_TWINS)):
                if self._broken_by(*both) is None:
                    self.setups += both
                    return True
        elif broken is None:
            self.setups.append(setup)
        return broken is None

    def _left_standing(self, setup: Setup) -> Iterator[Setup]:
        """Yield the same rig in the passes beside its own: views that are new, best first, then
        the same view; in the same hands or locked off.
        """
        passes = self.brief.shoot.passes
        here = passes.index(setup.each)
        for each in (p for n, p in enumerate(passes) if abs(n - here) == 1):
            spot = self.options.spots_by_key.get((each.id, setup.position.id))
            used = sum(s.each == each and s.position == setup.position for s in self.setups)
            if spot is None or used >= setup.position.rigs:
                continue
            column = next(
                (n for n, c in enumerate(spot.cameras)
                 if (c.mode.name, *c.items) == setup.camera.key), None,
            )  # fmt: skip
            if column is None:
                continue
            busy = any(s.person == setup.person for s in self.setups if s.each == each)
            for person in [None] if busy else [setup.person, None]:
                plain = replace(setup, each=each, person=person, roles=())
                possible = spot.shots.possible(plain.manner)[:, column]
                marks = spot.shots.fit[:, column] + 3 * spot.shots.light[:, column]
                rows = np.flatnonzero(possible)
                rows = rows[np.argsort(-marks[rows], kind="stable")[:MOST_TWINS]]
                views = [spot.views[row] for row in rows]
                wanted = [replace(plain, subject=v.subject, size=v.size) for v in views]
                new = [s for s in wanted if not self._is_alike(s)]
                yield from (s for s in [*new, plain] if is_possible(self.scene, s))

    def _hold_together(self, setup: Setup, without: int) -> bool:
        """Whether a changed rig goes with all others; `without` is its place."""
        return self._broken_by(setup, without=without) is None

    def _broken_by(self, *new: Setup, without: int | None = None) -> str | None:
        """Return the first rule that new rigs break together with all others."""
        together = [*(s for n, s in enumerate(self.setups) if n != without), *new]
        for each in {setup.each.id: setup.each for setup in new}.values():
            here = [s for s in together if s.each.id == each.id]
            for fault in pass_faults(self.scene, each, here):
                return fault.rule
        if any(d.kind == "never" and not d.is_met for d in demands_of(self.scene, together)):
            return "never"
        rules = [fault.rule for fault in between_faults(self.scene, together)]
        return min(rules, key=lambda rule: rule == "reset", default=None)

    def faults(self) -> list[str]:
        """Return every rule that the whole plan breaks; none, if the lead works as they should."""
        broken = [s.position.id for s in self.setups if not is_possible(self.scene, s)]
        for each in self.brief.shoot.passes:
            here = [s for s in self.setups if s.each.id == each.id]
            broken += [fault.rule for fault in pass_faults(self.scene, each, here)]
        return [*broken, *(fault.rule for fault in between_faults(self.scene, self.setups))]

    def _fill_menus(self) -> None:
        """Give each operator further shots that nobody has yet."""
        have = {(s.subject.id, s.size) for s in self.setups}
        limit = self.brief.shoot.rules.pairs_per_subject
        for place, setup in enumerate(self.setups):
            for subject in self.brief.shoot.subjects if setup.person else ():
                for size in sizes_of(subject):
                    number = sum(name == subject.id for name, _ in have)
                    if (subject.id, size) in have or number >= limit:
                        continue
                    wider = replace(self.setups[place], menu=(*self.setups[place].menu,
                                                              (subject.id, size)))  # fmt: skip
                    if any(menu_faults(self.scene, wider)):
                        continue
                    if self._hold_together(wider, without=place):
                        self.setups[place] = wider
                        have.add((subject.id, size))
