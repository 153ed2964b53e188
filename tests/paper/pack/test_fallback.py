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


@pytest.mark.parametrize("name", [DANCE, DEPOT, HARBOUR])
def test_without_replies_it_says_who_can_stand_in(name: str) -> None:
    """Every operated camera once: with somebody who is behind none of that pass, or with nobody."""
    plan, (sheet,) = stored_plan(name), stored_sheets(name, "fallback")
    names, text = Names(plan), words_of((sheet,))
    rows = [
        row
        for block in sheet.blocks
        if isinstance(block, Table) and block.columns[0].title == "missing"
        for row in block.rows
    ]
    for pass_id in plan.pass_ids():
        label = names.pass_label(pass_id)
        operated = [p for p in plan.placements_in(pass_id) if p.operator is not None]
        busy = {names.operator(p) for p in operated}
        taken = {row[2][0]: row[3] for row in rows if row[1] == label}
        assert not any(person in words for words in taken.values() for person in busy)
        without = [p.letter for p in operated if p.letter not in taken]
        if without:
            assert f"{label}: nobody on hand is free for camera" in text
        assert set(taken) <= {p.letter for p in operated}
    assert f"kitplan fallback {name}.json --out {name}-fallback.json" in text


def test_only_those_with_the_skill_can_stand_in_at_the_jib() -> None:
    """Nobody but Ottilie runs it in the depot."""
    text = words_of(stored_sheets(DEPOT, "fallback"))
    jib = next(p for p in stored_plan(DEPOT).placements if "jib" in p.rig.support)
    sentence = text.split("Closed run: nobody on hand is free for ")[1].split(":")[0]
    assert jib.letter in sentence


def test_spares_are_what_is_over() -> None:
    """Cards there are less those in use; none is said loudly."""
    plan, (sheet,) = stored_plan(DEPOT), stored_sheets(DEPOT, "fallback")
    found = next(
        block
        for block in sheet.blocks
        if isinstance(block, Table) and block.columns[0].title.startswith("over and above")
    )
    cells = {row[0]: dict(zip(plan.pass_ids(), row[1:], strict=True)) for row in found.rows}
    assert plan.day is not None
    assert plan.day.media is not None
    for spare in plan.day.media.spares:
        name = plan.kit.items_by_id[spare.item].name
        left = spare.units - spare.used
        assert cells[name][spare.pass_id] == (str(left) if left else "NONE")


def test_without_cameras_there_is_no_sheet() -> None:
    """Nothing can be lost."""
    plan = small_plan().model_copy(update={"placements": ()})
    assert sheets_of(source_of(plan), "fallback") == ()
