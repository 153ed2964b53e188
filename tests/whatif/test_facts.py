"""The assumed facts of a brief: which count, what they may really be, and the briefs they make."""

from __future__ import annotations

from functools import cache
from math import hypot

import pytest

from kitplan.gear.checks import faults
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.every import problems
from kitplan.tables import table
from kitplan.whatif.facts import Fact, assumed_facts
from tests.examples import usual
from tests.plans import brief_of
from tests.small import (
    body,
    position,
    run,
    show,
    singer,
    small_brief,
    small_kit,
    support,
)

CROWD = ({"id": "floor", "outline_m": ((-3, -9), (3, -9), (3, -2), (-3, -2))},)
BUNDLED = ("school-dance", "depot-brass")


def facts_of(brief: Brief) -> dict[str, Fact]:
    """Return the assumed facts by their key."""
    return {fact.key: fact for fact in assumed_facts(brief)}


@cache
def bundled(name: str) -> tuple[Fact, ...]:
    """Return the assumed facts of a bundled shoot."""
    return tuple(assumed_facts(brief_of(name)))


def values(fact: Fact) -> tuple[float, ...]:
    """Return the values that a fact may really have."""
    return tuple(end.value for end in fact.ends)


def test_light_is_guessed_unless_it_was_measured() -> None:
    """Half and double of 500 lux; the brightest state is never under the dimmest."""
    rows = ({"dim_lux": 500, "bright_lux": 800, "measured": ()},)
    fact = facts_of(small_brief(light=rows))["light row 1"]
    assert (fact.value, values(fact)) == (500, (250, 1000))
    bright = fact.ends[1].brief.shoot.light[0]
    assert (bright.dim_lux, bright.bright_lux) == (1000, 1000)
    measured = ({**rows[0], "measured": ("dim_lux",)},)
    assert "light row 1" not in facts_of(small_brief(light=measured))


def test_light_says_on_whom_and_when() -> None:
    """The last row is for everybody that the ones before leave."""
    rows = (
        {"subjects": ("singer",), "passes": ("show",), "dim_lux": 300, "bright_lux": 900},
        {"dim_lux": 500, "bright_lux": 900},
    )
    found = facts_of(small_brief(light=rows, passes=(run(), show())))
    assert found["light row 1"].label == "light on singer in show"
    assert found["light row 2"].label == "light on everybody else"


def test_a_position_is_nearer_or_farther() -> None:
    """`front` is 10 m before a stage 6 m deep: 13 m from its middle, so 11.7 to 14.3."""
    brief = small_brief(positions=(position("front"),))
    fact = facts_of(brief)["distance front"]
    assert fact.value == 13
    assert values(fact) == (11.7, 14.3)
    for end in fact.ends:
        (moved,) = end.brief.shoot.venue.positions
        assert hypot(moved.at_m[0], moved.at_m[1] - 3) == pytest.approx(end.value)
    surveyed = small_brief(positions=(position("front", measured=("at_m",)),))
    assert "distance front" not in facts_of(surveyed)


def test_room_counts_only_where_it_is_left_to_the_default() -> None:
    """1.5 m is the default; 2 m was thought about."""
    places = (position("front"), position("left", room_m=2))
    found = facts_of(small_brief(positions=places))
    assert values(found["room front"]) == (1, 2)
    assert "room left" not in found


def test_heights_count_over_the_house_floor() -> None:
    """The house floor itself is where heights begin."""
    places = (position("front"), position("left", floor_height_m=0.2))
    found = facts_of(small_brief(positions=places))
    assert "floor_height front" not in found
    assert values(found["floor_height left"]) == (0.5,)  # 0.3 m less would be under the floor


def test_heads_count_where_there_is_an_audience() -> None:
    """By the state it is in; a rule that the shoot changes is taken for granted."""
    fact = facts_of(small_brief(audience=CROWD))["heads seated"]
    assert values(fact) == (1.2, 1.45)
    assert fact.ends[0].brief.shoot.rules.heads_seated_m == 1.2
    assert "heads seated" not in facts_of(
        small_brief(audience=CROWD, rules={"heads_seated_m": 1.25})
    )
    assert "heads seated" not in facts_of(small_brief())


def test_batteries_are_trusted_further_once_they_are_measured() -> None:
    """The brief of a measured value says so: a larger share of it is planned on."""
    fact = facts_of(small_brief())["battery cam"]
    assert (fact.value, values(fact)) == (400, (280, 480))
    assert fact.ends[0].brief.kit.items_by_id["cam"].is_measured("battery_min")
    measured = small_kit(body(measured=("battery_min",)))
    assert "battery cam" not in facts_of(small_brief(measured))


def test_what_is_not_stated_is_assumed_away() -> None:
    """A body that is never too hot, a singer who stays on the spot, legs without a weight."""
    found = facts_of(small_brief(small_kit(body(mass_kg=0))))
    assert (found["heat cam"].value, values(found["heat cam"])) == (None, (45,))
    assert (found["mass cam"].value, values(found["mass cam"])) == (None, (0.8,))
    assert (found["roam singer"].value, values(found["roam singer"])) == (None, (1,))
    still = singer(measured=("roam_m",))
    assert "roam singer" not in facts_of(small_brief(subjects=(still,)))


def test_setting_up_is_timed_together_with_striking() -> None:
    """6 and 3 minutes in shared/setup_minutes.yaml: 3.6 and 1.8, or 10.2 and 5.1."""
    found = facts_of(small_brief(passes=(run(), show())))
    fact = found["setup legs"]
    assert values(fact) == (3.6, 10.2)
    for end, strike in zip(fact.ends, (1.8, 5.1), strict=True):
        legs = end.brief.kit.items_by_id["legs"]
        assert (legs.setup_min, legs.strike_min) == (end.value, strike)
    assert "setup legs" not in facts_of(small_brief())
    timed = small_kit(support(setup_min=5, measured=("setup_min",)))
    assert "setup legs" not in facts_of(small_brief(timed, passes=(run(), show())))


def test_gaps_are_the_time_that_can_be_worked_in() -> None:
    """From 16:20 to the doors at 19:00: 160 minutes, 112 to 208."""
    fact = facts_of(small_brief(passes=(run(), show())))["gap run"]
    assert (fact.value, values(fact)) == (160, (112, 208))
    assert fact.ends[0].brief.shoot.gap_min(0) == 112


@pytest.mark.parametrize("name", usual(1, [*BUNDLED, "harbour-festival"]))
def test_every_value_makes_a_sound_brief(name: str) -> None:
    """Valid as records, with the same ids; every fact has values other than what is assumed."""
    brief = brief_of(name)
    facts = bundled(name)
    assert len({fact.key for fact in facts}) == len(facts)
    for fact in facts:
        assert fact.ends
        for end in fact.ends:
            assert end.value != fact.value
            assert end.brief != brief
            again = type(brief.shoot).model_validate(end.brief.shoot.model_dump(by_alias=True))
            assert Brief(again, end.brief.kit) == end.brief
            assert faults(end.brief.kit) == []
            assert problems(end.brief, lambda _: 1, "shoot") == [], fact.key


def test_every_kind_of_the_table_is_used() -> None:
    """By one of the bundled shoots or the small one; each says how to measure it."""
    used = {fact.kind for name in BUNDLED for fact in bundled(name)}
    used |= {fact.kind for fact in assumed_facts(small_brief())}
    assert used == set(table("uncertainty"))
    assert all(row["how"] and row["unit"] for row in table("uncertainty").values())
