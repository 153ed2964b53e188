"""What things are worth, with sums by hand.

In the tiny shoot an operated viewpoint gives 10 points a song, so 20 in two songs; the first one
that is locked off 4 a song, so 8. A medium shot of the singer is all that its lenses frame.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from kitplan.allocate.search import Limits
from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Lens
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Locks, Pattern
from kitplan.whatif.sweep import STOPPED, Job, Result, run
from kitplan.whatif.things import (
    both_lent,
    both_more,
    hired,
    lent_things,
    one_more_of_each,
    things_of,
    without_hired,
)
from kitplan.whatif.worth import (
    NOT_USED,
    NOWHERE,
    TO_SPARE,
    Variant,
    Worth,
    gains,
    losses,
    rank,
)
from tests.small import (
    SHOOT_ID,
    adapter,
    body,
    lens,
    person,
    position,
    role,
    show,
    small_brief,
    small_kit,
)
from tests.small import run as closed_run


def sweep(changes: Sequence[Variant]) -> dict[str, Result]:
    """Plan each change in this process."""
    limits = Limits(seconds=2, seed=1, workers=1)
    jobs = [Job(each.key, each.brief, SHOOT_ID, limits) for each in changes]
    return dict(run(jobs, processes=1, tell=lambda *_: None))


def base_of(brief: Brief) -> Result:
    """Return what the whole comes to."""
    return sweep([Variant("more", "nothing", "nothing", "nothing", brief)])["more nothing"]


def losses_of(brief: Brief, kinds: str = "item person position pass") -> dict[str, Worth]:
    """Return what is lost without each thing of some kinds, by its id, most first."""
    base = base_of(brief)
    things = [each for each in things_of(brief, base) if each.kind in kinds.split()]
    return {row.change.id: row for row in losses(brief, base, things, sweep)[1]}


def more_of(brief: Brief) -> dict[str, Worth]:
    """Return what one more of each thing brings, by its id, most first."""
    both = partial(both_more, brief)
    singles, pairs = gains(brief, base_of(brief), one_more_of_each(brief), both, sweep)
    return {row.change.id: row for row in (*singles, *pairs)}


def lent_of(brief: Brief, lent: Kit) -> tuple[tuple[Worth, ...], tuple[Worth, ...]]:
    """Return what single lent units bring, and pairs of them."""
    both = partial(both_lent, brief, lent)
    return gains(brief, base_of(brief), lent_things(brief, lent), both, sweep)


def order(row: Worth) -> tuple[float, ...]:
    """Return a difference: musts, wants, thinnest, points, variety."""
    assert row.difference is not None
    return row.difference.order


def with_lenses(rings: int = 1, cines: int = 2) -> Kit:
    """Return two bodies without a lens of their own, cine lenses and rings that join them."""
    return small_kit(
        body(mount="E"), lens("cine", mount="PL"), adapter(), counts={"cine": cines, "ring": rings}
    )


# -- losses ----------------------------------------------------------------------------------------


def test_the_second_body_is_worth_its_viewpoint() -> None:
    """Ann and Ben frame from two places: 40 points; with one camera 20, and 1 a song."""
    row = losses_of(small_brief(), "item")["cam"]
    assert row.change.label == "one of 2 cam"
    assert order(row)[:4] == (0, 0, 1, 20)
    assert row.difference is not None
    assert row.difference.viewpoints == 1
    assert row.is_proven


def test_a_person_is_worth_operated_less_locked_off() -> None:
    """Ben's camera is locked off without him: 20 - 8 points, the viewpoint stays."""
    found = losses_of(small_brief(), "person")
    assert order(found["ben"])[:4] == order(found["ann"])[:4] == (0, 0, 0, 12)


def test_what_is_not_used_loses_nothing_and_needs_no_search() -> None:
    """A lens that no body takes, and seven of nine legs."""
    brief = small_brief(small_kit(lens("idle", mount="EF")))
    base = base_of(brief)
    asked: list[str] = []

    def note(changes: Sequence[Variant]) -> dict[str, Result]:
        asked.extend(each.id for each in changes)
        return sweep(changes)

    things = [each for each in things_of(brief, base) if each.kind == "item"]
    found = {row.change.id: row for row in losses(brief, base, things, note)[1]}
    assert asked == ["cam"]
    assert found["idle"].change.settled == NOT_USED
    assert found["legs"].change.settled == TO_SPARE
    assert order(found["idle"]) == order(found["legs"]) == (0, 0, 0, 0, 0)


