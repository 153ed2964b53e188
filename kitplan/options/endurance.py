"""How long a camera rolls: clip limit, battery, card, heat; with hands on it, and without.

The usable minutes of a battery are a share of its measured or nameplate minutes; the minutes of a
card are GB * 8000 / (Mb/s) / 60 at the planned fill. Sources: SI prefixes (GB = 10^9 bytes);
the shares are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import ceil, inf

from kitplan.gear.records import Body, Media, RecordingMode
from kitplan.options.cameras import Camera
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass
from kitplan.shoot.venue import Position

_SLACK = 1e-9


def card_minutes(capacity_gb: float, bit_rate_mbps: float, fill_fraction: float) -> float:
    """Return the minutes of recording that fit on a card."""
    return capacity_gb * 8000 / bit_rate_mbps / 60 * fill_fraction


def is_fast_enough(card: Media, mode: RecordingMode, factor: float) -> bool:
    """Whether a card writes a mode's bit rate with margin (8 Mb/s are 1 MB/s)."""
    return card.sustained_mb_s * 8 >= mode.bit_rate_mbps * factor - _SLACK


def battery_minutes(brief: Brief, each: Pass, body: Body) -> float:
    """Return the minutes to plan on from one battery, the weakest of those that can be had for a
    pass; infinite for a body without one.
    """
    if body.battery is None or body.battery_min is None:
        return inf
    rules = brief.shoot.rules
    share = rules.battery_measured if body.is_measured("battery_min") else rules.battery_assumed
    units = brief.shared_units(body.battery, each)
    return body.battery_min * share * min((unit.health for unit in units), default=1.0)


def is_on_mains(body: Body, position: Position) -> bool:
    """Whether a body at a position runs on mains."""
    return body.runs_on_mains and position.has_mains


def cannot_be_reached(position: Position, each: Pass) -> bool:
    """Whether nobody can get to a camera there while the pass runs."""
    return position.is_out_of_reach or (position.is_shut_in_by_audience and each.has_audience)


def longest_stretch_min(brief: Brief, each: Pass, gap_s: float) -> float:
    """Return the longest stretch of a pass, in minutes, without a gap of at least `gap_s`."""
    longest = running = 0.0
    for song in brief.shoot.run_songs(each):
        running += song.length_s
        longest = max(longest, running)
        running = 0.0 if song.gap_s >= gap_s - _SLACK else running + song.gap_s
    return longest / 60


@dataclass(frozen=True)
class Endurance:
    """How a camera lasts at one position in one pass."""

    untouched_min: float
    """Minutes until it stops by itself."""
    rolls_throughout: bool
    """Never stops inside a song, whoever may restart it in the gaps."""
    batteries: int
    card_choice: tuple[tuple[str, int], ...]
    """Media items that would do for the pass, and how many cards of each; sorted."""
    reliability: int
    """0 to 3: one each for no clip stop, no battery change, no heat limit within the pass."""


class Supplies:
    """What the cameras of a pass live on: its batteries and cards, and how long it goes on.

    The same for every position and for hundreds of cameras, so each figure is worked out once.
    """

    def __init__(self, brief: Brief, each: Pass) -> None:
        self.brief, self.each = brief, each
        self.length_min, self.roll_min = brief.shoot.length_min(each), brief.roll_min(each)
        self.stretch_min = cache(lambda gap_s: longest_stretch_min(brief, each, gap_s))
        self.has_unit = cache(lambda item_id: bool(brief.free_units(item_id, each)))
        self._cards = [c for c in brief.kit.of_kind(Media) if brief.shared_units(c.id, each)]
        self._battery_min: dict[str, float] = {}
        self._minutes_by_card: dict[tuple[str, str], dict[str, float]] = {}

    def battery_min(self, body: Body) -> float:
        """Return the minutes to plan on from one battery of a body."""
        if body.id not in self._battery_min:
            self._battery_min[body.id] = battery_minutes(self.brief, self.each, body)
        return self._battery_min[body.id]

    def minutes_by_card(self, camera: Camera) -> dict[str, float]:
        """Return the minutes of each owned card that will do for a camera."""
        key = (camera.body.id, camera.mode.name)
        if key not in self._minutes_by_card:
            self._minutes_by_card[key] = self._cards_that_do(camera.body.card_type, camera.mode)
        return self._minutes_by_card[key]

    def _cards_that_do(self, card_type: str, mode: RecordingMode) -> dict[str, float]:
        """Minutes of each owned card of the right type and speed; those that fill up inside a song
        are only used where no other is owned.
        """
        rules = self.brief.shoot.rules
        found = {
            card.id: card_minutes(card.capacity_gb, mode.bit_rate_mbps, rules.card_fill)
            for card in self._cards
            if card.card_type == card_type and is_fast_enough(card, mode, rules.card_speed_factor)
        }
        stretch = self.stretch_min(rules.card_swap_s)
        lasting = {card: minutes for card, minutes in found.items() if minutes >= stretch - _SLACK}
        return lasting or found


def endurance(supplies: Supplies, position: Position, camera: Camera) -> Endurance:
    """Return how a camera lasts at a position in the pass of some supplies."""
    rules, body, mode = supplies.brief.shoot.rules, camera.body, camera.mode
    unreachable = cannot_be_reached(position, supplies.each)
    demand = supplies.roll_min if unreachable else supplies.length_min
    power = inf if is_on_mains(body, position) else supplies.battery_min(body)
    clip = mode.clip_limit_min if mode.clip_limit_min and mode.at_limit == "stops" else inf
    heat = body.heat_limit_min or inf
    minutes_by_card = supplies.minutes_by_card(camera)
    largest = max(minutes_by_card.values(), default=0.0)
    smallest = min(minutes_by_card.values(), default=0.0)
    cards = {
        card: ceil(demand / minutes - _SLACK)
        for card, minutes in minutes_by_card.items()
        if not unreachable or minutes >= demand - _SLACK
    }
    untouched = min(power, clip, heat, largest)
    if unreachable:
        throughout = untouched >= demand - _SLACK
    else:
        throughout = (
            clip >= supplies.stretch_min(rules.restart_s) - _SLACK
            and power >= supplies.stretch_min(rules.battery_swap_s) - _SLACK
            and smallest >= supplies.stretch_min(rules.card_swap_s) - _SLACK
            and heat >= supplies.length_min - _SLACK
        )
    return Endurance(
        untouched_min=untouched,
        rolls_throughout=throughout,
        batteries=0 if power == inf else ceil(supplies.length_min / power - _SLACK),
        card_choice=tuple(sorted(cards.items())),
        reliability=sum(limit >= supplies.length_min for limit in (clip, power, heat)),
    )
