"""Hazards of the work that a plan asks for, and where each comes up.

Only those that apply; `measures` says what is usually done. Nothing here approves anything.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime

from kitplan.gear.records import Body, Charger, Support
from kitplan.paper.cautions import is_on_mains, is_public, is_shut_in, support_of
from kitplan.paper.layout import counted, joined
from kitplan.paper.measures import MEASURES
from kitplan.paper.names import Names
from kitplan.plan.records import Placement
from kitplan.shoot.records import Pass, Shoot

Where = Iterator[str]
CLOSE_M = 6.0
"""Nearer than this to who plays loud a camera stands in the noise of the stage."""
HIGH_M = 1.0
"""A floor this far above the house has an edge that matters."""
LONG_DAY_H = 6.0
MOST_PLACES = 4
"""More places than these are told by pass and letter."""


@dataclass(frozen=True)
class Hazard:
    """Something that can hurt somebody."""

    name: str
    where: tuple[str, ...]
    """Cameras, places and cases that it is about."""
    measures: tuple[str, ...]


def hazards(names: Names) -> tuple[Hazard, ...]:
    """Return the hazards that apply to a plan, those from above first."""
    found = (
        Hazard(name, tuple(dict.fromkeys(where(names))), MEASURES[name]) for name, where in _HAZARDS
    )
    return tuple(each for each in found if each.where)


# -- by place --------------------------------------------------------------------------------------


def _cameras(names: Names, applies: Callable[[Placement], bool]) -> Where:
    """Yield the cameras that apply: place by place, or where those are many pass by pass."""
    found = [placement for placement in names.plan.placements if applies(placement)]
    places = list(dict.fromkeys(names.place(each) for each in found))
    if len(places) > MOST_PLACES:
        for pass_id in names.plan.pass_ids():
            letters = sorted(each.letter for each in found if each.pass_id == pass_id)
            if letters:
                cameras = "camera" if len(letters) == 1 else "cameras"
                yield f"{names.pass_label(pass_id)}: {cameras} {joined(letters)}"
        return
    for place in places:
        passes: dict[str, list[str]] = {}
        for each in found:
            if names.place(each) == place:
                passes.setdefault(names.pass_label(each.pass_id), []).append(each.letter)
        cameras = joined([f"{joined(sorted(letters))} in {p}" for p, letters in passes.items()])
        yield f"{place}: camera {cameras}"


def _overhead(names: Names) -> Where:
    found = [p for p in names.plan.placements if names.position(p).is_overhead]
    yield from _cameras(names, lambda p: p in found)
    for placement in found:
        said = names.position(placement).permission
        if said is not None:
            yield f"permission {said.state}{f' by {said.by}' if said.by else ''}"
    for shoot_id in dict.fromkeys(p.pass_id.partition("/")[0] for p in found):
        crew = names.plan.shoots[shoot_id].crew
        riggers = [person.label for person in crew if "rigging" in person.skills]
        if riggers:
            yield f"of the crew may rig: {joined(riggers)}"


def _rails(names: Names) -> Where:
    def applies(placement: Placement) -> bool:
        position = names.position(placement)
        return position.stands_on in ("rail", "bar") and not position.is_overhead

    return _cameras(names, applies)


def _high(names: Names) -> Where:
    def applies(placement: Placement) -> bool:
        position = names.position(placement)
        stage_m = names.plan.pass_of(placement.pass_id)[0].venue.stage.height_m
        is_stage = position.is_on_stage and position.floor_height_m <= stage_m
        return position.stands_on == "floor" and position.floor_height_m > HIGH_M and not is_stage

    return _cameras(names, applies)


def _arms(names: Names) -> Where:
    yield from _cameras(names, lambda p: support_of(names, p).is_arm)
    for item in dict.fromkeys(
        support_of(names, p) for p in names.plan.placements if support_of(names, p).is_arm
    ):
        reach = f", reaches {item.sweep_m:g} m" if item.sweep_m else ""
        people = f", {counted(item.people, 'person', 'people')} to run it"
        yield f"{item.name}: {item.mass_kg:g} kg{reach}{people}"


def _shut_in(names: Names) -> Where:
    return _cameras(names, lambda p: p.operator is not None and is_shut_in(names, p))


def _public(names: Names) -> Where:
    return _cameras(names, lambda p: is_public(names, p))


def _outdoors(names: Names) -> Where:
    return _cameras(names, lambda p: names.position(p).is_outdoors)


def _noise(names: Names) -> Where:
    def applies(placement: Placement) -> bool:
        shoot, _ = names.plan.pass_of(placement.pass_id)
        return (
            shoot.performance == "concert"
            and placement.operator is not None
            and (names.position(placement).is_on_stage or placement.shot.distance_m < CLOSE_M)
        )

    return _cameras(names, applies)


def _crowd(names: Names) -> Where:
    def applies(placement: Placement) -> bool:
        shoot, each = names.plan.pass_of(placement.pass_id)
        stands = any(a.state == "standing" for a in shoot.venue.audience)
        return each.has_audience and stands and is_public(names, placement)

    return _cameras(names, applies)


# -- by thing --------------------------------------------------------------------------------------


def _mains(names: Names) -> Where:
    yield from _cameras(names, lambda p: is_on_mains(names, p))
    day = names.plan.day
    for run in day.sound.runs if day and day.sound else ():
        if run.is_on_mains:
            shoot, _ = names.plan.pass_of(run.pass_id)
            setup = next(one for one in shoot.sound if one.id == run.setup)
            yield f"{setup.label} at {setup.at}"
    if day and day.power and day.power.charges:
        bays = {charge.bay.partition("/")[0] for charge in day.power.charges}
        yield f"chargers: {joined(sorted(bays))}"
    if day and day.media and day.media.copies:
        yield f"copying: {joined(sorted({copy.laptop for copy in day.media.copies}))}"


def _batteries(names: Names) -> Where:
    packs = {unit for p in names.plan.placements for unit in p.batteries}
    if packs:
        yield f"{counted(len(packs), 'battery', 'batteries')} in cameras"
    chargers = [
        unit for unit in names.plan.kit.units if isinstance(names.item_of(unit.id), Charger)
    ]
    if packs and chargers:
        yield counted(len(chargers), "charger")


def _lifting(names: Names) -> Where:
    day = names.plan.day
    for load in day.cases.loads if day and day.cases else ():
        for case in load.cases:
            if case.hands > 1:
                yield f"case {case.case}: {case.gross_kg:.1f} kg packed"
    limit_kg = min(shoot.rules.lift_kg for shoot in names.plan.shoots.values())
    for placement in names.plan.placements:
        for unit in placement.units:
            item = names.item_of(unit)
            if item.mass_kg > limit_kg:
                yield f"{item.name} (camera {placement.letter}): {item.mass_kg:g} kg"


def _heat(names: Names) -> Where:
    for placement in names.plan.placements:
        item = names.item_of(placement.rig.body)
        if isinstance(item, Body) and item.heat_limit_min:
            yield f"{item.name} (camera {placement.letter}): hot after {item.heat_limit_min:g} min"


def _handheld(names: Names) -> Where:
    def applies(placement: Placement) -> bool:
        support: Support = support_of(names, placement)
        is_held = not support.can_stand_alone and not support.is_arm
        return placement.operator is not None and is_held

    return _cameras(names, applies)


# -- by people and hours ---------------------------------------------------------------------------


def _long_days(names: Names) -> Where:
    for shoot_id, shoot in names.plan.shoots.items():
        for day, (begin, end) in _days(names, shoot_id, shoot).items():
            hours = (end - begin).total_seconds() / 3600
            if hours >= LONG_DAY_H:
                passes = [each.label for each in shoot.passes if each.start.date() == day]
                yield f"{joined(passes)}: {hours:.0f} hours and the get-out"


def _days(names: Names, shoot_id: str, shoot: Shoot) -> dict[date, tuple[datetime, datetime]]:
    """Return from when to when each day of a shoot goes, load-in and get-out with it."""
    spans = [(each.start, shoot.end_of(each)) for each in shoot.passes]
    work = names.plan.day.work if names.plan.day else None
    own = f"{shoot_id}/"
    for gap in work.gaps if work else ():
        is_own = any(each and each.startswith(own) for each in (gap.after, gap.before))
        if is_own and gap.jobs and gap.after is None:
            spans.append((gap.begin, gap.gate or gap.begin))
    found: dict[date, tuple[datetime, datetime]] = {}
    for begin, end in spans:
        day = begin.date()
        least, most = found.get(day, (begin, end))
        found[day] = (min(least, begin), max(most, end))
    return found


def _dark(names: Names) -> Where:
    for shoot in names.plan.shoots.values():
        for each in shoot.passes:
            if each.is_dark_after:
                yield f"work after {each.label}"
            elif _is_watched(each):
                yield f"{each.label}: everybody who walks in the dark house"


def _is_watched(each: Pass) -> bool:
    return each.has_audience and each.is_in_show_light


def _children(names: Names) -> Where:
    for shoot in names.plan.shoots.values():
        labels = [s.label for s in shoot.subjects if s.posture == "child"]
        if labels:
            yield f"in the picture: {joined(labels)}"
        elif shoot.performance == "school":
            yield "a school's evening"


def _consent(names: Names) -> Where:
    for shoot in names.plan.shoots.values():
        refused = [s.label for s in shoot.subjects if not s.has_consent]
        if refused:
            yield f"no consent: {joined(refused)}"
    yield from _cameras(names, lambda p: _frames_audience(names, p))


def _frames_audience(names: Names, placement: Placement) -> bool:
    subjects = names.plan.pass_of(placement.pass_id)[0].subjects_by_id
    return any(subjects[f.subject].kind == "audience" for f in (placement.shot, *placement.menu))


def _lasers(names: Names) -> Where:
    for shoot in names.plan.shoots.values():
        lasers = [lamp.id for lamp in shoot.venue.lamps if lamp.kind == "laser"]
        if lasers:
            yield f"listed: {joined(lasers)}"


_HAZARDS: tuple[tuple[str, Callable[[Names], Where]], ...] = (
    ("Overhead rigging", _overhead),
    ("Things on rails above people", _rails),
    ("High places", _high),
    ("Arm", _arms),
    ("Mains", _mains),
    ("Batteries on charge", _batteries),
    ("Lifting and carrying", _lifting),
    ("Trips, gangways and exits", _public),
    ("Standing crowd", _crowd),
    ("No way in or out during the pass", _shut_in),
    ("Dark", _dark),
    ("Lasers", _lasers),
    ("Noise", _noise),
    ("Heat of cameras", _heat),
    ("Outdoors", _outdoors),
    ("Held by hand", _handheld),
    ("Long day", _long_days),
    ("Children", _children),
    ("Consent", _consent),
)
