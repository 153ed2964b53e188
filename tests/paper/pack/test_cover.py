"""Cover page: promises that agree with the plan, what it does not promise, and on one page."""

from __future__ import annotations

from io import BytesIO

import pytest
from pypdf import PdfReader

from kitplan.paper.cautions import cautions
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import Beside, Caution, Picture, Table
from kitplan.paper.pack.out.pdf import pdf_of
from kitplan.paper.pack.papers import PAPERS
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.paper.promises import promises
from kitplan.plan.day.rolls import Cover, Uncovered
from kitplan.plan.records import Day, Plan
from tests.paper.pack.made import (
    DANCE,
    DEPOT,
    HARBOUR,
    sheets_of,
    source_of,
    stored_sheets,
    stored_source,
    words_of,
)
from tests.plans import small_plan
from tests.stored import stored_plan


def kept(plan: Plan) -> str:
    """Return what a plan promises, as one text."""
    return " ".join(promises(Names(plan)).kept)


def with_day(name: str, **parts: object) -> Plan:
    """Return a stored plan with parts of its day changed."""
    plan = stored_plan(name)
    assert plan.day is not None
    return plan.model_copy(update={"day": plan.day.model_copy(update=parts)})


@pytest.mark.parametrize("name", [DANCE, DEPOT, HARBOUR])
def test_figures_are_those_of_the_plan(name: str) -> None:
    """Viewpoints, cameras, moments held, passes with their crew."""
    plan, text = stored_plan(name), words_of(stored_sheets(name, "cover"))
    views = [placement for placement in plan.placements if placement.is_counted]
    cameras = {placement.letter for placement in plan.placements}
    assert f"{len(views)} really different viewpoints from {len(cameras)} cameras" in text
    assert plan.day is not None
    assert plan.day.shots is not None
    held = sum(row.first is not None for row in plan.day.shots.moments)
    assert f"{held} of {len(plan.day.shots.moments)} moments" in text.replace(
        f"All {held} moments", f"{held} of {held} moments"
    )
    names = Names(plan)
    for placement in plan.placements:
        if placement.operator is not None:
            assert f"{placement.letter} {names.operator(placement)}" in text
    for pass_id in plan.pass_ids():
        assert names.pass_label(pass_id) in text


@pytest.mark.parametrize("name", [DANCE, DEPOT, HARBOUR])
def test_what_is_not_met_is_said(name: str) -> None:
    """Roles, moments that nobody holds, and the guesses that it stands on."""
    plan = stored_plan(name)
    words = words_of(stored_sheets(name, "cover")[:1])
    shoot = plan.shoots[name]
    for demand in plan.demands:
        if not demand.is_met and demand.kind == "role":
            assert shoot.roles_by_id[demand.id].label in words
    assert plan.day is not None
    assert plan.day.shots is not None
    for row in plan.day.shots.moments:
        assert (row.moment in words) == (row.first is None)
    assert "are assumed, not measured" in words


def test_cover_is_promised_only_where_it_is_proven() -> None:
    """Not without the rolls, and not where a second is missing, the safety shot's least of all."""
    plan = stored_plan(DEPOT)
    assert "every second of all 11 songs" in kept(plan)
    assert "never stopped inside a song: camera A in Show" in kept(plan)
    without = kept(with_day(DEPOT, cover=None))
    assert "every second" not in without
    assert "never stopped" not in without
    assert "One safe shot of the whole: camera A in Show." in without
    gap = Uncovered(
        song="cobbles",
        pass_id="depot-brass/show",
        start_s=10,
        end_s=20,
        stands=(),
        repair="start it anew before Cobbles",
    )
    plan = with_day(DEPOT, cover=Cover(uncovered=(gap,)))
    assert "every second" not in kept(plan)
    assert "One safe shot" not in kept(plan)
    assert "Cobbles, " in " ".join(promises(Names(plan)).not_kept)


