"""The goals in strict order, one function each, formula beside it. Every goal is maximised.

musts      - missed musts                                        (only when not all can hold)
wants      sum(weight * want role filled)
thinnest   least number of counted viewpoints on offer in any song
viewpoints sum(points * grade % * thirds of songs) over counted placements, no two alike
variety    different (subject, size) pairs + 3 * bands in use + nice roles
quality    - lost marks of light, focus, framing, operator, distinctness, safety body
economy    - (reset minutes + 2 * kilograms + 5 * lens changes)
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.demands import Demand, Demands
from kitplan.allocate.reset import Reset
from kitplan.allocate.variables import Slot, Variables, total
from kitplan.options.cameras import Camera
from kitplan.options.shots import band_names
from kitplan.options.stands import Stand
from kitplan.options.views import alike_views, units_and_frames
from kitplan.stage.angles import clearly_distinct, clique_cover
from kitplan.units import load_g

FULL_MARKS = 3
MARKS_PER_SHOT = 9
"""Light, focus and framing fit, three marks each."""


@dataclass(frozen=True)
class Goal:
    """One goal: what is maximised and the parts that people may want to see."""

    id: str
    expression: Any
    parts: dict[str, Any]


def goals_in_order(x: Variables, demands: Demands, resets: list[Reset]) -> Iterator[Goal]:
    """Yield the goals in order of importance.

    What a goal counts with is added to the model only when its turn comes: thousands of rows that
    the goals before it would only stumble over.
    """
    yield _musts(demands)
    yield _wants(demands)
    _add_counted_viewpoints(x)
    yield _thinnest_song(x)
    yield _viewpoints(x)
    yield _variety(x, demands)
    yield _quality(x)
    yield _economy(x, resets)


def _musts(demands: Demands) -> Goal:
    missed = total(1 - demand.is_met for demand in demands.musts)
    return Goal("musts", -missed, {"missed": missed})


def _wants(demands: Demands) -> Goal:
    """sum(weight of each want role that is filled)."""
    wanted = demands.of_roles("want")
    return Goal("wants", _weighted(wanted), {"filled": total(d.is_met for d in wanted)})


def _weighted(demands: list[Demand]) -> Any:
    return total(demand.weight * demand.is_met for demand in demands)


# -- viewpoints ------------------------------------------------------------------------------------


def _add_counted_viewpoints(x: Variables) -> None:
    """A counted viewpoint is a placed shot; each view counts once over all passes; of views that
    are alike only one counts (one row per clique of alike views).
    """
    by_view: dict[int, list[IntVar]] = defaultdict(list)
    for slot in x.slots:
        shots: dict[Any, list[IntVar]] = defaultdict(list)
        for c, var in slot.shots.items():
            shots[c.view, c.manner, c.grade].append(var)
        for key, counted in slot.counted.items():
            x.model.add(counted <= total(shots[key]))
            by_view[slot.spot.view_numbers[key[0]]].append(counted)
    for view, var in x.viewpoints.items():
        x.model.add(total(by_view[view]) == var)
    numbers = sorted(x.viewpoints)
    views = tuple(x.options.views[n] for n in numbers)
    if views:
        conflicts = alike_views(x.options.brief, views)
        for clique in clique_cover(conflicts):
            x.model.add_at_most_one(x.viewpoints[numbers[place]] for place in clique)


def _thinnest_song(x: Variables) -> Goal:
    """min over songs of the counted viewpoints in passes that are live or lock there, less those
    whose operator performs in that song.
    """
    brief = x.options.brief
    thinnest = x.model.new_int_var(0, len(x.slots), "thinnest song")
    for song in brief.shoot.songs:
        on_offer = total(
            _offers(x, slot, song.id)
            for each in brief.on_offer(song)
            for slot in x.slots_in(each.id)
        )
        x.model.add(thinnest <= on_offer)
    return Goal("thinnest", thinnest, {})


def _offers(x: Variables, slot: Slot, song_id: str) -> Any:
    counted = total(slot.counted.values())
    crew = x.options.brief.shoot.crew_by_id
    away = [var for person, var in slot.operators.items() if song_id in crew[person].performs_in]
    if not away:
        return counted
    offers = x.model.new_bool_var(f"offers {song_id}[{slot.name}]")
    x.model.add(offers <= counted)
    x.model.add(offers <= 1 - total(away))
    return offers


def _viewpoints(x: Variables) -> Goal:
    """sum over counted placements of points * grade % * thirds of its pass.

    Operated ones have full points. Locked-off ones of a pass have falling points (4, 3, 2, 1 ...),
    the best grade first: with N(g) of grade g or better that is
    sum over g of (percent(g) - percent(g-1)) * (points of the first N(g)).
    """
    rules = x.options.brief.shoot.rules
    operated: list[Any] = []
    locked: list[Any] = []
    for each in x.options.brief.shoot.passes:
        thirds = x.options.brief.thirds(each)
        by_grade: dict[int, list[IntVar]] = defaultdict(list)
        for slot in x.slots_in(each.id):
            for (_, manner, grade), var in slot.counted.items():
                if manner == "operated":
                    worth = rules.points_operated * rules.grade_percent[grade] * thirds
                    operated.append(worth * var)
                else:
                    by_grade[grade].append(var)
        locked.extend(_locked_points(x, each.id, thirds, by_grade))
    counted = total(x.viewpoints.values())
    parts = {"counted": counted, "operated": total(operated), "locked off": total(locked)}
    return Goal("viewpoints", total(operated) + total(locked), parts)


def _locked_points(
    x: Variables, pass_id: str, thirds: int, by_grade: dict[int, list[IntVar]]
) -> list[Any]:
    rules = x.options.brief.shoot.rules
    terms = []
    for grade in range(1, FULL_MARKS + 1):
        step = rules.grade_percent[grade] - rules.grade_percent[grade - 1]
        at_least = [var for g, found in by_grade.items() if g >= grade for var in found]
        if not step or not at_least or not thirds:
            continue
        ranks = []
        for rank, points in enumerate(rules.points_locked[: len(at_least)]):
            ranked = x.model.new_bool_var(f"locked rank {rank} grade {grade}[{pass_id}]")
            ranks.append(ranked)
            terms.append(step * points * thirds * ranked)
        x.model.add(total(ranks) <= total(at_least))
    return terms


# -- variety ---------------------------------------------------------------------------------------


def _add_menu_is_in_reach(x: Variables) -> None:
    """An operator's further shots: with that camera, at most a few, never the main shot again."""
    most = x.options.brief.shoot.rules.menu_shots
    for slot in x.slots:
        if not slot.menu:
            continue
        rows_of = _rows_by_framing(slot)
        for framing, var in slot.menu.items():
            x.model.add(var <= total(slot.cameras_that_hold(rows_of[framing])))
        x.model.add(total(slot.menu.values()) <= most * slot.operated)


