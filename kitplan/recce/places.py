"""Standard positions, the floor and the audience, from the measures of stage and hall.

Venue axes: origin at the centre of the stage's front edge at house-floor level, x house right, y
upstage, z up, metres.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import radians, tan
from typing import Any

from kitplan.recce.answers import Answers
from kitplan.tables import table

FRONT_STRIP_M = 2.2
"""Kept free between stage and audience."""
BACK_STRIP_M = 2.5
"""Kept free behind the audience."""
AISLE_M = 1.3
RAKE_DEG = 8.0
BALCONY_DEPTH_SHARE = 0.25
Row = dict[str, Any]


def audience_rows(answers: Answers) -> list[Row]:
    """Return where the audience is in passes that have one; none where nobody comes."""
    hall = answers.hall
    if answers.audience == "none":
        return []
    half = max(1.0, hall.width_m / 2 - AISLE_M)
    front, back = _rows_m(answers)
    row: Row = {
        "id": "house",
        "outline_m": _box(-half, -back, half, -front),
        "state": "standing" if answers.audience == "standing" else "seated",
    }
    if answers.audience == "raked":
        row["rake_deg"] = RAKE_DEG
    return [row]


def _rows_m(answers: Answers) -> tuple[float, float]:
    """Return how far from the stage the audience begins and ends."""
    length_m = answers.hall.length_m
    front = min(FRONT_STRIP_M, length_m / 4)
    return front, max(front + 1.0, length_m - min(BACK_STRIP_M, length_m / 4))


def _house_floor_m(answers: Answers, y_m: float) -> float:
    """Return how high the house floor is at some distance from the stage: up a rake, or level."""
    if answers.audience != "raked":
        return 0.0
    front, back = _rows_m(answers)
    return (min(max(-y_m, front), back) - front) * tan(radians(RAKE_DEG))


def zone_rows(answers: Answers) -> list[Row]:
    """Return the parts of the floor with a height of their own: the balcony."""
    if answers.balcony_m is None:
        return []
    hall = answers.hall
    deep = max(2.0, BALCONY_DEPTH_SHARE * hall.length_m)
    half = hall.width_m / 2
    return [
        {
            "id": "balcony",
            "outline_m": _box(-half, -hall.length_m, half, -(hall.length_m - deep)),
            "height_m": answers.balcony_m,
            "floor": "steel-deck",
        }
    ]


def stage_row(answers: Answers) -> Row:
    """Return the playing area."""
    stage = answers.stage
    half = stage.width_m / 2
    return {
        "outline_m": _box(-half, 0, half, stage.depth_m),
        "height_m": stage.height_m,
        "floor": answers.floor,
    }


def position_rows(answers: Answers) -> Iterator[tuple[Row, tuple[str, ...]]]:
    """Yield the standard positions that there is room for, each with what has to be seen to."""
    for row in table("standard_positions")["positions"]:
        made = _position(answers, row)
        if made is not None:
            yield made, tuple(_notes(answers, row))


def _notes(answers: Answers, row: Mapping[str, Any]) -> Iterator[str]:
    if "asks" in row:
        yield f"ask {row['asks']} first"
    if "riser_m" in row and answers.audience == "standing":
        yield f"on a deck box of {row['riser_m']:g} m: fixed, its edge marked; none there? Write 0"


def _position(answers: Answers, row: Mapping[str, Any]) -> Row | None:
    stage, hall = answers.stage, answers.hall
    closed = [run for run in answers.passes if not run.is_show]
    if row["floor"] == "balcony" and answers.balcony_m is None:
        return None
    if row.get("when") == "closed" and not closed:
        return None
    length = {"stage_half": stage.width_m / 2, "hall_half": hall.width_m / 2,
              "hall": -hall.length_m, "stage": stage.depth_m}  # fmt: skip
    x = length[row["x"]["of"]] * row["x"]["share"] + row["x"].get("plus_m", 0.0)
    y = length[row["y"]["of"]] * row["y"]["share"] + row["y"].get("plus_m", 0.0)
    if (
        row["floor"] == "stage"
        and row["id"].startswith("wing")
        and hall.width_m < stage.width_m + 1.4
    ):
        return None  # the walls are where the wings would be
    heights = {
        "house": _house_floor_m(answers, y),
        "stage": stage.height_m,
        "balcony": answers.balcony_m,
    }
    is_standing = answers.audience == "standing"
    riser_m = row.get("riser_m", 0.0) if is_standing else 0.0
    made: Row = {
        "id": row["id"],
        "name": row["name"],
        "at_m": [round(x, 1), round(y, 1)],
        "floor_height_m": round((heights[row["floor"]] or 0.0) + riser_m, 2),
        "lens_height_m": row["lens_m"]["standing" if is_standing else "seated"],
        "room_m": row["room_m"],
    }
    for fact in ("rigs", "has_mains", "has_public", "is_on_stage", "is_shut_in_by_audience"):
        if fact in row and (fact != "has_public" or answers.audience != "none"):
            made[fact] = row[fact]
    if row.get("when") == "closed":
        made["open_in"] = [name for name, run in named_passes(answers) if not run.is_show]
    if row["floor"] == "stage":
        made["floor"] = answers.floor
    return made


def named_passes(answers: Answers) -> list[tuple[str, Any]]:
    """Return the passes with ids of their own: 'rehearsal', 'show', 'show-2'."""
    ids = unique([run.name for run in answers.passes])
    return list(zip(ids, answers.passes, strict=True))


def unique(names: list[str]) -> list[str]:
    """Return ids for names: small letters, digits and hyphens, each different."""
    from re import sub
    from unicodedata import normalize

    found: list[str] = []
    for name in names:
        plain = normalize("NFKD", name).encode("ascii", "ignore").decode().casefold()
        plain = sub(r"[^a-z0-9]+", "-", plain).strip("-")[:50].strip("-") or "no-name"
        count = sum(each == plain or each.startswith(f"{plain}~") for each in found)
        found.append(f"{plain}~{count + 1}" if count else plain)
    return [each.replace("~", "-") for each in found]


def _box(left: float, front: float, right: float, back: float) -> list[list[float]]:
    corners = [(left, front), (right, front), (right, back), (left, back)]
    return [[round(x, 2), round(y, 2)] for x, y in corners]
