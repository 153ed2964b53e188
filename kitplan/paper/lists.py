"""The packing list as records: what each pass takes, what changes between passes, returns.

Packed by camera, not by kind of thing; each group in the order of building, from the floor up.
Every unit stands exactly once on the list of a pass.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from kitplan.gear.records import Accessory, Case
from kitplan.paper.names import Names
from kitplan.paper.needed import missing_things
from kitplan.plan.brought import chargers_for, given_by_the_day, sound_kit
from kitplan.plan.records import Placement

BUILD_ORDER = (
    "support",
    "sandbag",
    "head",
    "plate",
    "body",
    "adapter",
    "lens",
    "bond",
    "mains-lead",
    "battery",
    "media",
    "cap",
)
"""Kinds of items, and what accessories serve, in order of building; others stand before caps."""
WAYS = ("stays", "moves", "put by", "goes home", "comes out")
POWER, SOUND, CASES = "Chargers", "Sound", "Cases"


@dataclass(frozen=True)
class Entry:
    """One unit on a list."""

    unit: str
    item: str
    """Name of the item."""
    owner: str
    case: str
    """Unit id of the case that it is packed into, else of its home case; empty for neither."""
    mass_kg: float


@dataclass(frozen=True)
class Group:
    """What belongs together: a camera at its position, chargers, sound, cases."""

    name: str
    position: str
    """Where the camera stands; empty for groups that are no camera."""
    who: str
    """Who operates, or 'locked off'; empty likewise."""
    entries: tuple[Entry, ...]


@dataclass(frozen=True)
class Missing:
    """Something that a group depends on and that the kit cannot give."""

    group: str
    what: str
    number: int
    why: str = "not in the kit"

    def words(self) -> str:
        """Return what is missing and what to do: '1 x plate for Camera A: not in the kit, ...'."""
        borrow = "" if "borrow" in self.why else ", borrow from the venue"
        return f"{self.number} x {self.what} for {self.group}: {self.why}{borrow}"


@dataclass(frozen=True)
class PassList:
    """Everything that one pass takes."""

    pass_id: str
    groups: tuple[Group, ...]
    missing: tuple[Missing, ...]

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All entries, each unit once."""
        return tuple(entry for group in self.groups for entry in group.entries)

    @property
    def mass_kg(self) -> float:
        """Mass of everything on it."""
        return sum(entry.mass_kg for entry in self.entries)


@dataclass(frozen=True)
class Change:
    """Units that go the same way between two passes."""

    what: str
    """stays, moves, put by (a later pass needs it), goes home, comes out."""
    origin: str
    """Camera and position before; empty for what comes out of its case."""
    goal: str
    """Camera and position after; empty for what goes into its case."""
    units: tuple[str, ...]


@dataclass(frozen=True)
class Turnaround:
    """What happens to the units between a pass and the next one."""

    after: str
    before: str
    changes: tuple[Change, ...]


@dataclass(frozen=True)
class Return:
    """What goes back to one owner."""

    owner: str
    entries: tuple[Entry, ...]


def pass_lists(names: Names, pass_ids: Iterable[str]) -> tuple[PassList, ...]:
    """Return the list of each pass."""
    return tuple(_pass_list(names, pass_id) for pass_id in pass_ids)


def turnarounds(lists: tuple[PassList, ...]) -> tuple[Turnaround, ...]:
    """Return what stays, moves, goes home or comes out between each pass and the next."""
    return tuple(
        Turnaround(one.pass_id, lists[at].pass_id, tuple(_changes(one, *lists[at:])))
        for at, one in enumerate(lists[:-1], 1)
    )


def returns(lists: tuple[PassList, ...]) -> tuple[Return, ...]:
    """Return what goes back to each owner after the last pass, by case."""
    by_unit = {entry.unit: entry for each in lists for entry in each.entries}
    by_owner: dict[str, list[Entry]] = {}
    for entry in by_unit.values():
        by_owner.setdefault(entry.owner, []).append(entry)
    return tuple(
        Return(owner, tuple(sorted(found, key=lambda e: (e.case or e.unit, bool(e.case), e.unit))))
        for owner, found in sorted(by_owner.items())
    )


# -- one pass --------------------------------------------------------------------------------------