def _rows_by_framing(slot: Slot) -> dict[tuple[str, str], list[int]]:
    rows: dict[tuple[str, str], list[int]] = {}
    for row, view in enumerate(slot.spot.views):
        rows.setdefault((view.subject.id, view.size), []).append(row)
    return rows


def _variety(x: Variables, demands: Demands) -> Goal:
    """(subject, size) pairs that placements can hold, at most three a subject,
    + 3 * bands of angle of view in use + nice roles.
    """
    _add_menu_is_in_reach(x)
    rules = x.options.brief.shoot.rules
    holders: dict[tuple[str, str], list[IntVar]] = defaultdict(list)
    bands: dict[int, list[IntVar]] = defaultdict(list)
    for slot in x.slots:
        for shot_class, view, var in slot.shot_items():
            holders[view.subject.id, view.size].append(var)
            bands[shot_class.band].append(var)
        for framing, var in slot.menu.items():
            holders[framing].append(var)
    pairs: dict[str, list[IntVar]] = defaultdict(list)
    for (subject, size), found in sorted(holders.items()):
        pair = x.model.new_bool_var(f"pair[{subject},{size}]")
        x.model.add(pair <= total(found))
        pairs[subject].append(pair)
    counts = []
    for subject, found in pairs.items():
        most = min(len(found), rules.pairs_per_subject)
        count = x.model.new_int_var(0, most, f"pairs[{subject}]")
        x.model.add(count <= total(found))
        counts.append(count)
    used = []
    for band, found in sorted(bands.items()):
        in_use = x.model.new_bool_var(f"band[{band_names()[band]}]")
        x.model.add(in_use <= total(found))
        used.append(in_use)
    nice = demands.of_roles("nice")
    parts = {
        "pairs": total(counts),
        "bands": total(used),
        "nice roles": total(d.is_met for d in nice),
    }
    value = total(counts) + rules.band_points * total(used) + rules.nice_points * _weighted(nice)
    return Goal("variety", value, parts)


# -- quality ---------------------------------------------------------------------------------------


def _quality(x: Variables) -> Goal:
    """Lost marks: 9 less the marks of each shot, 3 for a narrow view in unskilled hands, 1 for a
    counted viewpoint that is not clearly distinct from another, 3 less the reliability of each
    body on the safety shot.
    """
    shots = total(
        (MARKS_PER_SHOT - c.quality) * var for slot in x.slots for c, var in slot.shots.items()
    )
    operator = total(FULL_MARKS * var for var in _narrow_in_unskilled_hands(x))
    distinct = total(_not_clearly_distinct(x))
    safety = total(_unreliable_safety(x))
    parts = {
        "shots": shots,
        "operators": operator,
        "not clearly distinct": distinct,
        "safety": safety,
    }
    return Goal("quality", -(shots + operator + distinct + safety), parts)


