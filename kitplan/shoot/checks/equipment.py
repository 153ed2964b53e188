"""The kit can do the shoot at all: cameras, their recording, and supports for the positions."""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.gear.kit import Kit
from kitplan.gear.records import Body, Support
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.fault import Fault, listed
from kitplan.shoot.venue import Position

_MOST_LISTED = 8


def no_camera(brief: Brief) -> Iterator[Fault]:
    """There is a body, one that is owned, and one that is there on the day of each pass."""
    kit = brief.kit
    bodies = list(kit.of_kind(Body))
    if not kit.items:
        yield Fault(("kit",), "the kit is empty", "Name a kit file with items and units")
    elif not bodies:
        yield Fault(("kit",), "the kit has no body", "Add an item of kind body with a unit")
    elif not owned_bodies(kit):
        wrong = f"the kit has no unit of any body ({', '.join(body.id for body in bodies)})"
        right = f"Add a row under units, such as {{id: {bodies[0].id}-1, item: {bodies[0].id}}}"
        yield Fault(("kit",), wrong, right)
    else:
        yield from _nothing_on_the_day(brief)


def _nothing_on_the_day(brief: Brief) -> Iterator[Fault]:
    for index, each in enumerate(brief.shoot.passes):
        if not any(brief.free_units(body.id, each) for body in owned_bodies(brief.kit)):
            wrong = f"no unit of any body can be used on {brief.day_of(each)}, in pass '{each.id}'"
            bars: dict[str, list[str]] = {}
            for bar in (bar for body in owned_bodies(brief.kit) for bar in brief.bars(body.id)):
                if bar.day == brief.day_of(each):
                    bars.setdefault(bar.words, []).append(bar.unit.id)
            words = [f"{listed(ids)} ({words})" for words, ids in bars.items()]
            right = f"Free one of them: {'; '.join(words[:_MOST_LISTED])}"
            yield Fault(("passes", index, "start"), wrong, right)


def owned_bodies(kit: Kit) -> list[Body]:
    """Return the bodies that there is a unit of."""
    return [body for body in kit.of_kind(Body) if body.id in kit.units_by_item]


def wrong_delivery(brief: Brief) -> Iterator[Fault]:
    """Some owned body records what is delivered."""
    bodies = owned_bodies(brief.kit)
    if not bodies or any(map(brief.modes_of, bodies)):
        return
    wanted = brief.shoot.delivery
    modes = {
        f"{m.frame_width_px} x {m.frame_height_px} at {m.frame_rate_fps:g}"
        for body in bodies
        for m in body.modes
    }
    shown = [*sorted(modes)[:_MOST_LISTED], *(["..."] if len(modes) > _MOST_LISTED else [])]
    wrong = (
        f"no body records {wanted.frame_width_px} x {wanted.frame_height_px} or more at "
        f"{wanted.frame_rate_fps:g} frames per second"
    )
    yield Fault(("delivery",), wrong, f"The bodies record {'; '.join(shown)}")


def no_shutter(brief: Brief) -> Iterator[Fault]:
    """Some shutter speed of the bodies is as short as one frame."""
    rate_fps = brief.shoot.delivery.frame_rate_fps
    speeds = [speed for body in brief.kit.of_kind(Body) for speed in brief.speeds_of(body)]
    if speeds and max(speeds) < rate_fps:
        wrong = (
            f"the shortest shutter time of the bodies is 1/{max(speeds):g} s, longer than one "
            f"frame at {rate_fps:g} frames per second"
        )
        right = "Add shorter ones to shutter_speeds_per_s of a body, or correct frame_rate_fps"
        yield Fault(("delivery", "frame_rate_fps"), wrong, right)


def unsupported_positions(brief: Brief) -> Iterator[Fault]:
    """At every position that may be used some owned support stands and reaches the height."""
    kit = brief.kit
    supports = [s for s in kit.of_kind(Support) if s.id in kit.units_by_item]
    if not owned_bodies(kit):
        return
    for index, position in enumerate(brief.shoot.venue.positions):
        if position.permission is not None and position.permission.state == "refused":
            continue
        place = ("venue", "positions", index)
        standing = [one for one in supports if position.stands_on in one.stands_on]
        if not standing:
            wrong = (
                f"no owned support stands on a {position.stands_on}, as '{position.id}' asks for"
            )
            right = "Correct stands_on, add such a support to the kit, or take the position out"
            yield Fault((*place, "stands_on"), wrong, right)
        elif not any(_reaches(brief, one, position) for one in standing):
            yield Fault((*place, "lens_height_m"), *_out_of_reach(brief, standing, position))


def _reaches(brief: Brief, support: Support, position: Position) -> bool:
    return _miss_m(support, position) <= brief.shoot.rules.height_slack_m + 1e-9


def _miss_m(support: Support, position: Position) -> float:
    """How far the lens height lies outside the range of a support."""
    height_m = position.lens_height_m
    return max(support.height_min_m - height_m, height_m - support.height_max_m, 0.0)


def _out_of_reach(brief: Brief, standing: list[Support], position: Position) -> tuple[str, str]:
    near = min(standing, key=lambda one: _miss_m(one, position))
    wrong = (
        f"position '{position.id}' wants the lens at {position.lens_height_m:g} m, out of reach "
        f"of every owned support that stands on the {position.stands_on}"
    )
    slack_m = brief.shoot.rules.height_slack_m
    right = (
        f"The nearest is '{near.id}' with {near.height_min_m:g} to {near.height_max_m:g} m; "
        f"height_slack_m allows {slack_m:g} m more"
    )
    return wrong, right
