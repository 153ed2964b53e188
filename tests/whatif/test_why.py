"""The funnel: its sums by hand, against what the options hold, and the nearest miss."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.errors import SettingError
from kitplan.options.failing import BIT, PIPELINE, RULES, find_failing
from kitplan.options.refusals import SENTENCES
from kitplan.options.spots import find_options
from kitplan.options.steadiness import support_row
from kitplan.paper.reasons import RULE_WORDS
from kitplan.whatif.funnel import SENTENCES_HERE, Funnel
from kitplan.whatif.why import Inquiry
from tests.random_shoots import random_brief
from tests.small import (
    adapter,
    body,
    head,
    lens,
    optic,
    person,
    position,
    prime,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
    support,
)

CLOSE_UP = role("tight", sizes=("CU",), priority="want")


def inquiry(kit: Any = None, **parts: Any) -> Inquiry:
    """Return the best plan of a small shoot, ready to be asked about."""
    return Inquiry(solve(small_brief(kit, **parts)))


def counts(funnel: Funnel) -> dict[str, tuple[int, int]]:
    """Return what each rule removes, alone and in all."""
    return {each.rule: (each.alone, each.in_all) for each in funnel.rules}


def test_a_role_from_one_position() -> None:
    """One camera on legs, a medium shot, by hand or locked off: 2 options; of those at the closed
    position none is left.
    """
    places = (position("front"), position("left", open_in=()))
    funnel = inquiry(roles=(role(),), positions=places).answer("role", "close").funnel
    # 2 positions x 1 camera x 1 stand x 1 size x 2 manners
    assert funnel.total == 4
    assert counts(funnel) == {"closed": (2, 2)}
    assert (funnel.removed, funnel.left) == (2, 2)


def test_alone_and_in_all() -> None:
    """Too short a lens everywhere; at the closed position that is not the only reason."""
    places = (position("front"), position("left", open_in=()))
    funnel = inquiry(roles=(CLOSE_UP,), positions=places).answer("role", "tight").funnel
    assert funnel.total == 4
    assert counts(funnel) == {"closed": (0, 2), "too-short": (2, 4)}
    assert funnel.left == 0


def test_parts_that_do_not_go_together_are_options_as_well() -> None:
    """A lens without an adapter for one body, a support without a head: each alone removes."""
    kit = small_kit(
        body("mounted", mount="E"),
        lens("foreign", mount="PL"),
        support("bowl", fitting="bowl-75"),
        without=("cam",),
        counts={"mounted": 1},
    )
    places = (position("front"),)
    funnel = inquiry(kit, roles=(role(),), positions=places).answer("role", "close").funnel
    # 1 camera x 2 stands x 2 manners: on legs only the mount, on the bowl both
    assert funnel.total == 4
    assert counts(funnel) == {"mount": (2, 4), "fitting": (0, 2)}


def test_manner_moves_and_people() -> None:
    """Nobody may operate on stage: an operated role has no option left, by that rule alone; where
    nobody may build there either, that is not the only one.
    """
    places = (position("front", is_on_stage=True),)
    operated = role(manner="operated")
    crew = (person("ann"), person("cy", is_operator=False, may_be_on_stage=True))
    funnel = inquiry(roles=(operated,), positions=places, crew=crew).answer("role", "close").funnel
    assert counts(funnel) == {"no-operator": (1, 1)}
    funnel = inquiry(roles=(operated,), positions=places).answer("role", "close").funnel
    assert counts(funnel) == {"nobody-rigs": (0, 1), "no-operator": (0, 1)}
    moving = role(moves=("track",))
    assert inquiry(roles=(moving,), positions=places).answer("role", "close").funnel.total == 0


def test_the_nearest_miss_and_its_figures() -> None:
    """12 m away 90 mm frame 9 * (12 - 0.09) / 90 = 1.191 m; a medium shot takes up to 1.12 m. The
    other camera misses by more.
    """
    kit = small_kit(
        body("far", built_in=prime(50)), body("near", built_in=prime(90)), without=("cam",)
    )
    places = (position("front"),)
    nearest = inquiry(kit, roles=(role(),), positions=places).answer("role", "close").nearest
    assert nearest is not None
    assert (nearest.body, nearest.rule) == ("near", "too-short")
    assert nearest.value == pytest.approx(9 * (12 - 0.09) / 90, rel=1e-6)
    assert nearest.sentence == (
        f"the tightest frame is 1.19 m high; the size allows at most {nearest.limit:.2f} m"
    )


def test_what_the_plan_uses_of_what_is_left() -> None:
    """One camera, two roles: the other want has the body, so nothing is free."""
    kit = small_kit(counts={"cam": 1})
    asked = (role("first", priority="want", weight=2), role("second", priority="want"))
    found = inquiry(kit, roles=asked, positions=(position("front"), position("left")))
    funnel = found.answer("role", "second").funnel
    assert (funnel.left, funnel.free) == (4, 0)
    # both options at the position in use, and the body everywhere
    assert dict(funnel.taken)["body"] == 4
    assert dict(funnel.taken)["position"] == 2
    assert found.answer("role", "first").is_met
    assert not found.answer("role", "second").is_met


def test_item_position_and_person() -> None:
    """The same over the placements that would use it, stand there, or be operated."""
    kit = small_kit(support("low", height_max_m=0.6))
    found = inquiry(kit, crew=(person("ann"), person("ben", until="2027-05-01T19:30:00")))
    item = found.answer("item", "low")
    assert item.funnel.left == 0
    assert not item.is_met
    (height,) = (each for each in item.funnel.rules if each.rule == "height")
    assert height.in_all == item.funnel.total
    place = found.answer("position", "left").funnel
    assert place.total > place.left > 0
    ben = found.answer("person", "ben").funnel
    assert counts(ben)["not-on-hand"][1] == ben.total
    assert ben.left == 0


def test_only_the_passes_in_which_it_is_missed() -> None:
    """A role of every pass, open in the show only: the run is asked about."""
    places = (position("front", open_in=("show",)),)
    asked = (role(in_passes="every", priority="want"),)
    found = inquiry(roles=asked, positions=places, passes=(run(), show()))
    scope = found.scope("role", "close")
    assert scope.passes == frozenset({"run"})


def test_names() -> None:
    """By id or label, whatever the case; a misspelt one is answered with the nearest."""
    found = inquiry(roles=(role(name="The singer, close"),))
    assert found.named("THE SINGER, close") == (("role", "close"),)
    assert found.named("front") == (("position", "front"),)
    assert found.named("ann") == (("person", "ann"),)
    with pytest.raises(SettingError, match="Did you mean 'front'"):
        found.named("frnot")


def test_what_is_missing() -> None:
    """Unmet roles; items and positions that nothing uses."""
    kit = small_kit(body("idle", built_in=optic(focal_min_mm=900, focal_max_mm=900)))
    found = inquiry(kit, roles=(CLOSE_UP,), positions=(position("front"), position("cupboard")))
    assert [demand.id for demand in found.unmet()] == ["tight"]
    assert ("item", "idle") in found.unused()


@pytest.mark.parametrize("seed", range(6))
def test_sums_and_what_is_left_agree_with_the_options(seed: int) -> None:
    """Alone <= in all <= total; what is left is just what the planner may choose from."""
    brief = random_brief(seed)
    plan = solve(brief, seconds=0.5)
    found = Inquiry(plan)
    options = find_options(brief)
    for place in brief.shoot.venue.positions[:3]:
        funnel = found.answer("position", place.id).funnel
        assert all(each.alone <= each.in_all <= funnel.total for each in funnel.rules)
        assert funnel.total == funnel.removed + funnel.left
        assert max((each.in_all for each in funnel.rules), default=0) <= funnel.removed
        assert sum(each.in_all for each in funnel.rules) >= funnel.removed
        assert sum(each.alone for each in funnel.rules) <= funnel.removed
        assert funnel.free <= funnel.left
        assert funnel.left == _chosen_from(options, place.id)


def _chosen_from(options: Any, place: str) -> int:
    """Count possible options at a position, one by one."""
    number = 0
    for spot in options.spots:
        if spot.position.id != place:
            continue
        for stand in spot.stands:
            manners = ["operated"] if stand.can_be_operated(spot.position) else []
            manners = manners if _has_hands(spot, stand) else []
            manners += ["locked-off"] if stand.can_be_locked_off else []
            for manner in manners:
                works = spot.shots.possible_on(support_row(stand, spot.position), manner)
                for column, camera in enumerate(spot.cameras):
                    if stand.carries(camera.mass_kg) and spot.endurance[column].card_choice:
                        number += int(works[:, column].sum())
    return number


def _has_hands(spot: Any, stand: Any) -> bool:
    skill = stand.support.skill
    return any(skill is None or skill in each.skills for each in spot.people)


def test_every_rule_has_its_words() -> None:
    """A sentence with figures, a few words for tables, a bit of its own."""
    assert set(RULES) == set(RULE_WORDS)
    assert set(RULES) <= set(SENTENCES_HERE)
    assert set(SENTENCES) <= set(RULES)
    assert len(set(BIT.values())) == len(RULES) == sum(map(len, PIPELINE.values()))


def test_like_stands_are_counted_each() -> None:
    """Two models of legs alike to every rule make one block of two."""
    kit = small_kit(support("other"), head(), adapter())
    found = inquiry(kit, roles=(role(),), positions=(position("front"),))
    scope = found.scope("role", "close")
    (failing,) = find_failing(found.options, found.parts, scope)
    assert {len(block.stands) for block in failing.blocks} == {2}
    assert found.look(scope)[0].total == 4
