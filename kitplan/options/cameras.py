"""Cameras: every body, recording mode, lens and adapter that go together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from kitplan.gear.kit import Kit
from kitplan.gear.records import Adapter, Body, Lens, Optic, RecordingMode
from kitplan.optics.lens import (
    active_area_mm,
    adapted_circle_mm,
    adapted_focal_mm,
    adapted_stop,
    circle_covers,
    diagonal_mm,
    ring_is_possible,
    ring_mm,
)
from kitplan.options.refusals import Refusal
from kitplan.shoot.brief import Brief
from kitplan.tables import flange_mm_by_mount, table, taken_mounts

SPEED_TOLERANCE = 0.01


@dataclass(frozen=True)
class Camera:
    """A body in one recording mode with a lens (or its own) and perhaps an adapter."""

    body: Body
    mode: RecordingMode
    lens: Lens | None
    adapter: Adapter | None
    width_mm: float
    height_mm: float
    """Active area."""
    focal_min_mm: float
    focal_max_mm: float
    """With the adapter's factor."""
    stop_wide: float
    stop_tele: float
    """Widest f-numbers with the adapter's gain."""
    t_loss_stops: float
    mass_kg: float

    @property
    def optic(self) -> Optic:
        """The lens as the light sees it."""
        optic = self.lens or self.body.built_in
        assert optic is not None  # a body without a mount has its lens built in
        return optic

    @cached_property
    def items(self) -> tuple[str, ...]:
        """Ids of the items it is made of."""
        parts = (self.body, self.lens, self.adapter)
        return tuple(part.id for part in parts if part is not None)

    @cached_property
    def key(self) -> str:
        """A readable, unique name."""
        return "+".join((*self.items, self.mode.name))

    @property
    def has_fixed_stop(self) -> bool:
        """An electronic iris behind an adapter that does not pass it on stays wide open."""
        return (
            self.lens is not None
            and self.lens.iris == "electronic"
            and self.adapter is not None
            and "iris" not in self.adapter.passes_on
        )


def list_cameras(brief: Brief) -> tuple[tuple[Camera, ...], tuple[Refusal, ...]]:
    """Return every camera that the kit makes, and the refusals of what does not go together."""
    cameras: list[Camera] = []
    refusals: list[Refusal] = []
    for body in brief.kit.of_kind(Body):
        refusal = _body_refusal(brief, body)
        if refusal is not None:
            refusals.append(refusal)
            continue
        for lens, adapter in pairs_of(brief.kit, body, refusals):
            for mode in brief.modes_of(body):
                camera = make_camera(brief, body, mode, lens, adapter)
                refusal = circle_refusal(camera)
                if refusal is None:
                    cameras.append(camera)
                else:
                    refusals.append(refusal)
    return tuple(cameras), tuple(refusals)


def _has_unit(kit: Kit, item_id: str) -> bool:
    return item_id in kit.units_by_item


def _body_refusal(brief: Brief, body: Body) -> Refusal | None:
    if not _has_unit(brief.kit, body.id):
        return Refusal(body.id, "no-unit")
    if not brief.modes_of(body):
        return Refusal(body.id, "mode")
    return shutter_refusal(brief, body)


def shutter_refusal(brief: Brief, body: Body) -> Refusal | None:
    """A body must have the shutter speed that all cameras share."""
    wanted_per_s = 1 / brief.shutter.shutter_s
    if any(abs(s / wanted_per_s - 1) <= SPEED_TOLERANCE + 1e-9 for s in brief.speeds_of(body)):
        return None
    return Refusal(body.id, "shutter", limit=wanted_per_s)


def fits_bare(lens: Lens, body: Body) -> bool:
    """Whether a lens goes on a body without an adapter."""
    if body.mount is None:
        return False
    return lens.mount == body.mount or lens.mount in taken_mounts().get(body.mount, ())


def pairs_of(
    kit: Kit, body: Body, refusals: list[Refusal]
) -> Iterator[tuple[Lens | None, Adapter | None]]:
    """Yield the lenses that fit a body, bare or through one owned adapter."""
    if body.mount is None:
        yield None, None
        return
    for lens in kit.of_kind(Lens):
        if not _has_unit(kit, lens.id):
            continue
        is_bare = fits_bare(lens, body)
        if is_bare:
            yield lens, None
        fitting = [
            adapter
            for adapter in kit.of_kind(Adapter)
            if adapter.lens_mount == lens.mount
            and adapter.body_mount == body.mount
            and _has_unit(kit, adapter.id)
        ]
        possible = [adapter for adapter in fitting if flange_refusal(adapter) is None]
        refusals.extend(r for a in fitting if (r := flange_refusal(a)) is not None)
        if not fitting and not is_bare:
            refusals.append(Refusal(f"{lens.id} on {body.id}", "mount"))
        yield from ((lens, adapter) for adapter in possible)


def flange_refusal(adapter: Adapter) -> Refusal | None:
    """A plain ring must be as thick as the registers differ, and not thinner than a ring can be."""
    flange = flange_mm_by_mount()
    if adapter.has_glass or not {adapter.lens_mount, adapter.body_mount} <= flange.keys():
        return None
    lens_mm, body_mm = flange[adapter.lens_mount], flange[adapter.body_mount]
    least = float(table("mounts")["least_ring_mm"])
    if ring_is_possible(lens_mm, body_mm, least):
        return None
    return Refusal(adapter.id, "flange", ring_mm(lens_mm, body_mm), least)


def circle_refusal(camera: Camera) -> Refusal | None:
    """The image of a lens must cover what the mode reads of the sensor."""
    if camera.lens is None:
        return None
    factor = camera.adapter.focal_factor if camera.adapter else 1.0
    circle = adapted_circle_mm(camera.lens.image_circle_mm, factor)
    if circle_covers(circle, camera.width_mm, camera.height_mm):
        return None
    needed = diagonal_mm(camera.width_mm, camera.height_mm)
    return Refusal("+".join(camera.items), "image-circle", circle, needed)


def make_camera(
    brief: Brief, body: Body, mode: RecordingMode, lens: Lens | None, adapter: Adapter | None
) -> Camera:
    """Return a camera of these parts, whether or not they go together."""
    width, height = active_area_mm(
        body.sensor_width_mm, body.sensor_height_mm, mode.crop, brief.shoot.delivery.aspect
    )
    factor = adapter.focal_factor if adapter else 1.0
    gain = adapter.stops_gained if adapter else 0.0
    optic = lens or body.built_in
    assert optic is not None
    loss = optic.t_stop_loss
    return Camera(
        body=body,
        mode=mode,
        lens=lens,
        adapter=adapter,
        width_mm=width,
        height_mm=height,
        focal_min_mm=adapted_focal_mm(optic.focal_min_mm, factor),
        focal_max_mm=adapted_focal_mm(optic.focal_max_mm, factor),
        stop_wide=adapted_stop(optic.stop_wide, gain),
        stop_tele=adapted_stop(optic.stop_tele or optic.stop_wide, gain),
        t_loss_stops=brief.shoot.rules.t_stop_loss_stops if loss is None else loss,
        mass_kg=sum(part.mass_kg for part in (body, lens, adapter) if part),
    )
