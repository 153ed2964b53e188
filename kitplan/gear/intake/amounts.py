"""Amounts as people write them: '1 lb 3 oz', '24-70mm', 'f/2.8-4', '64GB', '1h30', '€ 1.250,00'.

Every reader returns plain numbers in the unit of the fact's name, or raises `Unreadable`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, timedelta
from functools import cache

from kitplan.tables import table
from kitplan.wording import THOUSANDS, shown

DIGITS = 6
_EXCEL_EPOCH = date(1899, 12, 30)
_NUMBER = r"\d+(?:[.,]\d+)*"
_GROUPED = re.compile(r"\d{1,3}(?:\.\d{3})+,\d+|\d{1,3}(?:,\d{3})+\.\d+")
_PAIR = re.compile(rf"\s*({_NUMBER})\s*([^\d\s.,;+&-][^\d\s.,;]*)?\s*(?:,|and|&|\+)?")
_CLOCK = re.compile(r"(\d{1,3}):(\d{2})(?::(\d{2}))?")
_HOURS = re.compile(rf"({_NUMBER})\s*h(?:rs?|ours?)?\s*(\d{{1,2}})\s*(?:m(?:in)?)?")
_RANGE = re.compile(
    rf"({_NUMBER})\s*([^\d\s.,;-]*)\s*(?:-|–|—|\.\.+|to|bis|à|/)\s*({_NUMBER})\s*([^\d\s.,;-]*)"
)
_STOP = re.compile(rf"(?:f|t|ƒ)?\s*[/:]?\s*({_NUMBER})")
_DATE = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[ T]00:00(?::00)?)?")
_DAY_FIRST = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})")
_MONEY = re.compile(r"[\s€£$¥]|(?i:eur|gbp|usd|chf|sek|nok|dkk|pln)|,-|\.-")
_WHOLE_MONEY = re.compile("[0-9]+|[0-9]{1,3}(?:[.,][0-9]{3})+")
_YES = {"x": "yes", "✓": "yes", "✔": "yes", "ja": "yes", "oui": "yes", "nein": "no", "non": "no"}


class Unreadable(ValueError):
    """A cell that cannot be read: what is wrong with it, and what would be right."""

    def __init__(self, wrong: str, right: str) -> None:
        super().__init__(f"{wrong}; {right}")
        self.wrong, self.right = wrong, right


@cache
def dimension_of(fact: str) -> str | None:
    """Return the row of units that the name of a fact tells; None where it has none."""
    endings = {"_kg": "kg", "_mm": "mm", "_m": "mm", "_min": "min", "_l": "l", "_gb": "gb"}
    endings |= {"_mb_s": "mb_s", "_wh": "wh"}
    named = {"focal": "mm", "height": "mm", "clip": "min"}
    if fact in named:
        return named[fact]
    if fact in ("focal_min_mm", "focal_max_mm"):
        return "mm"
    found = [ending for ending in endings if fact.endswith(ending)]
    return endings[max(found, key=len)] if found else None


def units_of(fact: str) -> Mapping[str, float]:
    """Return the units of a fact, each as so many of the unit in its name."""
    dimension = dimension_of(fact)
    if dimension is None:
        return {}
    in_first: dict[str, float] = table("column_names")["units"][dimension]
    in_metres = fact.endswith("_m") or fact == "height"
    return {unit: size / (1000 if in_metres else 1) for unit, size in in_first.items()}


def number(text: str, *, comma_is_decimal: bool = False) -> float:
    """Return a number with a decimal point or comma, and thousands parted by the other of the two.

    Raises:
        Unreadable: If it is none, or 1,250 that may be 1.25 or 1250.
    """
    cleaned = text.strip().replace("\u202f", "").replace("\xa0", "")
    if THOUSANDS.fullmatch(cleaned) and not comma_is_decimal:
        either = f"Write {cleaned.replace(',', '.')} or {cleaned.replace(',', '')}"
        raise Unreadable(f"{cleaned}, which can mean either of two", either)
    if _GROUPED.fullmatch(cleaned):
        last = max(cleaned.rfind("."), cleaned.rfind(","))
        cleaned = f"{re.sub('[.,]', '', cleaned[:last])}.{cleaned[last + 1 :]}"
    try:
        found = float(cleaned.replace(",", ".") if cleaned.count(",") == 1 else cleaned)
    except ValueError:
        raise _not_read(text, "a number") from None
    if not abs(found) < 1e9:
        raise _not_read(text, "a number")
    return found


def amount(text: str, fact: str, unit: str | None, *, comma_is_decimal: bool = False) -> float:
    """Return an amount in the unit of the fact's name; several ('1 lb 3 oz') are added.

    Args:
        unit: Of numbers that stand without one; None is the unit in the fact's name.
    Raises:
        Unreadable: If it is none, or its unit is not one of the fact.
    """
    units = units_of(fact)
    if not units:
        return number(text, comma_is_decimal=comma_is_decimal)
    if dimension_of(fact) == "min" and (minutes := _clock_minutes(text)) is not None:
        return minutes
    usual = unit or next(name for name, size in units.items() if abs(size - 1) < 1e-9)
    total, place, cleaned = 0.0, 0, text.strip().casefold().lstrip("ø⌀~≈ ").strip()
    while place < len(cleaned):
        found = _PAIR.match(cleaned, place)
        if found is None:
            break
        value = number(found[1], comma_is_decimal=comma_is_decimal)
        total += value * _size(found[2] or usual, units, text)
        place = found.end()
    if place == 0 or cleaned[place:].strip():
        raise _not_read(text, f"a number, or one with a unit ({_listed(units)})")
    return round(total, DIGITS)


def _clock_minutes(text: str) -> float | None:
    cleaned = text.strip().casefold()
    if found := _CLOCK.fullmatch(cleaned):
        return int(found[1]) * 60 + int(found[2]) + int(found[3] or 0) / 60
    if found := _HOURS.fullmatch(cleaned):
        return number(found[1]) * 60 + int(found[2])
    return None


def _size(unit: str, units: Mapping[str, float], text: str) -> float:
    word = unit.strip(".()[]")
    if word not in units:
        raise Unreadable(f"{shown(text)}, with the unit '{word}'", f"Use {_listed(units)}")
    return units[word]


def _listed(units: Mapping[str, float]) -> str:
    """Return one name for each size of unit."""
    return ", ".join({size: name for name, size in reversed(list(units.items()))}.values())


def span(
    text: str, fact: str, unit: str | None, *, comma_is_decimal: bool = False
) -> tuple[float, float]:
    """Return both ends of a range such as 24-70 mm, or twice the same number.

    Raises:
        Unreadable: If it is none.
    """
    cleaned = text.strip().casefold()
    _refuse_date(cleaned, "24-70")
    found = _RANGE.fullmatch(cleaned)
    if found is None:
        only = amount(text, fact, unit, comma_is_decimal=comma_is_decimal)
        return only, only
    own_unit = found[4] or found[2] or ""
    low, high = (
        amount(f"{part} {own}", fact, unit, comma_is_decimal=comma_is_decimal)
        for part, own in ((found[1], found[2] or own_unit), (found[3], own_unit))
    )
    return min(low, high), max(low, high)


def stops(text: str) -> tuple[float, float | None, bool]:
    """Return the widest stop at both ends (None where it does not change), and whether they are
    T-stops: 'f/2.8-4', '1:2.8', 'T2.9', 'f2.8-f4'.

    Raises:
        Unreadable: If it is none.
    """
    cleaned = text.strip().casefold()
    _refuse_date(cleaned, "f/2.8-4")
    cleaned = re.sub(r"^1\s*:\s*", "", cleaned)
    parts = [part for part in re.split(r"\s*(?:-|–|—|to|bis)\s*", cleaned) if part]
    found = [_STOP.fullmatch(part.strip()) for part in parts]
    if not 1 <= len(parts) <= 2 or not all(found):
        raise _not_read(text, "an f-number such as f/2.8 or f/2.8-4")
    values = [number(each[1]) for each in found if each]
    if any(not 0.5 <= value <= 64 for value in values):
        raise _not_read(text, "an f-number such as f/2.8 or f/2.8-4")
    tele = values[1] if len(values) == 2 and values[1] != values[0] else None
    return values[0], tele, cleaned.startswith("t")


def money(text: str) -> float:
    """Return a price, whatever its currency and separators; three digits after one are thousands.

    Raises:
        Unreadable: If it is none.
    """
    cleaned = _MONEY.sub("", text).replace("'", "").replace("’", "")
    last = max(cleaned.rfind("."), cleaned.rfind(","))
    is_decimal = last >= 0 and len(cleaned) - last - 1 in (1, 2)
    whole, cents = (cleaned[:last], cleaned[last + 1 :]) if is_decimal else (cleaned, "")
    if not _WHOLE_MONEY.fullmatch(whole) or not re.fullmatch("[0-9]*", cents):
        raise _not_read(text, "a price such as 1250 or 1,250.00")
    return float(f"{re.sub('[.,]', '', whole)}.{cents or 0}")


def day(text: str) -> str:
    """Return a date as 2027-05-31.

    Raises:
        Unreadable: If it is none, a number that a spreadsheet keeps for a date, or 5/6/2027.
    """
    cleaned = text.strip()
    right = "a date such as 2027-05-31"
    if re.fullmatch(r"\d{5}(?:\.\d+)?", cleaned):
        meant = _EXCEL_EPOCH + timedelta(days=int(float(cleaned)))
        raise Unreadable(
            f"the number {cleaned}, which stands for {meant} where the column is one of dates",
            f"Format the column as dates, or write {meant}",
        )
    found = _DATE.fullmatch(cleaned)
    parts = (found[1], found[2], found[3]) if found else None
    if parts is None and (turned := _DAY_FIRST.fullmatch(cleaned)):
        first, sign, second, year = turned.groups()
        if sign != "." and int(first) <= 12 and int(second) <= 12 and first != second:
            raise Unreadable(f"{cleaned}, which can be two days", f"Write {right}")
        is_day_first = sign == "." or int(first) > 12
        parts = (year, second, first) if is_day_first else (year, first, second)
    try:
        return date(*map(int, parts)).isoformat() if parts else _no_day(text)
    except ValueError as error:
        raise _not_read(text, right) from error


def _no_day(text: str) -> str:
    raise ValueError(text)


def yes_or_no(text: str) -> str:
    """Return yes or no where a tick or a foreign word says so; else the text."""
    return _YES.get(text.strip().casefold(), text)


def whole(text: str) -> int:
    """Return a whole number above 0 and up to 999: '4', '4x', '4 pcs'.

    Raises:
        Unreadable: If it is none.
    """
    found = re.fullmatch(
        r"(?:x\s*)?(\d{1,3})(?:[.,]0+)?\s*(?:x|×|pcs?\.?|st\.?|pieces)?", text.strip().casefold()
    )
    if not found or int(found[1]) == 0:
        raise _not_read(text, "a whole number from 1 to 999")
    return int(found[1])


def _refuse_date(cleaned: str, example: str) -> None:
    if _DATE.fullmatch(cleaned):
        raise Unreadable(
            f"the date {cleaned}, which a spreadsheet has made of what was typed",
            f"Format the column as text and type it again, such as {example}",
        )


def _not_read(text: str, right: str) -> Unreadable:
    return Unreadable(shown(text), f"Write {right}")
