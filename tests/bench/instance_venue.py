"""Venues for `instances`: a stage, a hall with its audience, positions all round, subjects."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import cycle, islice, product
from math import radians, tan
from random import Random
from typing import Any, NamedTuple

from kitplan.shoot.venue import (
    AudienceArea,
    Lamp,
    Obstacle,
    Permission,
    Point,
    Position,
    Stage,
    Subject,
    Venue,
)

Outline = tuple[Point, Point, Point, Point]
PIT_M = 1.9
"""Between the stage and the audience."""
KINDS = ("desk", "riser", "side", "side", "pit", "pit", "wing", "rail", "bar", "jib", "corner",
         "riser", "side", "pit", "wing", "rail", "riser", "side", "pit", "wing", "rail", "corner",
         "desk", "side", "pit", "riser", "corner", "jib", "rail", "wing")  # fmt: skip
"""Kinds of position in the order in which a venue gets them."""


@dataclass(frozen=True)
class Hall:
    """Sizes in metres: half widths and depths of stage and hall, height of the stage."""

    stage_x: float
    stage_y: float
    hall_x: float
    hall_y: float
    stage_z: float
    is_standing: bool
    rake_deg: float

    @property
    def back_m(self) -> float:
        """Height of the floor behind the last row."""
        return (self.hall_y - PIT_M) * tan(radians(self.rake_deg))


def make_hall(half_width_m: float, chance: Random) -> Hall:
    """Return a hall for a stage of about that half width; one in two has a standing audience."""
    standing = chance.random() < 0.5
    x = half_width_m * chance.uniform(0.9, 1.1)
    return Hall(
        stage_x=round(x, 1),
        stage_y=round(x * chance.uniform(1.2, 1.5), 1),
        hall_x=round(x * 1.45, 1),
        hall_y=round(x * chance.uniform(2.2, 2.8), 1),
        stage_z=chance.choice((0.6, 0.8, 1.0, 1.2)),
        is_standing=standing,
        rake_deg=0.0 if standing else chance.choice((0.0, 3.0, 6.0)),
    )


def box(x: float, y: float, wide: float, deep: float) -> Outline:
    """Return a rectangle round a place."""
    left, right, low, high = (round(v, 2) for v in (x - wide, x + wide, y - deep, y + deep))
    return ((left, low), (right, low), (right, high), (left, high))


def make_venue(hall: Hall, positions: int, closed: tuple[str, ...], chance: Random) -> Venue:
    """Return a venue with that many positions.

    Args:
        closed: Ids of the passes without an audience, in which stage and floor are free.
    """
    kinds = list(islice(cycle(KINDS), positions))
    places = []
    for number, kind in enumerate(kinds):
        rank, of = kinds[:number].count(kind), kinds.count(kind)
        places.append(_position(hall, f"{kind}-{rank}", kind, (rank, of), closed, chance))
    asked = [n for n, p in enumerate(places) if p.permission is None and n % 14 == 3]
    for number in asked:
        state = Permission(state="asked", by="the house")
        places[number] = places[number].model_copy(update={"permission": state})
    deep = (hall.hall_y - PIT_M) / 2
    return Venue(
        name="A hall",
        people_through_door_min=3,
        stage=Stage(outline_m=box(0, hall.stage_y / 2, hall.stage_x, hall.stage_y / 2),
                    height_m=hall.stage_z, has_wings=chance.random() < 0.7),
        audience=(
            AudienceArea(id="hall", outline_m=box(0, -PIT_M - deep, hall.hall_x - 1.3, deep),
                         state="standing" if hall.is_standing else "seated",
                         rake_deg=hall.rake_deg),
        ),
        obstacles=tuple(_obstacles(hall, chance)),
        lamps=(
            Lamp(id="side-light", at_m=(round(-hall.stage_x + 0.2, 2), 2.0), height_m=4.2,
                 faces_deg=90),
            Lamp(id="back-light", at_m=(0.0, round(hall.stage_y - 0.3, 2)), height_m=5.6,
                 faces_deg=180),
        ),
        positions=tuple(places),
    )  # fmt: skip


def _obstacles(hall: Hall, chance: Random) -> list[Obstacle]:
    """One pillar or two pairs of them, and the desk."""
    share = chance.uniform(0.45, 0.6)
    found = [
        Obstacle(id=f"pillar-{n}", outline_m=box(x, y, 0.15, 0.15), height_m=6.5)
        for n, (x, y) in enumerate(
            product((-hall.hall_x + 1.6, hall.hall_x - 1.6), (-hall.hall_y * share,))
        )
    ]
    desk = box(0.9, -hall.hall_y - 0.7, 0.9, 0.3)
    return [*found, Obstacle(id="desk", outline_m=desk, base_m=hall.back_m, height_m=1.1)]


def _position(
    hall: Hall, name: str, kind: str, place: tuple[int, int], closed: tuple[str, ...],
    chance: Random,
) -> Position:  # fmt: skip
    rank, of = place
    share = (rank + chance.uniform(0.35, 0.65)) / of
    at, facts = _FACTS[kind](hall, Row(share, -1 if rank % 2 == 0 else 1, rank))
    if "open" in facts and facts.pop("open") == "closed":
        facts["open_in"] = closed
    x, y = at
    jitter = chance.uniform(-0.15, 0.15)
    return Position(id=name, at_m=(round(x + jitter, 2), round(y, 2)), **facts)


Facts = tuple[Point, dict[str, Any]]


class Row(NamedTuple):
    """Where in the row of its kind a position is."""

    share: float
    """From 0 at house left to 1 at house right."""
    side: int
    """-1 house left, 1 house right, in turn."""
    rank: int


def _desk(hall: Hall, row: Row) -> Facts:
    at = (-1.6 - 1.7 * row.rank, -hall.hall_y - 1.2)
    given = Permission(state="given", by="the sound desk")
    return at, {"floor_height_m": hall.back_m + 0.7, "lens_height_m": 2.1, "room_m": 1.4,
                "has_mains": True, "permission": given, "floor": "timber-on-concrete"}  # fmt: skip


def _riser(hall: Hall, row: Row) -> Facts:
    """Every third one takes two rigs."""
    at = ((row.share - 0.5) * 1.6 * hall.hall_x, -hall.hall_y - 2.4 - 0.8 * (row.rank % 2))
    rigs = 2 if row.rank % 3 == 0 else 1
    return at, {"floor_height_m": hall.back_m + 0.9, "lens_height_m": 1.7, "rigs": rigs,
                "room_m": 1.5 * rigs, "has_mains": row.rank % 2 == 0,
                "floor": "timber-on-concrete"}  # fmt: skip


def _side(hall: Hall, row: Row) -> Facts:
    """On boxes beside the audience; some are shut in by it."""
    at = (row.side * (hall.hall_x - 0.5), -PIT_M - 0.5 - row.share * (hall.hall_y - PIT_M - 1))
    floor = 0.6 + (-at[1] - PIT_M) * tan(radians(hall.rake_deg))
    return at, {"floor_height_m": round(floor, 2), "lens_height_m": 1.5, "room_m": 1.3,
                "has_public": True, "is_shut_in_by_audience": row.rank % 3 == 0,
                "floor": "timber-on-concrete"}  # fmt: skip


def _pit(hall: Hall, row: Row) -> Facts:
    at = ((row.share - 0.5) * 1.7 * hall.stage_x, -0.8 - 0.5 * (row.rank % 2))
    return at, {"lens_height_m": 1.3, "room_m": 1.2 if row.rank % 2 else 1.8}


def _wing(hall: Hall, row: Row) -> Facts:
    at = (row.side * (hall.stage_x - 0.5), hall.stage_y * (0.2 + 0.5 * row.share))
    return at, {"floor_height_m": hall.stage_z, "lens_height_m": 1.4, "room_m": 1.6,
                "is_on_stage": True, "open": "closed" if row.rank % 3 != 2 else "all",
                "floor": "timber-on-concrete"}  # fmt: skip


def _corner(hall: Hall, row: Row) -> Facts:
    """Upstage, looking at backs and at the audience; nobody gets there during a show."""
    spread = 0.3 * (row.rank // 2)
    at = (row.side * (hall.stage_x - 0.6 - spread), hall.stage_y - 0.5)
    return at, {"floor_height_m": hall.stage_z, "lens_height_m": 1.0, "room_m": 1.0,
                "is_on_stage": True, "is_shut_in_by_audience": True, "has_mains": True,
                "floor": "timber-on-concrete"}  # fmt: skip


def _rail(hall: Hall, row: Row) -> Facts:
    """Along the balcony; every third one at its side walkway."""
    at: Point = ((row.share - 0.5) * 1.6 * hall.hall_x, -hall.hall_y - 1.6)
    if row.rank % 3 == 1:
        at = (row.side * (hall.hall_x + 0.4), 0.6 - row.share * hall.hall_y / 2)
    return at, {"floor_height_m": hall.back_m + 4.5, "lens_height_m": 0.2, "stands_on": "rail",
                "room_m": 1.0, "has_mains": True, "floor": "steel-deck"}  # fmt: skip


def _bar(hall: Hall, row: Row) -> Facts:
    at = ((row.share - 0.5) * hall.stage_x, hall.stage_y * 0.4)
    given = Permission(state="given", by="the house technician")
    return at, {"floor_height_m": 6.2, "lens_height_m": 0.0, "stands_on": "bar", "room_m": 0.8,
                "is_overhead": True, "is_out_of_reach": True, "has_mains": row.rank % 2 == 1,
                "permission": given, "floor": "steel-deck"}  # fmt: skip


def _jib(hall: Hall, row: Row) -> Facts:
    """On the floor of the empty hall."""
    at = (row.side * (hall.stage_x * 0.8), -3.4 - 2.5 * (row.rank // 2))
    return at, {"lens_height_m": 2.2, "room_m": 3.2, "open": "closed", "arc_deg": (270, 90),
                "park_deg": 90 if row.side > 0 else 270}  # fmt: skip


_FACTS = {"desk": _desk, "riser": _riser, "side": _side, "pit": _pit, "wing": _wing,
          "corner": _corner, "rail": _rail, "bar": _bar, "jib": _jib}  # fmt: skip


def make_subjects(hall: Hall, number: int, chance: Random) -> tuple[Subject, ...]:
    """Return the stage, the audience, a band, sections (one in five), the others persons."""
    x, y, z = hall.stage_x, hall.stage_y, hall.stage_z
    deep = (hall.hall_y - PIT_M) / 2
    found = [
        Subject(id="whole-stage", kind="stage"),
        Subject(id="audience", kind="audience", floor_height_m=0,
                outline_m=box(0, -PIT_M - deep, hall.hall_x - 1.5, deep - 0.1)),
        Subject(id="band", kind="group", posture="seated",
                outline_m=box(0, y * 0.42, x * 0.7, y * 0.2)),
    ]  # fmt: skip
    cells = [
        (cx, cy) for cx in _spread(-x + 1.8, x - 1.8, 1.7) for cy in _spread(1.0, y - 1.9, 1.6)
    ]
    chance.shuffle(cells)
    for rank, (cx, cy) in enumerate(cells[: number - len(found)]):
        at = (round(cx + chance.uniform(-0.2, 0.2), 2), round(cy + chance.uniform(-0.2, 0.2), 2))
        if rank % 5 == 4:
            found.append(Subject(id=f"section-{rank}", kind="group", posture="seated",
                                 outline_m=box(*at, 0.8, 0.5), part_of="band"))  # fmt: skip
            continue
        found.append(
            Subject(
                id=f"player-{rank}",
                at_m=at,
                floor_height_m=round(z + (0.4 if cy > y * 0.65 else 0), 2),
                posture="seated" if rank % 4 == 3 else "standing",
                width_m=chance.choice((0.6, 0.8, 1.2)),
                roam_m=chance.choice((0.0, 0.2, 0.4, 1.0)),
                part_of="band" if rank % 3 == 1 else None,
                has_consent=rank % 11 != 7,
            )
        )
    return tuple(found)


def _spread(low: float, high: float, step: float) -> list[float]:
    return [low + n * step for n in range(int((high - low) / step) + 1)]
