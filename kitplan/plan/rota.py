"""The battery rota of a plan as a sheet to fill in, and what was filled in as runs.

One row for each battery in a camera or recorder in a pass. People write how many minutes it really
ran and whether it was flat then; a row without minutes says nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from kitplan.checked import validated
from kitplan.errors import BadInput, Problem
from kitplan.gear.cells import unprotected
from kitplan.gear.grids import Grid, read_grids
from kitplan.gear.history import Run
from kitplan.plan.records import Plan
from kitplan.wording import hint, plain

COLUMNS = ("pass", "who", "unit", "planned_min", "minutes", "flat")
_NEEDED = ("unit", "minutes")
_YES_NO = {"x": "yes", "flat": "yes", "": "no", "-": "no"}
"""What people write beside yes and no."""


@dataclass(frozen=True)
class PackRun:
    """A battery that a plan puts into a body or recorder in a pass."""

    pass_id: str
    who: str
    """Camera letter, or the id of a sound setup."""
    unit: str
    body: str
    """Item id of what it runs."""
    day: date
    planned_min: float | None
    """None where the plan has no power of the day."""


def pack_runs(plan: Plan) -> tuple[PackRun, ...]:
    """Return the batteries of a plan, pass by pass."""
    return tuple(run for pass_id in plan.pass_ids() for run in _of_pass(plan, pass_id))


def rota_rows(plan: Plan) -> list[tuple[object, ...]]:
    """Return the rows of the sheet to fill in, under `COLUMNS`."""
    return [
        (run.pass_id, run.who, run.unit, _whole(run.planned_min), None, None)
        for run in pack_runs(plan)
    ]


def runs_of(plan: Plan, path: Path) -> tuple[Run, ...]:
    """Return the runs that a filled sheet tells of, a CSV file or the first sheet of a workbook.

    Raises:
        BadInput: With everything that is wrong, row by row.
    """
    grid = read_grids(path)[0]
    header = [unprotected(cell).casefold() for cell in grid.rows[0].cells] if grid.rows else []
    problems = [*_header_problems(header, grid.file), *grid.problems]
    packs, found = pack_runs(plan), list[Run]()
    for row in () if problems else grid.rows[1:]:
        cells = {name: unprotected(row.cell(index)) for index, name in enumerate(header)}
        try:
            own = _of_unit(packs, cells["unit"], grid.file, row.number)
            if cells["minutes"]:
                found.append(_run(own, cells, grid, row.number))
        except BadInput as error:
            problems += error.problems
    if problems:
        raise BadInput(problems)
    return tuple(found)


def _of_pass(plan: Plan, pass_id: str) -> Iterator[PackRun]:
    """Yield the batteries of a pass: as the power of the day gives them, else those of the rigs."""
    day = plan.pass_of(pass_id)[1].start.date()
    bodies = _takers(plan, pass_id)
    power = plan.day.power if plan.day else None
    if power is not None:
        for use in power.uses:
            if use.pass_id == pass_id and use.letter in bodies:
                body, minutes = bodies[use.letter], use.minutes
                yield PackRun(pass_id, use.letter, use.unit, body, day, minutes)
        return
    for placement in plan.placements_in(pass_id):
        for unit in placement.batteries:
            yield PackRun(pass_id, placement.letter, unit, bodies[placement.letter], day, None)


def _takers(plan: Plan, pass_id: str) -> dict[str, str]:
    """Return the item of each camera and recorder of a pass, by letter or id of the setup."""
    items = {unit.id: unit.item for unit in plan.kit.units}
    cameras = {each.letter: items[each.rig.body] for each in plan.placements_in(pass_id)}
    shoot, _ = plan.pass_of(pass_id)
    return cameras | {setup.id: setup.recorder for setup in shoot.sound}


def _header_problems(header: Sequence[str], file: str) -> Iterator[Problem]:
    for name in _NEEDED:
        if name not in header:
            right = f"Columns are {', '.join(COLUMNS)}"
            yield Problem(file, 1, f"the column '{name}' is missing", right)
    for name in dict.fromkeys(header):
        if name and name not in COLUMNS:
            yield Problem(file, 1, f"unknown column '{plain(name)}'", hint(name, COLUMNS))


def _run(own: Sequence[PackRun], row: Mapping[str, str], grid: Grid, line: int) -> Run:
    """Return the run of a row.

    Raises:
        BadInput: If a cell is wrong, or the plan does not say what the battery ran.
    """
    pack = _pack(own, row, grid.file, line)
    flat = row.get("flat", "").casefold()
    data = {
        "unit": pack.unit,
        "day": pack.day,
        "minutes": row["minutes"],
        "is_to_flat": _YES_NO.get(flat, flat),
        "body": pack.body,
        "note": f"{pack.pass_id} {pack.who}",
    }
    is_decimal = grid.comma_is_decimal
    return validated(Run, data, file=grid.file, line_of=lambda _: line, comma_is_decimal=is_decimal)


def _of_unit(packs: Sequence[PackRun], unit: str, file: str, line: int) -> list[PackRun]:
    """Return the uses of a battery in a plan.

    Raises:
        BadInput: If there is none.
    """
    own = [pack for pack in packs if pack.unit == unit]
    if not own:
        wrong = f"'{plain(unit)}' is in no camera and no recorder of the plan"
        right = hint(unit, {pack.unit for pack in packs})
        raise BadInput([Problem(file, line, wrong, right)])
    return own


def _pack(packs: Sequence[PackRun], row: Mapping[str, str], file: str, line: int) -> PackRun:
    """Return which use of its battery a row is about."""
    own, unit = packs, row["unit"]
    for name in ("pass", "who"):
        if row.get(name):
            fits = [one for one in own if row[name] == (one.pass_id if name == "pass" else one.who)]
            if not fits:
                known = {one.pass_id if name == "pass" else one.who for one in own}
                wrong = f"{name} of {unit} is '{plain(row[name])}'"
                raise BadInput([Problem(file, line, wrong, hint(row[name], known))])
            own = fits
    if len({(pack.pass_id, pack.who) for pack in own}) > 1:
        wrong = f"{unit} runs {len(own)} times in the plan"
        raise BadInput([Problem(file, line, wrong, "Fill in the columns pass and who")])
    return own[0]


def _whole(minutes: float | None) -> int | None:
    return None if minutes is None else round(minutes)
