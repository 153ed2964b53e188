"""Names for people: what the ids of a plan are called on paper."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from functools import cached_property

from kitplan.gear.kit import Unit
from kitplan.gear.records import AnyItem
from kitplan.paper.marks import LEAST_ND_STOPS, STEP_MIN, iso_setting
from kitplan.paper.pack.setting import Setting
from kitplan.plan.brought import cases_around
from kitplan.plan.framing import Framing
from kitplan.plan.records import Placement, Plan, Shot
from kitplan.shoot.records import Pass, Shoot
from kitplan.shoot.venue import Position


class Names:
    """Looks up what the ids of one plan stand for."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan

    @cached_property
    def units_by_id(self) -> dict[str, Unit]:
        """Units by id."""
        return {unit.id: unit for unit in self.plan.kit.units}

    @cached_property
    def _positions(self) -> dict[tuple[str, str], Position]:
        return {
            (shoot_id, position.id): position
            for shoot_id, shoot in self.plan.shoots.items()
            for position in shoot.venue.positions
        }

    # -- gear ----------------------------------------------------------------------------------

    def item_of(self, unit_id: str) -> AnyItem:
        """Return the item that a unit is one of."""
        return self.plan.kit.items_by_id[self.units_by_id[unit_id].item]

    def unit(self, unit_id: str) -> str:
        """Return the name of a unit's item."""
        return self.item_of(unit_id).name

    def owner(self, unit_id: str) -> str:
        """Return who owns a unit: by name where the owner is one of the crew."""
        return self.person(self.units_by_id[unit_id].owner)

    def case(self, unit_id: str) -> str:
        """Return the unit id of the case that a unit lies in: that of the packing, where the plan
        has one, else its home; nothing for what is carried by hand or left.
        """
        home = self.units_by_id[unit_id].case or ""
        packed = self._packed_into.get(unit_id)
        is_at_home = packed in cases_around(self.units_by_id, unit_id)[-1:]
        return home if packed is None or is_at_home else packed

    @cached_property
    def _packed_into(self) -> dict[str, str]:
        cases = self.plan.day.cases if self.plan.day else None
        loads = cases.loads if cases else ()
        loose = {unit: "" for load in loads for unit in (*load.by_hand, *load.left)}
        return loose | (cases.case_of if cases else {})

    def camera(self, placement: Placement) -> str:
        """Return body, adapter and lens in words."""
        rig = placement.rig
        body = f"{self.unit(rig.body)} ({rig.mode})"
        parts = [self.unit(unit) for unit in (rig.adapter, rig.lens) if unit is not None]
        return ", ".join([body, *parts])

    def stand(self, placement: Placement) -> str:
        """Return support and head in words."""
        rig = placement.rig
        head = f" with {self.unit(rig.head)}" if rig.head else ""
        return f"{self.unit(rig.support)}{head}"

    # -- people and places ---------------------------------------------------------------------

    def person(self, person_id: str) -> str:
        """Return the name of a person of the crew, or the id itself."""
        for shoot in self.plan.shoots.values():
            if person_id in shoot.crew_by_id:
                return shoot.crew_by_id[person_id].label
        return person_id

    def operator(self, placement: Placement) -> str:
        """Return who operates, or 'locked off'."""
        return "locked off" if placement.operator is None else self.person(placement.operator)

    def position(self, placement: Placement) -> Position:
        """Return the position of a placement."""
        return self._positions[placement.pass_id.partition("/")[0], placement.position]

    def place(self, placement: Placement) -> str:
        """Return the name of a placement's position."""
        return self.position(placement).label

    def roles(self, placement: Placement) -> str:
        """Return what a placement was asked for; nothing where it is a free choice."""
        shoot, _ = self.plan.pass_of(placement.pass_id)
        labels = {role.id: role.label for role in shoot.roles}
        return ", ".join(labels.get(role, "Safety shot") for role in placement.roles)

    # -- shots ---------------------------------------------------------------------------------

    def framing(self, pass_id: str, framing: Framing) -> str:
        """Return a subject at a shot size: 'Solo cornet MS'."""
        shoot, _ = self.plan.pass_of(pass_id)
        return f"{shoot.subjects_by_id[framing.subject].label} {framing.size}"

    # -- passes --------------------------------------------------------------------------------

    def pass_label(self, pass_id: str) -> str:
        """Return the name of a pass; with its shoot where the plan has several."""
        shoot, each = self.plan.pass_of(pass_id)
        return each.label if len(self.plan.shoots) == 1 else f"{shoot.title}: {each.label}"

    def pass_ids(self, name: str | None) -> tuple[str, ...]:
        """Return the passes that a name stands for: all for None; by id, short id or label.

        Raises:
            SettingError: If there is no such pass.
        """
        from kitplan.errors import SettingError
        from kitplan.wording import hint

        known = self.plan.pass_ids()
        if name is None:
            return known
        found = [p for p in known if name.casefold() in self._called(p)]
        if not found:
            short = {pass_id.partition("/")[2] for pass_id in known}
            words = {*short, *map(self.pass_label, known)}
            raise SettingError(f"there is no pass {name!r}", where="--pass", fix=hint(name, words))
        return tuple(found)

    def _called(self, pass_id: str) -> Iterable[str]:
        names = (pass_id, pass_id.partition("/")[2], self.plan.pass_of(pass_id)[1].label)
        return {name.casefold() for name in names}


def when(shoot: Shoot, each: Pass, setting: Setting | None = None) -> str:
    """Return day and hours of a pass: 'Sat 15 May 2027, 14:30 to 16:00, no audience'.

    In steps of five minutes: ends later, beginnings earlier.
    """
    setting = setting or Setting()
    begin, end = to_step(each.start, up=False), to_step(shoot.end_of(each), up=True)
    later = "" if end.date() == begin.date() else f" ({end:%a})"
    doors = f", doors {setting.time(to_step(each.doors, up=False))}" if each.doors else ""
    house = "audience in" if each.has_audience else "no audience"
    hours = f"{setting.time(begin)} to {setting.time(end)}"
    return f"{setting.day(begin)}, {hours}{later}{doors}, {house}"


def to_step(moment: datetime, *, up: bool) -> datetime:
    """Return a time of day in steps of five minutes: ends later, starts earlier."""
    past = timedelta(
        minutes=moment.minute % STEP_MIN, seconds=moment.second, microseconds=moment.microsecond
    )
    whole = moment - past
    return whole + timedelta(minutes=STEP_MIN) if up and past else whole


def settings(shot: Shot) -> str:
    """Return focal length, stop and ISO as they are set: '35 mm, f/5.6, ISO 640 to 1600'.

    The lower ISO is for the brightest light, the higher for the dimmest that must be usable.
    """
    focal = f"{shot.focal_mm:.0f}" if shot.focal_mm >= 20 else f"{shot.focal_mm:.3g}"
    dim, bright = iso_setting(shot.iso), iso_setting(shot.iso_bright * 2**shot.nd_stops)
    isos = f"{bright} to {dim}" if bright < dim else f"{dim}"
    words = f"{focal} mm, f/{shot.stop:.2g}, ISO {isos}"
    if shot.nd_stops >= LEAST_ND_STOPS:
        words += f", ND {shot.nd_stops:.1f} stops in the brightest light"
    return words
