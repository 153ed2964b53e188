"""The best shot sheets by trying all: every camera, every sheet it may have, second by second.

Written from docs/model.md, "The day: shot sheets", without the solver's code. What can be framed
and which views are alike is asked of the independent checker.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise, product
from math import prod

from kitplan.plan.records import Plan
from kitplan.plan.verify import Scene, Setup, sizes_of, view_of
from kitplan.plan.verify.crowding import in_the_way_of
from kitplan.plan.verify.resolve import resolve
from kitplan.plan.verify.sight import SIZES, are_alike
from kitplan.plan.verify.single import can_frame
from kitplan.shoot.records import Moment, Song
from tests.day.shots.hall import Pair
from tests.small import SHOOT_ID

MOST = 40_000
"""More combinations than this are not tried."""
Value = tuple[int, ...]


@dataclass(frozen=True)
class Way:
    """What a camera may do in one song."""

    song: str
    shot: Pair
    cues: tuple[tuple[int, Pair], ...]
    holds: frozenset[int]
    """Numbers of the moments that it holds."""


Sheet = tuple[Way, ...]


@dataclass(frozen=True)
class Day:
    """Every sheet that each camera may have."""

    scene: Scene
    setups: tuple[Setup, ...]
    sheets: tuple[tuple[Sheet, ...], ...]

    @property
    def size(self) -> int:
        """Combinations to try."""
        return prod(map(len, self.sheets))


def day_of(plan: Plan) -> Day:
    """Return all sheets that the cameras of a plan may have."""
    scene = Scene(plan.shoots[SHOOT_ID], plan.kit)
    setups = tuple(one.setup for one in resolve(plan, SHOOT_ID, scene, []))
    return Day(scene, setups, tuple(tuple(_sheets(scene, each, setups)) for each in setups))


def best_value(day: Day) -> Value:
    """Return the best values of all goals, in strict order."""
    alike = _alike(day)
    return max(_value(day, alike, sheets) for sheets in product(*day.sheets))


# -- what is allowed -------------------------------------------------------------------------------


def _sheets(scene: Scene, setup: Setup, setups: tuple[Setup, ...]) -> Iterator[Sheet]:
    songs = [
        song
        for song in scene.run_songs(setup.each)
        if (setup.person is None or song.id not in setup.person.performs_in)
        and song.id not in setup.missed
    ]
    rules, main = scene.shoot.rules, (setup.subject.id, setup.size)
    is_over = setup.each.id in scene.shoot.past.passes
    is_fixed = setup.person is None or _is_safety(scene, setup, setups)
    for sheet in product(*(_ways(scene, setup, setups, song, is_fixed) for song in songs)):
        at_home = sum(way.shot == main for way in sheet)
        away = len(sheet) - at_home + sum(len(way.cues) for way in sheet)
        is_zone = setup.person is not None and not setup.person.is_skilled
        too_many = is_zone and away > rules.zone_exceptions
        too_few = setup.roles and at_home * 2 < len(sheet)
        if is_over or is_fixed or not (too_many or too_few):
            yield sheet


def _is_safety(scene: Scene, setup: Setup, setups: tuple[Setup, ...]) -> bool:
    asked = [r for r in scene.roles if r.is_safety and setup.each.needs_safety]
    if any(role.id in setup.roles for role in asked):
        return True
    here = [each for each in setups if each.each.id == setup.each.id]
    is_done = any(role.id in each.roles for role in asked for each in here)
    frames = any(r.subject == setup.subject.id and setup.size in r.sizes for r in asked)
    return frames and not is_done


def _ways(
    scene: Scene, setup: Setup, setups: tuple[Setup, ...], song: Song, is_fixed: bool
) -> list[Way]:
    main = (setup.subject.id, setup.size)
    shots: list[Pair] = [main] if is_fixed else [main, *setup.menu]
    noted = _noted(scene, setup, song)
    if noted is not None and not is_fixed:
        shots = [noted]
    is_live = scene.is_on_offer(setup.each, song)
    choices: list[list[Pair | None]] = [
        [None, *(_holding(scene, setup, setups, moment) if is_live else ())]
        if not is_fixed and noted is None
        else [None]
        for moment in song.moments
    ]
    found = []
    for shot in shots:
        for chosen in product(*choices):
            cues = tuple((n, pair) for n, pair in enumerate(chosen) if pair is not None)
            rest = scene.shoot.rules.recompose_s
            if all(pair != shot for _, pair in cues) and _are_apart(song, cues, rest):
                held = frozenset(
                    n
                    for n, moment in enumerate(song.moments)
                    if is_live and _is_held(song, moment, shot, cues, rest)
                )
                found.append(Way(song.id, shot, cues, held))
    return found


def _noted(scene: Scene, setup: Setup, song: Song) -> Pair | None:
    """What was held in a pass that is over; None in one to come."""
    past = scene.shoot.past
    if setup.each.id not in past.passes:
        return None
    for stood in past.stood:
        for row in stood.held:
            if (stood.position, stood.subject, stood.size, row.song) == (
                setup.position.id,
                setup.subject.id,
                setup.size,
                song.id,
            ):
                return row.subject, row.size
    return setup.subject.id, setup.size


def _holding(scene: Scene, setup: Setup, setups: tuple[Setup, ...], moment: Moment) -> list[Pair]:
    subject = scene.shoot.subjects_by_id[moment.subject]
    return [
        (subject.id, size)
        for size in sizes_of(subject)
        if SIZES.index(size) <= SIZES.index(moment.size)
        and can_frame(scene, setup, subject.id, size)
        and not in_the_way_of(scene, setup, subject.id, size, setups)
    ]


def _span(song: Song, moment: Moment) -> tuple[float, float]:
    return moment.at_s, min(moment.at_s + moment.length_s, song.length_s)


def _are_apart(song: Song, cues: tuple[tuple[int, Pair], ...], rest_s: float) -> bool:
    spans = sorted(_span(song, song.moments[number]) for number, _ in cues)
    return all(b[0] - a[1] >= rest_s for a, b in pairwise(spans))


def _is_held(
    song: Song, moment: Moment, shot: Pair, cues: tuple[tuple[int, Pair], ...], rest_s: float
) -> bool:
    """Whether at every half second of a moment the right thing is framed."""
    start, end = _span(song, moment)
    ticks = int((end - start) * 2)
    framed = [_framed(song, start + tick / 2 + 0.25, shot, cues, rest_s) for tick in range(ticks)]
    wanted = SIZES[: SIZES.index(moment.size) + 1]
    return all(p is not None and p[0] == moment.subject and p[1] in wanted for p in framed)


def _framed(
    song: Song, at_s: float, shot: Pair, cues: tuple[tuple[int, Pair], ...], rest_s: float
) -> Pair | None:
    for number, pair in cues:
        start, end = _span(song, song.moments[number])
        if start < at_s < end:
            return pair
    for number, _ in cues:
        start, end = _span(song, song.moments[number])
        if start - rest_s < at_s < end + rest_s:
            return None
    return shot


# -- what it is worth ------------------------------------------------------------------------------


def _alike(day: Day) -> dict[tuple[int, Pair, int, Pair], bool]:
    """Whether two cameras' shots are one viewpoint."""
    scene, found = day.scene, {}
    pairs = [{way.shot for sheet in sheets for way in sheet} for sheets in day.sheets]
    for one, other in combinations(range(len(day.setups)), 2):
        for a, b in product(pairs[one], pairs[other]):
            views = [
                view_of(scene, day.setups[n].position, scene.shoot.subjects_by_id[p[0]], p[1])
                for n, p in ((one, a), (other, b))
            ]
            first, second = views
            assert first is not None
            assert second is not None
            found[one, a, other, b] = are_alike(scene, first, second)
    return found


