"""The check of the sound: units, power, cards, and whose recording is the master (docs/model.md,
Sound).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import ceil, inf

from kitplan.gear.records import Media, Sound
from kitplan.plan.day.sound import SongMaster, SoundPlan, SoundRun
from kitplan.plan.records import Plan
from kitplan.plan.verify.day.packs import item_of
from kitplan.plan.verify.findings import Finding
from kitplan.plan.verify.lasting import MEGABITS_PER_GIGABYTE
from kitplan.plan.verify.scene import Scene, is_unreachable
from kitplan.shoot.records import Pass, Song
from kitplan.shoot.working import SoundSetup

WHERE = "sound"
_SLACK = 1e-6


def sound_findings(plan: Plan, scenes: Mapping[str, Scene]) -> Iterator[Finding]:
    """Yield what does not hold in the sound of a plan; scenes by shoot id."""
    sound = plan.day.sound if plan.day else None
    if sound is None:
        return
    known = set(plan.pass_ids())
    for run in sound.runs:
        if run.pass_id not in known:
            yield Finding(
                "sound-run", WHERE, f"{run.pass_id} is no pass", "Name passes of the plan"
            )
    masters: list[SongMaster] = []
    for shoot_id, scene in scenes.items():
        if scene.shoot.sound:
            check = _Check(plan, shoot_id, scene, sound)
            yield from check.findings()
            masters += map(check.master, scene.shoot.songs)
    if list(sound.masters) != masters:
        odd = [one for one in sound.masters if one not in masters]
        wrong = ", ".join(f"{m.song} from {m.setup or m.letter or 'nobody'}" for m in odd) or "some"
        right = "The first setup that records it in the master pass, else the safety camera"
        yield Finding("sound-master", WHERE, f"masters: {wrong}", right)


@dataclass(frozen=True)
class _Check:
    """The sound of one shoot."""

    plan: Plan
    shoot_id: str
    scene: Scene
    sound: SoundPlan

    def _finding(self, rule: str, run: SoundRun, wrong: str, right: str) -> Finding:
        return Finding(rule, f"{WHERE}, {run.pass_id}, {run.setup}", wrong, right)

    def _runs(self, each: Pass) -> list[SoundRun]:
        pass_id = f"{self.shoot_id}/{each.id}"
        return [run for run in self.sound.runs if run.pass_id == pass_id]

    def findings(self) -> Iterator[Finding]:
        """Yield everything that does not hold but the masters."""
        setups = {setup.id: setup for setup in self.scene.shoot.sound}
        for each in self.scene.shoot.passes:
            runs = self._runs(each)
            wanted = [s.id for s in setups.values() if s.passes is None or each.id in s.passes]
            if [run.setup for run in runs] != wanted:
                wrong = f"{each.id} has {', '.join(run.setup for run in runs) or 'no sound'}"
                right = f"Its setups are {', '.join(wanted) or 'none'}"
                yield Finding("sound-run", WHERE, wrong, right)
                continue
            for run in runs:
                yield from self._run_findings(each, setups[run.setup], run)
            yield from self._twice_findings(each, runs)

    # -- one run -------------------------------------------------------------------------------

    def _run_findings(self, each: Pass, setup: SoundSetup, run: SoundRun) -> Iterator[Finding]:
        recorder = self.scene.kit.items_by_id.get(setup.recorder)
        if not isinstance(recorder, Sound):
            yield self._finding("sound-units", run, f"{setup.recorder} records", "No recorder")
            return
        yield from self._unit_findings(each, setup, run)
        roll_min = self.scene.length_min(each)
        if not self._is_touchable(each, setup):
            roll_min = self.scene.roll_min(each)
        if abs(run.roll_min - roll_min) > _SLACK:
            wrong = f"it rolls for {run.roll_min:.1f} min"
            yield self._finding("sound-roll", run, wrong, f"It has to for {roll_min:.1f}")
        if run.is_on_mains != (setup.has_mains and recorder.runs_on_mains):
            right = "Mains where there is a socket and the recorder can"
            yield self._finding("sound-power", run, f"on mains: {run.is_on_mains}", right)
        yield from self._battery_findings(each, run, recorder, roll_min)
        yield from self._card_findings(each, run, recorder, roll_min)
        if run.holds != self._holds(each, setup, run, recorder):
            wrong = f"it is said to {'hold' if run.holds else 'fail'}"
            right = "It holds with recorder, a source, power and a card that last"
            yield self._finding("sound-roll", run, wrong, right)

    def _is_touchable(self, each: Pass, setup: SoundSetup) -> bool:
        at = self.scene.positions_by_id.get(setup.position or "")
        return not (setup.is_out_of_reach or (at is not None and is_unreachable(at, each)))

    def _unit_findings(self, each: Pass, setup: SoundSetup, run: SoundRun) -> Iterator[Finding]:
        """Recorder and sources are units of what is asked for; what lacks is not to be had."""
        asked = Counter([setup.recorder, *setup.sources])
        units = [*([run.recorder] if run.recorder else []), *run.sources]
        given = Counter(self._item(unit) for unit in units)
        missing = Counter(run.missing)
        is_right_recorder = run.recorder is None or (
            (owned := item_of(self.scene, run.recorder)) is not None and owned.id == setup.recorder
        )
        if given + missing != asked or not is_right_recorder:
            wrong = f"it has {', '.join(units)} and lacks {', '.join(missing) or 'nothing'}"
            right = f"It asks for {', '.join(sorted(asked.elements()))}"
            yield self._finding("sound-units", run, wrong, right)
        phantom = [u for u in run.sources if _needs_phantom(self.scene, u)]
        if sorted(run.phantom) != sorted(phantom):
            wrong = f"phantom power for {', '.join(run.phantom) or 'nothing'}"
            right = f"For {', '.join(phantom) or 'nothing'}"
            yield self._finding("sound-phantom", run, wrong, right)
        free = self._free(each)
        for item in missing:
            if left := [u for u in free if self.scene.units_by_id[u].item == item]:
                wrong = f"it is said to lack a {item}"
                yield self._finding("sound-units", run, wrong, f"{left[0]} is free")

    def _item(self, unit_id: str) -> str:
        """Return the id of a unit's item; of what is not known its own."""
        item = item_of(self.scene, unit_id)
        return item.id if item else unit_id

    def _used(self, each: Pass) -> list[str]:
        """Units in use in a pass, by cameras and sound."""
        found: list[str] = []
        for placement in self.plan.placements_in(f"{self.shoot_id}/{each.id}"):
            found += placement.units
        for run in self._runs(each):
            found += [*([run.recorder] if run.recorder else []), *run.sources]
            found += [*run.batteries, *run.cards]
        return found

    def _free(self, each: Pass) -> list[str]:
        """Units that anybody can use and nobody does in a pass."""
        used = set(self._used(each))
        return [
            unit.id
            for unit in self.scene.kit.units
            if unit.id not in used and unit in self.scene.shared_units(unit.item, each)
        ]

    def _twice_findings(self, each: Pass, runs: list[SoundRun]) -> Iterator[Finding]:
        number = Counter(self._used(each))
        for run in runs:
            own = [*([run.recorder] if run.recorder else []), *run.sources]
            for unit in (*own, *run.batteries, *run.cards):
                if number[unit] > 1:
                    yield self._finding("sound-units", run, f"{unit} is in use twice", "Only once")
                known = self.scene.units_by_id.get(unit)
                if known is None or known not in self.scene.shared_units(known.item, each):
                    right = "Units that can be used on that day"
                    yield self._finding("sound-units", run, f"{unit} is not there", right)

    # -- power and cards -----------------------------------------------------------------------

    def _battery_min(self, each: Pass, recorder: Sound) -> float:
        if recorder.battery is None or recorder.battery_min is None:
            return inf
        rules = self.scene.shoot.rules
        is_measured = "battery_min" in recorder.measured
        share = rules.battery_measured if is_measured else rules.battery_assumed
        units = self.scene.shared_units(recorder.battery, each)
        return recorder.battery_min * share * min((u.health for u in units), default=1.0)

    def _battery_findings(
        self, each: Pass, run: SoundRun, recorder: Sound, roll_min: float
    ) -> Iterator[Finding]:
        items = set(map(self._item, run.batteries))
        if items - {recorder.battery}:
            wrong = f"it runs on {', '.join(run.batteries)}"
            yield self._finding("sound-power", run, wrong, f"It takes {recorder.battery}")
        needed = 0
        if not run.is_on_mains and recorder.battery is not None:
            needed = ceil(roll_min / self._battery_min(each, recorder) - 1e-9)
        lacking = run.lacks.count("battery")
        if len(run.batteries) + lacking != needed:
            wrong = f"it has {len(run.batteries)} batteries and lacks {lacking}"
            yield self._finding("sound-power", run, wrong, f"It needs {needed}")
        free = [u for u in self._free(each) if self.scene.units_by_id[u].item == recorder.battery]
        if lacking and free:
            wrong = "it is said to lack a battery"
            yield self._finding("sound-power", run, wrong, f"{free[0]} is free")
        lacks_mains = recorder.battery is None and recorder.runs_on_mains and not run.is_on_mains
        if lacks_mains != ("mains" in run.lacks):
            wrong = f"mains is missing: {not lacks_mains}"
            yield self._finding("sound-power", run, wrong, "Where it has nothing else to run on")

    def _card_min(self, recorder: Sound, card: str) -> float:
        """Minutes that fit on a card; 0 where it is of the wrong kind or too slow."""
        media, rules = item_of(self.scene, card), self.scene.shoot.rules
        rate = recorder.bit_rate_mbps or 0.0
        if not isinstance(media, Media) or media.card_type != recorder.card_type:
            return 0.0
        if media.sustained_mb_s * 8 < rate * rules.card_speed_factor - 1e-9:
            return 0.0
        megabits = media.capacity_gb * MEGABITS_PER_GIGABYTE * rules.card_fill
        return megabits / rate / 60 if rate else inf

    def _card_findings(
        self, each: Pass, run: SoundRun, recorder: Sound, roll_min: float
    ) -> Iterator[Finding]:
        if recorder.card_type is None:
            if run.cards or "card" in run.lacks:
                yield self._finding("sound-card", run, "it has a card", "It takes none")
            return
        room = [self._card_min(recorder, card) - self._taken(each, run, card) for card in run.cards]
        if "card" in run.lacks:
            whole = [c for c in self._fresh(each) if self._card_min(recorder, c) >= roll_min]
            if run.cards or whole:
                wrong = "it is said to lack a card"
                yield self._finding("sound-card", run, wrong, f"{(*run.cards, *whole)[0]} will do")
        elif sum(room) < roll_min - _SLACK or any(one <= 0 for one in room):
            wrong = f"its cards {', '.join(run.cards)} hold {sum(room):.1f} min"
            yield self._finding("sound-card", run, wrong, f"It records {roll_min:.1f} min")
        for card in run.cards:
            if other := self._also_on(each, run, card):
                wrong = f"{card} is also in {other} that day"
                yield self._finding("sound-card", run, wrong, "A card that nothing else fills then")

    def _taken(self, each: Pass, run: SoundRun, card: str) -> float:
        """Minutes that a setup has recorded on a card in earlier passes of the day."""
        return sum(
            other.roll_min
            for earlier in self._same_day(each)[: self._place(each)]
            for other in self._runs(earlier)
            if other.setup == run.setup and card in other.cards
        )

    def _same_day(self, each: Pass) -> list[Pass]:
        day = self.scene.day_of(each)
        return [one for one in self.scene.shoot.passes if self.scene.day_of(one) == day]

    def _place(self, each: Pass) -> int:
        return [one.id for one in self._same_day(each)].index(each.id)

    def _also_on(self, each: Pass, run: SoundRun, card: str) -> str | None:
        """Return what else fills a card that day: another setup, or a camera of a later pass, or of
        one that is over. One of an earlier pass is copied and formatted in between.
        """
        for place, other in enumerate(self._same_day(each)):
            for one in self._runs(other):
                if one.setup != run.setup and card in one.cards:
                    return one.setup
            is_ruled_out = place >= self._place(each) or other.id in self.scene.shoot.past.passes
            for placement in self.plan.placements_in(f"{self.shoot_id}/{other.id}"):
                if card in placement.cards and is_ruled_out:
                    return f"camera {placement.letter}"
        return None

    def _fresh(self, each: Pass) -> list[str]:
        """Cards that nothing records on all day."""
        used = {unit for other in self._same_day(each) for unit in self._used(other)}
        return [unit for unit in self._free(each) if unit not in used]

    def _holds(self, each: Pass, setup: SoundSetup, run: SoundRun, recorder: Sound) -> bool:
        if run.recorder is None or not run.sources or run.lacks:
            return False
        if not self._is_touchable(each, setup):
            return len(run.batteries) <= 1 and len(run.cards) <= 1
        rules = self.scene.shoot.rules
        if len(run.batteries) > 1:
            stretch = self._stretch_min(each, rules.battery_swap_s)
            if self._battery_min(each, recorder) < stretch - _SLACK:
                return False
        if len(run.cards) > 1:
            stretch = self._stretch_min(each, rules.card_swap_s)
            return min(self._card_min(recorder, card) for card in run.cards) >= stretch - _SLACK
        return True

    def _stretch_min(self, each: Pass, gap_s: float) -> float:
        """Longest stretch in minutes without a gap between songs of at least so many seconds."""
        longest = length = 0.0
        for song in self.scene.run_songs(each):
            length += song.length_s
            longest = max(longest, length)
            length = 0.0 if song.gap_s >= gap_s - 1e-9 else length + song.gap_s
        return longest / 60

    # -- masters -------------------------------------------------------------------------------

    def master(self, song: Song) -> SongMaster:
        """Return the recording that a song is laid on."""
        shoot = self.scene.shoot
        order = [shoot.master, *(one for one in shoot.passes if one.id != shoot.master.id)]
        running = [one for one in order if song in self.scene.run_songs(one)]
        if not running:
            return SongMaster(song=song.id, pass_id=None, setup=None, letter=None)
        pass_id = f"{self.shoot_id}/{running[0].id}"
        holding = [run.setup for run in self._runs(running[0]) if run.holds]
        if holding:
            return SongMaster(song=song.id, pass_id=pass_id, setup=holding[0], letter=None)
        safety = {role.id for role in self.scene.roles if role.is_safety}
        cameras = self.plan.placements_in(pass_id)
        first = [c.letter for c in cameras if safety & set(c.roles)] + [c.letter for c in cameras]
        letter = first[0] if first else None
        return SongMaster(song=song.id, pass_id=pass_id, setup=None, letter=letter)


def _needs_phantom(scene: Scene, unit: str) -> bool:
    item = item_of(scene, unit)
    return isinstance(item, Sound) and item.needs_phantom
