"""Economy: reset work, mass brought, lenses changed."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from typing import Any

from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.goals.goal import Goal
from kitplan.allocate.reset import Reset
from kitplan.allocate.variables import Variables, total
from kitplan.options.cameras import Camera
from kitplan.options.stands import Stand
from kitplan.units import load_g


def economy(x: Variables, resets: list[Reset]) -> Goal:
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
    return Goal("economy", -cost, parts, most=0)


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
