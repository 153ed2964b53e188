"""Rules of cards and batteries: enough for every pass, charged in the gaps between them."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.gear.records import AnyItem
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from tests.small import (
    at,
    body,
    cameras,
    card,
    charger,
    position,
    reached,
    refusals,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
    unit,
    words_of,
)

BOTH = (run(), show())
"""The run ends at 16:20, the show begins at 20:00: a gap of 220 minutes."""
EVERY = (role(in_passes="every"),)


def brief_of(*items: AnyItem, counts: dict[str, int], **parts: Any) -> Brief:
    """Return a shoot at the front with one camera and counted supplies."""
    kit = small_kit(*items, counts={"cam": 1, **counts})
    return small_brief(kit, **{"positions": (position("front"),), "roles": EVERY, **parts})


def check(brief: Brief, is_possible: bool) -> Plan:
    """Solve; where it is not possible the role clashes with itself, over all its passes."""
    plan = solve(brief)
    assert (plan.status == "solved") == is_possible
    assert set(plan.clash) == (set() if is_possible else words_of(plan, "close"))
    return plan


# -- cards (K) -------------------------------------------------------------------------------------
# A card holds GB * 8000 / 50 / 60 * 0.9 = 2.4 minutes a gigabyte; a pass lasts 20 minutes.


@pytest.mark.parametrize(("card_type", "is_possible"), [("sd", True), ("cf", False)])
def test_a_camera_writes_to_cards_of_its_type(card_type: str, is_possible: bool) -> None:
    """The body takes sd cards."""
    check(brief_of(card(card_type=card_type), counts={}), is_possible)


@pytest.mark.parametrize(
    ("mb_s", "is_possible"), [(7.49, False), (7.5, True), (7.51, True)], ids=str
)
def test_a_card_writes_with_margin(mb_s: float, is_possible: bool) -> None:
    """50 Mb/s * 1.2 = 60 Mb/s = 7.5 MB/s."""
    check(brief_of(card(sustained_mb_s=mb_s), counts={}), is_possible)


def test_a_slow_card_drives_the_plan_to_the_lower_bit_rate() -> None:
    """50 MB/s carry 50 * 8 / 1.2 = 333 Mb/s: the heavier body of 300 Mb/s films."""
    fast = body(mode={"bit_rate_mbps": 400})
    plain = body("spare", mode={"bit_rate_mbps": 300}, mass_kg=5)
    plan = check(brief_of(fast, plain, card(sustained_mb_s=50), counts={}), True)
    assert [placement.rig.body for placement in cameras(plan)] == ["spare-1"]


@pytest.mark.parametrize(
    ("capacity_gb", "number", "is_possible"),
    [(8.34, 0, False), (8.34, 1, True), (8.33, 1, False), (8.33, 2, True), (4.16, 3, True)],
    ids=["none", "one-holds-it", "one-does-not", "two-hold-it", "three-hold-it"],
)
def test_enough_cards_for_the_length_of_the_pass(
    capacity_gb: float, number: int, is_possible: bool
) -> None:
    """8.34 GB hold 20.02 minutes, 8.33 GB 19.99, 4.16 GB 9.98."""
    plan = check(brief_of(card(capacity_gb=capacity_gb), counts={"card": number}), is_possible)
    if is_possible:
        assert [len(placement.cards) for placement in cameras(plan)] == [number]


def test_cards_of_one_camera_are_of_one_item() -> None:
    """One small card of either make would hold the pass together; cameras do not mix them."""
    cards = (card("big", capacity_gb=5), card("small", capacity_gb=4))
    check(brief_of(*cards, counts={"card": 0}), False)
    check(brief_of(*cards, counts={"card": 0, "small": 3}), True)


@pytest.mark.parametrize(("number", "is_possible"), [(1, False), (2, True), (3, True)])
def test_a_card_is_filled_once_a_day(number: int, is_possible: bool) -> None:
    """Two passes on one day take two cards."""
    check(brief_of(counts={"card": number}, passes=BOTH), is_possible)


def test_a_card_is_free_again_the_next_day() -> None:
    """Over night it is copied twice and formatted."""
    later = show(start=at(20, day=2), doors=at(19, day=2))
    check(brief_of(counts={"card": 1}, passes=(run(), later)), True)


def test_too_few_cards_cost_viewpoints() -> None:
    """Two cameras with one card: one camera, 20 points instead of 40."""
    kits = (small_kit(counts={"card": number}) for number in (2, 1))
    assert [reached(solve(small_brief(kit)), "viewpoints") for kit in kits] == [40, 20]


@pytest.mark.parametrize(
    ("capacity_gb", "is_possible"), [(13.74, False), (13.76, True)], ids=["below", "above"]
)
@pytest.mark.parametrize("manner", ["operated", "locked-off"])
def test_where_nobody_can_reach_it_one_card_holds_all(
    capacity_gb: float, is_possible: bool, manner: str
) -> None:
    """20 * 1.15 + 10 = 33 minutes on one card: 33 / 2.4 = 13.75 GB. Shut in, either manner."""
    brief = brief_of(
        card(capacity_gb=capacity_gb),
        counts={"card": 9},
        positions=(position("front", is_shut_in_by_audience=True),),
        roles=(role(manner=manner),),
    )
    check(brief, is_possible)


def test_a_camera_without_cards_is_refused_by_name() -> None:
    """Nothing in the look-up says that no card of the kit does for a camera."""
    found = refusals(brief_of(card(card_type="cf"), counts={}))
    assert any("card" in str(refusal) for refusal in found)


# -- batteries (B) ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("battery_min", "number", "is_possible"),
    [(28.58, 1, True), (28.57, 1, False), (28.57, 2, True), (9.53, 2, False), (9.53, 3, True)],
    ids=["one-lasts", "one-does-not", "two-last", "two-do-not", "three-last"],
)
def test_enough_batteries_for_the_length_of_the_pass(
    battery_min: float, number: int, is_possible: bool
) -> None:
    """70 % are planned on: 28.58 gives 20.006 minutes, 28.57 gives 19.999, 9.53 gives 6.67."""
    plan = check(brief_of(body(battery_min=battery_min), counts={"cell": number}), is_possible)
    if is_possible:
        assert [len(placement.batteries) for placement in cameras(plan)] == [number]


@pytest.mark.parametrize(
    ("battery_min", "is_possible"), [(23.53, True), (23.52, False)], ids=["at", "below"]
)
def test_measured_minutes_are_trusted_more(battery_min: float, is_possible: bool) -> None:
    """85 % of 23.53 minutes are 20.0005; of 23.52 they are 19.992."""
    cam = body(battery_min=battery_min, measured=("battery_min",))
    check(brief_of(cam, counts={"cell": 1}), is_possible)


def test_a_tired_battery_counts_less() -> None:
    """Half its health: 60 * 0.7 * 0.5 = 21 minutes are enough, 56 * 0.7 * 0.5 = 19.6 are not."""
    for battery_min, is_possible in ((60, True), (56, False)):
        cell = unit("cell", health=0.5)
        kit = small_kit(body(battery_min=battery_min), units=(cell,))
        check(small_brief(kit, positions=(position("front"),), roles=EVERY), is_possible)


@pytest.mark.parametrize(("has_mains", "is_possible"), [(True, True), (False, False)])
def test_on_mains_no_battery_is_used(has_mains: bool, is_possible: bool) -> None:
    """The body runs on mains where there is any, and there is no battery."""
    spots = (position("front", has_mains=has_mains),)
    check(brief_of(body(runs_on_mains=True), counts={"cell": 0}, positions=spots), is_possible)


def test_an_operator_who_is_shut_in_changes_batteries() -> None:
    """Batteries of 7 minutes: three for 20 minutes, wherever the operator is."""
    spots = (position("front", is_shut_in_by_audience=True),)
    brief = brief_of(body(battery_min=10), counts={"cell": 3}, positions=spots)
    (placement,) = cameras(check(brief, True))
    assert len(placement.batteries) == 3


@pytest.mark.parametrize(
    ("charge_min", "is_possible"), [(221, False), (220, True), (219, True)], ids=str
)
def test_one_battery_is_charged_in_the_gap(charge_min: float, is_possible: bool) -> None:
    """From 16:20 to 20:00: 220 minutes, whatever the doors say."""
    power = charger(charge_min=charge_min)
    check(brief_of(power, counts={"cell": 1}, passes=BOTH), is_possible)


def test_without_a_charger_every_pass_takes_its_own_battery() -> None:
    """One battery does for one pass, two do for two."""
    check(brief_of(counts={"cell": 1}, passes=BOTH), False)
    check(brief_of(counts={"cell": 2}, passes=BOTH), True)


@pytest.mark.parametrize(
    ("units", "bays", "charge_min", "clashing", "missed"),
    [
        (1, 1, 110, 0, 0),
        (1, 1, 111, 4, 1),
        (1, 2, 220, 0, 0),
        (2, 1, 220, 0, 0),
        (2, 1, 221, 3, 2),
    ],
    ids=["twice", "once", "two-bays", "two-chargers", "too-slow"],
)
def test_chargers_bays_and_turns_multiply(
    units: int, bays: int, charge_min: float, clashing: int, missed: int
) -> None:
    """Two batteries for two cameras in both passes: both have to be charged in 220 minutes.

    With one of them charged all four demands clash; with none any three of the four do.
    """
    kit = small_kit(charger(bays=bays, charge_min=charge_min), counts={"cell": 2, "charger": units})
    roles = tuple(role(name, in_passes="every") for name in ("one", "two"))
    plan = solve(small_brief(kit, passes=BOTH, roles=roles))
    assert len(plan.clash) == clashing
    assert set(plan.clash) <= words_of(plan, "one", "two")
    assert reached(plan, "musts") == -missed


def test_no_more_is_charged_than_there_is() -> None:
    """A fast charger does not make two batteries of one: the show needs two, the kit has one."""
    roles = tuple(role(name, passes=("show",)) for name in ("one", "two"))
    kit = small_kit(charger(charge_min=1), counts={"cell": 1})
    plan = solve(small_brief(kit, passes=BOTH, roles=roles))
    assert set(plan.clash) == words_of(plan, "one", "two")


def test_charge_left_over_is_kept_for_the_next_pass() -> None:
    """Three batteries, two used in the run, none charged: one camera can film the show."""
    kit = small_kit(counts={"cell": 3})
    plan = solve(small_brief(kit, passes=BOTH, roles=(role(in_passes="every"),)))
    taken = [cell for p in plan.placements for cell in p.batteries]
    assert len(taken) == len(set(taken)) == 3


def test_a_charger_of_other_batteries_does_not_help() -> None:
    """It must take the battery that is flat."""
    other = charger(batteries=("other",), charge_min=1)
    check(brief_of(other, counts={"cell": 1}, passes=BOTH), False)
