"""Counting a case: what should be in it, what was ticked, what is missing. Saved as one change."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256
from typing import Any

from kitplan.errors import StoreError
from kitplan.gear.kit import Unit
from kitplan.gear.store import Store
from kitplan.web.hall.inventory import inventory_of, reading, writing
from kitplan.web.project import ChangedMeanwhile, Project


def case_of(project: Project, case_id: str) -> dict[str, Any] | None:
    """Return what lives in a case and in the cases within it; None where there is no such unit.

    `seen` of it tells this state from every other: whoever saves a count names it.
    """
    with reading(project) as store:
        case = store.units_by_id([case_id]).get(case_id)
        if case is None:
            return None
        things = _inside(store, case_id)
        items = store.items_by_id([case.item, *(unit.item for unit in things)])
        held = {loan.unit: loan.person for loan in store.loans.open(units=[u.id for u in things])}
    return {
        "id": case_id,
        "name": items[case.item].name,
        "seen": _digest(things, held),
        "can_write": inventory_of(project) is not None,
        "things": [
            {
                "unit": unit.id,
                "name": items[unit.item].name,
                "within": "" if unit.case == case_id else unit.case,
                "held": held.get(unit.id),
                "is_missing": unit.condition == "missing",
                "fault": unit.fault,
            }
            for unit in things
        ],
    }


def save_count(
    project: Project, case_id: str, here: Sequence[str], seen: str, who: str
) -> dict[str, Any]:
    """Write down a count and return what it changed: `missing`, `back`, `found`.

    What is not here and was not out counts as missing; what is here and was out is back; what is
    here and was missing is found again.

    Args:
        here: Ids of the units that were ticked.
        seen: State of the case that was counted.
    Raises:
        ChangedMeanwhile: If somebody has signed a thing of it out or back since; nothing changes.
        StoreError: If a ticked thing does not live in the case.
        KitplanError: If it cannot be written down.
    """
    with writing(project, who) as store, store.as_one("counted"):
        things = _inside(store, case_id)
        held = {loan.unit: loan.person for loan in store.loans.open(units=[u.id for u in things])}
        if _digest(things, held) != seen:
            raise ChangedMeanwhile(
                "somebody has signed something out or back since you began",
                where=case_id,
                fix="Look at the list again; your ticks are still there",
            )
        strange = sorted({*here} - {unit.id for unit in things})
        if strange:
            fix = "Count what lives in it; anything else has a page of its own"
            raise StoreError(f"{strange[0]} does not live in it", where=case_id, fix=fix)
        ticked = set(here)
        missing = [
            unit.id
            for unit in things
            if unit.id not in ticked and unit.id not in held and unit.condition != "missing"
        ]
        back = [unit.id for unit in things if unit.id in ticked and unit.id in held]
        found = [u.id for u in things if u.id in ticked and u.condition == "missing"]
        store.loans.settle([*back, *found], missing=missing, note=f"counted in {case_id}")
    return {"missing": missing, "back": back, "found": found, "here": len(ticked)}


def _inside(store: Store, case_id: str) -> list[Unit]:
    """Return what lives in a case, at any depth, and is still owned."""
    by_case: dict[str, list[Unit]] = {}
    for unit in store.units():
        if unit.case is not None and unit.condition != "retired":
            by_case.setdefault(unit.case, []).append(unit)
    found: list[Unit] = []
    waiting = [*by_case.get(case_id, ())]
    known = {case_id}
    while waiting:
        unit = waiting.pop(0)
        if unit.id not in known:
            known.add(unit.id)
            found.append(unit)
            waiting = [*by_case.get(unit.id, ()), *waiting]
    return found


def _digest(things: Sequence[Unit], held: dict[str, str]) -> str:
    """Return what tells a state of a case from every other."""
    lines = (f"{unit.id}\t{unit.condition}\t{held.get(unit.id, '')}" for unit in things)
    return sha256("\n".join(lines).encode()).hexdigest()[:16]
