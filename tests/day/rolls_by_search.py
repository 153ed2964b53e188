"""Small random days, and the best roll plan of one by trying everything.

Everything in a random day is a multiple of 10 s, so that the best plan need only be looked for on
that grid. What may be touched by whom comes from the checker, never from what is tested.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise, permutations, product
from math import inf, prod
from random import Random

from kitplan.gear.kit import Kit
from kitplan.plan.day.rolls import RollPlan, Work
from kitplan.plan.records import Placement, Plan
from kitplan.plan.verify.day.clocked import Clocked, PassClock
from kitplan.plan.verify.day.standing import has_choice, is_wanted
from kitplan.shoot.records import Moment, Shoot, Song
from tests.day.small import (
    SHOW,
    cam,
    card_of,
    kit_of,
    placed,
    plan_of,
    scenes_of,
    shoot_of,
    worn,
)
from tests.small import at, person, position, show, song

STEP = 10
MOST_WAYS = 20_000


@dataclass(frozen=True)
class Did:
    """A touch of one camera."""

    start: int
    end: int
    does: tuple[Work, ...]
    person: str
    walk: int
    battery: str | None
    card: str | None


@dataclass(frozen=True)
class Way:
    """One way to touch a camera through a pass, and what it costs by itself."""

    did: tuple[Did, ...]
    still: frozenset[tuple[int, int]]
    """Song and slice."""
    cost: tuple[int, int, int, int]
    """Safety, others, touches, walking."""
    reserve: int | None


def random_day(seed: int, most: int = MOST_WAYS) -> Plan | None:
    """Return a small random plan without a day; None where there is too much to try."""
    random = Random(seed)
    songs = _songs(random)
    kit, placements = _cameras(random)
    plan = plan_of(_shoot(random, songs), kit, placements)
    clock = PassClock(plan, scenes_of(plan)["small"], plan.shoots["small"].passes[0], SHOW)
    number = prod(_ways_number(clock, p) for p in placements)
    return plan if number <= most else None


def _songs(random: Random) -> list[Song]:
    number = random.choice((2, 2, 3))
    return [
        song(
            f"s{n}",
            length_s=STEP * random.randint(1, 6),
            gap_s=STEP * random.choice((1, 2, 3, 4, 5, 7)),
            moments=_moments(random),
        )
        for n in range(number)
    ]


def _cameras(random: Random) -> tuple[Kit, list[Placement]]:
    """Return one or two cameras with batteries and cards of their own, and the kit."""
    bodies, cards, cells = [], [], []
    for n, name in enumerate(("one", "two")[: random.choice((1, 2, 2))]):
        clip_s = random.choice((None, 40, 60, 90, 120, 150))
        heat = {"heat_limit_min": random.choice((60, 100)) / 60} if random.random() < 0.15 else {}
        is_blocked = random.random() < 0.2
        at_limit = "splits" if random.random() < 0.1 else "stops"
        bodies.append(cam(name, clip_s, 200, is_door_blocked=is_blocked, at_limit=at_limit, **heat))
        cards.append(card_of(random.choice((50, 80, 1000)), f"card{n}"))
        cells += [random.choice((50, 70, 120, 200, 200)) for _ in range(2)]
    operators = [None, "ann", "ben"]
    random.shuffle(operators)
    placements = [
        placed(
            "AB"[n],
            each.id,
            random.choice(("front", "left")),
            operator=operators[n],
            roles=("safe",) if n == 0 and random.random() < 0.6 else (),
            grade=random.choice((3, 3, 3, 0)),
            batteries=tuple(f"cell-{2 * n + k}" for k in range(1, random.choice((2, 3)))),
            cards=tuple(f"card{n}-{k}" for k in range(1, random.choice((2, 3)))),
        )
        for n, each in enumerate(bodies)
    ]
    return kit_of(*bodies, cards=cards, **worn(cells, 200)), placements


def _shoot(random: Random, songs: list[Song]) -> Shoot:
    return shoot_of(
        songs,
        rules={"stopped_at_once": random.choice((1, 1, 1, 2))},
        positions=(
            position("front", at_m=(0, -10), is_out_of_reach=random.random() < 0.05),
            position("left", at_m=(-10, -10), is_shut_in_by_audience=random.random() < 0.2),
        ),
        crew=(
            person("ann", performs_in=("s0",) if random.random() < 0.2 else ()),
            person("ben"),
            *((person("cy"),) if random.random() < 0.4 else ()),
        ),
        passes=(show(doors=at(20), needs_safety=True, is_master=random.random() < 0.7),),
        roles=({"id": "safe", "subject": "stage", "sizes": ("WS",), "is_safety": True},),
    )


def _moments(random: Random) -> tuple[Moment, ...]:
    if random.random() < 0.6:
        return ()
    begin = STEP * random.randint(0, 3)
    return (Moment(name="Solo", subject="singer", at_s=begin, length_s=10),)


def best_by_search(plan: Plan, rolls: RollPlan) -> tuple[int, ...]:
    """Return the values of all goals of the best roll plan; first starts are those of `rolls`."""
    shoot = plan.shoots["small"]
    clock = PassClock(plan, scenes_of(plan)["small"], shoot.passes[0], SHOW)
    begins = {roll.letter: int(roll.clips[0].start_s) for roll in rolls.rolls}
    cameras = list(clock.placements.values())
    ways = [sorted(_ways(clock, p, begins[p.letter]), key=lambda w: w.cost) for p in cameras]
    best: tuple[int, ...] | None = None
    for chosen in _fitting(clock, ways):
        value = _value(clock, cameras, chosen)
        if best is None or value < best:
            best = value
    assert best is not None
    return (*best[:6], -best[6], -best[7])


def _fitting(clock: PassClock, ways: Sequence[Sequence[Way]]) -> Iterator[tuple[Way, ...]]:
    most = clock.scene.shoot.rules.stopped_at_once
    for chosen in product(*ways):
        did = [one for way in chosen for one in way.did]
        at_once = max(
            (sum(t.start <= one.start < t.end for t in did) for one in did), default=0
        )  # fmt: skip
        if at_once <= most and not any(_clash(a, b) for a, b in combinations(did, 2)):
            yield chosen


def _clash(one: Did, other: Did) -> bool:
    return one.person == other.person and (
        one.start - one.walk < other.end + other.walk
        and other.start - other.walk < one.end + one.walk
    )


def _value(
    clock: PassClock, cameras: Sequence[Placement], chosen: Sequence[Way]
) -> tuple[int, ...]:
    """Return all goals as what is to be made small."""
    costs = [sum(parts) for parts in zip(*(way.cost for way in chosen), strict=True)]
    nothing = extra = 0
    for index, row in enumerate(clock.songs):
        worth = clock.worth(row.song)
        useful = [n for n, p in enumerate(cameras) if clock.framed(p, row.song) and worth]
        wanted = [n for n, p in enumerate(cameras) if is_wanted(clock, p, index)]
        for number, (begin, end, _) in enumerate(clock.slices(row)):
            still = {n for n in wanted if (index, number) in chosen[n].still}
            extra += (end - begin) * worth * max(0, len(still) - 1)
            nothing += (end - begin) if worth == 3 and set(useful) <= still else 0
    reserves = [way.reserve for way in chosen if way.reserve is not None]
    short = sum(max(0, int(clock.scene.shoot.rules.reserve_s) - reserve) for reserve in reserves)
    return (
        costs[0], nothing, costs[1] + extra, short, costs[2], costs[3],
        -min(reserves, default=0), -sum(reserves),
    )  # fmt: skip


# -- one camera ------------------------------------------------------------------------------------


def _options(
    clock: PassClock, placement: Placement, index: int, *, is_inside: bool
) -> list[tuple[int, int, tuple[Work, ...], str, int]]:
    """Return every touch in a gap or song: start, end, what, who, way."""
    row = clock.songs[index]
    found = []
    works: list[tuple[Work, ...]] = [
        ("restart",), ("battery",), ("card",), ("battery", "card"), ("cool",), ("battery", "cool"),
        ("card", "cool"), ("battery", "card", "cool"),
    ]  # fmt: skip
    has = {
        "battery": len(clock.batteries(placement)) > 1,
        "card": len(placement.cards) > 1,
        "cool": clock.heat_s(placement) < inf,
        "restart": clock.clip_s(placement) < inf,
    }
    for does in works:
        if not all(has[work] for work in does):
            continue
        length = clock.work_s(placement, does)
        for who in clock.scene.shoot.crew:
            reach = clock.reach(placement, who.id)
            if reach is None:
                continue
            if is_inside:
                if not (reach.is_own and clock.framed(placement, row.song)):
                    continue
                begins = [a for a, _, _ in clock.slices(row) if a + length <= row.end]
            else:
                after = clock.songs[index + 1].song.id
                is_short = row.gap_end - row.end < clock.scene.shoot.rules.off_stage_s
                if is_short and {row.song.id, after} & set(who.performs_in):
                    continue
                spare = reach.walk_s if reach.has_to_be_back else 0
                begins = list(range(row.end + spare, row.gap_end - length - spare + 1, STEP))
            found += [(a, a + length, does, who.id, reach.walk_s) for a in begins]
    return found


def _windows(clock: PassClock, placement: Placement) -> list[tuple[int, bool]]:
    lives = [clock.clip_s(placement), clock.heat_s(placement)]
    lives += [clock.battery_s(placement, unit) for unit in clock.batteries(placement)]
    lives += [clock.card_s(placement, unit) for unit in placement.cards]
    found = []
    for index, row in enumerate(clock.songs):
        number = max(1, -int(-(row.end - row.begin) // min(lives))) if min(lives) < inf else 1
        found += [(index, True)] * number
        found += [(index, False)] if index + 1 < len(clock.songs) else []
    return found


def _ways_number(clock: PassClock, placement: Placement) -> int:
    if not has_choice(clock, placement, -STEP):
        return 1
    number = 1
    for index, is_inside in _windows(clock, placement):
        number *= 1 + len(_options(clock, placement, index, is_inside=is_inside))
    return number


def _ways(clock: PassClock, placement: Placement, begin: int) -> Iterator[Way]:
    batteries, cards = clock.batteries(placement), placement.cards
    if not has_choice(clock, placement, begin):
        battery = max(batteries, key=lambda unit: clock.battery_s(placement, unit))
        card = max(cards, key=lambda unit: clock.card_s(placement, unit))
        yield _way(clock, placement, begin, battery, card, (), has_reserve=False)
        return
    windows = _windows(clock, placement)
    options = [
        [None, *_options(clock, placement, index, is_inside=inside)] for index, inside in windows
    ]
    for chosen in product(*options):
        touches = [one for one in chosen if one is not None]
        if any(a[1] > b[0] for a, b in pairwise(touches)):
            continue
        swaps = [sum(kind in t[2] for t in touches) for kind in ("battery", "card")]
        for used in product(_orders(batteries, swaps[0]), _orders(cards, swaps[1])):
            did = tuple(_did(touches, used[0][1:], used[1][1:]))
            yield _way(clock, placement, begin, used[0][0], used[1][0], did)


def _orders(units: Sequence[str | None], swaps: int) -> Iterator[tuple[str | None, ...]]:
    yield from permutations(units, swaps + 1)


def _did(
    touches: Sequence[tuple[int, int, tuple[Work, ...], str, int]],
    batteries: Sequence[str | None],
    cards: Sequence[str | None],
) -> Iterator[Did]:
    left, more = list(batteries), list(cards)
    for start, end, does, who, walk in touches:
        battery = left.pop(0) if "battery" in does else None
        card = more.pop(0) if "card" in does else None
        yield Did(start, end, does, who, walk, battery, card)


def _way(
    clock: PassClock,
    placement: Placement,
    begin: int,
    battery: str | None,
    card: str | None,
    did: tuple[Did, ...],
    *,
    has_reserve: bool = True,
) -> Way:
    """Return a way with what it costs: the recorder is followed in steps of 10 s."""
    lives = (clock.clip_s(placement), clock.heat_s(placement))
    until = [begin + lives[0], begin + lives[1]]
    until += [begin + clock.battery_s(placement, battery), begin + clock.card_s(placement, card)]
    planned = list(until)
    left = list(did)
    still, reserves = set(), []
    safety = others = 0
    for index, row in enumerate(clock.songs):
        framed, worth = clock.framed(placement, row.song), clock.worth(row.song)
        for number, (a, b, subjects) in enumerate(clock.slices(row)):
            while left and left[0].end <= a:
                _renew(clock, placement, left.pop(0), until, planned)
            if (left and left[0].start < b) or min(until) < b:
                still.add((index, number))
                if clock.is_safety(placement):
                    safety += b - a
                else:
                    factor = clock.scene.shoot.rules.moment_factor if framed & subjects else 1
                    others += (b - a) * worth * factor * bool(framed)
        while left and left[0].start < row.end:
            _renew(clock, placement, left.pop(0), until, planned)
        if is_wanted(clock, placement, index):
            reserves.append(int(min(planned) - row.end))
    walking = sum(2 * one.walk for one in did)
    reserve = min(reserves, default=0) if has_reserve else None
    return Way(did, frozenset(still), (safety, others, len(did), walking), reserve)


def _renew(
    clock: PassClock, placement: Placement, one: Did, until: list[float], planned: list[float]
) -> None:
    since = max(at for row in clock.songs for at in _marks(row) if at <= one.start)
    lives: list[float | None] = [
        clock.clip_s(placement),
        clock.heat_s(placement) if "cool" in one.does else None,
        clock.battery_s(placement, one.battery) if "battery" in one.does else None,
        clock.card_s(placement, one.card) if "card" in one.does else None,
    ]
    for n, life in enumerate(lives):
        if life is not None:
            until[n], planned[n] = one.end + life, since + life


def _marks(row: Clocked) -> tuple[int, int]:
    return (row.begin, row.end)
