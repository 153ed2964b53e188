"""The line-up of a plan: what all cameras are set to alike, and how late each hears the stage."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from math import dist, log2

from kitplan.gear.records import Body, Lens, RecordingMode, Sound, Support
from kitplan.optics.sound import delay_s, drift_s
from kitplan.plan.records import Placement, Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass, Shoot
from kitplan.shoot.venue import Light, Position
from kitplan.shoot.working import SoundSetup
from kitplan.tables import table

WIDE_RANGE_STOPS = 1.0
"""Above this a camera that is set for the dim light is blown out in the bright one."""


@dataclass(frozen=True)
class WhiteBalance:
    """The fixed balance of all cameras in a pass, and whose subject is lit otherwise."""

    kelvin: int
    lamp: str
    others: tuple[tuple[str, str, int], ...]
    """Camera letter, lamp and kelvin of what it films where that is another kind of light."""


@dataclass(frozen=True)
class Heard:
    """The sound that a camera records beside its picture."""

    letter: str
    distance_m: float
    """From the middle of the stage's front edge to the camera."""
    late_frames: float
    """How much later it hears the stage than the master recording does; below zero: earlier."""


@dataclass(frozen=True)
class CameraLine:
    """What one camera is set to in one pass."""

    placement: Placement
    body: Body
    mode: RecordingMode
    is_steadied: bool
    """It has a stabiliser, which is on: a hand carries it, or holds it up."""


@dataclass(frozen=True)
class Trial:
    """Something to look at in the real light, with the shutter that is set."""

    what: str
    """dimming, unknown dimming, screen, range, daylight, colours."""
    subjects: tuple[str, ...]
    """Ids; empty for all that no other row lights."""
    pwm_hz: float | None = None
    stops: float = 0.0


@dataclass(frozen=True)
class PassLineUp:
    """The line-up of one pass."""

    pass_id: str
    balance: WhiteBalance | None
    """None where no camera stands in the pass."""
    cameras: tuple[CameraLine, ...]
    heard: tuple[Heard, ...]
    master: SoundSetup | None
    master_late_m: float
    """How far from the stage the master's microphones stand; 0 with a feed from the desk."""
    drift_frames: float
    """How far two recorders run apart over the pass."""
    trials: tuple[Trial, ...]


@dataclass(frozen=True)
class Weakest:
    """The body that sets the common look: the others are matched to it."""

    body: str
    """Item id."""
    is_automatic: bool


def line_ups(plan: Plan) -> tuple[PassLineUp, ...]:
    """Return the line-up of each pass."""
    return tuple(_pass(plan, pass_id) for pass_id in plan.pass_ids())


def weakest_body(plan: Plan) -> Weakest | None:
    """Return the body in use that can be set least: automatic only, then least ISO, then least
    sensor; None without cameras.
    """
    bodies = {one.id: one for p in plan.placements if (one := _body(plan, p))}
    if not bodies:
        return None
    worst = min(
        bodies.values(),
        key=lambda one: (one.has_manual_control, one.max_iso, one.sensor_width_mm, one.id),
    )
    return Weakest(worst.id, not worst.has_manual_control)


def _body(plan: Plan, placement: Placement) -> Body:
    item = _item(plan, placement.rig.body)
    assert isinstance(item, Body)  # a plan is whole before it is printed
    return item


def _item(plan: Plan, unit_id: str) -> object:
    unit = next(each for each in plan.kit.units if each.id == unit_id)
    return plan.kit.items_by_id[unit.item]


def _pass(plan: Plan, pass_id: str) -> PassLineUp:
    shoot, each = plan.pass_of(pass_id)
    brief = Brief(shoot, plan.kit)
    placements = plan.placements_in(pass_id)
    master = _master(plan, shoot, each)
    late_m = _master_m(plan, shoot, master)
    rules, rate = shoot.rules, shoot.delivery.frame_rate_fps
    heard = []
    for placement in placements:
        away = distance_m(_position(shoot, placement.position))
        late_s = delay_s(away, rules.air_c) - delay_s(late_m, rules.air_c)
        heard.append(Heard(placement.letter, away, late_s * rate))
    return PassLineUp(
        pass_id,
        _balance(brief, each, placements),
        tuple(_line(plan, placement) for placement in placements),
        tuple(heard),
        master,
        late_m,
        drift_s(shoot.length_min(each) * 60, rules.clock_ppm) * rate,
        _trials(brief, each),
    )


