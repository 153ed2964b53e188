"""The continuity sheet: what has to look the same in two passes that are cut together.

Only where one pass can stand beside another. Boxes are ticked when something is noted and
photographed; the blank columns are for what was seen.
"""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.paper.layout import joined
from kitplan.paper.line_up import balances_words
from kitplan.paper.marks import speed
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import Block, Column, Facts, Fields, Heading, Sheet, Table, Words
from kitplan.paper.pack.source import Source
from kitplan.paper.worth import songs_by_worth
from kitplan.shoot.records import Shoot
from kitplan.whatif.line_up import line_ups

PASSES_A_SHEET = 3
LOOK = (
    ("Costume", "sleeves, collars, hats, shoes, what is buttoned"),
    ("Hair and make-up", "up or down, glasses, jewellery, watches"),
    ("Microphones", "which stand, which hand, height, windshield, cables"),
    ("Set pieces", "where they stand, which way they face; marks on the floor"),
    ("Stage dressing", "music stands, monitors, cups, towels, flowers, cables"),
    ("Instruments", "which one, on which stand, mutes and straps"),
    ("Light states", "number and look of each state, follow spot, blinders"),
    ("Screen and haze", "what is on the screen, how thick the haze is"),
    ("Daylight", "windows, blinds, doors; time of day"),
    ("House", "empty seats, work light, crew and rigs in wide frames"),
)
"""What differs between a rehearsal and a show, most often first. Common practice."""


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield a sheet for each shoot in which a pass can stand beside another."""
    for shoot_id, shoot in source.plan.shoots.items():
        passes = _beside(source.names, shoot_id, shoot)
        for first in range(0, len(passes), PASSES_A_SHEET):
            yield _sheet(source, shoot, passes[first : first + PASSES_A_SHEET])


def _beside(names: Names, shoot_id: str, shoot: Shoot) -> list[str]:
    """Return the passes with cameras that can stand beside the master, that one last."""
    master = f"{shoot_id}/{shoot.master.id}"
    ids = [f"{shoot_id}/{each.id}" for each in shoot.passes]
    found = [
        each
        for each in ids
        if each != master
        and names.plan.placements_in(each)
        and any(songs_by_worth(names.plan, each)[worth] for worth in ("locks", "inserts"))
    ]
    return [*found, master] if found and names.plan.placements_in(master) else []


def _sheet(source: Source, shoot: Shoot, passes: list[str]) -> Sheet:
    names = source.names
    labels = [names.pass_label(each) for each in passes]
    return Sheet(
        "continuity",
        "Continuity sheet",
        tuple(_blocks(names, shoot, passes, labels)),
        lines=tuple(
            f"{label}: {_begin(source, each)}" for label, each in zip(labels, passes, strict=True)
        ),
    )


def _begin(source: Source, pass_id: str) -> str:
    start = source.plan.pass_of(pass_id)[1].start
    return f"{source.setting.day(start)}, {source.setting.time(start)}"


def _blocks(names: Names, shoot: Shoot, passes: list[str], labels: list[str]) -> Iterator[Block]:
    yield Words(
        f"{joined(labels)} are cut together: whatever is in the frame has to be the same. "
        f"Photograph it at the end of each pass, before anybody clears the stage; note the number "
        f"of the photo. Tick when it is as it was."
    )
    yield Fields(("Noted by", "Photos on"))
    yield Table(
        (
            Column("same?", 1.1, is_strong=True),
            Column("look at", 2.2),
            *(Column(f"{label}: note, photo", 1.6) for label in labels),
        ),
        tuple((what, look, *("" for _ in labels)) for what, look in LOOK),
        has_boxes=True,
    )
    yield from _songs(names, shoot, passes, labels)
    yield Heading("Every camera, before each pass", 2)
    yield Facts(tuple(_settings(names, shoot, passes)))


def _songs(names: Names, shoot: Shoot, passes: list[str], labels: list[str]) -> Iterator[Block]:
    """The songs that lock across passes, with room to note; the others in a line."""
    worth = {each: names.plan.worth.get(each, {}) for each in passes}
    locking = [
        song for song in shoot.songs if any(worth[each].get(song.id) == "locks" for each in passes)
    ]
    if locking:
        rows = tuple(
            (
                f"{[each.id for each in shoot.songs].index(song.id) + 1}",
                song.label,
                *("" if worth[each].get(song.id) in ("live", "locks") else "-" for each in passes),
            )
            for song in locking
        )
        columns = (
            Column("", 0.0, "right"),
            Column("song", 1.8, is_strong=True),
            *(Column(f"{label}: note, photo", 1.6) for label in labels),
        )
        yield Table(
            columns, rows, title="Songs that lock: whole shots stand side by side", has_boxes=True
        )
    inserts = [
        song.label
        for song in shoot.songs
        if song not in locking and any(worth[each].get(song.id) == "inserts" for each in passes)
    ]
    if inserts:
        yield Words(f"Inserts only, so hands, feet and instruments first: {joined(inserts)}.")


def _settings(names: Names, shoot: Shoot, passes: list[str]) -> Iterator[tuple[str, str]]:
    yield (
        "Frame rate and shutter",
        (
            f"{shoot.delivery.frame_rate_fps:g} frames a second, {speed(names.plan.shutter_s)}, "
            f"in every pass"
        ),
    )
    lined = [each for each in line_ups(names.plan) if each.pass_id in passes]
    yield "White balance", balances_words(names, lined)
    yield "Look", "the same profile, sharpness and contrast as in the pass before"
    yield "Clock", "the same clock in every pass; check date and seconds again"
