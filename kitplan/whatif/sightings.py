"""What each possible shot would see, before anything is planned: for looking at and for asking why.

Reads it off the options; the papers only put it into words.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Set
from dataclasses import dataclass
from typing import Literal

from kitplan.options.crowding import Seen
from kitplan.options.presence import Kind
from kitplan.options.spots import Options, Spot, find_options
from kitplan.shoot.brief import Brief

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
    usable: dict[str, set[str]] = defaultdict(set)
    for spot in options.spots:
        if spot.cameras:
            usable[spot.each.id].add(spot.position.id)
    return tuple(
        sighting
        for spot in options.spots
        if spot.cameras
        and (pass_id is None or spot.each.id == pass_id)
        and (position is None or spot.position.id == position)
        for sighting in _of_spot(options, spot, subject, usable[spot.each.id])
    )


def _of_spot(
    options: Options, spot: Spot, subject: str | None, usable: Set[str]
) -> Iterator[Sighting]:
    """The shots of a spot; only positions where a camera can stand in its pass get in the way."""
    seen = tuple(each for each in options.crowding.seen(spot.each) if each.position in usable)
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
            intruders=tuple(_intruders(seen, spot.view_numbers[row])),
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


def _intruders(seen: tuple[Seen, ...], number: int) -> Iterator[Intruder]:
    """The rig of each position, and its operator or sweep where that is worse."""
    worst: dict[str, int] = {}
    for each in sorted(seen, key=lambda one: (one.position, one.kind)):
        level = each.level_of(number)
        if level > worst.get(each.position, 0):
            worst[each.position] = level
            yield Intruder(
                each.position,
                _what(each.kind),
                each.share_of(number),
                each.is_across_in(number),
                level == 3,
            )


def _what(kind: Kind) -> What:
    if kind.move != "still":
        return "sweep"
    return "operator" if kind.has_operator else "rig"
