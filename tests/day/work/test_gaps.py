"""Gaps: from when to when, who is there, which breaks fall into them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from kitplan.day.work.gaps import More, gap_with, stretched
from kitplan.day.work.task import Gap, Rest, Task
from kitplan.shoot.gaps import stretches
from kitplan.shoot.past import Past
from kitplan.shoot.working import Break
from tests.day.work.made import between, brief_of, turn
from tests.small import at, person, run, show

SUPPER: dict[str, Any] = {"id": "supper", "length_min": 30, "since": at(17), "until": at(18)}


def gap(**parts: Any) -> Gap:
    """Return the gap between the passes, 16:20 to 19:00, without tasks."""
    brief = brief_of(**parts)
    return gap_with(brief.shoot, between(brief), turn(brief), (), More())


def test_a_gap_lasts_from_the_end_to_the_doors() -> None:
    assert gap().gate_s == 160 * 60


def test_a_gap_lasts_as_long_as_is_said() -> None:
    assert gap(passes=(run(gap_after_min=25), show())).gate_s == 25 * 60


def test_the_load_in_begins_with_the_first_and_the_get_out_ends_with_the_last() -> None:
    crew = (
        person("ann", since=at(14), until=at(21)),
        person("ben", since=at(15), until=at(22)),
    )
    found = list(stretches(brief_of(crew=crew).shoot))
    assert [(s.begin, s.gate) for s in found] == [
        (at(14), at(16)),
        (at(16, 20), at(19)),
        (at(20, 22), at(22)),  # two minutes until the last recorder is stopped
    ]


def test_without_hours_nobody_knows_when_it_begins_or_ends() -> None:
    found = list(stretches(brief_of().shoot))
    assert [(s.after is None, s.gate) for s in found] == [(False, at(19)), (False, None)]


def test_what_leads_to_a_pass_that_is_over_is_done() -> None:
    brief = brief_of(crew=(person("ann", since=at(14)),))
    shoot = brief.shoot.model_copy(update={"past": Past(passes=("run",))})
    assert [s.after and s.after.id for s in stretches(shoot)] == ["run", "show"]


def test_hours_of_people_and_lists_of_passes() -> None:
    crew = (
        person("ann"),
        person("ben", since=at(17)),
        person("cy", until=at(16, 50)),
        person("dan", until=at(16)),
        person("eve"),
    )
    passes = (run(), show(people=("ann", "ben", "cy", "dan")))
    hands = {h.person: h.hours_s for h in gap(crew=crew, passes=passes).hands}
    assert hands == {"ann": ((0, 9600),), "ben": ((2400, 9600),), "cy": ((0, 1800),)}


@pytest.mark.parametrize(
    ("facts", "rest"),
    [
        ({}, Rest("supper", ("ann", "ben"), 1800, 2400, 6000)),
        ({"people": ("ben",)}, Rest("supper", ("ben",), 1800, 2400, 6000)),
        ({"since": at(16), "until": at(16, 50)}, Rest("supper", ("ann", "ben"), 1800, 0, 1800)),
        ({"since": at(18, 31), "until": at(20)}, None),
    ],
    ids=["inside", "of-some", "cut-by-the-gap", "too-late"],
)
def test_breaks_that_can_be_taken_here(facts: dict[str, Any], rest: Rest | None) -> None:
    found = gap(breaks=(Break(**{**SUPPER, **facts}),)).rests
    assert found == (() if rest is None else (rest,))


def test_who_is_not_there_long_enough_takes_no_break_here() -> None:
    crew = (person("ann"), person("ben", since=at(17, 31)))
    (rest,) = gap(crew=crew, breaks=(Break(**SUPPER),)).rests
    assert rest.people == ("ann",)


def test_a_gap_is_stretched_as_far_as_everything_takes() -> None:
    crew = (person("ann"), person("cy", until=at(16, 50)))
    longer = stretched(replace(gap(crew=crew), tasks=(Task("a", "build", run_s=100),)))
    assert longer.gate_s == 9700
    assert {h.person: h.hours_s for h in longer.hands} == {"ann": ((0, 9700),), "cy": ((0, 1800),)}
