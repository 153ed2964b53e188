"""Subjects and roles: who is on stage, and what is asked for of a picture of them."""

from __future__ import annotations

from typing import Any

from kitplan.recce.answers import Answers, Performer
from kitplan.recce.places import named_passes, unique
from kitplan.recce.plot import depth_m, is_group, row_of, width_m
from kitplan.tables import table

Row = dict[str, Any]
WHOLE = "whole-stage"
AUDIENCE = "audience"
LOW_STAGE_M, LEGS_M = 1.2, 0.8
"""A stage on which heads of a standing audience hide legs, and how high these reach. Common
practice, no source."""


def subject_rows(answers: Answers) -> list[Row]:
    """Return the whole stage, everybody on it, and the audience where one comes."""
    kind = table("performances")["kinds"][answers.kind]
    rows: list[Row] = [{"id": WHOLE, "kind": "stage", "name": kind["company"]}]
    if hides_legs(answers):
        rows[0]["floor_height_m"] = round(answers.stage.height_m + LEGS_M, 2)
    for name, performer in named_performers(answers):
        rows.append(_subject(name, performer, answers))
    if any(run.is_show for run in answers.passes) and answers.audience != "none":
        rows.append({"id": AUDIENCE, "kind": "audience", "name": "Audience"})
    return rows


def hides_legs(answers: Answers) -> bool:
    """Whether a standing audience hides the legs of those on stage from the house."""
    return answers.audience == "standing" and answers.stage.height_m < LOW_STAGE_M


def named_performers(answers: Answers) -> list[tuple[str, Performer]]:
    """Return the performers with ids of their own, never those of stage and audience."""
    names = [WHOLE, AUDIENCE, *(performer.name for performer in answers.plot)]
    return list(zip(unique(names)[2:], answers.plot, strict=True))


def _subject(name: str, performer: Performer, answers: Answers) -> Row:
    row = row_of(performer.what)
    made: Row = {"id": name, "name": performer.name}
    if is_group(performer):
        stage = answers.stage
        half = min(width_m(performer), stage.width_m) / 2
        deep = min(depth_m(performer), stage.depth_m) / 2
        x = min(max(performer.x_m, half - stage.width_m / 2), stage.width_m / 2 - half)
        y = min(max(performer.y_m, deep), stage.depth_m - deep)
        corners = [
            (x - half, y - deep),
            (x + half, y - deep),
            (x + half, y + deep),
            (x - half, y + deep),
        ]
        made |= {"kind": "group", "outline_m": [[round(a, 1), round(b, 1)] for a, b in corners]}
    else:
        made |= {"at_m": [performer.x_m, performer.y_m], "width_m": row.get("width_m", 0.7)}
    for fact in ("posture", "roam_m", "faces_deg", "closest"):
        if row.get(fact):
            made[fact] = row[fact]
    if "faces_deg" in row:
        made["faces_deg"] = row["faces_deg"]
    return made


def role_rows(answers: Answers) -> list[Row]:
    """Return what is asked for: the safety shot, everybody on stage, the audience."""
    shows = [name for name, run in named_passes(answers) if run.is_show]
    rows: list[Row] = [
        {
            "id": "safety",
            "name": "Safety wide",
            "subject": WHOLE,
            "sizes": ["WS", "EWS"],
            "priority": "must",
            "in_passes": "every",
            "rolls_throughout": True,
            "is_safety": True,
        }
    ]
    names = {WHOLE, "safety", AUDIENCE}
    for name, performer in named_performers(answers):
        row = row_of(performer.what)
        rows.append(_role(name, performer, row, names))
        names.add(rows[-1]["id"])
    if shows and answers.audience != "none":
        rows.append(
            {
                "id": "audience-reacts",
                "name": "Audience",
                "subject": AUDIENCE,
                "sizes": ["WS", "MLS"],
                "priority": "nice",
                "passes": shows,
            }
        )
    return rows


def _role(name: str, performer: Performer, row: Any, taken: set[str]) -> Row:
    sizes = row["sizes"]
    if is_group(performer) and not row.get("is_group"):
        sizes = ["WS", "MLS"]  # several soloists of a kind are framed as a group
    made: Row = {
        "id": name if name not in taken else f"{name}-role",
        "name": performer.name,
        "subject": name,
        "sizes": list(sizes),
        "weight": row["weight"],
    }
    if row.get("is_lead"):
        made["manner"] = "operated"
    return made
