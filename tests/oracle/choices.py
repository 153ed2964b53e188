"""What each slot may hold: every placement that breaks no rule by itself.

Notes along the way which rules refuse a placement all alone, that is where it breaks no other one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain, product
from typing import Any

from kitplan.gear.records import Adapter, Body, Head, Lens, Support
from kitplan.plan.verify import (
    Camera,
    Fault,
    Scene,
    Setup,
    Stand,
    camera_faults,
    is_possible,
    payload_faults,
    person_faults,
    position_faults,
    shot_faults,
    sizes_of,
    stand_faults,
    steadiness_faults,
    view_of,
)
from kitplan.plan.verify.lasting import endurance_fault
from kitplan.plan.verify.single import hand_faults, rest_faults, skill_faults
from kitplan.shoot.past import Stood
from kitplan.shoot.records import Pass, Person
from kitplan.shoot.venue import Position

Slugs = frozenset[str]
NONE: Slugs = frozenset()


@dataclass(frozen=True)
class Choices:
    """The slots of a shoot, pass by pass, with what each may hold; slots of a spot stand together.

    Attributes:
        slots: For each slot its placements.
        refused: How many placements a rule refuses that no other rule does, by slug of the rule.
    """

    scene: Scene
    slots: tuple[tuple[Setup, ...], ...]
    spots: tuple[tuple[Pass, Position], ...]
    refused: Counter[str]


def find_choices(scene: Scene) -> Choices:
    """Return all placements that are possible by themselves."""
    refused: Counter[str] = Counter()
    slots: list[tuple[Setup, ...]] = []
    spots: list[tuple[Pass, Position]] = []
    for each, position in product(scene.shoot.passes, scene.shoot.venue.positions):
        if scene.shoot.past.is_over(each.id):
            stood = [s for s in scene.shoot.past.stood_in(each.id) if s.position == position.id]
            slots += [(setup_of(scene, one),) for one in stood]
            spots += [(each, position)] * len(stood)
            continue
        found = tuple(_placements(scene, each, position, refused))
        for _ in range(position.rigs if found else 0):
            slots.append(found)
            spots.append((each, position))
    return Choices(scene, tuple(slots), tuple(spots), refused)


def setup_of(scene: Scene, stood: Stood) -> Setup:
    """Return what stood in a pass that is over, as it was."""
    item_of = {unit.id: scene.kit.items_by_id[unit.item] for unit in scene.kit.units}
    parts: dict[str, Any] = {
        part: None if (unit := getattr(stood, part)) is None else item_of[unit]
        for part in ("body", "lens", "adapter", "support", "head")
    }
    shoot, body = scene.shoot, parts["body"]
    mode = next(mode for mode in body.modes if mode.name == stood.mode)
    return Setup(
        shoot.passes_by_id[stood.in_pass],
        scene.positions_by_id[stood.position],
        Camera(body, mode, parts["lens"], parts["adapter"]),
        Stand(parts["support"], parts["head"]),
        None if stood.operator is None else shoot.crew_by_id[stood.operator],
        shoot.subjects_by_id[stood.subject],
        stood.size,
        tuple(role for role in stood.roles if role in scene.roles_by_id),
        stood.menu,
        missed=frozenset(stood.missed),
    )


def _placements(
    scene: Scene, each: Pass, position: Position, refused: Counter[str]
) -> Iterator[Setup]:
    closed = _slugs(position_faults(scene, each, position))
    for camera, stand, slugs in _rigs(scene, each, position, closed):
        for person in (None, *scene.shoot.crew):
            for_person = slugs | _person_slugs(scene, each, position, (camera, stand), person)
            if len(for_person) > 1:
                continue
            for setup, of_shot in _shots(scene, each, position, (camera, stand), person):
                broken = for_person | of_shot
                if not broken:
                    assert is_possible(scene, setup), "the parts and the whole disagree"
                    yield setup
                elif len(broken) == 1:
                    refused.update(broken)


def _slugs(*faults: Iterator[Fault] | tuple[Fault, ...]) -> Slugs:
    return frozenset(fault.rule for fault in chain(*faults))


def _rigs(
    scene: Scene, each: Pass, position: Position, closed: Slugs
) -> Iterator[tuple[Camera, Stand, Slugs]]:
    """Yield cameras on stands with what they break, as long as that is one rule at most."""
    for camera, stand in product(all_cameras(scene), all_stands(scene)):
        slugs = closed | _slugs(
            camera_faults(scene, camera),
            stand_faults(scene, each, position, stand),
            payload_faults(scene, camera, stand),
        )
        if len(slugs) <= 1:
            yield camera, stand, slugs


def all_cameras(scene: Scene) -> Iterator[Camera]:
    """Yield every body in every mode with every lens and adapter or none."""
    lenses = (None, *scene.kit.of_kind(Lens))
    adapters = (None, *scene.kit.of_kind(Adapter))
    for body in scene.kit.of_kind(Body):
        for mode, lens, adapter in product(body.modes, lenses, adapters):
            if lens is not None or adapter is None:
                yield Camera(body, mode, lens, adapter)


def all_stands(scene: Scene) -> Iterator[Stand]:
    """Yield every support with every head or none."""
    heads = (None, *scene.kit.of_kind(Head))
    yield from (Stand(*pair) for pair in product(scene.kit.of_kind(Support), heads))


def _person_slugs(
    scene: Scene, each: Pass, position: Position, rig: tuple[Camera, Stand], person: Person | None
) -> Slugs:
    camera, stand = rig
    skill = skill_faults(scene, each, position, stand, person)
    is_alone = person is None or position.is_out_of_reach
    endurance = endurance_fault(scene, each, position, camera) if is_alone else None
    lasting = (endurance,) if endurance else ()
    if person is None:
        return _slugs(skill, rest_faults(camera, stand), lasting)
    allowed = person_faults(scene, each, position, person)
    return _slugs(skill, allowed, hand_faults(position, stand), lasting)


def _shots(
    scene: Scene, each: Pass, position: Position, rig: tuple[Camera, Stand], person: Person | None
) -> Iterator[tuple[Setup, Slugs]]:
    for subject in scene.shoot.subjects:
        for size in sizes_of(subject):
            view = view_of(scene, position, subject, size)
            if view is not None:
                setup = Setup(each, position, *rig, person, subject, size)
                faults = shot_faults(scene, each, view, rig[0], setup.manner)
                shakes = steadiness_faults(scene, setup, view, setup.manner)
                yield setup, _slugs(faults, shakes)
