"""A small concert with one of everything that the checker judges, and ways to spoil its plan.

One stage, a closed run and a show, three bodies (two with lenses, one of them behind a ring; one
with its lens built in), three positions (one overhead and out of reach), two people.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any, TypeVar

from kitplan.allocate.search import Limits
from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Accessory, Battery, Record
from kitplan.plan.records import Placement, Plan
from kitplan.produce.solve import plan_shoot
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Shoot
from kitplan.shoot.venue import Subject
from tests.small import (
    WIDE,
    accessory,
    adapter,
    body,
    card,
    charger,
    head,
    lens,
    person,
    position,
    role,
    run,
    show,
    singer,
    small_shoot,
    song,
    support,
    unit,
)

SHOOT_ID = "small"
SHOW, RUN = f"{SHOOT_ID}/show", f"{SHOOT_ID}/run"
Change = Callable[[Plan], Plan]
RecordT = TypeVar("RecordT", bound=Record)


def kit() -> Kit:
    """Return the kit: what is used and a few things that stay at home."""
    items = (
        body("cam", mount="E", heat_limit_min=200),
        body("box", built_in={**WIDE, "stop_wide": 2.8, "closest_focus_m": 1}, runs_on_mains=True),
        body("toy", mount="E", has_manual_control=False),
        lens("zoom", **WIDE),
        lens("tele", mount="PL"),
        adapter("ring"),
        support("tripod", fitting="bowl-75"),
        support("clamp", stands_on=("rail",), height_min_m=0, height_max_m=0.3, plate="arca"),
        support("jib", is_arm=True, people=2, skill="jib", height_max_m=4, footprint_m=3),
        head("fluid", plate="vmount"),
        Battery(id="cell", name="cell"),
        Battery(id="other-cell", name="other cell"),
        charger(),
        card(),
        card("slow-card", sustained_mb_s=1),
        accessory("plate", "vmount"),
        Accessory(id="arca-plate", name="arca plate", serves="plate", fits="arca"),
        accessory("bond"),
        accessory("sandbag"),
        accessory("mains-lead"),
    )
    counts = {"cam": 2, "tripod": 3, "fluid": 3, "cell": 8, "card": 8, "plate": 3, "sandbag": 2}
    units = [unit(i.id, n) for i in items for n in range(1, counts.get(i.id, 1) + 1)]
    bound = {"tele-1": "ann"}
    return Kit(
        items=items,
        units=tuple(
            Unit(**{**dict(one), "owner": bound[one.id], "owner_only": True})
            if one.id in bound
            else one
            for one in units
        ),
    )


def shoot() -> Shoot:
    """Return the shoot: the show is the master, the run locks to it by its click."""
    moment = {"name": "Solo", "subject": "singer", "at_s": 60, "size": "MS", "priority": "must"}
    return small_shoot(
        positions=(
            position("front", has_mains=True, permission={"state": "given", "by": "the house"}),
            position("left", rigs=2, room_m=2.5, has_public=True, lens_height_m=1.5),
            position(
                "rail",
                at_m=(6, -4),
                floor_height_m=4,
                lens_height_m=0.1,
                stands_on="rail",
                is_overhead=True,
                is_out_of_reach=True,
                has_mains=True,
                permission={"state": "given", "by": "the technical manager"},
            ),
        ),
        subjects=(singer(), Subject(id="stage", kind="stage")),
        songs=(song("first", moments=(moment,)), song("second")),
        passes=(run(needs_safety=True), show(needs_safety=True)),
        crew=(
            person("ann", skills=("rigging",)),
            person("ben", is_skilled=False),
            person("cy", is_operator=False),
        ),
        roles=(
            role("safety", subject="stage", sizes=("WS", "EWS"), is_safety=True, in_passes="every"),
            role("close", in_passes="every", manner="operated"),
            role("whole", sizes=("FS",), priority="want", weight=2),
            role("face", sizes=("CU",), priority="nice"),
        ),
        locks={"never": [{"person": "ben", "lens": "tele"}]},
    )


@cache
def honest_plan() -> Plan:
    """Return the best plan of the small concert."""
    limits = Limits(seconds=20, seed=1, workers=1)
    return plan_shoot(Brief(shoot(), kit()), shoot_id=SHOOT_ID, limits=limits)


# -- picking placements ----------------------------------------------------------------------------

Pick = Callable[[Plan, Placement], bool]


def uses(plan: Plan, placement: Placement, item: str) -> bool:
    """Return whether a placement has a unit of an item."""
    return any(unit.item == item for unit in plan.kit.units if unit.id in placement.units)


def with_item(item: str, pass_id: str | None = None) -> Pick:
    """Pick placements that have a unit of an item, in one pass or in any."""
    return lambda plan, p: uses(plan, p, item) and pass_id in (None, p.pass_id)


def by_hand(_: Plan, placement: Placement) -> bool:
    """Pick operated placements."""
    return placement.operator is not None


def anyone(_: Plan, __: Placement) -> bool:
    """Pick every placement."""
    return True


def locked_off(_: Plan, placement: Placement) -> bool:
    """Pick locked-off placements."""
    return placement.operator is None


def with_role(role_id: str) -> Pick:
    """Pick placements that do a role."""
    return lambda _, placement: role_id in placement.roles


def picked(plan: Plan, pick: Pick) -> Placement:
    """Return the first placement that is picked."""
    return next(placement for placement in plan.placements if pick(plan, placement))


# -- spoiling --------------------------------------------------------------------------------------


def facts(record: Record) -> dict[str, Any]:
    """Return the fields of a record as they are."""
    return {name: getattr(record, name) for name in type(record).model_fields}


def changed(record: RecordT, **changes: Any) -> RecordT:
    """Return a record with some fields changed, checked again."""
    return type(record).model_validate({**facts(record), **changes})


def placements(plan: Plan, pick: Pick, change: Callable[[Placement], Placement]) -> Plan:
    """Return the plan with the first picked placement changed."""
    chosen = picked(plan, pick)
    return changed(plan, placements=tuple(change(p) if p is chosen else p for p in plan.placements))


def placement(pick: Pick, **changes: Any) -> Change:
    """Spoil fields of a placement."""
    return lambda plan: placements(plan, pick, lambda p: changed(p, **changes))


def rig(pick: Pick, **changes: Any) -> Change:
    """Spoil the rig of a placement."""
    return lambda plan: placements(plan, pick, lambda p: changed(p, rig=changed(p.rig, **changes)))


def shot(pick: Pick, **changes: Any) -> Change:
    """Spoil the shot of a placement."""
    return lambda plan: placements(
        plan, pick, lambda p: changed(p, shot=changed(p.shot, **changes))
    )


def scaled(field: str, factor: float = 1.01, plus: float = 0.0) -> Change:
    """Spoil one figure of the first shot."""

    def change(p: Placement) -> Placement:
        value = getattr(p.shot, field) * factor + plus
        return changed(p, shot=changed(p.shot, **{field: value}))

    return lambda plan: placements(plan, anyone, change)


def listed(field: str, where: Callable[[Any], bool], **changes: Any) -> Change:
    """Spoil the rows of a list of the plan, such as its goals."""

    def change(plan: Plan) -> Plan:
        rows = getattr(plan, field)
        assert any(map(where, rows))
        return changed(
            plan, **{field: tuple(changed(r, **changes) if where(r) else r for r in rows)}
        )

    return change


def item(item_id: str, **changes: Any) -> Change:
    """Change what the kit says about an item."""
    return lambda plan: changed(
        plan,
        kit=Kit(
            items=tuple(changed(i, **changes) if i.id == item_id else i for i in plan.kit.items),
            units=plan.kit.units,
        ),
    )


def owned(unit_id: str, **changes: Any) -> Change:
    """Change what the kit says about a unit."""
    return lambda plan: changed(
        plan,
        kit=Kit(
            items=plan.kit.items,
            units=tuple(changed(u, **changes) if u.id == unit_id else u for u in plan.kit.units),
        ),
    )


def asked(**changes: Any) -> Change:
    """Change parts of the shoot."""
    return lambda plan: changed(plan, shoots={SHOOT_ID: changed(plan.shoots[SHOOT_ID], **changes)})


def each(field: str, record_id: str, **changes: Any) -> Change:
    """Change one record of a list of the shoot: passes, crew, subjects, roles ..."""
    return lambda plan: asked(
        **{
            field: tuple(
                changed(record, **changes) if record.id == record_id else record
                for record in getattr(plan.shoots[SHOOT_ID], field)
            )
        }
    )(plan)


def place(**changes: Any) -> Change:
    """Change every position of the shoot."""

    def change(plan: Plan) -> Plan:
        venue = plan.shoots[SHOOT_ID].venue
        spoilt = tuple(changed(position, **changes) for position in venue.positions)
        return asked(venue=changed(venue, positions=spoilt))(plan)

    return change


def built(**changes: Any) -> Change:
    """Change parts of the venue: its stage, audience, obstacles, lamps."""
    return lambda plan: asked(venue=changed(plan.shoots[SHOOT_ID].venue, **changes))(plan)


def rules(**changes: Any) -> Change:
    """Change rules of the shoot."""
    return lambda plan: asked(rules=changed(plan.shoots[SHOOT_ID].rules, **changes))(plan)


def all_of(*changes: Change) -> Change:
    """Make one change after the other."""

    def change(plan: Plan) -> Plan:
        for one in changes:
            plan = one(plan)
        return plan

    return change
