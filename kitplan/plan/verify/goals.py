"""Values of the goals (docs/model.md, section 6), in whole numbers as the model counts them."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from itertools import pairwise

from kitplan.plan.verify.between import reset_work_tenths
from kitplan.plan.verify.crowding import levels_seen
from kitplan.plan.verify.demands import Demand, demands_of, missed_musts
from kitplan.plan.verify.lasting import lasting_of
from kitplan.plan.verify.marks import (
    FULL_MARKS,
    MARKS_PER_SHOT,
    grade_of,
    marks_of,
    picture,
    seen,
)
from kitplan.plan.verify.picture import band_of
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.setups import Setup
from kitplan.plan.verify.sight import View, are_clearly_distinct
from kitplan.shoot.records import Pass
from kitplan.units import load_g

GOALS = ("musts", "wants", "thinnest", "viewpoints", "variety", "quality", "economy")
"""Goals in order of importance; each is maximised."""
SHOWN_PER_WHOLE = {"viewpoints": 300.0, "economy": 1000.0}
"""A plan shows a goal divided by this: percent of thirds, thousandths of a point."""


def goal_values(
    scene: Scene, setups: Sequence[Setup], demands: Sequence[Demand] | None = None
) -> dict[str, int]:
    """Return the value of every goal, in order of importance, the more the better.

    Args:
        setups: All setups of all passes, each possible by itself.
        demands: The demands as these setups meet them, where they are known already.
    """
    demands = demands_of(scene, setups) if demands is None else demands
    return {
        "musts": -missed_musts(demands),
        "wants": _weight(demands, "want"),
        "thinnest": thinnest(scene, setups),
        "viewpoints": viewpoints(scene, setups),
        "variety": variety(scene, setups, demands),
        "quality": -marks_lost(scene, setups),
        "economy": -cost(scene, setups),
    }


def _weight(demands: Sequence[Demand], priority: str) -> int:
    return sum(d.weight for d in demands if d.is_met and d.priority == priority)


# -- viewpoints ------------------------------------------------------------------------------------


def thinnest(scene: Scene, setups: Sequence[Setup]) -> int:
    """Return the least number of counted viewpoints on offer in any song."""
    counted = [setup for setup in setups if setup.is_counted]
    return min(
        (sum(song in songs_of(scene, setup) for setup in counted))
        for song in range(len(scene.shoot.songs))
    )


def songs_of(scene: Scene, setup: Setup) -> frozenset[int]:
    """Return the numbers of the songs in which a setup is on offer: usable, and operator free."""
    away = () if setup.person is None else setup.person.performs_in
    key = ("songs", setup.each.id, setup.person and setup.person.id, setup.missed)
    return scene.once(
        key,
        lambda: frozenset(
            number
            for number, song in enumerate(scene.shoot.songs)
            if scene.is_on_offer(setup.each, song)
            and song.id not in away
            and song.id not in setup.missed
        ),
    )


def viewpoints(scene: Scene, setups: Sequence[Setup]) -> int:
    """Return the sum of points x grade % x thirds over the counted setups."""
    rules = scene.shoot.rules
    total = 0
    locked: dict[str, list[int]] = defaultdict(list)
    for setup in setups:
        if setup.is_counted:
            value = value_of(scene, setup)
            if setup.person is None:
                locked[setup.each.id].append(value)
            else:
                total += rules.points_operated * value
    return total + sum(locked_points(scene, found) for found in locked.values())


def value_of(scene: Scene, setup: Setup) -> int:
    """Return what a viewpoint gives for each point: grade % x thirds of the songs it has."""
    percent = scene.shoot.rules.grade_percent[grade_of(scene, setup)]
    return percent * scene.thirds(setup.each, setup.missed)


def has_got(scene: Scene, setup: Setup) -> bool:
    """Return whether a setup, if its pass is over, has got anything that it can count with."""
    is_over = setup.each.id in scene.shoot.past.passes
    return not is_over or scene.thirds(setup.each, setup.missed) > 0


def locked_points(scene: Scene, found: Sequence[int]) -> int:
    """Return points x values of the locked-off viewpoints of a pass, the best ones first."""
    best_first = sorted(found, reverse=True)
    return sum(p * q for p, q in zip(scene.shoot.rules.points_locked, best_first, strict=False))


# -- variety ---------------------------------------------------------------------------------------


def variety(scene: Scene, setups: Sequence[Setup], demands: Sequence[Demand]) -> int:
    """Return pairs of subject and size, at most so many a subject, bands in use, nice roles."""
    rules = scene.shoot.rules
    setups = [setup for setup in setups if scene.brings(setup.each, setup.missed)]
    pairs = {pair for s in setups for pair in ((s.subject.id, s.size), *s.menu)}
    by_subject = Counter(subject for subject, _ in pairs)
    pictures = [picture(scene, setup) for setup in setups]
    bands = {band_of(found.view_deg) for found in pictures if found is not None}
    return (
        sum(min(number, rules.pairs_per_subject) for number in by_subject.values())
        + rules.band_points * len(bands)
        + rules.nice_points * _weight(demands, "nice")
    )


# -- quality ---------------------------------------------------------------------------------------


def marks_lost(scene: Scene, setups: Sequence[Setup]) -> int:
    """Return lost marks: of shots, narrow views in unskilled hands, rigs in the picture, close
    views, safety bodies.
    """
    lost = sum(_lost_by(scene, setup) + levels_seen(scene, setup, setups) for setup in setups)
    views = [view for s in setups if s.is_counted and (view := seen(scene, s)) is not None]
    return lost + sum(_is_close_to_another(scene, view, views) for view in views)


def _lost_by(scene: Scene, setup: Setup) -> int:
    found, marks = picture(scene, setup), marks_of(scene, setup)
    if found is None or marks is None:
        return 0
    lost = MARKS_PER_SHOT - marks.total
    is_narrow = found.view_deg < scene.shoot.rules.narrow_deg
    if is_narrow and setup.person is not None and not setup.person.is_skilled:
        lost += FULL_MARKS
    safeties = [r for r in setup.roles if r in scene.roles_by_id and scene.roles_by_id[r].is_safety]
    if safeties:
        lasting = lasting_of(scene, setup.each, setup.position, setup.camera)
        lost += len(safeties) * (FULL_MARKS - lasting.reliability)
    return lost


def _is_close_to_another(scene: Scene, view: View, views: Sequence[View]) -> bool:
    return any(
        other.key != view.key and not are_clearly_distinct(scene, view, other) for other in views
    )


# -- economy ---------------------------------------------------------------------------------------


def cost(scene: Scene, setups: Sequence[Setup]) -> int:
    """Return points of reset work, mass brought and lens changes, in thousandths."""
    rules = scene.shoot.rules
    tenths = sum(
        reset_work_tenths(scene, index, setups) for index in range(len(scene.shoot.passes) - 1)
    )
    grams = grams_brought(setups)
    changes = lens_changes(scene, setups)
    return (
        100 * rules.reset_points * tenths
        + rules.kg_points * grams
        + 1000 * rules.lens_change_points * changes
    )


def grams_brought(setups: Sequence[Setup]) -> int:
    """Return the grams of every item of a rig, times the most of it that any pass uses."""
    most: Counter[str] = Counter()
    grams = {part.id: load_g(part.mass_kg) for setup in setups for part in setup.parts}
    for each in {setup.each.id for setup in setups}:
        most |= Counter(part.id for s in setups if s.each.id == each for part in s.parts)
    return sum(grams[item] * number for item, number in most.items())


def lens_changes(scene: Scene, setups: Sequence[Setup]) -> int:
    """Return how many cameras with a lens were not together in the pass before."""

    def cameras(each: Pass) -> Counter[tuple[str, ...]]:
        return Counter(
            s.camera.items for s in setups if s.each.id == each.id and s.camera.lens is not None
        )

    return sum(
        (cameras(after) - cameras(before)).total() for before, after in pairwise(scene.shoot.passes)
    )
