"""Fallback table: who has what a camera loses, who stands in, and the replies worked out before."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.paper.names import Names
from kitplan.paper.pack.answers import FallbackAnswer
from kitplan.paper.pack.blocks import Block, Table
from kitplan.plan.framing import Framing
from kitplan.plan.records import Placement, Plan
from tests.paper.pack.made import (
    DANCE,
    DEPOT,
    HARBOUR,
    sheets_of,
    source_of,
    stored_sheets,
    words_of,
)
from tests.plans import small_plan
from tests.small import small_shoot
from tests.stored import stored_plan
from tests.whatif.small import SAFETY, hand_plan, placed, safety


def loss(label: str, kind: str = "item", **changes: Any) -> dict[str, Any]:
    """Return a loss as the command writes it; nothing moves."""
    given = {"do": [{"label": "", "lines": ["Nothing moves."]}], "costs": ["nothing"]}
    return {"kind": kind, "label": label, **given, **changes}


def tables(plan: Plan, *losses: dict[str, Any]) -> dict[str, Table]:
    """Return the tables of the sheet by their titles."""
    answer = FallbackAnswer.model_validate({"losses": losses})
    (sheet,) = sheets_of(source_of(plan, fallback=answer), "fallback")
    blocks: tuple[Block, ...] = sheet.blocks
    return {block.title: block for block in blocks if isinstance(block, Table)}


@pytest.mark.parametrize("name", [DANCE, DEPOT, HARBOUR])
def test_every_camera_has_its_line_and_every_moment_its_second(name: str) -> None:
    """As the plan says who holds a moment, and who is the second."""
    plan = stored_plan(name)
    (sheet,) = stored_sheets(name, "fallback")
    found = {block.title: block for block in sheet.blocks if isinstance(block, Table)}
    assert plan.day is not None
    assert plan.day.shots is not None
    for pass_id in plan.pass_ids():
        rows = {row[0]: row for row in found[Names(plan).pass_label(pass_id)].rows}
        assert list(rows) == [placement.letter for placement in plan.placements_in(pass_id)]
        for row in plan.day.shots.moments:
            if row.first and row.first[0] == pass_id:
                line = next(
                    line for line in rows[row.first[1]][2].splitlines() if row.moment in line
                )
                assert ("nobody else" in line) == (row.second is None)
                assert row.second is None or f"camera {row.second[1]}" in line


def then(*others: Placement) -> str:
    """Return what happens when the safety shot of a small show stops beside other cameras."""
    shoot = small_shoot(roles=(SAFETY,))
    rows = tables(hand_plan(shoot, (safety("A"), *others)))["show"].rows
    return next(row[2] for row in rows if row[0] == "A")


def test_whoever_can_frame_the_whole_takes_over_the_safety_shot() -> None:
    """By the menus of the others; else the widest that is free."""
    whole = Framing(subject="stage", size="WS")
    able = placed("B", "left", menu=(whole,))
    assert then(able) == "Takes over and holds: camera B (ann), stage WS."
    unable = placed("B", "left")
    alone = "Nobody else has the whole. "
    assert then(unable) == f"{alone}Camera B goes as wide as it can and holds."
    assert then(unable, placed("C", "right", operator="ben")) == (
        f"{alone}Cameras B and C: the widest that is free goes wide and holds."
    )
    assert then() == f"{alone}Get it going again first."


def test_replies_stand_by_pass_with_the_name_of_the_loss_in_every_row() -> None:
    """A page may end between two of them; the cost is said once."""
    moved = [
        {"label": "Run", "lines": ["Ann: free.", "Rigging: take down camera B."]},
        {"label": "Show", "lines": ["Ann: camera B."]},
    ]
    found = tables(small_plan(), loss("Ben", "person", do=moved, costs=["viewpoints 3 to 2"]))
    assert found["Somebody is missing"].rows == (
        ("Ben", "Run", "- Ann: free.\n- Rigging: take down camera B.", "viewpoints 3 to 2"),
        ("Ben", "Show", "Ann: camera B.", ""),
    )


def test_neighbours_with_which_nothing_moves_share_a_row() -> None:
    """Not with one that costs something; kinds without a loss have no table."""
    found = tables(
        small_plan(),
        loss("card"),
        loss("cell"),
        loss("legs", costs=["not known"]),
        loss("Show", "pass"),
    )
    assert found["A thing is missing or broken"].rows == (
        ("card\ncell", "", "Nothing moves.", "nothing"),
        ("legs", "", "Nothing moves.", "not known"),
    )
    assert "A place is closed" not in found
    assert found["A pass is off"].rows[0][0] == "Show"


def test_without_replies_it_says_who_can_stand_in() -> None:
    """On hand, with the skill, and behind no camera of that pass."""
    plan = stored_plan(DEPOT)
    (sheet,) = stored_sheets(DEPOT, "fallback")
    (found,) = [
        block
        for block in sheet.blocks
        if isinstance(block, Table) and block.columns[0].title == "missing"
    ]
    names = Names(plan)
    operated = [p for p in plan.placements if p.operator is not None]
    assert len(found.rows) == len(operated)
    for row in found.rows:
        pass_id = next(i for i in plan.pass_ids() if names.pass_label(i) == row[1])
        busy = {names.operator(p) for p in plan.placements_in(pass_id)}
        assert not any(person in row[3] for person in busy)
    jib = next(row for row in found.rows if "Jib spot" in row[2])
    assert "nobody on hand is free" in jib[3]  # only one has the skill
    text = words_of((sheet,))
    assert "kitplan fallback depot-brass.json --out depot-brass-fallback.json" in text


def test_spares_are_what_is_over() -> None:
    """Cards there are less those in use; none is said loudly."""
    plan = stored_plan(DEPOT)
    text = words_of(stored_sheets(DEPOT, "fallback"))
    assert plan.day is not None
    assert plan.day.media is not None
    for spare in plan.day.media.spares:
        left = spare.units - spare.used
        name = plan.kit.items_by_id[spare.item].name
        words = {0: "NONE", 1: "1 card"}.get(left, f"{left} cards")
        assert f"{name} {words}" in text


def test_without_cameras_there_is_no_sheet() -> None:
    """Nothing can be lost."""
    plan = small_plan().model_copy(update={"placements": ()})
    assert sheets_of(source_of(plan), "fallback") == ()
