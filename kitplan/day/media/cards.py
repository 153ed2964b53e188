"""The media of a shoot: cards with their minutes, copies in time, what has to be formatted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil

from kitplan.day.media.copying import Copied, CopyCase, ReelToCopy, copying_of
from kitplan.day.media.recorded import Recorded, Reel, reels_of
from kitplan.day.minutes import Minutes
from kitplan.day.sound import is_touchable
from kitplan.gear.records import Media
from kitplan.options.endurance import cannot_be_reached
from kitplan.plan.day.media import CardUse, Copy, Format, MediaPlan, SpareCards
from kitplan.plan.day.rolls import RollPlan
from kitplan.plan.day.sound import SoundPlan
from kitplan.plan.records import Placement
from kitplan.shoot.brief import Brief

_SLACK = 1e-9


def media_plan(
    brief: Brief,
    shoot_id: str,
    placements: Sequence[Placement],
    sound: SoundPlan | None = None,
    rolls: RollPlan | None = None,
) -> MediaPlan:
    """Return the cards of all passes of a shoot and their copies.

    Args:
        sound: Its recorders, where it has some.
        rolls: When every recorder runs on what; None takes each card in turn until it is full.
    """
    uses = tuple(Recorded(brief, shoot_id, rolls).uses(placements, sound))
    setups = {setup.id for setup in brief.shoot.sound}
    reels = reels_of(brief, shoot_id, uses, setups)
    case = copy_case(brief, reels, placements, shoot_id)
    answer = copying_of(case)
    minutes = Minutes(brief.shoot)
    return MediaPlan(
        uses=uses,
        copies=tuple(_copy(minutes, reels, case, one) for one in answer.copied),
        formats=tuple(_formats(case, reels, answer.copied)),
        spares=tuple(_spares(brief, shoot_id, uses)),
        total_gb=sum(use.gb for use in uses),
        disks=brief.shoot.copying.copies,
        disk_gb=brief.shoot.copying.disk_gb,
        value=answer.value,
        bound=answer.bound,
        is_proven=answer.value == answer.bound,
    )


def copy_minutes(gb: float, read_mb_s: float) -> int:
    """Return the minutes of one copy: GB x 1000 / (MB/s) seconds, rounded up, at least one."""
    return max(1, ceil(gb * 1000 / read_mb_s / 60 - _SLACK))


def copy_case(
    brief: Brief, reels: Sequence[Reel], placements: Sequence[Placement], shoot_id: str
) -> CopyCase:
    """Return what the copying depends on."""
    shoot, minutes = brief.shoot, Minutes(brief.shoot)
    out_min = ceil(shoot.rules.card_swap_s / 60 - _SLACK)
    begins = [begin for begin, _ in minutes.spans]
    found = []
    for number, reel in enumerate(reels):
        again = next((r for r in reels[number + 1 :] if r.card == reel.card), None)
        after = reel.last + 1
        found.append(
            ReelToCopy(
                minutes=copy_minutes(reel.gb, shoot.copying.read_mb_s),
                free_at=minutes.spans[reel.last][1] + out_min,
                next_begin=begins[after] if after < len(begins) else None,
                needed_by=needed_by(brief, again, placements, shoot_id) if again else None,
            )
        )
    work = sum(reel.minutes for reel in found) * shoot.copying.copies
    horizon = minutes.spans[-1][1] + out_min + work
    return CopyCase(
        reels=tuple(found),
        copies=shoot.copying.copies,
        laptops=shoot.copying.laptops,
        hands=tuple(minutes.hands(horizon)),
    )


def needed_by(brief: Brief, reel: Reel, placements: Sequence[Placement], shoot_id: str) -> int:
    """Return when a card has to be ready for a reel: time to format it before its pass begins, or
    before the doors where nobody gets to its camera afterwards.
    """
    each, minutes = brief.shoot.passes[reel.first], Minutes(brief.shoot)
    setup = next((one for one in brief.shoot.sound if one.id == reel.letter), None)
    if setup is not None:
        is_shut = not is_touchable(brief, setup, each)
    else:
        key = (f"{shoot_id}/{each.id}", reel.letter)
        where = next(p.position for p in placements if (p.pass_id, p.letter) == key)
        at = next(p for p in brief.shoot.venue.positions if p.id == where)
        is_shut = cannot_be_reached(at, each)
    begin = minutes.gate(each) if is_shut else minutes.spans[reel.first][0]
    return begin - ceil(brief.shoot.rules.format_s / 60 - _SLACK)


def _copy(minutes: Minutes, reels: Sequence[Reel], case: CopyCase, one: Copied) -> Copy:
    reel, limit = reels[one.reel], case.reels[one.reel].needed_by
    return Copy(
        card=reel.card,
        passes=tuple(use.pass_id for use in reel.uses),
        number=one.number,
        gb=reel.gb,
        laptop=f"laptop/{one.laptop}",
        start=minutes.at(one.start),
        end=minutes.at(one.end),
        needed_by=None if limit is None else minutes.at(limit),
    )


def _formats(case: CopyCase, reels: Sequence[Reel], copied: Sequence[Copied]) -> Iterator[Format]:
    for number, reel in enumerate(reels):
        earlier = [n for n, other in enumerate(reels[:number]) if other.card == reel.card]
        if earlier:
            ends = [one.end for one in copied if one.reel == earlier[-1]]
            limit = case.reels[earlier[-1]].needed_by
            is_late = not ends or (limit is not None and max(ends) > limit)
            yield Format(
                card=reel.card, before=reel.uses[0].pass_id, letter=reel.letter, is_late=is_late
            )


def _spares(brief: Brief, shoot_id: str, uses: Sequence[CardUse]) -> Iterator[SpareCards]:
    """Yield what is left over of each kind of card, once for each day."""
    item_of = {unit.id: unit.item for unit in brief.kit.units}
    day_of = {f"{shoot_id}/{each.id}": brief.day_of(each) for each in brief.shoot.passes}
    seen = set()
    for each in brief.shoot.passes:
        day = brief.day_of(each)
        if day in seen:
            continue
        seen.add(day)
        cards = {use.card for use in uses if day_of[use.pass_id] == day}
        for media in brief.kit.of_kind(Media):
            used = sum(item_of[card] == media.id for card in cards)
            if used:
                yield SpareCards(
                    item=media.id,
                    pass_id=f"{shoot_id}/{each.id}",
                    units=len(brief.shared_units(media.id, each)),
                    used=used,
                )
