"""What is to ask of a kit, and what an answer changes."""

from __future__ import annotations

import pytest

from kitplan.gear.intake.amounts import Unreadable
from kitplan.gear.kit import Kit, Unit
from kitplan.gear.questions import answered, questions, value_of
from kitplan.gear.records import AnyItem, Body, Head, Lens, RecordingMode
from kitplan.gear.store import Store

HD = RecordingMode(
    name="HD",
    frame_width_px=1920,
    frame_height_px=1080,
    frame_rate_fps=25,
    bit_rate_mbps=50,
    clip_limit_min=29,
)
BODY = Body(
    id="cam",
    name="camera",
    mount="E",
    sensor_width_mm=36,
    sensor_height_mm=24,
    modes=(HD, HD.model_copy(update={"name": "slow", "clip_limit_min": None})),
    base_iso=200,
    max_iso=3200,
    runs_on_mains=True,
)
LENS = Lens(
    id="wide",
    name="wide",
    mount="E",
    focal_min_mm=20,
    focal_max_mm=20,
    stop_wide=1.8,
    closest_focus_m=0.3,
    image_circle_mm=43.3,
    to_ask=("image_circle_mm",),
    measured=("closest_focus_m",),
)
HEAD = Head(id="fluid", name="fluid head", payload_kg=2, fitting="bowl-75", to_ask=("payload_kg",))


def kit(*items: AnyItem) -> Kit:
    """A kit with one unit of each item."""
    units = tuple(Unit(id=f"{i.id}-1", item=i.id, owner="Ana") for i in items)
    return Kit(items=items, units=units)


def asked(*items: AnyItem) -> set[tuple[str, str]]:
    """Return item and fact of everything that is asked."""
    return {(each.item, each.fact) for each in questions(kit(*items))}


def test_guesses_and_what_planning_leans_on_are_asked() -> None:
    """Measured facts are not, nor battery minutes of a body on mains; a bare screw is asked for."""
    assert asked(BODY, LENS, HEAD) == {
        ("cam", "modes"),
        ("cam", "max_iso"),
        ("wide", "image_circle_mm"),
        ("fluid", "payload_kg"),
        ("fluid", "plate"),
    }


def test_nothing_is_asked_of_what_nobody_owns() -> None:
    """An item without units is in no rig."""
    assert list(questions(Kit(items=(HEAD,)))) == []


def test_modes_are_told_by_their_shortest_clip() -> None:
    """None where none of them ends by itself."""
    assert value_of(BODY, "modes") == 29
    assert value_of(LENS, "focal_min_mm") == 20


@pytest.mark.parametrize(
    ("item", "fact", "text", "value"),
    [
        (HEAD, "payload_kg", "11 lb", 4.989516),
        (HEAD, "plate", "slide 50", "slide-50"),
        (HEAD, "plate", "none", None),
        (HEAD, "fitting", "100 mm bowl", "bowl-100"),
        (LENS, "closest_focus_m", "28 cm", 0.28),
        (BODY, "max_iso", "6400", 6400),
        (BODY, "heat_limit_min", "never", None),
    ],
)
def test_answers_are_read_with_their_units_and_count_as_measured(
    item: Body | Lens | Head, fact: str, text: str, value: object
) -> None:
    """The guess is off the list of what is to ask."""
    changed = answered(item, fact, text)
    assert changed[fact] == (pytest.approx(value) if isinstance(value, float) else value)
    assert fact in changed["measured"]
    assert fact not in changed["to_ask"]


def test_a_clip_limit_is_one_of_all_modes() -> None:
    """None takes it off all of them."""
    for text, limit in (("20", 20), ("none", None)):
        modes = [
            RecordingMode.model_validate(mode) for mode in answered(BODY, "modes", text)["modes"]
        ]
        assert [mode.clip_limit_min for mode in modes] == [limit, limit]


@pytest.mark.parametrize(
    ("item", "fact", "text", "message"),
    [
        (HEAD, "payload_kg", "lots", "Write a number"),
        (HEAD, "payload_kg", "0", "Write a number above 0"),
        (HEAD, "payload_kg", "4000", "Write the unit with it"),
        (BODY, "max_iso", "100", "below its base ISO 200"),
    ],
)
def test_odd_answers_are_refused(item: Body | Head, fact: str, text: str, message: str) -> None:
    """With what would be right."""
    with pytest.raises(Unreadable, match=message):
        answered(item, fact, text)


def test_an_answer_fits_into_the_inventory() -> None:
    """It is a change like any other; the fact is not asked again."""
    with Store.in_memory(kit(BODY, LENS, HEAD)) as store:
        for question in list(questions(store.load())):
            text = {"max_iso": "6400", "plate": "none", "modes": "none"}.get(question.fact, "30")
            item = store.items_by_id([question.item])[question.item]
            store.change_item(item.id, answered(item, question.fact, text))
        assert list(questions(store.load())) == []
