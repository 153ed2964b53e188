"""Units and letters, given out after the items are chosen."""

from __future__ import annotations

from collections import Counter
from datetime import date

import pytest

from kitplan.plan.records import Plan
from tests.small import (
    WIDE,
    accessory,
    at,
    body,
    cameras,
    card,
    head,
    lens,
    optic,
    person,
    position,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
    support,
    unit,
)

BOTH = (run(), show())
KIT = small_kit(
    body(mount="E"),
    lens(),
    support(fitting="bowl-75"),
    head(plate="slide"),
    accessory("plate", "slide"),
    accessory("cap"),
    counts={"cam": 3, "zoom": 3, "legs": 3, "fluid": 3, "plate": 3, "cap": 3},
)
EVERYWHERE = tuple(
    role(f"{place}-{each}", passes=(each,), positions=(place,))
    for place in ("front", "left", "right")
    for each in ("run", "show")
)
CREW = tuple(map(person, ("ann", "ben", "cleo")))


@pytest.fixture(scope="module", name="plan")
def _plan() -> Plan:
    """Three cameras at three places in both passes."""
    return solve(small_brief(KIT, passes=BOTH, roles=EVERYWHERE, crew=CREW))


def test_every_placement_has_units_of_its_items(plan: Plan) -> None:
    """Each unit exists, and its item is the one that is named."""
    items = {one.id: one.item for one in plan.kit.units}
    for placement in plan.placements:
        rig = placement.rig
        assert rig.lens is not None
        assert rig.head is not None
        found = [items[one] for one in (rig.body, rig.lens, rig.head, rig.support)]
        assert found == ["cam", "zoom", "fluid", "legs"]
        assert [items[one] for one in (*placement.batteries, *placement.cards)] == ["cell", "card"]
        assert sorted(items[one] for one in placement.accessories) == ["cap", "plate"]


@pytest.mark.parametrize("pass_id", ["run", "show"])
def test_no_unit_is_in_two_places_at_once(plan: Plan, pass_id: str) -> None:
    """Within a pass every unit is given out once."""
    taken = Counter(one for placement in cameras(plan, pass_id) for one in placement.units)
    assert set(taken.values()) == {1}


def test_a_unit_stays_with_its_place_from_pass_to_pass(plan: Plan) -> None:
    """Body, lens, head, legs and their accessories are the same in both passes."""
    by_place = [
        {p.position: (p.rig, sorted(p.accessories)) for p in cameras(plan, pass_id)}
        for pass_id in ("run", "show")
    ]
    assert by_place[0] == by_place[1]


def test_a_camera_keeps_its_letter(plan: Plan) -> None:
    """A letter is a body unit, in every pass."""
    bodies = {(placement.letter, placement.rig.body) for placement in plan.placements}
    assert len(bodies) == 3
    assert {letter for letter, _ in bodies} == {"A", "B", "C"}


def test_letters_follow_the_positions(plan: Plan) -> None:
    """Front, left and right, as in the file."""
    order = [placement.position for placement in cameras(plan, "run")]
    assert order == ["front", "left", "right"]


def test_a_card_is_given_once_a_day(plan: Plan) -> None:
    """Six cameras in two passes of one day: six cards."""
    cards = [one for placement in plan.placements for one in placement.cards]
    assert len(cards) == len(set(cards)) == 6


def test_batteries_go_round(plan: Plan) -> None:
    """The show gets fresh ones while there are any."""
    cells = [one for placement in plan.placements for one in placement.batteries]
    assert len(cells) == len(set(cells)) == 6


def test_the_safety_camera_is_a() -> None:
    """Wherever it stands."""
    kit = small_kit(body(built_in=optic(**WIDE)), counts={"cam": 3})
    roles = (
        role("safety", subject="stage", sizes=("WS",), is_safety=True, positions=("right",)),
        *(role(place, positions=(place,)) for place in ("front", "left")),
    )
    passes = (show(needs_safety=True),)
    plan = solve(small_brief(kit, passes=passes, roles=roles, crew=CREW))
    letters = {placement.position: placement.letter for placement in plan.placements}
    assert letters == {"right": "A", "front": "B", "left": "C"}


