"""What stands where: the things of a venue as plain shapes, from the shoot alone.

Axes as in `venue`: x house right, y upstage, z up, metres. Who sees what is asked in `options`;
the exact definitions stand in docs/model.md, section 2b.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians, tan

from kitplan.shoot.records import Pass, Shoot
from kitplan.shoot.rules import Rules
from kitplan.shoot.sizes import AREAL, LADDER, body_m, height_m
from kitplan.shoot.venue import AudienceArea, Outline, Point, Subject
from kitplan.stage.outline import centre_of
from kitplan.tables import table

SHOULDERS_M = 0.5
"""Width at which a person hides what is behind. Common practice, no source."""


@dataclass(frozen=True)
class Block:
    """An outline in plan from a bottom to a top; the top may rise towards smaller y."""

    id: str
    outline_m: Outline
    bottom_m: float
    top_m: float
    """At `from_y_m`."""
    rise: float = 0.0
    """Metres up per metre towards smaller y."""
    from_y_m: float = 0.0


@dataclass(frozen=True)
class Card:
    """An upright rectangle over a place, turned to whoever looks at it."""

    id: str
    at_m: Point
    foot_m: float
    top_m: float
    width_m: float


# -- subjects --------------------------------------------------------------------------------------


def floor_of(shoot: Shoot, subject: Subject) -> float:
    """Return the height of what a subject stands on: its own, the house floor, or the stage."""
    if subject.floor_height_m is not None:
        return subject.floor_height_m
    return 0.0 if subject.kind == "audience" else shoot.venue.stage.height_m


def outline_of(shoot: Shoot, subject: Subject) -> Outline | None:
    """Return the outline of an areal subject: its own, the audience's, or the stage's."""
    if subject.outline_m is not None or subject.kind not in AREAL or subject.at_m is not None:
        return subject.outline_m
    if subject.kind == "audience" and shoot.venue.audience:
        return shoot.venue.audience[0].outline_m
    return shoot.venue.stage.outline_m


def place_of(shoot: Shoot, subject: Subject) -> Point:
    """Return the place that is aimed at, in plan: its own, or the middle of its outline."""
    return subject.at_m or centre_of(outline_of(shoot, subject) or shoot.venue.stage.outline_m)


def head_m(subject: Subject) -> float:
    """Return how high the head is over the floor: stature, or less for those who sit."""
    if subject.kind != "person":
        return height_m(subject)
    return min(height_m(subject), body_m(subject))


def aim_height_m(subject: Subject, size: str, frame_m: float) -> float:
    """Return the height of the middle of a frame over the subject's floor, in metres.

    Tight frames keep head room over the head; frames that hold the whole figure stand on the foot
    room. Shares of the frame: shared/shot_sizes.yaml.
    """
    sizes = table("shot_sizes")
    is_cut = LADDER.index(size) < LADDER.index(sizes["whole_figure_from"])
    top_m = head_m(subject) if is_cut else height_m(subject)
    under_head = top_m + (sizes["head_room"][size] - 0.5) * frame_m
    return float(max(under_head, (0.5 - sizes["foot_room"][size]) * frame_m))


def family_of(shoot: Shoot, subject: Subject) -> frozenset[str]:
    """Return the ids of a subject, of all it is part of, and of all its parts."""
    whole = {subject.id}
    above = subject
    while above.part_of is not None and above.part_of not in whole:
        whole.add(above.part_of)
        above = shoot.subjects_by_id[above.part_of]
    parts = {subject.id}
    while more := {s.id for s in shoot.subjects if s.part_of in parts} - parts:
        parts |= more
    return frozenset(whole | parts)


# -- what hides ------------------------------------------------------------------------------------


def solids(shoot: Shoot) -> tuple[Block, ...]:
    """Return obstacles and the stage."""
    stage = shoot.venue.stage
    blocks = tuple(
        Block(each.id, each.outline_m, each.base_m, each.base_m + each.height_m)
        for each in shoot.venue.obstacles
    )
    return (*blocks, Block("stage", stage.outline_m, 0.0, stage.height_m))


def is_occupied(area: AudienceArea, each: Pass) -> bool:
    """Whether people sit or stand in an audience area in a pass."""
    return each.has_audience and each.id not in area.empty_in


def heads(shoot: Shoot, each: Pass, *, arms_up: bool = False) -> tuple[Block, ...]:
    """Return the people of the audience as blocks up to their heads, or to raised arms."""
    return tuple(
        _raked(area, _head_height_m(area, shoot.rules, arms_up))
        for area in shoot.venue.audience
        if is_occupied(area, each)
    )


def empty_seats(shoot: Shoot, each: Pass) -> tuple[Block, ...]:
    """Return the audience areas without people; the top is that of the seats or the bare floor."""
    seat_m = shoot.rules.seat_m
    return tuple(
        _raked(area, seat_m if area.state == "seated" else 0.0)
        for area in shoot.venue.audience
        if not is_occupied(area, each)
    )


def _head_height_m(area: AudienceArea, rules: Rules, arms_up: bool) -> float:
    if area.state == "seated":
        return rules.heads_seated_m
    return rules.heads_arms_up_m if arms_up else rules.heads_standing_m


def _raked(area: AudienceArea, over_floor_m: float) -> Block:
    """An area up to a height over its floor, which rises away from the stage."""
    return Block(
        area.id,
        area.outline_m,
        bottom_m=area.height_m,
        top_m=area.height_m + over_floor_m,
        rise=tan(radians(area.rake_deg)),
        from_y_m=max(y for _, y in area.outline_m),
    )


def performers(shoot: Shoot) -> tuple[tuple[Subject, Block | Card], ...]:
    """Return who may stand in the way of others: those who keep to their place."""
    return tuple(
        (subject, shape)
        for subject in shoot.subjects
        if subject.roam_m <= shoot.rules.still_roam_m and (shape := _shape(shoot, subject))
    )


def _shape(shoot: Shoot, subject: Subject) -> Block | Card | None:
    floor_m = floor_of(shoot, subject)
    if subject.kind in ("person", "object"):
        assert subject.at_m is not None  # the record asks for it
        is_person = subject.kind == "person"
        width_m = min(subject.width_m, SHOULDERS_M) if is_person else subject.width_m
        top_m = floor_m + head_m(subject)
        return Card(subject.id, subject.at_m, floor_m, top_m, width_m)
    if subject.kind == "group" and subject.outline_m is not None:
        return Block(subject.id, subject.outline_m, floor_m, floor_m + height_m(subject))
    return None
