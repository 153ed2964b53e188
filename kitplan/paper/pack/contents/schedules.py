"""One pass or several: what each schedule buys and costs, as a chart, a table and sentences.

From the answer of `kitplan compare`; without it, what each pass of this very plan brings.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kitplan.paper.drawings.bars import Measure, Side, bar_chart
from kitplan.paper.layout import counted, joined
from kitplan.paper.marks import up_to_step
from kitplan.paper.names import Names
from kitplan.paper.pack.answers import Amounts, ScheduleAnswer, SchedulesAnswer
from kitplan.paper.pack.blocks import Block, Column, Picture, Points, Sheet, Table, Words
from kitplan.paper.pack.contents.asking import how_to_get
from kitplan.paper.pack.source import Source
from kitplan.paper.worth import promise
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Person
from kitplan.whatif.outside import gain

TITLE = "One pass or several"
CHART_MM = 182.0
"""As wide as the text of an upright page."""
MOST_COLUMNS = 4
"""Schedules in one table; more come as a second one."""


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield the comparison; nothing where there is one pass."""
    if len(source.plan.pass_ids()) < 2:
        return
    answer = source.schedules
    if answer is not None:
        blocks = tuple(_compared(answer))
        lines = ("Every schedule planned anew for itself, with the same kit and crew.",)
    else:
        blocks = tuple(_of_this_plan(source))
        lines = ("What each pass of this plan brings, and what it asks for.",)
    yield Sheet("schedules", TITLE, blocks, lines=lines)


def _chart(title: str, names: Sequence[str], sides: Sequence[Side], solid: int) -> Picture:
    drawing = bar_chart(title, names, sides, solid, CHART_MM)
    words = "; ".join(
        f"{measure.title}: "
        + ", ".join(f"{name} {word}" for name, word in zip(names, measure.words, strict=True))
        for side in sides
        for measure in side.measures
    )
    return Picture(drawing.svg(), drawing.width_mm, drawing.height_mm, f"Chart. {words}")


# -- compared --------------------------------------------------------------------------------------


def _compared(answer: SchedulesAnswer) -> Iterator[Block]:
    planned = [each for each in answer.schedules if each.figures is not None]
    yield Points(tuple(answer.why))
    if len(planned) > 1:
        longest = max(range(len(planned)), key=lambda number: len(planned[number].passes))
        names = [each.label for each in planned]
        yield _chart(TITLE, names, _sides(planned), longest)
    for start in range(0, len(answer.schedules), MOST_COLUMNS):
        title = "Figures of the further schedules" if start else "Figures"
        yield _table(answer.schedules[start : start + MOST_COLUMNS], title)


def _sides(planned: Sequence[ScheduleAnswer]) -> tuple[Side, Side]:
    amounts = [each.figures for each in planned if each.figures is not None]
    comes_round = tuple(each.same_angle_every_s for each in planned)
    uncovered = tuple(each.uncovered_s for each in planned)
    buys = [
        _measure("distinct viewpoints", [each.viewpoints for each in amounts]),
        _measure("viewpoints in the thinnest song", [each.thinnest for each in amounts]),
        _measure("roles met", [each.musts_met + each.wants_met for each in amounts]),
        Measure(
            "seconds until the same angle is back",
            comes_round,
            tuple("never twice" if s is None else f"{s:.0f} s" for s in comes_round),
        ),
    ]
    costs = [
        _measure("crew hours", [each.crew_hours for each in amounts], "{:.1f}"),
        _measure("person-minutes of reset", [_reset(each) for each in amounts]),
        _measure("kilograms of kit", [each.kilograms for each in amounts]),
        Measure(
            "seconds without a usable shot",
            uncovered,
            tuple("not looked at" if s is None else f"{s:.0f} s" for s in uncovered),
        ),
    ]
    return Side("What it buys", tuple(buys)), Side("What it costs", tuple(costs))


def _reset(amounts: Amounts) -> float:
    return up_to_step(amounts.reset_min)


def _measure(title: str, values: Sequence[float], form: str = "{:.0f}") -> Measure:
    return Measure(title, tuple(values), tuple(form.format(value) for value in values))


def _table(schedules: Sequence[ScheduleAnswer], title: str) -> Table:
    names = list(dict.fromkeys(name for each in schedules for name in each.words))
    rows = tuple((name, *(each.words.get(name, "-") for each in schedules)) for name in names)
    columns = (Column("", 1.4), *(Column(each.label, 1.0) for each in schedules))
    return Table(columns, rows, title=title)


