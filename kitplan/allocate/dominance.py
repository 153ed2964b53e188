"""Cameras that another one at the same position makes superfluous, in every goal.

A recording mode is no better than another one of the same body, lens and adapter where it takes no
shot that the other does not take at least as well, and asks for no fewer batteries and cards. In
any plan it can be exchanged for the other: every rule still holds, since rules know of a camera
only its items, its shots and what it lives on, and no goal gets worse. So it is left out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Set
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kitplan.options.cameras import Camera
from kitplan.options.endurance import Endurance
from kitplan.options.spots import Spot
from kitplan.options.steadiness import Manner

MANNERS: tuple[Manner, ...] = ("operated", "locked-off")
CameraMode = tuple[tuple[str, ...], str]
"""Item ids of a camera, and the name of its recording mode."""


def camera_mode(camera: Camera) -> CameraMode:
    """Return what a camera is known by in a plan."""
    return camera.items, camera.mode.name


def superfluous_cameras(spot: Spot, wanted: Set[CameraMode] = frozenset()) -> frozenset[int]:
    """Return places of the cameras of a spot that nobody misses.

    Args:
        wanted: Cameras that stay in any case: those of a plan before.
    """
    alike: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for place, camera in enumerate(spot.cameras):
        alike[camera.items].append(place)
    if not spot.shots.steady:
        return frozenset()  # nothing stands there
    worth = _worth(spot)
    found: set[int] = set()
    for places in alike.values():
        for place in reversed(places):  # of equals the one that is listed first stays
            others = [other for other in places if other != place and other not in found]
            if camera_mode(spot.cameras[place]) not in wanted and any(
                _lasts_as_well(spot.endurance[other], spot.endurance[place])
                and worth.is_as_good(other, place)
                for other in others
            ):
                found.add(place)
    return frozenset(found)


@dataclass(frozen=True)
class _Worth:
    """What shots of a spot are worth, (cameras, views in either manner on every kind of stand)."""

    possible: NDArray[np.bool_]
    marks: NDArray[np.int8]
    """(marks, cameras, views): more is better."""
    band: NDArray[np.int8]

    def is_as_good(self, one: int, other: int) -> bool:
        """Whether one camera takes every shot of another at least as well, in the same band."""
        taken = self.possible[other]
        return bool(
            np.all(self.possible[one] | ~taken)
            and np.all((self.band[one] == self.band[other]) | ~taken)
            and np.all((self.marks[:, one] >= self.marks[:, other]) | ~taken)
        )


def _worth(spot: Spot) -> _Worth:
    shots = spot.shots
    ways = [(manner, row) for manner in MANNERS for row in shots.stand_rows(manner)]
    is_wide = (~shots.is_narrow).astype(np.int8)
    each = [(shots.grade(manner, row), shots.quality(manner, row), is_wide) for manner, row in ways]
    return _Worth(
        np.concatenate([shots.possible_on(row, manner) for manner, row in ways]).T.copy(),
        np.stack([np.concatenate(mark).T for mark in zip(*each, strict=True)]),
        np.concatenate([shots.band] * len(ways)).T.copy(),
    )


def _lasts_as_well(one: Endurance, other: Endurance) -> bool:
    """Whether one camera rolls as reliably as another, on no more batteries and cards."""
    cards = dict(one.card_choice)
    return (
        one.rolls_throughout >= other.rolls_throughout
        and one.reliability >= other.reliability
        and one.batteries <= other.batteries
        and all(cards.get(card, number + 1) <= number for card, number in other.card_choice)
    )
