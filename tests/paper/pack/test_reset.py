"""Reset sheets: every job once by clock and once for each of its people; gates and cautions."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest

from kitplan.paper.clocks import to_minute
from kitplan.paper.pack.blocks import Caution, Facts, Picture, Sheet
from kitplan.paper.pack.contents.reset import CRITICAL, job_words, sheets
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.plan.day.work import GapWork
from tests.paper.pack.made import words_of
from tests.paper.pack.test_restarts import SHOOTS, flat, tables
from tests.stored import stored_plan


def made(name: str) -> list[tuple[GapWork, Sheet, Source]]:
    """Return the gaps of a stored plan with their sheets."""
    source = Source(stored_plan(name), Setting())
    assert source.day.work is not None
    gaps = [gap for gap in source.day.work.gaps if gap.jobs or gap.reason]
    return [(g, s, source) for g, s in zip(gaps, sheets(source), strict=True)]


@pytest.mark.parametrize("name", SHOOTS)
def test_every_job_is_there_by_clock_and_by_person(name: str) -> None:
    """By clock in the plan's order; on the list of each of its people and on no other."""
    for gap, sheet, source in made(name):
        by_clock, *lists = tables(sheet)
        assert [(row[0], row[3]) for row in by_clock.rows] == [
            (
                f"{to_minute(gap.begin + timedelta(seconds=job.start_s)):%H:%M}",
                job_words(source.names, gap, job),
            )
            for job in gap.jobs
        ]
        assert sum(row[-1] == CRITICAL for row in by_clock.rows) == len(gap.critical)
        people = {who for job in gap.jobs for who in job.people}
        assert [table.title.partition(":")[0] for table in lists] == sorted(
            map(source.names.person, people)
        )
        for table in lists:
            mine = [
                job
                for job in gap.jobs
                if table.title.partition(":")[0] in map(source.names.person, job.people)
            ]
            assert len(table.rows) == len(mine)


def test_the_gate_and_what_is_to_spare_are_those_of_the_plan() -> None:
    """The depot: doors 18:30; the minutes to spare in steps of five, rounded down."""
    gap, sheet, _ = made("depot-brass")[1]
    facts = dict(next(block for block in sheet.blocks if isinstance(block, Facts)).rows)
    assert facts["Hard gate"] == "DOORS 18:30"
    assert gap.slack_s is not None
    spare = gap.slack_s // 60 // 5 * 5
    assert f"{spare} min to spare" in facts["Last hand free"]
    assert all(t.foot == "Hard gate: doors 18:30" for t in tables(sheet)[1:])


def test_things_are_told_from_where_to_where() -> None:
    """Fetched from the cases that they travel in, carried from where they stood before."""
    gap, _, source = made("depot-brass")[1]
    cases = source.names.case
    for job in gap.jobs:
        words = job_words(source.names, gap, job)
        if job.id.startswith("fetch/"):
            assert all(cases(unit) in words for unit in job.units)
        if job.id.startswith("carry/"):
            assert gap.after is not None
            before = source.plan.placements_in(gap.after)
            stood = {source.names.place(p) for p in before if set(p.units) & set(job.units)}
            assert all(f"from {place}" in words for place in stood)


def test_heavy_cases_are_named_where_they_are_carried() -> None:
    """The jib's bag takes two people: said at load-in and get-out, not in between."""
    said = [
        any(
            "jib-bag-1" in line
            for b in flat(s.blocks)
            if isinstance(b, Caution)
            for line in b.lines
        )
        for _, s, _ in made("depot-brass")
    ]
    assert said == [True, False, True]


def test_work_that_does_not_fit_says_why() -> None:
    """The harbour's load-in ends after the downbeat: a line for each move of the reason."""
    gap, sheet, _ = made("harbour-festival")[0]
    assert gap.reason
    caution = next(b for b in sheet.blocks if isinstance(b, Caution))
    assert (caution.title, "; ".join(caution.lines)) == ("It does not fit", gap.reason)
    assert all("building camera" in line for line in caution.lines)


@pytest.mark.parametrize("name", SHOOTS)
def test_no_time_of_day_is_in_24_hours_where_12_are_asked_for(name: str) -> None:
    """Gates, breaks and reasons too."""
    source = Source(stored_plan(name), Setting("letter", "ft", "12"))
    words = words_of(tuple(sheets(source)))
    assert re.findall(r"\b1?\d:\d\d [ap]m", words)
    assert not re.findall(r"\b(?:0\d|1[3-9]|2[0-3]):\d\d", words)


def test_the_chart_has_a_lane_for_each_person() -> None:
    """Names of all who work, and the gate."""
    for gap, sheet, source in made("depot-brass"):
        chart = next(block for block in sheet.blocks if isinstance(block, Picture))
        for who in {who for job in gap.jobs for who in job.people}:
            assert f">{source.names.person(who)}<" in chart.svg
        if gap.gate is not None:
            assert f"{gap.gate:%H:%M}</text>" in chart.svg


def test_nothing_is_printed_of_work_that_was_left_out() -> None:
    """Without its work a plan has no reset sheet."""
    plan = stored_plan("school-dance")
    assert list(sheets(Source(plan.model_copy(update={"day": None}), Setting()))) == []
