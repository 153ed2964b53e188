"""Rules of the rig: what fits together, what stands where, what carries what.

docs/model.md, section 2: Position, Camera, Stand, Payload.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from kitplan.gear.records import Head, Support
from kitplan.plan.verify.findings import Fault
from kitplan.plan.verify.gaps import expected_gaps, may_work_at
from kitplan.plan.verify.optics import SLACK, look_of
from kitplan.plan.verify.scene import Scene, speeds_of
from kitplan.plan.verify.setups import Camera, Stand
from kitplan.shoot.records import Pass
from kitplan.shoot.venue import Position
from kitplan.tables import flange_mm_by_mount, table, taken_mounts
from kitplan.units import limit_g, load_g

SPEED_TOLERANCE = 0.01
"""How far, as a share, a body's speed may lie from the common shutter time."""


# -- position --------------------------------------------------------------------------------------


def position_faults(scene: Scene, each: Pass, position: Position) -> tuple[Fault, ...]:
    """Return why a position cannot be used in a pass."""
    key = ("position", each.id, position.id)
    return scene.once(key, lambda: tuple(_position_faults(scene, each, position)))


def _position_faults(scene: Scene, each: Pass, position: Position) -> Iterator[Fault]:
    if position.open_in is not None and each.id not in position.open_in:
        yield Fault("closed", "the position is not open in this pass", "Use one that is")
    permission = position.permission
    if permission is not None and permission.state != "given":
        wrong = f"permission is {permission.state}"
        yield Fault("permission", wrong, "Use it only once permission is given")
    if each.id not in scene.shoot.past.passes and _is_beyond_reach(scene, each, position):
        wrong = "nobody on hand before or after the pass may work there"
        yield Fault("nobody-rigs", wrong, "Use a position where somebody may")
    if not position.is_overhead:
        return
    people = scene.people(each)
    if permission is None or not permission.by:
        yield Fault("overhead", "nobody gave permission overhead", "Name who did")
    if len(people) < 2:
        wrong = f"{len(people)} on hand for an overhead position"
        yield Fault("overhead", wrong, "It takes two people")
    if not any("rigging" in person.skills for person in people):
        yield Fault("overhead", "nobody on hand may rig", "It takes one with the skill rigging")


def _is_beyond_reach(scene: Scene, each: Pass, position: Position) -> bool:
    """Whether all who are on hand in some gap beside the pass may not work at the position."""
    crews = [gap.crew for gap in expected_gaps(scene) if each.id in gap.sides]
    return any(crew and not any(may_work_at(p, position) for p in crew) for crew in crews)


# -- camera ----------------------------------------------------------------------------------------


def camera_faults(scene: Scene, camera: Camera) -> tuple[Fault, ...]:
    """Return why body, mode, lens and adapter do not make a camera for this shoot."""
    key = ("camera", camera.key)
    return scene.once(key, lambda: tuple(_camera_faults(scene, camera)))


def _camera_faults(scene: Scene, camera: Camera) -> Iterator[Fault]:
    yield from _missing_units(scene, camera)
    body, mode = camera.body, camera.mode
    if not scene.records_delivery(mode):
        wrong = (
            f"mode '{mode.name}' records {mode.frame_width_px} x {mode.frame_height_px} "
            f"at {mode.frame_rate_fps:g} frames per second"
        )
        wanted = scene.shoot.delivery
        right = (
            f"The delivery is {wanted.frame_width_px} x {wanted.frame_height_px} "
            f"at {wanted.frame_rate_fps:g}"
        )
        yield Fault("mode", wrong, right)
    if scene.shutter_s is None:
        yield Fault("shutter", "no owned body has a usable shutter speed", "List one")
    elif all(abs(s * scene.shutter_s - 1) > SPEED_TOLERANCE + 1e-9 for s in speeds_of(body)):
        wrong = f"{body.id} has no shutter speed of 1/{1 / scene.shutter_s:.0f} s"
        yield Fault("shutter", wrong, "All cameras share that speed")
    yield from _mount_faults(camera)
    yield from _circle_faults(scene, camera)


def _missing_units(scene: Scene, rig: Camera | Stand) -> Iterator[Fault]:
    for item in rig.items:
        if item not in scene.kit.units_by_item:
            yield Fault("no-unit", f"there is no unit of {item}", "Take an owned one")


