"""What was worked out beside a plan: the answers of `compare`, `fallback` and `gains` as files.

Each file says what it belongs to: schedules and gains to a shoot with its kit, fallbacks to a plan.
One that belongs to another is refused: an old table on paper is worse than none.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import Any, Literal

from pydantic import ValidationError

from kitplan.errors import PlanFileError
from kitplan.gear.kit import Kit
from kitplan.paper.pack.answers import Answer, FallbackAnswer, GainsAnswer, SchedulesAnswer
from kitplan.paper.pack.source import Source
from kitplan.plan.files import MOST_BYTES, plan_file
from kitplan.plan.records import Plan
from kitplan.shoot.records import Shoot

Kind = Literal["schedules", "fallback", "gains"]
COMMANDS: dict[Kind, str] = {
    "schedules": "kitplan compare SHOOT",
    "fallback": "kitplan fallback PLAN",
    "gains": "kitplan gains SHOOT",
}
FORMAT = "kitplan-beside"
VERSION = 1
MARK_SIGNS = 16
ANSWERS: dict[Kind, type[Answer]] = {
    "schedules": SchedulesAnswer,
    "fallback": FallbackAnswer,
    "gains": GainsAnswer,
}
NOT_OF_A_SHOOT = {"past", "no_goods"}
"""What plans add to their shoot."""

# -- what a file belongs to ------------------------------------------------------------------------


def mark_of_plan(plan: Plan) -> str:
    """Return a mark of a plan; its day, which may be worked out later, does not count."""
    return _mark(plan.model_dump_json(exclude={"day"}))


def mark_of_shoot(shoot: Shoot, kit: Kit) -> str:
    """Return a mark of a shoot with its kit."""
    return _mark(shoot.model_dump_json(exclude=NOT_OF_A_SHOOT), kit.model_dump_json())


def _mark(*texts: str) -> str:
    return sha256("\n".join(texts).encode()).hexdigest()[:MARK_SIGNS]


def _marks(plan: Plan, kind: Kind) -> set[str]:
    if kind == "fallback":
        return {mark_of_plan(plan)}
    return {mark_of_shoot(shoot, plan.kit) for shoot in plan.shoots.values()}


# -- writing ---------------------------------------------------------------------------------------


def write_beside(path: Path, kind: Kind, mark: str, found: dict[str, Any]) -> None:
    """Write an answer with what it belongs to; never half a file.

    Args:
        mark: Of the plan for fallbacks, of the shoot otherwise.
    Raises:
        PlanFileError: If it cannot be written.
    """
    data = {"format": FORMAT, "version": VERSION, "kind": kind, "of": mark, "found": found}
    part = path.with_name(f"{path.name}.part")
    try:
        part.write_text(json.dumps(data, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
        part.replace(path)
    except OSError as error:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise PlanFileError(
            f"the answer cannot be written ({error.strerror or error})",
            where=str(path),
            fix="Name another file with --out",
        ) from error


# -- reading ---------------------------------------------------------------------------------------


def with_beside(
    source: Source,
    plan_path: Path,
    tell: Callable[[str], None],
    given: dict[Kind, Path] | None = None,
) -> Source:
    """Return a source with the answers that lie beside its plan file: `PLAN-schedules.json`.

    Args:
        plan_path: The plan file, or the folder that it lies in.
        tell: Is told of a file beside the plan that is not used since it does not fit; the papers
            are made without it.
        given: Files that are named by hand.
    Raises:
        PlanFileError: If one of those cannot be used.
    """
    own = plan_file(plan_path)
    found: dict[str, Any] = {}
    for kind in ANSWERS:
        path = (given or {}).get(kind)
        if path is not None:
            found[kind] = read_beside(path, kind, source.plan)
            continue
        path = own.with_name(f"{own.stem}-{kind}.json")
        if path.exists():
            try:
                found[kind] = read_beside(path, kind, source.plan)
            except PlanFileError as error:
                tell(f"not used: {error}")
    return replace(source, **found)


def read_beside(path: Path, kind: Kind, plan: Plan) -> Answer:
    """Return the answer in a file.

    Raises:
        PlanFileError: If there is none, it is none of this kind, or it belongs to another plan or
            shoot.
    """
    data = _load(path)
    again = f"Make it again with `{COMMANDS[kind]} --out {path.name}`"
    if data.get("format") != FORMAT or data.get("kind") != kind:
        raise PlanFileError(
            f"it is no answer of `{COMMANDS[kind]} --out`", where=str(path), fix=again
        )
    if data.get("version") != VERSION:
        raise PlanFileError("another kitplan has written it", where=str(path), fix=again)
    if data.get("of") not in _marks(plan, kind):
        other = "another plan" if kind == "fallback" else "another state of shoot or kit"
        raise PlanFileError(f"it belongs to {other}", where=str(path), fix=again)
    try:
        return ANSWERS[kind].model_validate(data.get("found"))
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"])
        raise PlanFileError(
            f"it is damaged at {place or 'its content'} ({first['msg']})",
            where=str(path),
            fix=again,
        ) from error


def _load(path: Path) -> dict[str, Any]:
    fix = "Name a file that was written with --out"
    try:
        if path.stat().st_size > MOST_BYTES:
            raise PlanFileError("it is too large", where=str(path), fix=fix)
        data = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        reason = error.strerror or str(error)
        raise PlanFileError(f"cannot be read ({reason})", where=str(path), fix=fix) from error
    except (ValueError, RecursionError) as error:
        raise PlanFileError("is not JSON", where=str(path), fix=fix) from error
    return data if isinstance(data, dict) else {}
