"""The comparison of schedules as text: a table, and sentences that say why one buys more."""

from __future__ import annotations

from typing import Any

from kitplan.paper.forecast import against, as_records, column
from kitplan.paper.layout import blocks, bullets, counted, heading, joined, paragraph, table_text
from kitplan.paper.marks import up_to_step
from kitplan.paper.names import Names
from kitplan.plan.records import Placement
from kitplan.shoot.records import Shoot
from kitplan.whatif.figures import Figures
from kitplan.whatif.outside import gain
from kitplan.whatif.schedules import Outcome, rank

NOTE = (
    "Crew hours: the people on hand while passes run, and the work between them; get-in and "
    "get-out not counted. Kilograms: rigs with power, cards and small things, without cases."
)
MOST_LABELS = 3
"""With more schedules than this the columns of the table have numbers for names."""
CRITERIA = ("must roles", "want roles by weight", "viewpoints in the thinnest song", "viewpoints")


def schedules_text(shoot: Shoot, outcomes: tuple[Outcome, ...]) -> str:
    """Return the comparison on a page."""
    return blocks(
        heading(f"Schedules compared: {shoot.title}"),
        _table(shoot, outcomes),
        bullets([*why(shoot, outcomes), *([NOTE] if any(o.figures for o in outcomes) else [])]),
    )


def schedules_records(shoot: Shoot, outcomes: tuple[Outcome, ...]) -> dict[str, Any]:
    """Return the same as plain data."""
    from dataclasses import asdict

    rows = [
        {
            "passes": each.schedule.ids,
            "label": each.schedule.label,
            "figures": asdict(each.figures) if each.figures else None,
            "forecast": as_records(each.forecast) if each.forecast else None,
            "day": _day_column(each),
            "same_angle_every_s": each.forecast.typical_s if each.forecast else None,
            "uncovered_s": _uncovered_s(each),
            "words": _column(shoot, each),
            "reason": each.reason,
            "findings": [str(finding) for finding in each.findings],
        }
        for each in outcomes
    ]
    return {"title": shoot.title, "schedules": rows, "why": why(shoot, outcomes)}


def schedules_table(shoot: Shoot, outcomes: tuple[Outcome, ...]) -> list[tuple[str, ...]]:
    """Return the rows of the comparison: what is counted, then its figure in each schedule."""
    columns = [_column(shoot, each) for each in outcomes]
    names = list(next((column for column in columns if len(column) > 1), columns[0]))
    return [(name, *(column.get(name, "-") for column in columns)) for name in names]


def _table(shoot: Shoot, outcomes: tuple[Outcome, ...]) -> str:
    rows = schedules_table(shoot, outcomes)
    if len(outcomes) <= MOST_LABELS:
        return table_text(("", *(each.schedule.label for each in outcomes)), rows)
    numbers = {each.id: str(number) for number, each in enumerate(shoot.passes, 1)}
    headers = ["+".join(numbers[pass_id] for pass_id in o.schedule.ids) for o in outcomes]
    legend = ", ".join(f"{numbers[each.id]} {each.label}" for each in shoot.passes)
    return f"{paragraph(f'Passes: {legend}.')}\n\n{table_text(('', *headers), rows)}"


def _column(shoot: Shoot, outcome: Outcome) -> dict[str, str]:
    found = outcome.figures
    if found is None:
        return {"plan": "none"}
    musts = sum(role.priority == "must" for role in shoot.roles)
    wants = sum(role.priority == "want" for role in shoot.roles)
    return {
        "plan": "holds" if not outcome.findings else counted(len(outcome.findings), "finding"),
        "cameras rolling": " + ".join(map(str, found.cameras)),
        "distinct viewpoints": str(found.viewpoints),
        "operated / locked off": f"{found.operated} / {found.locked_off}",
        "in the thinnest song": str(found.thinnest),
        **column(outcome.forecast),
        "subjects x sizes": str(found.pairs),
        "bands of angle of view": str(found.bands),
        "must roles met": f"{found.musts_met} of {musts}",
        "want roles met": f"{found.wants_met} of {wants}",
        **_day_column(outcome),
        "reset, person-minutes": str(up_to_step(found.reset_min)),
        "crew hours": f"{found.crew_hours:.1f}",
        "kilograms": f"{found.kilograms:.0f}",
        "best possible": "proven" if found.is_proven else "not proven",
    }


def _day_column(outcome: Outcome) -> dict[str, str]:
    """Whether every second is covered, and whether the work between passes fits, with the least
    time that is left before doors open.
    """
    day = outcome.plan.day if outcome.plan else None
    if day is None or day.cover is None or day.work is None:
        return {}
    uncovered = _uncovered_s(outcome) or 0
    between = [gap for gap in day.work.gaps if gap.after and gap.before]
    slack = [gap.slack_s for gap in between if gap.slack_s is not None]
    reset = "none"
    if any(gap.reason for gap in between):
        reset = "does NOT fit"
    elif between:
        reset = f"fits, {min(slack) // 60} min left" if slack else "fits"
    return {
        "covered throughout": "yes" if day.cover.is_throughout else f"NO, {uncovered:.0f} s",
        "work between passes": reset,
    }


def _uncovered_s(outcome: Outcome) -> float | None:
    """Seconds of songs without a usable shot; None where nobody has looked."""
    day = outcome.plan.day if outcome.plan else None
    if day is None or day.cover is None:
        return None
    return sum(each.end_s - each.start_s for each in day.cover.uncovered)


# -- why -------------------------------------------------------------------------------------------


