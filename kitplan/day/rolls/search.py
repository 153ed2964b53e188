"""Goals of the roll plan in strict order, and the search: one goal after the other, each proven.

A plan in which nothing that counts stands still in any song is best in the first three goals; so
the small model that knows only such plans is tried first, and the large one only where it has none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from typing import Any

from ortools.sat.python import cp_model

from kitplan.day.rolls.model import FOR_EVER_S, RollModel
from kitplan.day.rolls.recorders import PassDay, Recorder, Supply
from kitplan.day.rolls.timeline import whole_up
from kitplan.day.rolls.variables import Stop
from kitplan.plan.day.rolls import ROLL_GOALS, Work
from kitplan.shoot.brief import THIRDS

STEPS, ROUGH_STEPS, LEAST_STEPS = 3.0, 2.0, 0.2
"""How long a pass is searched at most, each rough goal at most, and each goal at least, in the
solver's own steps: the same on every machine."""
WHOLE = THIRDS["live"]


SMALLEST = ROLL_GOALS.index("smallest reserve")


@dataclass(frozen=True)
class Done:
    """A touch that is made."""

    letter: str
    start_s: int
    end_s: int
    does: tuple[Work, ...]
    person: str
    walk_s: int
    battery: str | None
    """Unit that goes in, where one does."""
    card: str | None


@dataclass(frozen=True)
class Found:
    """The answer for a pass."""

    done: tuple[Done, ...]
    """By time."""
    first_battery: dict[str, str | None]
    first_card: dict[str, str | None]
    bound: tuple[int, ...]
    """How good each goal could be at best, given those before it."""


def search(day: PassDay) -> Found:
    """Return the best roll plan of a pass."""
    found = _in_order(RollModel(day, "whole"), STEPS)
    if found is not None:
        return found
    rough = RollModel(day, "songs")
    begin = _rough(rough)
    fine = RollModel(day, "slices")
    _set(fine, rough, begin)
    found = _in_order(fine, STEPS, is_begun=True)
    assert found is not None  # what was set is an answer
    return found


