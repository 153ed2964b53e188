"""The cut by hand: who follows whom, what waits, what breaks when nothing is allowed."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.whatif.cutting import MOST_SHOTS, Pace, Slot, Use, make_cut

KINDS: dict[str, Use] = {"s": "safety", "f": "free", "l": "speciality", "i": "insert"}


def cut(
    uses: str,
    shots: int,
    jumps: Sequence[tuple[int, int]] = (),
    *,
    every: tuple[int, int] = (5, 8),
    most: int = 3,
    hold_s: float = inf,
) -> tuple[Slot, ...]:
    """Return a cut of so many shots of 5 s; uses by letter, pairs that jump by number."""
    table = ~np.eye(len(uses), dtype=np.bool_)
    for a, b in jumps:
        table[a, b] = table[b, a] = False
    holds = [hold_s if use == "i" else inf for use in uses]
    return make_cut([KINDS[use] for use in uses], holds, table, Pace(5.0 * shots, 5, most, every))


def words(slots: Sequence[Slot]) -> str:
    """Return a cut as text: a digit an angle, ! after a jump cut, * after an overuse."""
    return "".join(
        f"{slot.angle}{'!' if slot.is_jump else '*' if slot.is_overuse else ''}" for slot in slots
    )


def test_three_angles_take_turns() -> None:
    """The one not seen for longest: 0, 1, 2 and again; each is back after 15 s."""
    slots = cut("fff", 7)
    assert words(slots) == "0120120"
    assert [slot.start_s for slot in slots] == [0, 5, 10, 15, 20, 25, 30]


def test_the_safety_shot_opens_and_is_back_when_it_is_the_longest_unseen() -> None:
    """From the fifth shot after it on: with three more angles it is by then."""
    assert words(cut("sfff", 12)) == "012310231203"


def test_with_many_angles_the_safety_shot_is_back_after_eight_shots() -> None:
    """Nine others would all come first; two of them wait for that."""
    assert words(cut("s" + "f" * 9, 11)) == "01234567089"


def test_a_jump_cut_is_gone_round() -> None:
    """0 and 1 jump; 2 goes between."""
    assert words(cut("fff", 8, [(0, 1)])) == "02120212"


def test_one_angle_alone_can_only_jump() -> None:
    """Every shot but the first."""
    assert words(cut("f", 4)) == "00!0!0!"


def test_rather_a_speciality_too_often_than_a_jump() -> None:
    """One free angle (0) and one locked off (1): three times in order, then too often."""
    assert words(cut("fl", 10)) == "01010101*01*"


def test_rather_the_safety_shot_too_soon_than_a_jump() -> None:
    """With one free angle nothing else is left between."""
    assert words(cut("sf", 7)) == "010*10*10*"


def test_specialities_never_stand_side_by_side_unless_nothing_else_is_there() -> None:
    """With a free angle in between; without one that is a fault."""
    assert words(cut("fll", 7)) == "0102010"
    assert words(cut("ll", 3)) == "01*0*"


def test_specialities_spread_over_the_song() -> None:
    """Two free angles, one locked off, three times in 12 shots: a third after each quarter.

    Its first turn is due when 1 * 12 <= 3 * (n + 1): with the fourth shot, n = 3; the second
    with the eighth, the third with the twelfth.
    """
    assert [n for n, slot in enumerate(cut("ffl", 12)) if slot.angle == 2] == [3, 7, 11]


def test_an_insert_gives_way_when_its_hold_ends() -> None:
    """It holds 1.5 s, and the next shot starts then; so the song takes two shots more.

    Before the last one 10 shots of 5 s and 3 inserts fill 54.5 s of 60: 5.5 s are left for it.
    """
    slots = cut("ffi", 12, hold_s=1.5)
    starts = [slot.start_s for slot in slots]
    assert [n for n, slot in enumerate(slots) if slot.angle == 2] == [3, 7, 11]
    assert starts[3:5] == [15, 16.5]
    assert starts[-1] == 54.5
    assert len(slots) == 14


def test_an_angle_that_leads_nowhere_waits() -> None:
    """1 would be next, but the safety shot is due after it and would jump: 2 goes before."""
    # every third shot exactly; 0 safety, 1 jumps with it, 2 and 3 do not
    assert words(cut("sfff", 7, [(0, 1)], every=(3, 3))) == "0230230"


def test_what_is_due_and_would_jump_comes_late() -> None:
    """A late safety shot is the lesser fault: 2 and 1 both jump with it."""
    slots = cut("sff", 4, [(0, 1), (0, 2)], every=(2, 2))
    assert words(slots)[0] == "0"
    assert slots[1].is_jump  # nothing goes with the safety shot
    assert words(slots) == "01!2*1*"


@pytest.mark.parametrize(
    ("length_s", "shots"), [(0.5, 1), (5, 1), (7.4, 1), (7.6, 2), (12.4, 2), (12.6, 3)]
)
def test_the_last_shot_takes_what_is_left(length_s: float, shots: int) -> None:
    """Up to half a shot; the shortest song has one."""
    table = ~np.eye(2, dtype=np.bool_)
    pace = Pace(length_s, 5, 3, (5, 8))
    slots = make_cut(("free", "free"), (inf, inf), table, pace)
    assert len(slots) == pace.shots == shots


def test_nothing_makes_no_cut() -> None:
    """And a whole day of half seconds ends in time."""
    assert make_cut((), (), np.zeros((0, 0), dtype=np.bool_), Pace(60, 5, 3, (5, 8))) == ()
    table = ~np.eye(2, dtype=np.bool_)
    long = make_cut(("free", "free"), (inf, inf), table, Pace(86_400, 0.001, 3, (5, 8)))
    assert len(long) == MOST_SHOTS


tables = st.integers(1, 6).flatmap(
    lambda size: st.tuples(
        st.booleans(),
        st.lists(st.sampled_from("fli"), min_size=size, max_size=size),
        st.sets(st.tuples(st.integers(0, size), st.integers(0, size)), max_size=12),
    )
)


@given(tables, st.integers(1, 60), st.integers(0, 4))
def test_a_cut_keeps_every_rule_that_it_does_not_own_up_to(
    table: tuple[bool, list[str], set[tuple[int, int]]], shots: int, most: int
) -> None:
    """Followed by hand: jumps, turns, neighbours, the safety shot's interval."""
    has_safety, others, jumps = table
    uses = ("s" if has_safety else "f") + "".join(others)
    slots = cut(uses, shots, sorted(jumps), most=most)
    assert slots == cut(uses, shots, sorted(jumps), most=most)
    assert len(slots) == shots
    jumping = jumps | {(b, a) for a, b in jumps} | {(n, n) for n in range(len(uses))}
    for number, slot in enumerate(slots):
        before = slots[number - 1].angle if number else None
        assert slot.is_jump == ((before, slot.angle) in jumping)
        is_sparing = uses[slot.angle] in "li"
        faults = [
            is_sparing and before is not None and uses[before] in "li",
            is_sparing and sum(s.angle == slot.angle for s in slots[:number]) >= most,
        ]
        if has_safety and number:
            since = number - max((n for n in range(number) if slots[n].angle == 0), default=-99)
            faults.append(since < 5 if slot.angle == 0 else since >= 8)
        assert slot.is_overuse == any(faults)
