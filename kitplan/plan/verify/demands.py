"""Demands and what they are met by (docs/model.md, section 5): roles, must moments, locks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from kitplan.plan.verify.crowding import in_the_way_of
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.setups import Setup
from kitplan.plan.verify.sight import SIZES, is_as_tight
from kitplan.plan.verify.single import can_frame, does
from kitplan.shoot.records import Moment, Pass, Pattern, Priority, Role, Song

Kind = Literal["role", "moment", "keep", "never"]


@dataclass(frozen=True)
class Demand:
    """Something asked for, and whether the setups meet it."""

    kind: Kind
    id: str
    priority: Priority
    weight: int
    is_met: bool


def demands_of(scene: Scene, setups: Sequence[Setup]) -> tuple[Demand, ...]:
    """Return every demand in the order of the shoot: roles, must moments, locks.

    A role asked for in every pass is one demand for each pass it is listed for that is to come.
    """
    return (
        *_role_demands(scene, setups),
        *_moment_demands(scene, setups),
        *_lock_demands(scene, setups),
    )


def missed_musts(demands: Sequence[Demand]) -> int:
    """Return how many musts are not met."""
    return sum(demand.priority == "must" and not demand.is_met for demand in demands)


def _role_demands(scene: Scene, setups: Sequence[Setup]) -> Iterator[Demand]:
    for role in scene.roles:
        passes = scene.passes_of(role)
        coming = [(each,) for each in passes if each.id not in scene.shoot.past.passes]
        groups = coming if role.in_passes == "every" else [passes]
        for group in groups:
            if group:
                met = _is_done(scene, setups, role, group)
                yield Demand("role", role.id, role.priority, role.weight, met)


def _is_done(scene: Scene, setups: Sequence[Setup], role: Role, passes: tuple[Pass, ...]) -> bool:
    ids = [each.id for each in passes]
    return any(
        role.id in setup.roles
        and setup.each.id in ids
        and does(scene, setup, role)
        and scene.brings(setup.each, setup.missed)
        for setup in setups
    )


def _moment_demands(scene: Scene, setups: Sequence[Setup]) -> Iterator[Demand]:
    for song in scene.shoot.songs:
        for number, moment in enumerate(song.moments):
            if moment.priority == "must":
                met = any(holds(scene, setup, song, moment, setups) for setup in setups)
                yield Demand("moment", f"{song.id}/{number}", "must", 1, met)


def holds(scene: Scene, setup: Setup, song: Song, moment: Moment, setups: Sequence[Setup]) -> bool:
    """Return whether a setup holds a moment of a song where the edit can use it.

    Args:
        setups: Who else films: none may be at level 3 in the picture of an operator.
    """
    if not scene.is_on_offer(setup.each, song) or song.id in setup.missed:
        return False
    if setup.person is None:
        return setup.subject.id == moment.subject and is_as_tight(setup.size, moment.size)
    if song.id in setup.person.performs_in:
        return False
    tight_enough = SIZES[: SIZES.index(moment.size) + 1]
    return any(
        can_frame(scene, setup, moment.subject, size)
        and not in_the_way_of(scene, setup, moment.subject, size, setups)
        for size in tight_enough
    )


def _lock_demands(scene: Scene, setups: Sequence[Setup]) -> Iterator[Demand]:
    locks = scene.shoot.locks
    for number, pattern in enumerate(locks.keep):
        met = any(fits(setup, pattern) for setup in setups)
        yield Demand("keep", str(number), "must", 1, met)
    for number, pattern in enumerate(locks.never):
        met = not any(fits(setup, pattern) for setup in setups)
        yield Demand("never", str(number), "must", 1, met)


def fits(setup: Setup, pattern: Pattern) -> bool:
    """Return whether every part of a pattern agrees with a setup."""
    return all(wanted in _named(setup, part) for part, wanted in pattern.parts.items())


def _named(setup: Setup, part: str) -> tuple[str, ...]:
    """What a setup has for a part of a pattern, by id."""
    named = {
        "pass": setup.each,
        "position": setup.position,
        "body": setup.camera.body,
        "lens": setup.camera.lens,
        "adapter": setup.camera.adapter,
        "head": setup.stand.head,
        "support": setup.stand.support,
        "person": setup.person,
    }
    if part == "role":
        return setup.roles
    found = named[part]
    return () if found is None else (found.id,)
