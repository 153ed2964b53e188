"""Tiny shoots and kits for tests that change one thing at a time.

Venue: a stage of 8 x 6 m at floor height, a singer 2 m behind its front edge. The position `front`
is 12 m from the singer at the height of the middle of a medium shot, so that its sight line is
flat: distance 12.0 m, frame 0.9 m. That middle is 1.363 m up: 7 % of head room over 1.75 m,
1.75 + (0.07 - 0.5) * 0.9. `left` and `right` see the singer 45 degrees from either side.
One pass lasts 20 minutes: two songs of 9 minutes with gaps of 1 minute.

What is in the picture beside the subject does not matter here unless a test asks for it: `QUIET`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from kitplan.allocate.search import Limits
from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import (
    Accessory,
    Adapter,
    AnyItem,
    Battery,
    Body,
    Charger,
    Head,
    Lens,
    Media,
    Support,
)
from kitplan.options.refusals import Refusal
from kitplan.options.spots import find_options
from kitplan.plan.records import Placement, Plan
from kitplan.produce.solve import plan_shoot
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass, Person, Role, Shoot, Song
from kitplan.shoot.venue import Position, Subject
from kitplan.tables import table

SHOOT_ID = "small"
STAGE_M = ((-4.0, 0.0), (4.0, 0.0), (4.0, 6.0), (-4.0, 6.0))
MODE: dict[str, Any] = {
    "name": "HD",
    "frame_width_px": 1920,
    "frame_height_px": 1080,
    "frame_rate_fps": 25,
    "bit_rate_mbps": 50,
}
OPTIC: dict[str, Any] = {
    "focal_min_mm": 100,
    "focal_max_mm": 125,
    "stop_wide": 2.8,
    "t_stop_loss": 0,
    "closest_focus_m": 1,
}
"""12 m away 125 mm frame 9 * (12 - 0.125) / 125 = 0.855 m of height and 100 mm 1.071 m: of a singer
a medium shot (0.80 to 1.12 m) and no other size. So a tiny shoot is decided in a moment."""
WIDE = {"focal_min_mm": 10, "focal_max_mm": 125}
"""12 m away from 0.855 m to 10.8 m: from a medium shot to the whole stage."""
LENS_M = 1.363
"""Height of the lens at the middle of a medium shot of somebody who stands."""
QUIET: dict[str, Any] = {
    "hidden_full": 1,
    "hidden_fair": 1,
    "hidden_most": 1,
    "seats_share_plain": 1,
    "seats_share_soft": 1,
    "wings_share": 1,
    "rig_least_share": 1,
    "steady_locked": 99,
    "steady_operated": 99,
}
"""Rules of the picture that refuse nothing and cost nothing: all may be hidden, empty seats and
wings may fill the frame, no rig is ever noticed, every stand is still."""
AS_USUAL: dict[str, Any] = {name: table("rules")[name] for name in QUIET}
"""The same rules as every other shoot has them."""

# -- gear ------------------------------------------------------------------------------------------


def body(item: str = "cam", *, mode: Mapping[str, Any] | None = None, **facts: Any) -> Body:
    """Return a body of 1 kg with a built-in lens, 16 x 9 mm of sensor, 280 minutes a battery."""
    given: dict[str, Any] = {
        "sensor_width_mm": 16,
        "sensor_height_mm": 9,
        "max_iso": 6400,
        "mass_kg": 1,
        "battery": "cell",
        "battery_min": 400,
        "modes": ({**MODE, **(mode or {})},),
    }
    if facts.get("mount") is None:
        given["built_in"] = OPTIC
    return Body(id=item, name=item, **{**given, **facts})


def optic(**facts: Any) -> dict[str, Any]:
    """Return the facts of the built-in lens with some of them changed."""
    return {**OPTIC, **facts}


def prime(focal_mm: float) -> dict[str, Any]:
    """Return a built-in lens with one focal length."""
    return optic(focal_min_mm=focal_mm, focal_max_mm=focal_mm)


def lens(item: str = "zoom", **facts: Any) -> Lens:
    """Return a lens of 1 kg like the built-in one, for mount E, that covers 20 mm."""
    given = {**OPTIC, "mount": "E", "image_circle_mm": 20, "mass_kg": 1}
    return Lens(id=item, name=item, **{**given, **facts})


def adapter(item: str = "ring", **facts: Any) -> Adapter:
    """Return a plain ring that puts lenses of mount PL on bodies of mount E."""
    given: dict[str, Any] = {"lens_mount": "PL", "body_mount": "E"}
    return Adapter(id=item, name=item, **{**given, **facts})


def support(item: str = "legs", **facts: Any) -> Support:
    """Return legs of 2 kg that carry 10 kg without a head or plate, from 0.5 to 2 m."""
    given = {"payload_kg": 10, "height_min_m": 0.5, "height_max_m": 2, "mass_kg": 2}
    return Support(id=item, name=item, **{**given, **facts})


def head(item: str = "fluid", **facts: Any) -> Head:
    """Return a head of 1 kg that carries 10 kg on a 75 mm bowl without a plate."""
    given: dict[str, Any] = {"payload_kg": 10, "fitting": "bowl-75", "mass_kg": 1}
    return Head(id=item, name=item, **{**given, **facts})


def card(item: str = "card", **facts: Any) -> Media:
    """Return a card of 1000 GB: 1000 * 8000 / 50 / 60 * 0.9 = 2400 minutes of the mode HD."""
    given: dict[str, Any] = {"capacity_gb": 1000, "sustained_mb_s": 100}
    return Media(id=item, name=item, **{**given, **facts})


def charger(**facts: Any) -> Charger:
    """Return a charger with one bay that takes an hour for a cell."""
    given: dict[str, Any] = {"batteries": ("cell",), "charge_min": 60}
    return Charger(id="charger", name="charger", **{**given, **facts})


def accessory(serves: str, fits: str | None = None) -> Accessory:
    """Return an accessory named after what it serves."""
    return Accessory(id=serves, name=serves, serves=serves, fits=fits)


def unit(item: str, number: int = 1, **facts: Any) -> Unit:
    """Return unit `item-number`, lent by the house unless an owner is given."""
    return Unit(**{"id": f"{item}-{number}", "item": item, "owner": "house", **facts})


COUNTS = {"cam": 2, "legs": 9, "cell": 30, "card": 30}


def small_kit(
    *items: AnyItem,
    counts: Mapping[str, int] | None = None,
    units: Iterable[Unit] = (),
    without: Iterable[str] = (),
) -> Kit:
    """Return two cameras, and legs, cells and cards in plenty.

    Args:
        items: Items beside these; one with the id of a given one takes its place.
        counts: Units of an item where they are not those of COUNTS or 1.
        units: Units with facts of their own; they are all units that their items have.
        without: Ids of given items to leave out.
    """
    given = (body(), support(), Battery(id="cell", name="cell"), card())
    by_id: dict[str, AnyItem] = {item.id: item for item in (*given, *items)}
    for item_id in without:
        del by_id[item_id]
    own = tuple(units)
    numbers = {**COUNTS, **(counts or {})}
    plain = [
        unit(item_id, number)
        for item_id in by_id
        if all(one.item != item_id for one in own)
        for number in range(1, numbers.get(item_id, 1) + 1)
    ]
    return Kit(items=tuple(by_id.values()), units=(*plain, *own))


# -- shoot -----------------------------------------------------------------------------------------


def at(hour: int, minute: int = 0, *, day: int = 1) -> datetime:
    """Return a time of the day of the show, the first of May, or of a later day."""
    return datetime(2027, 5, day, hour, minute)


def run(**facts: Any) -> Pass:
    """Return the closed run from 16:00: to a click, in costume and show light, so that it locks."""
    return Pass(**{"id": "run", "start": at(16), "has_click": True, "needs_safety": False, **facts})


def show(**facts: Any) -> Pass:
    """Return the show at 20:00, doors at 19:00, with an audience: the master."""
    given = {
        "id": "show",
        "start": at(20),
        "doors": at(19),
        "has_audience": True,
        "is_master": True,
        "needs_safety": False,
    }
    return Pass(**{**given, **facts})


def song(item: str = "first", **facts: Any) -> Song:
    """Return a song of 9 minutes with a gap of 1 minute after it."""
    return Song(**{"id": item, "length_s": 540, "gap_s": 60, **facts})


def position(item: str = "front", **facts: Any) -> Position:
    """Return a position; `front` is 12 m straight before the singer."""
    places = {"front": (0, -10), "left": (-8, -6), "right": (8, -6)}
    given = {"at_m": places.get(item, (0, -10)), "lens_height_m": LENS_M}
    return Position(**{"id": item, **given, **facts})


def singer(item: str = "singer", **facts: Any) -> Subject:
    """Return a person who stands in the middle, 2 m behind the front edge."""
    return Subject(**{"id": item, "at_m": (0, 2), **facts})


def person(name: str, **facts: Any) -> Person:
    """Return somebody of the crew with a steady hand."""
    return Person(**{"id": name, "is_skilled": True, **facts})


def role(item: str = "close", **facts: Any) -> Role:
    """Return a must role: a medium shot of the singer, once in any pass."""
    given = {"subject": "singer", "sizes": ("MS",), "priority": "must"}
    return Role(**{"id": item, **given, **facts})


def small_shoot(**parts: Any) -> Shoot:
    """Return the show at three positions with Ann and Ben; every part can be replaced."""
    given: dict[str, Any] = {
        "title": "Small",
        "mains_hz": 50,
        "venue": {
            "name": "Hall",
            "stage": parts.pop("stage", {"outline_m": STAGE_M}),
            "positions": parts.pop("positions", tuple(map(position, ("front", "left", "right")))),
            **{name: parts.pop(name, ()) for name in ("audience", "obstacles", "lamps")},
        },
        "subjects": (singer(), Subject(id="stage", kind="stage")),
        "light": ({"dim_lux": 500, "bright_lux": 1000},),
        "songs": (song("first"), song("second")),
        "passes": (show(),),
        "crew": (person("ann"), person("ben")),
    }
    return Shoot.model_validate({**given, **parts})


def small_brief(kit: Kit | None = None, **parts: Any) -> Brief:
    """Return a small shoot with the small kit, or another one, and quiet pictures: rules that are
    given change some of `QUIET`.
    """
    rules = {**QUIET, **parts.pop("rules", {})}
    return Brief(small_shoot(**parts, rules=rules), kit or small_kit())


# -- plan ------------------------------------------------------------------------------------------


def solve(brief: Brief, seconds: float = 5.0) -> Plan:
    """Return the best plan; one worker and a seed, so that it is always the same one."""
    return plan_shoot(brief, shoot_id=SHOOT_ID, limits=Limits(seconds=seconds, seed=1, workers=1))


def cameras(plan: Plan, pass_id: str = "show") -> tuple[Placement, ...]:
    """Return the placements of a pass, by letter."""
    return plan.placements_in(f"{SHOOT_ID}/{pass_id}")


def places(plan: Plan, pass_id: str = "show") -> set[str]:
    """Return the positions in use in a pass."""
    return {placement.position for placement in cameras(plan, pass_id)}


def operators(plan: Plan, pass_id: str = "show") -> set[str]:
    """Return who operates in a pass."""
    return {p.operator for p in cameras(plan, pass_id) if p.operator is not None}


def items_used(plan: Plan, pass_id: str | None = None) -> set[str]:
    """Return the items in use in a pass, or in any."""
    item_of = {one.id: one.item for one in plan.kit.units}
    found = plan.placements if pass_id is None else cameras(plan, pass_id)
    return {item_of[one] for placement in found for one in placement.units}


def demand_met(plan: Plan, demand_id: str) -> bool:
    """Return whether every demand of this id is met."""
    found = [demand.is_met for demand in plan.demands if demand.id == demand_id]
    assert found, f"the plan knows no demand {demand_id}"
    return all(found)


def reached(plan: Plan, goal: str) -> float:
    """Return what a goal came to."""
    return next(each.value for each in plan.goals if each.goal == goal)


def part(plan: Plan, goal: str, name: str) -> float:
    """Return a part of a goal."""
    return next(each.parts[name] for each in plan.goals if each.goal == goal)


def values(plan: Plan) -> dict[str, float]:
    """Return what every goal came to; each is proven in a tiny shoot."""
    assert all(goal.is_proven for goal in plan.goals)
    return {goal.goal: goal.value for goal in plan.goals}


def refusals(brief: Brief) -> list[Refusal]:
    """Return everything that is not possible, with rule and figures."""
    options = find_options(brief)
    return [
        *options.refusals,
        *(refusal for _, refusal in options.closed),
        *(refusal for spot in options.spots for refusal in spot.refusals),
        *(refusal for _, refusal in options.shot_refusals()),
    ]


def words_of(plan: Plan, *demand_ids: str) -> set[str]:
    """Return the words of some demands, as a clash would name them."""
    return {demand.words for demand in plan.demands if demand.id in demand_ids}