def _narrow_in_unskilled_hands(x: Variables) -> list[IntVar]:
    crew = x.options.brief.shoot.crew_by_id
    lost = []
    for slot in x.slots:
        narrow = [v for c, v in slot.shots.items() if c.is_narrow and c.manner == "operated"]
        unskilled = [v for person, v in slot.operators.items() if not crew[person].is_skilled]
        if narrow and unskilled:
            var = x.model.new_bool_var(f"narrow and unskilled[{slot.name}]")
            x.model.add(var >= total(narrow) + total(unskilled) - 1)
            lost.append(var)
    return lost


def _not_clearly_distinct(x: Variables) -> list[IntVar]:
    numbers = sorted(x.viewpoints)
    if not numbers:
        return []
    rules = x.options.brief.shoot.rules
    views = tuple(x.options.views[n] for n in numbers)
    units, frames_m = units_and_frames(views)
    clear = clearly_distinct(
        units,
        frames_m,
        rules.clear_angle_deg,
        rules.clear_angle_with_size_deg,
        rules.clear_size_factor,
    )
    same = alike_views(x.options.brief, views)
    close = ~clear & ~same
    lost = []
    for row, number in enumerate(numbers):
        near = [x.viewpoints[numbers[column]] for column in np.flatnonzero(close[row])]
        if near:
            var = x.model.new_bool_var(f"not clear[{','.join(x.options.views[number].key)}]")
            for other in near:
                x.model.add(var >= x.viewpoints[number] + other - 1)
            lost.append(var)
    return lost


def _unreliable_safety(x: Variables) -> list[Any]:
    roles = {role.id for role in x.options.brief.roles if role.is_safety}
    lost = []
    for slot in x.slots:
        for role_id in roles & slot.roles.keys():
            marks = x.model.new_int_var(0, FULL_MARKS, f"safety marks lost[{slot.name}]")
            missing = total(
                (FULL_MARKS - lasting.reliability) * var
                for var, lasting in zip(slot.cameras, slot.spot.endurance, strict=True)
            )
            x.model.add(marks >= missing - FULL_MARKS * (1 - slot.roles[role_id]))
            lost.append(marks)
    return lost


# -- economy ---------------------------------------------------------------------------------------


def _economy(x: Variables, resets: list[Reset]) -> Goal:
    """1 per minute of reset work, 2 per kilogram of what is brought, 5 per lens changed; counted
    in tenths of a point.
    """
    rules = x.options.brief.shoot.rules
    work = total(reset.work for reset in resets)
    grams = _mass_brought(x)
    changes = total(_lens_changes(x))
    # work is in tenths of minutes; 1 g is 1/100 of a tenth of a kilogram: scale all by 100
    cost = 100 * rules.reset_points * work + rules.kg_points * grams
    cost += 1000 * rules.lens_change_points * changes
    parts = {"reset tenths": work, "grams": grams, "lens changes": changes}
    return Goal("economy", -cost, parts)


def _mass_brought(x: Variables) -> Any:
    """sum(grams of an item * most of it used in any pass)."""
    items = x.options.brief.kit.items_by_id
    uses: dict[str, dict[str, list[IntVar]]] = defaultdict(lambda: defaultdict(list))
    for slot in x.slots:
        rigs: list[tuple[Camera | Stand, IntVar]] = [*slot.camera_items(), *slot.stand_items()]
        for part, var in rigs:
            for item in part.items:
                uses[item][slot.spot.each.id].append(var)
    terms = []
    for item, by_pass in sorted(uses.items()):
        mass = load_g(items[item].mass_kg)
        if mass:
            units = len(x.options.brief.kit.units_by_item[item])
            brought = x.model.new_int_var(0, units, f"brought[{item}]")
            for found in by_pass.values():
                x.model.add(brought >= total(found))
            terms.append(mass * brought)
    return total(terms)


def _lens_changes(x: Variables) -> list[IntVar]:
    """Cameras of a pass that were not together in the pass before: max(0, now - before)."""
    passes = x.options.brief.shoot.passes
    changes = []
    for before, after in pairwise(passes):
        counts = []
        for each in (before, after):
            found: dict[str, list[IntVar]] = defaultdict(list)
            for slot in x.slots_in(each.id):
                for camera, var in slot.camera_items():
                    if camera.lens is not None:
                        found["+".join(camera.items)].append(var)
            counts.append(found)
        for key, now in sorted(counts[1].items()):
            var = x.model.new_int_var(0, len(now), f"lens change[{after.id},{key}]")
            x.model.add(var >= total(now) - total(counts[0].get(key, [])))
            changes.append(var)
    return changes
