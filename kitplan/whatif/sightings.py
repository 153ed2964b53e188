"""What each possible shot would see, before anything is planned: for looking at and for asking why.

Reads it off the options; the papers only put it into words.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import Literal

from kitplan.options.crowding import REFUSED, Seen
from kitplan.options.presence import Kind
from kitplan.options.spots import Options, Spot, find_options
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass

What = Literal["rig", "operator", "sweep"]


@dataclass(frozen=True)
class Intruder:
    """Another position whose rig, operator or sweep would be in the picture."""

    position: str
    """Its id."""
    what: What
    height_share: float
    """Share of the frame's height that it takes."""
    is_across: bool
    """It stands before the subject."""
    is_refused: bool
    """The shot is not taken while it is there; otherwise it costs marks."""


@dataclass(frozen=True)
class Sighting:
    """A subject at a shot size from a position in a pass."""

    pass_id: str
    position: str
    subject: str
    size: str
    cameras: int
    """How many of the cameras that go there can take it, operated or locked off."""
    refusal: str
    """Why the others cannot, as far as the picture goes: the rule most often in the way; empty
    where all can."""
    hidden: float
    hidden_arms: float
    seats: float
    wings: float
    has_lamp: bool
    unconsenting: tuple[str, ...]
    intruders: tuple[Intruder, ...]


def sightings(
    brief: Brief,
    *,
    pass_id: str | None = None,
    position: str | None = None,
    subject: str | None = None,
) -> tuple[Sighting, ...]:
    """Return what every shot would see, by pass, position, subject and size; or some of them.

    Positions that are closed in a pass, or where nothing stands, see nothing.
    """
    options = find_options(brief)
    return tuple(
        sighting
        for each in brief.shoot.passes
        if pass_id is None or each.id == pass_id
        for sighting in _of_pass(options, each, position, subject)
    )


def _of_pass(
    options: Options, each: Pass, position: str | None, subject: str | None
) -> Iterator[Sighting]:
    """The shots of a pass; only positions where a camera can stand then get in the way."""
    usable = [spot for spot in options.spots if spot.each.id == each.id and spot.cameras]
    shown = [spot for spot in usable if position is None or spot.position.id == position]
    others = {spot.position.id for spot in usable}
    seen = tuple(one for one in options.crowding.seen(each) if one.position in others)
    intruders = _intruders(seen, {number for spot in shown for number in spot.view_numbers})
    for spot in shown:
        yield from _of_spot(spot, subject, intruders)


def _of_spot(
    spot: Spot, subject: str | None, intruders: Mapping[int, Sequence[Intruder]]
) -> Iterator[Sighting]:
    sights = spot.shots.sights
    works = spot.shots.possible("operated") | spot.shots.possible("locked-off")
    for row, view in enumerate(spot.views):
        if subject is not None and view.subject.id != subject:
            continue
        yield Sighting(
            pass_id=spot.each.id,
            position=spot.position.id,
            subject=view.subject.id,
            size=view.size,
            cameras=int(works[row].sum()),
            refusal=_refusal(spot, row),
            hidden=float(sights.hidden[row]),
            hidden_arms=float(sights.hidden_arms[row]),
            seats=float(sights.seats[row]),
            wings=float(sights.wings[row]),
            has_lamp=bool(sights.has_lamp[row]),
            unconsenting=sights.unconsenting[row],
            intruders=tuple(intruders.get(spot.view_numbers[row], ())),
        )


def _refusal(spot: Spot, row: int) -> str:
    """The sentence of the rule that most cameras fail on, without the camera's name."""
    refusals = [
        refusal
        for column in range(len(spot.cameras))
        if (refusal := spot.shots.refusal(row, column, "operated")) is not None
    ]
    if not refusals:
        return ""
    rule, _ = Counter(refusal.rule for refusal in refusals).most_common(1)[0]
    return next(refusal for refusal in refusals if refusal.rule == rule).sentence


def _intruders(seen: Sequence[Seen], numbers: Set[int]) -> dict[int, list[Intruder]]:
    """By view, the rig of each position, and its operator or sweep where that is worse."""
    found: dict[int, list[Intruder]] = defaultdict(list)
    worst: dict[tuple[int, str], int] = {}
    for each in sorted(seen, key=lambda one: (one.position, one.kind)):
        what = _what(each.kind)
        columns = (each.rows, each.levels, each.shares, each.is_across)
        for number, level, share, is_across in zip(*(c.tolist() for c in columns), strict=True):
            if number in numbers and level > worst.get((number, each.position), 0):
                worst[number, each.position] = level
                intruder = Intruder(each.position, what, share, is_across, level == REFUSED)
                found[number].append(intruder)
    return found


def _what(kind: Kind) -> What:
    if kind.move != "still":
        return "sweep"
    return "operator" if kind.has_operator else "rig"
