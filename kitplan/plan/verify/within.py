"""Rules of one pass, in items (docs/model.md, section 3): slots, units, needs, people, minding.

Rigs in the picture of others: see `crowding`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from math import dist
from typing import NamedTuple

from kitplan.gear.records import Accessory
from kitplan.plan.verify.crowding import picture_faults
from kitplan.plan.verify.findings import Fault
from kitplan.plan.verify.lasting import is_on_mains
from kitplan.plan.verify.scene import Scene, is_unreachable
from kitplan.plan.verify.setups import Setup
from kitplan.shoot.records import Pass
from kitplan.tables import table
from kitplan.units import room_cm, span_cm

_SLACK = 1e-9


def pass_faults(scene: Scene, each: Pass, setups: Sequence[Setup]) -> Iterator[Fault]:
    """Yield every rule of a pass that its setups break together.

    Args:
        setups: All setups of the pass, each possible by itself.
    """
    yield from slot_faults(setups)
    yield from stock_faults(scene, each, setups)
    yield from need_faults(scene, each, setups)
    yield from people_faults(scene, each, setups)
    yield from minding_faults(scene, each, setups)
    yield from once_a_pass_faults(setups)
    yield from picture_faults(scene, each, setups)


def slot_faults(setups: Sequence[Setup]) -> Iterator[Fault]:
    """Slots (R): not more rigs at a position than it takes, side by side in its width."""
    places = {setup.position.id: setup.position for setup in setups}
    for place, position in places.items():
        here = [setup for setup in setups if setup.position.id == place]
        if len(here) > position.rigs:
            wrong = f"{len(here)} rigs are at {place}"
            yield Fault("rigs", wrong, f"It takes {position.rigs}")
        width = sum(span_cm(setup.stand.support.footprint_m) for setup in here)
        if len(here) > 1 and width > room_cm(position.room_m):
            wrong = f"the supports at {place} take {width} cm"
            yield Fault("room", wrong, f"It has {room_cm(position.room_m)} cm")


def stock_faults(scene: Scene, each: Pass, setups: Sequence[Setup]) -> Iterator[Fault]:
    """Units (U): no item more often than it has units free that day, owners' limits kept."""
    uses = Counter(part.id for setup in setups for part in setup.parts)
    for item, number in uses.items():
        units = scene.free_units(item, each)
        bound = Counter(unit.owner for unit in units if unit.owner_only)
        by_owner = Counter(
            setup.person.id
            for setup in setups
            if setup.person is not None and item in [part.id for part in setup.parts]
        )
        lent = sum(min(count, by_owner[owner]) for owner, count in bound.items())
        usable = len(units) - bound.total() + lent
        if number > usable:
            wrong = f"{item} is used {number} times in {each.id}"
            yield Fault("stock", wrong, f"{usable} units may be used so that day")


# -- needs -----------------------------------------------------------------------------------------


class Need(NamedTuple):
    """A kind of accessory, and for plates the system they belong to."""

    serves: str
    fits: str | None = None

    def is_served_by(self, accessory: Accessory) -> bool:
        """Return whether an accessory is of this kind."""
        return accessory.serves == self.serves and self.fits in (None, accessory.fits)

    def __str__(self) -> str:
        return self.serves if self.fits is None else f"{self.serves} for {self.fits}"


def needs_of(scene: Scene, setup: Setup) -> Counter[Need]:
    """Return what a setup depends on besides its rig, as shared/needs.yaml says."""
    table_of_needs = table("needs")
    listed = scene.once(
        ("accessories",), lambda: {accessory.serves for accessory in scene.kit.of_kind(Accessory)}
    )
    needed: Counter[Need] = Counter()
    for row in table_of_needs["needs"]:
        serves = row["serves"]
        if serves in listed or serves in table_of_needs["always_required"]:
            times = _occasions(scene, setup, row["when"])
            fits = setup.stand.plate if row["when"] == "has-plate" else None
            if times:
                needed[Need(serves, fits)] += row["count"] * times
    return needed


