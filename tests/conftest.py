"""What costs every test process time and says nothing is done once here, or not at all.

Properties are tried on a few examples in every run, on Hypothesis' own number with
`--hypothesis-profile full`; a test that names a number keeps it. No example is held to a time.
"""

from __future__ import annotations

import gc
import os
import signal
import sys
from collections.abc import Iterator
from dataclasses import replace
from functools import cache, lru_cache
from typing import Any

import pytest
import typer.main
from hypothesis import settings

from kitplan import sources
from kitplan.errors import BadInput

settings.register_profile("few", max_examples=40, deadline=None)
settings.register_profile("full", max_examples=100, deadline=None)
settings.load_profile("few")

# Without bytecode each of the processes that tests start would compile the whole program anew.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# Where a shell puts a job into the background, it ignores interrupts and so would all it starts.
signal.signal(signal.SIGINT, signal.default_int_handler)

gc.disable()


def pytest_collection_finish() -> None:
    """Look for garbage less often, and not in what was loaded: that stays to the end."""
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)
    gc.enable()


@pytest.fixture(scope="session", autouse=True)
def _each_text_is_read_once() -> Iterator[None]:
    """Hundreds of tests read the same few kits; trees are only read, and say nothing of a file."""
    read = sources.composed

    @lru_cache(maxsize=16)
    def tree_of(text: str) -> Any:
        return read(text, "")

    def composed(text: str, file: str) -> Any:
        try:
            return tree_of(text)
        except BadInput as error:
            raise BadInput([replace(each, file=file) for each in error.problems]) from error

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("kitplan.sources.composed", composed)
        patch.setattr("kitplan.web.room.tree.composed", composed)
        yield


@pytest.fixture(scope="session", autouse=True)
def _commands_are_put_together_once() -> Iterator[None]:
    """Whoever types a command does so in a new process; here hundreds follow each other in one."""
    once = cache(typer.main.get_command)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("typer.main.get_command", once)
        patch.setattr("typer.testing._get_command", once)
        yield
