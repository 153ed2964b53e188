"""Rules of a placement, of a pass and between passes: where they bind and where they do not."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from kitplan.gear.kit import Kit
from kitplan.gear.records import Body, Support
from kitplan.plan.verify import (
    Camera,
    Scene,
    Setup,
    Stand,
    between_faults,
    is_possible,
    pass_faults,
    setup_faults,
)
from kitplan.plan.verify.between import reset_available_tenths, reset_work_tenths
from kitplan.plan.verify.findings import Fault
from kitplan.plan.verify.within import needs_of
from kitplan.shoot.venue import Position
from tests.small import (
    accessory,
    at,
    body,
    card,
    charger,
    head,
    person,
    position,
    run,
    show,
    singer,
    small_kit,
    small_shoot,
    support,
    unit,
)


def rules_of(faults: Iterator[Fault]) -> set[str]:
    """Return the slugs of some faults."""
    return {fault.rule for fault in faults}


def setup(
    place: Position | None = None,
    *,
    camera: Body | None = None,
    legs: Support | None = None,
    who: str | None = "ann",
    **facts: Any,
) -> Setup:
    """Return a medium shot of the singer from the front in the show, by Ann."""
    made = camera or body()
    given: dict[str, Any] = {
        "each": show(),
        "position": place or position(),
        "camera": Camera(made, made.modes[0]),
        "stand": Stand(legs or support()),
        "person": None if who is None else person(who),
        "subject": singer(),
        "size": "MS",
    }
    return Setup(**{**given, **facts})


def scene(*items: Any, counts: dict[str, int] | None = None, **parts: Any) -> Scene:
    """Return a small scene with further items."""
    return Scene(small_shoot(**parts), small_kit(*items, counts=counts))


def test_the_small_setup_is_possible() -> None:
    """Nothing is wrong with it, by hand or locked off."""
    assert is_possible(scene(), setup())
    assert is_possible(scene(), setup(who=None))


@pytest.mark.parametrize(
    ("lens_height_m", "is_high_enough"),
    [(2.19, True), (2.2, True), (2.21, False)],
    ids=["below", "at", "above"],
)
def test_height_with_slack_is_inclusive(lens_height_m: float, is_high_enough: bool) -> None:
    """Legs up to 2.0 m do for 0.2 m more."""
    place = position(lens_height_m=lens_height_m)
    assert ("height" not in rules_of(setup_faults(scene(), setup(place)))) is is_high_enough


@pytest.mark.parametrize(
    ("mass_kg", "is_carried"), [(7.999, True), (8.0, True), (8.001, False)], ids=str
)
def test_payload_counts_the_head(mass_kg: float, is_carried: bool) -> None:
    """80 % of 10 kg for a camera on a head; the legs carry the head as well: 80 % of 11.25 kg."""
    legs = support(fitting="bowl-75", payload_kg=11.25)
    heavy = body(mass_kg=mass_kg)
    one = setup(camera=heavy, stand=Stand(legs, head()))
    found = rules_of(setup_faults(scene(legs, head(), heavy), one))
    assert ("payload" not in found) is is_carried


@pytest.mark.parametrize(("skills", "found"), [((), True), (("jib",), False)])
def test_the_operator_has_the_skill(skills: tuple[str, ...], found: bool) -> None:
    """A support that asks for a skill is operated by somebody who has it."""
    crane = support(skill="jib")
    crew = (person("ann", skills=skills), person("ben", skills=("jib",)))
    one = setup(legs=crane, person=crew[0])
    assert ("skill" in rules_of(setup_faults(scene(crane, crew=crew), one))) is found


def test_locked_off_needs_somebody_there_with_the_skill() -> None:
    """Whoever sets it up must know how; Ben does, but is not allowed there."""
    crane, place = support(skill="jib"), position(only_people=("ann",))
    crew = (person("ann"), person("ben", skills=("jib",)))
    one = setup(place, legs=crane, who=None)
    assert "skill" in rules_of(setup_faults(scene(crane, crew=crew), one))


@pytest.mark.parametrize(("limit_min", "lasts"), [(32.9, False), (33.1, True)])
def test_out_of_reach_it_lasts_with_a_margin(limit_min: float, lasts: bool) -> None:
    """A pass of 20 min takes 20 * 1.15 + 10 = 33 min of a locked-off camera that nobody reaches."""
    warm = body(heat_limit_min=limit_min)
    for who in (None, "ann"):  # a remote head pans and tilts, but changes nothing
        one = setup(position(is_out_of_reach=True), camera=warm, who=who)
        assert ("endurance" not in rules_of(setup_faults(scene(warm), one))) is lasts


@pytest.mark.parametrize(
    ("facts", "lasts"),
    [({}, False), ({"condition": "retired"}, True), ({"owner_only": True}, True)],
    ids=["there", "retired", "its-owners"],
)
def test_the_weakest_pack_that_is_there_decides(facts: Any, lasts: bool) -> None:
    """33 min are asked of 60 * 0.7 = 42; an old pack at 0.5 gives 21, unless it cannot be had."""
    made = body(battery_min=60)
    cells = (unit("cell", 1), unit("cell", 2, health=0.5, **facts))
    setting = Scene(small_shoot(), small_kit(made, units=cells))
    one = setup(position(is_out_of_reach=True), camera=made, who=None)
    assert ("endurance" not in rules_of(setup_faults(setting, one))) is lasts


def test_out_of_reach_an_operator_needs_a_remote_head() -> None:
    """A head that pans by hand does not do there, a remote one does."""
    legs, place = support(fitting="bowl-75"), position(is_out_of_reach=True)
    for is_remote, fault in ((False, {"needs-remote"}), (True, set())):
        top = head(is_remote=is_remote)
        one = setup(place, stand=Stand(legs, top))
        assert rules_of(setup_faults(scene(legs, top), one)) == fault


# -- a pass ----------------------------------------------------------------------------------------


def test_an_owners_unit_counts_only_with_its_owner() -> None:
    """Of two cameras one is Ann's own: a third camera is too many, and so is one without Ann."""
    units = (unit("cam", 1), unit("cam", 2, owner="ann", owner_only=True))
    setting = Scene(small_shoot(), small_kit(units=units))
    ann, ben = setup(), setup(position("left"), who="ben")
    alone = setup(position("right"), who=None)
    assert "stock" not in rules_of(pass_faults(setting, show(), [ann, ben]))
    assert "stock" in rules_of(pass_faults(setting, show(), [ben, alone]))
    assert "stock" in rules_of(pass_faults(setting, show(), [ann, ben, alone]))


