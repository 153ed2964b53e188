"""Power of small shoots: what is charged when, what binds, and the ways out."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.day.power import power_plan
from kitplan.day.power.curve import curve_of, grains_used
from kitplan.day.sound import sound_plan
from kitplan.gear.records import Charger
from kitplan.plan.day.power import PowerPlan
from kitplan.plan.day.rolls import Clip, Roll, RollPlan
from kitplan.shoot.brief import Brief
from kitplan.shoot.rules import default_rules
from tests.day.supplies import RUN, SHOW, brief, kit, later, placed, supplied
from tests.small import at, charger, position, run, show


def power(own: Brief | None = None, **parts: Any) -> PowerPlan:
    """Return the power of the placements that the small shoot has, in this shoot."""
    own = own or brief(**parts)
    return power_plan(own, "small", placed().placements, sound_plan(own, "small", ()))


def times(found: PowerPlan) -> list[tuple[str, str]]:
    """Return when packs go in and come out."""
    return [(f"{one.start:%H:%M}", f"{one.end:%H:%M}") for one in found.charges]


def test_only_what_is_needed_is_charged() -> None:
    """20 of 25.2 minutes leave 206 thousandths. 588 more, to 794, take 494 / 700 / 2 of an hour up
    to the bend and 94 / 300 / 2 beyond: 21.2 + 9.4 = 30.6 min. The first minute takes it out.
    """
    found = power()
    assert times(found) == [("16:21", "16:52"), ("20:21", "21:01")]
    assert found.value == (0, 0, 2, 52 + 301)
    assert found.is_proven
    assert found.charges[0].to_share == pytest.approx(0.798)


def test_a_pack_that_lasts_is_left_alone() -> None:
    """The recorder's 70 minutes last for all three passes."""
    assert all(charge.unit == "cell-1" for charge in power().charges)


def test_charging_goes_on_through_a_pass() -> None:
    """Put in before the show that does not use it, the cell of the run charges through it."""
    early = show(start=at(16, 22), doors=at(16, 22))
    own = brief(passes=(run(), early, later()))
    rigs = tuple(p for p in placed().placements if p.pass_id != SHOW)
    assert times(power_plan(own, "small", rigs)) == [("16:21", "16:52")]


def test_no_pack_is_put_in_while_a_pass_runs() -> None:
    """One minute earlier the show has begun when the cell of the run comes out: it waits."""
    early = show(start=at(16, 20), doors=at(16, 20))
    own = brief(passes=(run(), early, later()))
    rigs = tuple(p for p in placed().placements if p.pass_id != SHOW)
    assert times(power_plan(own, "small", rigs)) == [("16:40", "17:11")]


def test_what_does_not_last_has_a_way_out() -> None:
    """Ten minutes are not enough for half an hour of charge: a second cell, or mains."""
    own = brief(passes=(run(), show(start=at(16, 30), doors=at(16, 30)), later()))
    found = power(own)
    assert [use.is_short for use in found.uses if use.letter == "A"] == [False, True, False]
    assert found.way_out == "One more cell: then every battery lasts"


def test_mains_is_the_first_way_out() -> None:
    """A body that could run on mains asks for a socket before a battery."""
    cam = brief().kit.items_by_id["cam"].model_copy(update={"runs_on_mains": True})
    own = brief(kit(cam), passes=(run(), show(start=at(16, 30), doors=at(16, 30)), later()))
    assert power(own).way_out == "Mains for A in show: then every battery lasts"


def test_mains_needs_no_battery() -> None:
    """With mains at the position the body runs on it."""
    cam = brief().kit.items_by_id["cam"].model_copy(update={"runs_on_mains": True})
    found = power(brief(kit(cam), positions=(position("front", has_mains=True),)))
    assert [(one.pass_id, one.letter) for one in found.mains][:2] == [(RUN, "A"), (SHOW, "A")]
    assert found.charges == ()


