"""The line-up sheet has a row for each body of each pass, with boxes."""

from __future__ import annotations

import pytest

from kitplan.paper.line_up import ORDER
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import Facts, Points, Table
from kitplan.paper.pack.contents.line_up import sheets
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from tests.stored import stored_plan


@pytest.mark.parametrize("name", ["depot-brass", "school-dance", "harbour-festival"])
def test_each_body_of_each_pass_has_a_row_to_tick(name: str) -> None:
    """Letter, body, focal length and stop; to be set, read back, its clock set."""
    plan = stored_plan(name)
    names = Names(plan)
    common, *passes = sheets(Source(plan, Setting()))
    assert ORDER in [block.lines for block in common.blocks if isinstance(block, Points)]
    assert len(passes) == len(plan.pass_ids())
    for pass_id, sheet in zip(plan.pass_ids(), passes, strict=True):
        (table,) = [block for block in sheet.blocks if isinstance(block, Table)]
        assert sum(column.is_box for column in table.columns) == 3
        placements = plan.placements_in(pass_id)
        assert [row[0] for row in table.rows] == [p.letter for p in placements]
        for row, placement in zip(table.rows, placements, strict=True):
            assert row[1].startswith(f"{names.unit(placement.rig.body)}, {placement.rig.mode}")
            assert f"f/{placement.shot.stop:.2g}" in row


def test_the_master_sound_is_named_where_there_is_one() -> None:
    """The setup and where it stands."""
    sheet = list(sheets(Source(stored_plan("depot-brass"), Setting())))[-1]
    rows = [row for block in sheet.blocks if isinstance(block, Facts) for row in block.rows]
    assert ("Master sound", "Desk mix and room, FOH desk") in rows


def test_a_plan_without_cameras_has_no_line_up() -> None:
    """Nothing to set."""
    plan = stored_plan("depot-brass").model_copy(update={"placements": (), "day": None})
    assert list(sheets(Source(plan, Setting()))) == []
