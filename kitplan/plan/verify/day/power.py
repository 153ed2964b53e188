"""The check of the power: batteries, charges, bays, sockets, spares (docs/model.md, Power)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from fractions import Fraction
from itertools import pairwise
from math import ceil

from kitplan.gear.kit import Unit
from kitplan.gear.records import Battery, Charger
from kitplan.plan.day.power import Charge, PackUse, PowerPlan
from kitplan.plan.records import Plan
from kitplan.plan.verify.day.clock import SLACK_MIN, begin_of, end_of, hand_fault, minute
from kitplan.plan.verify.day.packs import Drawn, powered
from kitplan.plan.verify.findings import Finding
from kitplan.plan.verify.scene import Scene
from kitplan.shoot.records import Pass

GRAIN = 0.001
"""Charge is counted in thousandths of a full battery."""
_SLACK = 1e-6
WHERE = "power"


def power_findings(plan: Plan, scenes: Mapping[str, Scene]) -> Iterator[Finding]:
    """Yield what does not hold in the power of a plan; scenes by shoot id."""
    power = plan.day.power if plan.day else None
    if power is None:
        return
    checks = [_Check(plan, shoot_id, scene, power) for shoot_id, scene in scenes.items()]
    known = set(plan.pass_ids())
    for stray in sorted({use.pass_id for use in power.uses} | {c.for_pass for c in power.charges}):
        if stray not in known:
            yield Finding("power-use", WHERE, f"{stray} is no pass", "Name passes of the plan")
    for check in checks:
        yield from check.findings()
    yield from _value_findings(power, checks)


def _value_findings(power: PowerPlan, checks: Sequence[_Check]) -> Iterator[Finding]:
    short = [use for use in power.uses if use.is_short]
    value = (
        len(short),
        sum(_grains(use.minutes / use.full_min) - round(use.before / GRAIN) for use in short),
        len(power.charges),
        sum(check.ends for check in checks),
    )
    if power.value != value:
        wrong = f"its goals are given as {_numbers(power.value)}"
        yield Finding("power-value", WHERE, wrong, f"They are {_numbers(value)}")
    is_bound = len(power.bound) == len(value) and all(
        bound <= reached for bound, reached in zip(power.bound, value, strict=True)
    )
    proven = slice(-1) if power.is_settled else slice(None)
    if not is_bound or power.is_proven != (power.bound[proven] == power.value[proven]):
        wrong = f"bounds {_numbers(power.bound)} do not go with values {_numbers(power.value)}"
        yield Finding("power-value", WHERE, wrong, "No bound is above what was reached")
    if bool(short) != bool(power.way_out):
        wrong = "a way out is given where every battery lasts"
        if short:
            wrong = "no way out is given, but a battery does not last"
        yield Finding("power-short", WHERE, wrong, "Give one where a battery does not last")


def _numbers(values: Sequence[int]) -> str:
    return ", ".join(map(str, values))


def _grains(share: float) -> int:
    return ceil(share / GRAIN - _SLACK)


def _second(begin: datetime, seconds: int) -> datetime | None:
    """Return a moment of a gap; None where there is none so late."""
    try:
        return begin + timedelta(seconds=seconds)
    except OverflowError:
        return None


@dataclass
class _Check:
    """The power of one shoot."""

    plan: Plan
    shoot_id: str
    scene: Scene
    power: PowerPlan
    ends: int = field(init=False)

    def __post_init__(self) -> None:
        prefix = f"{self.shoot_id}/"
        self.uses = [use for use in self.power.uses if use.pass_id.startswith(prefix)]
        self.charges = [c for c in self.power.charges if c.for_pass.startswith(prefix)]
        self.ends = sum(round(minute(self.scene, charge.end)) for charge in self.charges)
        self.powered = powered(self.plan, self.shoot_id, self.scene)
        self.use_of = {(use.pass_id, use.unit): use for use in self.uses}
        self.swap_min = ceil(self.scene.shoot.rules.battery_swap_s / 60 - _SLACK)

    def findings(self) -> Iterator[Finding]:
        """Yield everything that does not hold."""
        stated = sorted((use.pass_id, use.letter, use.unit) for use in self.uses)
        derived = sorted((d.pass_id, d.letter, d.unit) for d in self.powered.drawn)
        if stated != derived:
            odd = set(stated) ^ set(derived) or set(stated)
            right = "Every battery of a placement that runs stands there once"
            yield self._finding("power-use", ", ".join(map(" ".join, sorted(odd))), right)
            return
        mains = sorted((m.pass_id, m.letter) for m in self.power.mains)
        own = [one for one in mains if one[0].startswith(f"{self.shoot_id}/")]
        if own != sorted(self.powered.mains):
            right = "Mains where the position has it and the body can"
            yield self._finding("power-mains", f"mains: {', '.join(map(' '.join, own))}", right)
        yield from self._drawn_findings()
        yield from self._chain_findings()
        yield from self._charge_findings()
        if self.power.is_settled:
            yield from self._settled_findings()
        yield from self._bay_findings()
        yield from self._socket_findings()
        yield from self._spare_findings()

    def _finding(self, rule: str, wrong: str, right: str) -> Finding:
        return Finding(rule, WHERE, wrong, right)

    # -- uses ----------------------------------------------------------------------------------

    def _drawn_findings(self) -> Iterator[Finding]:
        """The minutes that a battery runs and would last are what follows from the plan."""
        for drawn in self.powered.drawn:
            use = self.use_of[drawn.pass_id, drawn.unit]
            pairs = ((use.minutes, drawn.minutes), (use.full_min, drawn.full_min))
            if any(abs(stated - right) > _SLACK for stated, right in pairs):
                wrong = (
                    f"{use.unit} runs {use.minutes:.3f} of {use.full_min:.3f} min in {use.pass_id}"
                )
                right = f"It runs {drawn.minutes:.3f} of {drawn.full_min:.3f} min"
                yield self._finding("power-minutes", wrong, right)

    def _chain_findings(self) -> Iterator[Finding]:
        """Charge is full at first, falls by what a pass takes, and rises only in a bay."""
        held: dict[str, float] = {}
        by_need = {(c.for_pass, c.unit): c for c in self.charges}
        for drawn in self.powered.drawn:
            use = self.use_of[drawn.pass_id, drawn.unit]
            before = held.get(use.unit, 1.0)
            charge = by_need.get((use.pass_id, use.unit))
            if charge is not None:
                if use.unit not in held or abs(charge.from_share - before) > _SLACK:
                    wrong = f"{use.unit} is charged from {charge.from_share:.3f}"
                    yield self._finding("power-charge", wrong, f"It holds {before:.3f} then")
                before = charge.to_share
            after = max(0.0, before - _grains(drawn.minutes / drawn.full_min) * GRAIN)
            if abs(use.before - before) > _SLACK or abs(use.after - after) > _SLACK:
                wrong = f"{use.unit} goes from {use.before:.3f} to {use.after:.3f} in {use.pass_id}"
                yield self._finding("power-charge", wrong, f"From {before:.3f} to {after:.3f}")
            held[use.unit] = after

    # -- charges -------------------------------------------------------------------------------

    def _charge_findings(self) -> Iterator[Finding]:
        needed = {(d.pass_id, d.unit): d for d in self.powered.drawn}
        seen: set[tuple[str, str]] = set()
        for charge in self.charges:
            key = (charge.for_pass, charge.unit)
            drawn = needed.get(key)
            if drawn is None or key in seen:
                right = "One charge between two passes that use a battery, for the second of them"
                yield self._finding("power-charge", f"{charge.unit} for {charge.for_pass}", right)
                continue
            seen.add(key)
            yield from self._one_charge(charge, drawn)

    def _one_charge(self, charge: Charge, drawn: Drawn) -> Iterator[Finding]:
        words = f"{charge.unit} in {charge.bay}"
        previous = self._previous(drawn)
        if previous is None:
            yield self._finding("power-charge", words, "It is full before its first pass")
            return
        start, end = minute(self.scene, charge.start), minute(self.scene, charge.end)
        least, most = end_of(self.scene, previous) + self.swap_min, drawn.due_min - self.swap_min
        if start < least - SLACK_MIN or end > most + SLACK_MIN or end <= start:
            wrong = f"{words} charges from minute {start:.1f} to {end:.1f}"
            yield self._finding("power-time", wrong, f"Between {least:.1f} and {most:.1f}")
        if not -SLACK_MIN <= most - minute(self.scene, charge.needed_by) < 1:
            wrong = f"{words} is needed by {charge.needed_by:%H:%M}"
            yield self._finding("power-time", wrong, f"By minute {most:.1f}")
        if fault := hand_fault(self.scene, charge.start):
            yield self._finding("power-time", f"{words} begins {fault}", "A hand puts it in")
        charger = self._charger(charge, previous, drawn)
        if charger is None:
            right = "A bay of a charger that takes it and is there on both days"
            yield self._finding("power-bay", words, right)
        elif not self._suffices(charger, charge, end - start):
            wrong = f"{words} goes from {charge.from_share:.3f} to {charge.to_share:.3f}"
            yield self._finding("power-curve", wrong, f"Not in {end - start:.0f} min")

    def _previous(self, drawn: Drawn) -> Pass | None:
        before = [d for d in self.powered.drawn if d.unit == drawn.unit and d.index < drawn.index]
        return before[-1].each if before else None

    def _charger(self, charge: Charge, previous: Pass, drawn: Drawn) -> Charger | None:
        unit_id, _, bay = charge.bay.rpartition("/")
        unit, pack = (self.scene.units_by_id.get(one) for one in (unit_id, charge.unit))
        item = self.scene.kit.items_by_id.get(unit.item) if unit else None
        if not (unit and pack and isinstance(item, Charger)) or pack.item not in item.batteries:
            return None
        has_bay = bay.isdecimal() and 1 <= int(bay) <= item.bays
        is_there = self._is_there(unit, previous) and self._is_there(unit, drawn.each)
        return item if has_bay and is_there else None

    def _is_there(self, unit: Unit, each: Pass) -> bool:
        return unit in self.scene.free_units(unit.item, each)

    def _suffices(self, charger: Charger, charge: Charge, minutes: float) -> bool:
        """Whether the time is enough: the first part of a charge is quick, the rest slow."""
        if not 0 <= charge.from_share <= charge.to_share <= 1 + _SLACK:
            return False
        whole = max(1, ceil(charger.charge_min - _SLACK))
        needed = (self._time(charge.to_share) - self._time(charge.from_share)) * whole
        return needed <= minutes + 1e-4

    def _time(self, share: float) -> Fraction:
        """Share of a full charge's time after which a flat battery holds a share."""
        rules = self.scene.shoot.rules
        bend, time = (
            Fraction(round(value / GRAIN), 1000)
            for value in (rules.charge_quick_share, rules.charge_quick_time)
        )
        held = Fraction(round(share / GRAIN), 1000)
        if held <= bend:
            return held * time / bend
        return time + (held - bend) * (1 - time) / (1 - bend)

    def _settled_findings(self) -> Iterator[Finding]:
        """Bays and times that are said to be those of the work are."""
        work = self.plan.day.work if self.plan.day else None
        jobs = {
            (job.units, job.bay, _second(gap.begin, job.start_s), _second(gap.begin, job.end_s))
            for gap in (work.gaps if work else ())
            for job in gap.jobs
            if job.kind == "charge"
        }
        for charge in self.charges:
            if ((charge.unit,), charge.bay, charge.start, charge.end) not in jobs:
                wrong = f"{charge.unit} in {charge.bay} at {charge.start:%H:%M} is no job"
                yield self._finding("power-settled", wrong, "Take bay and times from the work")

    # -- bays and sockets ----------------------------------------------------------------------

    def _bay_findings(self) -> Iterator[Finding]:
        """One battery at a time in a bay."""
        by_bay: dict[str, list[Charge]] = defaultdict(list)
        for charge in self.charges:
            by_bay[charge.bay].append(charge)
        for bay, charges in by_bay.items():
            charges.sort(key=lambda c: minute(self.scene, c.start))
            for one, other in pairwise(charges):
                if minute(self.scene, other.start) < minute(self.scene, one.end) - SLACK_MIN:
                    wrong = f"{one.unit} and {other.unit} are in {bay} at the same time"
                    yield self._finding("power-bay", wrong, "One battery at a time in a bay")

    def _socket_findings(self) -> Iterator[Finding]:
        """From one downbeat to the next every charger in use keeps a socket; so do laptops."""
        shoot = self.scene.shoot
        left = max(0, shoot.venue.sockets - shoot.copying.laptops)
        for index, each in enumerate(shoot.passes):
            begin = begin_of(self.scene, each)
            following = shoot.passes[index + 1 : index + 2]
            end = begin_of(self.scene, following[0]) if following else float("inf")
            used = {
                charge.bay.rpartition("/")[0]
                for charge in self.charges
                if minute(self.scene, charge.start) < end - SLACK_MIN
                and minute(self.scene, charge.end) > begin + SLACK_MIN
            }
            if len(used) > left:
                wrong = f"{len(used)} chargers are in use from {each.id} on"
                yield self._finding("power-sockets", wrong, f"Sockets are left for {left}")

    # -- spares --------------------------------------------------------------------------------

    def _spare_findings(self) -> Iterator[Finding]:
        stated = {
            (s.pass_id, s.item): (s.units, s.held, s.needed)
            for s in self.power.spares
            if s.pass_id.startswith(f"{self.shoot_id}/")
        }
        derived = dict(self._spares())
        for key in sorted({*stated, *derived}):
            one, other = stated.get(key), derived.get(key)
            if (
                one is None
                or other is None
                or any(abs(a - b) > _SLACK for a, b in zip(one, other, strict=True))
            ):
                wrong, right = (f"{v[0]} units, {v[1]:.3f} full, {v[2]:.3f} needed" if v else "none"
                                for v in (one, other))  # fmt: skip
                yield self._finding("power-spare", f"{' '.join(key)}: {wrong}", right)

    def _spares(self) -> Iterator[tuple[tuple[str, str], tuple[int, float, float]]]:
        held: dict[str, float] = defaultdict(lambda: 1.0)
        for index, each in enumerate(self.scene.shoot.passes):
            here = {d.unit: d for d in self.powered.drawn if d.index == index}
            uses: dict[str, PackUse] = {u: self.use_of[d.pass_id, u] for u, d in here.items()}
            held.update({unit: use.before for unit, use in uses.items()})
            for battery in self.scene.kit.of_kind(Battery):
                units = [unit.id for unit in self.scene.shared_units(battery.id, each)]
                taken = [_grains(here[u].minutes / here[u].full_min) for u in units if u in here]
                if taken:
                    total = sum(held[unit] for unit in units)
                    key = (f"{self.shoot_id}/{each.id}", battery.id)
                    yield key, (len(units), total, sum(taken) * GRAIN)
            held.update({unit: use.after for unit, use in uses.items()})
