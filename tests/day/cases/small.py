"""A small concert with things to pack: two cameras, a pouch in a bag, a crate, legs, sound."""

from __future__ import annotations

from typing import Any

from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import AnyItem, Battery, Case, Sound
from kitplan.plan.records import Plan, Rig
from kitplan.produce.day import with_cases
from tests.small import (
    SHOOT_ID,
    accessory,
    body,
    card,
    charger,
    head,
    position,
    run,
    show,
    small_shoot,
    support,
)
from tests.whatif.small import hand_plan, placed

SHOW, RUN = f"{SHOOT_ID}/show", f"{SHOOT_ID}/run"
LITRES = {"body": 3, "support": 10, "head": 5}


def _unit(unit: str, item: str, case: str | None = None, owner: str = "ann", **facts: Any) -> Unit:
    return Unit(id=unit, item=item, owner=owner, case=case, **facts)


def items() -> tuple[AnyItem, ...]:
    """Return what there are models of."""
    return (
        body(volume_l=3),
        support(volume_l=10, mass_kg=4),
        head(volume_l=5, mass_kg=2),
        Battery(id="cell", name="cell", volume_l=0.5, mass_kg=0.5),
        charger().model_copy(update={"volume_l": 1, "mass_kg": 0.5}),
        card(volume_l=0.5),
        accessory("sandbag").model_copy(update={"mass_kg": 7, "volume_l": 6}),
        Sound(id="recorder", name="recorder", what="recorder", mass_kg=1, volume_l=2),
        Sound(id="feed", name="feed", what="desk-feed"),
        Case(id="bag", name="bag", volume_l=20, most_load_kg=10, mass_kg=2, is_padded=True),
        Case(id="pouch", name="pouch", volume_l=2, most_load_kg=2, mass_kg=0.25),
        Case(id="crate", name="crate", volume_l=30, most_load_kg=20, mass_kg=3),
        Case(id="long", name="long bag", volume_l=40, most_load_kg=20, mass_kg=2, takes_long=True),
    )


def units() -> tuple[Unit, ...]:
    """Return Ann's bag with its pouch of cards, her long bag, and a crate of Ben's."""
    return (
        _unit("bag-1", "bag"),
        _unit("pouch-1", "pouch", "bag-1"),
        _unit("long-1", "long"),
        _unit("crate-1", "crate", owner="ben"),
        _unit("cam-1", "cam", "bag-1"),
        _unit("cam-2", "cam", owner="ben"),
        _unit("legs-1", "legs", "long-1"),
        _unit("legs-2", "legs", "long-1", owner="ben"),
        _unit("fluid-1", "fluid", "long-1"),
        _unit("cell-1", "cell", "bag-1"),
        _unit("cell-2", "cell", owner="ben"),
        _unit("charger-1", "charger"),
        _unit("card-1", "card", "pouch-1"),
        _unit("card-2", "card", "pouch-1"),
        _unit("sandbag-1", "sandbag"),
        _unit("recorder-1", "recorder"),
        _unit("feed-1", "feed"),
    )


def unpacked(kit: Kit | None = None, **parts: Any) -> Plan:
    """Return a plan: A in both passes, B in the show alone; nothing is packed yet."""
    rig = Rig(body="cam-1", mode="HD", lens=None, adapter=None, head="fluid-1", support="legs-1")
    other = Rig(body="cam-2", mode="HD", lens=None, adapter=None, head=None, support="legs-2")
    a: dict[str, Any] = {"rig": rig, "batteries": ("cell-1",)}
    given = {"positions": (position("front"), position("left")), "passes": (run(), show())}
    return hand_plan(
        small_shoot(**{**given, **parts}),
        (
            placed("A", in_pass="run", cards=("card-1",), **a),
            placed("A", cards=("card-2",), **a),
            placed("B", "left", rig=other, batteries=("cell-2",), accessories=("sandbag-1",)),
        ),
        kit=kit or Kit(items=items(), units=units()),
    )


def packed(kit: Kit | None = None, **parts: Any) -> Plan:
    """Return the same plan with its packing."""
    return with_cases(unpacked(kit, **parts))


def changed_kit(
    *, without: tuple[str, ...] = (), items_changed: dict[str, Any] | None = None
) -> Kit:
    """Return the kit without some units, and with facts of items changed."""
    facts = items_changed or {}
    return Kit(
        items=tuple(
            type(one).model_validate({**dict(one), **facts.get(one.id, {})}) for one in items()
        ),
        units=tuple(one for one in units() if one.id not in without),
    )
