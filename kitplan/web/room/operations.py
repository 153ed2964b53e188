"""What a page may change in a shoot file: things of the room and locks, one small step at a time.

A thing is named by its list and its id (the stage by itself, a lock by all that it names), so that
the same steps can be done again to a file that somebody else has changed meanwhile.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal
from unicodedata import category

from pydantic import AfterValidator, Field, JsonValue

from kitplan.gear.records import Id, Record

MOST_OPERATIONS = 500
MOST_TEXT, MOST_VALUES, DEEPEST = 2000, 1000, 4
_UNSEEN = frozenset({"Cc", "Cs", "Zl", "Zp"})
DECIMALS = 4
"""Numbers are taken to a tenth of a millimetre."""

List = Literal[
    "positions", "subjects", "zones", "obstacles", "audience", "lamps", "stage", "keep", "never"
]
PLACES: Mapping[str, tuple[str, ...]] = {
    "positions": ("venue", "positions"),
    "zones": ("venue", "zones"),
    "obstacles": ("venue", "obstacles"),
    "audience": ("venue", "audience"),
    "lamps": ("venue", "lamps"),
    "stage": ("venue", "stage"),
    "subjects": ("subjects",),
    "keep": ("locks", "keep"),
    "never": ("locks", "never"),
}
WORDS: Mapping[str, str] = {
    "positions": "position",
    "zones": "zone",
    "obstacles": "obstacle",
    "audience": "audience area",
    "lamps": "lamp",
    "stage": "stage",
    "subjects": "subject",
    "keep": "lock",
    "never": "lock",
}
"""What one of a list is called."""
LOCKS = frozenset({"keep", "never"})


def _plain(facts: dict[str, Any]) -> dict[str, Any]:
    """Return facts with numbers as they are written, if they are small enough to be written."""
    left = [MOST_VALUES]
    return {_text(name): _value(value, DEEPEST, left) for name, value in facts.items()}


def _value(value: Any, depth: int, left: list[int]) -> Any:
    left[0] -= 1
    if left[0] < 0 or depth < 0:
        raise ValueError(f"a thing holds at most {MOST_VALUES} values, {DEEPEST} deep")
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, dict):
        return {_text(name): _value(one, depth - 1, left) for name, one in value.items()}
    if isinstance(value, list):
        return [_value(one, depth - 1, left) for one in value]
    if value is None or isinstance(value, bool):
        return value
    if not abs(value) <= 1e9:  # so that what is no number is out of bounds as well
        raise ValueError("a number is out of all bounds")
    short = round(float(value), DECIMALS)
    return int(short) if short == int(short) else short


def _text(text: str) -> str:
    if any(category(letter) in _UNSEEN for letter in text):
        raise ValueError("a text holds an invisible character")
    if len(text) > MOST_TEXT:
        raise ValueError(f"a text is longer than {MOST_TEXT} letters")
    return text


Facts = Annotated[dict[str, JsonValue], Field(max_length=60), AfterValidator(_plain)]


class Set(Record):
    """Change facts of a thing; None takes a fact out, so that the usual holds."""

    do: Literal["set"]
    of: List
    id: Id | None = None
    """None for the stage."""
    facts: Facts


class Rename(Record):
    """Give a thing another id, wherever it is named."""

    do: Literal["rename"]
    of: List
    id: Id
    to: Id


class Add(Record):
    """Add a thing or a lock at the end of its list."""

    do: Literal["add"]
    of: List
    facts: Facts


class Delete(Record):
    """Take out a thing that nothing names any more, or a lock."""

    do: Literal["delete"]
    of: List
    id: Id | None = None
    facts: Facts | None = None
    """Of a lock: all that it names."""


Operation = Annotated[Set | Rename | Add | Delete, Field(discriminator="do")]


class Operations(Record):
    """Steps in their order, on a version of the file."""

    base: Annotated[str, Field(max_length=64)]
    """Digest of the version that the steps start from."""
    steps: Annotated[tuple[Operation, ...], Field(max_length=MOST_OPERATIONS)] = ()


def name_of(operation: Set | Rename | Delete) -> str:
    """Return what a step is about, in words: "position 'jib-spot'"."""
    word = WORDS[operation.of]
    return word if operation.id is None else f"{word} '{operation.id}'"
