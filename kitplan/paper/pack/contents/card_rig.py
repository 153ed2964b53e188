"""What a card says before the first song: where the camera stands, how it is built and set."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from math import atan2, degrees

from kitplan.gear.records import Accessory, AnyItem, Support
from kitplan.paper.drawings.looks import look_of
from kitplan.paper.layout import joined
from kitplan.paper.line_up import iso_range
from kitplan.paper.lists import camera_group
from kitplan.paper.marks import LEAST_ND_STOPS, speed
from kitplan.paper.pack.blocks import Beside, Facts
from kitplan.paper.pack.contents.card_camera import Camera
from kitplan.paper.power import as_they_go_in
from kitplan.paper.shots import clock as minutes_and_seconds
from kitplan.plan.verify.lasting import is_on_mains
from kitplan.shoot.venue import Lamp

WAYS = (
    "straight upstage",
    "upstage and to house right",
    "to house right",
    "into the house and to house right",
    "straight into the house",
    "into the house and to house left",
    "to house left",
    "upstage and to house left",
)
"""Eight ways to look, clockwise from upstage."""
LEVEL_DEG = 5.0
FAR_M = 200.0
"""Sharp to more than that is sharp to the horizon."""
STEEP_DEG = 60.0
STEPS = (
    ("Stand", ("support", "sandbag", "head", "clamp")),
    ("Camera", ("plate", "body", "adapter", "lens")),
    ("Tie", ("bond",)),
    ("Power", ("mains-lead", "battery")),
    ("Card", ("media",)),
    ("Off", ("cap",)),
)
"""Steps of building, from the floor up, by kind of item or by what an accessory serves."""


# -- where -----------------------------------------------------------------------------------------


def where(camera: Camera) -> Facts:
    """Return where it stands, how high, and which way it looks."""
    position, setting = camera.position, camera.of.setting
    above = setting.length(position.lens_height_m)
    over_house = setting.length(position.lens_at_m[2])
    height = {
        "floor": f"lens {above} over the floor it stands on",
        "rail": f"clamped to the rail, lens {over_house} over the house floor",
        "bar": f"hung from the bar, lens {over_house} over the house floor",
    }[position.stands_on]
    rows = [("Where", position.label), ("Height", height), ("Looks", _way(camera))]
    if roles := camera.of.names.roles(camera.placement):
        rows.append(("For", roles))
    return Facts(tuple(rows), is_large=True)


def _way(camera: Camera) -> str:
    look = look_of(camera.of.names, camera.placement, camera.placement.shot)
    tilt = look.tilt_deg
    if tilt > STEEP_DEG:
        return "nearly straight down"
    x, y = (look.aim_m[axis] - look.lens_m[axis] for axis in (0, 1))
    way = WAYS[round(degrees(atan2(x, y)) / 45) % 8]
    if abs(tilt) < LEVEL_DEG:
        return f"{way}, level"
    return f"{way}, {abs(tilt):.0f} degrees {'down' if tilt > 0 else 'up'}"


def cares(camera: Camera) -> Iterator[str]:
    """Yield what somebody could be hurt by, and who has the say."""
    position = camera.position
    if position.is_overhead:
        said = position.permission.by if position.permission else ""
        yield f"Above people: only with the venue's yes{f' ({said})' * bool(said)}."
        yield "Somebody competent rigs it, a second person helps, nobody stands below."
        yield "Bond on before you let go, off last. The venue's rules come first."
    support = camera.of.names.item_of(camera.placement.rig.support)
    assert isinstance(support, Support)  # a whole plan names supports as supports
    if support.people > 1:
        yield f"Never alone at this rig: it takes {support.people} people."
    if support.is_arm:
        yield "Weights on first, off last. Nobody under the arm or in its sweep."
    if any(
        _word(item) == "mains-lead" for item in map(camera.of.names.item_of, camera.placement.units)
    ):
        yield "Mains: the venue's sockets only, lead taped flat, never across an exit."
    if position.has_public and camera.placement.operator is None:
        yield "The public can reach it: weight or tie it, keep it out of the way."
    if any(lamp.kind == "laser" for lamp in camera.of.shoot.venue.lamps if _is_on(camera, lamp)):
        yield "Laser: never point the lens at it, never look into it."


def _is_on(camera: Camera, lamp: Lamp) -> bool:
    return lamp.passes is None or camera.of.clock.each.id in lamp.passes


# -- the rig ---------------------------------------------------------------------------------------


def build(camera: Camera) -> Facts:
    """Return what it is built of, from the floor up."""
    names, placement = camera.of.names, camera.placement
    units = [entry.unit for entry in camera_group(names, placement).entries]
    rows = [row for row in _steps(camera, units) if row[1]]
    return Facts(tuple(rows), is_large=True)


def _steps(camera: Camera, units: Sequence[str]) -> Iterator[tuple[str, str]]:
    names, taken = camera.of.names, set[str]()
    for label, words in STEPS:
        mine = [unit for unit in units if _word(names.item_of(unit)) in words]
        taken |= set(mine)
        if label == "Power":
            yield label, _power(camera, mine)
        elif label == "Card":
            yield label, _in_and_with_you(mine)
        elif label == "Off":
            yield label, joined([f"{names.unit(unit)}, into your pocket" for unit in mine])
        else:
            yield label, _counted(names.unit(unit) for unit in mine)
    yield "Also", _counted(names.unit(unit) for unit in units if unit not in taken)


def _counted(things: Iterable[str]) -> str:
    """Return things in order, equal ones once: '3 x sandbag'."""
    numbers = Counter(things)
    return ", ".join(f"{many} x {thing}" if many > 1 else thing for thing, many in numbers.items())


def _word(item: AnyItem) -> str:
    return item.serves if isinstance(item, Accessory) else item.kind


def _power(camera: Camera, units: Sequence[str]) -> str:
    names = camera.of.names
    leads = _counted(names.unit(u) for u in units if _word(names.item_of(u)) == "mains-lead")
    batteries = _as_they_go_in(camera, [u for u in units if u in camera.placement.batteries])
    parts = [leads, _in_and_with_you(batteries)]
    if not leads and is_on_mains(camera.line.body, camera.position):
        parts.insert(0, "mains")
    return "; ".join(part for part in parts if part)


def _as_they_go_in(camera: Camera, units: Sequence[str]) -> list[str]:
    """Return batteries in the order of the battery rota, those that it leaves spare last."""
    power, pass_id = camera.of.source.day.power, camera.of.clock.pass_id
    uses = [use for use in power.uses if use.pass_id == pass_id] if power else []
    order = [use.unit for use in as_they_go_in(camera.of.names, uses)]
    return sorted(units, key=lambda unit: order.index(unit) if unit in order else len(order))


def _in_and_with_you(units: Sequence[str]) -> str:
    """Return the first unit as the one that goes in, the others as those to be carried."""
    if not units:
        return ""
    with_you = f"; with you: {', '.join(units[1:])}" if units[1:] else ""
    return f"{units[0]} in{with_you}"


# -- settings --------------------------------------------------------------------------------------


def settings(camera: Camera) -> Beside:
    """Return what it is set to, in two columns."""
    rows = tuple(_settings(camera))
    half = (len(rows) + 1) // 2
    return Beside((Facts(rows[:half], is_large=True),), (Facts(rows[half:], is_large=True),))


def _settings(camera: Camera) -> Iterator[tuple[str, str]]:
    line, shot, plan = camera.line, camera.placement.shot, camera.of.source.plan
    length = camera.of.setting.length
    yield "Mode", line.mode.name
    yield "Rate", f"{line.mode.frame_rate_fps:g} a second"
    yield "Shutter", speed(plan.shutter_s)
    yield "Stop", f"f/{shot.stop:.2g}"
    bright, dim = iso_range(shot)
    yield "ISO", f"{bright} to {dim}" if bright < dim else f"{dim}"
    if shot.nd_stops >= LEAST_ND_STOPS:
        yield "ND", f"up to {shot.nd_stops:.1f} stops"
    balance = camera.of.line_up.balance
    yield "Balance", f"{balance.kelvin} K fixed" if balance else "on the card, fixed"
    far = "far" if shot.far_m is None or shot.far_m > FAR_M else length(shot.far_m)
    yield "Focus", f"{length(shot.focus_m)}"
    yield "Sharp", f"{length(shot.near_m)} to {far}"
    yield "Stabiliser", "on" if line.is_steadied else "off"
    yield "Clip", _clip(camera)


def _clip(camera: Camera) -> str:
    mode = camera.line.mode
    if mode.clip_limit_min is None:
        return "no limit"
    limit = minutes_and_seconds(mode.clip_limit_min * 60)
    return f"stops at {limit}" if mode.at_limit == "stops" else f"goes on after {limit}"
