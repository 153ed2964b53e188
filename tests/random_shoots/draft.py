"""The facts of a random shoot before they become records, kept small by the number of slots.

The more slots, the fewer bodies, lenses and supports, and the fewer sizes a lens frames: that keeps
what a slot may hold to some dozens of placements.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random
from typing import Any

from kitplan.gear.kit import Kit
from kitplan.gear.records import Accessory, AnyItem, Battery
from kitplan.shoot.brief import Brief
from kitplan.shoot.venue import Subject
from tests.small import (
    QUIET,
    adapter,
    at,
    body,
    card,
    charger,
    head,
    lens,
    optic,
    person,
    position,
    role,
    run,
    show,
    singer,
    small_shoot,
    song,
    support,
    unit,
)

Facts = dict[str, Any]
MOST_SLOTS = 4
LAYOUTS: tuple[tuple[int, ...], ...] = ((1,), (2,), (1, 1), (2, 1), (1, 1, 1), (2, 1, 1), (2, 2))
"""Rigs of the positions of a shoot with one pass."""
SHORT_ZOOMS = ((8, 10), (14, 18), (22, 27), (35, 40), (60, 75), (100, 125), (160, 220))
"""Ranges of focal length in mm that frame few sizes each."""
LONG_ZOOMS = ((10, 40), (25, 125), (60, 220))
PLACES = {"front": (0, -10), "left": (-8, -6), "right": (8, -6), "pit": (1, -3)}
SQUARE = ((-2.0, 3.0), (2.0, 3.0), (2.0, 5.0), (-2.0, 5.0))
SEATS = ((-5.0, -14.0), (5.0, -14.0), (5.0, -4.0), (-5.0, -4.0))
SIZES = {
    "person": ("CU", "MCU", "MS", "MLS", "FS", "WS"),
    "object": ("CU", "MS", "FS", "WS"),
    "group": ("MLS", "WS", "EWS"),
    "stage": ("MLS", "WS", "EWS"),
    "audience": ("MLS", "WS", "EWS"),
}
BUILDERS: dict[str, Callable[..., AnyItem]] = {
    "body": body,
    "lens": lens,
    "adapter": adapter,
    "support": support,
    "head": head,
    "card": card,
}


@dataclass
class Draft:
    """The facts of a shoot before they become records."""

    chance: Random
    passes: list[Facts] = field(default_factory=list)
    positions: list[Facts] = field(default_factory=list)
    subjects: list[Facts] = field(default_factory=list)
    songs: list[Facts] = field(default_factory=list)
    crew: list[Facts] = field(default_factory=list)
    roles: list[Facts] = field(default_factory=list)
    light: list[Facts] = field(default_factory=list)
    items: dict[str, list[Facts]] = field(default_factory=dict)
    accessories: list[tuple[str, str | None]] = field(default_factory=list)
    chargers: list[Facts] = field(default_factory=list)
    counts: dict[str, int] = field(default_factory=dict)
    units: dict[str, Facts] = field(default_factory=dict)
    """Facts of the first unit of an item that differ from the others'."""
    keep: list[Facts] = field(default_factory=list)
    never: list[Facts] = field(default_factory=list)
    rules: Facts = field(default_factory=dict)
    audience: list[Facts] = field(default_factory=lambda: [{"id": "seats", "outline_m": SEATS}])
    obstacles: list[Facts] = field(default_factory=list)
    lamps: list[Facts] = field(default_factory=list)
    parts: Facts = field(default_factory=dict)
    """Other parts of the shoot that differ: stage, performance."""

    @property
    def slots(self) -> int:
        """Rigs that the open positions take, over all passes."""
        return sum(
            spot.get("rigs", 1)
            for each in self.passes
            for spot in self.positions
            if spot.get("open_in") is None or each["id"] in spot["open_in"]
        )

    def ids(self, rows: list[Facts]) -> list[str]:
        """Ids of some rows."""
        return [row["id"] for row in rows]

    def some(self, rows: list[Facts]) -> Facts:
        """One of the rows."""
        return self.chance.choice(rows)

    def kind(self, kind: str) -> list[Facts]:
        """Items of a kind."""
        return self.items.setdefault(kind, [])

    def maybe(self, share: float) -> bool:
        """True in a share of the cases."""
        return self.chance.random() < share


def plain_draft(seed: int) -> Draft:
    """Return the facts of a shoot in which few rules bind, and the chance to go on with."""
    draft = Draft(Random(seed))
    for add in (_add_passes, _add_positions, _add_subjects, _add_gear, _add_crew, _add_roles):
        add(draft)
    return draft


def brief_of(draft: Draft) -> Brief:
    """Return the shoot and kit that a draft describes."""
    return Brief(_shoot(draft), _kit(draft))


# -- draft -----------------------------------------------------------------------------------------


