"""What stands in for a fact that a list does not say: careful guesses, each listed as `to_ask`."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from typing import Any

from kitplan.tables import table
from kitplan.units import MM_PER_M


def completed(kind: str, facts: Mapping[str, Any]) -> dict[str, Any]:
    """Return facts of an item with guesses for those that are missing, which `to_ask` names.

    Mount, focal length, sensor and what a charger charges are never guessed.
    """
    found = deepcopy(dict(facts))
    guesses = _guesses(kind, found)
    missing = [name for name in guesses if name not in found]
    found |= {name: deepcopy(guesses[name]) for name in missing}
    if missing:
        found["to_ask"] = [*found.get("to_ask", ()), *missing]
    return found


def _guesses(kind: str, facts: Mapping[str, Any]) -> dict[str, Any]:
    row = dict(table("guesses")[kind])
    per_focal = row.pop("closest_focus_per_focal", None)
    if kind == "lens":
        row["closest_focus_m"] = _closest_focus_m(facts, row["closest_focus_m"], per_focal)
        by_mount = table("guesses")["image_circle_mm_by_mount"]
        row["image_circle_mm"] = by_mount.get(facts.get("mount"), row["image_circle_mm"])
        if facts.get("mount") in table("guesses")["ring_mounts"]:
            del row["iris"]
    if kind == "body" and facts.get("battery") is None:
        del row["battery_min"]
    return row


def _closest_focus_m(facts: Mapping[str, Any], least_m: float, per_focal: float) -> float:
    focal_mm = facts.get("focal_max_mm")
    if not isinstance(focal_mm, (int, float)):
        return least_m
    return max(least_m, round(float(focal_mm) * per_focal / MM_PER_M, 2))
