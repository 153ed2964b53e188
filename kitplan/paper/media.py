"""Cards and copies as text: cards of each camera, copies in order, disks to bring, what is left."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from kitplan.paper.clocks import clock_time, percent, wall
from kitplan.paper.layout import blocks, bullets, counted, heading, joined, paragraph, table_text
from kitplan.paper.names import Names, when
from kitplan.paper.pack.setting import Setting
from kitplan.paper.power import user_name
from kitplan.plan.day.media import CardUse, Copy, MediaPlan, SpareCards
from kitplan.plan.records import Plan

_ENDLESS_MIN = 1e5


def media_text(plan: Plan) -> str:
    """Return the media of a plan that has them."""
    names, media = Names(plan), _media(plan)
    return blocks(
        heading(f"Media: {plan.title}"),
        *(_pass_text(names, media, pass_id) for pass_id in plan.pass_ids()),
        _copies_text(names, media),
        heading("To bring", "-"),
        bullets([*disk_lines(media), *spare_lines(names, media)]),
        bullets(rule_lines(media)),
    )


def media_records(plan: Plan) -> dict[str, Any]:
    """Return the same as plain data."""
    media = _media(plan)
    found = media.model_dump()
    for row, use in zip(found["uses"], media.uses, strict=True):
        row["spare_min"] = use.room_min - use.minutes
    for row, spare in zip(found["spares"], media.spares, strict=True):
        row |= {"share": round(spare.share, 4), "is_low": is_low(Names(plan), spare)}
    found["fits_disk"] = media.fits_disk
    return found


def _media(plan: Plan) -> MediaPlan:
    assert plan.day is not None  # whoever asks has made it
    assert plan.day.media is not None
    return plan.day.media


def _pass_text(names: Names, media: MediaPlan, pass_id: str) -> str:
    shoot, each = names.plan.pass_of(pass_id)
    uses = [use for use in media.uses if use.pass_id == pass_id]
    headers = ("who", "card", "thing", "records", "spare", "GB")
    total = sum(use.gb for use in uses)
    return blocks(
        heading(f"{names.pass_label(pass_id)}: {when(shoot, each)}", "-"),
        table_text(headers, [_use_row(names, use) for use in uses]) if uses else "",
        paragraph(f"{counted(len(uses), 'card')}, {total:.0f} GB."),
        bullets(
            f"{one.card} is formatted in {user_name(names, one.before, one.letter)} before this "
            f"pass{' - but its copies are not done in time' if one.is_late else ''}."
            for one in media.formats
            if one.before == pass_id
        ),
    )


def _use_row(names: Names, use: CardUse) -> tuple[str, ...]:
    return (
        user_name(names, use.pass_id, use.letter),
        use.card,
        names.unit(use.card),
        f"{use.minutes:.0f} min",
        room_words(use),
        f"{use.gb:.1f}",
    )


def room_words(use: CardUse) -> str:
    """Return how much longer a card could record: '99 min'."""
    spare = use.room_min - use.minutes
    return "no end" if use.room_min >= _ENDLESS_MIN else f"{spare:.0f} min"


def _copies_text(names: Names, media: MediaPlan) -> str:
    if not media.copies:
        return blocks(heading("Copies", "-"), paragraph(NO_COPIES)) if media.uses else ""
    ordered = sorted(media.copies, key=lambda each: (each.laptop, wall(each.start)))
    rows = [_copy_row(names, copy) for copy in ordered]
    headers = ("laptop", "card", "of", "to disk", "begin", "done", "GB", "needed again")
    loose = any(copy.needed_by is None for copy in ordered)
    return blocks(
        heading("Copies, by laptop", "-"),
        table_text(headers, rows),
        paragraph(WHEN_FREE) if loose else "",
    )


NO_COPIES = "Nothing is copied: there is no laptop. No card may be formatted."
WHEN_FREE = (
    "Copies of cards that are not needed again are in nobody's list of the reset: whoever has a "
    "hand free changes the card; their times are the earliest."
)


def _copy_row(names: Names, copy: Copy) -> tuple[str, ...]:
    return (
        copy.laptop,
        copy.card,
        joined([names.pass_label(pass_id) for pass_id in copy.passes]),
        str(copy.number),
        clock_time(names.plan, copy.start),
        clock_time(names.plan, copy.end),
        f"{copy.gb:.1f}",
        "" if copy.needed_by is None else clock_time(names.plan, copy.needed_by),
    )


def disk_lines(media: MediaPlan) -> Iterator[str]:
    """Yield which disks have to be brought."""
    yield (
        f"{counted(media.disks, 'disk')} with {media.total_gb:.0f} GB of room each: everything is "
        f"on each of them."
    )
    if not media.fits_disk:
        yield f"The disks that are brought hold {media.disk_gb:g} GB each: too small."
    elif media.disk_gb is None:
        yield "Nobody has said how large the disks are: disk_gb under copying."


def spare_lines(names: Names, media: MediaPlan, setting: Setting | None = None) -> Iterator[str]:
    """Yield how many cards of each kind are spare on each day."""
    setting = setting or Setting()
    for spare in media.spares:
        left = spare.units - spare.used
        name = names.plan.kit.items_by_id[spare.item].name
        _, each = names.plan.pass_of(spare.pass_id)
        many = counted(left, f"spare {name}")
        words = f"{setting.day(each.start)}: {many} beside {spare.used} in use"
        if is_low(names, spare):
            least = names.plan.pass_of(spare.pass_id)[0].rules.spare_share
            words += f"; {percent(least)} is usual"
        yield f"{words}."


def is_low(names: Names, spare: SpareCards) -> bool:
    """Return whether there is less spare than is usual."""
    return spare.share < names.plan.pass_of(spare.pass_id)[0].rules.spare_share


def rule_lines(media: MediaPlan) -> Iterator[str]:
    """Yield how copies are made, and what holds of the figures."""
    yield (
        f"{counted(media.disks, 'verified copy', 'verified copies')} of every card on as many "
        f"disks, each made from the card itself, before it is formatted; until then it is taped or "
        f"locked. The disks travel home apart."
    )
    yield "GB are 10^9 bytes, as on the card; computers that count in GiB show 7 % less."
    if media.copies and not media.is_proven:
        yield "The order of the copies is the best found, not proven best."
