"""The work between two passes: what stays, what is struck and built, and whether hands suffice.

Counted in tenths of a person-minute. A rig that stays costs a few minutes for media, battery,
level, frame, focus and clock; everything else is struck and built. Rigs at one position are
counted by what is there, not by slot, so that a plan never depends on slot numbers.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.nogoods import still_holds
from kitplan.allocate.readback import Chosen
from kitplan.allocate.variables import Slot, Variables, total
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass, Shoot
from kitplan.tables import table
from kitplan.units import budget_tenths, work_tenths


@dataclass(frozen=True)
class Reset:
    """Work of one reset as an expression in tenths of a person-minute, and what is available."""

    after: Pass
    before: Pass
    work: Any
    available: int


def add_resets(x: Variables) -> list[Reset]:
    """Add what stays between passes; work <= people x minutes of the gap, less slack."""
    passes = x.options.brief.shoot.passes
    resets = []
    for index in range(len(passes) - 1):
        work = _work(x, passes[index], passes[index + 1])
        available = available_tenths(x.options.brief, index)
        x.model.add(work <= available)
        for most in _most_work_tenths(x.options.brief.shoot, passes[index], passes[index + 1]):
            x.model.add(work <= most)
        resets.append(Reset(passes[index], passes[index + 1], work, available))
    return resets


def _most_work_tenths(shoot: Shoot, this: Pass, following: Pass) -> Iterator[int]:
    """Yield what no-goods leave of the work between two passes."""
    for each in shoot.no_goods:
        is_here = (each.after, each.before) == (this.id, following.id)
        if is_here and each.most_work_min is not None and still_holds(shoot, each):
            yield budget_tenths(each.most_work_min)


def available_tenths(brief: Brief, index: int) -> int:
    """Tenths of person-minutes between pass number `index` and the next, slack taken off."""
    this, following = brief.shoot.passes[index], brief.shoot.passes[index + 1]
    end, stop = brief.shoot.end_of(this), following.doors or following.start
    hands = sum(
        1
        for person in brief.shoot.crew
        if (person.since is None or person.since <= end)
        and (person.until is None or person.until >= stop)
        and (this.people is None or person.id in this.people)
        and (following.people is None or person.id in following.people)
    )
    return budget_tenths(hands * brief.shoot.gap_min(index) * (1 - brief.shoot.rules.reset_slack))


def _work(x: Variables, this: Pass, following: Pass) -> Any:
    spots = x.slots_by_spot()
    terms: list[Any] = []
    for position in x.options.brief.shoot.venue.positions:
        before = spots.get((this.id, position.id), ())
        after = spots.get((following.id, position.id), ())
        terms.append(_work_at(x, before, after))
    return total(terms)


def _work_at(x: Variables, before: tuple[Slot, ...], after: tuple[Slot, ...]) -> Any:
    body = table("setup_minutes")["body"]
    strike, build = work_tenths(body["strike_min"]), work_tenths(body["setup_min"])
    stays = work_tenths(x.options.brief.shoot.rules.stays_min)
    work = total(strike * slot.is_used for slot in before) + total(build * s.is_used for s in after)
    for slots, what in ((before, "strike_min"), (after, "setup_min")):
        for slot in slots:
            for stand, var in slot.stand_items():
                work += work_tenths(stand.work_min(slot.spot.position, what)) * var
    if not before or not after:
        return work
    name = f"{before[0].spot.each.id},{before[0].spot.position.id}"
    still_stands = _staying(
        x, f"stand stays[{name}]", _by_key(before, "stand"), _by_key(after, "stand")
    )
    still_cameras = _staying(
        x, f"camera stays[{name}]", _by_key(before, "camera"), _by_key(after, "camera")
    )
    x.model.add(total(still_cameras.values()) <= total(still_stands.values()))
    position = before[0].spot.position
    for slot in before[:1]:
        for stand, _ in slot.stand_items():
            if stand.key in still_stands:
                saved = work_tenths(stand.work_min(position, "strike_min"))
                saved += work_tenths(stand.work_min(position, "setup_min"))
                work -= saved * still_stands[stand.key]
    return work - (strike + build - stays) * total(still_cameras.values())


def _by_key(slots: tuple[Slot, ...], part: str) -> dict[str, list[IntVar]]:
    found: dict[str, list[IntVar]] = defaultdict(list)
    for slot in slots:
        if part == "stand":
            for stand, var in slot.stand_items():
                found[stand.key].append(var)
        else:
            for camera, var in slot.camera_items():
                found["+".join(camera.items)].append(var)
    return found


def _staying(
    x: Variables, name: str, before: dict[str, list[IntVar]], after: dict[str, list[IntVar]]
) -> dict[str, IntVar]:
    """How many of each stand or camera stay: at most what is there before, and after."""
    staying = {}
    for key in sorted(before.keys() & after.keys()):
        most = min(len(before[key]), len(after[key]))
        var = x.model.new_int_var(0, most, f"{name},{key}")
        x.model.add(var <= total(before[key]))
        x.model.add(var <= total(after[key]))
        staying[key] = var
    return staying


def least_work(brief: Brief, chosen: Sequence[Chosen], reset: Reset) -> int:
    """Return the work of a reset for placements that are settled, in tenths of a person-minute.

    The solver counts what stays only as far as a goal gains by it.
    """
    body = table("setup_minutes")["body"]
    strike, build = work_tenths(body["strike_min"]), work_tenths(body["setup_min"])
    saved = max(strike + build - work_tenths(brief.shoot.rules.stays_min), 0)
    work = 0
    for position in brief.shoot.venue.positions:
        here = [one for one in chosen if one.spot.position.id == position.id]
        before = [one for one in here if one.spot.each.id == reset.after.id]
        after = [one for one in here if one.spot.each.id == reset.before.id]
        minutes = {
            (one.stand.key, what): work_tenths(one.stand.work_min(position, what))
            for one in here
            for what in ("strike_min", "setup_min")
        }
        work += sum(strike + minutes[one.stand.key, "strike_min"] for one in before)
        work += sum(build + minutes[one.stand.key, "setup_min"] for one in after)
        stands = Counter(one.stand.key for one in before) & Counter(one.stand.key for one in after)
        for key, number in stands.items():
            work -= number * (minutes[key, "strike_min"] + minutes[key, "setup_min"])
        cameras = Counter(c.camera.items for c in before) & Counter(c.camera.items for c in after)
        work -= saved * min(cameras.total(), stands.total())
    return work
