"""Shot sheets: for each camera and song the shot to hold, what to fall back on, and the cues.

`reach`: what each camera can frame; `moments`: moments on the clock of their song; `model`: rules
and goals; `solve`: the search; `sheets`: what is written down.
"""

from __future__ import annotations

from collections.abc import Sequence

from kitplan.day.shots.model import build
from kitplan.day.shots.reach import reaches
from kitplan.day.shots.sheets import moments_held, sheet_of
from kitplan.day.shots.solve import solve
from kitplan.plan.day.shots import MomentHeld, ShotSheet, ShotSheets
from kitplan.plan.records import Placement
from kitplan.shoot.brief import Brief

__all__ = ["shot_sheets"]


def shot_sheets(briefs: dict[str, Brief], placements: Sequence[Placement]) -> ShotSheets:
    """Return the best shot sheets of a plan, with proof where there is one.

    Args:
        briefs: By shoot id. Shoots are not cut together: each is solved by itself, and what the
            goals come to is added up.
    """
    sheets: list[ShotSheet] = []
    moments: list[MomentHeld] = []
    values: list[tuple[int, ...]] = []
    bounds: list[tuple[int, ...]] = []
    for shoot_id, brief in briefs.items():
        model = build(brief, reaches(brief, shoot_id, placements))
        answer = solve(model)
        sheets += [sheet_of(model, answer, number) for number in range(len(model.reaches))]
        moments += moments_held(model, answer, shoot_id)
        values.append(answer.values)
        bounds.append(answer.bounds)
    value, bound = (
        tuple(map(float, map(sum, zip(*each, strict=True)))) for each in (values, bounds)
    )
    return ShotSheets(
        sheets=tuple(sheets),
        moments=tuple(moments),
        value=value,
        bound=bound,
        is_proven=value == bound,
    )
