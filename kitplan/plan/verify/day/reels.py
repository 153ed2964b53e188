"""What is on which card, from placements, clips and sound: what a plan must say of its media."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from math import ceil

from kitplan.gear.records import Body, Media, Sound
from kitplan.plan.records import Placement, Plan
from kitplan.plan.verify.day.clock import begin_of, end_of, minute
from kitplan.plan.verify.day.packs import item_of, minutes_on
from kitplan.plan.verify.lasting import MEGABITS_PER_GIGABYTE
from kitplan.plan.verify.scene import Scene, is_unreachable
from kitplan.shoot.records import Pass

MOST_MIN = 1e6


@dataclass(frozen=True)
class Recorded:
    """What a card records in a pass."""

    index: int
    """Number of the pass."""
    pass_id: str
    letter: str
    card: str
    minutes: float
    room_min: float
    gb: float
    is_sound: bool
    ready_min: float
    """When the card has to be ready for it, in minutes from the first downbeat."""


@dataclass(frozen=True)
class Written:
    """All that is on a card between two times that it is formatted."""

    card: str
    parts: tuple[Recorded, ...]
    free_min: float
    """When it is out of its camera after the last of them."""
    next_begin_min: float | None
    needed_min: float | None = None
    """When it has to be ready to be formatted for what comes after it; None where nothing does."""

    @property
    def gb(self) -> float:
        """Gigabytes on it."""
        return sum(part.gb for part in self.parts)


def recorded(plan: Plan, shoot_id: str, scene: Scene) -> tuple[Recorded, ...]:
    """Return what every card of a shoot records, pass by pass."""
    found: list[Recorded] = []
    for index, each in enumerate(scene.shoot.passes):
        pass_id = f"{shoot_id}/{each.id}"
        for placement in plan.placements_in(pass_id):
            if placement.position in scene.positions_by_id:
                found += _camera(plan, scene, index, each, placement)
        found += _sound(plan, scene, index, each, pass_id, found)
    return tuple(found)


def written(scene: Scene, parts: tuple[Recorded, ...]) -> tuple[Written, ...]:
    """Return the stretches between two times that a card is formatted, in the order of passes."""
    passes = scene.shoot.passes
    by_card: dict[str, list[list[Recorded]]] = defaultdict(list)
    for part in parts:
        stretches = by_card[part.card]
        if stretches and _goes_on(scene, stretches[-1][-1], part):
            stretches[-1].append(part)
        else:
            stretches.append([part])
    found = []
    out_min = ceil(scene.shoot.rules.card_swap_s / 60 - 1e-9)
    for card, stretches in by_card.items():
        for number, stretch in enumerate(stretches):
            last = stretch[-1].index
            following = passes[last + 1 : last + 2]
            again = stretches[number + 1 : number + 2]
            found.append(
                Written(
                    card=card,
                    parts=tuple(stretch),
                    free_min=end_of(scene, passes[last]) + out_min,
                    next_begin_min=begin_of(scene, following[0]) if following else None,
                    needed_min=again[0][0].ready_min if again else None,
                )
            )
    return tuple(found)


def _goes_on(scene: Scene, before: Recorded, part: Recorded) -> bool:
    """Whether a recorder goes on recording on its card: the same setup on the same day."""
    one, other = (_day(scene, each.index) for each in (before, part))
    return part.is_sound and before.is_sound and before.letter == part.letter and one == other


def _day(scene: Scene, index: int) -> date:
    return scene.day_of(scene.shoot.passes[index])


def _camera(
    plan: Plan, scene: Scene, index: int, each: Pass, placement: Placement
) -> Iterator[Recorded]:
    body = item_of(scene, placement.rig.body)
    modes = body.modes if isinstance(body, Body) else ()
    mode = next((m for m in modes if m.name == placement.rig.mode), None)
    if mode is None:
        return
    position = scene.positions_by_id[placement.position]
    is_shut = is_unreachable(position, each)
    is_alone = is_shut and placement.operator is None
    roll_min = scene.roll_min(each) if is_alone else scene.length_min(each)
    room = {card: _room(scene, card, mode.bit_rate_mbps) for card in placement.cards}
    ready = _ready(scene, each, is_shut=is_shut)
    key = placement.pass_id, placement.letter
    minutes = minutes_on(plan, key, "card", room, roll_min)
    for card, length in minutes:
        yield Recorded(
            index, placement.pass_id, placement.letter, card, length, room[card],
            _gb(mode.bit_rate_mbps, length), is_sound=False, ready_min=ready,
        )  # fmt: skip


def _sound(
    plan: Plan, scene: Scene, index: int, each: Pass, pass_id: str, before: list[Recorded]
) -> Iterator[Recorded]:
    sound = plan.day.sound if plan.day else None
    setups = {setup.id: setup for setup in scene.shoot.sound}
    for run in sound.runs if sound else ():
        setup = setups.get(run.setup)
        recorder = scene.kit.items_by_id.get(setup.recorder) if setup else None
        if run.pass_id != pass_id or setup is None or not isinstance(recorder, Sound):
            continue
        at = scene.positions_by_id.get(setup.position or "")
        is_shut = setup.is_out_of_reach or (at is not None and is_unreachable(at, each))
        roll_min = scene.roll_min(each) if is_shut else scene.length_min(each)
        rate = recorder.bit_rate_mbps or 0.0
        room = {
            card: max(0.0, _room(scene, card, rate) - _taken(scene, index, run.setup, card, before))
            for card in run.cards
        }
        ready = _ready(scene, each, is_shut=is_shut)
        for card, length in minutes_on(plan, (pass_id, run.setup), "card", room, roll_min):
            yield Recorded(
                index, pass_id, run.setup, card, length, min(room[card], MOST_MIN),
                _gb(rate, length), is_sound=True, ready_min=ready,
            )  # fmt: skip


def _taken(scene: Scene, index: int, setup: str, card: str, before: list[Recorded]) -> float:
    """Minutes that a setup has recorded on a card earlier that day."""
    return sum(
        part.minutes
        for part in before
        if part.is_sound
        and (part.letter, part.card) == (setup, card)
        and _day(scene, part.index) == _day(scene, index)
    )


def _ready(scene: Scene, each: Pass, *, is_shut: bool) -> float:
    """When a card has to be ready: time to format it before the pass, or before its doors."""
    moment = scene.work_until(each) if is_shut else each.start
    return minute(scene, moment) - ceil(scene.shoot.rules.format_s / 60 - 1e-9)


def _room(scene: Scene, card: str, rate_mbps: float) -> float:
    """Minutes that fit on a card at the planned fill."""
    media = item_of(scene, card)
    if not isinstance(media, Media):
        return 0.0
    megabits = media.capacity_gb * MEGABITS_PER_GIGABYTE * scene.shoot.rules.card_fill
    return megabits / rate_mbps / 60 if rate_mbps else float("inf")


def _gb(rate_mbps: float, minutes: float) -> float:
    return rate_mbps * minutes * 60 / MEGABITS_PER_GIGABYTE