def _add_passes(draft: Draft) -> None:
    chance = draft.chance
    count = chance.choice((1, 1, 1, 2, 2, 2, 3))
    hours = {"early": 12, "run": 16, "show": 20}
    for name in list(hours)[-count:]:
        start = at(hours[name], chance.choice((0, 30)))
        draft.passes.append({"id": name, "start": start, "needs_safety": draft.maybe(0.2)})
    for number in range(chance.choice((1, 1, 2, 2, 3))):
        length = chance.choice((240, 540, 1500))
        gap = chance.choice((5, 15, 45, 90))
        draft.songs.append({"id": f"song-{number}", "length_s": length, "gap_s": gap})
    for each in draft.passes[:-1]:
        each["has_click"] = draft.maybe(0.6)
    if draft.maybe(0.5):
        draft.songs[0]["has_click"] = True


def _add_positions(draft: Draft) -> None:
    chance, count = draft.chance, len(draft.passes)
    names = chance.sample(list(PLACES), 3)
    passes = draft.ids(draft.passes)
    if count == 1:
        rigs = chance.choice(LAYOUTS)
        rows = [{"id": name, "rigs": number} for name, number in zip(names, rigs, strict=False)]
    elif count == 2:
        rigs = chance.choice(((1,), (2,), (1, 1), (1, 1), (1, 1, 1)))
        rows = [{"id": name, "rigs": number} for name, number in zip(names, rigs, strict=False)]
        if len(rows) == 3:  # of three positions one alone is open in both
            rows[1]["open_in"], rows[2]["open_in"] = (passes[0],), (passes[1],)
    else:
        rows = [{"id": names[0]}]
        if draft.maybe(0.5):
            rows.append({"id": names[1], "open_in": (chance.choice(passes),)})
    for row in rows:
        row["at_m"] = PLACES[str(row["id"])]
        row["room_m"] = 2.5
        row["lens_height_m"] = chance.choice((1.2, 1.37, 1.6))
    draft.positions = rows
    assert draft.slots <= MOST_SLOTS


def _add_subjects(draft: Draft) -> None:
    chance = draft.chance
    draft.subjects = [{"id": "singer", "at_m": (0, 2)}, {"id": "stage", "kind": "stage"}]
    extra = (
        {"id": "bass", "at_m": (2.5, 3), "posture": chance.choice(("seated", "dancer", "child"))},
        {"id": "drums", "kind": "object", "at_m": (-2, 4), "height_m": 1.2, "width_m": 2},
        {"id": "choir", "kind": "group", "outline_m": SQUARE},
    )
    draft.subjects += chance.sample(extra, chance.choice((0, 1, 1)))
    draft.light = [{"dim_lux": chance.choice((150, 500)), "bright_lux": 1000}]


def _add_gear(draft: Draft) -> None:
    chance, slots = draft.chance, draft.slots
    zooms = SHORT_ZOOMS if slots == MOST_SLOTS else (*SHORT_ZOOMS, *LONG_ZOOMS)
    for number in range(chance.choice((1, 2, 2, 2, 3 if slots <= 2 else 2))):
        low, high = chance.choice(LONG_ZOOMS if slots <= 2 and number == 0 else zooms)
        facts: Facts = {"id": f"cam-{number}", "mass_kg": chance.choice((1, 2))}
        if number == 1 and draft.maybe(0.5):
            facts["mount"] = "E"
        else:
            facts["built_in"] = optic(focal_min_mm=low, focal_max_mm=high)
        draft.kind("body").append(facts)
        draft.counts[facts["id"]] = chance.choice((1, 2, 2) if slots == MOST_SLOTS else (1, 1, 2))
    for number in range(chance.randint(1, 2)):
        low, high = chance.choice(zooms)
        draft.kind("lens").append(
            {"id": f"lens-{number}", "focal_min_mm": low, "focal_max_mm": high}
        )
    for number in range(chance.choice((1, 1, 2) if slots == MOST_SLOTS else (1, 2, 2, 2))):
        draft.kind("support").append({"id": f"legs-{number}", "mass_kg": chance.choice((2, 4))})
        draft.counts[f"legs-{number}"] = chance.choice((1, 2, 3))
    draft.kind("card").append({"id": "card"})
    draft.counts |= {"card": 9, "cell": 9}


def _add_crew(draft: Draft) -> None:
    count = draft.chance.choice((1, 2, 2, 3))
    for name in ("ann", "ben", "cy")[: count if draft.slots < MOST_SLOTS else min(count, 2)]:
        draft.crew.append({"id": name, "is_skilled": draft.maybe(0.5)})


