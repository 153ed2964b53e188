"""Sound: which units record each pass, on what power and cards, and whose recording is the master.

Units are given out in the order of the setups, the same as in the pass before where they can be. A
recorder keeps its card through a day while there is room on it. Where every card is in a camera, it
gets one that a camera filled in an earlier pass: that one has to be copied and formatted first.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from math import ceil, inf

from kitplan.gear.kit import Unit
from kitplan.gear.records import Media, Sound
from kitplan.options.endurance import cannot_be_reached, card_minutes, longest_stretch_min
from kitplan.plan.day.sound import Lack, SongMaster, SoundPlan, SoundRun
from kitplan.plan.records import Placement, Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass, Song
from kitplan.shoot.working import SoundSetup

_SLACK = 1e-9


def sound_of(plan: Plan) -> SoundPlan | None:
    """Return the sound of a plan: of each of its shoots, put together; None where none has any."""
    found = [
        sound_plan(Brief(shoot, plan.kit), shoot_id, placements_of(plan, shoot_id))
        for shoot_id, shoot in plan.shoots.items()
    ]
    parts = [part for part in found if part is not None]
    if not parts:
        return None
    return SoundPlan(
        runs=tuple(run for part in parts for run in part.runs),
        masters=tuple(master for part in parts for master in part.masters),
    )


def placements_of(plan: Plan, shoot_id: str) -> tuple[Placement, ...]:
    """Return the placements of one shoot of a plan."""
    return tuple(p for p in plan.placements if p.pass_id.partition("/")[0] == shoot_id)


def sound_plan(brief: Brief, shoot_id: str, placements: Sequence[Placement]) -> SoundPlan | None:
    """Return the sound of all passes; None where the shoot has no sound setup."""
    if not brief.shoot.sound:
        return None
    giving = _Giving(brief, shoot_id, placements)
    runs = [
        giving.run(each, setup)
        for each in brief.shoot.passes
        for setup in brief.shoot.sound
        if records(setup, each)
    ]
    masters = (_master(brief, shoot_id, song, runs, placements) for song in brief.shoot.songs)
    return SoundPlan(runs=tuple(runs), masters=tuple(masters))


def records(setup: SoundSetup, each: Pass) -> bool:
    """Whether a setup is there in a pass."""
    return setup.passes is None or each.id in setup.passes


def is_touchable(brief: Brief, setup: SoundSetup, each: Pass) -> bool:
    """Whether somebody can get to a setup while a pass runs."""
    positions = {position.id: position for position in brief.shoot.venue.positions}
    at = positions.get(setup.position or "")
    return not (setup.is_out_of_reach or (at is not None and cannot_be_reached(at, each)))


def weakest_minutes(brief: Brief, each: Pass, recorder: Sound) -> float:
    """Return the minutes to plan on from the weakest battery that can be had for a pass."""
    units = brief.shared_units(recorder.battery, each) if recorder.battery is not None else ()
    return recorder_minutes(brief, recorder, min((unit.health for unit in units), default=1.0))


def recorder_minutes(brief: Brief, recorder: Sound, health: float) -> float:
    """Return the minutes to plan on from one battery of a recorder; infinite where it needs none.

    Args:
        health: Of the battery.
    """
    if recorder.battery is None or recorder.battery_min is None:
        return inf
    rules = brief.shoot.rules
    share = rules.battery_measured if recorder.is_measured("battery_min") else rules.battery_assumed
    return recorder.battery_min * share * health


def sound_card_minutes(brief: Brief, recorder: Sound, card: Media) -> float:
    """Return the minutes of sound that fit on a card; infinite where the bit rate is not known."""
    if recorder.bit_rate_mbps is None:
        return inf
    return card_minutes(card.capacity_gb, recorder.bit_rate_mbps, brief.shoot.rules.card_fill)


@dataclass
class _Giving:
    """Units as they are given out, pass by pass."""

    brief: Brief
    shoot_id: str
    placements: Sequence[Placement]
    had: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    """What each setup has had so far."""
    uses: Counter[str] = field(default_factory=Counter)
    taken: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    """Units in use, by pass."""
    filled: dict[tuple[object, str], list[tuple[str, float]]] = field(default_factory=dict)
    """The card in the recorder of a setup on a day, and the minutes that are left on it."""
    sounded: set[tuple[object, str]] = field(default_factory=set)
    """Cards with sound on them, by day."""

    def __post_init__(self) -> None:
        for placement in self.placements:
            self.taken[_own(placement.pass_id)].update(placement.units)
            self.uses.update((*placement.batteries, *placement.cards))

    def run(self, each: Pass, setup: SoundSetup) -> SoundRun:
        """Return a setup in a pass with what it gets."""
        item = self.brief.kit.items_by_id[setup.recorder]
        assert isinstance(item, Sound)  # the brief was checked
        recorder = self._take(each, setup, setup.recorder)
        sources = [(one, self._take(each, setup, one)) for one in setup.sources]
        missing = [setup.recorder] * (recorder is None)
        missing += [one for one, unit in sources if unit is None]
        is_touchable_here = is_touchable(self.brief, setup, each)
        length = self.brief.shoot.length_min(each)
        roll_min = length if is_touchable_here else self.brief.roll_min(each)
        on_mains = setup.has_mains and item.runs_on_mains
        batteries, lacks_power = self._power(each, setup, item, roll_min, on_mains=on_mains)
        cards, lacks_card = self._cards(each, setup, item, roll_min)
        units = tuple(unit for _, unit in sources if unit is not None)
        lasts = is_touchable_here or (len(batteries) <= 1 and len(cards) <= 1)
        return SoundRun(
            pass_id=f"{self.shoot_id}/{each.id}",
            setup=setup.id,
            recorder=recorder,
            sources=units,
            phantom=tuple(u for one, u in sources if u is not None and self._is_phantom(one)),
            is_on_mains=on_mains,
            batteries=batteries,
            cards=cards,
            roll_min=roll_min,
            missing=tuple(missing),
            lacks=(*lacks_power, *lacks_card),
            holds=recorder is not None
            and bool(units)
            and not (lacks_power or lacks_card)
            and lasts
            and self._gaps_suffice(each, item, batteries, cards),
        )

    def _is_phantom(self, item_id: str) -> bool:
        item = self.brief.kit.items_by_id[item_id]
        return isinstance(item, Sound) and item.needs_phantom

    def _take(self, each: Pass, setup: SoundSetup, item: str) -> str | None:
        free = self._free(each, self.brief.shared_units(item, each), setup)
        return self._use(each, setup, free[0].id) if free else None

    def _free(self, each: Pass, units: Iterable[Unit], setup: SoundSetup) -> list[Unit]:
        """Return units that nothing else has in a pass, the best first."""
        free = [unit for unit in units if unit.id not in self.taken[each.id]]
        return sorted(free, key=lambda u: (u.id not in self.had[setup.id], self.uses[u.id]))

    def _use(self, each: Pass, setup: SoundSetup, unit: str) -> str:
        self.taken[each.id].add(unit)
        self.had[setup.id].append(unit)
        self.uses[unit] += 1
        return unit

    # -- power and cards -----------------------------------------------------------------------

    def _power(
        self, each: Pass, setup: SoundSetup, item: Sound, roll_min: float, *, on_mains: bool
    ) -> tuple[tuple[str, ...], list[Lack]]:
        """Return the batteries of a run, and what it lacks."""
        if on_mains:
            return (), []
        if item.battery is None:
            return (), ["mains"] if item.runs_on_mains else []
        number = ceil(roll_min / weakest_minutes(self.brief, each, item) - _SLACK)
        free = self._free(each, self.brief.shared_units(item.battery, each), setup)
        found = tuple(self._use(each, setup, unit.id) for unit in free[:number])
        return found, ["battery"] * (number - len(found))

    def _cards(
        self, each: Pass, setup: SoundSetup, item: Sound, roll_min: float
    ) -> tuple[tuple[str, ...], list[Lack]]:
        """Return the cards of a run, and what it lacks."""
        if item.card_type is None:
            return (), []
        day = self.brief.day_of(each)
        kept = self.filled.setdefault((day, setup.id), [])
        begun = [(card, left) for card, left in kept[-1:] if left >= roll_min - _SLACK]
        chosen = begun or self._new_cards(each, item, roll_min)
        lacking = sum(left for _, left in chosen) < roll_min - _SLACK
        if lacking:
            return (), ["card"]
        for card, left in chosen:
            self._use(each, setup, card)
            self.sounded.add((day, card))
            on_it = min(left, roll_min)
            roll_min -= on_it
            kept[:] = [(card, left - on_it)]
        return tuple(card for card, _ in chosen), []

    def _new_cards(self, each: Pass, item: Sound, roll_min: float) -> list[tuple[str, float]]:
        """Return the smallest card that holds a run, else as many of the largest as it takes."""
        for allow_used in (False, True):
            found = [
                (unit.id, sound_card_minutes(self.brief, item, card))
                for card in self._media(item)
                for unit in self.brief.shared_units(card.id, each)
                if self._is_free_card(each, unit.id, allow_used=allow_used)
            ]
            found.sort(key=lambda one: (one[1], self.uses[one[0]]))
            whole = [one for one in found if one[1] >= roll_min - _SLACK]
            if whole:
                return whole[:1]
            chosen: list[tuple[str, float]] = []
            while found and sum(left for _, left in chosen) < roll_min - _SLACK:
                chosen.append(found.pop())
            if sum(left for _, left in chosen) >= roll_min - _SLACK:
                return chosen
        return []

    def _media(self, item: Sound) -> Iterator[Media]:
        factor = self.brief.shoot.rules.card_speed_factor
        for card in self.brief.kit.of_kind(Media):
            least = (item.bit_rate_mbps or 0.0) * factor
            if card.card_type == item.card_type and card.sustained_mb_s * 8 >= least - _SLACK:
                yield card

    def _is_free_card(self, each: Pass, card: str, *, allow_used: bool) -> bool:
        """Whether nothing else is recorded on a card that day; where used ones will do, whether it
        can be formatted for this pass: a camera filled it in an earlier one that is not over yet.
        """
        shoot, day = self.brief.shoot, self.brief.day_of(each)
        if card in self.taken[each.id] or (day, card) in self.sounded:
            return False
        index = shoot.passes.index(each)
        for number, other in enumerate(shoot.passes):
            can_format = allow_used and number < index and not shoot.past.is_over(other.id)
            is_same_day = self.brief.day_of(other) == day
            if is_same_day and card in self.taken[other.id] and not can_format:
                return False
        return True

    def _gaps_suffice(
        self, each: Pass, item: Sound, batteries: tuple[str, ...], cards: tuple[str, ...]
    ) -> bool:
        """Whether what has to be changed can be changed between songs."""
        rules = self.brief.shoot.rules
        if len(batteries) > 1:
            stretch = longest_stretch_min(self.brief, each, rules.battery_swap_s)
            if weakest_minutes(self.brief, each, item) < stretch - _SLACK:
                return False
        if len(cards) > 1:
            stretch = longest_stretch_min(self.brief, each, rules.card_swap_s)
            items = {unit.id: unit.item for unit in self.brief.kit.units}
            media = [self.brief.kit.items_by_id[items[card]] for card in cards]
            smallest = min(
                sound_card_minutes(self.brief, item, m) for m in media if isinstance(m, Media)
            )
            return smallest >= stretch - _SLACK
        return True


def _own(pass_id: str) -> str:
    return pass_id.partition("/")[2]


def _master(
    brief: Brief,
    shoot_id: str,
    song: Song,
    runs: Sequence[SoundRun],
    placements: Sequence[Placement],
) -> SongMaster:
    """Return the recording that a song is laid on: of the first setup that records it in the master
    pass (where that one does not run it, in the first pass that does), else of the safety camera.
    """
    shoot = brief.shoot
    order = (shoot.master, *(each for each in shoot.passes if each.id != shoot.master.id))
    each = next((one for one in order if song in shoot.run_songs(one)), None)
    if each is None:
        return SongMaster(song=song.id, pass_id=None, setup=None, letter=None)
    pass_id = f"{shoot_id}/{each.id}"
    setup = next((run.setup for run in runs if run.pass_id == pass_id and run.holds), None)
    letter = None if setup else scratch_letter(brief, pass_id, placements)
    return SongMaster(song=song.id, pass_id=pass_id, setup=setup, letter=letter)


def scratch_letter(brief: Brief, pass_id: str, placements: Sequence[Placement]) -> str | None:
    """Return the camera whose scratch sound is used: the safety, else the first by letter."""
    safety = {role.id for role in brief.roles if role.is_safety}
    here = [p for p in placements if p.pass_id == pass_id]
    here.sort(key=lambda p: (not safety & set(p.roles), p.letter))
    return here[0].letter if here else None
