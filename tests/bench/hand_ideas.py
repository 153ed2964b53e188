"""What a crew lead might do next: cameras for views, on stands, in hands. See `by_hand`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from kitplan.allocate.dominance import MANNERS
from kitplan.allocate.variables import stand_groups
from kitplan.options.spots import Spot, find_options
from kitplan.options.steadiness import Manner, support_row
from kitplan.plan.verify import Camera, Scene, Setup, Stand
from kitplan.plan.verify.goals import songs_of
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Role


@dataclass(frozen=True)
class Idea:
    """A camera for a view, not yet on legs or in somebody's hands."""

    score: tuple[float, ...]
    spot: Spot
    row: int
    column: int
    manner: Manner
    stand_rows: tuple[str, ...]


class Ideas:
    """What is possible beside the rigs that stand already."""

    def __init__(self, brief: Brief) -> None:
        self.options = find_options(brief)
        self.brief, self.scene = brief, Scene(brief.shoot, brief.kit)
        self.setups: list[Setup] = []

    def free_spots(self, passes: Sequence[str]) -> Iterator[Spot]:
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

    def ideas(
        self, passes: Sequence[str], subject: str, sizes: Sequence[str], role: Role | None
    ) -> list[Idea]:
        """The best few cameras for each view that would do, best first."""
        found: list[Idea] = []
        for spot in self.free_spots(passes):
            if role is not None and role.positions and spot.position.id not in role.positions:
                continue
            rows = [
                row
                for row, view in enumerate(spot.views)
                if view.subject.id == subject and view.size in sizes
            ]
            found += self._of_rows(spot, rows, 4, None if role is None else role.manner)
        return sorted(found, key=lambda idea: idea.score, reverse=True)

    def viewpoint_ideas(self) -> list[Idea]:
        found: list[Idea] = []
        for spot in self.free_spots([each.id for each in self.brief.shoot.passes]):
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

    def rigged(self, idea: Idea) -> Iterator[Setup]:
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
        narrow = spot.shots.is_narrow[idea.row, idea.column]
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
