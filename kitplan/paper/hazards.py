"""Hazards of the work that a plan asks for: where each comes up, and what is usually done about it.

Only those that apply. The measures are common practice among small crews, no source; they defer to
the venue, local codes and licensed people, and approve nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from kitplan.gear.records import Body, Charger, Support
from kitplan.paper.cautions import is_on_mains, is_public, is_shut_in, support_of
from kitplan.paper.layout import counted, joined
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
        Hazard(name, tuple(dict.fromkeys(where(names))), measures)
        for name, where, measures in _HAZARDS
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
                span = f"{begin:%H:%M} to {end:%H:%M} and the get-out"
                yield f"{day}: {span}, {hours:.0f} hours and more"


def _days(names: Names, shoot_id: str, shoot: Shoot) -> dict[str, tuple[datetime, datetime]]:
    """Return from when to when each day of a shoot goes, load-in and get-out with it."""
    spans = [(each.start, shoot.end_of(each)) for each in shoot.passes]
    work = names.plan.day.work if names.plan.day else None
    own = f"{shoot_id}/"
    for gap in work.gaps if work else ():
        is_own = any(each and each.startswith(own) for each in (gap.after, gap.before))
        if is_own and gap.jobs and gap.after is None:
            spans.append((gap.begin, gap.gate or gap.begin))
    found: dict[str, tuple[datetime, datetime]] = {}
    for begin, end in spans:
        day = f"{begin:%a} {begin.day} {begin:%b}"
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


_HAZARDS: tuple[tuple[str, Callable[[Names], Iterable[str]], tuple[str, ...]], ...] = (
    (
        "Overhead rigging",
        _overhead,
        (
            "Permission of the venue by name, before anything is lifted",
            "Rated fixings only; a steel bond without slack on every part: head, body, lens",
            "Two people, one of them may rig; tools on lanyards, pockets empty",
            "Roped off below, nobody underneath; never over people who sit or play there",
            "The venue's competent person looks last; bonds come off last",
        ),
    ),
    (
        "Things on rails above people",
        _rails,
        (
            "Clamp on what bears it, not on trim; ask the venue which rail",
            "Bond on every part; nothing loose laid on the rail: caps, phones, cups",
            "Second look by somebody else; nobody below while it is clamped",
        ),
    ),
    (
        "High places",
        _high,
        (
            "Behind a rail, or not at all; feet and legs away from the edge",
            "Camera and long lens tied; nothing put down on the edge",
            "Ladders held by a second person; hands free on the way up",
        ),
    ),
    (
        "Arm",
        _arms,
        (
            "Only people who have learned it, one of them at the weights",
            "Weights on before the camera, off after it; base weighted and level",
            "Sweep roped off or watched; never over people; parked and tied when nobody holds it",
            "The venue agrees first",
        ),
    ),
    (
        "Mains",
        _mains,
        (
            "The venue's electrician says which outlets, and has the last word",
            "Residual-current device (RCD, GFCI); never a dimmed outlet, never the lights' own",
            "Tested leads, uncoiled, dry; tails taped down or ramped",
        ),
    ),
    (
        "Batteries on charge",
        _batteries,
        (
            "On something that does not burn, not covered, in sight of somebody",
            "No swollen, wet or dropped battery in a bay or camera",
            "Contacts covered on the way; out of the heat of a closed car",
        ),
    ),
    (
        "Lifting and carrying",
        _lifting,
        (
            "Two people or wheels for each of these; who says no carries less",
            "Way walked first: doors held, steps known, floor dry",
            "Venue's and employer's own limits come first",
        ),
    ),
    (
        "Trips, gangways and exits",
        _public,
        (
            "Legs and cables out of aisles, exits and wheelchair bays",
            "No cable across a way out; elsewhere taped flat or ramped",
            "Legs marked white; weights on legs that somebody may knock",
            "Front of house and the fire rules decide, and look before doors",
        ),
    ),
    (
        "Standing crowd",
        _crowd,
        (
            "A barrier or the house's own people between crowd and camera",
            "Nobody alone in the crowd; way out agreed before doors",
            "It gets tight: leave the camera, not the way out",
        ),
    ),
    (
        "No way in or out during the pass",
        _shut_in,
        (
            "Water, toilet and light before doors; a sign to the crew lead agreed",
            "Everybody there knows the way out in an emergency and takes it",
        ),
    ),
    (
        "Dark",
        _dark,
        (
            "Red torch for everybody; walk the ways once in the light",
            "Edges, steps and legs marked; no running",
        ),
    ),
    (
        "Lasers",
        _lasers,
        (
            "Never in a lens, never in eyes; ask the operator where they sweep, mirrors too",
            "Angles agreed by name; off or capped during rigging",
        ),
    ),
    (
        "Noise",
        _noise,
        ("Hearing protection for these places, worn from the first sound check on",),
    ),
    (
        "Heat of cameras",
        _heat,
        ("Not covered, not in the beam of a lamp; let it cool before it goes into a case",),
    ),
    (
        "Outdoors",
        _outdoors,
        (
            "Somebody watches wind and rain; arm and high legs come down first",
            "Weights and ties on everything; nothing electric wet",
            "Lightning: everybody down and under a roof",
        ),
    ),
    (
        "Held by hand",
        _handheld,
        ("Arms rested every 10 to 15 minutes, between songs; somebody to take over",),
    ),
    (
        "Long day",
        _long_days,
        (
            "Meals, water and a sitting break as on the day sheet; nobody skips them",
            "Nobody rigs overhead, lifts or drives home tired; change over",
        ),
    ),
    (
        "Children",
        _children,
        (
            "School or chaperone says who may be filmed, and where cameras and people may be",
            "Nobody of the crew alone with a child; nothing filmed or posted from phones",
        ),
    ),
    (
        "Consent",
        _consent,
        (
            "List of who may not be filmed with the crew lead",
            "Notice at the doors where the audience is filmed; who asks is left out",
        ),
    ),
)
