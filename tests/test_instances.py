"""The shoots that the allocation is measured on: valid, the same for a seed, of the right size."""

from __future__ import annotations

import pytest

from kitplan.gear.checks import faults
from kitplan.gear.kit import Kit
from kitplan.gear.records import Adapter, Body, Lens, Support
from kitplan.options.spots import find_options
from kitplan.plan.verify import REFUSED, Scene, level_in_picture, sizes_of, view_of
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.every import problems
from tests.bench.by_hand import Lead
from tests.bench.instances import instance
from tests.bench.standing import GOALS, Run, lag

SMALL = [(family, seed) for family in ("S", "M") for seed in range(4)]


def _units(kit: Kit, kind: type[Body | Lens | Support]) -> int:
    return sum(len(kit.units_by_item.get(item.id, ())) for item in kit.of_kind(kind))


def _counts(brief: Brief) -> tuple[int, ...]:
    kit, shoot = brief.kit, brief.shoot
    return (
        _units(kit, Body),
        len(list(kit.of_kind(Body))),
        _units(kit, Lens),
        _units(kit, Support),
        len(shoot.venue.positions),
        len(shoot.subjects),
        len(shoot.crew),
        len(shoot.passes),
    )


@pytest.mark.parametrize(("family", "seed"), [*SMALL, ("L", 0), ("XL", 0)])
def test_a_shoot_passes_every_check(family: str, seed: int) -> None:
    brief = instance(family, seed)
    assert problems(brief, lambda _: 0, "shoot") == []
    assert faults(brief.kit) == []


@pytest.mark.parametrize("family", ["S", "M"])
def test_a_seed_gives_the_same_shoot_and_another_one_another(family: str) -> None:
    first, again, other = (instance(family, seed) for seed in (3, 3, 4))
    assert (first.shoot, first.kit) == (again.shoot, again.kit)
    assert (first.shoot, first.kit) != (other.shoot, other.kit)


@pytest.mark.parametrize(
    ("family", "counts"),
    [
        ("S", (5, 4, 8, 9, 12, 6, 4, 2)),
        ("M", (12, 8, 20, 20, 30, 10, 9, 3)),
        ("L", (40, 20, 60, 55, 60, 20, 30, 4)),
        ("XL", (120, 40, 180, 165, 150, 40, 80, 6)),
    ],
)
def test_a_family_has_its_size(family: str, counts: tuple[int, ...]) -> None:
    assert [_counts(instance(family, seed)) for seed in range(3)] == [counts] * 3


@pytest.mark.parametrize("seed", range(4))
def test_every_rule_has_something_to_bind(seed: int) -> None:
    brief = instance("M", seed)
    shoot, kit = brief.shoot, brief.kit
    places = shoot.venue.positions
    assert {p.stands_on for p in places} == {"floor", "rail", "bar"}
    assert "asked" in {p.permission.state for p in places if p.permission}
    assert {r.priority for r in shoot.roles} == {"must", "want", "nice"}
    assert any(m.priority == "must" for s in shoot.songs for m in s.moments)
    assert any(person.performs_in for person in shoot.crew)
    assert any(person.since and person.since > shoot.passes[0].start for person in shoot.crew)
    assert any(unit.owner_only for unit in kit.units)
    assert list(kit.of_kind(Adapter))
    scene = Scene(shoot, kit)
    assert all(15 <= scene.gap_min(index) <= 40 for index in range(len(shoot.passes) - 1))


def test_something_hides_and_rigs_stand_in_the_pictures_of_others() -> None:
    brief = instance("S", 0)
    assert "hidden" in {refusal.rule for _, refusal in find_options(brief).shot_refusals()}
    lead = Lead(brief, seconds=30)
    lead.plan()
    assert any(
        level_in_picture(lead.scene, view, rig) == REFUSED
        for rig in lead.setups
        for position in brief.shoot.venue.positions
        for subject in brief.shoot.subjects
        for size in sizes_of(subject)
        if (view := view_of(lead.scene, position, subject, size)) is not None
    )


@pytest.mark.parametrize("seed", [0, 1])
def test_a_crew_lead_fills_every_must_by_hand(seed: int) -> None:
    values = Lead(instance("S", seed), seconds=30).plan()
    assert list(values) == list(GOALS)
    assert values["musts"] == 0
    assert values["viewpoints"] > 0


def test_the_first_goal_that_differs_decides() -> None:
    def run(*values: int) -> Run:
        rows = dict(zip(GOALS, ([value, None, False, 1.0] for value in values), strict=True))
        return Run("S", 0, 1.0, "ours", {"goals": rows})

    best, worse = run(0, 10, 3, 800, 9, -5, -7), run(0, 10, 3, 600, 20, 0, 0)
    assert lag(best, worse) == (3, -1 / 3)
    assert lag(worse, best) == (3, 0.25)
    assert lag(best, best) == (len(GOALS), 0.0)
    nothing = Run("S", 0, 1.0, "ours", {})
    assert lag(nothing, best) == (0, float("inf"))
