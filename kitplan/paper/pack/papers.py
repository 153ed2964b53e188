"""Every paper of the show pack, in its order."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from importlib import import_module

from kitplan.paper.pack.blocks import Sheet
from kitplan.paper.pack.source import Source

CONTENTS = "kitplan.paper.pack.contents"


@dataclass(frozen=True)
class Paper:
    """A kind of paper: what `--only` calls it, its title, and where its contents come from."""

    id: str
    title: str
    module: str
    """Module in `contents` whose `sheets(source)` yields its sheets; none where nothing stands on
    it for this plan."""
    is_daily: bool = False
    """One of the four papers that everybody needs."""

    def sheets(self, source: Source) -> tuple[Sheet, ...]:
        """Return its sheets for a plan, made once."""
        if self.id not in source.made:
            make: Callable[[Source], Iterable[Sheet]] = import_module(
                f"{CONTENTS}.{self.module}"
            ).sheets
            source.made[self.id] = tuple(make(source))
        return source.made[self.id]


PAPERS = (
    Paper("cover", "Cover page", "cover"),
    Paper("schedules", "One pass or several", "schedules"),
    Paper("floor-plan", "Floor plans", "floor_plan", is_daily=True),
    Paper("day", "Day sheets", "day", is_daily=True),
    Paper("packing", "Packing lists", "packing", is_daily=True),
    Paper("cards", "Camera cards", "cards", is_daily=True),
    Paper("reset", "Reset sheets", "reset"),
    Paper("power", "Battery rota", "power"),
    Paper("media", "Media log", "media"),
    Paper("restarts", "Restart sheets", "restarts"),
    Paper("line-up", "Line-up sheet", "line_up"),
    Paper("continuity", "Continuity sheet", "continuity"),
    Paper("moments", "Moments list", "moments"),
    Paper("fallback", "Fallback table", "fallback"),
    Paper("shortfall", "Shortfall list", "shortfall"),
    Paper("risk", "Risk sheet", "risk"),
    Paper("returns", "Returns and loan slips", "returns"),
    Paper("editor", "Editor's hand-off", "editor"),
    Paper("glossary", "Glossary", "glossary"),
)
DRAWN = ("cards", "floor-plan", "cover")
"""Papers that take longest to make, for their drawings; in the order in which they are wanted."""
READER = "glossary"
"""The paper that reads all others."""
DAILY = tuple(paper.id for paper in PAPERS if paper.is_daily)


def title_of(paper: str) -> str:
    """Return the title of a paper by its id; nothing where it is not in the show pack."""
    return next((each.title for each in PAPERS if each.id == paper), "")
