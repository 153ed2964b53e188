"""What a check finds: a place in the shoot file, what is wrong there, what would be right."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, NamedTuple

from kitplan.shoot.records import Shoot
from kitplan.wording import Place, hint, nearest

if TYPE_CHECKING:
    from kitplan.shoot.brief import Brief

_MOST_LISTED = 15


class Fault(NamedTuple):
    """A rule that does not hold, and the key of the shoot file that breaks it."""

    place: Place
    wrong: str
    right: str


ShootCheck = Callable[[Shoot], Iterator[Fault]]
BriefCheck = Callable[["Brief"], Iterator[Fault]]


def meant(word: str, known: Iterable[str], what: str) -> str:
    """Return what to do about a name that is not known: the nearest one, or those there are."""
    names = list(known)
    if not names:
        return f"Add the {what}, or take the name out"
    if len(names) <= _MOST_LISTED:
        return hint(word, names)
    near = nearest(word, names)
    return f"Did you mean '{near}'?" if near else f"Write the id of a {what}, such as {names[0]}"


def listed(words: Iterable[str]) -> str:
    """Return words as people list them: 'a, b and c'."""
    *rest, last = words
    return f"{', '.join(rest)} and {last}" if rest else last
