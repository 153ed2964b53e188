"""Charging, copying and sound of one gap as tasks for its schedule.

The schedule chooses bay, laptop, hands and times; how far each battery has to be charged, by when,
and which cards have to be copied follows from the power and media of the plan. Only what later
passes need is a task: cards that are not used again are copied when there is time.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import ceil

from kitplan.day.minutes import Minutes
from kitplan.day.power.charging import charger_units, sockets_for_chargers
from kitplan.day.power.curve import FULL, curve_of
from kitplan.day.power.model import ChargerUnit
from kitplan.day.power.uses import swap_minutes
from kitplan.day.sound import records
from kitplan.day.work.gaps import More
from kitplan.day.work.task import Amounts, Machine, Resource, Task
from kitplan.gear.records import Sound
from kitplan.plan.day.media import Copy, Format, MediaPlan
from kitplan.plan.day.power import Charge, PowerPlan
from kitplan.plan.day.sound import SoundPlan, SoundRun
from kitplan.plan.heard import units_of
from kitplan.shoot.brief import Brief
from kitplan.shoot.gaps import Stretch
from kitplan.shoot.records import Pass, Person
from kitplan.shoot.working import SoundSetup
from kitplan.tables import table
from kitplan.units import SECONDS_PER_MINUTE

LAPTOP = "laptop"


@dataclass(frozen=True)
class Between:
    """The gap between two passes of a shoot, and who is there to work in it."""

    brief: Brief
    shoot_id: str
    after: Pass | None
    """None before the first pass."""
    before: Pass | None
    """None after the last one."""
    begin: datetime
    crew: tuple[Person, ...]
    is_dark: bool = False

    def seconds(self, moment: datetime) -> int:
        """Return whole seconds from the beginning of the gap to a moment, rounded down."""
        return int((moment - self.begin).total_seconds() // 1)

    def able(self, seconds: float, *, is_slowed: bool = False) -> Amounts:
        """Return everybody with the seconds that a hand takes; darkness and a first time make work
        longer, but not a change of battery or card.
        """
        rules = self.brief.shoot.rules
        dark = rules.dark_factor if is_slowed and self.is_dark else 1.0
        return tuple(
            (person.id, ceil(seconds * dark * factor))
            for person in self.crew
            for factor in [rules.first_time_factor if is_slowed and person.is_first_time else 1.0]
        )

    def pass_id(self, each: Pass) -> str:
        """Return the id of a pass in the plan."""
        return f"{self.shoot_id}/{each.id}"


def also_of(
    brief: Brief,
    shoot_id: str,
    sound: SoundPlan | None,
    power: PowerPlan | None,
    media: MediaPlan | None,
) -> Callable[[Stretch, tuple[Person, ...]], More]:
    """Return what to hand to `day_work`: all that sound, power and media ask of a gap."""

    def also(stretch: Stretch, crew: tuple[Person, ...]) -> More:
        gap = Between(
            brief, shoot_id, stretch.after, stretch.before, stretch.begin, crew, stretch.is_dark
        )
        tasks = (
            *(charge_tasks(gap, power) if power else ()),
            *(copy_tasks(gap, media) if media else ()),
            *(sound_tasks(gap, sound, media) if sound else ()),
        )
        return More(tasks, supply_resources(brief))

    return also


def supply_resources(brief: Brief) -> tuple[Resource, ...]:
    """Return what the tasks take: chargers with their bays, laptops."""
    chargers = [Resource(charger.id, charger.bays) for charger in charger_units(brief)]
    return (*chargers, Resource(LAPTOP, brief.shoot.copying.laptops))


# -- charging --------------------------------------------------------------------------------------


def charge_tasks(gap: Between, power: PowerPlan) -> tuple[Task, ...]:
    """Return the charges that are put in in a gap, and those of earlier ones that still run."""
    own = [c for c in power.charges if c.for_pass.partition("/")[0] == gap.shoot_id]
    if gap.after is None or gap.before is None:
        return ()
    here = [c for c in own if gap.begin <= c.start <= gap.before.start]
    running = [c for c in own if c.start < gap.begin < c.end]
    is_free = _has_socket_for_each(gap, own)
    return (
        *(_running_charge(gap, charge) for charge in running),
        *(_charge_task(gap, power, charge, is_free=is_free) for charge in here),
    )


def _has_socket_for_each(gap: Between, charges: Sequence[Charge]) -> bool:
    """Whether there is a socket for every charger that might be used; otherwise each battery goes
    into the charger that the power of the plan has chosen.
    """
    packs = {charge.unit for charge in charges}
    wanted = [charger for charger in charger_units(gap.brief) if packs & charger.units]
    return len(wanted) <= sockets_for_chargers(gap.brief)


def _running_charge(gap: Between, charge: Charge) -> Task:
    """A bay that is taken from the beginning on."""
    run_s = gap.seconds(charge.end)
    machine = Machine(charge.bay.rpartition("/")[0], run_s)
    return Task(
        id=f"charge-on/{charge.unit}",
        kind="charge",
        run_s=run_s,
        machines=(machine,),
        latest_s=run_s,
        units=(charge.unit,),
    )


def _charge_task(gap: Between, power: PowerPlan, charge: Charge, *, is_free: bool) -> Task:
    shoot, minutes = gap.brief.shoot, Minutes(gap.brief.shoot)
    assert gap.after is not None  # nothing is charged before the first pass
    number = {gap.pass_id(each): index for index, each in enumerate(shoot.passes)}
    uses = [use for use in power.uses if use.unit == charge.unit and use.pass_id in number]
    last = max(number[use.pass_id] for use in uses if number[use.pass_id] < number[charge.for_pass])
    free = minutes.at(minutes.spans[last][1] + swap_minutes(gap.brief))
    letter = next(use.letter for use in uses if use.pass_id == charge.for_pass)
    chargers = [
        charger
        for charger in charger_units(gap.brief)
        if charge.unit in charger.units
        and {last, number[charge.for_pass]} <= charger.passes
        and (is_free or charger.id == charge.bay.rpartition("/")[0])
    ]
    return Task(
        id=f"charge/{charge.unit}",
        kind="charge",
        people=1,
        able=gap.able(shoot.rules.battery_swap_s),
        hands_s=ceil(shoot.rules.battery_swap_s),
        machines=tuple(_machine(gap, charge, charger) for charger in chargers),
        before=(f"check/{letter}", f"stay/{letter}", f"level/{letter}")
        if _is_by_gate(gap, charge)
        else (),
        earliest_s=max(0, gap.seconds(free)),
        latest_s=gap.seconds(_latest(gap, charge)),
        letter=letter,
        units=(charge.unit,),
    )


def _latest(gap: Between, charge: Charge) -> datetime:
    """Return when a battery has to be out of its bay; what can be charged by the next downbeat is,
    so that the bays are free then.
    """
    assert gap.before is not None  # nothing is charged after the last pass
    if charge.end <= gap.before.start:
        return min(charge.needed_by, gap.before.start)
    return charge.needed_by


def _is_by_gate(gap: Between, charge: Charge) -> bool:
    """Whether a battery has to be in its body before the doors: then its check waits for it."""
    if gap.before is None or charge.for_pass != gap.pass_id(gap.before):
        return False
    return charge.needed_by < (gap.before.doors or gap.before.start)


def _machine(gap: Between, charge: Charge, charger: ChargerUnit) -> Machine:
    """How long a charger takes for what is needed."""
    begin, end = (round(share * FULL) for share in (charge.from_share, charge.to_share))
    minutes = curve_of(gap.brief.shoot.rules).minutes(charger.minutes, begin, end)
    return Machine(charger.id, round(minutes * SECONDS_PER_MINUTE))


# -- copying ---------------------------------------------------------------------------------------


def copy_tasks(gap: Between, media: MediaPlan) -> tuple[Task, ...]:
    """Return the copies of cards that are used again, those that the media of the plan makes in
    this gap, and the formatting of those that the next pass uses.
    """
    if gap.after is None or gap.before is None or not gap.brief.shoot.copying.laptops:
        return ()
    before, prefix = gap.pass_id(gap.before), f"{gap.shoot_id}/"
    here = [
        copy
        for copy in media.copies
        if copy.passes[0].startswith(prefix)
        and copy.needed_by is not None
        and gap.begin <= copy.start <= gap.before.start
    ]
    here.sort(key=lambda copy: (copy.card, copy.passes, copy.number))
    formats = [one for one in media.formats if one.before == before]
    return (
        *(_copy_task(gap, copy, here) for copy in here),
        *(_format_task(gap, one, here) for one in formats),
    )


def _copy_task(gap: Between, copy: Copy, here: Sequence[Copy]) -> Task:
    rules, needed = gap.brief.shoot.rules, copy.needed_by
    assert needed is not None  # the caller asks for cards that are used again
    earlier = [c for c in here if _reel(c) == _reel(copy) and c.number == copy.number - 1]
    return Task(
        id=_copy_id(copy),
        kind="copy",
        people=1,
        able=gap.able(rules.copy_hand_s),
        hands_s=ceil(rules.copy_hand_s),
        machines=(Machine(LAPTOP, int((copy.end - copy.start).total_seconds())),),
        after=tuple(map(_copy_id, earlier)),
        earliest_s=_free_s(gap, copy),
        latest_s=gap.seconds(needed),
        units=(copy.card,),
    )


def _copy_id(copy: Copy) -> str:
    return f"copy/{copy.card}/{copy.number}"


def _reel(copy: Copy) -> tuple[str, tuple[str, ...]]:
    return copy.card, copy.passes


def _format_task(gap: Between, one: Format, here: Sequence[Copy]) -> Task:
    """After the copies that are made in this gap, in time for the pass."""
    rules, own = gap.brief.shoot.rules, [copy for copy in here if copy.card == one.card]
    format_s = round(ceil(rules.format_s / SECONDS_PER_MINUTE) * SECONDS_PER_MINUTE)
    needed = [gap.seconds(copy.needed_by) + format_s for copy in own if copy.needed_by]
    return Task(
        id=f"format/{one.card}",
        kind="format",
        people=1,
        able=gap.able(rules.format_s),
        after=tuple(map(_copy_id, own)),
        latest_s=min(needed, default=None),
        letter=one.letter,
        units=(one.card,),
    )


def _free_s(gap: Between, copy: Copy) -> int:
    """Return when a card is out of its camera, in whole minutes of the day as the media count."""
    minutes, passes = Minutes(gap.brief.shoot), gap.brief.shoot.passes
    index = [gap.pass_id(each) for each in passes].index(copy.passes[-1])
    out_min = ceil(gap.brief.shoot.rules.card_swap_s / SECONDS_PER_MINUTE)
    return max(0, gap.seconds(minutes.at(minutes.spans[index][1] + out_min)))


# -- sound -----------------------------------------------------------------------------------------


def sound_tasks(gap: Between, sound: SoundPlan, media: MediaPlan | None = None) -> tuple[Task, ...]:
    """Return what is to be done for the sound: strike what is not needed next or stands with other
    units, set up what did not stand, and check the levels of each.

    A card that is copied and formatted in this gap goes in when it is formatted, not before.
    """
    before = gap.before and gap.pass_id(gap.before)
    later = {one.card for one in media.formats if one.before == before} if media else set[str]()
    return tuple(
        task for setup in gap.brief.shoot.sound for task in _setup_tasks(gap, setup, sound, later)
    )


def _setup_tasks(
    gap: Between, setup: SoundSetup, sound: SoundPlan, later: Collection[str]
) -> Iterator[Task]:
    one, other = (_run_of(gap, setup, sound, each) for each in (gap.after, gap.before))
    stays = one is not None and other is not None and _stands(one) == _stands(other)
    setup_min, strike_min = _minutes(gap.brief, setup)
    down: tuple[str, ...] = ()
    if one is not None and not stays:
        down = (f"sound-down/{setup.id}",)
        yield _sound_task(gap, setup, down[0], strike_min, (), units_of(one))
    if other is None:
        return
    units = tuple(unit for unit in units_of(other) if unit not in later)
    if not stays:
        up = f"sound-up/{setup.id}"
        yield _sound_task(gap, setup, up, setup_min, down, units)
        down = (up,)
    level_min = gap.brief.shoot.rules.level_check_min
    yield _sound_task(gap, setup, f"level/{setup.id}", level_min, down, units)


def _run_of(
    gap: Between, setup: SoundSetup, sound: SoundPlan, each: Pass | None
) -> SoundRun | None:
    if each is None or not records(setup, each):
        return None
    key = (gap.pass_id(each), setup.id)
    return next((run for run in sound.runs if (run.pass_id, run.setup) == key), None)


def _stands(run: SoundRun) -> tuple[str | None, tuple[str, ...]]:
    return run.recorder, run.sources


def _minutes(brief: Brief, setup: SoundSetup) -> tuple[float, float]:
    """Return the minutes to set up and to strike: what its things give, else the table's."""
    usual = table("setup_minutes")["sound"]
    items = [brief.kit.items_by_id[one] for one in (setup.recorder, *setup.sources)]
    heard = [item for item in items if isinstance(item, Sound)]
    up = [item.setup_min for item in heard if item.setup_min is not None]
    down = [item.strike_min for item in heard if item.strike_min is not None]
    return sum(up) if up else usual["setup_min"], sum(down) if down else usual["strike_min"]


def _sound_task(
    gap: Between,
    setup: SoundSetup,
    task_id: str,
    minutes: float,
    after: tuple[str, ...],
    units: tuple[str, ...],
) -> Task:
    return Task(
        id=task_id,
        kind="sound",
        people=1,
        able=gap.able(minutes * SECONDS_PER_MINUTE, is_slowed=True),
        after=after,
        letter=setup.id,
        position=setup.position,
        units=units,
    )
