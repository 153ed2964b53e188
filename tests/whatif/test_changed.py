"""Briefs with one thing less or more: valid ones, and what becomes of names that lead nowhere."""

from __future__ import annotations

import pytest

from kitplan.gear.checks import faults
from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Case
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.every import problems
from kitplan.shoot.records import Locks, Pattern
from kitplan.whatif.changed import (
    dropped,
    later,
    lost_roles,
    with_lent,
    with_one_more,
    without_item,
    without_pass,
    without_person,
    without_position,
    without_unit,
)
from tests.examples import usual
from tests.plans import brief_of
from tests.small import (
    at,
    body,
    demand_met,
    lens,
    person,
    position,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
    unit,
)

BOTH = (run(gap_after_min=30), show())


def assert_names_exist(brief: Brief) -> None:
    """Nothing is wrong but that the kit may be too small."""
    too_small = ("no unit", "no owned support")
    found = [str(each) for each in problems(brief, lambda _: 1, "shoot")]
    assert [words for words in found if not any(part in words for part in too_small)] == []
    assert faults(brief.kit) == []


def locked(**parts: str) -> Locks:
    """Return a lock that keeps a placement."""
    return Locks(keep=(Pattern(**{"pass" if k == "pass_" else k: v for k, v in parts.items()}),))


def test_the_brief_itself_stays_as_it_is() -> None:
    """Changes make new briefs, also where look-ups have been made already."""
    brief = small_brief(passes=BOTH)
    assert len(brief.shoot.crew_by_id) == 2
    assert len(brief.kit.units_by_item["cam"]) == 2
    assert set(without_person(brief, "ann").shoot.crew_by_id) == {"ben"}
    assert len(without_unit(brief, "cam-2").kit.units_by_item["cam"]) == 1
    assert len(brief.shoot.crew) == 2
    assert len(brief.kit.units_by_item["cam"]) == 2


def test_a_unit_goes_and_locks_on_its_item_stay_while_there_is_another() -> None:
    """Two cameras: the lock on `cam` goes with the second only."""
    brief = small_brief(locks=locked(body="cam"))
    one = without_unit(brief, "cam-2")
    assert one.shoot.locks == brief.shoot.locks
    assert dropped(brief, one) == ()
    none = without_unit(one, "cam-1")
    assert none.shoot.locks.keep == ()
    assert dropped(brief, none) == ("lock 'keep body cam' is dropped",)
    assert "cam" in none.kit.items_by_id
    assert_names_exist(none)


def test_what_has_a_case_that_is_gone_has_none() -> None:
    """It is at home nowhere."""
    bag = Case(id="bag", name="bag", volume_l=20, most_load_kg=10)
    kit = small_kit(bag, body(), units=(unit("bag"), unit("cam", case="bag-1")))
    changed = without_item(small_brief(kit), "bag")
    assert changed.kit.units_by_item["cam"][0].case is None
    assert_names_exist(changed)


def test_a_person_is_gone_from_every_list() -> None:
    """Left to nobody, a position has nobody; one lock names Ann."""
    brief = small_brief(
        positions=(position("front", only_people=("ann",)), position("left")),
        passes=(show(people=("ann", "ben")),),
        locks=locked(person="ann"),
    )
    changed = without_person(brief, "ann")
    assert [each.id for each in changed.shoot.crew] == ["ben"]
    assert changed.shoot.passes[0].people == ("ben",)
    assert changed.shoot.venue.positions[0].only_people == ()
    assert changed.shoot.venue.positions[1].only_people is None
    assert dropped(brief, changed) == ("lock 'keep person ann' is dropped",)
    assert_names_exist(changed)


def test_a_role_keeps_its_other_positions() -> None:
    """`front` is refused: the role from front or left is met from the left."""
    asked = (role("either", positions=("front", "left")), role("only", positions=("front",)))
    brief = small_brief(roles=asked, locks=locked(position="front"))
    changed = without_position(brief, "front")
    assert dropped(brief, changed) == ("lock 'keep position front' is dropped",)
    assert_names_exist(changed)
    plan = solve(changed, 2)
    assert {each.position for each in plan.placements} == {"left", "right"}
    assert demand_met(plan, "either")
    assert not demand_met(plan, "only")  # it stays asked for, and cannot be met


def test_the_only_position_can_go_too() -> None:
    """A venue keeps at least one; nobody may use it."""
    changed = without_position(small_brief(positions=(position(),)), "front")
    assert solve(changed, 2).placements == ()


