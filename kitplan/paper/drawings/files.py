"""All drawings of a plan with the names of their files: one floor plan and one contact sheet a
pass beside a folder with each frame by itself.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from re import sub

from kitplan.paper.drawings.floor_plan import floor_plan
from kitplan.paper.drawings.frames import contact_sheets, frame_sheet, shots_of
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.drawings.sheet import Sheet
from kitplan.paper.names import Names

KINDS = ("plans", "frames")


def drawn(names: Names, pass_ids: Sequence[str], kinds: Collection[str]) -> Iterator[Sheet]:
    """Yield the sheets of some passes; their names are paths without ending.

    Args:
        kinds: Which of KINDS.
    """
    folders = file_names([_short(names, pass_id) for pass_id in names.plan.pass_ids()])
    named = dict(zip(names.plan.pass_ids(), folders, strict=True))
    for pass_id in pass_ids:
        name = named[pass_id]
        if "plans" in kinds:
            yield from floor_plan(names, pass_id, f"{name}-floor-plan")
        if "frames" in kinds:
            yield from _frames(Content(names, pass_id), name)


def _frames(content: Content, name: str) -> Iterator[Sheet]:
    shots = shots_of(content)
    yield from contact_sheets(content, [shot.look for shot in shots], f"{name}-frames")
    files = file_names([shot.name for shot in shots])
    for shot, file in zip(shots, files, strict=True):
        yield Sheet(f"{name}/{file}", frame_sheet(content, shot.look))


def _short(names: Names, pass_id: str) -> str:
    """The pass's own id; with its shoot where the plan has several."""
    return pass_id if len(names.plan.shoots) > 1 else pass_id.partition("/")[2]


def file_names(texts: Sequence[str]) -> list[str]:
    """Return names that every file system takes, each different without regard to case."""
    found: list[str] = []
    taken: set[str] = set()
    for text in texts:
        plain = sub(r"[^A-Za-z0-9_-]+", "-", text).strip("-") or "pass"
        name, number = plain, 1
        while name.casefold() in taken:
            number += 1
            name = f"{plain}-{number}"
        taken.add(name.casefold())
        found.append(name)
    return found
