"""Shots: which camera can take which view in a pass, and how good it would be. All at once.

For one position and pass every view (rows) meets every camera (columns) in numpy arrays; a refused
pair keeps the number of its rule and the two figures that clash.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kitplan.options.cameras import Camera
from kitplan.options.refusals import Refusal
from kitplan.options.shot_rules import (
    Failure,
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
Bands = NDArray[np.int64]
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


@dataclass(frozen=True)
class Shots:
    """Every view of one position with every camera in one pass: arrays (views, cameras)."""

    views: tuple[View, ...]
    cameras: tuple[Camera, ...]
    focal_mm: Floats
    stop: Floats
    iso: Floats
    frame_m: Floats
    view_deg: Floats
    sights: Sights
    """What each view sees, whatever the camera."""
    light: Marks
    focus_operated: Marks
    focus_locked: Marks
    fit: Marks
    sight: Marks
    background: Marks
    """Marks 0 to 3."""
    sight_grade: Marks
    tremors: Tremors
    """In degrees for each camera, by kind of stand and manner."""
    steady: dict[tuple[str, Manner], Marks]
    """Marks 0 to 3 by kind of stand and manner; 0 is refused."""
    code_operated: Marks
    code_locked: Marks
    """Number of the refusing rule in RULES, 0 where the shot is possible."""
    value: Floats
    limit: Floats
    """Figures of the refusal, the locked-off one where both are refused."""

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

    def band(self) -> Bands:
        """Return the number of the band of vertical angle of view of each shot."""
        return band_of(self.view_deg)

    def refusal(self, row: int, column: int, manner: Manner) -> Refusal | None:
        """Return why a pair is refused on every stand, with its figures; None where it is not."""
        code = self._code(manner)[row, column]
        view, camera = self.views[row], self.cameras[column]
        what = f"{view.subject.id} {view.size} with {camera.key}"
        if code:
            figures = float(self.value[row, column]), float(self.limit[row, column])
            return Refusal(what, RULES[code], *figures)
        rows = self.stand_rows(manner)
        if not rows or any(self.steady[each, manner][row, column] for each in rows):
            return None
        least = min(float(self.tremors[each, manner][column]) for each in rows)
        share = 100 * least / float(self.view_deg[row, column])
        return Refusal(what, "steadiness", share, float(self.view_deg[row, column]))


def band_names() -> tuple[str, ...]:
    """Return the names of the bands of angle of view, narrowest first."""
    return tuple(table("angle_bands")["bands_deg"])


def band_of(view_deg: Floats) -> Bands:
    """Return the number of the band for vertical angles of view in degrees."""
    edges = [low for low, _ in table("angle_bands")["bands_deg"].values()][1:]
    return np.digitize(view_deg, edges).astype(np.int64)


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
    figures = figures_of(brief, each, views, cameras)
    rows, look, reach, light, holds, depth_m, _ = figures
    rules, view_deg = brief.shoot.rules, figures.view_deg
    either, locked = fails(brief, figures, sights), locked_fails(brief, figures)
    lasting = lasting_fails(lasts_min, must_last_min)
    (either if has_no_hands else locked).append(lasting)
    shape = np.broadcast_shapes(rows.planned.shape, look.height.shape)
    code_operated, _, _ = _first_failure(shape, either)
    code_locked, value, limit = _first_failure(shape, [*either, *locked])
    return Shots(
        views=tuple(views),
        cameras=tuple(cameras),
        focal_mm=reach.focal,
        stop=light.stop,
        iso=light.iso,
        frame_m=reach.frame,
        view_deg=view_deg,
        sights=sights,
        light=_grades(light.spare, 0.0, rules.fair_light_stops, rules.good_light_stops),
        focus_operated=_marks(np.where(holds, 3, np.where(depth_m >= FAIR_DEPTH_M, 2, 1))),
        focus_locked=_marks(np.where(holds, 3, 0)),
        fit=_fit(reach.frame / rows.planned),
        sight=_column(sights.sight_mark(rules)),
        background=_column(sights.background_mark(rules)),
        sight_grade=_column(sights.sight_grade(rules)),
        tremors=tremors,
        steady={
            key: steady_marks(brief, tremor, view_deg, key[1]) for key, tremor in tremors.items()
        },
        code_operated=code_operated,
        code_locked=code_locked,
        value=value,
        limit=limit,
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


def _first_failure(shape: tuple[int, ...], failed: list[Failure]) -> tuple[Marks, Floats, Floats]:
    """Return per pair the code of the first rule that fails and its two figures."""
    code = np.zeros(shape, dtype=np.int8)
    value, limit = np.full(shape, np.nan), np.full(shape, np.nan)
    for rule, fails_there, found, allowed in failed:
        new = (code == 0) & np.broadcast_to(fails_there, shape)
        code[new] = CODE[rule]
        value[new] = np.broadcast_to(found, shape)[new]
        limit[new] = np.broadcast_to(allowed, shape)[new]
    return code, value, limit