def test_a_pass_is_gone_from_every_list() -> None:
    """Roles of no other pass go with it, and so do locks that name it or them."""
    brief = small_brief(
        passes=BOTH,
        positions=(position("front", open_in=("run",)), position("left", open_in=("run", "show"))),
        roles=(role("late", passes=("run",)), role("any", passes=("run", "show"))),
        light=(
            {"passes": ("run",), "dim_lux": 300, "bright_lux": 300},
            {"dim_lux": 500, "bright_lux": 1000},
        ),
        lamps=({"id": "lamp", "at_m": (9, 9), "height_m": 5, "passes": ("run",)},),
        locks=Locks(
            keep=(Pattern(role="late"), Pattern(position="left")),
            never=(Pattern(**{"pass": "run", "person": "ann"}),),
        ),
    )
    changed = without_pass(brief, "run")
    shoot = changed.shoot
    assert [each.id for each in shoot.passes] == ["show"]
    assert [each.open_in for each in shoot.venue.positions] == [(), ("show",)]
    assert [(each.id, each.passes) for each in shoot.roles] == [("any", ("show",))]
    assert [row.dim_lux for row in shoot.light] == [500]
    assert shoot.venue.lamps == ()
    assert [each.id for each in lost_roles(brief, changed)] == ["late"]
    assert dropped(brief, changed) == (
        "role 'late' is not asked for",
        "lock 'keep role late' is dropped",
        "lock 'never pass run, person ann' is dropped",
    )
    assert_names_exist(changed)


def test_without_the_master_the_last_pass_is_the_master() -> None:
    """Here the closed run; and the gap before what is gone goes by the clock."""
    changed = without_pass(small_brief(passes=BOTH), "show")
    assert changed.shoot.master.id == "run"
    assert changed.shoot.passes[0].gap_after_min is None


def test_the_only_pass_cannot_go() -> None:
    """There would be nothing to plan."""
    with pytest.raises(ValueError, match="passes"):
        without_pass(small_brief(), "show")


def test_one_more_is_a_good_one_with_an_id_of_its_own() -> None:
    """Twice as well."""
    brief = small_brief()
    twice = with_one_more(with_one_more(brief, "cam"), "legs")
    assert [each.id for each in twice.kit.units][-2:] == ["more-1", "more-2"]
    assert len(twice.kit.units_by_item["cam"]) == 3
    assert_names_exist(twice)


def test_a_pass_that_runs_later_shortens_the_gap() -> None:
    """From 16:00 to 17:00; Ann, who was to leave at 16:30, is held until it ends at 17:20."""
    crew = (person("ann", until=at(16, 30)), person("ben", since=at(18)), person("cy"))
    brief = small_brief(passes=(run(), show()), crew=crew)
    changed = later(brief, 0, 60)
    first, second = changed.shoot.passes
    assert (first.start, first.end, second) == (at(17), None, brief.shoot.passes[1])
    assert changed.shoot.gap_min(0) == 100  # 17:20 to doors at 19:00
    assert [p.until for p in changed.shoot.crew] == [at(17, 20), None, None]
    assert changed.shoot.length_min(first) == brief.shoot.length_min(brief.shoot.passes[0])


def test_a_gap_that_is_given_is_shorter_as_well() -> None:
    """Of 90 minutes to work in 30 are left, and no fewer than none."""
    brief = small_brief(passes=(run(gap_after_min=90), show()))
    assert later(brief, 0, 60).shoot.gap_min(0) == 30
    assert later(brief, 0, 100).shoot.gap_min(0) == 0


def test_lent_units_bring_their_item_and_no_other_unit() -> None:
    """A lens with its home in a case that is not lent along."""
    bag = Case(id="bag", name="bag", volume_l=20, most_load_kg=10)
    lent = Kit(
        items=(lens(), bag),
        units=(
            Unit(id="zoom-a", item="zoom", owner="kim", case="bag-a"),
            Unit(id="zoom-b", item="zoom", owner="kim"),
            Unit(id="bag-a", item="bag", owner="kim"),
        ),
    )
    changed = with_lent(small_brief(), lent, ["zoom-a"])
    (found,) = changed.kit.units_by_item["zoom"]
    assert (found.id, found.case) == ("zoom-a", None)
    assert_names_exist(changed)


@pytest.mark.parametrize("name", usual(1, ["school-dance", "depot-brass"]))
def test_bundled_shoots_stay_valid(name: str) -> None:
    """Whatever one of them goes without."""
    brief = brief_of(name)
    for item in brief.kit.units_by_item:
        assert_names_exist(without_item(brief, item))
    for each in brief.shoot.crew:
        assert_names_exist(without_person(brief, each.id))
    for place in brief.shoot.venue.positions:
        assert_names_exist(without_position(brief, place.id))
    for each_pass in brief.shoot.passes:
        assert_names_exist(without_pass(brief, each_pass.id))