def _add_roles(draft: Draft) -> None:
    chance = draft.chance
    for number in range(chance.choice((1, 2, 2, 3))):
        draft.roles.append(new_role(draft, f"role-{number}"))
    if draft.maybe(0.4):
        subject = draft.some(draft.subjects[:1] + draft.subjects[2:3])
        moment = {
            "name": "Solo",
            "subject": subject["id"],
            "at_s": 60,
            "size": chance.choice(sizes_there(subject)),
            "priority": chance.choice(("must", "must", "want")),
        }
        draft.some(draft.songs)["moments"] = (moment,)


def sizes_there(subject: Facts) -> tuple[str, ...]:
    """Return sizes of a subject that may be filmed, tightest first."""
    sizes = SIZES[subject.get("kind", "person")]
    closest = subject.get("closest")
    return sizes if closest is None else sizes[sizes.index(closest) :]


def new_role(draft: Draft, role_id: str) -> Facts:
    """Return the facts of a random role."""
    chance, subject = draft.chance, draft.some(draft.subjects)
    sizes = sizes_there(subject)
    place = chance.randrange(len(sizes))
    facts: Facts = {
        "id": role_id,
        "subject": subject["id"],
        "sizes": sizes[place : place + chance.choice((1, 2, 2, 3, 4))],
        "priority": chance.choice(("must", "want", "want", "nice")),
        "weight": chance.choice((1, 1, 2, 3)),
        "manner": chance.choice(("either", "either", "operated", "locked-off")),
        "also": draft.maybe(0.3),
    }
    if draft.maybe(0.4):
        facts["in_passes"] = "every"
    if draft.maybe(0.2):
        facts["passes"] = (chance.choice(draft.ids(draft.passes)),)
    if draft.maybe(0.2):
        facts["positions"] = (chance.choice(draft.ids(draft.positions)),)
    return facts


def settle(draft: Draft) -> None:
    """Take out where twists contradict each other, which no shoot file may."""
    draft.roles, draft.subjects = _once(draft.roles), _once(draft.subjects)
    draft.items = {kind: _once(rows) for kind, rows in draft.items.items()}
    for subject in draft.subjects:
        sizes = sizes_there(subject)
        own = subject.get("frames_m", {})
        subject["frames_m"] = {size: frame for size, frame in own.items() if size in sizes}
    draft.accessories = list(dict.fromkeys(draft.accessories))
    crew = draft.ids(draft.crew)
    free = [row["id"] for row in draft.crew if not row.keys() & {"since", "until", "performs_in"}]
    for rows, name, allowed in (
        (draft.passes, "people", free),
        (draft.positions, "only_people", crew),
    ):
        for row in rows:
            row[name] = tuple(one for one in row.get(name) or () if one in allowed) or None
    draft.never = [
        row
        for row in draft.never
        if row.get("person") in (None, *crew)
        and not any(row.items() <= keep.items() for keep in draft.keep)
    ]


def _once(rows: list[Facts]) -> list[Facts]:
    """Return the rows with each id once; the last of each counts."""
    return list({row["id"]: row for row in rows}.values())


# -- records ---------------------------------------------------------------------------------------


def _shoot(draft: Draft) -> Any:
    return small_shoot(
        positions=tuple(position(row.pop("id"), **row) for row in map(dict, draft.positions)),
        audience=tuple(draft.audience),
        obstacles=tuple(draft.obstacles),
        lamps=tuple(draft.lamps),
        subjects=tuple(
            singer(row.pop("id"), **row)
            if row.get("kind", "person") == "person"
            else Subject(**row)
            for row in map(dict, draft.subjects)
        ),
        light=tuple(draft.light),
        songs=tuple(song(row.pop("id"), **row) for row in map(dict, draft.songs)),
        passes=tuple(
            show(**{"doors": None, "has_audience": False, **row})
            if row["id"] == "show"
            else run(**row)
            for row in draft.passes
        ),
        crew=tuple(person(row.pop("id"), **row) for row in map(dict, draft.crew)),
        roles=tuple(role(row.pop("id"), **row) for row in map(dict, draft.roles)),
        locks={"keep": tuple(draft.keep), "never": tuple(draft.never)},
        rules={**QUIET, **draft.rules},
        **draft.parts,
    )


def _kit(draft: Draft) -> Kit:
    items: list[AnyItem] = [Battery(id="cell", name="cell")]
    for kind, rows in draft.items.items():
        items += [BUILDERS[kind](row.pop("id"), **row) for row in map(dict, rows)]
    items += [
        Accessory(id=f"{serves}-{fits}" if fits else serves, name=serves, serves=serves, fits=fits)
        for serves, fits in draft.accessories
    ]
    items += [charger(**row) for row in draft.chargers]
    units = []
    for item in items:
        for number in range(1, draft.counts.get(item.id, 1) + 1):
            own = draft.units.get(item.id, {}) if number == 1 else {}
            units.append(unit(item.id, number, **own))
    return Kit(items=tuple(items), units=tuple(units))
