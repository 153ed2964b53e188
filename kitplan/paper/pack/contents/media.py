"""The media log: the card of each camera in each pass, its copies to be checked off, its report."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from kitplan.paper.clocks import to_minute, wall
from kitplan.paper.layout import counted
from kitplan.paper.media import (
    NO_COPIES,
    WHEN_FREE,
    disk_lines,
    room_words,
    rule_lines,
    spare_lines,
)
from kitplan.paper.pack.blocks import Block, Caution, Column, Points, Sheet, Table
from kitplan.paper.pack.source import Source
from kitplan.paper.power import user_name
from kitplan.plan.day.media import CardUse, Copy, MediaPlan

LAST = datetime.max
MOST_COLUMNS = 3
"""So many copies have a column each; more stand in one."""
HOW = (
    "Tick a row when the card is out, taped or locked, and lies face down. Label it and its folder "
    "on the disks alike: camera letter, pass, card. by: who has checked that copy. again: when the "
    "card is needed again. notes: faults, knocks, great moments, each with its time."
)


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield the log of all passes."""
    media = source.day.media
    if media is None or not media.uses:
        return
    blocks: list[Block] = [_never(media), Points(tuple(_disks(media)), mark="box")]
    blocks.append(Points(tuple(spare_lines(source.names, media, source.setting))))
    for pass_id in source.plan.pass_ids():
        blocks += _pass(source, media, pass_id)
    _, *figures = rule_lines(media)
    loose = (WHEN_FREE,) if any(copy.needed_by is None for copy in media.copies) else ()
    blocks.append(Points((*loose, *figures)))
    yield Sheet("media", "Media log", tuple(blocks), lines=(source.plan.title,), is_lying=True)


def _never(media: MediaPlan) -> Caution:
    wanted = counted(media.disks, "verified copy", "verified copies")
    rule, *_ = rule_lines(media)
    nothing = () if media.copies else (NO_COPIES,)
    return Caution(f"Never format a card before {wanted}", (*nothing, rule, HOW))


def _disks(media: MediaPlan) -> Iterator[str]:
    """Yield the disks that have to be there, to be ticked."""
    bring, *_ = disk_lines(media)
    yield f"Bring {bring}"
    if not media.fits_disk:
        yield f"TOO SMALL: the disks that are brought hold {media.disk_gb:g} GB each. Find larger."


def _pass(source: Source, media: MediaPlan, pass_id: str) -> Iterator[Block]:
    names = source.names
    uses = [use for use in media.uses if use.pass_id == pass_id]
    if not uses:
        return
    yield _cards(source, media, uses, f"{names.pass_label(pass_id)}: {source.hours(pass_id)}")


def _cards(source: Source, media: MediaPlan, uses: Sequence[CardUse], title: str) -> Table:
    """Return the cards of a pass in the order in which they are copied, with their copies."""
    copies = {use: _copies_of(media, use) for use in uses}
    numbers = range(1, media.disks + 1) if media.copies else range(0)
    is_wide = len(numbers) > MOST_COLUMNS
    columns = [
        Column("in", 1.0, is_strong=True),
        Column("card", 1.0, is_strong=True),
        Column("min", 0.0, "right"),
        Column("spare", 0.0, "right"),
        Column("GB", 0.0, "right"),
        Column("clips", 0.5),
    ]
    for number in () if is_wide else numbers:
        columns += [Column(f"disk {number}", 1.4), Column("by", 0.5)]
    if is_wide:
        columns += [Column("copies", 2.4), Column("by", 1.0)]
    columns += [Column("again", 0.0), Column("notes", 2.0)]
    ordered = sorted(uses, key=lambda use: min((wall(c.start) for c in copies[use]), default=LAST))
    rows = []
    for use in ordered:
        cells = [_copy_words(source, media, use, copies[use], number) for number in numbers]
        signed = ["; ".join(cells), ""] if is_wide else [x for cell in cells for x in (cell, "")]
        rows.append(
            (*_card(source, use), "", *signed, _needed(source, copies[use]), _first(media, use))
        )
    total = sum(use.gb for use in uses)
    foot = f"{counted(len(uses), 'card')}, {total:.0f} GB"
    return Table(tuple(columns), tuple(rows), title, has_boxes=True, foot=foot)


def _first(media: MediaPlan, use: CardUse) -> str:
    """Return what has to be done with a card before the pass."""
    for one in media.formats:
        if (one.card, one.before, one.letter) == (use.card, use.pass_id, use.letter):
            late = "; THEY ARE NOT DONE IN TIME" if one.is_late else ""
            return f"format first, its copies checked{late}"
    return ""


def _card(source: Source, use: CardUse) -> tuple[str, ...]:
    who = user_name(source.names, use.pass_id, use.letter)
    return (who, use.card, f"{use.minutes:.0f}", room_words(use), f"{use.gb:.1f}")


def _copies_of(media: MediaPlan, use: CardUse) -> tuple[Copy, ...]:
    return tuple(c for c in media.copies if c.card == use.card and use.pass_id in c.passes)


def _copy_words(
    source: Source, media: MediaPlan, use: CardUse, copies: Sequence[Copy], number: int
) -> str:
    """Return when a copy is made; of a card that stays in for a further pass, with which."""
    copy = next((each for each in copies if each.number == number), None)
    if copy is None:
        return "none"
    if copy.passes[-1] != use.pass_id:
        return f"with {source.names.pass_label(copy.passes[-1])}"
    time = source.setting.time
    is_later = copy.start.date() != source.plan.pass_of(use.pass_id)[1].start.date()
    begin = source.clock(copy.start) if is_later else time(to_minute(copy.start))
    laptops = {each.laptop for each in media.copies}
    where = f", {copy.laptop}" if len(laptops) > 1 else ""
    return f"{begin} to {time(to_minute(copy.end))}{where}"


def _needed(source: Source, copies: Sequence[Copy]) -> str:
    times = [copy.needed_by for copy in copies if copy.needed_by is not None]
    return source.clock(min(times, key=wall)) if times else ""
