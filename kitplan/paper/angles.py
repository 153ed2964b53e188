"""How far the angles of a plan are apart, and which cut together: tables, and the same as data."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from kitplan.paper.apart import (
    angle_record,
    cut_words,
    down,
    factor_words,
    key_record,
    pair_record,
    up,
    viewpoint_words,
)
from kitplan.paper.forecast import forecast_records, forecast_text
from kitplan.paper.layout import blocks, bullets, counted, heading, joined, paragraph, table_text
from kitplan.paper.names import Names
from kitplan.plan.records import Placement, Plan
from kitplan.shoot.rules import Rules
from kitplan.whatif.pairs import Angle, Pair, angles, pairs

HEADERS = ("cameras", "apart", "stage", "subject", "size", "viewpoints", "in the cut")
COLUMNS = (
    "Closest pairs first. Degrees between where they look (apart), and between the two cameras as "
    "seen from the middle of the stage (what a count on the floor plan says) and from the subject "
    "that both show (least to most where it roams)."
)
MOST_ROWS = 6
"""Pairs in a table unless all are asked for."""


@dataclass(frozen=True)
class Selection:
    """Which pairs are asked for."""

    pass_name: str | None = None
    subject: str | None = None
    is_all: bool = False
    """Every pair, not only the closest ones of counted viewpoints."""

    @property
    def is_every_pair(self) -> bool:
        """Whether to show every pair: there are few of one subject."""
        return self.is_all or self.subject is not None

    @property
    def is_whole(self) -> bool:
        """Whether nothing is left out by name."""
        return self.pass_name is None and self.subject is None


@dataclass(frozen=True)
class _Found:
    """The angles and pairs of one shoot, as far as they are asked for."""

    shoot_id: str
    angles: tuple[Angle, ...]
    pairs: tuple[Pair, ...]
    unseen: tuple[Placement, ...]
    """Placements without an angle."""


def angles_text(plan: Plan, selection: Selection) -> str:
    """Return the pairs of angles on a page, the closest first, and the cut forecast.

    Raises:
        SettingError: If there is no such pass or subject.
    """
    names = Names(plan)
    parts = [heading(f"Angles: {plan.title}")]
    for found in _found(names, selection):
        parts += _shoot_parts(names, found, selection)
    if selection.is_whole:
        parts.append(forecast_text(names))
    return blocks(*parts)


def angles_records(plan: Plan, selection: Selection) -> dict[str, Any]:
    """Return every angle and pair that is asked for, and the cut forecast, as plain data.

    Raises:
        SettingError: If there is no such pass or subject.
    """
    names = Names(plan)
    rows = [
        {
            "shoot": found.shoot_id,
            "angles": [angle_record(angle) for angle in found.angles],
            "without_a_view": [key_record(placement) for placement in found.unseen],
            "pairs": [pair_record(pair) for pair in found.pairs],
            "forecast": forecast_records(plan, found.shoot_id),
        }
        for found in _found(names, selection)
    ]
    return {"title": plan.title, "shoots": rows}


# -- choosing --------------------------------------------------------------------------------------


def _found(names: Names, selection: Selection) -> list[_Found]:
    plan = names.plan
    pass_ids = set(names.pass_ids(selection.pass_name))
    subjects = _subject_ids(plan, selection.subject)
    found = []
    for shoot_id, shoot in plan.shoots.items():
        own = [p for p in plan.placements if _shoot_of(p.pass_id) == shoot_id]
        if not any(_shoot_of(pass_id) == shoot_id for pass_id in pass_ids):
            continue
        known = angles(plan, shoot_id)
        wanted = [
            pair
            for pair in pairs(shoot, known)
            if any(angle.placement.pass_id in pass_ids for angle in pair.angles)
            and (subjects is None or (pair.cut and (shoot_id, pair.cut.subject.id) in subjects))
        ]
        unseen = [p for p in own if all(p is not angle.placement for angle in known)]
        found.append(_Found(shoot_id, known, tuple(wanted), tuple(unseen)))
    return found


def _shoot_of(pass_id: str) -> str:
    return pass_id.partition("/")[0]


def _subject_ids(plan: Plan, name: str | None) -> set[tuple[str, str]] | None:
    """Return the subjects of a name, by shoot id and own id; None where all are meant.

    Raises:
        SettingError: If there is none.
    """
    from kitplan.errors import SettingError
    from kitplan.wording import hint

    if name is None:
        return None
    known = [
        (shoot_id, subject) for shoot_id, shoot in plan.shoots.items() for subject in shoot.subjects
    ]
    found = {
        (shoot_id, subject.id)
        for shoot_id, subject in known
        if name.casefold() in (subject.id.casefold(), subject.label.casefold())
    }
    if not found:
        words = {word for _, subject in known for word in (subject.id, subject.label)}
        raise SettingError(
            f"there is no subject {name!r}", where="--subject", fix=hint(name, words)
        )
    return found


# -- tables ----------------------------------------------------------------------------------------


def _shoot_parts(names: Names, found: _Found, selection: Selection) -> Iterator[str]:
    yield paragraph(_in_short(found, names.plan.shoots[found.shoot_id].rules))
    by_passes: dict[tuple[str, ...], list[Pair]] = {}
    for pair in found.pairs:
        in_passes = {angle.placement.pass_id for angle in pair.angles}
        by_passes.setdefault(tuple(in_passes) if len(in_passes) == 1 else (), []).append(pair)
    if found.pairs:
        yield paragraph(COLUMNS)
    elif selection.subject:
        yield paragraph(f"No two placements show {selection.subject}.")
    for pass_id in names.pass_ids(selection.pass_name):
        if _shoot_of(pass_id) == found.shoot_id:
            yield _block(names, pass_id, by_passes.get((pass_id,), []), selection)
    yield _block(names, None, by_passes.get((), []), selection)
    if not selection.is_every_pair:
        yield _not_counted(names, found)
    yield _without_view(names, found)


def _in_short(found: _Found, rules: Rules) -> str:
    number = sum(angle.placement.is_counted for angle in found.angles)
    return (
        f"{counted(number, 'distinct viewpoint')} in {counted(len(found.angles), 'placement')}. "
        f"Two are distinct from {rules.angle_deg:g} degrees between where they look, or a factor "
        f"{rules.size_factor:g} between their frame heights in metres. Shots that show the same "
        f"subject cut together from {rules.angle_deg:g} degrees as seen from the subject, least "
        f"over where it roams, or the same factor; clearly from {rules.clear_angle_deg:g} degrees, "
        f"or {rules.clear_angle_with_size_deg:g} with a factor {rules.clear_size_factor:g}."
    )


def _block(names: Names, pass_id: str | None, found: list[Pair], selection: Selection) -> str:
    """Return the pairs of a pass, or those from one pass to another where none is given."""
    is_within = pass_id is not None
    title = heading(names.pass_label(pass_id) if pass_id else "From pass to pass", "-")
    shown = found
    if not selection.is_every_pair:
        shown = [p for p in found if all(angle.placement.is_counted for angle in p.angles)]
    rows = shown if selection.is_every_pair else shown[:MOST_ROWS]
    if not rows:
        is_silent = selection.subject is not None or not is_within
        return "" if is_silent else f"{title}\nFewer than two viewpoints are counted here."
    notes = _reverse_note(names, rows, is_within=is_within)
    if len(rows) < len(shown):
        more = counted(len(shown) - len(rows), "more pair")
        notes.append(f"{more}, further apart: see them with --all.")
    body = table_text(HEADERS, [_row(names, p, is_within) for p in rows], is_spaced=True)
    return "\n".join([title, body, *(["", bullets(notes)] if notes else [])])


def _row(names: Names, pair: Pair, is_within: bool) -> tuple[str, ...]:
    cut = pair.cut
    seen = "-"
    if cut is not None:
        least, most = down(cut.seen.least_deg), up(cut.seen.most_deg)
        seen = f"{least} to {most}" if cut.seen.least_deg < cut.seen.most_deg else f"{least}"
    return (
        "\n".join(_camera(names, angle, is_within) for angle in pair.angles),
        f"{down(pair.apart_deg)}",
        f"{down(pair.at_stage_deg)}",
        seen,
        f"x {factor_words(pair.factor)}\n"
        f"{counted(pair.steps, 'step') if pair.steps else 'no step'}",
        viewpoint_words(pair),
        "-" if cut is None else cut_words(cut),
    )


def _camera(names: Names, angle: Angle, is_within: bool) -> str:
    placement = angle.placement
    of_pass = "" if is_within else f"{names.pass_label(placement.pass_id)} "
    marks = [
        word
        for word, holds_here in (
            ("upstage reverse", angle.is_reverse),
            ("not counted", not placement.is_counted),
        )
        if holds_here
    ]
    words = f" ({', '.join(marks)})" if marks else ""
    return f"{of_pass}{placement.letter} {names.framing(placement.pass_id, placement.shot)}{words}"


def _reverse_note(names: Names, rows: Iterable[Pair], *, is_within: bool) -> list[str]:
    """Say how an upstage reverse is joined, where a table shows one."""
    reverses = {
        (a.placement.pass_id, a.placement.letter): a.placement
        for pair in rows
        for a in pair.angles
        if a.is_reverse
    }
    if not reverses:
        return []
    cameras = [
        p.letter if is_within else f"{names.pass_label(p.pass_id)} {p.letter}"
        for p in reverses.values()
    ]
    subject = "it looks" if len(cameras) == 1 else "they look"
    thing = "it" if len(cameras) == 1 else "them"
    return [
        f"Upstage reverse: {joined(cameras)}. Against the safety shot {subject} from the other "
        f"side, where left and right change places: join {thing} through a neutral or moving shot."
    ]


def _not_counted(names: Names, found: _Found) -> str:
    """Return for each placement that is no viewpoint of its own the nearest counted one."""
    rows = []
    for angle in found.angles:
        if angle.placement.is_counted:
            continue
        beside = [
            pair
            for pair in found.pairs
            if angle in pair.angles and any(a.placement.is_counted for a in pair.angles)
        ]
        if beside:
            rows.append(_row(names, min(beside, key=lambda p: p.margin.closeness), False))
    if not rows:
        return ""
    body = table_text(HEADERS, rows, is_spaced=True)
    note = paragraph("Each beside the counted viewpoint that is nearest; a weak picture is none.")
    return f"{heading('Not counted', '-')}\n{note}\n\n{body}"


def _without_view(names: Names, found: _Found) -> str:
    return bullets(
        f"{names.pass_label(p.pass_id)}, camera {p.letter}: {names.framing(p.pass_id, p.shot)} "
        f"cannot be framed from {names.place(p)}, so it is left out here."
        for p in found.unseen
    )
