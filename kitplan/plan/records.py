"""Records of the answer: every placement of every pass, with its reasons. No solver types.

A plan carries all it needs: kit, shoot, the hash of the tables, versions, parameters. Pass ids in a
plan carry their shoot (`depot-brass/show`), so that two shoots can share one plan.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from kitplan.gear.kit import Kit
from kitplan.gear.records import Positive, Record
from kitplan.plan.day.cases import CasePlan
from kitplan.plan.day.media import MediaPlan
from kitplan.plan.day.power import PowerPlan
from kitplan.plan.day.rolls import Cover, RollPlan
from kitplan.plan.day.shots import ShotSheets
from kitplan.plan.day.sound import SoundPlan
from kitplan.plan.day.work import DayWork
from kitplan.plan.framing import Framing
from kitplan.shoot.records import Pass, Shoot

VERSION = 4
"""Version 1 had no figures of what is in the picture, 2 no passes that are over, 3 no day."""
Manner = Literal["operated", "locked-off"]
Worth = Literal["live", "locks", "inserts", "none"]
Status = Literal["solved", "musts-missed", "stopped-early"]


class Rig(Record):
    """A body with its lens, adapter, head and support, down to units."""

    body: str
    mode: str
    """Name of the recording mode."""
    lens: str | None
    adapter: str | None
    head: str | None
    support: str

    @property
    def units(self) -> tuple[str, ...]:
        """Ids of its units, in build order from the floor up."""
        parts = (self.support, self.head, self.body, self.adapter, self.lens)
        return tuple(unit for unit in parts if unit is not None)


class Shot(Framing):
    """What a placement frames, and with which settings."""

    distance_m: Positive
    frame_height_m: Positive
    """Height of the frame at the subject."""
    focal_mm: Positive
    """Set on the lens scale as it is engraved (without the adapter's factor)."""
    view_deg: Annotated[float, Field(gt=0, lt=180)]
    """Vertical angle of view."""
    stop: Positive
    iso: Positive
    """ISO in the dimmest state that must be usable."""
    iso_bright: Positive
    """ISO in the brightest state."""
    nd_stops: float
    """Neutral density that the brightest state asks for at base ISO."""
    shutter_s: Positive
    focus_m: Positive
    near_m: float
    far_m: float | None
    """Limits of the depth of field; None for infinity."""
    grade: Annotated[int, Field(ge=0, le=3)]
    """Grade of the picture: the weakest of light, focus, steadiness and sight."""
    marks: Annotated[int, Field(ge=0, le=18)]
    """Light, focus, framing fit, steadiness, sight and background, 3 each."""
    band: str
    """Band of angle of view."""
    steady_share: float = 0.0
    """Movement within a second as a share of the frame's height."""
    hidden: float = 0.0
    """Share of the subject that is hidden."""
    hidden_arms: float = 0.0
    """The same with a standing audience's arms raised."""
    seats: float = 0.0
    """Share of the frame that empty seats take."""
    wings: float = 0.0
    """Share of the frame beside the stage."""
    has_lamp: bool = False
    """A lamp or window is in the frame."""
    unconsenting: tuple[str, ...] = ()
    """Subjects without consent in this wide picture."""


class InPicture(Record):
    """Another camera of the pass that stands in the main shot, and costs marks there."""

    letter: str
    height_share: float
    """Share of the frame's height that its rig, operator or move takes."""


class Placement(Record):
    """A rig at a position in a pass, with an operator or locked off, doing roles."""

    pass_id: str
    position: str
    letter: str
    """Camera letter: the same body has the same letter in all passes."""
    rig: Rig
    operator: str | None
    roles: tuple[str, ...]
    shot: Shot
    menu: tuple[Framing, ...]
    """Further shots that the operator is planned to hold."""
    in_picture: tuple[InPicture, ...] = ()
    """Others that stand in the main shot, small enough to be borne."""
    is_counted: bool
    """One of the distinct viewpoints."""
    batteries: tuple[str, ...]
    cards: tuple[str, ...]
    accessories: tuple[str, ...]
    """Unit ids."""

    @property
    def manner(self) -> Manner:
        """Operated, or locked off."""
        return "locked-off" if self.operator is None else "operated"

    @property
    def units(self) -> tuple[str, ...]:
        """Ids of everything it takes."""
        return (*self.rig.units, *self.batteries, *self.cards, *self.accessories)


class GoalReached(Record):
    """What a goal came to. A bound holds given the values of the goals before it."""

    goal: str
    value: float
    bound: float
    is_proven: bool
    seconds: float
    """When it was reached: by the clock, or with one worker in the solver's own steps."""
    parts: dict[str, float]
    unit: str


class DemandMet(Record):
    """A role, moment or lock, and whether it is met."""

    kind: Literal["role", "moment", "keep", "never"]
    id: str
    words: str
    priority: Literal["must", "want", "nice"]
    is_met: bool


class Reset(Record):
    """Work between two passes in person-minutes, and what is available less slack."""

    after: str
    before: str
    work_min: float
    available_min: float
    stays: tuple[str, ...]
    """Letters of cameras that keep their place and rig."""


class LeftOut(Record):
    """An item that is not used in any pass, and the most frequent reason."""

    item: str
    units: int
    reason: str


class Day(Record):
    """The clock of a plan; a part that was left out is None."""

    shots: ShotSheets | None = None
    rolls: RollPlan | None = None
    cover: Cover | None = None
    work: DayWork | None = None
    cases: CasePlan | None = None
    sound: SoundPlan | None = None
    power: PowerPlan | None = None
    media: MediaPlan | None = None


class MadeWith(Record):
    """What made the plan."""

    kitplan: str
    ortools: str
    tables: str
    """Hash of the reference tables."""
    seconds: float
    seed: int
    workers: int


class Plan(Record):
    """The whole answer."""

    format: Literal["kitplan-plan"] = "kitplan-plan"
    version: Annotated[int, Field(ge=1, le=VERSION)] = VERSION
    title: str
    status: Status
    shoots: dict[str, Shoot]
    """By shoot id."""
    kit: Kit
    made_with: MadeWith
    shutter_s: float
    shutter_words: str
    placements: tuple[Placement, ...]
    demands: tuple[DemandMet, ...]
    clash: tuple[str, ...] = ()
    """A smallest set of demands that cannot all hold, in plain words; empty when all hold."""
    clash_reason: str = ""
    """What stands in the way of a single demand, or what several have to share."""
    goals: tuple[GoalReached, ...]
    resets: tuple[Reset, ...]
    worth: dict[str, dict[str, Worth]]
    """By pass id and song id: live, locks, inserts, none."""
    left_out: tuple[LeftOut, ...]
    day: Day | None = None
    """None in plans of before there was one, and where it was not asked for."""
    keeps_letters: bool = False
    """Made from another plan (one that is rigged already, or one that this is an alternative to):
    bodies keep their letters, so that the first safety camera need not be A."""

    def pass_ids(self) -> tuple[str, ...]:
        """Ids of all passes, in order."""
        return tuple(
            f"{shoot_id}/{each.id}"
            for shoot_id, shoot in self.shoots.items()
            for each in shoot.passes
        )

    def pass_of(self, pass_id: str) -> tuple[Shoot, Pass]:
        """Return the shoot and the pass behind an id such as `depot-brass/show`."""
        shoot_id, _, own = pass_id.partition("/")
        shoot = self.shoots[shoot_id]
        return shoot, shoot.passes_by_id[own]

    def value_of(self, goal_id: str) -> float:
        """Return what a goal came to; 0 where it was not reached."""
        return next((goal.value for goal in self.goals if goal.goal == goal_id), 0.0)

    def placements_in(self, pass_id: str) -> tuple[Placement, ...]:
        """Placements of a pass, by camera letter."""
        found = [p for p in self.placements if p.pass_id == pass_id]
        return tuple(sorted(found, key=lambda p: p.letter))
