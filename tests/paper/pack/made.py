"""Sources of papers for tests: stored and tiny plans, and what their sheets say."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any

from kitplan.paper.pack.blocks import Sheet
from kitplan.paper.pack.papers import PAPERS
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.plan.records import Plan
from tests.stored import stored_plan

DEPOT, DANCE, HARBOUR = "depot-brass", "school-dance", "harbour-festival"


@cache
def stored_source(name: str) -> Source:
    """Return the source of a stored plan."""
    return Source(stored_plan(name), Setting())


def source_of(plan: Plan, **parts: Any) -> Source:
    """Return the source of a plan."""
    return Source(plan, Setting(), **parts)


@cache
def stored_sheets(name: str, paper: str) -> tuple[Sheet, ...]:
    """Return the sheets of a paper of a stored plan."""
    return sheets_of(stored_source(name), paper)


def sheets_of(source: Source, paper: str) -> tuple[Sheet, ...]:
    """Return the sheets of a paper."""
    (found,) = [each for each in PAPERS if each.id == paper]
    return found.sheets(source)


def words_of(sheets: tuple[Sheet, ...]) -> str:
    """Return all that sheets say on one line, so that wrapping does not matter."""
    return " ".join(_texts(sheets))


def _texts(value: Any) -> Iterator[str]:
    """Yield the texts of blocks in their order, pictures by their words alone."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for each in value:
            yield from _texts(each)
    elif is_dataclass(value):
        for field in fields(value):
            if field.name != "svg":
                yield from _texts(getattr(value, field.name))
