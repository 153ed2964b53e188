"""A good plan has no finding; every way to spoil it has the one that names it."""

from __future__ import annotations

import pytest

from kitplan.gear.kit import Away
from kitplan.plan.records import DemandMet, GoalReached, Placement, Plan
from kitplan.plan.verify import verify
from kitplan.shoot.records import Pattern
from tests.plan.small import (
    RUN,
    SHOW,
    Change,
    all_of,
    anyone,
    asked,
    built,
    by_hand,
    changed,
    each,
    honest_plan,
    item,
    listed,
    locked_off,
    owned,
    picked,
    place,
    placement,
    placements,
    rig,
    rules,
    scaled,
    shot,
    with_item,
    with_role,
)
from tests.small import at


def goal(name: str, **changes: object) -> Change:
    """Spoil what a goal came to."""
    return listed("goals", lambda row: row.goal == name, **changes)


def raised(name: str, *, also_bound: bool) -> Change:
    """Raise the value of a goal by one."""

    def change(plan: Plan) -> Plan:
        reached: GoalReached = next(row for row in plan.goals if row.goal == name)
        bound = reached.bound + also_bound
        return goal(name, value=reached.value + 1, bound=bound)(plan)

    return change


def on_the_road(plan: Plan) -> Plan:
    """Let others have the zoom from the day after the show, and the gear need a day of travel."""
    away = Away(begins=at(9, day=2).date(), why="booked for Gala")
    held = owned("zoom-1", away=(away,))(plan)
    shoots = {each: s.model_copy(update={"travel_days": 1}) for each, s in held.shoots.items()}
    return held.model_copy(update={"shoots": shoots})


def same_operator(plan: Plan) -> Plan:
    """Put the operator of one camera of the show on all of them."""
    who = picked(plan, lambda _, p: p.operator is not None and p.pass_id == SHOW).operator
    return changed(
        plan,
        placements=tuple(
            changed(p, operator=who) if p.pass_id == SHOW else p for p in plan.placements
        ),
    )


def twin(plan: Plan) -> Plan:
    """Count the same view a second time, in another pass."""
    first = plan.placements[0]
    return changed(plan, placements=(*plan.placements, changed(first, pass_id=_other(first))))


def _other(one: Placement) -> str:
    return SHOW if one.pass_id == RUN else RUN


def same_support(plan: Plan) -> Plan:
    """Put a camera of the show onto the support of another one."""
    (one, other, *_) = [p for p in plan.placements if p.pass_id == SHOW]
    return rig(lambda _, p: p is one, support=other.rig.support)(plan)


def swapped_letters(plan: Plan) -> Plan:
    """Change the letters of two cameras in the show only."""
    first, second = sorted({p.letter for p in plan.placements if p.pass_id == SHOW})[:2]
    names = {first: second, second: first}
    return changed(
        plan,
        placements=tuple(
            changed(p, letter=names.get(p.letter, p.letter)) if p.pass_id == SHOW else p
            for p in plan.placements
        ),
    )


def cards_of_the_run(plan: Plan) -> Plan:
    """Use the cards of the run once more in the show."""
    before = [p for p in plan.placements if p.pass_id == RUN]
    after = [p for p in plan.placements if p.pass_id == SHOW]
    again = [changed(p, cards=q.cards) for p, q in zip(after, before, strict=False)]
    return changed(plan, placements=(*before, *again, *after[len(again) :]))


def without_accessories(plan: Plan, kind: str) -> Plan:
    """Take away accessories of a kind."""
    return changed(
        plan,
        placements=tuple(
            changed(p, accessories=tuple(a for a in p.accessories if not a.startswith(kind)))
            for p in plan.placements
        ),
    )


def at_one_place(plan: Plan) -> Plan:
    """Put all cameras side by side."""
    return changed(plan, placements=tuple(changed(p, position="left") for p in plan.placements))


def demand_met(row: DemandMet) -> bool:
    """Pick the demand that the honest plan misses."""
    return not row.is_met


def two_of_a_role(plan: Plan) -> Plan:
    """Give the safety shot to every camera of the show."""
    return changed(
        plan,
        placements=tuple(
            changed(p, roles=("safety",)) if p.pass_id == SHOW else p for p in plan.placements
        ),
    )


def without_safety(plan: Plan) -> Plan:
    """Take the safety shot away, and say nothing."""
    kept = tuple(p for p in plan.placements if "safety" not in p.roles)
    return changed(plan, placements=kept)


def on_the_floor(_: Plan, placement: Placement) -> bool:
    """Pick what has the stage as the safety shot has it, from a place behind the stalls."""
    is_there = placement.pass_id == SHOW and placement.position in ("front", "left")
    return is_there and (placement.shot.subject, placement.shot.size) == ("stage", "WS")