def test_a_body_that_decides_the_shutter_is_searched_for() -> None:
    """It lies idle, without a lens; 1/50 s, which it alone has, keeps the others from working.

    They have 1/60 s. Without it they frame from two places.
    """
    slow = body(shutter_speeds_per_s=(60,))
    idle = body("idle", mount="EF", shutter_speeds_per_s=(50,))
    brief = small_brief(small_kit(slow, idle))
    base = base_of(brief)
    things = [each for each in things_of(brief, base) if each.id == "idle"]
    asked: list[str] = []

    def note(changes: Sequence[Variant]) -> dict[str, Result]:
        asked.extend(each.id for each in changes)
        return sweep(changes)

    best, (row,) = losses(brief, base, things, note)
    assert asked == ["idle"]
    assert best is base  # the plan without it is none with it
    assert row.difference is not None
    assert row.difference.viewpoints == -2
    assert not row.difference.is_more


def test_cells_are_asked_about_only_where_all_are_used() -> None:
    """Two cells for two cameras: without one there is one camera, whose viewpoint is 20 points."""
    found = losses_of(small_brief(small_kit(counts={"cell": 2})), "item")
    assert order(found["cell"])[:4] == (0, 0, 1, 20)
    assert "card" not in found


def test_a_position_is_worth_nothing_where_another_does() -> None:
    """Three places for two cameras; of two places each is worth its viewpoint."""
    three = losses_of(small_brief(), "position")
    assert all(order(row)[:4] == (0, 0, 0, 0) for row in three.values())
    places = (position("front"), position("left"))
    two = losses_of(small_brief(positions=places), "position")
    assert [order(row)[:4] for row in two.values()] == [(0, 0, 1, 20)] * 2


def test_a_role_that_goes_is_named() -> None:
    """The want from the left is worth 3, and comes before points."""
    asked = role("side", name="From the side", positions=("left",), priority="want", weight=3)
    found = losses_of(small_brief(roles=(asked,)), "item position")
    first = next(iter(found.values()))
    assert (first.change.id, first.roles) == ("left", ("From the side",))
    assert order(first)[1] == 3


def test_a_must_that_goes_comes_first() -> None:
    """Whatever else there is."""
    asked = role("m", name="Close", positions=("right",))
    found = losses_of(small_brief(roles=(asked,)), "item position")
    first = next(iter(found.values()))
    assert first.change.id == "right"
    assert order(first)[0] == 1
    assert "Close" in first.musts[0]


def test_a_pass_takes_its_own_musts_along() -> None:
    """A role of the closed run alone cannot be met without it."""
    asked = role("m", name="Close", passes=("run",))
    found = losses_of(small_brief(passes=(closed_run(), show()), roles=(asked,)), "pass")
    assert order(found["run"])[0] == 1
    assert found["run"].musts == ("role 'Close'",)
    assert found["run"].change.notes == ("role 'Close' is not asked for",)


def test_a_lock_that_goes_with_a_thing_is_noted() -> None:
    """Ann was to be at some camera."""
    brief = small_brief(locks=Locks(keep=(Pattern(person="ann"),)))
    found = losses_of(brief, "person")
    assert found["ann"].change.notes == ("lock 'keep person ann' is dropped",)
    assert order(found["ann"])[:4] == (0, 0, 0, 12)


def test_nothing_is_worth_less_than_nothing_however_short_the_search() -> None:
    """A plan without Ben that beats the first one found is what the rest is compared with."""
    brief = small_brief(crew=(person("ann"), person("ben"), person("kim")))
    true = base_of(brief)
    assert true.figures is not None
    poor = replace(true, figures=replace(true.figures, points=10.0, thinnest=1, viewpoints=1))
    things = [each for each in things_of(brief, true) if each.kind == "person"]
    best, rows = losses(brief, poor, things, sweep)
    assert rank(best)[:4] == (0, 0, 2, 40)
    assert all(order(row)[:4] == (0, 0, 0, 0) for row in rows)


def test_what_was_not_worked_out_is_not_known() -> None:
    """It stands last, with the reason."""
    brief = small_brief()
    base = base_of(brief)
    things = things_of(brief, base)

    def stopped(changes: Sequence[Variant]) -> dict[str, Result]:
        found = sweep(changes[:1])
        return {each.key: found.get(each.key, Result(None, STOPPED)) for each in changes}

    _, rows = losses(brief, base, things, stopped)
    assert rows[-1].difference is None
    assert rows[-1].reason == STOPPED
    assert rows[0].change.id == "cam"


