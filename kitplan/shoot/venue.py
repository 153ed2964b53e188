"""Records of the place: stage, zones, audience, obstacles, positions, and the subjects in it.

Venue axes: origin at the centre of the stage's front edge at house-floor level; x to the right as
the audience sees it, y upstage, z up; metres.
"""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from kitplan.gear.records import Id, Name, NotNegative, Positive, Record, require_facts

Coordinate = Annotated[float, Field(ge=-1000, le=1000, allow_inf_nan=False)]
Point = tuple[Coordinate, Coordinate]
Outline = Annotated[tuple[Point, ...], Field(min_length=3, max_length=200)]
PersonSize = Literal["ECU", "CU", "MCU", "MS", "MLS", "FS", "WS", "EWS"]
Posture = Literal["standing", "seated", "child", "dancer"]
Bearing = Annotated[float, Field(ge=-360, le=360)]
"""Degrees clockwise from upstage, seen from above: 0 upstage, 90 house right, 180 to the house."""
SubjectKind = Literal["person", "object", "group", "stage", "audience"]


class Surveyed(Record):
    """Something on the ground whose facts somebody measures or guesses."""

    EXAMPLE: ClassVar[str]
    """A fact of it that is worth measuring."""

    measured: tuple[str, ...] = ()
    """Names of the facts that somebody measured; every other fact is assumed."""

    @model_validator(mode="after")
    def _measured_names_facts(self) -> Self:
        require_facts(self, self.measured, f"a {type(self).__name__.lower()}", self.EXAMPLE)
        return self

    def is_measured(self, fact: str) -> bool:
        """Whether the fact of this name was measured rather than assumed."""
        return fact in self.measured


class Stage(Record):
    """The playing area."""

    outline_m: Outline
    height_m: NotNegative = 0.0
    floor: Id = "timber-on-concrete"
    form: Literal["end", "thrust", "round"] = "end"
    has_wings: bool = True
    """At its sides one sees off stage: masking, waiting people, flight cases."""


class Zone(Record):
    """A part of the floor with its own height and material."""

    id: Id
    outline_m: Outline
    height_m: Coordinate = 0.0
    floor: Id = "concrete"


class AudienceArea(Record):
    """Where the audience stands or sits in passes that have one."""

    id: Id
    outline_m: Outline
    height_m: Coordinate = 0.0
    state: Literal["seated", "standing"] = "seated"
    rake_deg: Annotated[float, Field(ge=0, le=45)] = 0.0
    empty_in: tuple[Id, ...] = ()
    """Passes in which it stays empty though there is an audience: an unsold block."""


class Obstacle(Record):
    """A pillar, a mixing desk, a screen: something that stands in the way."""

    id: Id
    outline_m: Outline
    height_m: Positive
    base_m: Coordinate = 0.0


class Lamp(Record):
    """A lamp, window or laser that a camera may look into."""

    id: Id
    at_m: Point
    height_m: Coordinate
    """Over the house floor."""
    kind: Literal["lamp", "window", "laser"] = "lamp"
    faces_deg: Bearing | None = None
    """Where it shines; None for all around."""
    passes: tuple[Id, ...] | None = None
    """The passes in which it is on; None for all."""


class Permission(Record):
    """Whether a position may be used, and who said so."""

    state: Literal["given", "asked", "refused"]
    by: str = Field(default="", max_length=300)


