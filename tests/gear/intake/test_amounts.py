"""Amounts as people write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.gear.intake.amounts import Unreadable, amount, day, money, number, span, stops, whole


@pytest.mark.parametrize(
    ("text", "fact", "unit", "expected"),
    [
        ("450 g", "mass_kg", None, 0.45),
        ("450", "mass_kg", "g", 0.45),
        ("1 lb 3 oz", "mass_kg", None, 0.538641),  # 0.45359237 + 3 * 0.028349523
        ("1,5 kg", "mass_kg", None, 1.5),
        ("5'6\"", "height_max_m", None, 1.6764),  # 66 in of 25.4 mm
        ("38 cm", "closest_focus_m", None, 0.38),
        ("38", "closest_focus_m", "cm", 0.38),
        ("0.38", "closest_focus_m", None, 0.38),
        ("Ø77", "filter_thread_mm", None, 77),
        ("1 TB", "capacity_gb", None, 1000),
        ("1.5 h", "battery_min", None, 90),
        ("1h30", "battery_min", None, 90),
        ("1:30:00", "battery_min", None, 90),
        ("90 MB/s", "sustained_mb_s", None, 90),
    ],
)
def test_units_are_converted(text: str, fact: str, unit: str | None, expected: float) -> None:
    """Into the unit of the fact's name."""
    assert amount(text, fact, unit) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("text", "fact", "wrong", "right"),
    [
        ("about 3", "mass_kg", "'about 3'", "a number, or one with a unit"),
        ("3 stone", "mass_kg", "the unit 'stone'", "Use "),
        ("-3", "mass_kg", "'-3'", "a number"),
        ("77 kg", "filter_thread_mm", "the unit 'kg'", "mm"),
        ("1,250", "mass_kg", "either of two", "Write 1.250 or 1250"),
        ("1.2.3", "mass_kg", "'1.2.3'", "a number"),
    ],
)
def test_what_is_no_amount_is_told(text: str, fact: str, wrong: str, right: str) -> None:
    """What is wrong and what would be right."""
    with pytest.raises(Unreadable) as caught:
        amount(text, fact, None)
    assert wrong in caught.value.wrong
    assert right in caught.value.right


@pytest.mark.parametrize("text", ["1.200,5", "1,200.5"])
@pytest.mark.parametrize("comma_is_decimal", [True, False])
def test_thousands_and_decimals_tell_each_other(text: str, comma_is_decimal: bool) -> None:
    """Where both signs stand, the last one is the decimal one."""
    assert number(text, comma_is_decimal=comma_is_decimal) == 1200.5


def test_a_comma_between_semicolons_is_a_decimal_one() -> None:
    """1,250 kg is surely 1.25 there."""
    assert amount("1,250", "mass_kg", None, comma_is_decimal=True) == 1.25


@given(value=st.floats(0.001, 9000), unit=st.sampled_from(["g", "kg", "lb", "oz"]))
def test_amounts_scale_with_their_unit(value: float, unit: str) -> None:
    """As many units as written, each of its size."""
    in_kg = {"g": 0.001, "kg": 1.0, "lb": 0.45359237, "oz": 0.45359237 / 16}[unit]
    assert amount(f"{value:.4f} {unit}", "mass_kg", None) == pytest.approx(
        round(value, 4) * in_kg, abs=1e-6
    )


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("24-70mm", (24, 70)),
        ("24 – 70", (24, 70)),
        ("24mm-70mm", (24, 70)),
        ("70 to 24", (24, 70)),
        ("50", (50, 50)),
        ("8,5 - 140", (8.5, 140)),
    ],
)
def test_focal_ranges_are_read(text: str, ends: tuple[float, float]) -> None:
    """A prime has twice the same end."""
    assert span(text, "focal", None) == ends


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("f/2.8", (2.8, None, False)),
        ("F4", (4, None, False)),
        ("f/3.5-5.6", (3.5, 5.6, False)),
        ("f2.8 - f4", (2.8, 4, False)),
        ("1:2.8-4.0", (2.8, 4, False)),
        ("2,8", (2.8, None, False)),
        ("f/2.8-2.8", (2.8, None, False)),
        ("T2.9", (2.9, None, True)),
    ],
)
def test_apertures_are_read(text: str, expected: tuple[float, float | None, bool]) -> None:
    """Wide end, tele end where it differs, and whether it is a T-stop."""
    assert stops(text) == expected


@pytest.mark.parametrize(
    ("read", "typed"), [(lambda text: span(text, "focal", None), "24-70"), (stops, "f/2.8-4")]
)
def test_what_a_spreadsheet_has_made_a_date_of_is_told(read: object, typed: str) -> None:
    """10-18 typed as a focal range comes out as a day of October."""
    with pytest.raises(Unreadable) as caught:
        read("2026-10-18")  # type: ignore[operator]
    assert "the date 2026-10-18, which a spreadsheet has made" in caught.value.wrong
    assert typed in caught.value.right


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1250", 1250),
        ("£1,250", 1250),
        ("€ 1.250,50", 1250.5),
        ("1'200.-", 1200),
        ("12.5", 12.5),
        ("0", 0),
    ],
)
def test_prices_are_read(text: str, expected: float) -> None:
    """Three digits after a sign are thousands, one or two are cents."""
    assert money(text) == expected


@pytest.mark.parametrize("text", ["cheap", "-5", "1.2.", "₀"])
def test_what_is_no_price_is_told(text: str) -> None:
    """Nothing is read into it."""
    with pytest.raises(Unreadable):
        money(text)


@pytest.mark.parametrize("text", ["2027-05-31", "2027-05-31 00:00:00", "31.5.2027", "31/5/2027"])
def test_days_are_read(text: str) -> None:
    """Where only one day can be meant."""
    assert day(text) == "2027-05-31"


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("46156", "the number 46156, which stands for 2026-05-14"),
        ("5/6/2027", "which can be two days"),
        ("soon", "'soon'"),
        ("2027-02-30", "'2027-02-30'"),
    ],
)
def test_what_is_no_day_is_told(text: str, wrong: str) -> None:
    """A date as a number says which one it stands for."""
    with pytest.raises(Unreadable) as caught:
        day(text)
    assert wrong in caught.value.wrong


@pytest.mark.parametrize(("text", "expected"), [("4", 4), ("4.0", 4), ("x3", 3), ("2 pcs", 2)])
def test_quantities_are_read(text: str, expected: int) -> None:
    """With the signs that people put beside them."""
    assert whole(text) == expected


@pytest.mark.parametrize("text", ["0", "2.5", "some", "1000"])
def test_odd_quantities_are_refused(text: str) -> None:
    """Nobody owns half a thing, or a thousand of one."""
    with pytest.raises(Unreadable):
        whole(text)