def _value(
    day: Day, alike: dict[tuple[int, Pair, int, Pair], bool], sheets: tuple[Sheet, ...]
) -> Value:
    shoot = day.scene.shoot
    held = {"must": [0, 0], "want": [0, 0], "nice": [0, 0]}
    same = 0
    variety = 0
    subjects: set[str] = set()
    for song in shoot.songs:
        rows = [
            (number, way)
            for number, sheet in enumerate(sheets)
            for way in sheet
            if way.song == song.id
        ]
        live = [(n, w) for n, w in rows if day.scene.is_on_offer(day.setups[n].each, song)]
        for number, moment in enumerate(song.moments):
            holding = sum(number in way.holds for _, way in live)
            held[moment.priority][0] += holding >= 1
            held[moment.priority][1] += holding >= 2
        same += sum(alike[a, v.shot, b, w.shot] for (a, v), (b, w) in combinations(live, 2))
        variety += len({way.shot for _, way in rows})
        subjects |= {pair[0] for _, way in live for pair in (way.shot, *(p for _, p in way.cues))}
    changes = home = 0
    for setup, sheet in zip(day.setups, sheets, strict=True):
        changes += sum(a.shot != b.shot for a, b in pairwise(sheet))
        changes += 2 * sum(len(way.cues) for way in sheet)
        home += sum(way.shot == (setup.subject.id, setup.size) for way in sheet)
    firsts = [held[priority][0] for priority in ("must", "want", "nice")]
    seconds = [held[priority][1] for priority in ("must", "want")]
    return (*firsts, *seconds, -same, len(subjects), variety, -changes, home)