def _mount_faults(camera: Camera) -> Iterator[Fault]:
    body, lens, adapter = camera.body, camera.lens, camera.adapter
    if body.mount is None or lens is None:
        if lens is not None:
            yield Fault("mount", f"{body.id} has its lens built in", f"Take {lens.id} off")
        elif body.mount is not None:
            yield Fault("mount", f"{body.id} has no lens", f"Put one with mount {body.mount} on")
        if adapter is not None:
            yield Fault("mount", f"{adapter.id} holds no lens", "Take the adapter off")
    elif adapter is None:
        if lens.mount != body.mount and lens.mount not in taken_mounts().get(body.mount, ()):
            wrong = f"{lens.id} has mount {lens.mount}, {body.id} has {body.mount}"
            yield Fault("mount", wrong, "Put an adapter between, or another lens on")
    else:
        found, wanted = (adapter.lens_mount, adapter.body_mount), (lens.mount, body.mount)
        if found != wanted:
            wrong = f"{adapter.id} goes from {found[0]} to {found[1]}"
            yield Fault("mount", wrong, f"It takes one from {wanted[0]} to {wanted[1]}")
        yield from _ring_faults(camera)


def _ring_faults(camera: Camera) -> Iterator[Fault]:
    """A plain ring is as thick as the registers differ, and no thinner than a ring can be."""
    ring, registers = camera.adapter, flange_mm_by_mount()
    if ring is None or ring.has_glass:
        return
    thick = registers.get(ring.lens_mount, inf) - registers.get(ring.body_mount, -inf)
    least = float(table("mounts")["least_ring_mm"])
    if thick < least - SLACK:
        wrong = f"{ring.id} would be {thick:.2f} mm thick"
        yield Fault("flange", wrong, f"A plain ring takes {least:.2f} mm at least")


def _circle_faults(scene: Scene, camera: Camera) -> Iterator[Fault]:
    if camera.lens is None:
        return
    look = look_of(camera, camera.lens, scene.shoot.delivery.aspect, scene.shoot.rules)
    circle = camera.lens.image_circle_mm * look.focal_factor
    if circle < look.diagonal_mm * (1 - SLACK):
        wrong = f"the image circle is {circle:.1f} mm"
        yield Fault("image-circle", wrong, f"The picture takes {look.diagonal_mm:.1f} mm")


# -- stand -----------------------------------------------------------------------------------------


def stand_faults(scene: Scene, each: Pass, position: Position, stand: Stand) -> tuple[Fault, ...]:
    """Return why a stand cannot be used at a position in a pass. Whose hands: see `people`."""
    key = ("stand", each.id, position.id, stand.items)
    return scene.once(key, lambda: tuple(_stand_faults(scene, each, position, stand)))


def _stand_faults(scene: Scene, each: Pass, position: Position, stand: Stand) -> Iterator[Fault]:
    yield from _missing_units(scene, stand)
    support = stand.support
    top = stand.head.fitting if stand.head else None
    if top != support.fitting:
        wrong = f"{support.id} ends in {support.fitting}, its head in {top}"
        yield Fault("fitting", wrong, "Put a head with the same fitting on")
    if position.stands_on not in support.stands_on:
        wrong = f"{support.id} stands on {', '.join(support.stands_on)}"
        yield Fault("stands-on", wrong, f"The position offers a {position.stands_on}")
    wanted, slack = position.lens_height_m, scene.shoot.rules.height_slack_m + SLACK
    if not support.height_min_m - slack <= wanted <= support.height_max_m + slack:
        wrong = f"{support.id} reaches {support.height_min_m:g} to {support.height_max_m:g} m"
        yield Fault("height", wrong, f"The position asks for {wanted:g} m")
    if support.footprint_m > position.room_m + SLACK:
        wrong = f"{support.id} takes {support.footprint_m:g} m"
        yield Fault("room", wrong, f"The position has {position.room_m:g} m")
    if stand.needs_mains and not position.has_mains:
        yield Fault("mains", "the stand needs mains", "Use a position that has mains")
    on_hand = len(scene.people(each))
    if support.people > on_hand:
        wrong = f"{support.id} takes {support.people} people and {on_hand} are on hand"
        yield Fault("hands", wrong, "Use a support that takes fewer")


def payload_faults(scene: Scene, camera: Camera, stand: Stand) -> tuple[Fault, ...]:
    """Return where a camera is too heavy for head or support."""
    key = ("payload", camera.items, stand.items)
    return scene.once(key, lambda: tuple(_payload_faults(scene, camera, stand)))


def _payload_faults(scene: Scene, camera: Camera, stand: Stand) -> Iterator[Fault]:
    share, mass = scene.shoot.rules.payload_share, camera.mass_kg
    head_kg = 0.0 if stand.head is None else stand.head.mass_kg
    loads: list[tuple[Head | Support, float]] = [(stand.support, mass + head_kg)]
    if stand.head is not None:
        loads.append((stand.head, mass))
    for carrier, load in loads:
        grams, most = load_g(load), limit_g(carrier.payload_kg * share)
        if grams > most:
            wrong = f"{grams} g are on {carrier.id}"
            yield Fault("payload", wrong, f"It carries {most} g with margin")
