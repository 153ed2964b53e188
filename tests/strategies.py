"""Hypothesis strategies: random valid kits of every kind, with names that break bad writers."""

from __future__ import annotations

from datetime import date
from typing import Any, get_args

from hypothesis import strategies as st

from kitplan.gear.kit import Away, Kit, Unit, grouped
from kitplan.gear.records import (
    ITEM_TYPES,
    Adapter,
    AnyItem,
    Body,
    Case,
    Charger,
    Condition,
    Item,
    Lens,
    Optic,
    RecordingMode,
    Sound,
)

AWKWARD = (
    "=1+1",
    "+49 30",
    "-1",
    "@home",
    "'=quoted",
    "''",
    'the "big" one',
    "Größe: Ø 77, näher",
    "🎥 left; right | both",
    "a, b\\n",
    "# no comment",
    "{x: [1]}",
    "true",
    "007",
    "1e3",
    "14:30",
    "2026-05-31",
    "~",
    "<b>&amp;</b>",
    "- item",
    "%s",
    "= ",
    "<<",
    "a|b",
    "C:\\kit\\",
    "\\|",
    "|",
)
words = st.one_of(
    st.sampled_from(AWKWARD),
    st.text(st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp", "Cn")), max_size=20),
)
names = words.map(str.strip).filter(bool)
notes = st.lists(words, max_size=3).map("\n".join)
positive = st.floats(0.0001, 1e5)
not_negative = st.floats(0, 1e5)
maybe = st.none()
mounts = st.sampled_from(["EF", "E", "MFT", "PL", "own/bench", "own/C-x"])
fittings = st.sampled_from(["bowl-75", "thread-3/8", "dovetail"])
stops = st.floats(0.7, 8)


def optic_facts() -> dict[str, st.SearchStrategy[Any]]:
    """Return the facts of an optic, focal lengths apart."""
    return {
        "stop_wide": stops,
        "t_stop_loss": maybe | not_negative,
        "least_stop": st.just(16.0) | positive,
        "closest_focus_m": not_negative,
        "stabiliser_stops": not_negative,
        "has_power_zoom": st.booleans(),
        "holds_focus": st.booleans(),
        "holds_stop": st.booleans(),
    }


@st.composite
def optics(draw: st.DrawFn) -> Optic:
    """Draw a zoom or prime as the light sees it."""
    low, high = sorted((draw(positive), draw(positive)))
    return Optic(focal_min_mm=low, focal_max_mm=high, **draw(st.fixed_dictionaries(optic_facts())))


modes = st.builds(
    RecordingMode,
    name=names,
    frame_width_px=st.integers(1, 20_000),
    frame_height_px=st.integers(1, 20_000),
    frame_rate_fps=st.floats(1, 1000),
    bit_rate_mbps=positive,
    crop=st.floats(1, 10),
    clip_limit_min=maybe | positive,
    at_limit=st.sampled_from(["stops", "splits"]),
)


@st.composite
def items(draw: st.DrawFn, item_id: str, model: type[Item], battery: str) -> AnyItem:
    """Draw a valid item of a kind; what takes batteries takes the one given."""
    facts: dict[str, Any] = {
        "id": item_id,
        "name": draw(names),
        "mass_kg": draw(not_negative),
        "setup_min": draw(maybe | not_negative),
        "measured": draw(st.just(()) | st.just(("mass_kg",)) | st.just(("mass_kg", "id"))),
        "looked_up": draw(st.just(()) | st.just(("name", "note"))),
        "to_ask": draw(st.just(()) | st.just(("mass_kg",))),
        "note": draw(notes),
    }
    facts |= draw(_facts_of_kind(model, battery))
    if model is Body:
        facts |= draw(_glass_and_power(battery))
    if model is Lens:
        low, high = sorted((draw(positive), draw(positive)))
        facts |= {"focal_min_mm": low, "focal_max_mm": high}
    return model(**facts)  # type: ignore[return-value]


@st.composite
def _glass_and_power(draw: st.DrawFn, battery: str) -> dict[str, Any]:
    facts: dict[str, Any] = draw(
        st.fixed_dictionaries({"mount": mounts}) | st.fixed_dictionaries({"built_in": optics()})
    )
    if draw(st.booleans()):
        return facts | {"runs_on_mains": True}
    return facts | {"battery": battery, "battery_min": draw(positive)}


def _facts_of_kind(model: type[Item], battery: str) -> st.SearchStrategy[dict[str, Any]]:
    by_model: dict[type[Item], dict[str, st.SearchStrategy[Any]]] = {
        Body: {
            "sensor_width_mm": positive,
            "sensor_height_mm": positive,
            "modes": st.lists(modes, min_size=1, max_size=2).map(tuple),
            "max_iso": st.floats(100, 1e5),
            "shutter_speeds_per_s": st.just(()) | st.just((50.0, 60.5)),
            "has_manual_control": st.booleans(),
            "autofocus_is_usable": st.booleans(),
        },
        Lens: optic_facts()
        | {
            "mount": mounts,
            "image_circle_mm": positive,
            "iris": st.sampled_from(["ring", "electronic"]),
        },
        Adapter: {
            "lens_mount": st.just("EF"),
            "body_mount": st.sampled_from(["E", "MFT", "own/bench"]),
            "has_glass": st.just(True),
            "focal_factor": st.floats(0.5, 2),
            "stops_gained": st.floats(-4, 4),
            "passes_on": st.just(()) | st.just(("iris", "autofocus")),
        },
        ITEM_TYPES["head"]: {"payload_kg": positive, "fitting": fittings},
        ITEM_TYPES["support"]: {
            "payload_kg": positive,
            "fitting": maybe | fittings,
            "stands_on": st.sampled_from([(), ("floor",), ("rail", "bar")]),
            "height_min_m": st.floats(0, 1),
            "height_max_m": st.floats(1, 10),
            "moves": st.sampled_from([(), ("track",), ("boom", "walk")]),
            "can_stand_alone": st.booleans(),
            "sweep_m": maybe | not_negative,
            "skill": maybe | st.just("jib-arm"),
        },
        ITEM_TYPES["battery"]: {"energy_wh": maybe | positive},
        Charger: {"batteries": st.just((battery,)), "charge_min": positive},
        ITEM_TYPES["media"]: {"capacity_gb": positive, "sustained_mb_s": positive},
        Sound: {
            "what": st.sampled_from(["recorder", "microphone", "desk-feed"]),
            "battery": maybe | st.just(battery),
            "channels": st.integers(1, 128),
        },
        ITEM_TYPES["accessory"]: {"serves": st.just("sandbag"), "fits": maybe | fittings},
        Case: {"volume_l": positive, "most_load_kg": positive},
    }
    return st.fixed_dictionaries(by_model[model])


@st.composite
def _away(draw: st.DrawFn) -> Away:
    first, last = sorted(draw(st.tuples(*[st.dates(date(2000, 1, 1), date(2100, 1, 1))] * 2)))
    return Away(begins=first, ends=draw(maybe | st.just(last)), why=draw(names))


away = _away()


@st.composite
def units(draw: st.DrawFn, unit_id: str, item_id: str, cases: list[str]) -> Unit:
    """Draw a unit of an item, at home in one of the cases or in none."""
    first, last = sorted(draw(st.tuples(*[st.dates(date(2000, 1, 1), date(2100, 1, 1))] * 2)))
    return Unit(
        id=unit_id,
        item=item_id,
        owner=draw(names),
        serial=draw(words),
        condition=draw(st.sampled_from(get_args(Condition))),
        value=draw(maybe | not_negative),
        hire=draw(maybe | not_negative),
        case=draw(maybe | st.sampled_from(cases)) if cases else None,
        available_from=draw(maybe | st.just(first)),
        available_until=draw(maybe | st.just(last)),
        owner_only=draw(st.booleans()),
        health=draw(st.floats(0.01, 1)),
        shelf=draw(words),
        firmware=draw(words),
        service_due=draw(maybe | st.just(last)),
        photos=draw(st.lists(names, max_size=3).map(tuple)),
        away=draw(st.lists(away, max_size=2).map(tuple)),
        fault=draw(words),
        note=draw(notes),
    )


@st.composite
def kits(draw: st.DrawFn) -> Kit:
    """Draw a kit that obeys every rule: a battery, a case and up to five more items."""
    kinds = draw(st.lists(st.sampled_from(sorted(ITEM_TYPES)), max_size=5))
    owned: list[AnyItem] = []
    for number, kind in enumerate(["battery", "case", *kinds]):
        owned.append(draw(items(f"{kind}/{number}", ITEM_TYPES[kind], "battery/0")))
    cases = [f"u-{item.id}" for item in owned if isinstance(item, Case)]
    things: list[Unit] = [draw(units(case_id, case_id[2:], [])) for case_id in cases]
    for item in owned:
        if not isinstance(item, Case):
            count = draw(st.integers(0, 2))
            things += [draw(units(f"u-{item.id}-{n}", item.id, cases)) for n in range(count)]
    return grouped(Kit(items=tuple(owned), units=tuple(things)))
