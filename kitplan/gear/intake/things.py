"""Items of rows: rows of one kind and name are one item, completed with careful guesses."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from kitplan.checked import validated
from kitplan.errors import BadInput
from kitplan.gear.intake.guesses import completed
from kitplan.gear.intake.ids import identifier, unused
from kitplan.gear.intake.rows import Reading
from kitplan.gear.intake.words import plain_words
from kitplan.gear.kit import Kit, facts_of
from kitplan.gear.records import ITEM_TYPES, AnyItem, Battery
from kitplan.wording import plain, shown

Manner = Literal["new", "more", "replace"]
"""What may happen to gear that is in the inventory: nothing, further units, new facts."""
Fail = Callable[[int, str, str], None]
"""Takes the position of a reading, what is wrong and what would be right."""
_SOURCES = ("measured", "looked_up", "to_ask")
_HELPFUL_COLUMNS = (
    (("sensor_width_mm", "sensor_height_mm"), "sensor", "full frame, APS-C or 36x24 mm"),
    (("focal_min_mm", "focal_max_mm"), "focal length", "24-70 mm"),
    (("stop_wide",), "max aperture", "f/2.8 or f/3.5-5.6"),
    (("mount", "lens_mount", "body_mount"), "mount", "EF, E, MFT"),
    (("capacity_gb",), "capacity", "64 GB"),
    (("batteries",), "for battery", "the name of a battery in the list"),
)
"""Facts that are never guessed: the column that tells them, with an example."""


@dataclass
class Group:
    """Rows of one item."""

    item_id: str
    kind: str
    name: str
    members: list[int] = field(default_factory=list)
    """Positions of its readings."""
    facts: dict[str, Any] = field(default_factory=dict)
    told_in: dict[str, int] = field(default_factory=dict)
    """Which reading told a fact."""
    known: AnyItem | None = None
    """The item in the inventory."""
    item: AnyItem | None = None


class Things:
    """Makes items of the rows of a list."""

    def __init__(self, readings: Sequence[Reading], known: Kit, manner: Manner, fail: Fail) -> None:
        self._readings, self._manner, self._fail = readings, manner, fail
        self._known = known
        self._ids = {item.id for item in known.items} | {unit.id for unit in known.units}
        self._known_by_name: dict[tuple[str, str], AnyItem] = {
            (item.kind, plain_words(item.name)): item for item in reversed(known.items)
        }
        self._batteries: dict[str, str] = {}
        for item in known.of_kind(Battery):
            self._remember(item)
        self.unasked: dict[str, Battery] = {}
        """Batteries that bodies need and no row lists, by id."""
        self.groups: list[Group] = []

    def make(self) -> None:
        """Group the readings and make the item of each group."""
        groups: dict[tuple[str, str], Group] = {}
        for place, reading in enumerate(self._readings):
            own = identifier(reading.item_id) if reading.item_id else None
            key = (reading.kind, own or plain_words(reading.name))
            if key not in groups:
                groups[key] = self._new_group(reading, own)
            self._join(groups[key], place, reading)
        # Batteries come first: others name them.
        self.groups = sorted(groups.values(), key=lambda group: group.kind != "battery")
        for group in self.groups:
            self._make_item(group)

    def _row(self, place: int) -> str:
        """Return where a reading stands, for messages of another one."""
        reading = self._readings[place]
        return f"row {reading.row.number} of {plain(reading.grid.name)}"

    def _new_group(self, reading: Reading, own: str | None) -> Group:
        known = self._known.items_by_id.get(own or "")
        if own is None:
            known = self._known_by_name.get((reading.kind, plain_words(reading.name)))
        if known is not None and known.kind == reading.kind:
            return Group(known.id, reading.kind, known.name, known=known)
        item_id = unused(own or identifier(reading.name) or reading.kind, self._ids)
        self._ids.add(item_id)
        return Group(item_id, reading.kind, reading.name)

    def _join(self, group: Group, place: int, reading: Reading) -> None:
        """Put a row to those of the same item; facts that contradict them are faults."""
        group.members.append(place)
        for fact, value in reading.item.items():
            if fact not in group.facts:
                group.facts[fact] = value
                group.told_in[fact] = place
            elif group.facts[fact] != value:
                other = self._row(group.told_in[fact])
                wrong = (
                    f"{fact} of '{plain(reading.name)}' is {shown(value)} here, "
                    f"{shown(group.facts[fact])} in {other}"
                )
                self._fail(place, wrong, "Correct it, or give what differs a name of its own")

    def _make_item(self, group: Group) -> None:
        """Make the item of a group; what is wrong with it is wrong with all of its rows."""
        if group.known is not None and self._manner != "replace":
            group.item = self._as_known(group, group.known)
            return
        grid = self._readings[group.members[0]].grid
        try:
            model: Any = ITEM_TYPES[group.kind]
            item: AnyItem = validated(
                model,
                self._data(group),
                file=grid.file,
                line_of=lambda _: 0,
                comma_is_decimal=grid.comma_is_decimal,
            )
        except BadInput as error:
            self._refuse(group, error)
            return
        group.item = item
        if isinstance(item, Battery):
            self._remember(item)

    def _refuse(self, group: Group, error: BadInput) -> None:
        """Let the first row of a group say what is wrong with its item, the others point there."""
        first, *others = group.members
        has_glass = any(fact.partition(".")[0] in ("mount", "built_in") for fact in group.facts)
        if group.kind == "body" and not has_glass:
            wrong = f"'{group.item_id}': neither its mount nor its own lens is told"
            self._fail(first, wrong, "Add a column 'mount', or 'focal length' and 'max aperture'")
        for problem in error.problems:
            if has_glass or "mount and built_in" not in problem.wrong:
                self._fail(first, *_with_column(problem.wrong, problem.right))
        for place in others:
            wrong = f"'{plain(group.name)}' cannot be read"
            self._fail(place, wrong, f"See {self._row(first)}")

    def _as_known(self, group: Group, item: AnyItem) -> AnyItem | None:
        """Return the item of the inventory, where its rows may add units to it."""
        if self._manner == "new":
            for place in group.members:
                wrong = f"'{item.id}' is in the inventory already"
                right = "Use --more to add further units of it, or --replace to overwrite it"
                self._fail(place, wrong, right)
            return None
        present = item.model_dump()
        for fact, value in group.facts.items():
            if fact in present and present[fact] != value:
                wrong = f"{fact} is {shown(value)} here, {shown(present[fact])} in the inventory"
                right = "Correct one of the two, or use --replace"
                self._fail(group.told_in[fact], f"'{item.id}': {wrong}", right)
        return item

    def _data(self, group: Group) -> dict[str, Any]:
        """Return the facts of an item: those told, then those in the inventory, then guesses."""
        told = _nested(group.facts)
        clip_min = told.pop("clip_limit_min", None)
        data: dict[str, Any] = {}
        if group.known is not None:
            data = facts_of(group.known)
            for source in _SOURCES:  # a fact told anew is no longer a measured one
                data[source] = [name for name in data.get(source, ()) if name not in told]
        data |= {"id": group.item_id, "kind": group.kind, "name": group.name} | told
        if group.kind == "body":
            self._power(data)
            _focus_built_in(data)
        if group.kind == "charger":
            data |= self._charged(data)
        data = completed(group.kind, data)
        if clip_min is not None and "modes" in data.get("to_ask", ()):
            data["modes"] = [mode | {"clip_limit_min": clip_min} for mode in data["modes"]]
        return data

    def _power(self, data: dict[str, Any]) -> None:
        """Let a body name the battery it takes by id; where nobody says, it has one of its own."""
        named = data.get("battery")
        if named is not None:
            data["battery"] = self._battery(str(named))
        elif not _is_yes(data.get("runs_on_mains")):
            data["battery"] = self._battery(f"battery for the {data['name']}")

    def _battery(self, name: str) -> str:
        """Return the id of a battery, a new one where no such one is known."""
        found = self._batteries.get(name) or self._batteries.get(plain_words(name))
        if found is not None:
            return found
        new = unused(identifier(name) or "battery", self._ids)
        self._ids.add(new)
        data = completed("battery", {"id": new, "kind": "battery", "name": name})
        self.unasked[new] = Battery.model_validate(data)
        self._remember(self.unasked[new])
        return new

    def _remember(self, battery: Battery) -> None:
        self._batteries |= {battery.id: battery.id, plain_words(battery.name): battery.id}

    def _charged(self, data: Mapping[str, Any]) -> dict[str, list[str]]:
        """Return the ids of what a charger charges: the only kind of battery where it is silent,
        nothing where there are several."""
        named = data.get("batteries")
        if named:
            return {"batteries": [self._battery(str(each)) for each in named]}
        owned = set(self._batteries.values())
        return {"batteries": [*owned]} if len(owned) == 1 else {}


def items_of(things: Things) -> Iterator[AnyItem]:
    """Yield the items of all groups that have one, batteries that nobody listed after them."""
    for group in things.groups:
        if group.item is not None:
            yield group.item
    yield from things.unasked.values()


def _with_column(wrong: str, right: str) -> tuple[str, str]:
    """Return what is wrong with an item, and which column would help where a fact is missing."""
    for facts, column, example in _HELPFUL_COLUMNS:
        for fact in facts:
            if f"{fact} is missing" in wrong:
                return (
                    wrong.replace(fact, column),
                    f"Add a column '{column}', such as {example}, or leave the row out",
                )
    return wrong, right


def _nested(facts: Mapping[str, Any]) -> dict[str, Any]:
    """Return facts with those of a built-in lens in a block of their own."""
    found: dict[str, Any] = {}
    for name, value in facts.items():
        outer, dot, inner = name.partition(".")
        if dot:
            found.setdefault(outer, {})[inner] = value
        else:
            found[name] = value
    return found


def _focus_built_in(data: dict[str, Any]) -> None:
    """Guess from where a lens built into a body focuses, where nobody says."""
    optic = data.get("built_in")
    if isinstance(optic, dict) and "closest_focus_m" not in optic:
        optic["closest_focus_m"] = completed("lens", optic)["closest_focus_m"]
        data["to_ask"] = [*data.get("to_ask", ()), "built_in.closest_focus_m"]


def _is_yes(value: Any) -> bool:
    return str(value).strip().casefold() in ("yes", "true", "y", "t", "1", "on")
