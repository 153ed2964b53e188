"""Times fit together: zone, order of the passes, songs in their pass, people at their hours."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from itertools import pairwise
from zoneinfo import ZoneInfo, available_timezones

from kitplan.gear.kit import Kit
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.fault import Fault
from kitplan.shoot.records import Pass, Shoot
from kitplan.units import SECONDS_PER_MINUTE
from kitplan.wording import Place, nearest, plain


def unknown_zone(shoot: Shoot) -> Iterator[Fault]:
    """The time zone is one of the public list."""
    try:
        ZoneInfo(shoot.time_zone)
    except (LookupError, ValueError, OSError):
        near = nearest(shoot.time_zone, available_timezones())
        wrong = f"the time zone '{plain(shoot.time_zone)}' is not known"
        right = f"Did you mean '{near}'?" if near else "Write one such as Europe/London, or UTC"
        yield Fault(("time_zone",), wrong, right)


def mixed_offsets(shoot: Shoot) -> Iterator[Fault]:
    """All times have an offset such as +01:00, or none has: otherwise no two can be compared."""
    moments = dict(_moments(shoot))
    num_by_kind = Counter(moment.tzinfo is None for moment in moments.values())
    if len(num_by_kind) < 2:
        return
    most_have_none = num_by_kind[True] >= num_by_kind[False]
    for place, moment in moments.items():
        if (moment.tzinfo is None) != most_have_none:
            if most_have_none:
                wrong = (
                    f"{place[-1]} {moment:%Y-%m-%d %H:%M%z} has an offset, other times have none"
                )
                right = f"Leave the offset out; times are those of {shoot.time_zone}"
            else:
                wrong = f"{place[-1]} {moment:%Y-%m-%d %H:%M} has no offset, other times have one"
                right = "Add the offset, or leave it out everywhere"
            yield Fault(place, wrong, right)


def _moments(shoot: Shoot) -> Iterator[tuple[Place, datetime]]:
    """Every time of the shoot with its place."""
    for index, each in enumerate(shoot.passes):
        for name in ("start", "end", "doors"):
            moment = getattr(each, name)
            if moment is not None:
                yield ("passes", index, name), moment
    for index, person in enumerate(shoot.crew):
        for name in ("since", "until"):
            moment = getattr(person, name)
            if moment is not None:
                yield ("crew", index, name), moment
    for index, rest in enumerate(shoot.breaks):
        yield ("breaks", index, "since"), rest.since
        yield ("breaks", index, "until"), rest.until


def disordered_passes(shoot: Shoot) -> Iterator[Fault]:
    """Passes stand in order of time and each ends before the next one, or its doors, begin."""
    for index, (this, following) in enumerate(pairwise(shoot.passes)):
        place = ("passes", index + 1)
        end, name = shoot.end_of(this), f"pass '{following.id}'"
        until = f"'{this.id}' lasts until {end:%Y-%m-%d %H:%M}"
        if following.start < this.start:
            wrong = (
                f"{name} starts at {following.start:%Y-%m-%d %H:%M}, before the pass above it, "
                f"'{this.id}', at {this.start:%Y-%m-%d %H:%M}"
            )
            yield Fault((*place, "start"), wrong, "List the passes in order of time")
        elif following.start < end:
            wrong = f"{name} starts at {following.start:%Y-%m-%d %H:%M}, but {until}"
            right = f"Start it later, or correct start, end and songs of '{this.id}'"
            yield Fault((*place, "start"), wrong, right)
        elif following.doors is not None and following.doors < end:
            wrong = f"{name} has doors at {following.doors:%Y-%m-%d %H:%M}, but {until}"
            right = f"Open the doors later; where the audience stays in, give {end:%H:%M} or later"
            yield Fault((*place, "doors"), wrong, right)


def doors_without_audience(shoot: Shoot) -> Iterator[Fault]:
    """Doors open for an audience."""
    for index, each in enumerate(shoot.passes):
        if each.doors is not None and not each.has_audience:
            wrong = f"pass '{each.id}' has doors at {each.doors:%H:%M} but no audience"
            yield Fault(("passes", index, "doors"), wrong, "Add has_audience: true, or take it out")


def second_masters(shoot: Shoot) -> Iterator[Fault]:
    """The edit follows one take."""
    masters = [(index, each.id) for index, each in enumerate(shoot.passes) if each.is_master]
    for index, pass_id in masters[1:]:
        wrong = f"pass '{pass_id}' is a master, and so is '{masters[0][1]}'"
        right = "Keep is_master: true in the one pass that the edit follows"
        yield Fault(("passes", index, "is_master"), wrong, right)


def silent_passes(shoot: Shoot) -> Iterator[Fault]:
    """A pass runs at least one song."""
    for index, each in enumerate(shoot.passes):
        if not shoot.run_songs(each):
            wrong = f"pass '{each.id}' runs no song: all {len(shoot.songs)} are not-run"
            yield Fault(("passes", index, "songs"), wrong, "Take the pass out, or run a song in it")


def short_passes(shoot: Shoot) -> Iterator[Fault]:
    """The songs of a pass, with the gaps between them, fit before its end."""
    for index, each in enumerate(shoot.passes):
        songs = shoot.run_songs(each)
        if each.end is None or not songs:
            continue
        songs_s = sum(song.length_s + song.gap_s for song in songs) - songs[-1].gap_s
        pass_s = (each.end - each.start).total_seconds()
        if songs_s > pass_s:
            wrong = (
                f"pass '{each.id}' lasts {pass_s / SECONDS_PER_MINUTE:.1f} min, but its "
                f"{len(songs)} songs with their gaps take {songs_s / SECONDS_PER_MINUTE:.1f} min"
            )
            right = "Give a later end, or write songs: {id: not-run} for those left out"
            yield Fault(("passes", index, "end"), wrong, right)


def absent_people(shoot: Shoot) -> Iterator[Fault]:
    """People listed for a pass are there all the time and do not perform in all of it."""
    brief = Brief(shoot, Kit.EMPTY)
    for index, each in enumerate(shoot.passes):
        on_hand = brief.people(each)
        for number, person_id in enumerate(each.people or ()):
            person = shoot.crew_by_id.get(person_id)
            if person is None:
                continue
            place = ("passes", index, "people", number)
            right = f"Take '{person_id}' out, or correct the entry under crew"
            if person not in on_hand:
                hours = hours_of(person.since, person.until)
                wrong = f"'{person_id}' is listed for {_hours_of_pass(shoot, each)}, but is {hours}"
                yield Fault(place, wrong, right)
            elif brief.sings_during(person, each) == shoot.run_songs(each) != ():
                wrong = f"'{person_id}' is listed for pass '{each.id}', but performs in all of it"
                yield Fault(place, wrong, right)


def _hours_of_pass(shoot: Shoot, each: Pass) -> str:
    begin = each.doors or each.start
    return f"pass '{each.id}' from {begin:%Y-%m-%d %H:%M} to {shoot.end_of(each):%H:%M}"


def hours_of(since: datetime | None, until: datetime | None) -> str:
    """Return when somebody is there, in words."""
    begin = f"there from {since:%Y-%m-%d %H:%M}" if since else "there"
    return f"{begin} until {until:%Y-%m-%d %H:%M}" if until else begin
