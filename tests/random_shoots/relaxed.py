"""Rules that refuse no placement of their own: what takes each out of a shoot, or its use."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kitplan.gear.kit import Kit
from kitplan.gear.records import Charger
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Shoot
from kitplan.whatif.changed import with_shoot

Change = Callable[[Brief], Brief]
ShootChange = Callable[[Shoot], dict[str, Any]]


def _shoot(change: ShootChange) -> Change:
    return lambda brief: with_shoot(brief, **change(brief.shoot))


def _each(field: str, **changes: Any) -> Change:
    """Change every record of a list of the shoot."""
    return _shoot(
        lambda shoot: {
            field: tuple(one.model_copy(update=changes) for one in getattr(shoot, field))
        }
    )


def _rules(**changes: Any) -> Change:
    return _shoot(lambda shoot: {"rules": shoot.rules.model_copy(update=changes)})


def _locks(**changes: Any) -> Change:
    return _shoot(lambda shoot: {"locks": shoot.locks.model_copy(update=changes)})


def _units(**changes: Any) -> Change:
    def change(brief: Brief) -> Brief:
        units = tuple(unit.model_copy(update=changes) for unit in brief.kit.units)
        return Brief(brief.shoot, Kit(items=brief.kit.items, units=units))

    return change


def _one_more_rig(brief: Brief) -> Brief:
    """Let a position take one more rig, in as much more room."""
    first, *others = brief.shoot.venue.positions
    more = first.model_copy(update={"rigs": first.rigs + 1, "room_m": 2 * first.room_m})
    venue = brief.shoot.venue.model_copy(update={"positions": (more, *others)})
    return with_shoot(brief, venue=venue)


def _plain_safety(brief: Brief) -> Brief:
    """Ask for the safety shot as for any other must role."""
    plain = tuple(role.model_copy(update={"is_safety": False}) for role in brief.roles)
    passes = tuple(p.model_copy(update={"needs_safety": False}) for p in brief.shoot.passes)
    wanted = tuple(each.id for each in brief.shoot.passes if each.needs_safety)
    roles = tuple(
        new.model_copy(update={"passes": new.passes or wanted}) if old.is_safety else new
        for old, new in zip(brief.roles, plain, strict=True)
    )
    return with_shoot(brief, roles=roles, passes=passes)


def _no_chargers(brief: Brief) -> Brief:
    gone = {charger.id for charger in brief.kit.of_kind(Charger)}
    items = tuple(item for item in brief.kit.items if item.id not in gone)
    units = tuple(unit for unit in brief.kit.units if unit.item not in gone)
    return Brief(brief.shoot, Kit(items=items, units=units))


RELAXED: dict[str, Change] = {
    "rigs of a position": _one_more_rig,
    "owners' own units": _units(owner_only=False),
    "days and condition of units": _units(
        available_from=None, available_until=None, condition="good"
    ),
    "charging in the gaps": _no_chargers,
    "slack of the reset": _rules(reset_slack=0),
    "what stays between passes": _rules(stays_min=99),
    "rolls throughout": _each("roles", rolls_throughout=False),
    "safety": _each("passes", needs_safety=False),
    "safety: manual, not performing, over the heads": _plain_safety,
    "performers": _each("crew", performs_in=()),
    "songs stopped or not run": _each("passes", songs={}),
    "costume": _each("passes", is_in_costume=True),
    "show light": _each("passes", is_in_show_light=True),
    "no click": _each("passes", has_click=True),
    "closest": _each("subjects", closest=None),
    "one role a placement": _each("roles", also=True),
    "moves": _each("roles", moves=()),
    "manner": _each("roles", manner="either"),
    "positions of roles": _each("roles", positions=None),
    "passes of roles": _each("roles", passes=None),
    "every pass": _each("roles", in_passes="any"),
    "must moments": _each("songs", moments=()),
    "never": _locks(never=()),
    "keep": _locks(keep=()),
    "alike": _rules(angle_deg=0, size_factor=1),
    "menus": _rules(menu_shots=9),
    "pairs of a subject": _rules(pairs_per_subject=9),
    "falling points of locked-off ones": _rules(points_locked=(4, 4, 4, 4)),
    "grades": _rules(grade_percent=(0, 100, 100, 100)),
}
"""By rule. Most are taken out; what helps (charging, staying) is taken away."""
