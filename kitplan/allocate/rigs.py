"""Rules of the single rig: what belongs together on a slot, how many rigs a position takes."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise

from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.dominance import MANNERS
from kitplan.allocate.variables import Variables, total
from kitplan.units import room_cm, span_cm


def add_rig_is_complete(x: Variables) -> None:
    """A used slot has one each: sum(camera) = sum(stand) = sum(shot) = used."""
    for slot in x.slots:
        for parts in (slot.cameras, slot.stands, tuple(slot.shots.values())):
            x.model.add(total(parts) == slot.is_used)


def add_shot_needs_camera(x: Variables) -> None:
    """A shot implies one of the cameras that take it. For every set A of cameras that some shot
    asks for: sum(shots whose cameras all lie in A) <= sum(cameras of A).

    A slot has one shot, so the sum is as valid as the single rows `shot <= sum(its cameras)`, and
    both fewer and tighter.
    """
    for slot in x.slots:
        shots_by_set: dict[frozenset[int], list[IntVar]] = defaultdict(list)
        for shot_class, columns in slot.cameras_of_class.items():
            shots_by_set[frozenset(columns)].append(slot.shots[shot_class])
        for allowed in shots_by_set:
            if len(allowed) < len(slot.cameras):
                inside = [v for s, shots in shots_by_set.items() if s <= allowed for v in shots]
                x.model.add(total(inside) <= total(slot.cameras[n] for n in sorted(allowed)))


def add_shot_needs_stand(x: Variables) -> None:
    """A shot implies a stand that holds as still as its marks say. For every set A of kinds of
    stand that some shot asks for: sum(shots whose kinds all lie in A) <= sum(stands of A).
    """
    for slot in x.slots:
        for manner in MANNERS:
            own = {c: var for c, var in slot.shots.items() if c.manner == manner}
            # in an order of their own: a set of words has another one in every process
            for allowed in sorted({frozenset(c.stand_rows) for c in own}, key=sorted):
                stands = slot.stands_of(allowed)
                if len(stands) < len(slot.stands):
                    inside = [var for c, var in own.items() if allowed.issuperset(c.stand_rows)]
                    x.model.add(total(inside) <= total(stands))


def add_payload_limit(x: Variables) -> None:
    """A camera implies a stand that carries it: for each mass m,
    sum(cameras of at least m) <= sum(stands that carry m). Of masses that the same stands carry the
    least says it for all.
    """
    for slot in x.slots:
        num_before = len(slot.stands)
        for mass_kg in sorted({camera.mass_kg for camera in slot.spot.cameras}):
            strong = [var for stand, var in slot.stand_items() if stand.carries(mass_kg)]
            if len(strong) < num_before:  # the heavier, the fewer: never others than before
                heavy = [var for camera, var in slot.camera_items() if camera.mass_kg >= mass_kg]
                x.model.add(total(heavy) <= total(strong))
                num_before = len(strong)


def add_operated_or_locked_off(x: Variables) -> None:
    """Operated shots need an operator and a head that moves; locked-off ones a stand that holds."""
    for slot in x.slots:
        by_manner = {
            manner: [var for c, var in slot.shots.items() if c.manner == manner]
            for manner in MANNERS
        }
        x.model.add(total(by_manner["operated"]) == slot.operated)
        place = slot.spot.position
        free = [var for stand, var in slot.stand_items() if stand.can_be_operated(place)]
        still = [var for stand, var in slot.stand_items() if stand.can_be_locked_off]
        if len(free) < len(slot.stands):
            x.model.add(slot.operated <= total(free))
        if len(still) < len(slot.stands):
            x.model.add(slot.locked_off <= total(still))


def add_room_at_position(x: Variables) -> None:
    """Supports stand side by side: sum(footprint) <= room; slots fill from the first."""
    for slots in x.slots_by_spot().values():
        if len(slots) < 2:
            continue
        position = slots[0].spot.position
        widths = total(
            span_cm(stand.support.footprint_m) * var
            for slot in slots
            for stand, var in slot.stand_items()
        )
        x.model.add(widths <= room_cm(position.room_m))
        for first, second in pairwise(slots):
            x.model.add(first.is_used >= second.is_used)


RULES = (
    add_rig_is_complete,
    add_shot_needs_camera,
    add_shot_needs_stand,
    add_payload_limit,
    add_operated_or_locked_off,
    add_room_at_position,
)
