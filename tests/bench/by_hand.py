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
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np

from kitplan.allocate.variables import MANNERS, stand_groups
from kitplan.options.shots import Manner
from kitplan.options.spots import Spot, find_options
from kitplan.options.steadiness import support_row
from kitplan.plan.verify import (
    Camera,
    Scene,
    Setup,
    Stand,
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
from kitplan.plan.verify.goals import songs_of
from kitplan.plan.verify.sight import SIZES
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Moment, Role, Song

MOST_TRIES = 150
"""Ideas that the lead looks into for one demand before giving it up."""


@dataclass(frozen=True)
class Idea:
    """A camera for a view, not yet on legs or in somebody's hands."""

    score: tuple[float, ...]
    spot: Spot
    row: int
    column: int
    manner: Manner
    stand_rows: tuple[str, ...]


class Lead:
    """Somebody who plans by hand.

    Args:
        seconds: When to stop looking for more.
    """

    def __init__(self, brief: Brief, seconds: float) -> None:
        self.options = find_options(brief)
        self.brief, self.scene = brief, Scene(brief.shoot, brief.kit)
        self.setups: list[Setup] = []
        self.until = time.monotonic() + seconds
        self.is_out_of_time = False

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
        while self._add(self._viewpoint_ideas(), None, is_new_view=True):
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
            self._add(self._ideas(group, role.subject, role.sizes, role), role)

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
        self._add(self._ideas(passes, moment.subject, sizes, None), None, (song, moment))

    # -- ideas ---------------------------------------------------------------------------------

    def _free_spots(self, passes: Sequence[str]) -> Iterator[Spot]:
        used = Counter((s.each.id, s.position.id) for s in self.setups)
        for spot in self.options.spots:
            if spot.each.id in passes and used[spot.key] < spot.position.rigs:
                yield spot

    def _free_cameras(self, spot: Spot) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        used = Counter(
            part.id for s in self.setups if s.each.id == spot.each.id for part in s.parts
        )
        free = [
            all(used[item] < len(self.brief.free_units(item, spot.each)) for item in camera.items)
            for camera in spot.cameras
        ]
        return np.array(free, dtype=bool)

    def _ideas(
        self, passes: Sequence[str], subject: str, sizes: Sequence[str], role: Role | None
    ) -> list[Idea]:
        """The best few cameras for each view that would do, best first."""
        found: list[Idea] = []
        for spot in self._free_spots(passes):
            if role is not None and role.positions and spot.position.id not in role.positions:
                continue
            rows = [
                row
                for row, view in enumerate(spot.views)
                if view.subject.id == subject and view.size in sizes
            ]
            found += self._of_rows(spot, rows, 4, None if role is None else role.manner)
        return sorted(found, key=lambda idea: idea.score, reverse=True)

    def _viewpoint_ideas(self) -> list[Idea]:
        found: list[Idea] = []
        for spot in self._free_spots([each.id for each in self.brief.shoot.passes]):
            found += self._of_rows(spot, range(len(spot.views)), 1, None)
        return sorted(found, key=lambda idea: idea.score, reverse=True)

    def _of_rows(
        self, spot: Spot, rows: Sequence[int], most: int, wanted: str | None
    ) -> Iterator[Idea]:
        """Yield for each view the best cameras in each manner.

        Scored by what the thinnest songs gain, then by points x grade x songs, then for staying at
        a place that is used in another pass, then by marks.
        """
        if not rows or not spot.cameras:
            return
        free, gain = self._free_cameras(spot), self._gain(spot)
        stays = any(s.position.id == spot.position.id for s in self.setups)
        percent = self.brief.shoot.rules.grade_percent
        for manner in MANNERS:
            if wanted not in (None, "either", manner) or (manner == "operated" and not spot.people):
                continue
            points = self._points(spot, manner) * self.scene.thirds(spot.each)
            for group in stand_groups(spot.shots, manner):
                usable = spot.shots.possible_on(group[0], manner) & free
                grade = spot.shots.grade(manner, group[0])
                quality = spot.shots.quality(manner, group[0])
                for row in rows:
                    columns = np.flatnonzero(usable[row])
                    worth = 100 * grade[row][columns] + quality[row][columns]
                    for column in columns[np.argsort(-worth, kind="stable")[:most]]:
                        at = int(grade[row, column])
                        worth_it = points * percent[at], stays, int(quality[row, column])
                        score = (gain if at else 0, *worth_it)
                        yield Idea(score, spot, row, int(column), manner, group)

    def _points(self, spot: Spot, manner: Manner) -> int:
        rules = self.brief.shoot.rules
        if manner == "operated":
            return rules.points_operated
        number = sum(s.person is None for s in self.setups if s.each.id == spot.each.id)
        return rules.points_locked[number] if number < len(rules.points_locked) else 0

    def _gain(self, spot: Spot) -> int:
        """How many of the songs with the fewest viewpoints a pass is on offer in."""
        songs = self.brief.shoot.songs
        offers = [songs_of(self.scene, setup) for setup in self.setups]
        thin = [sum(n in offer for offer in offers) for n in range(len(songs))]
        return sum(
            self.scene.is_on_offer(spot.each, song) and thin[n] == min(thin)
            for n, song in enumerate(songs)
        )

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
        tries = 0
        for idea in ideas:
            if tries >= MOST_TRIES or self._is_late():
                return False
            for setup in islice(self._rigged(idea), 6):
                if is_new_view and self._is_alike(setup):
                    break
                tries += 1
                wanted = replace(setup, roles=(role.id,)) if role else setup
                if role and not does(self.scene, setup, role):
                    continue
                if moment and not holds(self.scene, setup, *moment, [*self.setups, setup]):
                    continue
                if is_possible(self.scene, wanted) and self._hold_together(wanted):
                    self.setups.append(wanted)
                    return True
        return False

    def _is_late(self) -> bool:
        self.is_out_of_time = self.is_out_of_time or time.monotonic() > self.until
        return self.is_out_of_time

    def _is_alike(self, setup: Setup) -> bool:
        last = len(self.setups)
        pairs = (alike_pairs(self.scene, [other, setup]) for other in self.setups)
        return last > 0 and any(pairs)

    def _rigged(self, idea: Idea) -> Iterator[Setup]:
        """Yield the camera on each kind of stand that is free, the lightest first, and in hand."""
        spot, view = idea.spot, idea.spot.views[idea.row]
        here = [s for s in self.setups if s.each.id == spot.each.id]
        used = Counter(part.id for s in here for part in s.parts)
        busy = {s.person.id for s in here if s.person is not None}
        camera = spot.cameras[idea.column]
        stands = [
            stand
            for stand in spot.stands
            if support_row(stand, spot.position) in idea.stand_rows
            and stand.carries(camera.mass_kg)
            and all(used[i] < len(self.brief.free_units(i, spot.each)) for i in stand.items)
        ]
        narrow = spot.shots.view_deg[idea.row, idea.column] < self.brief.shoot.rules.narrow_deg
        free = [person for person in spot.people if person.id not in busy]
        free.sort(key=lambda p: (len(p.performs_in), p.is_skilled != narrow, len(p.skills)))
        for stand in sorted(stands, key=lambda s: (s.support.people, s.mass_kg)):
            skill = stand.support.skill
            able = [person for person in free if skill is None or skill in person.skills]
            for person in able[:2] if idea.manner == "operated" else [None]:
                yield Setup(
                    spot.each,
                    spot.position,
                    Camera(camera.body, camera.mode, camera.lens, camera.adapter),
                    Stand(stand.support, stand.head),
                    person,
                    view.subject,
                    view.size,
                )

    def _hold_together(self, setup: Setup, without: int | None = None) -> bool:
        """Whether a rig goes with all others; `without` is the place of one it takes the place of.

        A lock that forbids it counts as well, unless it was broken before.
        """
        others = [s for n, s in enumerate(self.setups) if n != without]
        together = [*others, setup]
        here = [s for s in together if s.each.id == setup.each.id]
        if next(iter(pass_faults(self.scene, setup.each, here)), None) is not None:
            return False
        if next(iter(between_faults(self.scene, together)), None) is not None:
            return False
        return not any(d.kind == "never" and not d.is_met for d in demands_of(self.scene, together))

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
