"""The engine: small gaps worked out by hand, and many tiny ones against trying everything."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitplan.day.work.engine import Effort, Misfit, Timetable, is_too_short, schedule
from kitplan.day.work.least import least_end_s
from kitplan.day.work.order import Ordered, ordered
from kitplan.day.work.task import Gap, Hand, Machine, Resource, Rest, Task
from tests.day.work.by_trying import Try, best_by_trying, fault_of
from tests.day.work.random_gaps import random_gap

ALL = (("ann", 10), ("ben", 10))


def gap(*tasks: Task, **facts: object) -> Gap:
    """Return a gap of 100 s with two people there all the time, a cart and a door."""
    given: dict[str, object] = {
        "hands": (Hand("ann", ((0, 100),)), Hand("ben", ((0, 100),))),
        "resources": (Resource("door", 1), Resource("cart", 1)),
        "rests": (),
        "gate_s": 100,
        **facts,
    }
    return Gap(tasks=tasks, **given)  # type: ignore[arg-type]


def job(name: str, **facts: object) -> Task:
    """Return a task of 10 s for one person."""
    given: dict[str, object] = {"people": 1, "able": ALL, **facts}
    return Task(id=name, kind="build", **given)  # type: ignore[arg-type]


def end_of(each: Gap) -> int:
    """Return the proven earliest end."""
    found = schedule(each)
    assert isinstance(found, Timetable)
    assert found.bound_s == found.end_s
    return found.end_s


def test_two_people_share_three_jobs() -> None:
    assert end_of(gap(job("a"), job("b"), job("c"))) == 20


def test_precedence_makes_one_wait() -> None:
    assert end_of(gap(job("a"), job("b", after=("a",)), job("c", after=("b",)))) == 30


def test_precedence_may_be_said_from_the_other_end() -> None:
    assert end_of(gap(job("a", before=("b",)), job("b"))) == 20


def test_the_slowest_of_two_decides() -> None:
    assert end_of(gap(job("a", people=2, able=(("ann", 10), ("ben", 25))))) == 25


def test_the_quicker_one_does_it() -> None:
    assert end_of(gap(job("a", able=(("ann", 10), ("ben", 25))))) == 10


def test_a_leader_is_waited_for() -> None:
    """Only Ann may lead both: one after the other though Ben is free."""
    assert end_of(gap(job("a", led_by=(("ann",),)), job("b", led_by=(("ann",),)))) == 20


def test_each_group_has_somebody() -> None:
    led = job("a", led_by=(("ann",), ("ben",)))
    assert schedule(gap(led)) == Misfit(is_proven=True)
    assert end_of(gap(replace(led, people=2))) == 10


def test_the_doorway_lets_one_through() -> None:
    through = [job(name, uses=(("door", 1),)) for name in "ab"]
    assert end_of(gap(*through)) == 20
    assert end_of(gap(*through, resources=(Resource("door", 2), Resource("cart", 1)))) == 10


def test_one_cart_and_the_rest_by_hand() -> None:
    """With the cart 5 s, by hand 30 s; both with the cart one after the other: 10 s."""
    ways = (Machine(None, 30), Machine("cart", 5))
    able = (("ann", 0), ("ben", 0))
    loads = [job(name, able=able, machines=ways) for name in "ab"]
    assert end_of(gap(*loads)) == 10
    assert end_of(gap(*loads, resources=(Resource("door", 1), Resource("cart", 0)))) == 30


def test_hands_are_free_while_it_runs_by_itself() -> None:
    """Plugged in for 1 s, then the 10 s job; the charge itself lasts longer."""
    charge = job("charge", run_s=50, hands_s=1, able=(("ann", 0),))
    assert end_of(gap(charge, job("a", able=(("ann", 10),)))) == 11


def test_a_charge_may_end_after_the_gate() -> None:
    charge = Task(id="charge", kind="charge", run_s=120, latest_s=130)
    assert end_of(gap(charge, job("a"))) == 10
    assert schedule(gap(replace(charge, latest_s=None))) == Misfit(is_proven=True)


def test_hours_hold() -> None:
    late = (Hand("ann", ((40, 100),)),)
    assert end_of(gap(job("a"), hands=late)) == 50
    in_pieces = (Hand("ann", ((0, 8), (20, 100))),)
    assert end_of(gap(job("a"), hands=in_pieces)) == 30


@pytest.mark.parametrize(("until", "end"), [(30, 40), (41, 20)], ids=["between", "after"])
def test_a_rest_is_taken_in_its_window(until: int, end: int) -> None:
    """20 s of rest from 10 s on and 20 s of work in two pieces of 10 s."""
    rest = Rest("supper", ("ann",), 20, 10, until)
    alone = (Hand("ann", ((0, 100),)),)
    assert end_of(gap(job("a"), job("b"), hands=alone, rests=(rest,))) == end


def test_a_rest_together_stops_both() -> None:
    """Ann leads all; together they rest from 10 to 30 s, alone Ben would not mind."""
    rest = Rest("supper", ("ann", "ben"), 20, 10, 30, is_together=True)
    assert end_of(gap(job("a", people=2), job("b", people=2), rests=(rest,))) == 40


def test_the_gate_is_hard() -> None:
    three = (job("a"), job("b"), job("c"))
    assert end_of(gap(*three, gate_s=20)) == 20
    assert schedule(gap(*three, gate_s=19)) == Misfit(is_proven=True)


def test_too_few_people_fit_nothing() -> None:
    assert schedule(gap(job("a", people=3))) == Misfit(is_proven=True)
    assert schedule(gap(job("a", led_by=((),)))) == Misfit(is_proven=True)


def test_a_circle_fits_nothing() -> None:
    assert schedule(gap(job("a", after=("b",)), job("b", after=("a",)))) == Misfit(is_proven=True)


def test_an_empty_gap_ends_at_once() -> None:
    assert end_of(gap()) == 0


def test_hands_stay_with_their_camera() -> None:
    chain = [
        job(f"{n}/{c}", letter=c, after=(f"a/{c}",) if n == "b" else ()) for c in "XY" for n in "ab"
    ]
    found = schedule(gap(*chain))
    assert isinstance(found, Timetable)
    assert (found.hand_overs, found.hand_overs_bound) == (0, 0)


def test_the_same_gap_gives_the_same_timetable() -> None:
    assert schedule(random_gap(7)) == schedule(random_gap(7))


def test_slack_is_what_the_gate_leaves() -> None:
    """Ben's job of 10 s has 90 s, those of Ann one after the other 80 s; nothing else binds."""
    each = gap(
        job("a", able=(("ann", 10),)), job("b", able=(("ann", 10),)), job("c", able=(("ben", 10),))
    )
    found = ordered(each, _table(each))
    slack = {one.timed.id: one.latest_end_s - one.timed.end_s for one in found.placed}
    assert slack == {"a": 80, "b": 80, "c": 90}
    assert found.critical == ("a", "b")


