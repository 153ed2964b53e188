"""The check of the media: cards, copies, formatting, disks (docs/model.md, Media)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from kitplan.gear.records import Media
from kitplan.plan.day.media import Copy, MediaPlan
from kitplan.plan.records import Plan
from kitplan.plan.verify.day.clock import SLACK_MIN, hand_fault, minute
from kitplan.plan.verify.day.reels import Recorded, Written, recorded, written
from kitplan.plan.verify.findings import Finding
from kitplan.plan.verify.scene import Scene

WHERE = "media"
_SLACK = 1e-6


def media_findings(plan: Plan, scenes: Mapping[str, Scene]) -> Iterator[Finding]:
    """Yield what does not hold in the media of a plan; scenes by shoot id."""
    media = plan.day.media if plan.day else None
    if media is None:
        return
    checks = [_check(plan, shoot_id, scene, media) for shoot_id, scene in scenes.items()]
    known = set(plan.pass_ids())
    named = [use.pass_id for use in media.uses] + [p for copy in media.copies for p in copy.passes]
    for stray in sorted({*named, *(one.before for one in media.formats)} - known):
        yield Finding("media-use", WHERE, f"{stray} is no pass", "Name passes of the plan")
    for check in checks:
        yield from check.findings()
    yield from _whole_findings(media, checks)


def _check(plan: Plan, shoot_id: str, scene: Scene, media: MediaPlan) -> _Check:
    parts = recorded(plan, shoot_id, scene)
    return _Check(shoot_id, scene, media, parts, written(scene, parts))


def _whole_findings(media: MediaPlan, checks: Sequence[_Check]) -> Iterator[Finding]:
    """What is said of all shoots of a plan together."""
    total = sum(part.gb for check in checks for part in check.parts)
    asked = [check.scene.shoot.copying for check in checks]
    room = min((a.disk_gb for a in asked if a.disk_gb is not None), default=None)
    disks = max((a.copies for a in asked), default=0)
    if abs(media.total_gb - total) > _SLACK or (media.disks, media.disk_gb) != (disks, room):
        wrong = f"{media.total_gb:.3f} GB on {media.disks} disks of {media.disk_gb}"
        yield Finding("media-disk", WHERE, wrong, f"{total:.3f} GB on {disks} disks of {room}")
    value = tuple(map(sum, zip(*(check.value() for check in checks), strict=True)))
    if media.value != value:
        wrong = f"its goals are given as {', '.join(map(str, media.value))}"
        yield Finding("media-value", WHERE, wrong, f"They are {', '.join(map(str, value))}")
    is_bound = len(media.bound) == len(value) and all(
        bound <= reached for bound, reached in zip(media.bound, value, strict=True)
    )
    if not is_bound or media.is_proven != (media.bound == media.value):
        wrong = f"bounds {', '.join(map(str, media.bound))} do not go with its values"
        yield Finding("media-value", WHERE, wrong, "No bound is above what was reached")


@dataclass(frozen=True)
class _Check:
    """The media of one shoot."""

    shoot_id: str
    scene: Scene
    media: MediaPlan
    parts: tuple[Recorded, ...]
    reels: tuple[Written, ...]

    def _is_own(self, pass_id: str) -> bool:
        return pass_id.startswith(f"{self.shoot_id}/")

    def _finding(self, rule: str, wrong: str, right: str) -> Finding:
        return Finding(rule, WHERE, wrong, right)

    def findings(self) -> Iterator[Finding]:
        """Yield everything that does not hold."""
        yield from self._use_findings()
        copies = self._copies_by_reel()
        yield from self._copy_findings(copies)
        yield from self._laptop_findings()
        yield from self._format_findings(copies)
        yield from self._spare_findings()

    def value(self) -> tuple[int, int, int]:
        """What the goals came to."""
        copies = self._copies_by_reel()
        late = sum(self._is_late(reel, copies) for reel in self.reels)
        open_ = sum(
            reel.next_begin_min is not None
            and self._end(reel, copies) > reel.next_begin_min + SLACK_MIN
            for reel in self.reels
        )
        ends = [round(minute(self.scene, copy.end)) for row in copies.values() for copy in row]
        return late, open_, max(ends, default=0)

    # -- cards ---------------------------------------------------------------------------------

    def _use_findings(self) -> Iterator[Finding]:
        stated = {
            (use.pass_id, use.letter, use.card): (use.minutes, use.room_min, use.gb)
            for use in self.media.uses
            if self._is_own(use.pass_id)
        }
        derived = {(p.pass_id, p.letter, p.card): (p.minutes, p.room_min, p.gb) for p in self.parts}
        number = sum(self._is_own(use.pass_id) for use in self.media.uses)
        if number != len(stated):
            yield self._finding("media-use", "a card is listed twice", "Once for each pass")
        for key in sorted({*stated, *derived}):
            one, other = stated.get(key), derived.get(key)
            if one is None or other is None or not _are_close(one, other):
                wrong, right = (
                    f"{v[0]:.3f} of {v[1]:.3f} min, {v[2]:.3f} GB" if v else "nothing"
                    for v in (one, other)
                )
                yield self._finding("media-use", f"{' '.join(key)}: {wrong}", right)

    # -- copies --------------------------------------------------------------------------------

    def _own_copies(self) -> list[Copy]:
        return [c for c in self.media.copies if any(map(self._is_own, c.passes))]

    def _copies_by_reel(self) -> dict[tuple[str, tuple[str, ...]], list[Copy]]:
        found: dict[tuple[str, tuple[str, ...]], list[Copy]] = defaultdict(list)
        for copy in self._own_copies():
            found[copy.card, copy.passes].append(copy)
        return found

    def _copy_findings(
        self, copies: Mapping[tuple[str, tuple[str, ...]], list[Copy]]
    ) -> Iterator[Finding]:
        """Every reel is copied as often as asked, one copy after the other, each in time."""
        asked = self.scene.shoot.copying
        numbers = list(range(1, asked.copies + 1)) if asked.laptops else []
        known = {_key(reel) for reel in self.reels}
        for key in sorted(set(copies) - known):
            wrong = f"{key[0]} is copied with {', '.join(key[1])}"
            yield self._finding("media-copy", wrong, "Copy what is on a card, all of it")
        for reel in self.reels:
            row = sorted(copies.get(_key(reel), []), key=lambda copy: copy.number)
            if [copy.number for copy in row] != numbers:
                wrong = f"{reel.card} has copies {', '.join(str(c.number) for c in row) or 'none'}"
                yield self._finding("media-copy", wrong, f"It takes {len(numbers)}")
            for copy in row:
                yield from self._one_copy(reel, copy)
            for one, other in pairwise(row):
                if minute(self.scene, other.start) < minute(self.scene, one.end) - SLACK_MIN:
                    wrong = f"two copies of {reel.card} are made at the same time"
                    yield self._finding("media-copy", wrong, "One after the other")

    def _one_copy(self, reel: Written, copy: Copy) -> Iterator[Finding]:
        start, end = minute(self.scene, copy.start), minute(self.scene, copy.end)
        rate = self.scene.shoot.copying.read_mb_s
        needed = max(1, ceil(reel.gb * 1000 / rate / 60 - 1e-9))
        if abs(copy.gb - reel.gb) > _SLACK or end - start < needed - SLACK_MIN:
            wrong = f"{copy.card}: {copy.gb:.3f} GB in {end - start:.0f} min"
            yield self._finding("media-copy", wrong, f"{reel.gb:.3f} GB take {needed} min")
        if start < reel.free_min - SLACK_MIN:
            wrong = f"{copy.card} is copied from minute {start:.0f} on"
            yield self._finding("media-copy", wrong, f"It is free at {reel.free_min:.1f}")
        if fault := hand_fault(self.scene, copy.start):
            wrong = f"a copy of {copy.card} begins {fault}"
            yield self._finding("media-copy", wrong, "A hand begins it")
        stated = None if copy.needed_by is None else minute(self.scene, copy.needed_by)
        if not _is_same_time(stated, reel.needed_min):
            wrong = f"{copy.card} is needed by minute {stated}"
            yield self._finding("media-copy", wrong, f"It is needed by {reel.needed_min}")

    def _laptop_findings(self) -> Iterator[Finding]:
        """One copy at a time on a laptop."""
        laptops = self.scene.shoot.copying.laptops
        known = {f"laptop/{number}" for number in range(1, laptops + 1)}
        by_laptop: dict[str, list[Copy]] = defaultdict(list)
        for copy in self._own_copies():
            by_laptop[copy.laptop].append(copy)
        for laptop, row in by_laptop.items():
            if laptop not in known:
                yield self._finding("media-laptop", f"{laptop} copies", f"There are {laptops}")
            row.sort(key=lambda copy: minute(self.scene, copy.start))
            for one, other in pairwise(row):
                if minute(self.scene, other.start) < minute(self.scene, one.end) - SLACK_MIN:
                    wrong = f"{one.card} and {other.card} are on {laptop} at the same time"
                    yield self._finding("media-laptop", wrong, "One copy at a time")

    # -- formatting ----------------------------------------------------------------------------

    def _end(
        self, reel: Written, copies: Mapping[tuple[str, tuple[str, ...]], list[Copy]]
    ) -> float:
        """When the last copy of a reel is done; never where there is none."""
        row = copies.get(_key(reel), [])
        if len(row) < self.scene.shoot.copying.copies:
            return float("inf")
        return max(minute(self.scene, copy.end) for copy in row)

    def _is_late(
        self, reel: Written, copies: Mapping[tuple[str, tuple[str, ...]], list[Copy]]
    ) -> bool:
        needed = reel.needed_min
        return needed is not None and self._end(reel, copies) > needed + SLACK_MIN

    def _format_findings(
        self, copies: Mapping[tuple[str, tuple[str, ...]], list[Copy]]
    ) -> Iterator[Finding]:
        """A card that is used again is formatted, and only after its copies."""
        derived = set()
        earlier: dict[str, Written] = {}
        for reel in sorted(self.reels, key=lambda reel: reel.parts[0].index):
            part = reel.parts[0]
            if reel.card in earlier:
                is_late = self._is_late(earlier[reel.card], copies)
                derived.add((reel.card, part.pass_id, part.letter, is_late))
            earlier[reel.card] = reel
        stated = {
            (f.card, f.before, f.letter, f.is_late)
            for f in self.media.formats
            if self._is_own(f.before)
        }
        for card, before, _, is_late in sorted(stated ^ derived):
            words = "too late" if is_late else "in time"
            wrong = f"{card} is formatted {words} before {before}"
            if (card, before) not in {one[:2] for one in stated}:
                wrong = f"{card} is used again in {before} and never formatted"
            yield self._finding("media-format", wrong, "Only after its last copy, and in time")

    # -- spares --------------------------------------------------------------------------------

    def _spare_findings(self) -> Iterator[Finding]:
        stated = {
            (s.pass_id, s.item): (s.units, s.used)
            for s in self.media.spares
            if self._is_own(s.pass_id)
        }
        derived = dict(self._spares())
        for key in sorted({*stated, *derived}):
            if stated.get(key) != derived.get(key):
                wrong = f"{' '.join(key)}: {stated.get(key)} owned and used"
                yield self._finding("media-spare", wrong, f"{derived.get(key)}")

    def _spares(self) -> Iterator[tuple[tuple[str, str], tuple[int, int]]]:
        passes = self.scene.shoot.passes
        for day in dict.fromkeys(map(self.scene.day_of, passes)):
            first = next(each for each in passes if self.scene.day_of(each) == day)
            cards = {p.card for p in self.parts if self.scene.day_of(passes[p.index]) == day}
            owned = (self.scene.units_by_id.get(card) for card in cards)
            items = [unit.item for unit in owned if unit is not None]
            for media in self.scene.kit.of_kind(Media):
                if media.id in items:
                    units = len(self.scene.shared_units(media.id, first))
                    yield (f"{self.shoot_id}/{first.id}", media.id), (units, items.count(media.id))


def _key(reel: Written) -> tuple[str, tuple[str, ...]]:
    return reel.card, tuple(part.pass_id for part in reel.parts)


def _are_close(one: Sequence[float], other: Sequence[float]) -> bool:
    return all(
        a == b or abs(a - b) <= _SLACK * max(1.0, abs(b)) for a, b in zip(one, other, strict=True)
    )


def _is_same_time(one: float | None, other: float | None) -> bool:
    """Whether the first is the second, rounded down to whole minutes."""
    if one is None or other is None:
        return one is other
    return -SLACK_MIN <= other - one < 1