def test_sockets_bind() -> None:
    """The laptop keeps the only socket; with one more the cell is charged."""
    found = power(_with_sockets(1))
    assert found.value[0] == 2
    assert found.way_out == "One more socket for chargers: then every battery lasts"
    assert power(_with_sockets(2)).value[0] == 0


def _with_sockets(number: int) -> Brief:
    own = brief()
    venue = own.shoot.venue.model_copy(update={"sockets": number})
    return Brief(own.shoot.model_copy(update={"venue": venue}), own.kit)


def test_nobody_puts_a_pack_in_at_night() -> None:
    """A show that ends at 2 is charged from 8 on."""
    late = show(start=at(1, 40, day=2), doors=None, has_audience=False)
    found = power(passes=(run(), late, later()))
    assert found.charges[1].start == at(8, day=2)


def test_an_old_pack_lasts_less_and_charges_as_long() -> None:
    """At half its health 12.6 minutes are all there is."""
    own = brief()
    units = tuple(
        u.model_copy(update={"health": 0.5}) if u.item == "cell" else u for u in own.kit.units
    )
    found = power(Brief(own.shoot, type(own.kit)(items=own.kit.items, units=units)))
    use = found.uses[0]
    assert use.full_min == pytest.approx(12.6)
    assert use.missing_min == pytest.approx(7.4)


def test_two_bodies_share_one_charger() -> None:
    """Two cells in one bay, one after the other; in two bays at the same time."""
    one, other = (_shared(charger(bays=bays)) for bays in (1, 2))
    assert one.value[:3] == other.value[:3] == (0, 0, 2)
    starts = [sorted(charge.start for charge in found.charges) for found in (one, other)]
    assert starts[0][1] > starts[0][0]
    assert starts[1][1] == starts[1][0]


def _shared(own: Charger) -> PowerPlan:
    """Return the power of two cameras in the run and the show, with a cell each."""
    both = tuple(
        placement.model_copy(update={"letter": letter, "batteries": (cell,)})
        for placement in placed().placements
        if placement.pass_id != "small/later"
        for letter, cell in (("A", "cell-1"), ("B", "cell-2"))
    )
    return power_plan(brief(kit(own, cell=2), passes=(run(), show())), "small", both)


def test_clips_say_what_runs_on_what() -> None:
    """Six minutes of clips take 6 / 25.2 of a cell, whatever the pass lasts."""
    clips = (_clip(0, 240, "cell-1"), _clip(300, 420, "cell-1"), _clip(420, 480, None))
    rolls = RollPlan(
        rolls=(Roll(pass_id=RUN, letter="A", clips=clips),), touches=(), blind=(), reached=()
    )
    found = power_plan(brief(), "small", placed().placements, None, rolls)
    assert found.uses[0].minutes == pytest.approx(6)
    assert found.uses[0].after == pytest.approx(1 - 0.239)


def _clip(start_s: float, end_s: float, battery: str | None) -> Clip:
    return Clip(start_s=start_s, end_s=end_s, battery=battery, card="card-1", ends_by="hand")


def test_spare_counts_full_packs() -> None:
    """The run takes 794 thousandths of the one cell: 206 are left, a quarter of what is needed."""
    day = supplied().day
    assert day is not None
    assert day.power is not None
    spare = day.power.spares[0]
    assert (spare.units, spare.held, spare.needed) == (1, 1.0, 0.794)
    assert spare.share == pytest.approx(0.206 / 0.794)


def test_the_curve_is_undone_by_its_inverse() -> None:
    """So many minutes bring what so many minutes cost, and no more."""
    curve = curve_of(default_rules())
    for begin in (0, 300, 700, 950):
        for minutes in (0, 1, 13, 60):
            reached = curve.after(60, begin, minutes)
            assert curve.minutes(60, begin, reached) <= minutes
            assert reached == 1000 or curve.minutes(60, begin, reached + 1) > minutes


def test_use_is_rounded_up() -> None:
    """A third of a pack is 334 thousandths; exactly half is 500."""
    assert grains_used(10, 30) == 334
    assert grains_used(15, 30) == 500