class Position(Surveyed):
    """A place for one or more rigs."""

    EXAMPLE = "at_m"

    id: Id
    name: Name | None = None
    at_m: Point
    floor_height_m: Coordinate = 0.0
    """Height of what the support stands or hangs on, over the house floor."""
    lens_height_m: NotNegative
    """Height of the lens over that floor; for a bar, how far below it the lens may hang is 0."""
    stands_on: Literal["floor", "rail", "bar"] = "floor"
    rigs: Annotated[int, Field(ge=1, le=9)] = 1
    room_m: Positive = 1.5
    """Width that the supports may take up together."""
    open_in: tuple[Id, ...] | None = None
    """Ids of the passes in which it may be used; None for all."""
    is_on_stage: bool = False
    is_overhead: bool = False
    """Above people: needs bond, a second person who may rig, and the venue's yes."""
    is_out_of_reach: bool = False
    """Nobody can touch the camera during a pass."""
    is_shut_in_by_audience: bool = False
    """With the audience in, nobody gets to it or away from it."""
    has_public: bool = False
    """The public can reach the rig."""
    has_mains: bool = False
    is_outdoors: bool = False
    walk_m: NotNegative = 1.5
    """How far from its home point a walking operator may go."""
    arc_deg: tuple[Bearing, Bearing] | None = None
    """Bearings between which an arm may swing, clockwise from the first; None for all around."""
    park_deg: Bearing | None = None
    """Bearing at which an arm rests while others film; None where it cannot."""
    only_people: tuple[Id, ...] | None = None
    permission: Permission | None = None
    """None where nobody has to be asked."""
    floor: Id = "concrete"

    @property
    def label(self) -> str:
        """Name for people."""
        return self.name or self.id

    @property
    def lens_at_m(self) -> tuple[float, float, float]:
        """Where the lens is, in venue axes."""
        return (*self.at_m, self.floor_height_m + self.lens_height_m)


class Venue(Record):
    """The place."""

    name: Name
    stage: Stage
    zones: tuple[Zone, ...] = ()
    audience: tuple[AudienceArea, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    lamps: tuple[Lamp, ...] = ()
    positions: tuple[Position, ...] = Field(min_length=1, max_length=300)
    people_through_door_min: NotNegative = 0.0
    """Minutes to carry a load from the store to the stage and back."""
    loads_through_door: Annotated[int, Field(ge=1, le=20)] = 1
    """Loads that pass the doorway between store and stage at the same time."""
    sockets: Annotated[int, Field(ge=0, le=200)] = 4
    """Sockets for chargers and the laptop, those at positions not counted."""


class Subject(Surveyed):
    """What is filmed: a person, an instrument, a group, the whole stage, the audience."""

    EXAMPLE = "height_m"

    id: Id
    name: Name | None = None
    kind: SubjectKind = "person"
    at_m: Point | None = None
    """Where it stands; groups, stage and audience may give an outline instead."""
    floor_height_m: Coordinate | None = None
    """Height of what it stands on; None is the stage's own height."""
    outline_m: Outline | None = None
    posture: Posture = "standing"
    height_m: Positive | None = None
    """Height of a person, object or group; None takes the table for the posture."""
    width_m: Positive = 0.6
    """Width of a person with the instrument, or of an object."""
    roam_m: NotNegative = 0.0
    """Radius within which it moves during a song."""
    faces_deg: Bearing = 180.0
    """Where a person looks: 180 to the house, 0 upstage. For the drawn frames."""
    part_of: Id | None = None
    closest: PersonSize | None = None
    """The tightest size that may be filmed (children)."""
    has_consent: bool = True
    """False keeps it out of every picture but wide ones."""
    frames_m: dict[PersonSize, Positive] = Field(default_factory=dict)
    """Frame heights in metres for sizes that differ from the table."""

    @model_validator(mode="after")
    def _has_a_place(self) -> Self:
        areal = self.kind in ("group", "stage", "audience")
        if not areal and self.at_m is None:
            raise ValueError(
                f"at_m is missing, but a {self.kind} stands somewhere; add at_m: [x, y]"
            )
        if self.kind == "group" and self.at_m is None and self.outline_m is None:
            raise ValueError(
                "outline_m is missing, but a group stands somewhere; "
                "add outline_m, or at_m with width_m"
            )
        return self

    @property
    def label(self) -> str:
        """Name for people."""
        return self.name or self.id


class Light(Surveyed):
    """Light on a subject in some passes; the first row that fits a pass and subject counts."""

    EXAMPLE = "dim_lux"

    passes: tuple[Id, ...] | None = None
    subjects: tuple[Id, ...] | None = None
    dim_lux: Positive
    """The dimmest state that must be usable."""
    bright_lux: Positive
    """The brightest state (follow spot)."""
    lamp: Literal["tungsten", "led", "discharge", "daylight", "screen"] = "tungsten"
    pwm_hz: Positive | None = None
    headroom_stops: NotNegative | None = None

    @model_validator(mode="after")
    def _order(self) -> Self:
        if self.dim_lux > self.bright_lux:
            raise ValueError(
                f"dim_lux {self.dim_lux:g} is above bright_lux {self.bright_lux:g}; swap them"
            )
        return self
