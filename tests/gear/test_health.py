"""Health of batteries from what they lasted: by hand, and what must hold for any runs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.gear.health import LEAST, WINDOW, Lasted, health_from, new_minutes

shares = st.integers(1, 150).map(lambda percent: percent / 100)
flat = shares.map(lambda share: Lasted(share, True))
any_run = st.builds(Lasted, shares, st.booleans())


def runs(*words: str) -> list[Lasted]:
    """Return runs in percent; one that was still going has a plus."""
    return [Lasted(int(word.rstrip("+")) / 100, not word.endswith("+")) for word in words]


@pytest.mark.parametrize(
    ("lasted", "health"),
    [
        ((), None),
        (("80", "80"), None),  # two may both be odd
        (("80", "80", "90+", "90+"), None),  # still going says nothing against it
        (("80", "70", "90"), 0.8),  # the middle one of three
        (("80", "70", "90", "75"), 0.75),  # the lower one of the middle two
        (("30", "80", "80", "80", "80"), 0.8),  # one odd run
        (("80", "80", "80", "10+"), 0.8),  # taken out early
        (("70", "80", "90", "85+"), 0.8),  # 85: two lasted it, two did not
        (("70", "80", "90", "85+", "95+", "90+"), 0.9),  # 90: three lasted it, two did not
        (("50", "60", "70", "90+", "90+", "90+", "90+"), 0.9),  # four that were still going
        (("101", "102", "103"), 1.0),
        (("120", "80", "80", "80", "70", "70", "70"), 0.7),  # only the latest five
        (("80", "99+", "80", "80", "80", "80", "80"), 0.8),  # before the first of the five
        (("0", "0", "0"), 0.01),
    ],
)
def test_health_by_hand(lasted: tuple[str, ...], health: float | None) -> None:
    """The greatest share that more runs lasted than went flat before it."""
    assert health_from(runs(*lasted)) == health


@given(st.lists(any_run, max_size=15))
def test_health_is_a_share_of_what_somebody_saw(lasted: list[Lasted]) -> None:
    """Never above 1, nor above the longest run; None only without enough runs to flat."""
    health = health_from(lasted)
    if health is None:
        assert sum(run.is_to_flat for run in lasted) < LEAST
    else:
        assert 0 < health <= 1
        assert health <= max(0.01, *(run.share for run in lasted))


@given(st.lists(any_run, max_size=15), shares)
def test_it_never_rises_from_a_shorter_run(lasted: list[Lasted], share: float) -> None:
    """Nor does it fall from a run to flat that lasted longer."""
    before, after = health_from(lasted), health_from([*lasted, Lasted(share, True)])
    if before is not None and after is not None and share <= before:
        assert after <= before


@given(st.lists(any_run, max_size=15), shares)
def test_a_run_that_was_still_going_is_a_lower_bound(lasted: list[Lasted], share: float) -> None:
    """It never makes the health worse, and one alone never makes it better than it saw itself."""
    before, after = health_from(lasted), health_from([*lasted, Lasted(share, False)])
    if before is None:
        assert after is None
    else:
        assert after is not None
        assert before <= after <= max(before, share)


@given(st.lists(flat, min_size=LEAST, max_size=WINDOW).flatmap(
    lambda lasted: st.tuples(st.just(lasted), st.permutations(lasted))
))  # fmt: skip
def test_the_order_within_the_window_does_not_matter(
    both: tuple[list[Lasted], list[Lasted]],
) -> None:
    """Runs of one weekend are often noted in any order."""
    assert health_from(both[0]) == health_from(both[1])


@given(st.lists(flat, min_size=LEAST, max_size=WINDOW - 1), flat)
def test_one_odd_run_moves_it_to_a_neighbour_at_most(lasted: list[Lasted], odd: Lasted) -> None:
    """However odd it is, health stays between two runs that were there already."""
    ordered = sorted(run.share for run in lasted)
    middle = (len(ordered) - 1) // 2
    low, high = ordered[max(0, middle - 1)], ordered[middle + 1]
    health = health_from([*lasted, odd])
    assert health is not None
    assert min(1.0, low) - 0.01 <= health <= high


def test_what_a_new_one_gives() -> None:
    """What was measured; else the second longest run, once there are three."""
    assert new_minutes(90, [120, 120, 120]) == 90
    assert new_minutes(None, [60, 999, 70]) == 70
    assert new_minutes(None, [60, 70]) is None
