"""Shots: which camera can take which view in a pass, and how good it would be. All at once.

For one position and pass every view (rows) meets every camera (columns) in numpy arrays; a refused
pair keeps the number of its rule and the two figures that clash.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kitplan.options.cameras import Camera
from kitplan.options.refusals import Refusal
from kitplan.options.shot_rules import (
    Failure,
    Figures,
    Floats,
    fails,
    figures_of,
    lasting_fails,
    locked_fails,
)
from kitplan.options.sights import Sights
from kitplan.options.steadiness import Manner, Tremors, steady_marks
from kitplan.options.views import View
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass
from kitplan.tables import table

Flags = NDArray[np.bool_]
Marks = NDArray[np.int8]
"""Small numbers, of which there are hundreds of millions in a large shoot."""
RULES = (
    "",
    "no-audience",
    "no-light-row",
    "laser",
    "consent",
    "hidden",
    "too-long",
    "too-short",
    "closest-focus",
    "light",
    "empty-seats",
    "roam",
    "focus",
    "automatic",
    "endurance",
)
"""Refusal rules in the order in which they are tried; 0 is 'possible'."""
CODE = {rule: code for code, rule in enumerate(RULES)}
GOOD_FIT, FAIR_FIT = 1.05, 1.15
"""Frame height within 5 % of the planned one is a full fit, within 15 % a fair one."""
FAIR_DEPTH_M = 0.3
"""Depth of field that an operator can work with. Common practice, no source."""


class Refusals(NamedTuple):
    """Of every pair, arrays (views, cameras)."""

    code: Marks
    """Number of the first rule in RULES that fails, 0 where none does."""
    value: Floats
    limit: Floats
    """The two figures that clash there."""


class Settings(NamedTuple):
    """How a camera is set for a view."""

    focal_mm: float
    stop: float
    iso: float
    frame_m: float
    view_deg: float


@dataclass(frozen=True)
class Asked:
    """Views of one position in one pass and cameras that might take them."""

    brief: Brief
    each: Pass
    views: tuple[View, ...]
    cameras: tuple[Camera, ...]
    lasts_min: Floats
    """For each camera the minutes it lasts untouched."""
    must_last_min: float
    """Minutes that a locked-off one must last there, 0 where it can be reached."""
    sights: Sights
    """What each view sees, whatever the camera."""
    tremors: Tremors
    """In degrees for each camera, by kind of stand and manner."""
    has_no_hands: bool
    """Not even its operator can touch the camera."""

    def figures(self) -> Figures:
        """Return the figures of every pair."""
        return figures_of(self.brief, self.each, self.views, self.cameras)

    def failures(self, figures: Figures) -> tuple[Refusals, Refusals]:
        """Return what refuses each pair operated, and locked off."""
        either = fails(self.brief, figures, self.sights)
        locked = locked_fails(self.brief, figures)
        lasting = lasting_fails(self.lasts_min, self.must_last_min)
        (either if self.has_no_hands else locked).append(lasting)
        shape = np.broadcast_shapes(figures.rows.planned.shape, figures.look.height.shape)
        return _first_failure(shape, either), _first_failure(shape, [*either, *locked])


@dataclass(frozen=True)
class Shots:
    """Every view of one position with every camera in one pass: arrays (views, cameras).

    Marks and the numbers of rules alone are kept: a large shoot has 13 million pairs, and the
    settings of a few hundred are ever asked for. Those are worked out again.
    """

    asked: Asked
    light: Marks
    focus_operated: Marks
    focus_locked: Marks
    fit: Marks
    sight: Marks
    background: Marks
    """Marks 0 to 3."""
    sight_grade: Marks
    steady: dict[tuple[str, Manner], Marks]
    """Marks 0 to 3 by kind of stand and manner; 0 is refused."""
    band: Marks
    """Number of the band of vertical angle of view."""
    is_narrow: Flags
    """Whether the angle is so narrow that it needs a skilled hand."""
    code_operated: Marks
    code_locked: Marks
    """Number of the refusing rule in RULES, 0 where the shot is possible."""

    @property
    def sights(self) -> Sights:
        """What each view sees, whatever the camera."""
        return self.asked.sights

    @property
    def tremors(self) -> Tremors:
        """In degrees for each camera, by kind of stand and manner."""
        return self.asked.tremors

    def settings(self, row: int, column: int) -> Settings:
        """Return how a camera is set for a view, possible or not."""
        asked = self.asked
        views, cameras = (asked.views[row],), (asked.cameras[column],)
        found = figures_of(asked.brief, asked.each, views, cameras)
        own = (found.reach.focal, found.light.stop, found.light.iso, found.reach.frame)
        return Settings(*(float(np.ravel(each)[0]) for each in (*own, found.view_deg)))

    def stand_rows(self, manner: Manner) -> tuple[str, ...]:
        """Return the kinds of stand that work in a manner there."""
        return tuple(row for row, way in self.steady if way == manner)

    def possible_on(self, stand_row: str, manner: Manner) -> Flags:
        """Return which pairs are possible in a manner on a kind of stand, (views, cameras)."""
        found: Flags = (self._code(manner) == 0) & (self.steady[stand_row, manner] > 0)
        return found

    def possible(self, manner: Manner) -> Flags:
        """Return which pairs are possible in a manner on some stand, shape (views, cameras)."""
        found = np.zeros(self.light.shape, dtype=np.bool_)
        for row in self.stand_rows(manner):
            found |= self.possible_on(row, manner)
        return found

    def _code(self, manner: Manner) -> Marks:
        return self.code_operated if manner == "operated" else self.code_locked

    def _focus(self, manner: Manner) -> Marks:
        return self.focus_operated if manner == "operated" else self.focus_locked

    def grade(self, manner: Manner, stand_row: str) -> Marks:
        """Return the grade 0 to 3: the weakest of light, focus, steadiness and sight."""
        parts = (self.light, self._focus(manner), self.steady[stand_row, manner], self.sight_grade)
        found: Marks = np.minimum.reduce(np.broadcast_arrays(*parts))
        return found

    def quality(self, manner: Manner, stand_row: str) -> Marks:
        """Return the marks 0 to 18: light, focus, framing fit, steadiness, sight, background."""
        steady = self.steady[stand_row, manner]
        found: Marks = (
            self.light + self._focus(manner) + self.fit + steady + self.sight + self.background
        )
        return found

    @cached_property
    def _clashing(self) -> tuple[Floats, Floats]:
        """The two figures of each refusal, the locked-off one where both are refused; for the
        few positions that people ask about.
        """
        _, locked = self.asked.failures(self.asked.figures())
        return locked.value, locked.limit

    def refusal(self, row: int, column: int, manner: Manner) -> Refusal | None:
        """Return why a pair is refused on every stand, with its figures; None where it is not."""
        code = self._code(manner)[row, column]
        view, camera = self.asked.views[row], self.asked.cameras[column]
        what = f"{view.subject.id} {view.size} with {camera.key}"
        if code:
            figures = [float(figure[row, column]) for figure in self._clashing]
            return Refusal(what, RULES[code], *figures)
        rows = self.stand_rows(manner)
        if not rows or any(self.steady[each, manner][row, column] for each in rows):
            return None
        least = min(float(self.tremors[each, manner][column]) for each in rows)
        view_deg = self.settings(row, column).view_deg
        return Refusal(what, "steadiness", 100 * least / view_deg, view_deg)


def band_names() -> tuple[str, ...]:
    """Return the names of the bands of angle of view, narrowest first."""
    return tuple(table("angle_bands")["bands_deg"])


def band_of(view_deg: Floats) -> Marks:
    """Return the number of the band for vertical angles of view in degrees."""
    edges = [low for low, _ in table("angle_bands")["bands_deg"].values()][1:]
    return np.digitize(view_deg, edges).astype(np.int8)


def find_shots(
    brief: Brief,
    each: Pass,
    views: Sequence[View],
    cameras: Sequence[Camera],
    lasts_min: Floats,
    must_last_min: float,
    sights: Sights,
    tremors: Tremors,
    *,
    has_no_hands: bool = False,
) -> Shots:
    """Return all shots of one position in one pass.

    Args:
        lasts_min: For each camera the minutes it lasts untouched.
        must_last_min: Minutes that a locked-off one must last there, 0 where it can be reached.
        sights: What the views see in this pass.
        tremors: Of each camera, by kind of stand and manner.
        has_no_hands: Not even its operator can touch the camera.
    """
    asked = Asked(
        brief=brief,
        each=each,
        views=tuple(views),
        cameras=tuple(cameras),
        lasts_min=lasts_min,
        must_last_min=must_last_min,
        sights=sights,
        tremors=tremors,
        has_no_hands=has_no_hands,
    )
    figures = asked.figures()
    operated, locked = asked.failures(figures)
    rules, view_deg, holds = brief.shoot.rules, figures.view_deg, figures.holds
    by_hand = np.where(holds, 3, np.where(figures.depth_m >= FAIR_DEPTH_M, 2, 1))
    return Shots(
        asked=asked,
        light=_grades(figures.light.spare, 0.0, rules.fair_light_stops, rules.good_light_stops),
        focus_operated=_marks(by_hand),
        focus_locked=_marks(np.where(holds, 3, 0)),
        fit=_fit(figures.reach.frame / figures.rows.planned),
        sight=_column(sights.sight_mark(rules)),
        background=_column(sights.background_mark(rules)),
        sight_grade=_column(sights.sight_grade(rules)),
        steady={
            key: steady_marks(brief, tremor, view_deg, key[1]) for key, tremor in tremors.items()
        },
        band=band_of(view_deg),
        is_narrow=view_deg < rules.narrow_deg,
        code_operated=operated.code,
        code_locked=locked.code,
    )


def _marks(values: NDArray[np.int64]) -> Marks:
    return values.astype(np.int8)


def _column(values: NDArray[np.int64]) -> Marks:
    return _marks(values).reshape(-1, 1)


def _grades(value: Floats, poor: float, fair: float, good: float) -> Marks:
    """Grade 3 from `good` on, 2 from `fair`, 1 from `poor`, else 0 (inclusive)."""
    steps = [value >= limit - 1e-9 for limit in (poor, fair, good)]
    grades: Marks = np.sum(steps, axis=0, dtype=np.int8)
    return grades


def _fit(ratio: Floats) -> Marks:
    off = np.maximum(ratio, 1 / ratio)
    return _marks(np.where(off <= GOOD_FIT + 1e-9, 3, np.where(off <= FAIR_FIT + 1e-9, 2, 1)))


def _first_failure(shape: tuple[int, ...], failed: list[Failure]) -> Refusals:
    """Return per pair the first rule that fails and its two figures."""
    code = np.zeros(shape, dtype=np.int8)
    value, limit = np.full(shape, np.nan), np.full(shape, np.nan)
    for rule, fails_there, found, allowed in failed:
        new = (code == 0) & np.broadcast_to(fails_there, shape)
        code[new] = CODE[rule]
        value[new] = np.broadcast_to(found, shape)[new]
        limit[new] = np.broadcast_to(allowed, shape)[new]
    return Refusals(code, value, limit)