def test_a_unit_of_the_second_day_takes_over_there() -> None:
    """One camera is lent on the first day, another on the second."""
    first = unit("cam", 1, available_until=date(2027, 5, 1))
    second = unit("cam", 2, available_from=date(2027, 5, 2))
    passes = (run(), show(start=at(20, day=2), doors=at(19, day=2)))
    roles = (role(in_passes="every"),)
    plan = solve(small_brief(small_kit(units=(first, second)), passes=passes, roles=roles))
    bodies = {placement.pass_id: placement.rig.body for placement in plan.placements}
    assert bodies == {"small/run": "cam-1", "small/show": "cam-2"}


def test_an_owners_unit_goes_to_its_owner() -> None:
    """Two units, two operators: Ben's own is in Ben's hands in both passes."""
    units = (unit("cam", 1), unit("cam", 2, owner="ben", owner_only=True))
    roles = tuple(role(n, in_passes="every", manner="operated") for n in ("one", "two"))
    plan = solve(small_brief(small_kit(units=units), passes=BOTH, roles=roles))
    hands = {(placement.rig.body, placement.operator) for placement in plan.placements}
    assert hands == {("cam-1", "ann"), ("cam-2", "ben")}


def test_an_owners_unit_is_not_left_standing_where_somebody_else_operates() -> None:
    """Ben's camera was at the front in the run; in the show Ann operates there, with another."""
    units = (unit("cam", 1), unit("cam", 2, owner="ben", owner_only=True))
    keep = (
        {"pass": "run", "position": "front", "person": "ben"},
        {"pass": "show", "position": "front", "person": "ann"},
        {"pass": "run", "position": "left", "person": "ann"},
        {"pass": "show", "position": "left", "person": "ben"},
    )
    plan = solve(small_brief(small_kit(units=units), passes=BOTH, locks={"keep": keep}))
    assert plan.status == "solved"
    hands = {(placement.rig.body, placement.operator) for placement in plan.placements}
    assert hands == {("cam-1", "ann"), ("cam-2", "ben")}


def test_several_cards_for_one_camera_are_different_cards() -> None:
    """Cards of 4.16 GB hold 9.98 minutes: three for 20."""
    kit = small_kit(card(capacity_gb=4.16))
    plan = solve(small_brief(kit))
    for placement in plan.placements:
        assert len(set(placement.cards)) == 3


def test_plates_stay_with_their_body_when_it_moves() -> None:
    """One camera, two places: the same plate in both passes, out of two."""
    kit = small_kit(
        support(plate="slide"), accessory("plate", "slide"), counts={"cam": 1, "plate": 2}
    )
    roles = (
        role("before", passes=("run",), positions=("left",)),
        role("after", passes=("show",), positions=("right",)),
    )
    plan = solve(
        small_brief(kit, passes=BOTH, roles=roles, positions=(position("left"), position("right")))
    )
    before, after = (cameras(plan, pass_id)[0].accessories for pass_id in ("run", "show"))
    assert before == after
    assert len(before) == 1


def test_every_need_is_handed_out() -> None:
    """Tall legs outdoors take two sandbags; the kit has one: no rig goes out with too few."""
    kit = small_kit(accessory("sandbag"))
    spots = (position("front", lens_height_m=1.9, is_outdoors=True),)
    plan = solve(small_brief(kit, positions=spots))
    assert [len(placement.accessories) for placement in plan.placements] in ([], [2])


@pytest.mark.parametrize("item", ["cell", "card"])
def test_an_owners_battery_or_card_is_left_out(item: str) -> None:
    """The only one is Ben's, and it is left out of what is planned: nothing is filmed."""
    own = unit(item, owner="ben", owner_only=True)
    plan = solve(small_brief(small_kit(units=(own,)), crew=(person("ann"),)))
    assert plan.placements == ()
