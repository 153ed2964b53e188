"""Counting what is there against a list: ids as they are typed or scanned, and what is amiss."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

CODE = "kitplan:unit/"
"""What the code on a label says before the id of the unit."""
PATH = "/gear/u/"
"""What stands before it where the code holds the address of its page: http://HOST:PORT/gear/u/ID"""
SLASH = "~"
"""What stands for a slash where browsers would follow it and the dots behind it; no id holds it."""
_PAGE = re.compile(rf"https?://[^/\s]+{PATH}", re.IGNORECASE)
_APART = re.compile(r"[\s,;\x00-\x1f\ufeff]+")


@dataclass(frozen=True)
class Swap:
    """A unit of the list that is not there, and another one of the same item in its place."""

    listed: str
    came: str


@dataclass(frozen=True)
class Count:
    """What a count has found; every unit stands in one place."""

    there: tuple[str, ...]
    """Of the list."""
    missing: tuple[str, ...]
    """Of the list, with nothing like it in its place."""
    swaps: tuple[Swap, ...]
    extra: tuple[str, ...]
    """Owned, but not on the list."""
    unknown: tuple[str, ...]
    """No unit of the inventory."""
    repeated: tuple[str, ...]
    """Counted more than once: perhaps two things with the same label."""

    @property
    def here(self) -> tuple[str, ...]:
        """Every unit of the inventory that was counted."""
        return (*self.there, *(swap.came for swap in self.swaps), *self.extra)

    @property
    def is_right(self) -> bool:
        """Whether all of the list is there, and nothing else."""
        return not (self.missing or self.swaps or self.extra or self.unknown)


def path_of(unit_id: str, path: str = PATH) -> str:
    """Return the path of a unit's page: '/gear/u/zoom-1', and '/gear/u/a~..~b' for 'a/../b'.

    Args:
        path: Of its pages of another kind.
    """
    has_dots = any(part in (".", "..") for part in unit_id.split("/"))
    return f"{path}{in_one_part(unit_id) if has_dots else unit_id}"


def in_one_part(some_id: str) -> str:
    """Return an id as one part of an address."""
    return some_id.replace("/", SLASH)


def id_in(part: str) -> str:
    """Return the id that the end of an address names."""
    return part.replace(SLASH, "/")


def ids_in(text: str) -> tuple[str, ...]:
    """Return the ids in a text: typed or scanned, plain or as the code of a label says them.

    Whatever a scanner sends between two codes (spaces, line ends, commas, control characters)
    parts them; what follows a `#` on a line is a remark.
    """
    lines = (line.partition("#")[0] for line in text.splitlines())
    words = (word for line in lines for word in _APART.split(line) if word)
    return tuple(_id(word) for word in words)


def _id(word: str) -> str:
    is_code = word[: len(CODE)].casefold() == CODE
    if is_code:
        return word[len(CODE) :]
    page = _PAGE.search(word)
    return word if page is None else word[: page.start()] + id_in(word[page.end() :])


def counted(listed: Iterable[str], seen: Iterable[str], item_by_unit: Mapping[str, str]) -> Count:
    """Return what a count has found.

    Args:
        listed: Ids of the units that should be there.
        seen: Ids as they were typed or scanned; small or capital letters are the same where only
            one unit is meant.
        item_by_unit: Items of the units that are owned; of those that are not named none is needed.
    """
    wanted = dict.fromkeys(listed)
    times = Counter(_as_owned(seen, item_by_unit))
    others = [unit for unit in times if unit in item_by_unit and unit not in wanted]
    by_item: dict[str, list[str]] = defaultdict(list)
    for unit in others:
        by_item[item_by_unit[unit]].append(unit)
    missing, swaps = [], []
    for unit in wanted:
        if unit in times:
            continue
        alike = by_item.get(item_by_unit.get(unit, ""))
        if alike:
            swaps.append(Swap(unit, alike.pop(0)))
        else:
            missing.append(unit)
    came = {swap.came for swap in swaps}
    return Count(
        there=tuple(unit for unit in wanted if unit in times),
        missing=tuple(missing),
        swaps=tuple(swaps),
        extra=tuple(unit for unit in others if unit not in came),
        unknown=tuple(unit for unit in times if unit not in item_by_unit and unit not in wanted),
        repeated=tuple(unit for unit, number in times.items() if number > 1),
    )


def _as_owned(seen: Iterable[str], item_by_unit: Mapping[str, str]) -> Iterable[str]:
    """Yield ids in the spelling of the inventory."""
    by_folded: dict[str, list[str]] = defaultdict(list)
    for unit in item_by_unit:
        by_folded[unit.casefold()].append(unit)
    for word in seen:
        alike = by_folded.get(word.casefold(), [])
        yield alike[0] if word not in item_by_unit and len(alike) == 1 else word
