"""The packer: each rule binds, each goal is kept in its order, and it equals trying everything."""

from __future__ import annotations

import pytest

from kitplan.day.cases.model import count
from kitplan.day.cases.pack import Packed, pack
from kitplan.day.cases.things import Cargo, Loose
from kitplan.plan.day.cases import GOALS
from tests.day.cases.loads import best_values, case, kind, random_load


def value(packed: Packed, goal: str) -> int:
    """Return what a goal came to; it is proven."""
    assert packed.is_proven
    return packed.value[GOALS.index(goal)]


def check(seed: int) -> None:
    """The packer finds and proves what trying every packing finds, and counts it right."""
    cargo = random_load(seed)
    packed = pack(cargo)
    assert packed.is_proven
    assert packed.value == best_values(cargo)
    assert packed.value == count(cargo, packed.packing, packed.loaded)


@pytest.mark.parametrize("seed", range(20))
def test_the_best_packing_is_found(seed: int) -> None:
    """Of all there are."""
    check(seed)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(20, 320))
def test_the_best_packing_is_always_found(seed: int) -> None:
    """300 loads more."""
    check(seed)


def test_random_loads_make_every_goal_count() -> None:
    """Each goal is above 0 in some load, so that the comparison says something about it."""
    values = [best_values(random_load(seed)) for seed in range(20)]
    assert [max(column) > 0 for column in zip(*values, strict=True)] == [True] * len(GOALS)


# -- rules: at the limit it fits, beyond it does not -----------------------------------------------


@pytest.mark.parametrize(("litres", "left"), [(999, 0), (1000, 0), (1001, 1)])
def test_litres_bind(litres: int, left: int) -> None:
    """A case of 10 litres."""
    packed = pack(Cargo((kind("thing", bulk_cl=litres),), (case("crate-1"),)))
    assert value(packed, "left") == left


@pytest.mark.parametrize(("grams", "left"), [(9999, 0), (10_000, 0), (10_001, 1)])
def test_kilograms_bind(grams: int, left: int) -> None:
    """A case that carries 10 kg besides its own mass."""
    packed = pack(Cargo((kind("thing", mass_g=grams),), (case("crate-1"),)))
    assert value(packed, "left") == left


def test_long_things_go_into_long_cases_or_home() -> None:
    """Legs do not fit a crate, unless they live in it."""
    legs = kind("legs-1", is_long=True)
    assert value(pack(Cargo((legs,), (case("crate-1"),))), "left") == 1
    assert value(pack(Cargo((legs,), (case("bag-1", takes_long=True),))), "left") == 0
    at_home = kind("legs-1", is_long=True, home="crate-1")
    assert value(pack(Cargo((at_home,), (case("crate-1", is_home=True),))), "left") == 0


def test_wrapping_takes_litres() -> None:
    """7 litres wrapped are 10.5: too much for 10, but a padded case takes them as they are."""
    lens = kind("lens-1", bulk_cl=700, wrapped_cl=1050, is_fragile=True)
    assert value(pack(Cargo((lens,), (case("crate-1"),))), "left") == 1
    assert value(pack(Cargo((lens,), (case("case-1", is_padded=True),))), "left") == 0


@pytest.mark.parametrize(("litres", "left"), [(1700, 0), (1699, 1)])
def test_the_vehicle_binds(litres: int, left: int) -> None:
    """A case of 13 litres outside and a sandbag of 4."""
    sandbag = Loose("sandbag-1", 7000, 400)
    cargo = Cargo((kind("thing"),), (case("crate-1"),), (sandbag,), vehicle_cl=litres)
    assert value(pack(cargo), "left") == left


@pytest.mark.parametrize(("grams", "left"), [(9000, 0), (8999, 1)])
def test_the_load_of_the_vehicle_binds(grams: int, left: int) -> None:
    """1 kg in a case of 1 kg, and a sandbag of 7 kg."""
    sandbag = Loose("sandbag-1", 7000, 400)
    cargo = Cargo((kind("thing"),), (case("crate-1"),), (sandbag,), vehicle_g=grams)
    assert value(pack(cargo), "left") == left


