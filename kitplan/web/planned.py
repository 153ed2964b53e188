"""What the plan page shows of a plan, as plain data and drawings. Reads, never writes.

Everything is said in the words of the papers: this module only puts them in order. Passes are
called by their own id (`show`), since a page is about one shoot.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from kitplan.errors import SettingError
from kitplan.gear.counting import in_one_part
from kitplan.paper.cautions import cautions
from kitplan.paper.coverage import WORTH, coverage_records, uncovered_lines
from kitplan.paper.day import day_lines
from kitplan.paper.drawings.floor_plan import floor_plan
from kitplan.paper.drawings.frames import Shot, picture, shots_of
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.forecast import forecast_lines, forecast_records
from kitplan.paper.goals import GOALS, certainty
from kitplan.paper.layout import joined
from kitplan.paper.names import Names, settings, when
from kitplan.paper.pictures import picture_lines
from kitplan.paper.summary import in_short, reset_lines, viewpoint_lines
from kitplan.paper.unmet import Unmet, unmet
from kitplan.paper.worth import promise
from kitplan.plan.records import GoalReached, Placement, Plan
from kitplan.plan.verify import verify
from kitplan.shoot.brief import Brief
from kitplan.shoot.past import Past
from kitplan.shoot.records import Shoot
from kitplan.wording import hint


@dataclass(frozen=True)
class Shown:
    """A plan as the page shows it."""

    plan: Plan

    @property
    def shoot_id(self) -> str:
        """Id of its shoot."""
        return next(iter(self.plan.shoots))

    @property
    def shoot(self) -> Shoot:
        """Its shoot, as it was planned."""
        return self.plan.shoots[self.shoot_id]

    def is_of(self, brief: Brief) -> bool:
        """Whether the shoot and the kit are still those that were planned."""
        without = {"no_goods": (), "past": Past(), "kit": None}  # what is in it is compared
        planned, now = (each.model_copy(update=without) for each in (self.shoot, brief.shoot))
        return planned == now and self.plan.kit == brief.kit

    def cameras(self) -> list[dict[str, Any]]:
        """Return every camera as the room asks for what it sees; the form is that of
        `/api/plan/cameras`.
        """
        names = Names(self.plan)
        return [_camera(names, each) for each in self.plan.placements]

    # -- data ----------------------------------------------------------------------------------

    def data(self) -> dict[str, Any]:
        """Return the whole plan for people; its form is that of `/api/plan`."""
        plan, names = self.plan, Names(self.plan)
        made = plan.made_with
        return {
            "title": plan.title,
            "status": plan.status,
            "in_short": " ".join(in_short(plan).split()),
            "made": {"seconds": made.seconds, "seed": made.seed, "workers": made.workers},
            "findings": [str(each) for each in verify(plan)],
            "passes": [self._pass(names, each.id) for each in self.shoot.passes],
            "goals": [goal_data(each) for each in plan.goals],
            "demands": [each.model_dump() for each in plan.demands],
            "unmet": [_unmet(each) for each in unmet(names)],
            "clash": {"demands": list(plan.clash), "reason": plan.clash_reason},
            "viewpoints": viewpoint_lines(names),
            "cover": self._cover(names),
            "forecast": self._forecast(names),
            "pictures": picture_lines(names),
            "between": reset_lines(names),
            "day": day_lines(plan),
            "mind": cautions(names),
            "left_out": [
                {"id": e.item, "name": plan.kit.items_by_id[e.item].name, "reason": e.reason}
                for e in plan.left_out
            ],
        }

    def _pass(self, names: Names, own_id: str) -> dict[str, Any]:
        pass_id = f"{self.shoot_id}/{own_id}"
        shoot, each = self.plan.pass_of(pass_id)
        content = Content(names, pass_id)
        shots: dict[str, list[Shot]] = {}
        for shot in shots_of(content):
            shots.setdefault(shot.look.placement.letter, []).append(shot)
        return {
            "id": own_id,
            "label": names.pass_label(pass_id),
            "when": when(shoot, each),
            "promise": promise(names, pass_id),
            "floor": f"/api/plan/floor/{in_one_part(own_id)}.svg",
            "placements": [
                _placement(names, own_id, placement, shots[placement.letter])
                for placement in self.plan.placements_in(pass_id)
            ],
        }

    def _cover(self, names: Names) -> dict[str, Any] | None:
        """Whether every second is covered; None where no day was worked out."""
        day = self.plan.day
        if day is None or day.cover is None or day.rolls is None:
            return None
        return {"is_throughout": day.cover.is_throughout, "uncovered": uncovered_lines(names)}

    def _forecast(self, names: Names) -> dict[str, Any] | None:
        if not self.plan.placements:
            return None
        records = forecast_records(self.plan, self.shoot_id)
        return {"lines": forecast_lines(names), **records}

    def songs(self) -> dict[str, Any] | None:
        """Return songs by cameras for each pass, in the form of `/api/plan/songs`; None where no
        day was worked out.
        """
        day = self.plan.day
        if day is None or day.rolls is None or day.cover is None:
            return None
        records = coverage_records(self.plan)
        return {
            "is_throughout": records["is_throughout"],
            "passes": [self._songs_of(each) for each in records["passes"]],
            "moments": [
                {**each, "label": self.shoot.songs_by_id[each["song"]].label}
                for each in records["moments"]
            ],
        }

    def _songs_of(self, record: dict[str, Any]) -> dict[str, Any]:
        names, pass_id = Names(self.plan), record["pass"]
        subjects = self.shoot.subjects_by_id
        number_of = {song.id: number for number, song in enumerate(self.shoot.songs, 1)}

        def cell(row: dict[str, Any], letter: str) -> dict[str, Any]:
            frames = [
                f"{subjects[each['subject']].label} {each['size']}"
                for each in row["cameras"][letter]
            ]
            blind = [
                {"start_s": each["start_s"], "end_s": each["end_s"], "cause": each["cause"]}
                for each in row["blind"]
                if each["letter"] == letter
            ]
            return {"frames": frames, "blind": blind}

        return {
            "id": pass_id.partition("/")[2],
            "label": names.pass_label(pass_id),
            "cameras": [p.letter for p in self.plan.placements_in(pass_id)],
            "songs": [
                {
                    "id": row["song"],
                    "number": number_of[row["song"]],
                    "label": self.shoot.songs_by_id[row["song"]].label,
                    "worth": row["worth"],
                    "worth_words": WORTH.get(row["worth"], ""),
                    "cells": {letter: cell(row, letter) for letter in row["cameras"]},
                }
                for row in record["songs"]
            ],
        }

    # -- drawings ------------------------------------------------------------------------------

    def floor_svg(self, own_id: str, sheet: int = 0) -> str | None:
        """Return a sheet of the floor plan of a pass as SVG; None where it has fewer.

        Raises:
            SettingError: If there is no such pass.
        """
        sheets = floor_plan(Names(self.plan), self._pass_id(own_id), own_id)
        return sheets[sheet].drawing.svg() if sheet < len(sheets) else None

    def frame_svg(self, own_id: str, letter: str, shot: int = 0) -> str | None:
        """Return what a camera sees as SVG, its main shot or one of its menu; None where it has
        fewer.

        Raises:
            SettingError: If there is no such pass or camera.
        """
        content = Content(Names(self.plan), self._pass_id(own_id))
        found = [each.look for each in shots_of(content) if each.look.placement.letter == letter]
        if not found:
            known = [each.letter for each in self.plan.placements_in(content.pass_id)]
            fix = hint(letter, known)
            raise SettingError(f"there is no camera {letter!r}", where=own_id, fix=fix)
        return picture(content, found[shot]).svg() if shot < len(found) else None

    def _pass_id(self, own_id: str) -> str:
        pass_id = f"{self.shoot_id}/{own_id}"
        if pass_id not in self.plan.pass_ids():
            fix = hint(own_id, self.shoot.passes_by_id)
            raise SettingError(f"there is no pass {own_id!r}", where="the plan", fix=fix)
        return pass_id


def goal_data(goal: GoalReached) -> dict[str, Any]:
    """Return what a goal came to, with its figures as text for people."""
    words = GOALS[goal.goal]
    return {
        "id": goal.goal,
        "name": words.name,
        "best": words.figure(goal.value),
        "bound": words.figure(goal.bound),
        "is_lost": words.is_lost,
        "is_proven": goal.value >= goal.bound,
        "certainty": certainty(goal.goal, goal.value, goal.bound),
    }


def _unmet(each: Unmet) -> dict[str, Any]:
    demand = each.demand
    instead = f"{joined(each.instead)} can frame it between other shots" if each.instead else ""
    words = {"words": demand.words, "reason": each.reason, "instead": instead}
    return {"kind": demand.kind, "id": demand.id, "priority": demand.priority, **words}


def _camera(names: Names, placement: Placement) -> dict[str, Any]:
    rig, shot = placement.rig, placement.shot
    parts = {part: getattr(rig, part) for part in ("body", "lens", "adapter", "support", "head")}
    items = {part: unit and names.units_by_id[unit].item for part, unit in parts.items()}
    return items | {
        "letter": placement.letter,
        "pass": placement.pass_id.partition("/")[2],
        "position": placement.position,
        "manner": placement.manner,
        "who": names.operator(placement),
        "frames": names.framing(placement.pass_id, shot),
        "subject": shot.subject,
        "size": shot.size,
        "mode": rig.mode,
    }


def _placement(
    names: Names, own_id: str, placement: Placement, shots: list[Shot]
) -> dict[str, Any]:
    shoot, _ = names.plan.pass_of(placement.pass_id)
    roles = {role.id: role.label for role in shoot.roles}
    address = f"/api/plan/frame/{in_one_part(own_id)}/{placement.letter}.svg"
    return {
        "letter": placement.letter,
        "position": {"id": placement.position, "label": names.place(placement)},
        "camera": names.camera(placement),
        "stand": names.stand(placement),
        "units": [
            {"id": unit, "item": names.units_by_id[unit].item, "name": names.unit(unit)}
            for unit in placement.rig.units
        ],
        "who": names.operator(placement),
        "operator": placement.operator,
        "manner": placement.manner,
        "frames": names.framing(placement.pass_id, placement.shot),
        "settings": settings(placement.shot),
        "roles": [
            {"id": role, "label": roles.get(role, "Safety shot")} for role in placement.roles
        ],
        "is_counted": placement.is_counted,
        "shots": [
            {
                "frames": f"{each.look.subject.label} {each.look.size}",
                "is_main": each.look.is_main,
                "svg": address if number == 0 else f"{address}?shot={number}",
            }
            for number, each in enumerate(shots)
        ],
    }