def _line(plan: Plan, placement: Placement) -> CameraLine:
    body = _body(plan, placement)
    mode = next(mode for mode in body.modes if mode.name == placement.rig.mode)
    support = _item(plan, placement.rig.support)
    assert isinstance(support, Support)
    is_held = not support.can_stand_alone and not support.is_arm
    return CameraLine(placement, body, mode, is_held and _has_stabiliser(plan, placement, body))


def _has_stabiliser(plan: Plan, placement: Placement, body: Body) -> bool:
    lens = placement.rig.lens and _item(plan, placement.rig.lens)
    optic = lens if isinstance(lens, Lens) else body.built_in
    return max(body.stabiliser_stops, optic.stabiliser_stops if optic else 0.0) > 0


# -- sound -----------------------------------------------------------------------------------------


def distance_m(position: Position) -> float:
    """Return how far a lens is from the middle of the stage's front edge, in m."""
    return dist(position.lens_at_m, (0.0, 0.0, 0.0))


def _position(shoot: Shoot, position_id: str) -> Position:
    return next(each for each in shoot.venue.positions if each.id == position_id)


def _master(plan: Plan, shoot: Shoot, each: Pass) -> SoundSetup | None:
    """Return the best recording of the sound of a pass: the first setup that records all of it; in
    a plan that does not say which do, the first that is listed for it.
    """
    sound = plan.day.sound if plan.day else None
    runs = sound.runs if sound else ()
    recording = {r.setup for r in runs if r.pass_id.partition("/")[2] == each.id and r.holds}
    return next(
        (
            one
            for one in shoot.sound
            if (one.passes is None or each.id in one.passes)
            and (sound is None or one.id in recording)
        ),
        None,
    )


def _master_m(plan: Plan, shoot: Shoot, master: SoundSetup | None) -> float:
    """Return how far the sound travels to the master: not at all through the desk."""
    places = {each.id: each for each in shoot.venue.positions}
    if master is None or master.position not in places:
        return 0.0  # where it stands is not known: as if at the stage
    sources = [plan.kit.items_by_id.get(source) for source in master.sources]
    if any(isinstance(one, Sound) and one.what == "desk-feed" for one in sources):
        return 0.0
    return distance_m(places[master.position])


# -- light -----------------------------------------------------------------------------------------


def _balance(brief: Brief, each: Pass, placements: tuple[Placement, ...]) -> WhiteBalance | None:
    """Return the balance of the light in which most cameras film their main subject."""
    subjects = brief.shoot.subjects_by_id
    lamps = {
        one.letter: light.lamp
        for one in placements
        if (light := brief.light_on(subjects[one.shot.subject], each)) is not None
    }
    if not lamps:
        return None
    kelvins: dict[str, int] = table("white_balance")
    order = list(kelvins)
    numbers = Counter(lamps.values())
    lamp = min(numbers, key=lambda one: (-numbers[one], order.index(one)))
    others = ((letter, one, kelvins[one]) for letter, one in lamps.items())
    return WhiteBalance(
        kelvins[lamp], lamp, tuple(row for row in others if row[2] != kelvins[lamp])
    )


def _trials(brief: Brief, each: Pass) -> tuple[Trial, ...]:
    """Return what the rows of light that count in a pass ask to be looked at."""
    rows: dict[Light, list[str]] = {}
    for subject in brief.shoot.subjects:
        light = brief.light_on(subject, each)
        if light is not None:
            rows.setdefault(light, []).append(subject.id)
    found = [trial for light, lit in rows.items() for trial in _row_trials(light, tuple(lit))]
    if len({light.lamp for light in rows}) > 1:
        found.append(Trial("colours", ()))
    return tuple(found)


def _row_trials(light: Light, subjects: tuple[str, ...]) -> list[Trial]:
    found = []
    lit = subjects if light.subjects is not None else ()
    if light.lamp == "led":
        what = "dimming" if light.pwm_hz else "unknown dimming"
        found.append(Trial(what, lit, pwm_hz=light.pwm_hz))
    elif light.lamp in ("screen", "daylight"):
        found.append(Trial(light.lamp, lit))
    stops = log2(light.bright_lux / light.dim_lux)
    if stops > WIDE_RANGE_STOPS:
        found.append(Trial("range", lit, stops=stops))
    return found
