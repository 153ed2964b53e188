"""Focal variety: different (subject, size) pairs, bands of angle of view, nice roles."""

from __future__ import annotations

from collections import Counter, defaultdict

import numpy as np
from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.demands import Demands
from kitplan.allocate.dominance import MANNERS
from kitplan.allocate.goals.goal import Goal, weighted
from kitplan.allocate.pictures import add_menu_is_clear
from kitplan.allocate.variables import Slot, Variables, total
from kitplan.options.shots import band_names


def _add_menu_is_in_reach(x: Variables) -> None:
    """An operator's further shots: with that camera on that stand, at most a few, never the main
    shot again, and nobody else in the picture.
    """
    most = x.options.brief.shoot.rules.menu_shots
    for slot in x.slots:
        if not slot.menu:
            continue
        rows_of = _rows_by_framing(slot)
        every_way = slot.ways_to_hold(*(rows_of[framing] for framing in slot.menu))
        for var, ways in zip(slot.menu.values(), every_way, strict=True):
            for cameras, other_stands in ways:
                x.model.add(var <= total(cameras) + total(other_stands))
        x.model.add(total(slot.menu.values()) <= most * slot.operated)
    add_menu_is_clear(x)


def _rows_by_framing(slot: Slot) -> dict[tuple[str, str], list[int]]:
    rows: dict[tuple[str, str], list[int]] = {}
    for row, view in enumerate(slot.spot.views):
        rows.setdefault((view.subject.id, view.size), []).append(row)
    return rows


def variety(x: Variables, demands: Demands) -> Goal:
    """(subject, size) pairs that placements can hold, at most three a subject,
    + 3 * bands of angle of view in use + nice roles.
    """
    _add_menu_is_in_reach(x)
    rules = x.options.brief.shoot.rules
    holders: dict[tuple[str, str], list[IntVar]] = defaultdict(list)
    bands: dict[int, list[IntVar]] = defaultdict(list)
    for slot in x.slots:
        if not slot.brings:
            continue
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
    value = total(counts) + rules.band_points * total(used) + rules.nice_points * weighted(nice)
    return Goal("variety", value, parts, most_variety(x, demands))


def most_variety(x: Variables, demands: Demands) -> int:
    """Return what no plan exceeds: all that any placement could hold."""
    rules = x.options.brief.shoot.rules
    framings: set[tuple[str, str]] = set()
    bands: set[int] = set()
    for slot in x.slots:
        if slot.brings:
            framings.update((view.subject.id, view.size) for _, view, _ in slot.shot_items())
            framings.update(slot.menu)
            bands.update(_bands(slot))
    sizes = Counter(subject for subject, _ in framings)
    pairs = sum(min(number, rules.pairs_per_subject) for number in sizes.values())
    nice = sum(demand.weight for demand in demands.of_roles("nice"))
    return pairs + rules.band_points * len(bands) + rules.nice_points * nice


def _bands(slot: Slot) -> set[int]:
    """Return the bands of what is possible; shots of a coarse model do not tell them apart."""
    shots = slot.spot.shots
    manners = MANNERS if slot.spot.people else ("locked-off",)
    return {int(band) for each in manners for band in np.unique(shots.band[shots.possible(each)])}