def why(shoot: Shoot, outcomes: tuple[Outcome, ...]) -> list[str]:
    """Return sentences that say which schedule buys most and where that comes from."""
    planned = [each for each in outcomes if each.figures is not None]
    lines = [f"No plan of {_name(o)}: {o.reason}." for o in outcomes if o.figures is None]
    if not planned:
        return [*lines, "More --seconds may help."]
    if len(planned) > 1:
        lines.append(_winner(planned))
    alone = next((each for each in planned if each.schedule.ids == (shoot.master.id,)), None)
    longest = planned[-1]
    if alone is not None and longest is not alone:
        lines += _longer_against_master(shoot, longest, alone)
    lines += _unproven(planned)
    return lines


def _winner(planned: list[Outcome]) -> str:
    order = sorted(planned, key=lambda each: rank(_figures(each)), reverse=True)
    best, second = order[0], order[1]
    pairs = zip(CRITERIA, rank(_figures(best)), rank(_figures(second)), strict=True)
    for name, more, less in pairs:
        if more != less:
            points = " points" if name == "viewpoints" else ""
            return (
                f"{_name(best)} buys most: {name} {more:g}{points}, against {less:g} for "
                f"{_name(second)}."
            )
    return f"{_name(best)} and {_name(second)} come to the same; take the shorter."


def _name(outcome: Outcome) -> str:
    number = len(outcome.schedule.passes)
    is_all = outcome.is_all and number > MOST_LABELS - 1
    return f"All {number} passes" if is_all else outcome.schedule.label


def _longer_against_master(shoot: Shoot, longer: Outcome, alone: Outcome) -> list[str]:
    assert longer.plan is not None
    more, less = _figures(longer), _figures(alone)
    name, own = _name(longer), shoot.master.label
    lines = [f"{name}: {_difference(more.viewpoints, less.viewpoints, own)}."]
    names, found = Names(longer.plan), gain(longer.plan, shoot.master)
    if found.closed:
        shut = f"positions that are not open in {own}"
        if shoot.master.has_audience:
            shut = f"positions that close before the audience of {own} comes in"
        lines.append(
            f"{counted(len(found.closed), 'viewpoint')} only from {shut}: "
            f"{_places(names, found.closed)}."
        )
    if found.elsewhere:
        lines.append(
            f"{counted(len(found.elsewhere), 'viewpoint')} from positions that are open in {own} "
            f"too, where the same cameras stand elsewhere then: {_places(names, found.elsewhere)}."
        )
    if found.repeats:
        lines.append(
            f"{counted(len(found.repeats), 'placement')} not counted, being alike to another one "
            f"or too weak: {_cameras(names, found.repeats)}."
        )
    lines.append(_thinnest(more, less, own))
    if longer.forecast is not None and alone.forecast is not None:
        lines += against(longer.plan, longer.forecast, alone.forecast, own)
    lines.append(_cost(more, less, own))
    return lines


def _difference(more: int, less: int, own: str) -> str:
    start = f"{counted(more, 'distinct viewpoint')}"
    if more == less:
        return f"{start}, as many as {own} alone"
    word = "more" if more > less else "fewer"
    return f"{start}, {abs(more - less)} {word} than {own} alone ({less})"


def _thinnest(more: Figures, less: Figures, own: str) -> str:
    if more.thinnest > less.thinnest:
        return (
            f"The thinnest song can be cut between {more.thinnest} viewpoints instead of "
            f"{less.thinnest} with {own} alone."
        )
    if more.thinnest < less.thinnest:
        return (
            f"The thinnest song has {more.thinnest} viewpoints, {own} alone {less.thinnest}: wants "
            f"or other songs came first."
        )
    return (
        f"The thinnest song has {counted(more.thinnest, 'viewpoint')} either way: what is shot "
        f"outside {own} gives it nothing, or inserts only."
    )


def _cost(more: Figures, less: Figures, own: str) -> str:
    """What it costs beyond the master alone; more passes may do with less kit."""
    kilograms = round(more.kilograms) - round(less.kilograms)
    costs = (
        f"It costs {up_to_step(more.reset_min)} person-minutes of reset",
        f"{more.crew_hours - less.crew_hours:.1f} crew hours",
    )
    if kilograms > 0:
        return f"{costs[0]}, {costs[1]} and {kilograms} kg more than {own} alone."
    weight = f"{-kilograms} kg less" if kilograms else "the same weight"
    return f"{costs[0]} and {costs[1]} more than {own} alone, with {weight} of kit."


def _unproven(planned: list[Outcome]) -> list[str]:
    open_ones = [_name(each) for each in planned if not _figures(each).is_proven]
    if not open_ones:
        return ["All of these are proven best in musts, wants and viewpoints."]
    verb = "is" if len(open_ones) == 1 else "are"
    best = max(planned, key=lambda each: rank(_figures(each)))
    more = []
    if best is not planned[-1] and planned[-1].is_all:
        more = [f"{_name(planned[-1])} can do whatever fewer can: given time it comes out as good."]
    return [
        f"{joined(open_ones)} {verb} the best found, not proven best: a small difference may "
        "vanish with more time.",
        *more,
    ]


def _places(names: Names, placements: tuple[Placement, ...]) -> str:
    return joined([f"{names.place(p)} ({names.framing(p.pass_id, p.shot)})" for p in placements])


def _cameras(names: Names, placements: tuple[Placement, ...]) -> str:
    return joined([f"{names.pass_label(p.pass_id)} {p.letter}" for p in placements])


def _figures(outcome: Outcome) -> Figures:
    assert outcome.figures is not None  # only planned ones get here
    return outcome.figures