def test_parts_of_rigs_are_left_last() -> None:
    """One of two things fits; two small ones stay behind for a part."""
    things = (kind("a", "b", bulk_cl=500), kind("part", bulk_cl=900, is_part=True))
    packed = pack(Cargo(things, (case("crate-1"),)))
    assert packed.packing == {(1, "crate-1"): 1}
    assert value(packed, "left") == 2


# -- goals -----------------------------------------------------------------------------------------


def test_what_has_a_home_goes_there() -> None:
    """Though the other case would take both, and one case less would come along."""
    things = (kind("one", home="crate-1"), kind("two", home="crate-2"))
    packed = pack(Cargo(things, (case("crate-1", is_home=True), case("crate-2", is_home=True))))
    assert packed.packing == {(0, "crate-1"): 1, (1, "crate-2"): 1}


def test_a_full_home_sends_as_few_away_as_can_be() -> None:
    """Three things of 4 litres live in 10: one of them goes elsewhere."""
    things = (kind("a", "b", "c", home="crate-1", bulk_cl=400),)
    packed = pack(Cargo(things, (case("crate-1", is_home=True), case("crate-2"))))
    assert value(packed, "left") == 0
    assert value(packed, "away") == 1
    assert value(packed, "opened") == 1


def test_no_case_is_opened_where_home_cases_have_room() -> None:
    """A thing without a home joins one that has one."""
    things = (kind("at-home", home="crate-1"), kind("homeless"))
    packed = pack(Cargo(things, (case("crate-1", is_home=True), case("crate-2"))))
    assert packed.packing == {(0, "crate-1"): 1, (1, "crate-1"): 1}


def test_lifts_are_kept_light() -> None:
    """4 + 1 kg in either case are one person's, 8 + 1 kg in one are not; no case is opened."""
    things = (
        kind("x", home="crate-1"),
        kind("y", home="crate-2"),
        kind("heavy-1", "heavy-2", mass_g=4000, users=frozenset({("show", "A")})),
    )
    bins = (case("crate-1", is_home=True), case("crate-2", is_home=True))
    packed = pack(Cargo(things, bins, lift_g=6000, lift_two_g=8000))
    assert value(packed, "hands") == 0
    assert packed.packing[2, "crate-1"] == packed.packing[2, "crate-2"] == 1
    # without a limit the things of camera A lie together
    assert value(pack(Cargo(things, bins)), "split") == 1


def test_fragile_things_seek_padding() -> None:
    """Before things of one camera lie together."""
    user = frozenset({("show", "A")})
    things = (
        kind("x", home="crate-1", users=user),
        kind("y", home="case-1"),
        kind("lens", is_fragile=True, users=user),
    )
    bins = (case("crate-1", is_home=True), case("case-1", is_home=True, is_padded=True))
    packed = pack(Cargo(things, bins))
    assert packed.packing[2, "case-1"] == 1


def test_owners_are_kept_apart() -> None:
    """Ben's thing goes into Ben's case."""
    things = (kind("x", home="crate-1"), kind("y", home="crate-2"), kind("his", owner="ben"))
    bins = (case("crate-1", is_home=True), case("crate-2", is_home=True, owner="ben"))
    packed = pack(Cargo(things, bins))
    assert packed.packing[2, "crate-2"] == 1
    assert value(packed, "mixed") == 1  # y is Ann's and at home in Ben's case


def test_masses_are_balanced() -> None:
    """Four things of 1 kg over two home cases of 1 kg with 1 kg each: 4 kg, not 5."""
    things = (kind("x", home="crate-1"), kind("y", home="crate-2"), kind("a", "b", "c", "d"))
    bins = (case("crate-1", is_home=True), case("crate-2", is_home=True))
    assert value(pack(Cargo(things, bins)), "heaviest") == 8
