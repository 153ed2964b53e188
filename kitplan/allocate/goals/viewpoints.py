"""Distinct viewpoints: the thinnest song first, then points times grade over the counted ones."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.goals.goal import FULL_MARKS, Goal
from kitplan.allocate.variables import Slot, Variables, total
from kitplan.gear.records import Body
from kitplan.shoot.records import Pass


def add_counted_viewpoints(x: Variables) -> None:
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
    _add_counted_by_pass(x)
    numbers = sorted(x.viewpoints)
    for clique in _groups_of_alike(x):
        x.model.add_at_most_one(x.viewpoints[numbers[place]] for place in clique)


def _groups_of_alike(x: Variables) -> Sequence[tuple[int, ...]]:
    return x.options.likeness(sorted(x.viewpoints)).cliques


def _add_counted_by_pass(x: Variables) -> None:
    """Follows from the other rules, but gives a bound at once: a pass has no more counted
    viewpoints than bodies, and no more operated ones than operators.
    """
    for each in x.options.brief.shoot.passes:
        slots = x.slots_in(each.id)
        x.model.add(total(var for s in slots for var in s.counted.values()) <= _bodies(x, each))
        by_hand = [v for s in slots for (_, m, _), v in s.counted.items() if m == "operated"]
        x.model.add(total(by_hand) <= _most_operated(x, each))


def thinnest_song(x: Variables) -> Goal:
    """min over songs of the counted viewpoints in passes that are live or lock there, less those
    whose operator performs in that song and those that missed it in a pass that is over.
    """
    brief = x.options.brief
    thinnest = x.model.new_int_var(0, len(x.slots), "thinnest song")
    for song in brief.shoot.songs:
        on_offer = total(
            _offers(x, slot, song.id)
            for each in brief.on_offer(song)
            for slot in x.slots_in(each.id)
            if song.id not in slot.missed
        )
        x.model.add(thinnest <= on_offer)
        x.on_offer[song.id] = on_offer
    return Goal("thinnest", thinnest, {}, most=_most_on_offer(x))


def _offers(x: Variables, slot: Slot, song_id: str) -> Any:
    counted = total(slot.counted.values())
    crew = x.options.brief.shoot.crew_by_id
    away = [var for person, var in slot.operators.items() if song_id in crew[person].performs_in]
    if not away:
        return counted
    offers = x.model.new_bool_var(f"offers {song_id}[{slot.name}]")
    x.model.add(offers <= counted)
    x.model.add(offers <= slot.is_used - total(away))
    return offers


def viewpoints(x: Variables) -> Goal:
    """sum over counted placements of points * grade % * thirds of its pass, less those of songs
    that it missed.

    Operated ones have full points. Locked-off ones of a pass have falling points (4, 3, 2, 1 ...),
    the best value first: with N(v) of value v = grade % * thirds or better that is
    sum over v of (v - next lower v) * (points of the first N(v)).
    """
    rules = x.options.brief.shoot.rules
    operated: list[Any] = []
    locked: list[Any] = []
    for each in x.options.brief.shoot.passes:
        by_value: dict[int, list[IntVar]] = defaultdict(list)
        for slot in x.slots_in(each.id):
            thirds = x.options.brief.thirds(each, slot.missed)
            for (_, manner, grade), var in slot.counted.items():
                value = rules.grade_percent[grade] * thirds
                if manner == "operated":
                    operated.append(rules.points_operated * value * var)
                else:
                    by_value[value].append(var)
        locked.extend(_locked_points(x, each.id, by_value))
    counted = total(x.viewpoints.values())
    parts = {"counted": counted, "operated": total(operated), "locked off": total(locked)}
    return Goal("viewpoints", total(operated) + total(locked), parts, most=_most_points(x))


def _most_points(x: Variables) -> int:
    """Points if every body and operator of a pass held a full-grade viewpoint."""
    rules, brief = x.options.brief.shoot.rules, x.options.brief
    percent = rules.grade_percent[FULL_MARKS]
    return sum(
        percent
        * brief.thirds(each)
        * (rules.points_operated * _most_operated(x, each) + sum(rules.points_locked))
        for each in brief.shoot.passes
    )


def _most_operated(x: Variables, each: Pass) -> int:
    people = [person for person in x.options.brief.people(each) if person.is_operator]
    return min(len(people), _bodies(x, each))


def _bodies(x: Variables, each: Pass) -> int:
    brief = x.options.brief
    return sum(len(brief.free_units(body.id, each)) for body in brief.kit.of_kind(Body))


def _most_on_offer(x: Variables) -> int:
    """Bodies in the passes that a song can use, for the song that has fewest."""
    brief = x.options.brief
    return min(sum(_bodies(x, each) for each in brief.on_offer(song)) for song in brief.shoot.songs)


def _locked_points(x: Variables, pass_id: str, by_value: dict[int, list[IntVar]]) -> list[Any]:
    """The locked-off viewpoints of a pass, by what each is worth for a point."""
    rules = x.options.brief.shoot.rules
    terms = []
    below = 0
    for value in sorted(by_value):
        step, below = value - below, value
        at_least = [var for v, found in by_value.items() if v >= value for var in found]
        if not step:
            continue
        ranks = []
        for rank, points in enumerate(rules.points_locked[: len(at_least)]):
            ranked = x.model.new_bool_var(f"locked rank {rank} value {value}[{pass_id}]")
            ranks.append(ranked)
            terms.append(step * points * ranked)
        x.model.add(total(ranks) <= total(at_least))
    return terms
