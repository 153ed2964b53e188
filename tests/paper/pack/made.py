"""Sources of papers for tests: stored and tiny plans, and their sheets as text on one line."""

from __future__ import annotations

from functools import cache
from typing import Any

from kitplan.paper.pack.blocks import Sheet
from kitplan.paper.pack.out.text import text_of
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
    """Return sheets as text on one line, so that wrapping does not matter."""
    return " ".join(text_of(sheets).split())