# -- this plan alone -------------------------------------------------------------------------------


def _of_this_plan(source: Source) -> Iterator[Block]:
    plan, names = source.plan, source.names
    passes = plan.pass_ids()
    labels = [names.pass_label(pass_id) for pass_id in passes]
    master = [_is_master(plan, pass_id) for pass_id in passes]
    sides = (
        Side(
            "What it brings",
            (
                _measure("distinct viewpoints", [_viewpoints(plan, p) for p in passes]),
                _measure("roles met", [len(_roles(plan, p)) for p in passes]),
                _measure("songs for the edit", [_songs(plan, p, "live", "locks") for p in passes]),
                _measure("songs for inserts only", [_songs(plan, p, "inserts") for p in passes]),
            ),
        ),
        Side(
            "What it asks for",
            (
                _measure("cameras", [len(plan.placements_in(p)) for p in passes]),
                _measure("people on hand", [len(on_hand(plan, p)) for p in passes]),
                _measure("crew hours while it runs", [_hours(plan, p) for p in passes], "{:.1f}"),
                _measure("person-minutes of reset before it", [_before(plan, p) for p in passes]),
            ),
        ),
    )
    yield _chart("What each pass brings", labels, sides, master.index(True))
    yield Table(
        (Column("pass", 1.0, is_strong=True), Column("when", 2.0), Column("in the edit", 3.0)),
        tuple(
            (label, source.hours(p), promise(names, p))
            for label, p in zip(labels, passes, strict=True)
        ),
    )
    yield Points(tuple(_sentences(names)))
    yield Words(
        "Counted from this plan, not planned anew: with fewer passes the cameras would stand "
        "elsewhere."
    )
    what = "what one pass alone would buy and cost"
    yield Words(how_to_get(source, what, "compare SHOOT", "schedules"))


def _is_master(plan: Plan, pass_id: str) -> bool:
    shoot, each = plan.pass_of(pass_id)
    return each.id == shoot.master.id


def _viewpoints(plan: Plan, pass_id: str) -> int:
    return sum(placement.is_counted for placement in plan.placements_in(pass_id))


def _roles(plan: Plan, pass_id: str) -> set[str]:
    return {role for placement in plan.placements_in(pass_id) for role in placement.roles}


def _songs(plan: Plan, pass_id: str, *worths: str) -> int:
    return sum(worth in worths for worth in plan.worth[pass_id].values())


def on_hand(plan: Plan, pass_id: str) -> tuple[Person, ...]:
    """Return the crew who are there for a whole pass."""
    shoot, each = plan.pass_of(pass_id)
    return Brief(shoot, plan.kit).people(each)


def _hours(plan: Plan, pass_id: str) -> float:
    shoot, each = plan.pass_of(pass_id)
    return len(on_hand(plan, pass_id)) * shoot.length_min(each) / 60


def _before(plan: Plan, pass_id: str) -> int:
    return up_to_step(sum(reset.work_min for reset in plan.resets if reset.before == pass_id))


def _sentences(names: Names) -> Iterator[str]:
    """Say where the viewpoints outside the master come from, and which roles only one pass has."""
    plan = names.plan
    for shoot in plan.shoots.values() if len(plan.shoots) == 1 else ():
        found, own = gain(plan, shoot.master), shoot.master.label
        if found.closed:
            shut = f"that are not open in {own}"
            if shoot.master.has_audience:
                shut = f"that close before the audience of {own} comes in"
            places = [
                f"{names.place(p)} ({names.framing(p.pass_id, p.shot)})" for p in found.closed
            ]
            yield f"{counted(len(places), 'viewpoint')} only from places {shut}: {joined(places)}."
        if found.elsewhere:
            number = counted(len(found.elsewhere), "viewpoint")
            yield (
                f"{number} from places that are open in {own} too; the same cameras stand "
                f"elsewhere then."
            )
    for pass_id in plan.pass_ids():
        others = {r for p in plan.pass_ids() if p != pass_id for r in _roles(plan, p)}
        shoot, _ = plan.pass_of(pass_id)
        roles = Brief(shoot, plan.kit).roles
        alone = [r.label for r in roles if r.id in _roles(plan, pass_id) - others]
        if alone:
            yield f"Only in {names.pass_label(pass_id)}: {joined(alone)}."
