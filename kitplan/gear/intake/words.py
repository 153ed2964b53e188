"""Trade words of shared/column_names.yaml: kinds of gear, conditions, formats, nothing at all."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

from kitplan.tables import table

_SIGN = re.compile(r"[^\w\"″'+%/Øø⌀ßéèêáàíóúñäöü]+")
_OTHER_THING = re.compile(r"\s+(?:for|with|w/|incl|including|für|mit|avec|pour|con|para)\s+|[(,;]")


def plain_words(text: str) -> str:
    """Return text in small letters with single spaces for its signs: 'serial no' of Serial-No."""
    text = text.casefold().replace("#", " no ").replace("/", " / ")
    return " ".join(_SIGN.sub(" ", text.replace("_", " ")).split())


@cache
def _by_word(section: str) -> dict[str, str]:
    """Return every word of a section of the table, with what it stands for."""
    rows: Mapping[str, list[str]] = table("column_names")[section]
    found: dict[str, str] = {}
    for meaning, words in rows.items():
        for word in (meaning, *words):
            found.setdefault(plain_words(word), meaning)
    return found


@cache
def meaning(section: str, text: str) -> str | None:
    """Return what a whole text stands for in a section of the table, or None."""
    return _by_word(section).get(plain_words(text))


@cache
def last_meaning(section: str, text: str, *, at_end: bool = False) -> str | None:
    """Return what the last known word of a name stands for: a tripod head is a head.

    What follows 'for' or 'with', or stands in brackets, is another thing.

    Args:
        at_end: Only its very last word counts: a camera strap is no camera.
    """
    known = _by_word(section)
    words = plain_words(_OTHER_THING.split(text, maxsplit=1)[0]).split()
    for end in range(len(words), len(words) - 1 if at_end else 0, -1):
        for first in range(max(0, end - 3), end):
            found = known.get(" ".join(words[first:end]))
            if found is not None:
                return found
    return None


def part_meaning(section: str, name: str) -> str | None:
    """Return what the longest known words anywhere in a name stand for, or None."""
    spaced = f" {plain_words(name)} "
    found = [word for word in _by_word(section) if f" {word} " in spaced]
    return _by_word(section)[max(found, key=len)] if found else None


def is_nothing(text: str) -> bool:
    """Whether a cell says that there is nothing to say: empty, '-', 'n/a', '?'."""
    return not text.strip() or text.strip().casefold() in _nothing()


def is_total(text: str) -> bool:
    """Whether a row that begins so holds sums."""
    return plain_words(text) in table("column_names")["totals"]


@cache
def _nothing() -> frozenset[str]:
    return frozenset(map(str, table("column_names")["nothing"]))
