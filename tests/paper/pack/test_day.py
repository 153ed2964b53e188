"""The day sheet: gates as they are set, everybody once, songs on the clock, one page."""

from __future__ import annotations

from datetime import timedelta
from io import BytesIO

import pytest
from pypdf import PdfReader

from kitplan.paper.pack.blocks import Fields, Sheet, Table
from kitplan.paper.pack.contents.day import sheets
from kitplan.paper.pack.out.pdf import pdf_of
from kitplan.paper.pack.setting import PaperSize, Setting
from kitplan.paper.pack.source import Source
from kitplan.paper.timed import clocks
from kitplan.plan.records import Plan
from tests.paper.pack.test_restarts import SHOOTS, flat, tables
from tests.stored import stored_plan


def made(name: str) -> tuple[Source, list[Sheet]]:
    """Return the day sheets of a stored plan."""
    source = Source(stored_plan(name), Setting())
    return source, list(sheets(source))


def titled(sheet: Sheet, title: str) -> list[Table]:
    """Return the tables of a title."""
    return [table for table in tables(sheet) if table.title == title]


@pytest.mark.parametrize("name", SHOOTS)
def test_gates_stand_out_at_the_times_that_are_set(name: str) -> None:
    """Doors and downbeat of every pass, on the sheet of its day, in bold rows."""
    source, found = made(name)
    gates = {
        (row[0], row[2].partition(":")[0])
        for sheet in found[:-1]
        for number, row in enumerate(tables(sheet)[0].rows)
        if number in tables(sheet)[0].strong_rows
    }
    for pass_id in source.plan.pass_ids():
        _, each = source.plan.pass_of(pass_id)
        assert (f"{each.start:%H:%M}", "GATE  DOWNBEAT") in gates
        if each.doors is not None:
            assert (f"{each.doors:%H:%M}", "GATE  DOORS") in gates
    shoot = next(iter(source.plan.shoots.values()))
    assert len(found) == len({each.start.date() for each in shoot.passes}) + 1


@pytest.mark.parametrize("name", SHOOTS)
def test_the_run_is_in_order_and_ends_with_the_plans_work(name: str) -> None:
    """The last hand of each gap is free at the plan's time, rounded up to five minutes."""
    source, found = made(name)
    assert source.day.work is not None
    free = [r[0] for s in found[:-1] for r in tables(s)[0].rows if r[2].startswith("Last hand")]
    ends = []
    for gap in (g for g in source.day.work.gaps if g.jobs):
        end = gap.begin + timedelta(seconds=gap.end_s)
        late = timedelta(minutes=-end.minute % 5 if not end.second else 5 - end.minute % 5)
        ends.append(f"{end.replace(second=0, microsecond=0) + late:%H:%M}")
    assert free == ends


def test_everybody_is_on_the_list_with_their_camera() -> None:
    """Each of the crew once; operators with their letter; every locked-off camera minded once."""
    source, found = made("depot-brass")
    (crew,) = titled(found[0], "Who is on what")
    shoot = source.plan.shoots["depot-brass"]
    assert [row[0] for row in crew.rows] == [person.label for person in shoot.crew]
    assert {row[-1] for row in crew.rows} == {""}  # the phone is filled in
    for column, pass_id in enumerate(source.plan.pass_ids(), start=1):
        for placement in source.plan.placements_in(pass_id):
            does = {row[0]: row[column] for row in crew.rows}
            if placement.operator is not None:
                words = does[source.names.person(placement.operator)]
                assert f"{placement.letter}: {source.names.place(placement)}" in words


def test_songs_stand_on_the_clock_of_each_pass() -> None:
    """Where a song begins by the clock of the pass; what a pass does not run says so."""
    source, found = made("depot-brass")
    (songs,) = titled(found[0], "Songs")
    for column, clock in zip((4, 6), clocks(source.plan, source.plan.pass_ids()), strict=True):
        begins = {row.song.label: row.begin for row in clock.songs}
        for row in songs.rows:
            if row[1] not in begins:
                assert row[column] == "not run"
                continue
            at = clock.each.start + timedelta(seconds=begins[row[1]])
            assert row[column].startswith(f"{at:%H:%M}")


def test_touches_stand_behind_their_songs() -> None:
    """Counted over all songs and passes, they are those of the roll plan between first and last."""
    source, found = made("depot-brass")
    (songs,) = titled(found[0], "Songs")
    rolls = source.day.rolls
    assert rolls is not None
    done = [touch for touch in rolls.touches if not {"roll", "stop"} & {*touch.does}]
    letters = [x for row in songs.rows for cell in (row[5], row[7]) for x in cell.split(", ") if x]
    assert sorted(letters) == sorted(touch.letter for touch in done)


def test_facts_that_nobody_measured_are_to_be_measured() -> None:
    """Every light and place that was assumed, and none that is named as measured."""
    source, found = made("school-dance")
    shoot = source.plan.shoots["school-dance"]
    (assumed,) = tables(found[-1])
    lights = [row for row in assumed.rows if row[0].startswith("Light")]
    assert len(lights) == sum(not row.is_measured("dim_lux") for row in shoot.light)
    measured = tuple(row.model_copy(update={"measured": ("dim_lux",)}) for row in shoot.light)
    plan = source.plan.model_copy(
        update={"shoots": {"school-dance": shoot.model_copy(update={"light": measured})}}
    )
    *_, venue = sheets(Source(plan, Setting()))
    assert not any(row[0].startswith("Light") for row in tables(venue)[0].rows)


def one_pass(plan: Plan) -> Plan:
    """Return a plan of its first pass alone, without a day."""
    ((shoot_id, shoot),) = plan.shoots.items()
    first = plan.pass_ids()[0]
    return plan.model_copy(
        update={
            "shoots": {shoot_id: shoot.model_copy(update={"passes": shoot.passes[:1]})},
            "placements": tuple(p for p in plan.placements if p.pass_id == first),
            "day": None,
        }
    )


def test_a_plan_of_one_pass_without_a_day_still_has_its_gates() -> None:
    """Nothing is worked out, so nothing is said of rolls, work and copies; the call is open."""
    source = Source(one_pass(stored_plan("school-dance")), Setting())
    day, _ = sheets(source)
    rows = tables(day)[0].rows
    assert rows[0][2].partition(":")[0] == "GATE  DOWNBEAT"
    assert len(rows) == 2  # the downbeat and the end
    assert ("Crew call",) in [b.labels for b in flat(day.blocks) if isinstance(b, Fields)]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_day_of_the_depot_is_one_page(paper: PaperSize) -> None:
    """The day on one page, the venue on another."""
    source = Source(stored_plan("depot-brass"), Setting(paper))
    pages = PdfReader(BytesIO(pdf_of(source, list(sheets(source)), "day"))).pages
    assert len(pages) == 2
    text = pages[0].extract_text()
    assert all(words in text for words in ("DOORS: Show", "Last Tram Home", "First aid"))
