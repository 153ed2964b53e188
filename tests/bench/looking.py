"""Measure how quickly the room answers while something is dragged: steps, sighting, drawn frame.

    python -m tests.bench.looking [--append docs/bench.md]

The bundled shoots, each position with the whole stage and with a person, in the first pass and in
the last; no browser and no network. What a drag bears is about 150 ms.
"""

from __future__ import annotations

import argparse
import json
import statistics
import time
from collections.abc import Iterator
from pathlib import Path

from tabulate import tabulate

from kitplan.shoot.records import Shoot
from kitplan.web.room.picture import answer
from kitplan.web.room.sighting import Ask, sighted
from tests.web.room.steps import asked, bundled, change

NAMES = ("school-dance", "depot-brass", "harbour-festival")


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--append", type=Path)
    given = parser.parse_args()
    rows = [row_of(name) for name in NAMES]
    text = tabulate(rows, ("shoot", "views", "median ms", "longest ms"), floatfmt=".0f")
    print(text)
    if given.append:
        with given.append.open("a", encoding="utf-8") as file:
            file.write(f"\n## Looking through a lens while it is dragged\n\n```text\n{text}\n```\n")


def row_of(name: str) -> tuple[str, int, float, float]:
    """Return how long the views of a shoot take, in milliseconds."""
    drafts, base = bundled(name)
    took_ms = []
    for ask in asks(drafts.checked(asked(base.version.digest)).shoot):
        begun = time.perf_counter()
        step = change("positions", ask.position, room_m=2.5)
        json.dumps(answer(sighted(drafts.checked(asked(base.version.digest, step)), ask)))
        took_ms.append(1000 * (time.perf_counter() - begun))
    return name, len(took_ms), statistics.median(took_ms), max(took_ms[1:])


def asks(shoot: Shoot) -> Iterator[Ask]:
    """Yield what is looked at."""
    people = [subject.id for subject in shoot.subjects if subject.kind in ("stage", "person")]
    for each in (shoot.passes[0], shoot.passes[-1]):
        for position in shoot.venue.positions:
            for subject in people[:2]:
                yield Ask(in_pass=each.id, position=position.id, subject=subject, size="WS")


if __name__ == "__main__":
    main()