def test_needs_of_one_kind_add_up() -> None:
    """A tall arm outdoors takes 1 + 2 + 1 sandbags, however they are counted in the table."""
    arm = support(is_arm=True, height_max_m=4)
    place = position(lens_height_m=3, is_outdoors=True)
    setting = scene(arm, accessory("sandbag"), counts={"sandbag": 3})
    one = setup(place, legs=arm)
    assert dict(needs_of(setting, one)) == {("sandbag", None): 4}
    assert "needs" in rules_of(pass_faults(setting, show(), [one]))


def test_what_the_kit_does_not_list_is_not_asked_for_but_for_plates_and_bonds() -> None:
    """No sandbags are listed: they are nobody's need. A plate is needed always."""
    legs = support(plate="arca", height_max_m=4)
    one = setup(position(lens_height_m=3), legs=legs)
    assert dict(needs_of(scene(legs), one)) == {("plate", "arca"): 1}


@pytest.mark.parametrize(
    ("reach_m", "floaters", "is_minded"), [(9, 0, True), (8, 0, False), (8, 2, True)]
)
def test_two_operators_mind_two_cameras(reach_m: float, floaters: int, is_minded: bool) -> None:
    """Ann at the front could mind either camera, Ben at the left only his neighbour.

    `near` is 1 m from Ann and 8.9 m from Ben; `far` is 3 m beyond Ann. Each operator minds one, so
    Ben must mind `near` for Ann to mind `far`.
    """
    setups = [
        setup(position("front")),
        setup(position("left"), who="ben"),
        setup(position("near", at_m=(0, -10)), who=None),
        setup(position("far", at_m=(3, -10)), who=None),
    ]
    crew = (person("ann"), person("ben"), *(person(f"p{n}") for n in range(floaters)))
    setting = scene(crew=crew, rules={"mind_reach_m": reach_m})
    assert ("minding" not in rules_of(pass_faults(setting, show(), setups))) is is_minded


# -- between passes --------------------------------------------------------------------------------


def test_cards_of_two_kinds_are_shared_out() -> None:
    """One small card and one large: two cameras of 20 min find one each, three do not."""
    # 10 GB hold 10 * 8000 / 50 / 60 * 0.9 = 24 min
    setting = scene(card(capacity_gb=10), card("large"), counts={"card": 1})
    setups = [setup(position(p)) for p in ("front", "left", "right")]
    assert "cards" not in rules_of(between_faults(setting, setups[:2]))
    assert "cards" in rules_of(between_faults(setting, setups))


def test_a_full_card_waits_until_the_next_day() -> None:
    """One card does for two shows on two days, not for a run and a show on one."""
    setting = scene(counts={"card": 1}, passes=(run(), show()))
    later = show(start=at(20, day=2), doors=at(19, day=2))
    both_days = scene(counts={"card": 1}, passes=(run(), later))
    assert "cards" in rules_of(between_faults(setting, [setup(each=run()), setup()]))
    assert "cards" not in rules_of(
        between_faults(both_days, [setup(each=run()), setup(each=later)])
    )


@pytest.mark.parametrize(("bays", "suffice"), [(1, True), (0, False)])
def test_batteries_charge_in_the_gap(bays: int, suffice: bool) -> None:
    """One cell for a run and a show: the gap from 16:20 to 20:00 charges three."""
    items = [charger()] if bays else []
    setting = scene(*items, counts={"cell": 1}, passes=(run(), show()))
    found = rules_of(between_faults(setting, [setup(each=run()), setup()]))
    assert ("batteries" not in found) is suffice


def test_reset_work_by_hand() -> None:
    """Struck and built: stand 3 + 6, camera 2 + 4 minutes; what stays whole costs 4 minutes."""
    setting = scene(passes=(run(), show()))
    moved = [setup(each=run()), setup(position("left"))]
    stayed = [setup(each=run()), setup()]
    assert reset_work_tenths(setting, 0, moved) == 150
    assert reset_work_tenths(setting, 0, stayed) == 40
    # another camera on the legs that stay
    other = [setup(each=run()), setup(camera=body("other"))]
    assert reset_work_tenths(setting, 0, other) == 60
    # two people, from 16:20 to the doors at 19:00, less a quarter
    assert reset_available_tenths(setting, 0) == 2 * 160 * 10 * 3 / 4


def test_people_who_leave_do_not_work_in_the_reset() -> None:
    """Ben goes at 18:00, so the reset up to 19:00 is Ann's alone."""
    crew = (person("ann"), person("ben", until=at(18)))
    setting = scene(passes=(run(), show()), crew=crew)
    assert reset_available_tenths(setting, 0) == 160 * 10 * 3 / 4


def test_an_empty_kit_makes_faults_and_no_error() -> None:
    """A setup of things that nobody owns is refused, not tripped over."""
    setting = Scene(small_shoot(), Kit())
    assert "no-unit" in rules_of(setup_faults(setting, setup()))