# -- gains -----------------------------------------------------------------------------------------


def test_one_more_ring_lets_a_lens_be_used() -> None:
    """One ring, two lenses, two bodies: another ring makes another camera."""
    found = more_of(small_brief(with_lenses()))
    first = next(iter(found.values()))
    assert first.change.id == "ring"
    assert order(first)[:4] == (0, 0, 1, 20)
    assert order(found["cam"])[:4] == order(found["cine"])[:4] == (0, 0, 0, 0)


def test_one_more_of_what_can_be_used_nowhere_needs_no_search() -> None:
    """A lens for bodies that nobody owns."""
    brief = small_brief(small_kit(lens("idle", mount="EF")))
    (idle,) = [each for each in one_more_of_each(brief) if each.id == "idle"]
    assert idle.settled == NOWHERE
    (row,), pairs = gains(brief, base_of(brief), [idle], partial(both_more, brief), sweep)
    assert order(row) == (0, 0, 0, 0, 0)
    assert pairs == ()


def test_two_things_that_need_each_other_gain_as_a_pair() -> None:
    """One camera; a lens or a ring alone adds nothing, both add 20 points for 90 + 30."""
    cine = Unit(id="cine-k", item="cine", owner="kim", value=90)
    lent = Kit(units=(cine, Unit(id="ring-k", item="ring", owner="kim", value=30)))
    singles, pairs = lent_of(small_brief(with_lenses(cines=1)), lent)
    assert [order(row)[:4] for row in singles] == [(0, 0, 0, 0)] * 2
    (pair,) = pairs
    assert order(pair)[:4] == (0, 0, 1, 20)
    assert (pair.change.label, pair.change.price) == ("cine and ring", 120)


def test_a_pair_that_adds_no_more_than_one_of_it_is_left_out() -> None:
    """A third camera, locked off, adds 8 points; legs are in plenty."""
    brief = small_brief()
    lent = Kit(
        units=(
            Unit(id="cam-k", item="cam", owner="kim", value=400),
            Unit(id="legs-k", item="legs", owner="kim"),
        )
    )
    singles, pairs = lent_of(brief, lent)
    assert (singles[0].change.id, order(singles[0])[:4]) == ("cam-k", (0, 0, 1, 8))
    assert pairs == ()


def test_the_price_is_shared_out_among_the_viewpoints_of_a_pair() -> None:
    """One camera of our own; two more for 300 and 200 add two viewpoints: 250 each.

    Ann's viewpoint stays, Ben's adds 20 points and the locked-off one 8.
    """
    lent = Kit(
        units=(
            Unit(id="cam-k", item="cam", owner="kim", value=300),
            Unit(id="cam-l", item="cam", owner="lee", value=200),
        )
    )
    singles, (pair,) = lent_of(small_brief(small_kit(counts={"cam": 1})), lent)
    assert {row.change.id: row.price_per_viewpoint for row in singles} == {
        "cam-k": 300,
        "cam-l": 200,
    }
    assert order(pair)[:4] == (0, 0, 2, 28)
    assert (pair.change.price, pair.price_per_viewpoint) == (500, 250)


def test_what_has_to_be_hired_costs_its_fee_and_can_be_left_out() -> None:
    """40 for the evening, whatever it is worth."""
    fee = Unit(id="cam-h", item="cam", owner="the hire shop", value=900, hire=40)
    free = Unit(id="cam-k", item="cam", owner="kim", value=400)
    lent = Kit(units=(fee, free))
    assert [each.price for each in lent_things(small_brief(), lent)] == [40, 400]
    assert hired(small_brief(), lent) == ("cam (cam-h)",)
    assert without_hired(lent) == Kit(units=(free,))


def test_lent_things_of_no_use_are_not_tried() -> None:
    """A lens of another mount."""
    far = Lens.model_validate({**lens("far", mount="EF").model_dump()})
    lent = Kit(items=(far,), units=(Unit(id="far-k", item="far", owner="kim", value=5),))
    ((single,), pairs) = lent_of(small_brief(), lent)
    assert single.change.settled == NOWHERE
    assert pairs == ()
