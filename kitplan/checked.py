"""From plain data to a checked record: pydantic, with a producer's spelling taken as it is meant.

Used by every reader (YAML, sheets, the command line, the inventory), so that all of them forgive
and refuse the same things in the same words.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from copy import deepcopy
from datetime import date, datetime, time
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from kitplan.errors import BadInput, Problem
from kitplan.wording import (
    THOUSANDS,
    WORDS_BY_TYPE,
    LineOf,
    Place,
    inside,
    label,
    problems_of,
    shown,
    trace,
)

M = TypeVar("M", bound=BaseModel)

_DECIMAL_COMMA = re.compile(r"\s*[+-]?\d+,\d+\s*")


def validated(
    model: type[M],
    data: object,
    *,
    file: str,
    line_of: LineOf,
    text_of: Callable[[Place], str | None] = lambda _: None,
    comma_is_decimal: bool = False,
    context: Mapping[str, Any] | None = None,
) -> M:
    """Return the record that the data describes.

    Numbers may be written with a decimal comma; text that looks like a number (a serial such as
    00123) is taken as it is written, through `text_of`.

    Args:
        comma_is_decimal: Whether '1,250' is surely 1.25 (a sheet with semicolons) rather than
            possibly 1250.
    Raises:
        BadInput: With every problem found.
    """
    try:
        try:
            record = model.model_validate(data, context=context)
        except ValidationError as error:
            data = _mended(data, error, model, text_of, comma_is_decimal)
            record = model.model_validate(data, context=context)
    except ValidationError as error:
        raise BadInput(problems_of(error, line_of, file, model, data)) from error
    disguised = [
        Problem(file, line_of(place), f"{label(data, place)} is {shown(value)}", f"Write {right}")
        for place, value, right in _disguised(data, record, ())
    ]
    if disguised:
        raise BadInput(disguised)
    return record


def _mended(
    data: object,
    error: ValidationError,
    model: type[BaseModel],
    text_of: Callable[[Place], str | None],
    comma_is_decimal: bool,
) -> object:
    """Return the data with decimal commas read as such and text taken as it was written."""
    mended = deepcopy(data)
    for details in error.errors(include_url=False, include_context=False):
        place = trace(model, details["loc"]).place
        parent = inside(mended, place[:-1])
        if not place or not isinstance(parent, (dict, list)):
            continue
        value = details["input"]
        if details["type"] == "string_type" and value is not None:
            better: object = text_of(place)
        elif details["type"] == "float_parsing" and _DECIMAL_COMMA.fullmatch(value):
            is_clear = comma_is_decimal or not THOUSANDS.fullmatch(value)
            better = value.replace(",", ".") if is_clear else None
        else:
            better = None
        if better is not None:
            parent[place[-1]] = better  # type: ignore[index]
    return mended


def _disguised(data: object, record: object, place: Place) -> Iterator[tuple[Place, object, str]]:
    """Yield values that pydantic would turn into something else: true into 1, 5 into a date."""
    is_number = isinstance(data, (int, float)) or (isinstance(data, str) and data.isdigit())
    if isinstance(data, bool) and isinstance(record, (int, float)) and not isinstance(record, bool):
        yield place, data, WORDS_BY_TYPE[float]
    elif is_number and isinstance(record, (datetime, date, time)):
        yield place, data, WORDS_BY_TYPE[type(record)]
    elif isinstance(record, BaseModel) and isinstance(data, Mapping):
        for key, value in data.items():
            yield from _disguised(value, getattr(record, str(key), None), (*place, key))
    elif isinstance(record, Mapping) and isinstance(data, Mapping):
        for key, value in data.items():
            yield from _disguised(value, record.get(key), (*place, key))
    elif isinstance(record, (list, tuple)) and isinstance(data, (list, tuple)):
        for index, (value, one) in enumerate(zip(data, record, strict=False)):
            yield from _disguised(value, one, (*place, index))
