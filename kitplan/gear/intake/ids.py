"""Ids of items and units that a list does not name."""

from __future__ import annotations

import re
from collections.abc import Container
from unicodedata import normalize

_NOT_IN_IDS = re.compile(r"[^A-Za-z0-9._/+]+")
LONGEST = 60
_ROOM_FOR_NUMBER = 8


def identifier(text: str, *, keeps_case: bool = False) -> str:
    """Return a text as an id: letters without accents, digits, hyphens for all else; it may be
    empty, and leaves room for a number behind it.

    Args:
        keeps_case: For what stands on a label.
    """
    spelt = normalize("NFKD", text.replace("ß", "ss")).encode("ascii", "ignore").decode()
    spelt = _NOT_IN_IDS.sub("-", spelt if keeps_case else spelt.casefold())
    return spelt.strip("-._/+")[: LONGEST - _ROOM_FOR_NUMBER].rstrip("-._/+")


def unused(wanted: str, taken: Container[str]) -> str:
    """Return an id, with a number behind it where it is taken."""
    found, number = wanted, 1
    while found in taken:
        number += 1
        found = f"{wanted}-{number}"
    return found
