"""Steps in short, and a shoot in a folder of its own to do them on."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from kitplan.sources import parse_yaml
from kitplan.tables import scenario
from kitplan.web.project import Project
from kitplan.web.room.draft import Base, Drafts
from kitplan.web.room.operations import Operation, Operations
from kitplan.web.room.writing import written
from tests.shoot.small import KIT, SHOOT, write


def change(of: str, thing: str | None = None, **facts: Any) -> dict[str, Any]:
    """Return the step that sets facts of a thing."""
    return {"do": "set", "of": of, "id": thing, "facts": facts}


def rename(of: str, thing: str, to: str) -> dict[str, Any]:
    """Return the step that gives a thing another id."""
    return {"do": "rename", "of": of, "id": thing, "to": to}


def add(of: str, **facts: Any) -> dict[str, Any]:
    """Return the step that adds a thing or a lock."""
    return {"do": "add", "of": of, "facts": facts}


def delete(of: str, thing: str | None = None, **facts: Any) -> dict[str, Any]:
    """Return the step that takes out a thing, or a lock by what it names."""
    named = {"facts": facts} if thing is None else {"id": thing}
    return {"do": "delete", "of": of, **named}


def asked(base: str, *steps: dict[str, Any]) -> Operations:
    """Return steps on a version."""
    return Operations.model_validate({"base": base, "steps": steps})


def after(text: str, *steps: dict[str, Any]) -> str:
    """Return a text after some steps."""
    return written(parse_yaml(text, "shoot.yaml"), text, read(*steps))


def read(*steps: dict[str, Any]) -> tuple[Operation, ...]:
    """Return steps as records."""
    return asked("", *steps).steps


def drafts_of(folder: Path, shoot: str = SHOOT, kit: str = KIT) -> Drafts:
    """Return a project with a small shoot in a folder."""
    return Drafts(Project(write(folder, shoot, kit), folder / "plan"))


@cache
def bundled(name: str) -> tuple[Drafts, Base]:
    """Return a bundled shoot, which no test may save, and its version."""
    drafts = Drafts(Project(scenario(name), scenario(name).parent / "no-plan"))
    return drafts, drafts.now()
