"""What one view of a small shoot sees; shared by the tests of the picture."""

from __future__ import annotations

from typing import Any

from kitplan.options.sights import Lookout, Sights
from kitplan.options.views import list_views
from tests.small import position, small_brief


def lookout_of(**parts: Any) -> Lookout:
    """Return all views of a small shoot, by default from the front alone."""
    brief = small_brief(**{"positions": (position("front"),), **parts})
    return Lookout(brief.shoot, list_views(brief))


def row_of(lookout: Lookout, subject: str, size: str, place: str = "front") -> int:
    """Return the place of a view."""
    return [view.key for view in lookout.views].index((place, subject, size))


def sights_of(
    subject: str = "singer", size: str = "MS", place: str = "front", **parts: Any
) -> Sights:
    """Return what a view sees in the only pass; by default the medium shot from the front."""
    lookout = lookout_of(**parts)
    sights = lookout.sights(lookout.shoot.passes[0])
    return sights.of([row_of(lookout, subject, size, place)])


def hidden(*key: str, **parts: Any) -> float:
    """Return the share of a view's subject that is hidden."""
    return float(sights_of(*key, **parts).hidden[0])
