"""The independent checker: re-derives every rule and figure of a plan from its input.

Shares no code with what makes plans; docs/model.md is what both are held to. `verify` checks a
whole plan. Its pieces answer for parts of one, in items rather than units, and are meant to be
used by themselves, for example to search exhaustively through a small shoot:

- `Scene(shoot, kit)` is the input, with all that follows from it alone. Make it once: answers are
  kept in it by the ids they depend on (view by position, subject and size; picture by pass, view
  and camera; rules of positions, cameras, stands, people and shots likewise). So never change what
  an id means within a scene. Everything is pure beyond that.
- `Camera(body, mode, lens, adapter)`, `Stand(support, head)` and `Setup(each, position, camera,
  stand, person, subject, size, roles, menu, is_counted)` are records in items; `person` None is
  locked off.
- One placement: `is_possible(scene, setup)` stops at the first fault, `setup_faults` yields all.
  Its parts for filling the choices one by one: `position_faults(scene, each, position)`,
  `camera_faults(scene, camera)`, `stand_faults(scene, each, position, stand)`,
  `payload_faults(scene, camera, stand)`, `person_faults(scene, each, position, person)`,
  `shot_faults(scene, each, view, camera, manner)` with `view_of(scene, position, subject, size)`
  and `sizes_of(subject)`, `steadiness_faults(scene, setup, view, manner)`, in which the stand has
  its say; `menu_faults`, `role_faults`, `does(scene, setup, role)`.
- `marks_of(scene, setup)` are the marks of its main shot, with their grade and total.
- One pass: `pass_faults(scene, each, setups)`, of which `picture_faults` go by pairs:
  `level_in_picture(scene, view, setup)` is the level at which a setup is in a view of its pass, and
  `REFUSED` the one that no main shot or menu shot bears. All passes:
  `between_faults(scene, setups)`.
- Goals: `goal_values(scene, setups)` in order of importance and in whole numbers, the more the
  better; `demands_of` for what is met; `count_best(scene, setups)` counts the best set of distinct
  viewpoints.
"""

from kitplan.plan.verify.between import between_faults
from kitplan.plan.verify.check import verify
from kitplan.plan.verify.counting import Counting, alike_pairs, best_counting, count_best
from kitplan.plan.verify.crowding import REFUSED, level_in_picture, picture_faults
from kitplan.plan.verify.demands import Demand, demands_of, missed_musts
from kitplan.plan.verify.findings import Fault, Finding
from kitplan.plan.verify.goals import GOALS, SHOWN_PER_WHOLE, goal_values
from kitplan.plan.verify.lasting import Lasting, lasting_of
from kitplan.plan.verify.marks import Marks, grade_of, marks_of, seen
from kitplan.plan.verify.picture import Picture, picture_of
from kitplan.plan.verify.rig import camera_faults, payload_faults, position_faults, stand_faults
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.setups import Camera, Setup, Stand
from kitplan.plan.verify.shots import shot_faults
from kitplan.plan.verify.sight import View, sizes_of, view_of
from kitplan.plan.verify.single import (
    does,
    is_possible,
    menu_faults,
    person_faults,
    role_faults,
    setup_faults,
    steadiness_faults,
)
from kitplan.plan.verify.within import pass_faults

__all__ = [
    "GOALS",
    "REFUSED",
    "SHOWN_PER_WHOLE",
    "Camera",
    "Counting",
    "Demand",
    "Fault",
    "Finding",
    "Lasting",
    "Marks",
    "Picture",
    "Scene",
    "Setup",
    "Stand",
    "View",
    "alike_pairs",
    "best_counting",
    "between_faults",
    "camera_faults",
    "count_best",
    "demands_of",
    "does",
    "goal_values",
    "grade_of",
    "is_possible",
    "lasting_of",
    "level_in_picture",
    "marks_of",
    "menu_faults",
    "missed_musts",
    "pass_faults",
    "payload_faults",
    "person_faults",
    "picture_faults",
    "picture_of",
    "position_faults",
    "role_faults",
    "seen",
    "setup_faults",
    "shot_faults",
    "sizes_of",
    "stand_faults",
    "steadiness_faults",
    "verify",
    "view_of",
]
