"""The plan file: one JSON file that needs no other file beside it."""

from __future__ import annotations

import json
from contextlib import suppress
from pathlib import Path

from kitplan.errors import PlanFileError
from kitplan.plan.records import VERSION, Plan

MOST_BYTES = 50_000_000
ALTERNATIVE = "alternative-"
BESIDE = ("schedules", "fallback", "gains")
"""Answers that may lie beside a plan file, as `PLAN-schedules.json`."""


def write_plan(plan: Plan, folder: Path, name: str) -> Path:
    """Write a plan as `name.json` into a folder and return the path; never half a file.

    A plan of the same name is kept as `name.json.earlier`.

    Raises:
        PlanFileError: If the folder cannot be written to.
    """
    path = folder / f"{name}.json"
    part = path.with_suffix(".json.part")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        part.write_text(plan.model_dump_json(indent=1, by_alias=True), encoding="utf-8")
        if path.exists():
            path.replace(earlier_plan(path))
        part.replace(path)
    except OSError as error:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise PlanFileError(
            f"the plan cannot be written ({error.strerror})",
            where=str(path),
            fix="Choose another folder with --out",
        ) from error
    return path


def earlier_plan(path: Path) -> Path:
    """Return where the plan that a new one replaces is kept."""
    return path.with_suffix(".json.earlier")


def alternative_folder(folder: Path, number: int) -> Path:
    """Return where an alternative lies, inside the folder of the plan it is an alternative to."""
    return folder / f"{ALTERNATIVE}{number}"


def set_alternatives_aside(folder: Path, name: str) -> None:
    """Keep the alternatives to a plan that was replaced under the names of earlier plans.

    Raises:
        PlanFileError: If they cannot be renamed.
    """
    for path in sorted(folder.glob(f"{ALTERNATIVE}*/*.json")):
        if path.name == f"{name}.json":
            try:
                path.replace(earlier_plan(path))
            except OSError as error:
                raise PlanFileError(
                    f"it cannot be renamed ({error.strerror})",
                    where=str(path),
                    fix="Choose another folder with --out",
                ) from error


def read_plan(path: Path) -> Plan:
    """Read a plan file, or the one plan file in a folder.

    Raises:
        PlanFileError: If there is none, it is not a plan, or a newer version wrote it.
    """
    from pydantic import ValidationError

    found = plan_file(path)
    data = _load(found)
    number = data.get("version", 0)
    if isinstance(number, int) and number > VERSION:
        raise PlanFileError(
            f"it has version {number} of the plan format; this kitplan reads up to {VERSION}",
            where=str(found),
            fix="Install a newer kitplan",
        )
    try:
        return Plan.model_validate(data)
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"])
        raise PlanFileError(
            f"it is damaged at {place} ({first['msg']})",
            where=str(found),
            fix="Plan again with `kitplan plan SHOOT`",
        ) from error


def plan_file(path: Path) -> Path:
    """Return a plan file itself, or the one in a folder, whatever was answered beside it.

    Raises:
        PlanFileError: If the folder does not hold just one.
    """
    if not path.is_dir():
        return path
    folder, found = path, {each.stem for each in path.glob("*.json")}
    beside = {f"{stem}-{kind}" for stem in found for kind in BESIDE}
    files = [folder / f"{stem}.json" for stem in sorted(found - beside)]
    if len(files) != 1:
        raise PlanFileError(
            f"the folder holds {len(files)} .json files",
            where=str(folder),
            fix="Name the plan file itself",
        )
    return files[0]


def _load(path: Path) -> dict[str, object]:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise PlanFileError("it is too large", where=str(path), fix="Name a plan file")
        data = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise PlanFileError(
            f"cannot be read ({error.strerror})",
            where=str(path),
            fix="Give the .json file that `kitplan plan` wrote",
        ) from error
    except (ValueError, RecursionError) as error:
        raise PlanFileError(
            "is not JSON", where=str(path), fix="Give the .json file that `kitplan plan` wrote"
        ) from error
    if not isinstance(data, dict) or data.get("format") != "kitplan-plan":
        raise PlanFileError(
            "is not a plan", where=str(path), fix="Give the .json file that `kitplan plan` wrote"
        )
    data.pop("alternatives", None)  # printed beside the plan by `plan --json`: not part of it
    return data