def _rough(roll: RollModel) -> cp_model.CpSolver:
    """Return a good answer that counts songs as lost or touched, to begin the fine search from."""
    last: cp_model.CpSolver | None = None
    for goal in _rough_goals(roll):
        roll.model.minimize(goal)
        solver = _solver(ROUGH_STEPS)
        if solver.solve(roll.model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            break
        last = solver
        roll.model.add(goal <= solver.value(goal))
        _begin_from(roll.model, solver)
    assert last is not None  # that nobody touches anything is an answer
    return last


def _rough_goals(roll: RollModel) -> Iterator[Any]:
    recorders = {r.letter: r for r in roll.day.recorders}
    for is_safety in (True, False):
        lost = sum(
            (song.end_s - song.start_s) * roll.day.worth(index) * var
            for (letter, index), var in roll.lost.items()
            if recorders[letter].is_safety == is_safety
            for song in (roll.day.songs[index],)
        )
        touched = sum(
            roll.day.worth(stop.window.song) * stop.length
            for each in roll.recorders
            if each.recorder.is_safety == is_safety
            for stop in each.stops
            if stop.window.is_inside
        )
        yield lost + touched
    yield sum(stop.is_made for stop in roll.stops)


def _set(fine: RollModel, rough: RollModel, solver: cp_model.CpSolver) -> None:
    """Fix the touches of one model to an answer of another, as hints."""
    for one, other in zip(fine.recorders, rough.recorders, strict=True):
        pairs = [
            *zip(one.first_battery, other.first_battery, strict=True),
            *zip(one.first_card, other.first_card, strict=True),
        ]
        for mine, theirs in zip(one.stops, other.stops, strict=True):
            pairs += [(mine.is_made, theirs.is_made), (mine.start, theirs.start)]
            pairs += zip(mine.works.values(), theirs.works.values(), strict=True)
            pairs += zip(mine.hands.values(), theirs.hands.values(), strict=True)
            pairs += zip(mine.batteries, theirs.batteries, strict=True)
            pairs += zip(mine.cards, theirs.cards, strict=True)
        for mine_var, theirs_var in pairs:
            fine.model.add_hint(mine_var, solver.value(theirs_var))


def _in_order(roll: RollModel, steps: float, *, is_begun: bool = False) -> Found | None:
    """Reach one goal after the other, each given those before it; None where no answer is found.

    Args:
        is_begun: The hints of the model are touches that hold: made an answer of before the search.
    """
    bounds: list[int] = []
    left = steps
    goals = list(_goals(roll))
    last = _begun(roll, goals) if is_begun else None
    for goal in goals:
        if isinstance(goal, int):
            bounds.append(goal)
            continue
        if last is not None:
            roll.model.add(goal <= last.value(goal))
        roll.model.minimize(goal)
        solver = _solver(max(left, LEAST_STEPS))
        status = solver.solve(roll.model)
        left -= solver.response_proto.deterministic_time
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            if last is None:
                return None
            bounds.append(_least(roll, len(bounds)))
            continue
        bounds.append(ceil(solver.best_objective_bound - 1e-6))
        if last is None or solver.value(goal) < last.value(goal):
            last = solver  # as good is not enough: the one at hand may be better in what follows
            _begin_from(roll.model, solver)
        roll.model.add(goal <= last.value(goal))
    return _found(roll, last, bounds)


def _begun(roll: RollModel, goals: list[Any]) -> cp_model.CpSolver:
    """Return the answer that the hints of a model make."""
    solver = _solver(STEPS)
    solver.parameters.fix_variables_to_their_hinted_value = True
    roll.model.minimize(sum(goals[:3]))
    status = solver.solve(roll.model)
    assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    _begin_from(roll.model, solver)
    return solver


def _least(roll: RollModel, goal: int) -> int:
    """Return what a goal that could not be searched any more cannot fall below."""
    most = [recorder.lasts_s() or 0 for recorder in (r.recorder for r in roll.recorders)]
    return {SMALLEST: -min(most, default=0), SMALLEST + 1: -sum(most)}.get(goal, 0)


def _solver(steps: float) -> cp_model.CpSolver:
    """Return a solver that gives the same answer whatever the load."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    solver.parameters.cp_model_probing_level = 0  # else it takes all the time of a long song
    solver.parameters.symmetry_level = 0
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = steps
    solver.parameters.catch_sigint_signal = False
    return solver


def _begin_from(model: cp_model.CpModel, solver: cp_model.CpSolver) -> None:
    """Let the next search begin from the last answer."""
    model.clear_hints()  # type: ignore[no-untyped-call]
    for index in range(len(model.proto.variables)):
        var = model.get_int_var_from_proto_index(index)
        model.add_hint(var, solver.value(var))


# -- goals -----------------------------------------------------------------------------------------


def _goals(roll: RollModel) -> Iterator[Any]:
    """Yield what is made as small as can be: ROLL_GOALS in order; at last that operators
    touch their own cameras, and that each touch is made as soon as it can be.
    """
    recorders = roll.day.recorders
    yield sum(_standing(roll, r) for r in recorders if r.is_safety)
    yield sum(_nothing_rolls(roll))
    others = sum(_standing(roll, r) for r in recorders if not r.is_safety)
    yield others + sum(_at_once(roll))
    yield sum(_short(roll))
    yield sum(stop.is_made for stop in roll.stops)
    yield sum(2 * hand.walk_s * var for stop in roll.stops for hand, var in stop.hands.items())
    smallest = roll.model.new_int_var(-FOR_EVER_S, FOR_EVER_S, "")
    for reserve in roll.reserves:
        roll.model.add(smallest <= reserve)
    if not roll.reserves:
        roll.model.add(smallest == 0)
    yield -smallest
    yield -sum(roll.reserves)
    hands = [
        (hand, var)
        for each in roll.recorders
        for s in each.stops
        for hand, var in s.hands.items()
        if each.recorder.own is not None
    ]
    yield sum(var for hand, var in hands if not hand.is_own)
    yield sum(stop.start - stop.window.idle_s * stop.is_made.negated() for stop in roll.stops)


def _short(roll: RollModel) -> Iterator[Any]:
    """Seconds that each recorder's reserve falls short of what is kept."""
    least_s = whole_up(roll.day.brief.shoot.rules.reserve_s)
    for reserve in roll.reserves:
        short = roll.model.new_int_var(0, 2 * FOR_EVER_S, "")
        roll.model.add(short >= least_s - reserve)
        yield short


def _standing(roll: RollModel, recorder: Recorder) -> Any:
    """Seconds of songs in which a recorder stands still, weighted unless it is the safety."""
    return sum(
        part.length_s
        * (1 if recorder.is_safety else weight)
        * roll.stands.get((recorder.letter, index, number), 0)
        for index, song in enumerate(roll.day.songs)
        for number, (part, weight) in enumerate(
            zip(song.slices, recorder.weights[index], strict=True)
        )
    )


def _nothing_rolls(roll: RollModel) -> Iterator[Any]:
    """Seconds of slices in which no usable shot rolls, of songs whose pictures can stand anywhere
    in the edit.
    """
    for index, song in enumerate(roll.day.songs):
        if roll.day.worth(index) < WHOLE:
            continue
        for number, part in enumerate(song.slices):
            stands = [
                roll.stands.get((r.letter, index, number), 0)
                for r in roll.day.recorders
                if any(r.weights[index])
            ]
            yield part.length_s * _all(roll, stands, least=len(stands))


def _at_once(roll: RollModel) -> Iterator[Any]:
    """Seconds in which recorders stand still together, once for each beyond the first."""
    for index, song in enumerate(roll.day.songs):
        wanted = [r.letter for r in roll.day.recorders if r.is_wanted(index)]
        for number, part in enumerate(song.slices):
            stands = [roll.stands.get((letter, index, number), 0) for letter in wanted]
            weight = part.length_s * roll.day.worth(index)
            for many in range(2, len(stands) + 1):
                yield weight * _all(roll, stands, least=many)


def _all(roll: RollModel, stands: list[Any], least: int) -> Any:
    """Whether at least so many of some recorders stand still, as something made small."""
    sure = sum(one for one in stands if isinstance(one, int))
    open_ = [one for one in stands if not isinstance(one, int)]
    if sure >= least:
        return 1
    if sure + len(open_) < least:
        return 0
    var = roll.model.new_bool_var("")
    roll.model.add(sum(open_) - (least - sure - 1) <= len(open_) * var)
    return var


# -- the answer ------------------------------------------------------------------------------------


def _found(roll: RollModel, solver: cp_model.CpSolver | None, bounds: list[int]) -> Found:
    done, first_battery, first_card = [], {}, {}
    chosen = {each.recorder.letter: each for each in roll.recorders}
    for recorder in roll.day.recorders:
        letter = recorder.letter
        batteries, cards = recorder.batteries, recorder.cards
        first_battery[letter], first_card[letter] = batteries[0].unit, cards[0].unit
        if letter not in chosen or solver is None:
            continue
        each = chosen[letter]
        first_battery[letter] = _unit(solver, batteries, each.first_battery) or batteries[0].unit
        first_card[letter] = _unit(solver, cards, each.first_card) or cards[0].unit
        done += [_done(solver, recorder, s) for s in each.stops if solver.value(s.is_made)]
    signs = (1, 1, 1, 1, 1, 1, -1, -1)
    return Found(
        done=tuple(sorted(done, key=lambda one: (one.start_s, one.letter))),
        first_battery=first_battery,
        first_card=first_card,
        bound=tuple(sign * one for sign, one in zip(signs, bounds, strict=False)),
    )


def _done(solver: cp_model.CpSolver, recorder: Recorder, stop: Stop) -> Done:
    hand = next(hand for hand, var in stop.hands.items() if solver.value(var))
    return Done(
        letter=recorder.letter,
        start_s=solver.value(stop.start),
        end_s=solver.value(stop.end),
        does=next(works for works, var in stop.works.items() if solver.value(var)),
        person=hand.person,
        walk_s=hand.walk_s,
        battery=_unit(solver, recorder.batteries, stop.batteries),
        card=_unit(solver, recorder.cards, stop.cards),
    )


def _unit(
    solver: cp_model.CpSolver, supplies: tuple[Supply, ...], chosen: tuple[cp_model.IntVar, ...]
) -> str | None:
    return next(
        (s.unit for s, var in zip(supplies, chosen, strict=False) if solver.value(var)), None
    )