def test_bays_are_numbered() -> None:
    two = [Task(n, "charge", machines=(Machine("bay", 10),)) for n in "abc"]
    each = gap(*two, resources=(Resource("bay", 2),))
    found = ordered(each, _table(each))
    bays = [one.place for one in found.placed]
    assert set(bays) == {"bay/1", "bay/2"}


def _table(each: Gap) -> Timetable:
    found = schedule(each)
    assert isinstance(found, Timetable)
    return found


def _compare(seed: int) -> bool:
    """Compare a gap with trying everything; return whether it fits."""
    each = random_gap(seed)
    grain_s = 1 + seed % 2 * 2
    found = schedule(each, Effort(grain_s=grain_s))
    best = best_by_trying(each, grain_s)
    assert is_too_short(each) == (best is None)
    if best is None:
        assert found == Misfit(is_proven=True)
        return False
    assert isinstance(found, Timetable)
    assert (-(-found.end_s // grain_s), found.hand_overs) == best
    assert -(-found.bound_s // grain_s) == best[0]
    assert found.hand_overs_bound == best[1]
    assert least_end_s(each) <= found.end_s
    _check_order(each, ordered(each, found), found)
    return True


def _check_order(each: Gap, found: Ordered, table: Timetable) -> None:
    """Moved to the left it is possible, no later; so it is with every task as late as it may be."""
    assert found.end_s <= table.end_s
    early = {one.timed.id: one.timed.start_s for one in found.placed}
    late = {
        one.timed.id: one.latest_end_s - (one.timed.end_s - one.timed.start_s)
        for one in found.placed
    }
    assert all(early[name] <= late[name] for name in early)
    for starts in (early, late):
        tried = tuple(
            Try(
                next(task for task in each.tasks if task.id == one.timed.id),
                starts[one.timed.id],
                starts[one.timed.id] + one.timed.end_s - one.timed.start_s,
                starts[one.timed.id] + one.timed.free_s - one.timed.start_s,
                one.timed.people,
                one.timed.machine,
            )
            for one in found.placed
            if one.timed.rest is None
        )
        rests = {
            one.timed.id: (one.timed.people, starts[one.timed.id], one.timed.rest)
            for one in found.placed
            if one.timed.rest is not None
        }
        assert fault_of(each, tried, rests) == ""


def test_the_engine_equals_trying_everything() -> None:
    fits = [_compare(seed) for seed in range(8)]
    assert 2 <= sum(fits) < 8, "the gaps say nothing about what fits and what does not"


@pytest.mark.long
@pytest.mark.parametrize("first", range(8, 308, 50))
def test_the_engine_equals_trying_everything_often(first: int) -> None:
    fits = [_compare(seed) for seed in range(first, first + 50)]
    assert 0 < sum(fits) < len(fits)
