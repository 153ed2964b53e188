"""A shoot as the page draws it: its records, and what follows from them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kitplan.errors import Problem
from kitplan.gear.records import Body, Head, Item, Lens, Support
from kitplan.shoot.brief import Brief
from kitplan.shoot.scenery import floor_of, outline_of, place_of
from kitplan.shoot.sizes import height_m, sizes_for
from kitplan.tables import table


def shown(brief: Brief, problems: Sequence[Problem] = ()) -> dict[str, Any]:
    """Return the records of a shoot, where its subjects are, and what has to be put right."""
    shoot = brief.shoot
    return {
        "shoot": shoot.model_dump(mode="json", by_alias=True),
        "subjects": {
            subject.id: {
                "at_m": place_of(shoot, subject),
                "outline_m": outline_of(shoot, subject),
                "floor_m": floor_of(shoot, subject),
                "height_m": height_m(subject),
                "sizes": sizes_for(subject),
            }
            for subject in shoot.subjects
        },
        "problems": [str(each) for each in problems],
    }


def choices(brief: Brief) -> dict[str, Any]:
    """Return what can be chosen from beside the shoot itself: floors, and items of the kit."""
    kinds: dict[str, type[Item]] = {"body": Body, "lens": Lens, "head": Head, "support": Support}
    return {
        "floors": sorted(table("steadiness")["floor_deg"]),
        "items": {
            kind: [{"id": item.id, "label": item.name} for item in brief.kit.of_kind(record)]
            for kind, record in kinds.items()
        },
        "roles": [{"id": role.id, "label": role.label} for role in brief.roles],
    }
