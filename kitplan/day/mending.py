"""The smallest repair of a hole in the cover, found by solving the pass again with the change.

Cheapest first: another card or battery that is owned and not in use, a mains lead, another mode of
the same body, two recorders stopped at once, another body on the safety, a longer pause.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import isclose

from kitplan.day.rolls.recorders import PassDay, Recorder, pass_day
from kitplan.gear.records import RecordingMode
from kitplan.options.endurance import is_fast_enough, is_on_mains
from kitplan.plan.day.rolls import Uncovered
from kitplan.plan.day.shots import ShotSheet, ShotSheets
from kitplan.plan.records import Placement, Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Shoot, Song

Left = Callable[[PassDay], tuple[Uncovered, ...]]
"""What is uncovered when a pass is as it is told."""
NEAREST_SONGS = 4
"""So many pauses before a hole are tried."""
NONE_FOUND = (
    "no single change of kit, mode, pause or power mends it; let the song stop for a restart, or "
    "put another camera on it"
)
NOT_ALL_TRIED = (
    "none of the first changes of kit, mode or power mends it; a pass whose rolls are not proven "
    "best takes too long to try all: let the song stop for a restart, or plan with fewer cameras"
)
MOST_TRIALS, MOST_TRIALS_IF_HARD = 80, 4
"""Changes that are tried for all holes of a plan together; fewer where the rolls of the plan itself
could not be proven best, since each of them takes as long again."""
LONGER_S = (5, 10, 20, 30, 60, 90, 120, 300, 600)


@dataclass(frozen=True)
class Trial:
    """A change of a pass, in words, and how the pass stands with it."""

    words: str
    brief: Brief
    placements: tuple[Placement, ...]
    longer_s: tuple[int, int] | None = None
    """Of a longer pause: how much longer did not help, and how much this is."""
    with_pause: Callable[[int], Trial] | None = None
    """Of a longer pause: the same with another number of seconds."""


def repair_of(
    plan: Plan,
    days: Sequence[PassDay],
    before: Sequence[Uncovered],
    hole: Uncovered,
    left: Left,
    tried: dict[str, tuple[Uncovered, ...]],
    sheets: ShotSheets | None,
    most: int = MOST_TRIALS,
) -> str:
    """Return the first change with which a hole is gone and less is uncovered than before.

    Args:
        tried: What was left uncovered with each change that was tried already; added to.
        most: Changes to be tried at most.
    """
    for day in days:
        if hole.pass_id not in (None, day.pass_id):
            continue
        index = next((n for n, row in enumerate(day.songs) if row.song.id == hole.song), None)
        if index is None or not day.recorders or _is_over(plan, day):
            continue
        own = () if sheets is None else sheets.sheets

        def mends(trial: Trial, day: PassDay = day, own: tuple[ShotSheet, ...] = own) -> bool:
            if trial.words not in tried:
                if len(tried) >= most:
                    return False
                changed = pass_day(trial.brief, day.each, day.pass_id, trial.placements, own)
                tried[trial.words] = left(changed)
            after = tried[trial.words]
            return _seconds(after) < _seconds(before) and not _has(after, hole)

        for trial in _trials(plan, day, index):
            if mends(trial):
                return _least(trial, mends).words
    return NONE_FOUND if len(tried) < most else NOT_ALL_TRIED


def _is_over(plan: Plan, day: PassDay) -> bool:
    """Return whether a pass is over, so that nothing of it can be changed."""
    shoot, each = plan.pass_of(day.pass_id)
    return shoot.past.is_over(each.id)


def _least(trial: Trial, mends: Callable[[Trial], bool]) -> Trial:
    """Return a longer pause by as few seconds as help; any other change as it is."""
    if trial.longer_s is None or trial.with_pause is None:
        return trial
    too_few, enough = trial.longer_s
    while enough - too_few > 1:
        middle = (too_few + enough) // 2
        if mends(trial.with_pause(middle)):
            enough = middle
        else:
            too_few = middle
    return trial.with_pause(enough)


def _seconds(found: Sequence[Uncovered]) -> float:
    return sum(each.end_s - each.start_s for each in found)


def _has(found: Sequence[Uncovered], hole: Uncovered) -> bool:
    return any((each.song, each.pass_id) == (hole.song, hole.pass_id) for each in found)


def _trials(plan: Plan, day: PassDay, song: int) -> Iterator[Trial]:
    """Yield changes, the cheapest first; those of the safety before those of others."""
    order = sorted(day.recorders, key=lambda r: (not r.is_safety, r.letter))
    short = [r for r in order if (lasts := r.lasts_s()) is not None
             and r.start.roll_s + lasts < day.songs[song].end_s]  # fmt: skip
    for recorder in short:
        yield from _spares(plan, day, recorder)
    for recorder in short:
        yield from _mains(day, recorder)
    for recorder in short:
        yield from _modes(day, recorder)
    rules = day.brief.shoot.rules
    most = rules.stopped_at_once + 1
    words = f"let {most} recorders be stopped at the same time (rule stopped_at_once)"
    changed = rules.model_copy(update={"stopped_at_once": most})
    yield Trial(words, _with(day.brief, rules=changed), _all(day))
    for recorder in short:
        if recorder.is_safety:
            yield from _bodies(day, recorder)
    yield from _pauses(day, song)


def _all(day: PassDay) -> tuple[Placement, ...]:
    return tuple(r.placement for r in day.recorders)


def _with(brief: Brief, **changes: object) -> Brief:
    """Return the brief with parts of its shoot changed."""
    kept = {name: getattr(brief.shoot, name) for name in Shoot.model_fields}
    return Brief(Shoot.model_construct(**{**kept, **changes}), brief.kit)


def _placed(day: PassDay, recorder: Recorder, **changes: object) -> tuple[Placement, ...]:
    mine = recorder.placement.model_copy(update=changes)
    return tuple(mine if p is recorder.placement else p for p in _all(day))


def _spares(plan: Plan, day: PassDay, recorder: Recorder) -> Iterator[Trial]:
    """One more card or battery that is owned, free that day, and in no camera of that day."""
    brief, mine = day.brief, recorder.placement
    today = {
        f"{shoot_id}/{each.id}"
        for shoot_id, shoot in plan.shoots.items()
        for each in shoot.passes
        if each.start.date() == day.each.start.date()
    }
    cards = {unit for p in plan.placements if p.pass_id in today for unit in p.cards}
    batteries = {unit for p in _all(day) for unit in p.batteries}
    mode = _mode(recorder)
    for card in brief.kit.items:
        if card.kind != "media" or card.card_type != recorder.body.card_type:
            continue
        if not is_fast_enough(card, mode, brief.shoot.rules.card_speed_factor):
            continue
        for unit in brief.shared_units(card.id, day.each):
            if unit.id not in cards:
                words = f"{day.each.label}: one more card for camera {mine.letter} ({unit.id})"
                yield Trial(words, brief, _placed(day, recorder, cards=(*mine.cards, unit.id)))
                break
    position = next(p for p in brief.shoot.venue.positions if p.id == mine.position)
    if recorder.body.battery is None or is_on_mains(recorder.body, position):
        return
    for unit in brief.shared_units(recorder.body.battery, day.each):
        if unit.id not in batteries:
            words = f"{day.each.label}: one more battery for camera {mine.letter} ({unit.id})"
            more = (*mine.batteries, unit.id)
            yield Trial(words, brief, _placed(day, recorder, batteries=more))
            return


def _mains(day: PassDay, recorder: Recorder) -> Iterator[Trial]:
    """A mains lead to a body that can run on it."""
    venue, mine = day.brief.shoot.venue, recorder.placement
    here = next(p for p in venue.positions if p.id == mine.position)
    if not recorder.body.runs_on_mains or here.has_mains:
        return
    positions = tuple(
        p.model_copy(update={"has_mains": True}) if p.id == here.id else p for p in venue.positions
    )
    words = f"{day.each.label}: mains for camera {mine.letter} at {here.label}, if the venue agrees"
    changed = _with(day.brief, venue=venue.model_copy(update={"positions": positions}))
    yield Trial(words, changed, _all(day))


def _mode(recorder: Recorder) -> RecordingMode:
    return next(m for m in recorder.body.modes if m.name == recorder.placement.rig.mode)


def _modes(day: PassDay, recorder: Recorder) -> Iterator[Trial]:
    """Another mode of the body with the same crop, so that no picture changes."""
    now, mine = _mode(recorder), recorder.placement
    for mode in sorted(day.brief.modes_of(recorder.body), key=lambda m: m.bit_rate_mbps):
        if mode.name == now.name or not isclose(mode.crop, now.crop):
            continue
        words = f"{day.each.label}: camera {mine.letter} records in mode {mode.name}"
        rig = mine.rig.model_copy(update={"mode": mode.name})
        yield Trial(words, day.brief, _placed(day, recorder, rig=rig))


def _bodies(day: PassDay, safety: Recorder) -> Iterator[Trial]:
    """Two cameras swap bodies with power and cards: same mount and same active width, so that lens
    and framing stay; and both bear the ISO that the light asks for.
    """
    mine = safety.placement
    for other in day.recorders:
        theirs = other.placement
        one, two = safety.body, other.body
        widths = (b.sensor_width_mm / _mode(r).crop for b, r in ((one, safety), (two, other)))
        if other is safety or one.id == two.id or one.mount is None or one.mount != two.mount:
            continue
        if not isclose(*widths, rel_tol=0.01):
            continue
        if two.max_iso < mine.shot.iso or one.max_iso < theirs.shot.iso:
            continue
        swapped = {
            mine.letter: _with_body(mine, theirs),
            theirs.letter: _with_body(theirs, mine),
        }
        words = f"{day.each.label}: cameras {mine.letter} and {theirs.letter} swap bodies"
        yield Trial(words, day.brief, tuple(swapped.get(p.letter, p) for p in _all(day)))


def _with_body(placement: Placement, giver: Placement) -> Placement:
    rig = placement.rig.model_copy(update={"body": giver.rig.body, "mode": giver.rig.mode})
    return placement.model_copy(
        update={"rig": rig, "batteries": giver.batteries, "cards": giver.cards}
    )


def _pauses(day: PassDay, song: int) -> Iterator[Trial]:
    """A longer pause after one of the last songs before, the nearest first."""
    shoot = day.brief.shoot
    for shorter_s, longer_s in pairwise((0, *LONGER_S)):
        for row in reversed(day.songs[max(0, song - NEAREST_SONGS) : song]):

            def with_pause(seconds: int, before: Song = row.song) -> Trial:
                songs = tuple(
                    s.model_copy(update={"gap_s": s.gap_s + seconds}) if s is before else s
                    for s in shoot.songs
                )
                words = (
                    f"{day.each.label}: a pause of {before.gap_s + seconds:g} s instead of "
                    f"{before.gap_s:g} s after {before.label}"
                )
                return Trial(words, _with(day.brief, songs=songs), _all(day))

            yield replace(
                with_pause(longer_s), longer_s=(shorter_s, longer_s), with_pause=with_pause
            )
