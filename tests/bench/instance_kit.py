"""Kits of invented but realistic gear for `instances`: bodies, lenses, supports, power, cards.

Facts are those of the demo catalog, some percent up or down from kind to kind.
"""

from __future__ import annotations

from itertools import cycle, islice
from random import Random
from typing import NamedTuple

from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import (
    Accessory,
    AnyItem,
    Battery,
    Body,
    Charger,
    Lens,
    Media,
    Optic,
    RecordingMode,
    Support,
)
from tests.bench.instance_gear import (
    ADAPTERS,
    BODY_TYPES,
    HEADS,
    LENS_TYPES,
    ORDER,
    SUPPORTS,
    BodyType,
    LensType,
)


class KitSize(NamedTuple):
    """How much of everything a kit has."""

    bodies: int
    """Physical ones."""
    body_kinds: int
    lenses: int
    supports: int
    passes: int


def make_kit(size: KitSize, owners: tuple[str, ...], chance: Random) -> Kit:
    """Return a kit of a size; a few units may only be worked by their owners."""
    stock: list[tuple[AnyItem, int]] = [*_bodies(size, chance)]
    used = [item for item, _ in stock if isinstance(item, Body)]
    stock += _lenses(size, {body.mount for body in used if body.mount}, chance)
    mounts = {item.mount for item, _ in stock if isinstance(item, Lens)}
    several = 1 + size.bodies // 30
    stock += [(a, several) for a in ADAPTERS
              if a.lens_mount in mounts and a.body_mount in {b.mount for b in used}]  # fmt: skip
    stock += _supports(size)
    stock += _power(size, [(body, n) for body, n in stock if isinstance(body, Body)], chance)
    stock += _cards(size, {body.card_type for body in used})
    stock += _small_things(size)
    units = tuple(
        Unit(id=f"{item.id}-{number}", item=item.id, owner=chance.choice(owners))
        for item, count in stock
        for number in range(1, count + 1)
    )
    return Kit(items=tuple(item for item, _ in stock), units=_owned(units, size, owners, chance))


def _owned(
    units: tuple[Unit, ...], size: KitSize, owners: tuple[str, ...], chance: Random
) -> tuple[Unit, ...]:
    """One body in ten, at least one, is only for its owner; some batteries are old."""
    kept = {n: owners[k % len(owners)] for k, n in enumerate(range(1, size.bodies, 10))}
    return tuple(
        unit.model_copy(update={"owner": kept[n], "owner_only": True})
        if n in kept
        else unit.model_copy(update={"health": 0.85})
        if unit.item.startswith("battery") and chance.random() < 0.2
        else unit
        for n, unit in enumerate(units)
    )


