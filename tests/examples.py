"""Examples of which some are tried in every run, and all in the long suite."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest


def usual(number: int, examples: Iterable[Any]) -> list[Any]:
    """Return parameters of a test: the first few as they are, the others marked `long`."""
    given = list(examples)
    return [
        *given[:number],
        *(pytest.param(each, marks=pytest.mark.long) for each in given[number:]),
    ]
