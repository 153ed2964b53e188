"""Care: faults and repairs, what is due, how worn things are."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from typing import Any, Literal

from kitplan.checked import validated
from kitplan.errors import StoreError
from kitplan.gear.health import OLD
from kitplan.gear.history import Repair, Run
from kitplan.gear.records import Record
from kitplan.gear.store.desk import Desk
from kitplan.gear.store.runs import Runs
from kitplan.gear.upkeep import Health, Notice, Wear
from kitplan.wording import nearest, plain

_REPAIR = ", ".join(Repair.model_fields)
_LONGEST = 200
"""Letters that are kept of a note as the words for a fault."""
Mended = Literal["good", "worn", "retired"]


class Care:
    """Looks after units: what is wrong with them and what they went through."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    # -- faults --------------------------------------------------------------------------------

    def fault(
        self, unit_id: str, words: str, *, expected: date | None = None, is_usable: bool = False
    ) -> Repair:
        """Note a fault of a unit and return its repair, which stays open until it is mended. A
        second fault joins the first one.

        Args:
            expected: When it should be back.
            is_usable: It is in use all the same; else it counts as in repair.
        Raises:
            StoreError: If there is no such unit, or it is not there any more.
            BadInput: If the words are no words, or the day is past.
        """
        with self._desk.writing("noted a fault"):
            unit = self._unit(unit_id)
            if unit["condition"] in ("missing", "retired"):
                raise StoreError(
                    f"{unit_id} is {unit['condition']}",
                    where=self._desk.where,
                    fix="Change its condition first if that is not so any more",
                )
            before = self._open(unit_id)
            known = "" if before is None else before.fault
            repair = validated(
                Repair,
                {
                    "unit": unit_id,
                    "fault": f"{known}; {words}" if known else words,
                    "begins": self._desk.today() if before is None else before.begins,
                    "expected": expected or (before and before.expected),
                },
                file="fault",
                line_of=lambda _: 0,
            )
            is_grounded = not is_usable or unit["condition"] == "in-repair"
            self._write_fault(repair, is_new=before is None)
            self._set(unit_id, "in-repair" if is_grounded else "worn", repair.fault)
        return repair

    def came_broken(self, unit_id: str, note: str = "") -> None:
        """Open a repair of a unit that was found in repair on the way, unless there is one.

        Args:
            note: What was said when it came.
        """
        if self._open(unit_id) is None:
            self.fault(unit_id, " ".join(note.split())[:_LONGEST] or "came back broken")

    def mended(
        self, unit_id: str, *, cost: float | None = None, condition: Mended = "good", note: str = ""
    ) -> Repair | None:
        """Close the repair of a unit and return it; None where none was written down.

        Args:
            cost: In the currency of the inventory.
            condition: What it is like now.
        Raises:
            StoreError: If there is no such unit, or nothing is wrong with it.
        """
        with self._desk.writing("mended"):
            unit, before = self._unit(unit_id), self._open(unit_id)
            if before is None and unit["condition"] != "in-repair" and not unit["fault"]:
                raise StoreError(
                    f"nothing is known to be wrong with {unit_id}",
                    where=self._desk.where,
                    fix="`kitplan gear care` lists what wants to be looked after",
                )
            self._set(unit_id, condition, "")
            if before is None:
                return None
            ended = max(self._desk.today(), before.begins)
            words = f"{before.note} {note}".strip()
            facts = before.model_dump() | {"ended": ended, "cost": cost, "note": words}
            repair = validated(Repair, facts, file="repair", line_of=lambda _: 0)
            self._desk.db.execute(
                "UPDATE repairs SET ended = ?, cost = ?, note = ? WHERE unit = ? AND ended IS NULL",
                (ended.isoformat(), cost, repair.note, unit_id),
            )
        return repair

    def repairs(self, unit_id: str) -> tuple[Repair, ...]:
        """Return every repair of a unit, the first one first."""
        return self._repairs("unit = ? ORDER BY place", [unit_id])

    # -- runs ----------------------------------------------------------------------------------

    def note(self, runs: Iterable[Run], *, is_trial: bool = False) -> tuple[Health, ...]:
        """Note runs of batteries and return what all runs say of each of these batteries now; where
        that is another health than on record, it is changed.

        Args:
            is_trial: Nothing is written.
        Raises:
            StoreError: If a unit is no battery, a body does not take it, or a day is to come.
        """
        return Runs(self._desk).note(tuple(runs), is_trial=is_trial)

    def runs(self, unit_id: str) -> tuple[Run, ...]:
        """Return every run of a battery, the first one first."""
        return Runs(self._desk).of(unit_id)

    # -- what wants to be looked after -----------------------------------------------------------

    def notices(self, *, within_days: int = 30, owner: str | None = None) -> tuple[Notice, ...]:
        """Return what wants to be looked after, the most urgent first.

        Args:
            within_days: Service counts as due so many days ahead.
        """
        horizon = self._desk.today() + timedelta(days=within_days)
        rows = self._desk.rows(
            "SELECT units.id AS unit, item, owner, items.kind, condition, health, units.fault, "
            "service_due, begins, expected FROM units JOIN items ON items.id = units.item "
            "LEFT JOIN repairs ON repairs.unit = units.id AND ended IS NULL "
            "WHERE condition NOT IN ('missing', 'retired') AND (:owner IS NULL OR owner = :owner) "
            "AND (service_due <= :horizon OR condition <> 'good' OR units.fault <> '' "
            "OR repairs.place IS NOT NULL OR health < :old) ORDER BY units.place",
            {"owner": owner, "horizon": horizon.isoformat(), "old": OLD},
        )
        found = [notice for row in rows for notice in self._notices(row, horizon)]
        found += [each for each in self._firmware() if owner in (None, each.owner)]
        order = list(_ORDER)
        return tuple(sorted(found, key=lambda each: order.index(each.matter)))

    def wear(self, unit_ids: Iterable[str] | None = None) -> tuple[Wear, ...]:
        """Return how much units were used: of all that were used at all, or of some ids."""
        rows = self._desk.rows(
            "SELECT units.id AS unit, "
            "(SELECT count(*) FROM loans WHERE loans.unit = units.id) AS times_out, "
            "(SELECT count(DISTINCT list) FROM loans WHERE loans.unit = units.id AND list <> '') "
            "AS lists, "
            "(SELECT count(DISTINCT booking) FROM booked WHERE booked.unit = units.id) AS bookings,"
            " (SELECT count(*) FROM runs WHERE runs.unit = units.id) AS charges, "
            "(SELECT total(minutes) FROM runs WHERE runs.unit = units.id) AS minutes "
            "FROM units ORDER BY units.place"
        )
        wanted = None if unit_ids is None else set(unit_ids)
        cycles = Runs(self._desk).cycles()
        return tuple(
            self._desk.record(Wear, row | {"cycles": cycles.get(row["unit"])})
            for row in rows
            if (row["times_out"] or row["bookings"] or row["charges"])
            if wanted is None or row["unit"] in wanted
        )

    def _notices(self, row: dict[str, Any], horizon: date) -> Iterator[Notice]:
        """Yield what is to be said of one unit."""
        whose = {name: row[name] for name in ("unit", "item", "owner")}
        due, expected = _day(row["service_due"]), _day(row["expected"])
        if due is not None and due <= horizon:
            matter = "service overdue" if due < self._desk.today() else "service due"
            yield self._desk.record(Notice, whose | {"matter": matter, "day": due})
        facts = whose | {"words": row["fault"], "day": expected or _day(row["begins"])}
        if row["condition"] == "in-repair":
            is_late = expected is not None and expected < self._desk.today()
            matter = "repair late" if is_late else "in repair"
            yield self._desk.record(Notice, facts | {"matter": matter})
        elif row["fault"] or row["begins"]:
            yield self._desk.record(Notice, facts | {"matter": "fault"})
        elif row["condition"] == "worn":
            yield self._desk.record(Notice, whose | {"matter": "worn"})
        if row["kind"] == "battery" and row["health"] < OLD:
            words = f"gives {row['health']:.0%} of its minutes"
            yield self._desk.record(Notice, whose | {"matter": "old pack", "words": words})

    def _firmware(self) -> Iterator[Notice]:
        """Yield units whose firmware is not that of most units of their item."""
        units: dict[str, list[dict[str, Any]]] = defaultdict(list)
        for row in self._desk.rows(
            "SELECT id AS unit, item, owner, firmware FROM units WHERE firmware <> '' "
            "AND condition NOT IN ('missing', 'retired') ORDER BY place"
        ):
            units[row["item"]].append(row)
        for rows in units.values():
            counts = Counter(row["firmware"] for row in rows)
            usual = max(counts, key=lambda firmware: (counts[firmware], firmware))
            other = next(row["unit"] for row in rows if row["firmware"] == usual)
            for row in rows:
                if (firmware := row.pop("firmware")) != usual:
                    words = f"{firmware}, where {other} has {usual}"
                    yield self._desk.record(Notice, row | {"matter": "firmware", "words": words})

    # -- rows ----------------------------------------------------------------------------------

    def _unit(self, unit_id: str) -> dict[str, Any]:
        """Return condition and fault of a unit.

        Raises:
            StoreError: If there is none of that id.
        """
        rows = self._desk.rows("SELECT id, condition, fault FROM units WHERE id = ?", [unit_id])
        if not rows:
            raise no_unit(self._desk, unit_id)
        return rows[0]

    def _open(self, unit_id: str) -> Repair | None:
        found = self._repairs("unit = ? AND ended IS NULL", [unit_id])
        return found[0] if found else None

    def _repairs(self, where: str, values: list[Any]) -> tuple[Repair, ...]:
        rows = self._desk.rows(f"SELECT {_REPAIR} FROM repairs WHERE {where}", values)
        return tuple(self._desk.record(Repair, row) for row in rows)

    def _write_fault(self, repair: Repair, *, is_new: bool) -> None:
        row = _stored(repair)
        if is_new:
            self._desk.add("repairs", row)
            return
        self._desk.db.execute(
            "UPDATE repairs SET fault = ?, expected = ? WHERE unit = ? AND ended IS NULL",
            (row["fault"], row["expected"], row["unit"]),
        )

    def _set(self, unit_id: str, condition: str, fault: str) -> None:
        self._desk.db.execute(
            "UPDATE units SET condition = ?, fault = ? WHERE id = ?", (condition, fault, unit_id)
        )


_ORDER = (
    "service overdue",
    "repair late",
    "fault",
    "in repair",
    "service due",
    "old pack",
    "worn",
    "firmware",
)


def no_unit(desk: Desk, unit_id: str) -> StoreError:
    """Return what is said where there is no unit of an id."""
    near = nearest(unit_id, [row["id"] for row in desk.rows("SELECT id FROM units")])
    return StoreError(
        f"there is no unit '{plain(unit_id)}'",
        where=desk.where,
        fix=f"Did you mean '{near}'?" if near else "`kitplan gear find` searches",
    )


def _stored(record: Record) -> dict[str, Any]:
    return record.model_dump(mode="json")


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)
