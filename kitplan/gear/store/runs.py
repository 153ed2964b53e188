"""Runs of batteries, and the health that follows from them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from functools import cached_property
from itertools import groupby
from typing import Any

from kitplan.errors import StoreError
from kitplan.gear.health import LEAST, Lasted, health_from, new_minutes
from kitplan.gear.history import Run
from kitplan.gear.store.desk import Desk
from kitplan.gear.upkeep import Health
from kitplan.wording import hint, nearest, plain

_RUN = ", ".join(f"runs.{name}" for name in Run.model_fields)
_TAKERS = (
    "SELECT id, json_extract(facts, '$.battery') AS battery, "
    "json_extract(facts, '$.battery_min') AS battery_min, "
    "EXISTS (SELECT 1 FROM json_each(measured) WHERE value = 'battery_min') AS is_measured "
    "FROM items WHERE battery IS NOT NULL ORDER BY place"
)


class Runs:
    """Notes how long batteries lasted and judges them by it."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def of(self, unit_id: str) -> tuple[Run, ...]:
        """Return every run of a battery, the first one first."""
        return self._runs("unit = ?", unit_id)

    def note(self, runs: Sequence[Run], *, is_trial: bool) -> tuple[Health, ...]:
        """Note runs and judge their batteries anew; see `Care.note`."""
        with self._desk.writing("noted a run"):
            runs = [self._settled(run) for run in runs]
            new = [run for run in runs if not self._is_noted(run)]
            found = tuple(
                self._judged(unit, [run for run in new if run.unit == unit])
                for unit in dict.fromkeys(run.unit for run in runs)
            )
            if is_trial:
                return found
            for run in new:
                row = run.model_dump(mode="json")
                self._desk.add("runs", row | {"body": run.body or ""})
            for health in found:
                if health.after != health.before:
                    self._desk.saying(f"health from runs: {health.why}")
                    self._desk.db.execute(
                        "UPDATE units SET health = ? WHERE id = ?", (health.after, health.unit)
                    )
        return found

    def cycles(self) -> Mapping[str, float]:
        """Return in how many full charges the runs of a battery add up to, by unit id; those are
        absent of which nobody knows what a new one gives.
        """
        found: dict[str, float] = {}
        runs = self._desk.rows(
            "SELECT unit, item, minutes, runs.body FROM runs JOIN units ON units.id = runs.unit"
        )
        new_min = {key: self._new_min(*key, ()) for key in {(r["item"], r["body"]) for r in runs}}
        for run in runs:
            minutes = new_min[run["item"], run["body"]]
            if minutes is not None:
                found[run["unit"]] = found.get(run["unit"], 0.0) + run["minutes"] / minutes
        return {unit: round(number, 2) for unit, number in found.items()}

    def _judged(self, unit: str, new: Sequence[Run]) -> Health:
        """Return what the runs of a battery say, some new ones included."""
        row = self._battery(unit)
        runs = sorted([*self.of(unit), *new], key=lambda run: run.day)
        news_by_body: dict[str, list[float]] = defaultdict(list)
        for run in new:
            news_by_body[run.body or ""].append(run.minutes)
        new_min = {
            body: self._new_min(row["item"], body, news_by_body[body])
            for body in {run.body or "" for run in runs}
        }
        lasted = [
            Lasted(run.minutes / minutes, run.is_to_flat)
            for run in runs
            if (minutes := new_min[run.body or ""]) is not None
        ]
        health = health_from(lasted)
        why = self._why(lasted, runs, new_min) if health is None else _told(runs, new_min)
        before = float(row["health"])
        after = before if health is None else health
        return Health(unit=unit, before=before, after=after, why=why, hint=self._hint(new_min))

    def _why(
        self, lasted: Sequence[Lasted], runs: Sequence[Run], new_min: Mapping[str, float | None]
    ) -> str:
        """Return why runs say nothing yet."""
        unknown = sorted({run.body or "" for run in runs if new_min[run.body or ""] is None})
        if unknown:
            return (
                f"nobody knows what a new one gives in {', '.join(unknown)}: measure battery_min, "
                f"or note more runs"
            )
        flat = sum(run.is_to_flat for run in lasted)
        return f"{flat} of the {LEAST} runs to flat that it takes to judge a battery"

    def _hint(self, new_min: Mapping[str, float | None]) -> str:
        """Return in which bodies real minutes are known by now, and not on record."""
        return "; ".join(
            f"battery_min of {body} is assumed at {self._takers[body]['battery_min']:g}; by its "
            f"best runs it is {minutes:g}: set it, and name it under measured"
            for body, minutes in sorted(new_min.items())
            if minutes is not None and body in self._takers
            if not self._takers[body]["is_measured"]
        )

    def _new_min(self, battery: str, body: str, new: Sequence[float]) -> float | None:
        """Return the minutes that a new battery of an item gives in a body; see `new_minutes`."""
        taker = self._takers.get(body)
        if taker is not None and taker["is_measured"]:
            return new_minutes(float(taker["battery_min"]), ())
        rows = self._desk.rows(
            "SELECT minutes FROM runs JOIN units ON units.id = runs.unit "
            "WHERE units.item = ? AND runs.body = ?",
            [battery, body],
        )
        return new_minutes(None, [*(row["minutes"] for row in rows), *new])

    # -- what may be noted -----------------------------------------------------------------------

    def _settled(self, run: Run) -> Run:
        """Return a run with its body.

        Raises:
            StoreError: If the unit is no battery, nothing takes it, or more than one thing does
                and none is named.
        """
        battery = self._battery(run.unit)
        if run.day > self._desk.today():
            raise self._refused(f"{run.day} is still to come", "Give the day of the run")
        takers = [t["id"] for t in self._takers.values() if t["battery"] == battery["item"]]
        if run.body is None and len(takers) == 1:
            return run.model_copy(update={"body": takers[0]})
        if run.body in takers:
            return run
        right = f"Give one with --body: {', '.join(takers)}" if takers else "Add what takes it"
        if run.body is None:
            raise self._refused(f"{run.unit} may have run in any of {len(takers)} things", right)
        raise self._refused(f"{plain(run.body)} takes no {battery['item']}", hint(run.body, takers))

    def _battery(self, unit: str) -> dict[str, Any]:
        """Return item and health of a battery.

        Raises:
            StoreError: If there is no such unit, or it is no battery.
        """
        rows = self._desk.rows(
            "SELECT item, health, kind FROM units JOIN items ON items.id = units.item "
            "WHERE units.id = ?",
            [unit],
        )
        if rows and rows[0]["kind"] == "battery":
            return rows[0]
        known = self._desk.rows(
            "SELECT units.id FROM units JOIN items ON items.id = units.item WHERE kind = 'battery'"
        )
        near = nearest(unit, [row["id"] for row in known])
        is_other = f"{plain(unit)} is no battery"
        wrong = is_other if rows else f"there is no unit '{plain(unit)}'"
        raise self._refused(
            wrong, f"Did you mean '{near}'?" if near else "Give the id of a battery"
        )

    def _is_noted(self, run: Run) -> bool:
        """Whether a run out of a plan is noted already; by hand one may be noted twice."""
        return bool(run.note) and run in self.of(run.unit)

    @cached_property
    def _takers(self) -> dict[str, dict[str, Any]]:
        """What takes batteries, by item id."""
        return {row["id"]: row for row in self._desk.rows(_TAKERS)}

    def _runs(self, where: str, value: str) -> tuple[Run, ...]:
        rows = self._desk.rows(
            f"SELECT {_RUN} FROM runs WHERE {where} ORDER BY day, place", [value]
        )
        return tuple(self._desk.record(Run, row | {"body": row["body"] or None}) for row in rows)

    def _refused(self, wrong: str, right: str) -> StoreError:
        return StoreError(wrong, where=self._desk.where, fix=right)


def _told(runs: Sequence[Run], new_min: Mapping[str, float | None]) -> str:
    """Return what health follows from: how many runs, and the last minutes of each body."""
    flat = sum(run.is_to_flat for run in runs)
    parts = []
    by_body = sorted(runs, key=lambda run: run.body or "")
    for body, own in groupby(by_body, key=lambda run: run.body or ""):
        minutes, last = new_min[body], [*own][-1]
        if minutes is not None:
            kept = "" if last.is_to_flat else " and more"
            parts.append(f"in {body} last {last.minutes:g}{kept} of {minutes:g} min")
    return f"{len(runs)} runs, {flat} to flat; {', '.join(parts)}"
