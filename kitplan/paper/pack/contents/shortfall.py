"""Shortfall list: what is missing or thin, the cheapest help for each, what to measure first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from kitplan.gear.records import Body
from kitplan.paper.lacks import (
    Lack,
    MomentLack,
    kit_lacks,
    moments_held_once,
    moments_not_held,
    shortages,
    thin_songs,
)
from kitplan.paper.layout import joined
from kitplan.paper.names import Names
from kitplan.paper.pack.answers import GainsAnswer, WorthAnswer
from kitplan.paper.pack.blocks import Block, Column, Heading, Points, Sheet, Table, Words
from kitplan.paper.pack.contents.asking import how_to_get
from kitplan.paper.pack.source import Source
from kitplan.paper.shots import clock
from kitplan.paper.unmet import Unmet, unmet
from kitplan.tables import table

LACKS = (Column("what", 2.2, is_strong=True), Column("why", 2.6), Column("what helps", 2.2))
MOST_SINGLES, MOST_PAIRS = 8, 4
"""Of what would help most: enough to ask friends for."""
MOST_NAMED = 3
PRIORITIES = {"must": "MUST", "want": "want", "nice": "nice"}


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield the list; nothing where there is nothing to say."""
    lacks = tuple(_lacks(source.names))
    helps = tuple(_helps(source))
    measure = tuple(_measure(source.names))
    if not (lacks or helps or measure):
        return
    if not lacks:
        lacks = (Words("Nothing is missing: all that was asked for is met.", is_strong=True),)
    lines = ("What is missing or thin, and the cheapest help that is known for it.",)
    yield Sheet("shortfall", "Shortfall list", (*lacks, *helps, *measure), lines=lines)


def _lacks(names: Names) -> Iterator[Block]:
    yield from _table("Missing", kit_lacks(names), has_boxes=True)
    yield from _table("Does not last, or does not fit", shortages(names))
    yield from _asked(names)
    yield from _moments(names)
    thin = tuple(f"{words[:1].upper()}{words[1:]}." for words in thin_songs(names))
    if thin:
        yield Heading("Thin songs")
        yield Points(thin)


def _table(title: str, lacks: Iterable[Lack], *, has_boxes: bool = False) -> Iterator[Block]:
    rows = tuple((each.what, each.why, each.help) for each in lacks)
    if rows:
        yield Heading(title)
        yield Table(LACKS, rows, has_boxes=has_boxes)


# -- roles and moments -----------------------------------------------------------------------------


def _asked(names: Names) -> Iterator[Block]:
    rows = tuple(map(_unmet_row, unmet(names)))
    if not rows:
        return
    yield Heading("Asked for, not met")
    columns = (
        Column("", 0.0, is_strong=True),
        Column("what", 2.2),
        Column("why", 2.6),
        Column("nearest to it", 2.2),
    )
    yield Table(columns, rows)
    if names.plan.clash:
        yield Words("These cannot all hold; give up or loosen any one of them:")
        yield Points(names.plan.clash)
        if names.plan.clash_reason:
            yield Words(f"Why: {names.plan.clash_reason}.")


def _unmet_row(each: Unmet) -> tuple[str, str, str, str]:
    if each.instead:
        nearest = f"{joined(each.instead)} can frame it between other shots"
    elif each.demand.kind == "role":
        nearest = f"what it would take: kitplan why PLAN {each.demand.id}"
    else:
        nearest = ""
    return PRIORITIES[each.demand.priority], each.demand.words, each.reason, nearest


def _moments(names: Names) -> Iterator[Block]:
    nobody = moments_not_held(names)
    if nobody:
        yield Heading("Moments that nobody holds")
        yield _moment_table(names, nobody)
    once = [each for each in moments_held_once(names) if each.moment.priority != "nice"]
    if once:
        yield Heading("Moments with one camera and no second")
        yield _moment_table(names, once)


def _moment_table(names: Names, found: Sequence[MomentLack]) -> Table:
    has_camera = any(each.row.first for each in found)
    columns = [
        Column("", 0.0, is_strong=True),
        Column("moment", 2.0),
        Column("song", 1.6),
        Column("at", 0.0, align="right"),
        Column("asks for", 1.8),
        *([Column("held by", 1.4)] if has_camera else []),
    ]
    rows = []
    for each in found:
        subject = names.plan.shoots[each.row.shoot].subjects_by_id[each.moment.subject].label
        row = [
            PRIORITIES[each.moment.priority],
            each.moment.name,
            each.song.label,
            clock(each.moment.at_s),
            f"{subject}, {each.moment.size} or tighter",
        ]
        if each.row.first:
            row.append(f"camera {each.row.first[1]}, {names.pass_label(each.row.first[0])}")
        rows.append(tuple(row))
    return Table(tuple(columns), tuple(rows))


