"""Marks of a shot, 0 to 3 each, with their grade and their sum (docs/model.md, section 6)."""

from __future__ import annotations

from dataclasses import dataclass

from kitplan.plan.verify.background import background_mark
from kitplan.plan.verify.picture import Picture, picture_of
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.seen import hidden_in, sight_grade, sight_mark
from kitplan.plan.verify.setups import Setup
from kitplan.plan.verify.shaking import steady_mark, steady_share
from kitplan.plan.verify.sight import View, view_of

FULL_MARKS, MARKS_PER_SHOT = 3, 18


@dataclass(frozen=True)
class Marks:
    """Marks of one shot."""

    light: int
    focus: int
    fit: int
    steady: int
    sight: int
    """How little is hidden, raised arms counted."""
    sight_grade: int
    """The same without the arms."""
    background: int

    @property
    def grade(self) -> int:
        """The weakest of light, focus, steadiness and sight; raised arms only cost marks."""
        return min(self.light, self.focus, self.steady, self.sight_grade)

    @property
    def total(self) -> int:
        """All marks, 18 at most."""
        return self.light + self.focus + self.fit + self.steady + self.sight + self.background


def seen(scene: Scene, setup: Setup) -> View | None:
    """Return the view of a setup's main shot; None where there is no such view."""
    return view_of(scene, setup.position, setup.subject, setup.size)


def picture(scene: Scene, setup: Setup) -> Picture | None:
    """Return the picture of a setup's main shot; None where there is none."""
    view = seen(scene, setup)
    return None if view is None else picture_of(scene, setup.each, view, setup.camera)


def steady_share_of(scene: Scene, setup: Setup, found: Picture) -> float:
    """Return by which share of its height the main shot of a setup moves within a second."""
    rig = (setup.camera, setup.stand)
    return steady_share(scene, setup.each, setup.position, rig, found, setup.manner)


def marks_of(scene: Scene, setup: Setup) -> Marks | None:
    """Return the marks of a setup's main shot; None where there is no picture."""
    view, found = seen(scene, setup), picture(scene, setup)
    if view is None or found is None:
        return None
    hidden = hidden_in(scene, setup.each, view)
    return Marks(
        light=found.light,
        focus=found.focus(setup.manner),
        fit=found.fit,
        steady=steady_mark(scene, steady_share_of(scene, setup, found), setup.manner),
        sight=sight_mark(scene, hidden),
        sight_grade=sight_grade(scene, hidden),
        background=background_mark(scene, setup.each, view),
    )


def grade_of(scene: Scene, setup: Setup) -> int:
    """Return the grade of a setup's main shot, 0 where there is no picture."""
    marks = marks_of(scene, setup)
    return 0 if marks is None else marks.grade