def _pass_list(names: Names, pass_id: str) -> PassList:
    groups: list[Group] = []
    missing: list[Missing] = []
    placements = names.plan.placements_in(pass_id)
    for placement in placements:
        group = camera_group(names, placement)
        groups.append(group)
        missing += [Missing(group.name, *each) for each in missing_things(names, placement)]
    sound, unfilled = _sound(names, pass_id)
    missing += unfilled
    powered = [entry.unit for group in (*groups, sound) for entry in group.entries]
    groups += [_chargers(names, pass_id, powered), sound]
    packed = [entry for group in groups for entry in group.entries]
    groups.append(_cases(names, packed))
    return PassList(pass_id, tuple(group for group in groups if group.entries), tuple(missing))


def _entry(names: Names, unit_id: str) -> Entry:
    item = names.item_of(unit_id)
    return Entry(unit_id, item.name, names.owner(unit_id), names.case(unit_id), item.mass_kg)


def camera_group(names: Names, placement: Placement) -> Group:
    """Return the units of a camera in the order of building, from the floor up."""
    given = given_by_the_day(names.plan, placement.pass_id, placement.letter)
    own = dict.fromkeys((*placement.units, *given))
    units = sorted(own, key=lambda unit: build_rank(names, unit))
    entries = tuple(_entry(names, unit) for unit in units)
    return Group(
        f"Camera {placement.letter}", names.place(placement), names.operator(placement), entries
    )


def build_rank(names: Names, unit_id: str) -> int:
    """Return the place of a unit in the order of building, from the floor up."""
    item = names.item_of(unit_id)
    word = item.serves if isinstance(item, Accessory) else item.kind
    before_caps = len(BUILD_ORDER) - 1
    return BUILD_ORDER.index(word) if word in BUILD_ORDER else before_caps


def _chargers(names: Names, pass_id: str, packed: list[str]) -> Group:
    """Return the chargers for every battery that is packed, of cameras and of sound."""
    units = chargers_for(names.plan, pass_id, packed)
    return Group(POWER, "", "", tuple(_entry(names, unit) for unit in units))


def _sound(names: Names, pass_id: str) -> tuple[Group, list[Missing]]:
    """Return the sound units of the kit with their batteries and cards, and what they lack."""
    found = sound_kit(names.plan, pass_id)
    missing = [Missing(each.of, each.what, 1, each.why) for each in found.unfilled]
    return Group(SOUND, "", "", tuple(_entry(names, unit) for unit in found.units)), missing


def _cases(names: Names, packed: list[Entry]) -> Group:
    """Return the cases of what is packed; a case within a case is packed as well."""
    on_list = {entry.unit for entry in packed}
    entries: list[Entry] = []
    waiting = [entry.case for entry in packed]
    while waiting:
        case = waiting.pop(0)
        if case in on_list or case not in names.units_by_id:
            continue
        on_list.add(case)
        if isinstance(names.item_of(case), Case):
            entries.append(_entry(names, case))
            waiting.append(entries[-1].case)
    return Group(CASES, "", "", tuple(sorted(entries, key=lambda entry: entry.unit)))


# -- between passes --------------------------------------------------------------------------------


def _changes(one: PassList, *following: PassList) -> Iterator[Change]:
    """Yield the ways that units of cameras go, those that stay first."""
    before, after = _camera_by_unit(one), _camera_by_unit(following[0])
    later = {entry.unit for each in following for entry in each.entries}
    ways: dict[tuple[str, str, str], list[str]] = {}
    for unit in dict.fromkeys([*before, *after]):
        way = _way(before.get(unit), after.get(unit), is_needed_later=unit in later)
        ways.setdefault(way, []).append(unit)
    for way, units in sorted(ways.items(), key=lambda each: (WAYS.index(each[0][0]), each[0])):
        yield Change(*way, tuple(units))


def _camera_by_unit(each: PassList) -> dict[str, Group]:
    return {entry.unit: group for group in each.groups if group.position for entry in group.entries}


def _way(
    before: Group | None, after: Group | None, *, is_needed_later: bool
) -> tuple[str, str, str]:
    """Return what happens to a unit, where it was and where it will be."""
    origin = f"{before.name}, {before.position}" if before else ""
    goal = f"{after.name}, {after.position}" if after else ""
    if before and after:
        return ("stays" if before.position == after.position else "moves", origin, goal)
    if after:
        return ("comes out", "", goal)
    return ("put by" if is_needed_later else "goes home", origin, "")