def test_work_that_does_not_fit_is_no_promise() -> None:
    """It stands on the other side."""
    plan = stored_plan(DEPOT)
    assert "The work between the passes is done in time" in kept(plan)
    assert plan.day is not None
    assert plan.day.work is not None
    late = [
        gap.model_copy(update={"reason": "too much"}) if gap.after and gap.before else gap
        for gap in plan.day.work.gaps
    ]
    work = plan.day.work.model_copy(update={"gaps": tuple(late)})
    plan = with_day(DEPOT, work=work)
    assert "The work between" not in kept(plan)
    assert "Closed run to Show: the work does not fit." in promises(Names(plan)).not_kept


def test_a_missed_must_comes_first() -> None:
    """And loudly."""
    plan = stored_plan(DANCE)
    demands = tuple(
        demand.model_copy(update={"is_met": False}) if demand.priority == "must" else demand
        for demand in plan.demands
    )
    missed = promises(Names(plan.model_copy(update={"demands": demands}))).not_kept
    assert "MISSED, though it must be there" in missed[0]


def test_cautions_are_those_of_this_plan() -> None:
    """The depot hangs a camera overhead, the school does not."""
    for name, hangs in ((DEPOT, True), (DANCE, False)):
        (box,) = [
            each
            for block in stored_sheets(name, "cover")[0].blocks
            if isinstance(block, Beside)
            for each in block.right
            if isinstance(each, Caution)
        ]
        assert any(line.startswith("Overhead") for line in box.lines) == hangs
        assert len(box.lines) == len(cautions(stored_source(name).names))


def test_the_key_picture_is_the_safety_shot_of_the_master() -> None:
    """With words for those who do not see it."""
    picture = next(
        block.right[0]
        for block in stored_sheets(DANCE, "cover")[0].blocks
        if isinstance(block, Beside)
    )
    assert isinstance(picture, Picture)
    assert picture.caption.startswith("Whole stage WS: camera B")
    assert picture.caption in picture.words


def test_papers_are_listed_as_far_as_the_plan_has_them() -> None:
    """What each is for and who gets it; nothing of a comparison where there is one pass."""
    listed = words_of(stored_sheets(DEPOT, "cover")[1:])
    for paper in PAPERS:
        assert (paper.title in listed) == (paper.id != "cover")
    assert "venue, crew lead" in listed


def test_a_plan_without_a_day_promises_less() -> None:
    """Nothing that nobody has worked out, and no empty heading."""
    plan = small_plan()
    assert plan.day is None
    text = words_of(sheets_of(source_of(plan), "cover"))
    assert "This plan promises" in text
    for word in ("every second", "moments", "Sound of", "copied", "in time", "Load-in"):
        assert word not in text


def test_a_plan_without_cameras_says_so() -> None:
    """And promises nothing."""
    plan = small_plan().model_copy(update={"placements": (), "day": Day()})
    text = words_of(sheets_of(source_of(plan), "cover"))
    assert "No camera stands anywhere." in text
    assert "This plan promises" not in text


@pytest.mark.parametrize(("name", "paper"), [(HARBOUR, "letter"), (DEPOT, "a4")])
def test_promises_are_on_one_page(name: str, paper: str) -> None:
    """The largest bundled plan on the shorter paper."""
    source = Source(stored_plan(name), Setting("letter" if paper == "letter" else "a4"))
    (first, _) = stored_sheets(name, "cover")
    reader = PdfReader(BytesIO(pdf_of(source, [first], "Cover")))
    assert len(reader.pages) == 1
    text = " ".join(reader.pages[0].extract_text().split())
    assert "It does not promise" in text
    assert "Lasers" in text


@pytest.mark.parametrize("name", [DANCE, DEPOT, "nothing"])
def test_the_papers_that_are_listed_are_those_that_are_printed(name: str) -> None:
    """Those without a sheet for this plan are not handed out."""
    plan = stored_plan(DANCE if name == "nothing" else name)
    if name == "nothing":
        plan = plan.model_copy(update={"placements": (), "day": Day()})
    source = source_of(plan)
    _, listed = sheets_of(source, "cover")
    (table,) = [block for block in listed.blocks if isinstance(block, Table)]
    printed = [paper.title for paper in PAPERS if paper.id != "cover" and paper.sheets(source)]
    assert [row[0] for row in table.rows] == printed
