"""Rules between passes, in items (docs/model.md, sections 3 and 4): cards, batteries, reset."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import groupby

from kitplan.gear.records import Battery, Charger, Item, Media
from kitplan.plan.verify.findings import Fault
from kitplan.plan.verify.hours import minutes_between
from kitplan.plan.verify.lasting import lasting_of
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.setups import Setup, Stand
from kitplan.shoot.records import Pass
from kitplan.shoot.venue import Position
from kitplan.tables import table
from kitplan.units import budget_tenths, work_tenths


def between_faults(scene: Scene, setups: Sequence[Setup]) -> Iterator[Fault]:
    """Yield every rule over all passes that the setups of a plan break together."""
    yield from card_faults(scene, setups)
    yield from battery_faults(scene, setups)
    yield from reset_faults(scene, setups)


def _in(each: Pass, setups: Sequence[Setup]) -> list[Setup]:
    return [setup for setup in setups if setup.each.id == each.id]


# -- cards -----------------------------------------------------------------------------------------


def card_faults(scene: Scene, setups: Sequence[Setup]) -> Iterator[Fault]:
    """Cards (K): every camera finds cards of one item, and a full one is not used again that day.

    Which item each camera takes is left open: there must be a way to share them out. Cards of
    passes that are over are full.
    """
    past = scene.shoot.past
    coming = [setup for setup in setups if setup.each.id not in past.passes]
    by_day = sorted(coming, key=lambda setup: scene.day_of(setup.each))
    for day, group in groupby(by_day, key=lambda setup: scene.day_of(setup.each)):
        wanted = [lasting_of(scene, s.each, s.position, s.camera).cards for s in group]
        gone = {*past.lost_units, *_filled(scene, day)}
        stock = {
            card.id: sum(unit.id not in gone for unit in scene.kit.free_units(card.id, day))
            for card in _media(scene)
        }
        if not _can_share(wanted, stock):
            wrong = f"the cards of {day} do not suffice for {len(wanted)} cameras"
            yield Fault("cards", wrong, "Bring more cards, or use fewer cameras")


def _media(scene: Scene) -> list[Media]:
    return list(scene.kit.of_kind(Media))


def _filled(scene: Scene, day: date) -> Iterator[str]:
    """Yield the cards that passes which are over have filled on a day."""
    passes = scene.shoot.passes_by_id
    for stood in scene.shoot.past.stood:
        if stood.in_pass in passes and scene.day_of(passes[stood.in_pass]) == day:
            yield from stood.cards


def _can_share(wanted: Sequence[dict[str, int]], stock: dict[str, int]) -> bool:
    """Whether each camera gets all its cards of one item; keeps every way to have shared so far."""
    items = sorted(stock)
    ways = {tuple(stock[item] for item in items)}
    for cards in wanted:
        ways = {
            (*left[:place], left[place] - cards[item], *left[place + 1 :])
            for left in ways
            for place, item in enumerate(items)
            if item in cards and cards[item] <= left[place]
        }
    return bool(ways)


# -- batteries -------------------------------------------------------------------------------------


def battery_faults(scene: Scene, setups: Sequence[Setup]) -> Iterator[Fault]:
    """Batteries (B): charged ones suffice in every pass, with what the gaps charge."""
    for battery in scene.kit.of_kind(Battery):
        charged = 0
        for index, each in enumerate(scene.shoot.passes):
            units = len(scene.shared_units(battery.id, each))
            gained = charged_in_gap(scene, battery.id, index - 1) if index else units
            charged = min(units, charged + gained)
            used = sum(_batteries_of(scene, s, battery.id) for s in _in(each, setups))
            if used > charged:
                wrong = f"{used} x {battery.id} are used in {each.id}"
                yield Fault("batteries", wrong, f"{charged} are charged by then")
            charged = max(charged - used, 0)


def _batteries_of(scene: Scene, setup: Setup, battery: str) -> int:
    if setup.camera.body.battery != battery:
        return 0
    return lasting_of(scene, setup.each, setup.position, setup.camera).batteries


def charged_in_gap(scene: Scene, battery: str, index: int) -> int:
    """Return how many batteries go from flat to full in the gap after pass number `index`."""
    this, following = scene.shoot.passes[index], scene.shoot.passes[index + 1]
    gap = max(minutes_between(scene.end_of(this), following.start), 0.0)
    return sum(
        sum(
            not scene.is_lost_unit(unit.id, following)
            for unit in scene.free_units(charger.id, this)
        )
        * charger.bays
        * int(gap // max(charger.charge_min, 1e-6))
        for charger in scene.kit.of_kind(Charger)
        if battery in charger.batteries
    )


# -- reset -----------------------------------------------------------------------------------------


def reset_faults(scene: Scene, setups: Sequence[Setup]) -> Iterator[Fault]:
    """Reset (Z): the work between two passes is done by the people there in the minutes there."""
    for index in range(len(scene.shoot.passes) - 1):
        work, most = reset_work_tenths(scene, index, setups), reset_available_tenths(scene, index)
        if work > most:
            after = scene.shoot.passes[index].id
            wrong = f"the reset after {after} takes {work / 10:.1f} person-minutes"
            yield Fault("reset", wrong, f"{most / 10:.1f} are available")


def reset_available_tenths(scene: Scene, index: int) -> int:
    """Return the tenths of person-minutes after pass number `index`, slack taken off."""
    share = 1 - scene.shoot.rules.reset_slack
    return budget_tenths(scene.reset_people(index) * scene.gap_min(index) * share)


def reset_work_tenths(scene: Scene, index: int, setups: Sequence[Setup]) -> int:
    """Return the least work after pass number `index` in tenths of person-minutes."""
    this, following = scene.shoot.passes[index], scene.shoot.passes[index + 1]
    before, after = _in(this, setups), _in(following, setups)
    places = {s.position.id: s.position for s in (*before, *after)}
    return sum(
        _work_at(
            scene,
            position,
            [s for s in before if s.position.id == place],
            [s for s in after if s.position.id == place],
        )
        for place, position in places.items()
    )


def _work_at(
    scene: Scene, position: Position, before: Sequence[Setup], after: Sequence[Setup]
) -> int:
    """Everything struck and built, less what staying stands and cameras save."""
    body = table("setup_minutes")["body"]
    strike, build = work_tenths(body["strike_min"]), work_tenths(body["setup_min"])
    work = strike * len(before) + build * len(after)
    work += sum(_stand_tenths(s.stand, position, "strike_min") for s in before)
    work += sum(_stand_tenths(s.stand, position, "setup_min") for s in after)
    stands = {s.stand.items: s.stand for s in before}
    staying = Counter(s.stand.items for s in before) & Counter(s.stand.items for s in after)
    for key, number in staying.items():
        for what in ("strike_min", "setup_min"):
            work -= number * _stand_tenths(stands[key], position, what)
    cameras = Counter(s.camera.items for s in before) & Counter(s.camera.items for s in after)
    saved = strike + build - work_tenths(scene.shoot.rules.stays_min)
    return work - max(saved, 0) * min(cameras.total(), staying.total())


def _stand_tenths(stand: Stand, position: Position, what: str) -> int:
    return work_tenths(stand_minutes(stand, position, what) * stand.support.people)


def stand_minutes(stand: Stand, position: Position, what: str) -> float:
    """Return the minutes that a stand takes its people (`setup_min` or `strike_min`)."""
    minutes = _minutes(stand.support, _row(stand, position), what)
    return minutes if stand.head is None else minutes + _minutes(stand.head, "head", what)


def _minutes(item: Item, row: str, what: str) -> float:
    own: float | None = getattr(item, what)
    return float(table("setup_minutes")[row][what]) if own is None else own


def _row(stand: Stand, position: Position) -> str:
    if stand.support.is_arm:
        return "arm"
    if position.stands_on != "floor":
        return position.stands_on
    return "slider" if "track" in stand.support.moves else "support"
