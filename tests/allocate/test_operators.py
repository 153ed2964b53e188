"""Who may operate, on which stand; and what a camera on its own asks for."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.gear.records import Support
from tests.allocate.cases import (
    Case,
    Parts,
    check_binds,
    check_is_slack,
    check_makes_infeasible,
    ids,
)
from tests.small import (
    at,
    body,
    cameras,
    demand_met,
    head,
    items_used,
    person,
    position,
    reached,
    refusals,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
    support,
    words_of,
)

BY_HAND = {"manner": "operated"}


def _ann(**facts: Any) -> Parts:
    return {"crew": (person("ann", **facts),), "role": BY_HAND}


def _ann_at(*, ann: Parts | None = None, **facts: Any) -> Parts:
    return {**_ann(**(ann or {})), "positions": (position("front", **facts),)}


def _shut_in(*, performs_in: tuple[str, ...], has_audience: bool = True) -> Parts:
    """A run that gives inserts only, so that nothing else speaks against Ann; the position is
    closed in the show.
    """
    first = run(has_audience=has_audience, is_in_costume=False)
    return {
        **_ann_at(
            ann={"performs_in": performs_in}, is_shut_in_by_audience=True, open_in=("run",)
        ),
        "passes": (first, show()),
    }


PEOPLE = (
    Case("operates", "person", lambda level: _ann(is_operator=level), True, True, False,
         rule="not-operator"),
    Case("there-from-doors-on", "person", lambda level: _ann(since=level),
         None, at(19), at(19, 1), rule="not-on-hand"),
    Case("there-from-the-start-without-doors", "person",
         lambda level: {**_ann(since=level), "passes": (show(doors=None),)},
         None, at(20), at(20, 1), rule="not-on-hand"),
    Case("there-to-the-end", "person", lambda level: _ann(until=level),  # 20 minutes from 20:00
         None, at(20, 20), at(20, 19), rule="not-on-hand"),
    Case("listed-for-the-pass", "person",
         lambda level: {**_ann(), "passes": (show(people=level),)},
         None, ("ann", "ben"), ("ben",), rule="not-on-hand"),
    Case("allowed-at-the-position", "person", lambda level: _ann_at(only_people=level),
         None, ("ann", "ben"), ("ben",), rule="not-allowed-there"),
    Case("may-be-on-stage", "person",
         lambda level: {**_ann_at(ann={"may_be_on_stage": level}, is_on_stage=True),
                        "ben": {"may_be_on_stage": True}},
         True, True, False, rule="on-stage"),
    Case("performers-are-not-shut-in", "person",
         lambda level: _shut_in(performs_in=level), (), (), ("first",), rule="shut-in"),
    Case("shut-in-by-an-audience-only", "person",
         lambda level: _shut_in(has_audience=level, performs_in=("first",)),
         False, False, True, rule="shut-in"),
)  # fmt: skip


@pytest.mark.parametrize("case", PEOPLE, ids=ids(PEOPLE))
def test_rule_of_operators_binds(case: Case) -> None:
    """Beyond the bound the other person operates."""
    check_binds(case)


@pytest.mark.parametrize("case", PEOPLE, ids=ids(PEOPLE))
def test_rule_of_operators_is_slack(case: Case) -> None:
    """At the bound the plan is the same as far within it."""
    check_is_slack(case)


@pytest.mark.parametrize("case", PEOPLE, ids=ids(PEOPLE))
def test_rule_of_operators_makes_infeasible(case: Case) -> None:
    """Without the other person the must role is missed for that reason."""
    check_makes_infeasible(case)
