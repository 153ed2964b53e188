"""The check of the roll plan: every recorder followed from its first start to its last stop."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import inf
from typing import Literal

from kitplan.gear.records import Body, Media, Support
from kitplan.plan.day.rolls import Blind, Clip, Ending, Roll, RollPlan, RollsReached, Touch
from kitplan.plan.records import Placement, Plan
from kitplan.plan.verify.day.clocked import Clocked, PassClock, up
from kitplan.plan.verify.day.standing import holes, reached_of
from kitplan.plan.verify.findings import Fault, Finding
from kitplan.plan.verify.scene import Scene

FIRST_OR_LAST = {"roll", "stop"}
KINDS: tuple[Literal["battery", "card"], ...] = ("battery", "card")
RENEWS: dict[Ending, str] = {"battery": "battery", "card": "card", "heat": "cool"}
"""What has to be done for a limit to begin anew; a clip begins anew with every start."""


def rolls_findings(plan: Plan, scenes: Mapping[str, Scene]) -> Iterator[Finding]:
    """Yield what does not hold in the roll plan of a plan; scenes by shoot id."""
    if plan.day is None or plan.day.rolls is None:
        return
    rolls = plan.day.rolls
    for clock in clocks_of(plan, scenes):
        if not can_be_followed(clock):
            yield Finding("rolls", clock.pass_id, "its cameras are not sound", "Mend them first")
            continue
        yield from _pass_findings(clock, rolls)
    known = set(plan.pass_ids())
    parts: tuple[Sequence[Roll | Touch | Blind | RollsReached], ...]
    parts = (rolls.rolls, rolls.touches, rolls.blind, rolls.reached)
    named = {each.pass_id for part in parts for each in part}
    for pass_id in sorted(named - known):
        yield Finding("rolls", pass_id, "there is no such pass", "Leave its rolls out")


def clocks_of(plan: Plan, scenes: Mapping[str, Scene]) -> Iterator[PassClock]:
    """Yield every pass of a plan on its clock."""
    for shoot_id, scene in scenes.items():
        for each in scene.shoot.passes:
            yield PassClock(plan, scene, each, f"{shoot_id}/{each.id}")


def can_be_followed(clock: PassClock) -> bool:
    """Return whether everything that cameras of a pass name exists, and once."""
    units, scene = clock.scene.units_by_id, clock.scene
    placements = clock.plan.placements_in(clock.pass_id)

    def is_a(unit: str, kind: type) -> bool:
        return unit in units and isinstance(scene.kit.items_by_id.get(units[unit].item), kind)

    def is_sound(placement: Placement) -> bool:
        rig, operator = placement.rig, placement.operator
        return (
            placement.position in scene.positions_by_id
            and (operator is None or operator in scene.shoot.crew_by_id)
            and is_a(rig.body, Body)
            and is_a(rig.support, Support)
            and any(mode.name == rig.mode for mode in clock.body(placement).modes)
            and all(unit in units for unit in placement.batteries)
            and all(is_a(unit, Media) for unit in placement.cards)
        )

    return len(clock.placements) == len(placements) and all(map(is_sound, placements))


def _pass_findings(clock: PassClock, rolls: RollPlan) -> Iterator[Finding]:
    mine = [roll for roll in rolls.rolls if roll.pass_id == clock.pass_id]
    touches = [touch for touch in rolls.touches if touch.pass_id == clock.pass_id]
    blind = [each for each in rolls.blind if each.pass_id == clock.pass_id]
    letters = sorted(roll.letter for roll in mine)
    if letters != sorted(clock.placements) or any(t.letter not in letters for t in touches):
        wrong = f"it has rolls of {', '.join(letters) or 'nothing'}"
        right = f"One each of {', '.join(sorted(clock.placements)) or 'nothing'}"
        yield Finding("rolls", clock.pass_id, wrong, right)
        return
    clips = {roll.letter: roll.clips for roll in mine}
    for letter, placement in clock.placements.items():
        where = f"{clock.pass_id}, camera {letter}"
        own = sorted((t for t in touches if t.letter == letter), key=lambda t: t.start_s)
        follower = Follower(clock, placement, clips[letter], own)
        yield from (fault.at(where) for fault in follower.faults())
    yield from (fault.at(clock.pass_id) for fault in _together_faults(clock, touches))
    derived = sorted(
        (letter, row.song.id, begin, end, cause)
        for letter, found in clips.items()
        for row in clock.songs
        for begin, end, cause in holes(found, row.begin, row.end)
    )
    stated = sorted((b.letter, b.song, b.start_s, b.end_s, b.cause) for b in blind)
    if stated != derived:
        wrong, right = (f"{len(each)} stretches" for each in (stated, derived))
        words = f"where cameras stand still it says {wrong}, which are not those of its clips"
        yield Finding("rolls-blind", clock.pass_id, words, f"Its clips leave {right}")
    yield from _value_findings(clock, rolls, clips, touches)


def _value_findings(
    clock: PassClock,
    rolls: RollPlan,
    clips: Mapping[str, Sequence[Clip]],
    touches: Sequence[Touch],
) -> Iterator[Finding]:
    derived = reached_of(clock, clips, touches)
    stated = [each for each in rolls.reached if each.pass_id == clock.pass_id]
    if [each.value for each in stated] != [derived]:
        wrong = f"its goals came to {', '.join(str(each.value) for each in stated) or 'nothing'}"
        yield Finding("rolls-value", clock.pass_id, wrong, f"They come to {derived}")
        return
    signs = (1, 1, 1, 1, 1, 1, -1, -1)
    bound = stated[0].bound
    if len(bound) != len(signs) or any(
        sign * b > sign * v for sign, b, v in zip(signs, bound, derived, strict=True)
    ):
        wrong = f"its bounds {bound} are worse than what was reached"
        yield Finding("rolls-bound", clock.pass_id, wrong, "A bound is never worse than an answer")


def _together_faults(clock: PassClock, touches: Sequence[Touch]) -> Iterator[Fault]:
    """Not too many stopped at once; nobody in two places."""
    done = [touch for touch in touches if not FIRST_OR_LAST & set(touch.does)]
    most = clock.scene.shoot.rules.stopped_at_once
    for touch in done:
        at_once = [t for t in done if t.start_s <= touch.start_s < t.end_s]
        if len(at_once) > most:
            cameras = ", ".join(sorted(t.letter for t in at_once))
            wrong = f"cameras {cameras} are stopped at once at {touch.start_s:g} s"
            yield Fault("rolls-at-once", wrong, f"At most {most} at the same time")
    for one, other in combinations(touches, 2):
        if one.person is None or one.person != other.person:
            continue
        if one.start_s - one.walk_s < other.end_s + other.walk_s - 1e-6 and (
            other.start_s - other.walk_s < one.end_s + one.walk_s - 1e-6
        ):
            wrong = (
                f"{one.person} is at camera {one.letter} ({one.start_s:g} s) and on the way to "
                f"{other.letter} ({other.start_s:g} s) at the same time"
            )
            yield Fault("rolls-person", wrong, "One after the other, with the ways between")


@dataclass(frozen=True)
class Follower:
    """A recorder of a pass, followed through its clips and touches."""

    clock: PassClock
    placement: Placement
    clips: Sequence[Clip]
    touches: Sequence[Touch]

    def faults(self) -> Iterator[Fault]:
        """Yield all that does not hold for this recorder."""
        if not self.clips:
            yield Fault("rolls-clips", "it never rolls", "Every camera rolls")
            return
        yield from self._clip_faults()
        yield from self._start_faults()
        yield from self._limit_faults()
        for touch in self.touches:
            yield from self._touch_faults(touch)

    def _clip_faults(self) -> Iterator[Fault]:
        """Clips follow one another, on units that the camera has, none twice."""
        batteries, cards = self.clock.batteries(self.placement), self.placement.cards or (None,)
        for clip in self.clips:
            if not clip.start_s < clip.end_s:
                wrong = f"a clip from {clip.start_s:g} to {clip.end_s:g} s"
                yield Fault("rolls-clips", wrong, "A clip begins before it ends")
            if clip.battery not in batteries or clip.card not in cards:
                wrong = f"a clip on battery {clip.battery} and card {clip.card}"
                yield Fault("rolls-units", wrong, "Only on those that the camera carries")
        for one, other in pairwise(self.clips):
            if other.start_s < one.end_s:
                wrong = f"a clip begins at {other.start_s:g} s before the last has ended"
                yield Fault("rolls-clips", wrong, "One clip after the other")
        for kind in KINDS:
            put_in = [getattr(self.clips[0], kind)]
            put_in += [getattr(t, kind) for t in self.touches if kind in t.does]
            if len(put_in) != len(set(put_in)):
                yield Fault("rolls-units", f"a {kind} goes in twice", "Each once in a pass")

    def _start_faults(self) -> Iterator[Fault]:
        """It rolls early enough, from before the doors where nobody reaches it."""
        each, rules = self.clock.each, self.clock.scene.shoot.rules
        latest = -up(rules.roll_early_s)
        if self.clock.is_alone(self.placement) and each.doors is not None:
            latest -= up((each.start - each.doors).total_seconds())
        if self.clips[0].start_s > latest:
            wrong = f"it rolls from {self.clips[0].start_s:g} s"
            yield Fault("rolls-early", wrong, f"From {latest} s or earlier")

    # -- limits --------------------------------------------------------------------------------

    def _limit_faults(self) -> Iterator[Fault]:
        """No clip runs beyond a limit, and each ends by what it says."""
        begin = self.clips[0].start_s
        begun: dict[Ending, float] = dict.fromkeys(RENEWS, begin)
        now = {kind: getattr(self.clips[0], kind) for kind in KINDS}
        left = [t for t in self.touches if not FIRST_OR_LAST & set(t.does)]
        for clip in self.clips:
            while left and left[0].end_s <= clip.start_s:
                touch = left.pop(0)
                for ending, work in RENEWS.items():
                    if work in touch.does:
                        begun[ending] = touch.end_s
                now |= {kind: getattr(touch, kind) for kind in KINDS if kind in touch.does}
            begun["clip-limit"] = clip.start_s
            for kind in KINDS:
                if getattr(clip, kind) != now[kind]:
                    wrong = f"the clip at {clip.start_s:g} s is on {kind} {getattr(clip, kind)}"
                    yield Fault("rolls-units", wrong, f"{now[kind]} is in the camera then")
            yield from self._ending_faults(clip, self._until(clip, begun))

    def _until(self, clip: Clip, begun: Mapping[Ending, float]) -> dict[Ending, float]:
        """Return when each limit stops a clip."""
        lives: dict[Ending, float] = {
            "clip-limit": self.clock.clip_s(self.placement),
            "battery": self.clock.battery_s(self.placement, clip.battery),
            "card": self.clock.card_s(self.placement, clip.card),
            "heat": self.clock.heat_s(self.placement),
        }
        return {ending: begun[ending] + life for ending, life in lives.items()}

    def _ending_faults(self, clip: Clip, until: Mapping[Ending, float]) -> Iterator[Fault]:
        first = min(until.values(), default=inf)
        if clip.end_s > first:
            by = next(ending for ending, at in until.items() if at == first)
            wrong = f"a clip runs to {clip.end_s:g} s, beyond its limit ({by}) at {first:g} s"
            yield Fault("rolls-limit", wrong, "Restart or change before it")
        elif clip.ends_by == "hand":
            if not any(touch.start_s == clip.end_s for touch in self.touches):
                wrong = f"nobody is there to stop it at {clip.end_s:g} s"
                yield Fault("rolls-ending", wrong, "A touch begins where a hand ends a clip")
        elif until[clip.ends_by] != clip.end_s:
            wrong = f"a clip ends by {clip.ends_by} at {clip.end_s:g} s"
            yield Fault("rolls-ending", wrong, f"That limit is at {until[clip.ends_by]:g} s")

    # -- touches -------------------------------------------------------------------------------

    def _touch_faults(self, touch: Touch) -> Iterator[Fault]:
        at = f"the touch at {touch.start_s:g} s"
        end = up(self.clock.scene.shoot.rules.restart_s)
        if FIRST_OR_LAST & set(touch.does):
            yield from self._outer_faults(touch, at)
            length = end
        else:
            length = self.clock.work_s(self.placement, touch.does)
            yield from self._inner_faults(touch, at)
        if touch.end_s - touch.start_s != length:
            wrong = f"{at} takes {touch.end_s - touch.start_s:g} s"
            yield Fault("rolls-work", wrong, f"{', '.join(touch.does)}: {length} s")

    def _outer_faults(self, touch: Touch, at: str) -> Iterator[Fault]:
        """First start and last stop: where the clips begin and end."""
        over = max((row.end for row in self.clock.songs), default=0)
        if touch.does == ("roll",):
            fits = touch.end_s == self.clips[0].start_s
        else:
            fits = touch.does == ("stop",) and touch.start_s >= over
            fits = fits and touch.start_s == self.clips[-1].end_s
        if not fits:
            right = "A start ends where the first clip begins, a stop begins where the last ends"
            yield Fault("rolls-touch", f"{at} is no first start or last stop", right)
        if touch.person is None:
            return
        if touch.person not in self.clock.scene.shoot.crew_by_id:
            yield Fault("rolls-hands", f"{at}: {touch.person} is not there", "Name the crew")
        reach = self.clock.reach(self.placement, touch.person)
        if reach is None or touch.walk_s != reach.walk_s:
            yield Fault("rolls-hands", f"{at}: {touch.person} cannot do it so", "Somebody else")

    def _inner_faults(self, touch: Touch, at: str) -> Iterator[Fault]:
        if not touch.does or not set(touch.does) <= {"restart", "battery", "card", "cool"}:
            yield Fault("rolls-work", f"{at} does {', '.join(touch.does) or 'nothing'}", "Say what")
        if any(touch.start_s < clip.end_s and clip.start_s < touch.end_s for clip in self.clips):
            yield Fault(
                "rolls-touch", f"{at} lies in a clip", "It stands still while it is touched"
            )
        yield from self._unit_faults(touch, at)
        reach = None if touch.person is None else self.clock.reach(self.placement, touch.person)
        if reach is None:
            yield Fault("rolls-hands", f"{at}: {touch.person} cannot reach it", "Somebody else")
            return
        if touch.walk_s != reach.walk_s:
            wrong = f"{at}: {touch.person} walks {touch.walk_s:g} s"
            yield Fault("rolls-walk", wrong, f"It takes {reach.walk_s} s each way")
        songs = self.clock.songs
        inside = [s for s in songs if s.begin < touch.end_s and touch.start_s < s.end]
        if inside:
            yield from self._in_song_faults(touch, at, inside[0], is_own=reach.is_own)
            return
        for before, after in pairwise(songs):
            if before.end <= touch.start_s and touch.end_s <= before.gap_end:
                walk_s = touch.walk_s if reach.has_to_be_back else 0.0
                if touch.start_s - walk_s < before.end or touch.end_s + walk_s > before.gap_end:
                    wrong = f"{at}: {touch.person} is not back at the own camera in the gap"
                    yield Fault("rolls-walk", wrong, "There and back between the songs")
                yield from self._on_stage_faults(touch, at, before, after)
                return
        yield Fault("rolls-place", f"{at} lies in no gap", "Between two songs")

    def _unit_faults(self, touch: Touch, at: str) -> Iterator[Fault]:
        """What goes in is what the camera carries, and only where something is changed."""
        carried = {"battery": self.placement.batteries, "card": self.placement.cards}
        for kind in KINDS:
            unit = getattr(touch, kind)
            if (kind in touch.does) != (unit is not None) or (
                unit is not None and unit not in carried[kind]
            ):
                wrong = f"{at} puts in {kind} {unit}"
                yield Fault("rolls-units", wrong, "Where one is changed, one that it carries")

    def _in_song_faults(
        self, touch: Touch, at: str, row: Clocked, *, is_own: bool
    ) -> Iterator[Fault]:
        begins = {begin for begin, _, _ in self.clock.slices(row)}
        is_inside = row.begin <= touch.start_s and touch.end_s <= row.end
        if not (is_own and is_inside and touch.start_s in begins):
            wrong = f"{at} reaches into {row.song.label}"
            right = "Inside a song only the own operator, from where a step begins to its end"
            yield Fault("rolls-place", wrong, right)
        elif not self.clock.framed(self.placement, row.song) or not self.clock.worth(row.song):
            wrong = f"{at}: its operator has no shot in {row.song.label}"
            yield Fault("rolls-hands", wrong, "Only in songs that the operator films")

    def _on_stage_faults(
        self, touch: Touch, at: str, before: Clocked, after: Clocked
    ) -> Iterator[Fault]:
        shoot = self.clock.scene.shoot
        person = shoot.crew_by_id[touch.person or ""]
        is_short = before.gap_end - before.end < shoot.rules.off_stage_s
        if is_short and {before.song.id, after.song.id} & set(person.performs_in):
            wrong = f"{at}: {touch.person} performs before or after it"
            right = f"Only in gaps of {shoot.rules.off_stage_s:g} s or more"
            yield Fault("rolls-hands", wrong, right)