# -- what would help -------------------------------------------------------------------------------


def _helps(source: Source) -> Iterator[Block]:
    yield Heading("What would help most")
    answer = source.gains
    tried = answer is not None and (answer.gains or answer.pairs)
    if answer is not None and tried:
        yield from _gains(answer)
    else:
        yield Words(how_to_get(source, "what one more thing would add", HOW, "gains"))


HOW = "gains SHOOT --one-more"


def _gains(answer: GainsAnswer) -> Iterator[Block]:
    singles = [each for each in answer.gains if each.says]
    pairs = [each for each in answer.pairs if each.says]
    helps = [*singles[:MOST_SINGLES], *pairs[:MOST_PAIRS]]
    if not helps:
        yield Words("None of the single things that were tried would add anything.")
    else:
        yield _gains_table(helps, len(singles) + len(pairs) - len(helps))
    if answer.hired:
        yield Words(f"Not tried, since they would have to be hired: {joined(answer.hired)}.")
    if helps:
        doubt = "" if all(each.is_proven for each in helps) else " Found, not all of it proven."
        yield Words(
            "Each by itself, planned anew. Batteries, cards, plates and people are as they are: "
            f"ask for those that go with it.{doubt}"
        )


def _gains_table(helps: Sequence[WorthAnswer], more: int) -> Table:
    has_prices = any(each.price is not None for each in helps)
    columns = (
        Column("borrow", 2.2, is_strong=True),
        Column("what comes with it", 3.6),
        *((Column("price", 0.0, align="right"),) if has_prices else ()),
        Column("asked, from whom", 1.6),
    )
    rows = [
        (
            each.label,
            each.says,
            *(("" if each.price is None else f"{each.price:g}",) if has_prices else ()),
            "",
        )
        for each in helps
    ]
    foot = f"{more} more would help less" if more > 0 else ""
    return Table(columns, tuple(rows), has_boxes=True, foot=foot)


# -- facts to measure ------------------------------------------------------------------------------


def _measure(names: Names) -> Iterator[Block]:
    how = table("uncertainty")
    rows = [
        (what, ", ".join(assumed), str(how[kind]["how"]), "")
        for kind, what, assumed in _assumed(names)
        if assumed
    ]
    if not rows:
        return
    yield Heading("Measure first")
    yield Words(
        "The plan stands on these guesses. Measure, write it down, put it into kit or shoot file "
        "under measured. Which of them would change the plan, kitplan measure-first says."
    )
    columns = (
        Column("fact", 1.6, is_strong=True),
        Column("assumed", 2.6),
        Column("how", 1.8),
        Column("measured", 1.0),
    )
    yield Table(columns, tuple(rows), has_boxes=True)


def _assumed(names: Names) -> Iterator[tuple[str, str, list[str]]]:
    """Yield kinds of facts that the plan uses and nobody has measured, with what was assumed."""
    plan = names.plan
    bodies = {p.rig.body: names.item_of(p.rig.body) for p in plan.placements}
    items = {item.id: item for item in bodies.values() if isinstance(item, Body)}
    yield (
        "battery",
        "Minutes from one battery",
        _few(
            f"{item.name} {item.battery_min:g}"
            for item in items.values()
            if item.battery_min and not item.is_measured("battery_min")
        ),
    )
    yield "light", "Light in the dimmest cue", _few(_lights(names))
    places = {names.position(p).label: names.position(p) for p in plan.placements}
    yield (
        "distance",
        "Distance from the stage",
        _few(label for label, place in places.items() if not place.is_measured("at_m")),
    )


def _lights(names: Names) -> Iterator[str]:
    for shoot in names.plan.shoots.values():
        for row in shoot.light:
            if row.is_measured("dim_lux"):
                continue
            who = [shoot.subjects_by_id[each].label for each in row.subjects or ()]
            where = [shoot.passes_by_id[each].label for each in row.passes or ()]
            words = f"{joined(who[:3]) or 'everybody'}"
            if len(who) > 3:
                words = f"{len(who)} subjects"
            yield f"{words}{f' in {joined(where)}' if where else ''} {row.dim_lux:g} lux"


def _few(words: Iterable[str]) -> list[str]:
    """Return words, the last of many counted."""
    found = list(words)
    if len(found) <= MOST_NAMED:
        return found
    return [*found[:MOST_NAMED], f"and {len(found) - MOST_NAMED} more"]
