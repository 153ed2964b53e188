"""Progress of many solves on stderr: a bar on a terminal, else one line per finished solve."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import typer


@contextmanager
def counting(what: str, label: Callable[[str], str]) -> Iterator[Callable[[int, int, str], None]]:
    """Yield what is told how many jobs are done, of how many, and the key of the latest.

    Args:
        label: Gives the words for a key.
    """
    if not sys.stderr.isatty():
        yield lambda done, total, key: typer.echo(
            f"{what} {done} of {total}: {label(key)}", err=True
        )
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn
    from rich.progress import TimeElapsedColumn as Elapsed

    columns = (TextColumn("{task.description}", markup=False), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, Elapsed(), console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=None)
        yield lambda done, total, key: bar.update(
            task, completed=done, total=total, description=f"{what}: {label(key)}"
        )
