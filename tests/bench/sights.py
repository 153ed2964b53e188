"""Measure what every view sees: the sights of all passes and the table of rigs in pictures.

    python -m tests.bench.sights [--positions 60] [--subjects 20] [--append docs/bench.md]

A random venue with four passes, every shot size. Beside it the same questions asked in a plain
Python loop (by the checker's scalar rays, on a sample), and the projection of the same points by
OpenCV. All in one run, so that the ratios hold on any machine.
"""

from __future__ import annotations

import argparse
import random
import resource
import time
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from tabulate import tabulate

from kitplan.options.crowding import Crowding
from kitplan.options.sights import Lookout
from kitplan.options.stands import list_stands
from kitplan.options.views import View, list_views
from kitplan.plan.verify import Scene, view_of
from kitplan.plan.verify.seen import hidden_in
from kitplan.shoot.brief import Brief
from kitplan.stage.frame import project
from tests.random_venue import random_venue

SAMPLE = 300
"""Views that the plain loop is asked about."""


def main() -> None:
    """Measure one venue and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--positions", type=int, default=60)
    parser.add_argument("--subjects", type=int, default=20)
    parser.add_argument("--append", type=Path)
    asked = parser.parse_args()
    text = measure(asked.positions, asked.subjects)
    print(text)
    if asked.append:
        with asked.append.open("a", encoding="utf-8") as file:
            file.write(f"\n## What every view sees\n\n{text}\n")


def measure(positions: int, subjects: int) -> str:
    """Return the figures of one random venue as text."""
    brief = random_venue(positions, subjects, seed=1)
    took: dict[str, float] = {}
    start = time.perf_counter()
    views = list_views(brief)
    took["views"] = time.perf_counter() - start
    start = time.perf_counter()
    lookout = Lookout(brief.shoot, views)
    for each in brief.shoot.passes:
        lookout.sights(each)
    took["sights"] = time.perf_counter() - start
    start = time.perf_counter()
    crowding = Crowding(brief, lookout, list_stands(brief)[0])
    met = sum(len(seen.rows) for each in brief.shoot.passes for seen in crowding.seen(each))
    took["pictures"] = time.perf_counter() - start
    checks = len(views) * len(brief.shoot.passes) * positions
    ours = sum(took.values())
    plain = _plain(brief, views)
    rows: list[list[Any]] = [
        ["views", took["views"]],
        ["what they see, all passes", took["sights"]],
        ["rigs in pictures, all passes", took["pictures"]],
        ["together", ours],
    ]
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    per_view = ours / (len(views) * len(brief.shoot.passes))
    return (
        f"{positions} positions, {subjects} subjects, {len(brief.shoot.passes)} passes: "
        f"{len(views)} views, {met} meetings, peak {peak:.0f} MB.\n\n"
        + tabulate(rows, headers=["", "seconds"], tablefmt="github", floatfmt=".2f")
        + f"\n\n{1e6 * ours / checks:.2f} s per million pairs of shot and position in a pass. "
        f"A shot takes {1e6 * per_view:.0f} microseconds; the plain loop, which looks for what "
        f"hides its subject only and counts no seats, wings or rigs, {1e6 * plain:.0f}: "
        f"{plain / per_view:.0f} times as long. {_projection(lookout)}"
    )


def _plain(brief: Brief, views: tuple[View, ...]) -> float:
    """Seconds a view when each is asked by itself, point by point."""
    scene = Scene(brief.shoot, brief.kit)
    some = random.Random(1).sample(views, min(SAMPLE, len(views)))
    start = time.perf_counter()
    for view in some:
        found = view_of(scene, view.position, view.subject, view.size)
        assert found is not None
        hidden_in(scene, brief.shoot.passes[-1], found)
    return (time.perf_counter() - start) / len(some)


def _projection(lookout: Lookout) -> str:
    """The projection of the same points here and in OpenCV, which takes one camera at a time."""
    points = np.random.default_rng(1).uniform([-5, -1, -3], [5, 9, 7], (45, 3))
    cameras = lookout.cameras
    start = time.perf_counter()
    project(cameras, points)
    ours = time.perf_counter() - start
    matrices: list[Any] = [np.stack(axes) for axes in zip(*cameras[1:4], strict=True)]
    start = time.perf_counter()
    for place, axes in zip(cameras.place_m, matrices, strict=True):
        turn, _ = cv2.Rodrigues(axes)
        cv2.projectPoints(points, turn, -axes @ place, np.eye(3), None)
    peer = time.perf_counter() - start
    number = len(matrices) * len(points)
    return (
        f"Projection of {number} points: {ours:.2f} s, OpenCV {peer:.2f} s "
        f"({peer / ours:.1f} times as long, a call a camera)."
    )


if __name__ == "__main__":
    main()
