"""What a plan lacks or is short of, each with the reason and the smallest help that it knows.

Things that the kit cannot give, what does not last or fit, moments nobody holds, thin songs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kitplan.paper.cases import remedy_words
from kitplan.paper.coverage import uncovered_words
from kitplan.paper.layout import counted, joined
from kitplan.paper.lists import Missing, pass_lists
from kitplan.paper.marks import up_to_step
from kitplan.paper.names import Names
from kitplan.paper.power import user_name
from kitplan.plan.day.shots import MomentHeld
from kitplan.plan.day.work import GapWork
from kitplan.plan.records import Day
from kitplan.shoot.records import Moment, Song
from kitplan.whatif.figures import offers

SMALL_WORDS = {"mains-lead": "mains lead", "media": "card"}
"""What accessories serve, as people say it; other words are said as they are."""
MOST_SONGS = 4


@dataclass(frozen=True)
class Lack:
    """Something that is missing or too little."""

    what: str
    why: str
    help: str
    """The smallest change that is known to mend it; empty where none is."""


@dataclass(frozen=True)
class MomentLack:
    """A moment that nobody holds, or only one camera."""

    song: Song
    moment: Moment
    row: MomentHeld


def kit_lacks(names: Names) -> tuple[Lack, ...]:
    """Return what cameras and sound depend on and the kit cannot give, each with where."""
    found: dict[tuple[str, str], dict[str, list[str]]] = {}
    most: dict[tuple[str, str], int] = {}
    for each in pass_lists(names, names.plan.pass_ids()):
        here: dict[tuple[str, str], int] = {}
        for one in each.missing:
            key = (_small(one), one.why)
            here[key] = here.get(key, 0) + one.number
            found.setdefault(key, {}).setdefault(one.group, []).append(
                names.pass_label(each.pass_id)
            )
        most |= {key: max(most.get(key, 0), number) for key, number in here.items()}
    return tuple(
        Lack(
            f"{most[what, why]} x {what}",
            f"{'; '.join(f'{group} ({joined(passes)})' for group, passes in where.items())}: {why}",
            f"borrow or buy {most[what, why]}",
        )
        for (what, why), where in found.items()
    )


def _small(one: Missing) -> str:
    return SMALL_WORDS.get(one.what, one.what)


def shortages(names: Names) -> tuple[Lack, ...]:
    """Return what does not last, does not fit, or is not ready in time."""
    day = names.plan.day or Day()
    return tuple(
        lack for part in (_cover, _gaps, _power, _media, _cases) for lack in part(names, day)
    )


def _cover(names: Names, day: Day) -> Iterator[Lack]:
    for each in day.cover.uncovered if day.cover else ():
        yield Lack(*uncovered_words(names, each), each.repair)


def _gaps(names: Names, day: Day) -> Iterator[Lack]:
    for gap in day.work.gaps if day.work else ():
        if gap.reason:
            yield Lack(f"{gap_words(names, gap)}: the work does not fit", *_too_much(gap))


def gap_words(names: Names, gap: GapWork) -> str:
    """Return what a gap is called: 'Closed run to Show', 'Load-in for Closed run'."""
    if gap.after is None:
        return f"Load-in for {names.pass_label(gap.before)}" if gap.before else "Load-in"
    if gap.before is None:
        return f"Get-out after {names.pass_label(gap.after)}"
    return f"{names.pass_label(gap.after)} to {names.pass_label(gap.before)}"


def _too_much(gap: GapWork) -> tuple[str, str]:
    """Return by how much the work of a gap is too long, and what helps; where that is not known,
    the whole reason.
    """
    if not gap.jobs or gap.gate is None or gap.slack_s is None or gap.slack_s >= 0:
        return gap.reason, "more time, more hands, or fewer moves"
    least = up_to_step(-gap.slack_s / 60)
    return (
        f"about {least} min too long",
        f"{least} min more, more hands, or a camera less; kitplan reset has the reason",
    )


def _power(names: Names, day: Day) -> Iterator[Lack]:
    if day.power is None:
        return
    for use in day.power.uses:
        if use.is_short:
            who = user_name(names, use.pass_id, use.letter)
            yield Lack(
                f"{who}, {names.pass_label(use.pass_id)}: battery {use.unit} does not last",
                f"{use.missing_min:.0f} of {use.minutes:.0f} minutes are missing",
                day.power.way_out,
            )


def _media(names: Names, day: Day) -> Iterator[Lack]:
    if day.media is None:
        return
    for each in day.media.formats:
        if each.is_late:
            yield Lack(
                f"Card {each.card} is not copied in time for {names.pass_label(each.before)}",
                "its second copy ends after it is needed",
                "one more card, or a second laptop",
            )
    if not day.media.fits_disk:
        yield Lack(
            f"The disks are too small: {day.media.disk_gb:g} GB",
            f"{day.media.total_gb:.0f} GB are recorded, all of it on each disk",
            f"{counted(day.media.disks, 'disk')} of {day.media.total_gb:.0f} GB or more",
        )


def _cases(names: Names, day: Day) -> Iterator[Lack]:
    for load in day.cases.loads if day.cases else ():
        if load.left:
            units = joined([f"{names.unit(unit)} ({unit})" for unit in load.left])
            number = counted(len(load.left), "thing does", "things do")
            yield Lack(f"{number} not fit", units, remedy_words(names, load.remedy))


def moments_not_held(names: Names) -> tuple[MomentLack, ...]:
    """Return the moments that nobody holds, in running order."""
    return tuple(each for each in _moments(names) if each.row.first is None)


def moments_held_once(names: Names) -> tuple[MomentLack, ...]:
    """Return the moments that one camera holds and no second, in running order."""
    return tuple(each for each in _moments(names) if each.row.first and not each.row.second)


def _moments(names: Names) -> Iterator[MomentLack]:
    shots = names.plan.day.shots if names.plan.day else None
    for row in shots.moments if shots else ():
        song = names.plan.shoots[row.shoot].songs_by_id[row.song]
        moment = next(each for each in song.moments if each.name == row.moment)
        yield MomentLack(song, moment, row)


def thin_songs(names: Names) -> Iterator[str]:
    """Yield for each shoot which songs have fewer viewpoints than others."""
    for shoot_id, shoot in names.plan.shoots.items():
        offered = offers(names.plan, shoot_id)
        least, most = min(offered.values()), max(offered.values())
        if least == most:
            continue
        thin = [
            shoot.songs_by_id[song].label for song, number in offered.items() if number == least
        ]
        where = joined(thin) if len(thin) <= MOST_SONGS else counted(len(thin), "song")
        yield f"{counted(least, 'viewpoint')} in {where}, up to {most} in others"
