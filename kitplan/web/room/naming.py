"""Looking up what a page names, in the words of every other misspelt name."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from kitplan.errors import BadInput, Problem
from kitplan.wording import hint

T = TypeVar("T")


def one_of(known: Mapping[str, T], name: str, what: str) -> T:
    """Return the thing of a name.

    Raises:
        BadInput: If there is none such.
    """
    if name not in known:
        raise BadInput([Problem("page", 0, f"there is no {what} '{name}'", hint(name, known))])
    return known[name]
