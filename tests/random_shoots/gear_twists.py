"""Twists of the kit: each makes one rule, or a few that belong together, bind in a draft.

A twist may fail to bind, as what it takes may not be in use; over many seeds each does.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from tests.random_shoots.draft import Draft, Facts, new_role
from tests.small import MODE, at

Twist = Callable[[Draft], None]

# -- units and supplies ----------------------------------------------------------------------------


def few_bodies(draft: Draft) -> None:
    """One unit of every body."""
    draft.counts |= dict.fromkeys(draft.ids(draft.kind("body")), 1)


def few_supports(draft: Draft) -> None:
    """One unit of every support."""
    draft.counts |= dict.fromkeys(draft.ids(draft.kind("support")), 1)


def owners(draft: Draft) -> None:
    """A unit that nobody but its owner operates."""
    item = draft.some(draft.kind(draft.chance.choice(("body", "support"))))
    owner = draft.some(draft.crew)["id"]
    draft.units[item["id"]] = {"owner": owner, "owner_only": True}
    draft.counts[item["id"]] = draft.chance.choice((1, 1, 2))


def dates(draft: Draft) -> None:
    """A unit that is only there the day after, or until the day before, or in repair."""
    item = draft.some([*draft.kind("body")[1:], *draft.kind("support")[1:]] or draft.kind("lens"))
    why: tuple[Facts, ...] = (
        {"available_from": date(2027, 5, 2)},
        {"available_until": date(2027, 4, 30)},
        {"condition": "in-repair"},
    )
    draft.units[item["id"]] = draft.chance.choice(why)


def two_days(draft: Draft) -> None:
    """The show is a day later; a unit comes or goes in between, and cards are used again."""
    draft.passes[-1]["start"] = at(20, day=2)
    draft.counts["card"] = draft.chance.choice((1, 2))
    if len(draft.kind("body")) > 1:
        name = draft.chance.choice(("available_from", "available_until"))
        draft.units[draft.kind("body")[1]["id"]] = {name: date(2027, 5, 2 if "from" in name else 1)}


def few_cards(draft: Draft) -> None:
    """Cards that hold less than a pass, and few of them."""
    draft.kind("card")[0]["capacity_gb"] = draft.chance.choice((4, 8, 16))
    draft.counts["card"] = draft.chance.choice((1, 2, 3, 4))


def two_cards(draft: Draft) -> None:
    """Cards of two items, one of them slow, and a mode with a high bit rate."""
    draft.kind("card").append({"id": "small-card", "capacity_gb": 10, "sustained_mb_s": 10})
    draft.kind("card")[0] |= {"capacity_gb": draft.chance.choice((10, 40))}
    draft.counts |= {"card": draft.chance.choice((1, 2)), "small-card": draft.chance.choice((1, 3))}
    draft.some(draft.kind("body"))["mode"] = {"bit_rate_mbps": draft.chance.choice((30, 120))}


def few_batteries(draft: Draft) -> None:
    """Batteries that last for part of a pass; a charger may fill some in the gap."""
    for each in draft.kind("body"):
        each["battery_min"] = draft.chance.choice((20, 40, 80))
    draft.counts["cell"] = draft.chance.choice((1, 2, 2, 3))
    draft.units["cell"] = {"health": draft.chance.choice((1.0, 0.8))}
    if draft.maybe(0.6):
        facts: Facts = {"charge_min": draft.chance.choice((60, 110, 190)), "bays": 1}
        draft.chargers = [facts]


# -- rigs ------------------------------------------------------------------------------------------


def payload(draft: Draft) -> None:
    """Legs that carry some of the cameras."""
    draft.some(draft.kind("support"))["payload_kg"] = draft.chance.choice((1.25, 1.3, 2.5))


def fittings(draft: Draft) -> None:
    """Legs that take a head, one head that fits and one that does not, plates for few of them."""
    draft.some(draft.kind("support"))["fitting"] = "bowl-75"
    draft.kind("head").append({"id": "fluid", "plate": draft.chance.choice((None, "vmount"))})
    draft.kind("head").append({"id": "flat", "fitting": "thread-3/8"})
    draft.counts["fluid"] = draft.chance.choice((1, 2))
    draft.accessories.append(("plate", "vmount"))


def head_payload(draft: Draft) -> None:
    """A head that carries less than its legs."""
    draft.some(draft.kind("support"))["fitting"] = "ball"
    draft.kind("head").append({"id": "ball", "fitting": "ball", "payload_kg": 1.3})
    draft.counts["ball"] = 2


def plates(draft: Draft) -> None:
    """A plate system without plates, or with one."""
    draft.some(draft.kind("support"))["plate"] = "arca"
    if draft.maybe(0.6):
        draft.accessories.append(("plate", "arca"))


def heights(draft: Draft) -> None:
    """A lens higher than some legs reach, yet not all of them."""
    draft.some(draft.positions)["lens_height_m"] = 2.1
    draft.kind("support")[-1]["height_max_m"] = 2.5
    if len(draft.kind("support")) > 1:
        draft.kind("support")[0]["height_max_m"] = 1.6


def footprints(draft: Draft) -> None:
    """Legs too wide for the room, alone or side by side."""
    for each in draft.positions:
        each["room_m"] = draft.chance.choice((1.5, 1.9)) if each.get("rigs", 1) > 1 else 1.5
    draft.some(draft.kind("support"))["footprint_m"] = draft.chance.choice((0.6, 1.0, 1.6))


def heavy_legs(draft: Draft) -> None:
    """Supports that take two people, of whom one helps."""
    for each in draft.kind("support"):
        each["people"] = draft.chance.choice((2, 2, 1))


def mains(draft: Draft) -> None:
    """Mains at some positions, things that need it, one lead."""
    draft.some(draft.positions)["has_mains"] = True
    draft.some(draft.kind("support"))["needs_mains"] = True
    if draft.maybe(0.7):
        draft.some(draft.kind("body"))["runs_on_mains"] = True
    draft.accessories.append(("mains-lead", None))


def skills(draft: Draft) -> None:
    """A support that asks for a skill, which somebody or nobody has."""
    draft.some(draft.kind("support"))["skill"] = "gimbal"
    draft.crew[0]["skills"] = draft.chance.choice(((), ("gimbal",)))


def jib(draft: Draft) -> None:
    """An arm for two people, with weight on its base, perhaps more of it in the wind."""
    arm: Facts = {"id": "jib", "is_arm": True, "people": 2, "moves": ("boom",), "height_max_m": 4}
    draft.kind("support").append(arm | {"skill": "jib", "setup_min": 10, "strike_min": 5})
    draft.crew[0]["skills"] = ("jib",)
    draft.roles.append(new_role(draft, "sweep") | {"moves": ("boom",), "manner": "either"})
    if draft.maybe(0.6):
        draft.accessories.append(("sandbag", None))
        draft.counts["sandbag"] = draft.chance.choice((1, 2, 2, 3))
        draft.some(draft.positions)["is_outdoors"] = draft.maybe(0.6)


def unsteady(draft: Draft) -> None:
    """A support that does not stand alone, and a move that only it makes."""
    facts = draft.some(draft.kind("support"))
    facts |= {"can_stand_alone": False, "moves": ("walk",)}
    draft.some(draft.roles)["moves"] = draft.chance.choice((("walk",), ("walk", "track")))


def stiff_head(draft: Draft) -> None:
    """A head that neither pans nor tilts."""
    draft.some(draft.kind("support"))["fitting"] = "screw"
    draft.kind("head").append({"id": "stiff", "fitting": "screw", "can_pan_tilt": False})
    draft.counts["stiff"] = 3


def automatic(draft: Draft) -> None:
    """A body that works only automatically."""
    draft.some(draft.kind("body"))["has_manual_control"] = False
    draft.passes[-1]["needs_safety"] = True


def sandbags(draft: Draft) -> None:
    """Wind, public, a high lens, and one sandbag."""
    where: tuple[Facts, ...] = ({"is_outdoors": True}, {"has_public": True}, {"lens_height_m": 1.9})
    for each in draft.positions[:2]:
        each |= draft.chance.choice(where)
    draft.accessories.append(("sandbag", None))


# -- cameras ---------------------------------------------------------------------------------------


def light_limits(draft: Draft) -> None:
    """Little light, or bodies that bear little ISO."""
    if draft.maybe(0.5):
        draft.light[-1]["dim_lux"] = draft.chance.choice((15, 30, 60))
    else:
        draft.some(draft.kind("body"))["max_iso"] = draft.chance.choice((200, 400, 800))


def own_light(draft: Draft) -> None:
    """A subject, or the last pass, in light of its own."""
    row: Facts = {"dim_lux": draft.chance.choice((25, 100)), "bright_lux": 200}
    named = {"subjects": (draft.some(draft.subjects)["id"],)}
    draft.light.insert(0, row | draft.chance.choice((named, {"passes": ("show",)})))


def roaming(draft: Draft) -> None:
    """A subject that moves about: wider frames, and deeper focus where a camera is locked."""
    draft.some(draft.subjects)["roam_m"] = draft.chance.choice((0.3, 0.8, 1.5))


def shallow(draft: Draft) -> None:
    """Fast lenses on large sensors: little depth of field."""
    draft.rules["most_stop"] = 1.8
    for each in (*draft.kind("body"), *draft.kind("lens")):
        _optic(each)["stop_wide"] = 1.4


def closest_focus(draft: Draft) -> None:
    """A lens that focuses from far away only."""
    _optic(draft.some([*draft.kind("body"), *draft.kind("lens")]))["closest_focus_m"] = 11.5


def _optic(facts: Facts) -> Facts:
    """Return the facts of a lens, or of the one built into a body."""
    return facts if "focal_min_mm" in facts else facts.get("built_in") or {}


def _with_lenses(draft: Draft) -> Facts:
    """Return the facts of a body without a lens of its own; a new one where there is none."""
    found = [row for row in draft.kind("body") if row.get("mount")]
    if not found:
        found = [{"id": "cam-x", "mass_kg": 1, "mount": "E"}]
        draft.kind("body").extend(found)
    return found[0]


def image_circle(draft: Draft) -> None:
    """A lens that does not cover the sensor, or only in a mode with a crop."""
    draft.some(draft.kind("lens"))["image_circle_mm"] = draft.chance.choice((12, 18))
    _with_lenses(draft)["mode"] = {"crop": draft.chance.choice((1.0, 1.3))}


def rings(draft: Draft) -> None:
    """Lenses of other mounts behind rings, thick enough or not."""
    _with_lenses(draft)["mount"] = "E"
    mount = draft.chance.choice(("PL", "C"))
    draft.kind("lens")[0]["mount"] = mount
    draft.kind("adapter").append({"id": "ring", "lens_mount": mount})
    if draft.maybe(0.5):
        draft.kind("lens")[0]["iris"] = "electronic"


def glass(draft: Draft) -> None:
    """An adapter with glass that changes focal length, light and image circle."""
    _with_lenses(draft)["mount"] = "E"
    draft.kind("lens")[0]["mount"] = "EF"
    factor, gain = draft.chance.choice(((0.71, 1.0), (1.4, -1.0)))
    facts: Facts = {"lens_mount": "EF", "has_glass": True, "focal_factor": factor}
    draft.kind("adapter").append({"id": "glass", "stops_gained": gain, **facts})


def taken(draft: Draft) -> None:
    """A body mount that takes a lens of another mount without a ring, but not the reverse."""
    _with_lenses(draft)["mount"] = "EF"
    draft.kind("lens")[0]["mount"] = draft.chance.choice(("EF-S", "EF", "RF"))


def modes(draft: Draft) -> None:
    """A mode that does not record the delivery beside one that does."""
    facts = draft.some(draft.kind("body"))
    wrong: tuple[Facts, ...] = ({"frame_rate_fps": 50}, {"frame_width_px": 1280})
    good = {**MODE, "crop": draft.chance.choice((1.0, 1.5)), **facts.pop("mode", {})}
    other = {**MODE, "name": "other", **draft.chance.choice((*wrong, {"crop": 2.0}))}
    facts["modes"] = (good, other)


def shutters(draft: Draft) -> None:
    """A body without the shutter speed that the others share."""
    if len(draft.kind("body")) > 1:
        draft.some(draft.kind("body"))["shutter_speeds_per_s"] = (60, 120)


# -- lasting ---------------------------------------------------------------------------------------


def rolling(draft: Draft) -> None:
    """Roles that roll throughout, with clips, batteries or cards that end, and short gaps."""
    for each in draft.roles:
        each["rolls_throughout"] = True
    body = draft.some(draft.kind("body"))
    body["mode"] = {
        "clip_limit_min": draft.chance.choice((8, 10, 30)),
        "at_limit": draft.chance.choice(("stops", "stops", "splits")),
    }
    draft.some(draft.kind("body"))["heat_limit_min"] = draft.chance.choice((15, 60))
    draft.some(draft.kind("body"))["battery_min"] = draft.chance.choice((15, 40, 400))


def out_of_reach(draft: Draft) -> None:
    """A position that nobody gets to while it rolls, for bodies that may stop; a remote head."""
    draft.some(draft.positions)["is_out_of_reach"] = True
    draft.some(draft.kind("body"))["battery_min"] = draft.chance.choice((20, 40, 60))
    draft.some(draft.kind("body"))["heat_limit_min"] = draft.chance.choice((20, 40, 60))
    if draft.maybe(0.6):
        draft.some(draft.kind("support"))["fitting"] = "remote"
        draft.kind("head").append({"id": "remote", "fitting": "remote", "is_remote": True})


GEAR_TWISTS: tuple[Twist, ...] = (
    few_bodies,
    few_supports,
    owners,
    dates,
    two_days,
    few_cards,
    two_cards,
    few_batteries,
    payload,
    fittings,
    head_payload,
    plates,
    heights,
    footprints,
    heavy_legs,
    mains,
    skills,
    jib,
    unsteady,
    stiff_head,
    automatic,
    sandbags,
    light_limits,
    own_light,
    roaming,
    shallow,
    closest_focus,
    image_circle,
    rings,
    glass,
    taken,
    modes,
    shutters,
    rolling,
    out_of_reach,
)