PILLAR_M = ((-1, -3), (1, -3), (1, -2), (-1, -2))
STALLS = {"id": "stalls", "outline_m": ((-9, -5), (9, -5), (9, 0), (-9, 0)), "state": "standing"}
LONG = each("passes", "show", end=at(23, 59))
"""A show of nearly four hours."""
PLANS: dict[str, tuple[Change, str]] = {
    # ids
    "pass": (placement(anyone, pass_id="small/matinee"), "pass"),
    "shoot": (placement(anyone, pass_id="nowhere"), "pass"),
    "position": (placement(anyone, position="roof"), "position"),
    "unit": (rig(anyone, body="cam-99"), "unit"),
    "kind": (rig(anyone, body="fluid-1"), "kind"),
    "mode name": (rig(anyone, mode="8K"), "mode"),
    "person": (placement(by_hand, operator="zoe"), "person"),
    "role name": (placement(anyone, roles=("steadicam",)), "role"),
    "subject": (shot(anyone, subject="drummer"), "subject"),
    "size": (shot(anyone, size="XCU"), "size"),
    "consent": (each("subjects", "singer", closest="WS"), "size"),
    "unknown card": (placement(anyone, cards=("card-99",)), "unit"),
    "cap for a card": (placement(anyone, cards=("bond-1",)), "kind"),
    # letters and units
    "letters": (swapped_letters, "letter"),
    "unit twice": (same_support, "unit-twice"),
    "broken": (owned("zoom-1", condition="in-repair"), "unit-not-free"),
    "booked by others": (
        owned("zoom-1", away=(Away(begins=at(9).date(), ends=at(9).date(), why="Gala"),)),
        "unit-not-free",
    ),
    "on the road for others": (on_the_road, "unit-not-free"),
    "lent elsewhere": (owned("zoom-1", available_from=at(9, day=2).date()), "unit-not-free"),
    "owner": (placement(with_item("tele"), operator="ben"), "owner-only"),
    "stock": (owned("zoom-1", condition="missing"), "stock"),
    # position
    "closed": (place(open_in=()), "closed"),
    "refused": (place(permission={"state": "refused"}), "permission"),
    "nobody said so": (place(permission=None, is_overhead=True), "overhead"),
    "nobody may rig": (asked(crew=()), "overhead"),
    "nobody goes there": (place(is_on_stage=True), "nobody-rigs"),
    # camera
    "rate": (asked(delivery={"frame_rate_fps": 30}), "mode"),
    "shutter": (item("cam", shutter_speeds_per_s=(125,)), "shutter"),
    "no ring": (rig(with_item("ring"), adapter=None), "mount"),
    "ring on its own": (rig(with_item("box"), adapter="ring-1"), "mount"),
    "no lens": (rig(with_item("zoom"), lens=None), "mount"),
    "second lens": (rig(with_item("box"), lens="zoom-1"), "mount"),
    "other mount": (item("zoom", mount="PL"), "mount"),
    "thin ring": (all_of(item("ring", lens_mount="E"), item("tele", mount="E")), "flange"),
    "circle": (item("tele", image_circle_mm=18), "image-circle"),
    # stand
    "fitting": (item("fluid", fitting="bowl-100"), "fitting"),
    "no head": (rig(with_item("tripod"), head=None), "fitting"),
    "floor": (item("clamp", stands_on=("bar",)), "stands-on"),
    "too low": (item("tripod", height_max_m=1.1), "height"),
    "too high": (item("tripod", height_min_m=1.8), "height"),
    "footprint": (item("tripod", footprint_m=3), "room"),
    "side by side": (all_of(at_one_place, place(rigs=9, room_m=1)), "room"),
    "mains": (all_of(item("clamp", needs_mains=True), place(has_mains=False)), "mains"),
    "hands": (item("tripod", people=9), "hands"),
    "skill": (item("tripod", skill="steady"), "skill"),
    "support payload": (item("tripod", payload_kg=2), "payload"),
    "head payload": (item("fluid", payload_kg=1), "payload"),
    "heavy body": (item("cam", mass_kg=20), "payload"),
    # people
    "no operator": (placement(by_hand, operator="cy"), "not-operator"),
    "late": (each("crew", "ann", since=at(20, 5)), "not-on-hand"),
    "not listed": (each("passes", "show", people=("ben",)), "not-on-hand"),
    "others only": (place(only_people=("cy",)), "not-allowed-there"),
    "on stage": (place(is_on_stage=True), "on-stage"),
    "shut in": (
        all_of(place(is_shut_in_by_audience=True), each("crew", "ann", performs_in=("first",))),
        "shut-in",
    ),
    "fixed head": (item("fluid", can_pan_tilt=False), "needs-hand"),
    "out of hand": (place(is_out_of_reach=True), "needs-remote"),
    "monopod": (item("clamp", can_stand_alone=False), "needs-rest"),
    "automatic": (
        all_of(item("box", has_manual_control=False), item("cam", has_manual_control=False)),
        "automatic",
    ),
    "two places": (same_operator, "one-camera-each"),
    "all hands": (item("clamp", people=3), "people"),
    "minding": (
        all_of(place(is_out_of_reach=False), rules(minds_per_operator=0, minds_per_floater=0)),
        "minding",
    ),
    "out of mind": (
        all_of(place(is_out_of_reach=False), rules(mind_reach_m=0.5, minds_per_floater=0)),
        "minding",
    ),
    # shot
    "no audience": (each("subjects", "stage", kind="audience"), "no-audience"),
    "no light": (
        asked(light=({"passes": ("run",), "dim_lux": 9, "bright_lux": 9},)),
        "no-light-row",
    ),
    "too long": (item("zoom", focal_min_mm=125), "too-long"),
    "too short": (item("tele", focal_min_mm=20, focal_max_mm=30), "too-short"),
    "closest focus": (item("tele", closest_focus_m=30), "closest-focus"),
    "dark": (asked(light=({"dim_lux": 1, "bright_lux": 1000},)), "light"),
    "roams": (each("subjects", "stage", roam_m=30), "roam"),
    "depth": (each("subjects", "stage", roam_m=9), "focus"),
    "iris": (rules(good_light_stops=5), "figure-stop"),
    "heat": (
        all_of(item("box", heat_limit_min=5), item("cam", heat_limit_min=5)),
        "endurance",
    ),
    "clip": (all_of(LONG, item("box", heat_limit_min=200)), "endurance"),
    # what is in the picture
    "pillar": (
        built(obstacles=({"id": "pillar", "outline_m": PILLAR_M, "height_m": 9},)),
        "hidden",
    ),
    "heads": (built(audience=(STALLS,)), "hidden"),
    "empty seats": (
        all_of(
            built(audience=({**STALLS, "empty_in": ("run", "show")},)),
            rules(seats_share_plain=0, seats_share_soft=0),
        ),
        "empty-seats",
    ),
    "laser": (
        built(lamps=({"id": "beam", "at_m": (0, 3), "height_m": 1.4, "kind": "laser"},)),
        "laser",
    ),
    "no consent": (each("subjects", "singer", has_consent=False), "consent"),
    "shaky": (rules(steady_operated=1e-5), "steadiness"),
    "shaky at rest": (rules(steady_locked=1e-5), "steadiness"),
    "in the picture": (item("tripod", moves=("track",), sweep_m=7), "pictures"),
    "heads before the safety shot": (
        all_of(placement(on_the_floor, roles=("safety",)), built(audience=(STALLS,))),
        "role",
    ),
    # figures
    **{
        f"figure {name}": (scaled(name), f"figure-{name.replace('_', '-')}")
        for name in (
            "distance_m",
            "frame_height_m",
            "focal_mm",
            "view_deg",
            "stop",
            "iso",
            "iso_bright",
            "shutter_s",
            "focus_m",
            "near_m",
        )
    },
    **{
        f"figure {name}": (scaled(name, plus=0.01), f"figure-{name.replace('_', '-')}")
        for name in ("steady_share", "hidden", "hidden_arms", "seats", "wings")
    },
    "figure lamp": (shot(anyone, has_lamp=True), "figure-has-lamp"),
    "figure consent": (shot(anyone, unconsenting=("singer",)), "figure-unconsenting"),
    "figure other": (
        placement(anyone, in_picture=({"letter": "Z", "height_share": 0.1},)),
        "in-picture",
    ),
    "figure of version 1": (shot(anyone, steady_share=0), "figure-steady-share"),
    "figure nd": (scaled("nd_stops", plus=1), "figure-nd-stops"),
    "figure far": (shot(anyone, far_m=0.1), "figure-far-m"),
    "figure far infinite": (shot(with_item("tele"), far_m=None), "figure-far-m"),
    "figure grade": (shot(anyone, grade=1), "figure-grade"),
    "figure marks": (shot(anyone, marks=0), "figure-marks"),
    "figure band": (shot(anyone, band="fish-eye"), "figure-band"),
    # menu and roles
    "menu of a locked-off": (
        placement(locked_off, menu=({"subject": "stage", "size": "WS"},)),
        "menu",
    ),
    "menu out of reach": (
        placement(with_item("tele"), menu=({"subject": "stage", "size": "WS"},)),
        "menu",
    ),
    "menu too long": (rules(menu_shots=0), "menu"),
    "menu repeats": (
        lambda plan: placements(
            plan,
            by_hand,
            lambda p: changed(p, menu=({"subject": p.shot.subject, "size": p.shot.size},)),
        ),
        "menu",
    ),
    "wrong role": (placement(with_role("close"), roles=("safety",)), "role"),
    "not listed there": (each("roles", "safety", passes=("run",)), "role"),
    "two roles": (placement(with_role("whole"), roles=("whole", "close")), "roles"),
    "role twice": (two_of_a_role, "roles"),
    "not that position": (each("roles", "close", positions=("rail",)), "role"),
    "locked-off only": (each("roles", "close", manner="locked-off"), "role"),
    "moves": (each("roles", "close", moves=("track",)), "role"),
    "must not stop": (
        all_of(
            each("roles", "close", rolls_throughout=True),
            item("cam", heat_limit_min=5),
            item("toy", heat_limit_min=5),
        ),
        "role",
    ),
    # rules of a pass and between passes
    "too many rigs": (all_of(at_one_place, place(rigs=2)), "rigs"),
    "card again": (cards_of_the_run, "card-reused"),
    "no card": (placement(anyone, cards=()), "card"),
    "slow card": (placement(anyone, cards=("slow-card-1",)), "card"),
    "two kinds of card": (placement(anyone, cards=("card-8", "slow-card-1")), "card"),
    "no battery": (placement(with_item("zoom"), batteries=()), "battery"),
    "other battery": (placement(with_item("zoom"), batteries=("other-cell-1",)), "battery"),
    "battery on mains": (
        lambda plan: placement(with_item("box"), batteries=("cell-8",))(
            place(has_mains=True)(plan)
        ),
        "battery",
    ),
    "few batteries": (item("cam", battery_min=1), "batteries"),
    "no plate": (lambda plan: without_accessories(plan, "plate"), "accessory"),
    "no bond": (lambda plan: without_accessories(plan, "bond"), "accessory"),
    "no lead": (lambda plan: without_accessories(plan, "mains"), "accessory"),
    "weight": (place(is_outdoors=True, has_public=True), "accessory"),
    "few bonds": (place(is_overhead=True), "needs"),
    "no time": (each("passes", "run", gap_after_min=1), "reset"),
    # claims
    "alike": (rules(angle_deg=180, size_factor=100), "alike"),
    "twin": (twin, "alike"),
    "counted without a grade": (asked(light=({"dim_lux": 0.1, "bright_lux": 1},)), "counted-grade"),
    "met": (listed("demands", demand_met, is_met=True), "demand-met"),
    "not met": (listed("demands", lambda row: row.is_met, is_met=False), "demand-met"),
    "demand left out": (lambda plan: changed(plan, demands=plan.demands[1:]), "demand-list"),
    "demand made up": (lambda plan: changed(plan, demands=plan.demands * 2), "demand-list"),
    "priority": (listed("demands", lambda row: row.id == "whole", priority="nice"), "demand-list"),
    "lock": (asked(locks={"never": (Pattern(position="rail"),)}), "demand-met"),
    "status": (lambda plan: changed(plan, status="musts-missed"), "status"),
    "missed in silence": (without_safety, "status"),
    "clash": (lambda plan: changed(plan, clash=("this", "that")), "clash"),
    "value": (raised("wants", also_bound=True), "goal-value"),
    "viewpoints": (raised("viewpoints", also_bound=True), "goal-value"),
    "bound": (goal("variety", bound=-1), "goal-bound"),
    "proof": (goal("variety", is_proven=False), "goal-proven"),
    "goal left out": (lambda plan: changed(plan, goals=plan.goals[:-1]), "goal-list"),
    "goals out of order": (lambda plan: changed(plan, goals=plan.goals[::-1]), "goal-list"),
    "counts too few": (placement(by_hand, is_counted=False), "goal-better"),
    "work": (listed("resets", lambda _: True, work_min=1.0), "reset-work"),
    "available": (listed("resets", lambda _: True, available_min=1000.0), "reset-available"),
    "stays": (listed("resets", lambda _: True, stays=("Z",)), "reset-stays"),
    "no reset": (lambda plan: changed(plan, resets=()), "reset-list"),
    "worth": (lambda plan: changed(plan, worth={**plan.worth, RUN: {"first": "live"}}), "worth"),
    "used at home": (listed("left_out", lambda _: True, item="box"), "left-out"),
    "not listed at home": (lambda plan: changed(plan, left_out=()), "left-out"),
    "common shutter": (lambda plan: changed(plan, shutter_s=0.01), "shutter-time"),
}


def test_the_honest_plan_has_no_finding() -> None:
    """What the solver makes of the small concert holds in every rule, figure and claim."""
    assert verify(honest_plan()) == ()


@pytest.mark.parametrize("name", PLANS)
def test_a_spoilt_plan_is_found_out(name: str) -> None:
    """Each change breaks the rule that the finding names."""
    change, slug = PLANS[name]
    findings = verify(change(honest_plan()))
    assert slug in {finding.rule for finding in findings}, [str(f) for f in findings]