def _occasions(scene: Scene, setup: Setup, when: str) -> int:
    """How many times a setup gives occasion to a need."""
    position, stand = setup.position, setup.stand
    is_on_floor = position.stands_on == "floor"
    match when:
        case "has-plate":
            return int(stand.plate is not None)
        case "overhead":
            return int(position.is_overhead or position.stands_on != "floor")
        case "tall":
            return int(is_on_floor and position.lens_height_m > scene.shoot.rules.tall_m)
        case "arm":
            return int(stand.support.is_arm)
        case "outdoors":
            return int(is_on_floor and position.is_outdoors)
        case "unattended":
            return int(setup.person is None and position.has_public)
        case "on-mains":
            return int(stand.needs_mains) + int(is_on_mains(setup.camera.body, position))
        case _:
            return 0


def need_faults(scene: Scene, each: Pass, setups: Sequence[Setup]) -> Iterator[Fault]:
    """Needs (N): plates, bonds, sandbags, leads within the units free."""
    needed: Counter[Need] = Counter()
    for setup in setups:
        needed.update(needs_of(scene, setup))
    for need, number in needed.items():
        free = sum(
            len(scene.shared_units(accessory.id, each))
            for accessory in scene.kit.of_kind(Accessory)
            if need.is_served_by(accessory)
        )
        if number > free:
            wrong = f"{number} x {need} are needed in {each.id}"
            yield Fault("needs", wrong, f"{free} are free that day")


# -- people ----------------------------------------------------------------------------------------


def _operates_free(scene: Scene, setup: Setup) -> bool:
    """Operated by somebody who performs in no song of the pass."""
    return setup.person is not None and not scene.performs(setup.person, setup.each)


def _spare_hands(scene: Scene, each: Pass, setups: Sequence[Setup]) -> int:
    """People on hand who do not perform in the pass, less those who operate or help."""
    free = sum(not scene.performs(person, each) for person in scene.people(each))
    operating = sum(_operates_free(scene, setup) for setup in setups)
    return free - operating - sum(setup.stand.support.people - 1 for setup in setups)


def people_faults(scene: Scene, each: Pass, setups: Sequence[Setup]) -> Iterator[Fault]:
    """People (H): one camera each; helpers are on hand, and neither operate nor perform."""
    operators = Counter(setup.person.id for setup in setups if setup.person is not None)
    for person, number in operators.items():
        if number > 1:
            wrong = f"{person} operates {number} cameras in {each.id}"
            yield Fault("one-camera-each", wrong, "Give the others to somebody else")
    spare = _spare_hands(scene, each, setups)
    if spare < 0:
        wrong = f"{-spare} pairs of hands are missing in {each.id}"
        yield Fault("people", wrong, "Operators and helpers must be on hand and off the stage")


def minding_faults(scene: Scene, each: Pass, setups: Sequence[Setup]) -> Iterator[Fault]:
    """Minding (M): every locked-off camera that can be reached has somebody to look at it."""
    rules = scene.shoot.rules
    alone = [s for s in setups if s.person is None and not is_unreachable(s.position, each)]
    watchers = [
        setup.position.at_m
        for setup in setups
        if _operates_free(scene, setup)
        for _ in range(min(rules.minds_per_operator, len(alone)))
    ]
    near = [
        [
            number
            for number, at in enumerate(watchers)
            if dist(setup.position.at_m, at) <= rules.mind_reach_m + _SLACK
        ]
        for setup in alone
    ]
    free_hands = max(_spare_hands(scene, each, setups), 0)
    left = len(alone) - _most_pairs(near)
    if left > rules.minds_per_floater * free_hands:
        wrong = f"{left} locked-off cameras in {each.id} are beyond what operators can mind"
        right = f"{free_hands} free pairs of hands mind {rules.minds_per_floater} each"
        yield Fault("minding", wrong, right)


def _most_pairs(near: Sequence[Sequence[int]]) -> int:
    """Size of a largest matching of cameras to watchers, by augmenting paths."""
    minds: dict[int, int] = {}

    def find(camera: int, tried: set[int]) -> bool:
        for watcher in near[camera]:
            if watcher not in tried:
                tried.add(watcher)
                if watcher not in minds or find(minds[watcher], tried):
                    minds[watcher] = camera
                    return True
        return False

    return sum(find(camera, set()) for camera in range(len(near)))


def once_a_pass_faults(setups: Sequence[Setup]) -> Iterator[Fault]:
    """A role is done at most once in a pass."""
    for role, number in Counter(role for s in setups for role in set(s.roles)).items():
        if number > 1:
            wrong = f"role {role} is done {number} times in one pass"
            yield Fault("roles", wrong, "Give it to one placement")
