"""Records of the kit: their own rules, what is free on a day, grouping."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pydantic import ValidationError

from kitplan.gear.kit import Away, Kit, Unit, facts_of, grouped
from kitplan.gear.records import (
    Adapter,
    Battery,
    Body,
    Case,
    Condition,
    Lens,
    Optic,
    RecordingMode,
    Support,
)

HD = RecordingMode(
    name="hd", frame_width_px=1920, frame_height_px=1080, frame_rate_fps=25, bit_rate_mbps=50
)
BODY = {
    "id": "cam",
    "name": "camera",
    "mount": "E",
    "sensor_width_mm": 36,
    "sensor_height_mm": 24,
    "max_iso": 6400,
    "modes": (HD,),
    "runs_on_mains": True,
}
OPTIC = {"focal_min_mm": 8, "focal_max_mm": 16, "stop_wide": 2, "closest_focus_m": 0.2}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"mount": None}, "give one of the two"),
        ({"built_in": OPTIC}, "give one of the two"),
        ({"runs_on_mains": False}, "the body has no power; give battery"),
        ({"battery": "cell"}, "battery is given without battery_min; add the minutes"),
        ({"base_iso": 12800}, "base_iso 12800 is above max_iso 6400; raise max_iso"),
        ({"measured": ("mas",)}, "measured names mas, which cam has no fact for"),
        ({"modes": ()}, "at least 1"),
        ({"id": "a b"}, "pattern"),
        ({"name": " "}, "at least 1"),
        ({"name": "a\x07"}, r"invisible character U\+0007; take it out"),
        ({"note": "a\u2028b"}, r"U\+2028"),
    ],
)
def test_a_body_that_cannot_be_is_refused(change: dict[str, Any], message: str) -> None:
    """The right body is accepted, each change of it is not."""
    assert Body.model_validate(BODY)
    with pytest.raises(ValidationError, match=message):
        Body.model_validate(BODY | change)


def test_space_around_text_does_not_count_and_notes_have_lines() -> None:
    """Names are one line, notes may be several."""
    body = Body.model_validate(BODY | {"name": " cam ", "note": "one\n\ttwo\n"})
    assert (body.name, body.note) == ("cam", "one\n\ttwo")


def test_focal_lengths_and_heights_run_upwards() -> None:
    """The message gives both numbers and says to swap them."""
    assert not Optic.model_validate(OPTIC).is_prime
    with pytest.raises(ValidationError, match="focal_min_mm 20 is above focal_max_mm 16; swap"):
        Optic.model_validate(OPTIC | {"focal_min_mm": 20})
    with pytest.raises(ValidationError, match="height_min_m 2 is above height_max_m 1; swap"):
        Support(id="s", name="s", payload_kg=1, height_min_m=2, height_max_m=1)


def test_a_plain_ring_changes_nothing() -> None:
    """Only glass changes focal length or light."""
    ring = {"id": "r", "name": "r", "lens_mount": "EF", "body_mount": "E"}
    assert Adapter.model_validate(ring | {"has_glass": True, "focal_factor": 0.71})
    with pytest.raises(ValidationError, match="a plain ring changes neither"):
        Adapter.model_validate(ring | {"focal_factor": 0.71})


@pytest.mark.parametrize(
    ("day", "condition", "is_free"),
    [
        (date(2026, 4, 30), "good", False),
        (date(2026, 5, 1), "good", True),
        (date(2026, 5, 9), "worn", True),
        (date(2026, 5, 10), "good", False),
        (date(2026, 5, 5), "in-repair", False),
    ],
    ids=["before", "first-day", "last-day", "after", "in-repair"],
)
def test_a_unit_is_free_within_its_dates(day: date, condition: Condition, is_free: bool) -> None:
    """Both dates are inclusive."""
    unit = Unit(
        id="u",
        item="i",
        owner="Ana",
        condition=condition,
        available_from=date(2026, 5, 1),
        available_until=date(2026, 5, 9),
    )
    assert unit.is_free_on(day) is is_free


AWAY = Away(begins=date(2026, 5, 4), ends=date(2026, 5, 5), why="booked for Gala")


@pytest.mark.parametrize(
    ("day", "travel_days", "bar"),
    [
        (3, 0, None),
        (3, 1, "booked for Gala until 5 May 2026"),
        (4, 0, "booked for Gala until 5 May 2026"),
        (5, 0, "booked for Gala until 5 May 2026"),
        (6, 0, None),
        (7, 1, None),
        (7, 2, "booked for Gala until 5 May 2026"),
        (9, 0, None),
        (9, 1, "lent by its owner only until 9 May 2026"),
        (1, 1, "lent by its owner only from 1 May 2026"),
    ],
)
def test_what_keeps_a_unit_is_said(day: int, travel_days: int, bar: str | None) -> None:
    """Days of travel belong to a day; what has no bar is free, and the other way round."""
    unit = Unit(
        id="u",
        item="i",
        owner="Ana",
        available_from=date(2026, 5, 1),
        available_until=date(2026, 5, 9),
        away=(AWAY,),
    )
    asked = date(2026, 5, day)
    assert unit.bar_on(asked, travel_days) == bar
    assert unit.is_free_on(asked, travel_days) is (bar is None)


def test_a_kit_is_looked_up_by_id_and_kind() -> None:
    """Items by id and kind, units by item."""
    cell = Battery(id="cell", name="cell")
    case = Case(id="case", name="case", volume_l=10, most_load_kg=5)
    lens = Lens(**OPTIC, id="wide", name="wide", mount="E", image_circle_mm=43)
    unit = Unit(id="cell-1", item="cell", owner="Ana")
    kit = Kit(items=(case, cell, lens), units=(unit,))
    assert kit.items_by_id["cell"] == cell
    assert list(kit.of_kind(Lens)) == [lens]
    assert kit.units_by_item == {"cell": (unit,)}
    assert kit.free_units("cell", date(2026, 1, 1)) == (unit,)
    assert kit.free_units("wide", date(2026, 1, 1)) == ()
    assert [item.kind for item in grouped(kit).items] == ["lens", "battery", "case"]


def test_facts_are_what_goes_beyond_the_defaults() -> None:
    """Kind, id and name come first."""
    facts = facts_of(Battery(id="cell", name="cell", energy_wh=16, measured=("energy_wh",)))
    assert facts == {
        "kind": "battery",
        "id": "cell",
        "name": "cell",
        "measured": ["energy_wh"],
        "energy_wh": 16,
    }
    assert list(facts)[:3] == ["kind", "id", "name"]
