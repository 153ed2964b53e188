"""From a plan's ids to records: every id must exist, and name a thing of the right kind."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeVar

from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Adapter, AnyItem, Body, Head, Item, Lens, Support
from kitplan.plan.records import Placement, Plan
from kitplan.plan.verify.findings import Fault, Finding
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.setups import Camera, Setup, Stand
from kitplan.plan.verify.sight import sizes_of
from kitplan.shoot.records import Pass

ItemT = TypeVar("ItemT", bound=Item)


@dataclass(frozen=True)
class Placed:
    """A placement of the plan together with what its ids stand for."""

    placement: Placement
    setup: Setup
    where: str


class _Missing(Exception):
    """A placement cannot be read any further."""


def resolve(plan: Plan, shoot_id: str, scene: Scene, findings: list[Finding]) -> tuple[Placed, ...]:
    """Return the placements of a shoot that can be read; add what cannot be to the findings."""
    placed = []
    for placement in plan.placements:
        pass_id = placement.pass_id
        own, _, each_id = pass_id.partition("/")
        if own != shoot_id or each_id not in scene.shoot.passes_by_id:
            continue  # another shoot's, or nobody's: see `stray_placements`
        where = place_of(placement, each_id if len(plan.shoots) == 1 else pass_id)
        faults: list[Fault] = []
        setup = _setup(scene, scene.shoot.passes_by_id[each_id], placement, faults)
        findings.extend(fault.at(where) for fault in faults)
        if setup is not None:
            placed.append(Placed(placement, setup, where))
    return tuple(placed)


def place_of(placement: Placement, each: str) -> str:
    """Return where a placement is, in words: 'show, gallery-left, camera B'."""
    return f"{each}, {placement.position}, camera {placement.letter}"


def stray_placements(plan: Plan) -> Iterator[Finding]:
    """Yield the placements whose pass does not exist."""
    known = plan.pass_ids()
    for placement in plan.placements:
        if placement.pass_id not in known:
            right = f"Use one of {', '.join(known)}"
            fault = Fault("pass", f"there is no pass '{placement.pass_id}'", right)
            yield fault.at(place_of(placement, placement.pass_id))


def item_of(kit: Kit, unit: Unit | None) -> AnyItem | None:
    """Return the item of a unit; None where there is no such unit or item."""
    return None if unit is None else kit.items_by_id.get(unit.item)


def _setup(scene: Scene, each: Pass, placement: Placement, faults: list[Fault]) -> Setup | None:
    position = scene.positions_by_id.get(placement.position)
    person = scene.shoot.crew_by_id.get(placement.operator or "")
    subject = scene.shoot.subjects_by_id.get(placement.shot.subject)
    if position is None:
        faults.append(_unknown("position", placement.position))
    if placement.operator is not None and person is None:
        faults.append(_unknown("person", placement.operator))
    if subject is None:
        faults.append(_unknown("subject", placement.shot.subject))
    faults.extend(_unknown("role", r) for r in placement.roles if r not in scene.roles_by_id)
    faults.extend(_menu_faults(scene, placement))
    camera, stand = _camera(scene, placement, faults), _stand(scene, placement, faults)
    if position is None or subject is None or camera is None or stand is None:
        return None
    return Setup(
        each=each,
        position=position,
        camera=camera,
        stand=stand,
        person=person,
        subject=subject,
        size=placement.shot.size,
        roles=placement.roles,
        menu=tuple((framing.subject, framing.size) for framing in placement.menu),
        is_counted=placement.is_counted,
        missed=_missed(scene, each, placement),
    )


def _missed(scene: Scene, each: Pass, placement: Placement) -> frozenset[str]:
    """Return the songs that the camera of a pass that is over has not got."""
    same = (
        stood.missed
        for stood in scene.shoot.past.stood
        if (stood.in_pass, stood.body) == (each.id, placement.rig.body)
    )
    return frozenset(next(same, ()))


def _menu_faults(scene: Scene, placement: Placement) -> Iterator[Fault]:
    for framing in placement.menu:
        subject = scene.shoot.subjects_by_id.get(framing.subject)
        if subject is None:
            yield _unknown("subject", framing.subject)
        elif framing.size not in sizes_of(subject):
            wrong = f"{subject.id} may not be filmed as {framing.size}"
            yield Fault("size", wrong, f"Choose one of {', '.join(sizes_of(subject))}")


def _camera(scene: Scene, placement: Placement, faults: list[Fault]) -> Camera | None:
    rig = placement.rig
    try:
        body = _part(scene, rig.body, Body, faults)
        lens = None if rig.lens is None else _part(scene, rig.lens, Lens, faults)
        adapter = None if rig.adapter is None else _part(scene, rig.adapter, Adapter, faults)
    except _Missing:
        return None
    mode = next((mode for mode in body.modes if mode.name == rig.mode), None)
    if mode is None:
        names = ", ".join(mode.name for mode in body.modes)
        faults.append(Fault("mode", f"{body.id} has no mode '{rig.mode}'", f"Use one of {names}"))
        return None
    return Camera(body, mode, lens, adapter)


def _stand(scene: Scene, placement: Placement, faults: list[Fault]) -> Stand | None:
    rig = placement.rig
    try:
        support = _part(scene, rig.support, Support, faults)
        return Stand(support, None if rig.head is None else _part(scene, rig.head, Head, faults))
    except _Missing:
        return None


def _part(scene: Scene, unit_id: str, kind: type[ItemT], faults: list[Fault]) -> ItemT:
    """Return the item of a unit of a rig, which must be of a kind.

    Raises:
        _Missing: If it is not; the fault is added.
    """
    item = item_of(scene.kit, scene.units_by_id.get(unit_id))
    if item is None:
        faults.append(_unknown("unit", unit_id))
        raise _Missing
    if not isinstance(item, kind):
        wanted = kind.__name__.lower()
        wrong = f"{unit_id} is a {item.kind}"
        faults.append(Fault("kind", wrong, f"Give a {wanted} here"))
        raise _Missing
    return item


def _unknown(what: str, name: str) -> Fault:
    return Fault(what, f"there is no {what} '{name}'", "Use one that the plan's input defines")