def _counts(total: int, kinds: int) -> list[int]:
    """Split a number of units over kinds, the first ones getting more."""
    return [total // kinds + (n < total % kinds) for n in range(kinds)]


def _bodies(size: KitSize, chance: Random) -> list[tuple[Body, int]]:
    types = islice(cycle(BODY_TYPES), size.body_kinds)
    counts = _counts(size.bodies, size.body_kinds)
    return [
        (_body(t, n, chance), count) for n, (t, count) in enumerate(zip(types, counts, strict=True))
    ]


def _body(kind: BodyType, number: int, chance: Random) -> Body:
    vary = chance.uniform(0.9, 1.15)
    rates = {} if kind.clip_min is None else {"clip_limit_min": kind.clip_min}
    modes = tuple(
        RecordingMode(name=name, frame_width_px=w, frame_height_px=h, frame_rate_fps=25,
                      bit_rate_mbps=kind.mbps * factor, crop=crop, **rates)
        for name, w, h, factor, crop in (("HD", 1920, 1080, 1, 1.0),
                                         ("UHD", 3840, 2160, 2, 1.0),
                                         ("HD narrow", 1920, 1080, 1, 1.5))
        if crop == 1 or kind.name in ("full-frame", "short-register")
    )  # fmt: skip
    return Body(
        id=f"body-{kind.name}-{number}",
        name=f"{kind.name} {number}",
        mount=kind.mount,
        built_in=None if kind.built_in is None else Optic(**kind.built_in),
        sensor_width_mm=kind.width_mm,
        sensor_height_mm=kind.height_mm,
        max_iso=round(kind.max_iso * vary / 100) * 100,
        base_iso=100,
        battery=f"battery-{kind.name}",
        battery_min=round(kind.battery_min * vary),
        runs_on_mains=kind.built_in is not None or kind.name == "broadcast",
        card_type=kind.card_type,
        stabiliser_stops=kind.stabiliser,
        autofocus_is_usable=chance.random() < 0.3,
        mass_kg=round(kind.mass_kg * vary, 2),
        measured=("battery_min",) if chance.random() < 0.7 else (),
        modes=modes,
    )


def _lenses(size: KitSize, mounts: set[str], chance: Random) -> list[tuple[Lens, int]]:
    """Lenses for the bodies at hand, and some that need an adapter; two in three a kind."""
    usable = mounts | ({"EF"} if mounts & {"E", "EF-S", "MFT", "RF"} else set())
    types = [kind for kind in LENS_TYPES if kind.mount in usable]
    kinds = min(-(-size.lenses * 2 // 3), 2 * len(types))
    counts = _counts(size.lenses, kinds)
    return [
        (_lens(t, n, chance), c) for n, (t, c) in enumerate(zip(cycle(types), counts, strict=False))
    ]


def _lens(kind: LensType, number: int, chance: Random) -> Lens:
    is_newer = number >= len(LENS_TYPES)
    return Lens(
        id=f"lens-{number}-{kind.low_mm:g}-{kind.high_mm:g}-{kind.mount}",
        name=f"{kind.low_mm:g}-{kind.high_mm:g} {kind.mount}",
        mount=kind.mount,
        focal_min_mm=kind.low_mm,
        focal_max_mm=kind.high_mm * (1.1 if is_newer and kind.high_mm > kind.low_mm else 1),
        stop_wide=kind.wide,
        stop_tele=None if kind.tele == kind.wide else kind.tele,
        least_stop=22,
        closest_focus_m=kind.near_m,
        image_circle_mm=kind.circle_mm,
        iris="ring" if kind.mount == "PL" or kind.low_mm == kind.high_mm else "electronic",
        holds_stop=kind.tele == kind.wide,
        stabiliser_stops=kind.stabiliser,
        mass_kg=round(kind.mass_kg * chance.uniform(0.92, 1.1), 2),
    )


def _supports(size: KitSize) -> list[tuple[AnyItem, int]]:
    """Supports in the order they are bought, and a head for nearly each that takes one."""
    bought = list(islice(cycle(ORDER), size.supports))
    stock: list[tuple[AnyItem, int]] = [
        (support, bought.count(support.id)) for support in SUPPORTS if support.id in bought
    ]
    by_fitting = {
        fitting: sum(n for s, n in stock if isinstance(s, Support) and s.fitting == fitting)
        for fitting in ("bowl-75", "bowl-100", "thread-3/8")
    }
    small = by_fitting["thread-3/8"]
    wanted = {
        "fluid-75": by_fitting["bowl-75"],
        "fluid-100": by_fitting["bowl-100"],
        "light-fluid": -(-small // 2),
        "ball-head": -(-small // 2),
        "remote-head": size.supports // 20,
    }
    return [*stock, *((head, wanted[head.id]) for head in HEADS if wanted[head.id])]


def _power(
    size: KitSize, bodies: list[tuple[Body, int]], chance: Random
) -> list[tuple[AnyItem, int]]:
    """Batteries for a little more than one pass, and chargers that help in a gap."""
    stock: list[tuple[AnyItem, int]] = []
    for kind in BODY_TYPES:
        count = sum(n for body, n in bodies if body.battery == f"battery-{kind.name}")
        if count:
            each = 1 if kind.battery_min > 140 else 2
            item = Battery(id=f"battery-{kind.name}", name=f"battery {kind.name}", mass_kg=0.1)
            charger = Charger(
                id=f"charger-{kind.name}", name=f"charger {kind.name}", batteries=(item.id,),
                bays=2, charge_min=chance.choice((50, 70, 90, 110)), mass_kg=0.2,
            )  # fmt: skip
            stock += [
                (item, each * count + 1 + count * size.passes // 3),
                (charger, -(-count // 3)),
            ]
    return stock


def _cards(size: KitSize, types: set[str]) -> list[tuple[AnyItem, int]]:
    """About one card for each body and pass of a day, those of 64 GB too slow for some modes."""
    number = size.bodies * min(size.passes, 3)
    stock: list[tuple[AnyItem, int]] = [
        (Media(id="card-128", name="128 GB card", capacity_gb=128, sustained_mb_s=60),
         -(-number * 2 // 3)),
        (Media(id="card-64", name="64 GB card", capacity_gb=64, sustained_mb_s=12), number // 3),
    ]  # fmt: skip
    if "fast" in types:
        fast = Media(id="drive-256", name="256 GB drive", card_type="fast", capacity_gb=256,
                     sustained_mb_s=200)  # fmt: skip
        stock.append((fast, max(2, number // 4)))
    return stock


def _small_things(size: KitSize) -> list[tuple[AnyItem, int]]:
    def thing(item: str, serves: str, count: int, kg: float, fits: str | None = None,
              ) -> tuple[AnyItem, int]:  # fmt: skip
        return Accessory(id=item, name=item, serves=serves, fits=fits, mass_kg=kg), count

    return [
        thing("plate-slide", "plate", size.bodies, 0.14, "slide-50"),
        thing("plate-dovetail", "plate", size.bodies, 0.06, "dovetail-38"),
        thing("steel-bond", "bond", 1 + size.bodies // 3, 0.15),
        thing("sandbag", "sandbag", 2 + size.bodies, 7),
        thing("mains-lead", "mains-lead", 1 + size.bodies // 2, 1.2),
        thing("lens-cap", "cap", size.bodies, 0.02),
    ]
