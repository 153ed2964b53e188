"""Times of day as people write them, and whether they can be compared."""

from __future__ import annotations

from datetime import date, datetime
from re import fullmatch
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator


def _has_time_of_day(given: Any) -> Any:
    """A day alone would silently mean its midnight."""
    is_day = isinstance(given, date) and not isinstance(given, datetime)
    if is_day or (isinstance(given, str) and fullmatch(r"\s*\d+-\d+-\d+\s*", given)):
        raise ValueError(f"{given} has no time of day; write a time as well, such as {given} 19:30")
    return given


def _is_in_our_time(moment: datetime) -> datetime:
    """Years beyond these are slips, and arithmetic at the end of the calendar fails."""
    if not 1990 <= moment.year <= 2199:
        raise ValueError(f"the year is {moment.year}; write a year from 1990 to 2199")
    return moment


When = Annotated[datetime, BeforeValidator(_has_time_of_day), AfterValidator(_is_in_our_time)]
"""A day and time, in the venue's time zone unless it gives an offset."""


def same_clock(**moments: datetime | None) -> None:
    """Times with an offset and times without one cannot be compared.

    Raises:
        ValueError: If some of the moments have an offset and others have none.
    """
    given = {name: moment for name, moment in moments.items() if moment is not None}
    if len({moment.tzinfo is None for moment in given.values()}) > 1:
        raise ValueError(
            f"{next(iter(given))} and the other times do not agree on an offset such as +01:00; "
            f"give it to all of them, or to none"
        )
