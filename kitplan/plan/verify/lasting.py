"""How long a camera lasts in a pass: clip limit, battery, card, heat (docs/model.md, Endurance)."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf

from kitplan.gear.records import Body, Media, RecordingMode
from kitplan.plan.verify.findings import Fault
from kitplan.plan.verify.scene import Scene, is_unreachable
from kitplan.plan.verify.setups import Camera
from kitplan.shoot.records import Pass
from kitplan.shoot.venue import Position

_SLACK = 1e-9
_LEAST_MIN = 1e-6  # nothing is ever divided by zero
MEGABITS_PER_GIGABYTE = 8000.0


@dataclass(frozen=True)
class Lasting:
    """How a camera lasts at a position in a pass."""

    untouched_min: float
    """Minutes until it stops if nobody touches it."""
    needed_min: float
    """Minutes that it must roll: the pass, with a margin where nobody can reach it."""
    rolls_throughout: bool
    """Never stops inside a song."""
    batteries: int
    cards: dict[str, int]
    """For each media item that will do, how many of it."""
    reliability: int
    """One each for clip, power and heat that last the whole pass."""


def lasting_of(scene: Scene, each: Pass, position: Position, camera: Camera) -> Lasting:
    """Return how a camera lasts at a position in a pass."""
    key = ("lasting", each.id, position.id, camera.body.id, camera.mode.name)
    return scene.once(key, lambda: _lasting(scene, each, position, camera.body, camera.mode))


def is_on_mains(body: Body, position: Position) -> bool:
    """Return whether a body runs on mains at a position."""
    return body.runs_on_mains and position.has_mains


def _lasting(
    scene: Scene, each: Pass, position: Position, body: Body, mode: RecordingMode
) -> Lasting:
    length, alone = scene.length_min(each), is_unreachable(position, each)
    needed = scene.roll_min(each) if alone else length
    power = inf if is_on_mains(body, position) else _battery_min(scene, each, body)
    clip = mode.clip_limit_min or inf if mode.at_limit == "stops" else inf
    heat = body.heat_limit_min or inf
    card_min = _card_minutes(scene, each, body, mode)
    largest = max(card_min.values(), default=0.0)
    untouched = min(power, clip, heat, largest)
    rules = scene.shoot.rules
    stretches = (
        (clip, _stretch_min(scene, each, rules.restart_s)),
        (power, _stretch_min(scene, each, rules.battery_swap_s)),
        (min(card_min.values(), default=0.0), _stretch_min(scene, each, rules.card_swap_s)),
        (heat, length),
    )
    by_hand = all(limit >= stretch - _SLACK for limit, stretch in stretches)
    return Lasting(
        untouched_min=untouched,
        needed_min=needed,
        rolls_throughout=untouched >= needed - _SLACK if alone else by_hand,
        batteries=0 if power == inf else _whole(length / power),
        cards={
            item: _whole(needed / minutes)
            for item, minutes in card_min.items()
            if not alone or minutes >= needed - _SLACK
        },
        reliability=sum(limit >= length for limit in (clip, power, heat)),
    )


def _whole(count: float) -> int:
    return ceil(count - _SLACK)


def _battery_min(scene: Scene, each: Pass, body: Body) -> float:
    """Minutes planned on from one battery; the weakest one there in the pass decides."""
    if body.battery is None or body.battery_min is None:
        return inf
    rules = scene.shoot.rules
    share = rules.battery_measured if "battery_min" in body.measured else rules.battery_assumed
    units = scene.shared_units(body.battery, each)
    health = min((unit.health for unit in units), default=1.0)
    return max(body.battery_min * share * health, _LEAST_MIN)


def _card_minutes(scene: Scene, each: Pass, body: Body, mode: RecordingMode) -> dict[str, float]:
    """Minutes of every media item at hand that fits and is fast enough; where some last the longest
    stretch of songs, only those.
    """
    rules = scene.shoot.rules
    megabits = MEGABITS_PER_GIGABYTE * rules.card_fill
    minutes = {
        card.id: max(card.capacity_gb * megabits / (mode.bit_rate_mbps * 60), _LEAST_MIN)
        for card in scene.kit.of_kind(Media)
        if card.card_type == body.card_type
        and scene.shared_units(card.id, each)
        and card.sustained_mb_s * 8 >= mode.bit_rate_mbps * rules.card_speed_factor - _SLACK
    }
    longest = _stretch_min(scene, each, rules.card_swap_s)
    whole_songs = [item for item, lasts in minutes.items() if lasts >= longest - _SLACK]
    return {item: minutes[item] for item in whole_songs} if whole_songs else minutes


def _stretch_min(scene: Scene, each: Pass, gap_s: float) -> float:
    """Longest stretch of a pass in minutes without a gap of at least so many seconds."""
    songs = scene.run_songs(each)
    stretches = [0.0]
    for place, song in enumerate(songs):
        is_joined = place > 0 and songs[place - 1].gap_s < gap_s - _SLACK
        before = stretches[-1] + songs[place - 1].gap_s if is_joined else 0.0
        stretches.append(before + song.length_s)
    return max(stretches) / 60


def endurance_fault(scene: Scene, each: Pass, position: Position, camera: Camera) -> Fault | None:
    """Return the fault of a locked-off camera that nobody can reach and that stops too early."""
    lasting = lasting_of(scene, each, position, camera)
    if not is_unreachable(position, each):
        return None
    if lasting.untouched_min >= lasting.needed_min - _SLACK:
        return None
    wrong = f"nobody can reach it and it stops after {lasting.untouched_min:.0f} min"
    return Fault("endurance", wrong, f"It must roll for {lasting.needed_min:.0f} min")
