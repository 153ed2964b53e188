"""The assumed facts of a brief, each with values that it may really have and the briefs they make.

What counts as assumed: facts not named under `measured` of their record, of kinds that are nearly
always guessed or stand on a nameplate; and of a few kinds only what the input leaves to a default,
a table or the clock. A value equal to its default counts as left out, since a plan file writes all
of them. A rule that the shoot changes counts as measured: nobody changes it without a reason.
How far each kind may be off stands in shared/uncertainty.yaml.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import hypot
from typing import Any

from kitplan.gear.records import AnyItem, Body, Head, Lens, Support
from kitplan.options.pictures import DARK_HOUSE_STOPS
from kitplan.options.stands import minutes_row
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.every import problems
from kitplan.shoot.records import Pass
from kitplan.shoot.rules import default_rules
from kitplan.shoot.sizes import body_m
from kitplan.shoot.venue import Light, Position, Subject
from kitplan.tables import table
from kitplan.whatif.changed import with_item, with_position, with_shoot

STILL_DIGITS = 4


@dataclass(frozen=True)
class End:
    """A value that a fact may really have, and the brief as it is then."""

    value: float
    brief: Brief


@dataclass(frozen=True)
class Fact:
    """An assumed fact."""

    kind: str
    """Its row in shared/uncertainty.yaml."""
    id: str
    """Of the record that states it."""
    label: str
    """What it is a fact of, in words."""
    value: float | None
    """None where nothing at all is assumed."""
    unit: str
    how: str
    """How to measure it."""
    absent_words: str
    """What it comes to in words where nothing is assumed."""
    ends: tuple[End, ...]
    """The lowest and the highest value to be expected, or one that would be bad news."""

    @property
    def key(self) -> str:
        """Its name among all facts."""
        return f"{self.kind} {self.id}"


def assumed_facts(brief: Brief) -> Iterator[Fact]:
    """Yield every assumed fact that may matter, kind by kind, with values that fit the rest: a
    position is not moved off the stage or into a wall.
    """
    wrong = _wrong(brief)
    for facts in (_light, _places, _heads, _house_light, _subjects, _gaps, _supports, _gear):
        for fact in facts(brief):
            ends = tuple(end for end in fact.ends if _wrong(end.brief) <= wrong)
            if ends:
                yield replace(fact, ends=ends)


def _wrong(brief: Brief) -> set[str]:
    """Return what the checks find wrong with a brief."""
    return {each.wrong for each in problems(brief, lambda _: 0, "")}


def _fact(
    kind: str, own_id: str, label: str, value: float | None, make: Callable[[float], Brief]
) -> Fact:
    row = table("uncertainty")[kind]
    ends = tuple(End(each, make(each)) for each in _values(row, value))
    words = row.get("absent_words", "")
    return Fact(kind, own_id, label, value or None, row["unit"], row["how"], words, ends)


def _values(row: dict[str, Any], value: float | None) -> tuple[float, ...]:
    """Return the values to try for an assumed one."""
    if not value:
        return (float(row["absent"]),) if "absent" in row else ()
    if "low" in row:
        found = value * row["low"], value * row["high"]
    else:
        found = value - row["less"], value + row["more"]
    return tuple(round(each, STILL_DIGITS) for each in found if each > 0)


# -- the venue -------------------------------------------------------------------------------------


def _light(brief: Brief) -> Iterator[Fact]:
    rows = brief.shoot.light
    for place, row in enumerate(rows):
        if row.is_measured("dim_lux"):
            continue

        def make(lux: float, place: int = place, row: Light = row) -> Brief:
            new = row.model_copy(update={"dim_lux": lux, "bright_lux": max(row.bright_lux, lux)})
            return with_shoot(brief, light=(*rows[:place], new, *rows[place + 1 :]))

        label = f"light on {_who_is_lit(brief, place)}"
        yield _fact("light", f"row {place + 1}", label, row.dim_lux, make)


def _who_is_lit(brief: Brief, place: int) -> str:
    row = brief.shoot.light[place]
    names = [brief.shoot.subjects_by_id[each].label for each in row.subjects or ()]
    others = any(one.subjects is not None for one in brief.shoot.light[:place])
    who = ", ".join(names) or ("everybody else" if others else "everybody")
    if row.passes is None:
        return who
    return f"{who} in {', '.join(brief.shoot.passes_by_id[each].label for each in row.passes)}"


def _places(brief: Brief) -> Iterator[Fact]:
    for place in brief.shoot.venue.positions:
        if place.permission is not None and place.permission.state == "refused":
            continue
        if not place.is_measured("at_m"):
            yield _distance(brief, place)
        is_raised = (
            place.floor_height_m > 0 and not place.is_on_stage
        )  # whose height is the stage's
        if is_raised and not place.is_measured("floor_height_m"):

            def raised(height: float, place: Position = place) -> Brief:
                return with_position(brief, place.id, floor_height_m=height)

            label = f"height of the floor at {place.label}"
            yield _fact("floor_height", place.id, label, place.floor_height_m, raised)
        if place.room_m == Position.model_fields["room_m"].default:
            if place.is_measured("room_m"):
                continue

            def wider(room: float, place: Position = place) -> Brief:
                return with_position(brief, place.id, room_m=room)

            yield _fact("room", place.id, f"room at {place.label}", place.room_m, wider)


def _distance(brief: Brief, place: Position) -> Fact:
    """How far a position is from the middle of the stage; nearer and farther along that line."""
    outline = brief.shoot.venue.stage.outline_m
    middle = tuple((min(axis) + max(axis)) / 2 for axis in zip(*outline, strict=True))
    away = tuple(own - mid for own, mid in zip(place.at_m, middle, strict=True))
    distance = round(hypot(*away), 2)

    def make(metres: float) -> Brief:
        moved = tuple(
            round(mid + step * metres / distance, STILL_DIGITS)
            for mid, step in zip(middle, away, strict=True)
        )
        return with_position(brief, place.id, at_m=moved)

    label = f"distance from {place.label} to the middle of the stage"
    return _fact("distance", place.id, label, distance, make)


def _heads(brief: Brief) -> Iterator[Fact]:
    """How high the heads of the audience are, seated or standing, where there is one."""
    shoot, usual = brief.shoot, default_rules()
    if not any(each.has_audience for each in shoot.passes):
        return
    for state in dict.fromkeys(area.state for area in shoot.venue.audience):
        rule = f"heads_{state}_m"
        value = getattr(shoot.rules, rule)
        if value != getattr(usual, rule):
            continue

        def make(height: float, rule: str = rule) -> Brief:
            rules = brief.shoot.rules.model_copy(update={rule: height})
            return with_shoot(brief, rules=rules)

        yield _fact("heads", state, f"height of the heads of a {state} audience", value, make)


# -- the passes ------------------------------------------------------------------------------------


def _house_light(brief: Brief) -> Iterator[Fact]:
    """Light on the seats in passes that do not say; in show light so many stops under the stage."""
    for place, each in enumerate(brief.shoot.passes):
        if each.house_lux is not None or each.is_measured("house_lux"):
            continue
        if not brief.shoot.venue.audience or not each.is_in_show_light:
            continue
        dimmest = min(row.dim_lux for row in brief.shoot.light)

        def make(lux: float, place: int = place) -> Brief:
            return _with_pass(brief, place, house_lux=lux)

        label = f"light on the seats in {each.label}"
        yield _fact("house_light", each.id, label, dimmest / 2**DARK_HOUSE_STOPS, make)


def _gaps(brief: Brief) -> Iterator[Fact]:
    for place, (this, following) in enumerate(
        zip(brief.shoot.passes, brief.shoot.passes[1:], strict=False)
    ):
        minutes = brief.shoot.gap_min(place)
        if this.is_measured("gap_after_min") or minutes <= 0:
            continue

        def make(gap: float, place: int = place) -> Brief:
            return _with_pass(brief, place, gap_after_min=gap)

        label = f"time to work in between {this.label} and {following.label}"
        yield _fact("gap", this.id, label, minutes, make)


def _with_pass(brief: Brief, place: int, **changed: Any) -> Brief:
    passes: list[Pass] = list(brief.shoot.passes)
    passes[place] = passes[place].model_copy(update=changed)
    return with_shoot(brief, passes=tuple(passes))


# -- who is filmed ---------------------------------------------------------------------------------


def _subjects(brief: Brief) -> Iterator[Fact]:
    for subject in brief.shoot.subjects:
        if subject.kind != "person":
            continue

        def make(fact: str, subject: Subject = subject) -> Callable[[float], Brief]:
            return lambda value: _with_subject(brief, subject, **{fact: value})

        if subject.height_m is None and subject.posture in ("standing", "child"):
            label = f"height of {subject.label}"
            yield _fact("stature", subject.id, label, body_m(subject), make("height_m"))
        if not subject.roam_m and not subject.is_measured("roam_m"):
            label = f"how far {subject.label} moves from the spot"
            yield _fact("roam", subject.id, label, None, make("roam_m"))


def _with_subject(brief: Brief, subject: Subject, **changed: Any) -> Brief:
    new = subject.model_copy(update=changed)
    found = tuple(new if each.id == subject.id else each for each in brief.shoot.subjects)
    return with_shoot(brief, subjects=found)


# -- the kit ---------------------------------------------------------------------------------------


def _supports(brief: Brief) -> Iterator[Fact]:
    """Minutes to set a support up; to strike it takes longer by the same factor."""
    if len(brief.shoot.passes) < 2:
        return
    for item in brief.kit.of_kind(Support):
        if item.id not in brief.kit.units_by_item or item.is_measured("setup_min"):
            continue
        usual = table("setup_minutes")[minutes_row(item, _usual_place(item))]
        setup_min = item.setup_min if item.setup_min is not None else float(usual["setup_min"])
        strike_min = item.strike_min if item.strike_min is not None else float(usual["strike_min"])
        if not setup_min:
            continue

        def make(
            minutes: float,
            item: AnyItem = item,
            setup_min: float = setup_min,
            strike_min: float = strike_min,
        ) -> Brief:
            strike = round(strike_min * minutes / setup_min, STILL_DIGITS)
            return with_item(brief, item.id, setup_min=minutes, strike_min=strike)

        yield _fact("setup", item.id, f"minutes to set up the {item.name}", setup_min, make)


def _usual_place(support: Support) -> str:
    return "floor" if "floor" in support.stands_on else support.stands_on[0]


FACTS_OF_GEAR: tuple[tuple[str, str, tuple[type[AnyItem], ...], str], ...] = (
    ("battery", "battery_min", (Body,), "minutes of the {name} from one battery"),
    ("heat", "heat_limit_min", (Body,), "minutes until the {name} gets too hot"),
    ("iso", "max_iso", (Body,), "highest ISO of the {name} that you accept"),
    ("mass", "mass_kg", (Body, Lens, Head), "weight of the {name}"),
)
"""Kind, fact, kinds of item and label."""


def _gear(brief: Brief) -> Iterator[Fact]:
    rows = table("uncertainty")
    for kind, fact, records, label in FACTS_OF_GEAR:
        for item in brief.kit.items:
            if not isinstance(item, records) or item.id not in brief.kit.units_by_item:
                continue
            value = getattr(item, fact)
            is_given = bool(value) and rows[kind].get("only_absent", False)
            if item.is_measured(fact) or is_given or (not value and "absent" not in rows[kind]):
                continue

            def make(number: float, item: AnyItem = item, fact: str = fact) -> Brief:
                changed: dict[str, Any] = {fact: number}
                if isinstance(item, Body):
                    changed["base_iso"] = min(item.base_iso, changed.get("max_iso", item.base_iso))
                changed["measured"] = (*item.measured, fact)  # a battery is trusted further then
                return with_item(brief, item.id, **changed)

            yield _fact(kind, item.id, label.format(name=item.name), value, make)
