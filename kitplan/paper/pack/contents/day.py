"""The day sheet: one page for each day, with its hard gates, who is on what, and what to check."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from kitplan.paper.layout import joined
from kitplan.paper.minding import minders
from kitplan.paper.pack.blocks import Beside, Block, Column, Fields, Heading, Sheet, Table
from kitplan.paper.pack.contents.day_run import passes_on, run_entries
from kitplan.paper.pack.contents.day_venue import venue_sheet
from kitplan.paper.pack.source import Source
from kitplan.paper.restarts import touches_in
from kitplan.paper.timed import clocks, minutes
from kitplan.plan.verify.day.clocked import PassClock
from kitplan.shoot.records import Person, Shoot

PASSES_A_TABLE = 3
EMERGENCY = (
    "Venue contact",
    "Front of house",
    "First aid",
    "Exits, meeting point",
)


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield a sheet for each day of each shoot."""
    for shoot_id, shoot in source.plan.shoots.items():
        days = sorted({each.start.date() for each in shoot.passes})
        for day in days:
            yield _sheet(source, shoot_id, day, is_only=len(days) == 1)
        yield venue_sheet(source, shoot_id)


def _sheet(source: Source, shoot_id: str, day: date, *, is_only: bool) -> Sheet:
    shoot = source.plan.shoots[shoot_id]
    found = clocks(source.plan, passes_on(source, shoot_id, day))
    blocks: list[Block] = [_run(source, shoot_id, day, is_only=is_only)]
    blocks += _crew(source, shoot, found)
    for first in range(0, len(found), PASSES_A_TABLE):
        blocks.append(_songs(source, shoot, found[first : first + PASSES_A_TABLE]))
    has_call = any(person.since is not None for person in shoot.crew)
    pairs = zip(EMERGENCY[::2], EMERGENCY[1::2], strict=True)
    blocks.append(Heading("In an emergency", 2))
    blocks += [Beside((Fields((left,)),), (Fields((right,)),)) for left, right in pairs]
    if not has_call:
        blocks.insert(0, Fields(("Crew call",)))
    start = found[0].each.start
    title = f"Day sheet: {source.setting.day(start)}"
    return Sheet("day", title, tuple(blocks), lines=(f"{shoot.title}. {shoot.venue.name}",))


# -- the run of the day ----------------------------------------------------------------------------


def _run(source: Source, shoot_id: str, day: date, *, is_only: bool) -> Table:
    columns = (
        Column("from", 0.0, is_strong=True),
        Column("to", 0.0),
        Column("what", 3.4),
        Column("who", 2.0),
    )
    entries = run_entries(source, shoot_id, day, is_only=is_only)
    rows = tuple(
        (
            source.setting.time(each.begin),
            "" if each.end is None else source.setting.time(each.end),
            f"GATE  {each.what}" if each.is_gate else each.what,
            each.who,
        )
        for each in entries
    )
    gates = tuple(number for number, each in enumerate(entries) if each.is_gate)
    return Table(columns, rows, strong_rows=gates)


# -- who is on what --------------------------------------------------------------------------------


def _crew(source: Source, shoot: Shoot, found: Sequence[PassClock]) -> Iterator[Block]:
    people = [p for p in shoot.crew if any(_is_there(clock, p) for clock in found)]
    if not people:
        return
    for first in range(0, len(found), PASSES_A_TABLE):
        some = found[first : first + PASSES_A_TABLE]
        columns = (
            Column("who", 0.9, is_strong=True),
            *(Column(source.names.pass_label(clock.pass_id), 2.2) for clock in some),
            Column("knows", 0.8),
            Column("phone", 1.3),
        )
        rows = tuple(
            (
                person.label,
                *(_does(source, clock, person) for clock in some),
                joined(person.skills) + (", first time" if person.is_first_time else ""),
                "",
            )
            for person in people
        )
        yield Table(columns, rows, title="Who is on what")


def _is_there(clock: PassClock, person: Person) -> bool:
    return person in clock.scene.people(clock.each)


def _does(source: Source, clock: PassClock, person: Person) -> str:
    """Return what somebody does in a pass: camera, place, role; whom they mind; when on stage."""
    if not _is_there(clock, person):
        return "not there"
    names = source.names
    parts = [
        ", ".join(part for part in (f"{p.letter}: {names.place(p)}", names.roles(p)) if part)
        for p in clock.placements.values()
        if p.operator == person.id
    ]
    minded = minders(clock, source.day.rolls)
    mine = [letter for letter, who in minded.items() if who == person.id]
    if not parts and not mine:
        parts.append("free hands")
    if mine:
        parts.append(f"minds {joined(mine)}")
    songs = [row.song.label for row in clock.songs if row.song.id in person.performs_in]
    if songs:
        parts.append(f"on stage in {joined(songs)}")
    return "; ".join(parts)


# -- songs -----------------------------------------------------------------------------------------


def _songs(source: Source, shoot: Shoot, found: Sequence[PassClock]) -> Table:
    """Return the set list with the time at which each song is about to begin, pass by pass."""
    columns = [Column("", 0.0, "right"), Column("song", 1.4, is_strong=True)]
    columns += [Column("long", 0.0, "right"), Column("gap", 0.0, "right")]
    for clock in found:
        label = source.names.pass_label(clock.pass_id)
        columns += [Column(f"{label}, about", 0.9), Column("touch after it", 1.0)]
    rows = []
    for number, song in enumerate(shoot.songs, start=1):
        cells = [cell for clock in found for cell in _song_cells(source, clock, song.id)]
        head = (str(number), song.label, minutes(song.length_s), f"{song.gap_s:.0f} s")
        rows.append((*head, *cells))
    return Table(tuple(columns), tuple(rows), title="Songs")


def _song_cells(source: Source, clock: PassClock, song: str) -> tuple[str, str]:
    """Return when a song begins in a pass, and which cameras are touched in it or after it."""
    row = next((each for each in clock.songs if each.song.id == song), None)
    if row is None:
        return "not run", ""
    at = source.setting.time(clock.each.start + timedelta(seconds=row.begin))
    stopped = ", stopped" if clock.each.songs.get(song) == "stopped" else ""
    rolls = source.day.rolls
    touches = touches_in(rolls, clock) if rolls else ()
    done = [t for t in touches if not {"roll", "stop"} & {*t.does}]
    after = [t.letter for t in done if row.end <= t.start_s <= row.gap_end]
    inside = [t.letter for t in done if row.begin <= t.start_s < row.end]
    words = [", ".join(sorted(after))] if after else []
    words += [f"IN it {', '.join(sorted(inside))}"] if inside else []
    return f"{at}{stopped}", "; ".join(words)
