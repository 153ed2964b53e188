"""What is wrong with input data, in a producer's words: pydantic's errors become `Problem`s.

The words are made from the record types: a missing or misspelt key is answered with the names and
values that would be right. Reading files and finding their line numbers is left to `sources`.

A place is the path of keys and list positions that leads to a value in the data; unlike pydantic's
location it never holds the name of a union's member.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from difflib import SequenceMatcher, get_close_matches
from pathlib import Path
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from kitplan.errors import Problem

Place = tuple[str | int, ...]
LineOf = Callable[[Place], int]

_LONGEST_VALUE = 60
_BEYOND_DOUBT = 1e5  # upper limits from here on only catch slips: not worth a word beforehand
# "1,250" may be 1.25 or 1250: only the writer knows
THOUSANDS = re.compile(r"\s*[+-]?[1-9]\d{0,2},\d{3}\s*")
WORDS_BY_TYPE: dict[Any, str] = {
    bool: "true or false",
    int: "a whole number",
    float: "a number",
    str: "text",
    date: "a date such as 2026-05-31",
    datetime: "a date and time such as 2026-05-31 19:30",
    time: "a time such as 19:30",
}
_BOUND_WORDS = {"gt": "above {}", "ge": "at least {}", "lt": "below {}", "le": "at most {}"}


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known name that a misspelt or shortened one most likely meant, or None."""
    folded = word.casefold()
    name_by_folded = {name.casefold(): name for name in known}
    close = get_close_matches(folded, name_by_folded, n=5, cutoff=0.6)
    if not close and len(folded) >= 3:
        close = [name for name in name_by_folded if name.startswith(folded)]

    def likeness(name: str) -> tuple[float, bool]:
        return SequenceMatcher(None, name, folded).ratio(), name.startswith(folded)

    return name_by_folded[max(close, key=likeness)] if close else None


def hint(word: str, known: Iterable[str]) -> str:
    """Return "Did you mean 'x'? Known here: ..." for a name that is not known."""
    names = sorted(known)
    near = nearest(word, names)
    listed = f"Known here: {', '.join(names)}" if names else "None are known here"
    return f"Did you mean '{near}'? {listed}" if near else listed


def problems_of(
    error: ValidationError,
    line_of: LineOf,
    file: str,
    model: type[BaseModel],
    data: object = None,
) -> list[Problem]:
    """Return the problems that a validation error stands for, one for each faulty value.

    Args:
        line_of: Gives the 1-based line of a place, or of its nearest parent.
        data: What was validated; its ids and names tell the reader which entry is meant.
    """
    found: dict[Place, Problem] = {}
    for details in error.errors(include_url=False):
        spot = trace(model, details["loc"])
        if spot.place in found:
            continue
        place, wrong, right = _explained(details, spot, data)
        found[spot.place] = Problem(file, line_of(place), wrong, right)
    return list(found.values())


def label(data: object, place: Place) -> str:
    """Return where a place is in words: "items 'cam-a', modes 'hd', crop"."""
    parts = [f"'{plain(data['id'])}'"] if isinstance(data, Mapping) and "id" in data else []
    for step in place:
        data = _inside(data, step)
        if isinstance(step, int) and parts:
            name = data.get("id", data.get("name")) if isinstance(data, Mapping) else None
            parts[-1] += f" '{plain(name)}'" if isinstance(name, str) else f" {step + 1}"
        else:
            parts.append(plain(step))
    return ", ".join(parts) or "the file"


def shown(value: object) -> str:
    """Return a value as its writer would recognise it, short enough for a message."""
    match value:
        case None:
            return "empty"
        case bool():
            return str(value).lower()
        case Mapping():
            return "a block of keys" if value else "an empty block"
        case list() | tuple():
            return "a list" if value else "an empty list"
        case str():
            text = repr(value)
        case _:
            text = str(value)
    return text if len(text) <= _LONGEST_VALUE else f"{text[: _LONGEST_VALUE - 3]}..."


def plain(value: object) -> str:
    """Return a key or id for a message; characters that cannot be shown are escaped."""
    text = str(value)
    text = text if text.isprintable() else repr(text)[1:-1]
    return text if len(text) <= _LONGEST_VALUE else f"{text[: _LONGEST_VALUE - 3]}..."


def file_name(path: Path) -> str:
    """Return a path for a message; characters that cannot be shown are escaped."""
    text = str(path)
    return text if text.isprintable() else ascii(text)[1:-1]


@dataclass(frozen=True)
class Spot:
    """What the record types say about the place of an error."""

    place: Place
    owner: type[BaseModel] | None
    """The record that the last key belongs to."""
    wanted: Any
    """Type of what belongs here; Any where that is not known."""
    is_choice: bool
    """Whether one of several types would do, so that pydantic reports each of them."""


def trace(model: type[BaseModel], location: tuple[int | str, ...]) -> Spot:
    """Follow a pydantic location through the types, leaving out the names of union members."""
    place: list[str | int] = []
    owner: type[BaseModel] | None = None
    wanted: Any = model
    for step in location:
        bare, _ = _bare(wanted)
        arguments = get_args(bare)
        if _is_record(bare):
            owner, wanted = bare, _field_type(bare, step)
            place.append(step)
        elif get_origin(bare) in (Union, UnionType):
            member = _member(arguments, step)
            if member is None:
                return Spot(tuple(place), owner, wanted, is_choice=True)
            wanted = member
        elif get_origin(bare) in (tuple, list, set, frozenset) and isinstance(step, int):
            is_fixed = get_origin(bare) is tuple and arguments[-1] is not Ellipsis
            wanted = arguments[min(step, len(arguments) - 1)] if is_fixed else arguments[0]
            place.append(step)
        elif step == "[key]":
            wanted = arguments[0] if arguments else Any
        elif get_origin(bare) is dict:
            wanted = arguments[1]
            place.append(step)
    return Spot(tuple(place), owner, wanted, is_choice=False)


def _bare(annotation: Any) -> tuple[Any, list[Any]]:
    """Return a type without Annotated and Optional, and what was annotated."""
    notes: list[Any] = []
    while True:
        arguments = get_args(annotation)
        if get_origin(annotation) is Annotated:
            annotation, *more = arguments
            notes += more
        elif get_origin(annotation) in (Union, UnionType) and NoneType in arguments:
            kept = tuple(argument for argument in arguments if argument is not NoneType)
            annotation = Union[kept]  # noqa: UP007  (built from a tuple; one member collapses)
        else:
            return annotation, _flat(notes)


def _flat(notes: Iterable[Any]) -> list[Any]:
    """Return annotations with those that pydantic keeps inside its field records beside them."""
    flat: list[Any] = []
    for note in notes:
        flat.append(note)
        if isinstance(note, FieldInfo):
            flat += note.metadata
    return flat


def _is_record(bare: Any) -> bool:
    return isinstance(bare, type) and issubclass(bare, BaseModel)


def _field_type(record: type[BaseModel], key: int | str) -> Any:
    field = record.model_fields.get(str(key))
    if field is None:
        named = (one for one in record.model_fields.values() if one.alias == key)
        field = next(named, None)
    return Any if field is None else Annotated[field.annotation, field]


def _member(members: Sequence[Any], tag: int | str) -> Any:
    """Return the record of a tagged union that a tag stands for; None for any other union."""
    for member in members:
        bare, _ = _bare(member)
        if _is_record(bare) and any(
            get_args(field.annotation) == (tag,) for field in bare.model_fields.values()
        ):
            return member
    return None


def _explained(details: ErrorDetails, spot: Spot, data: object) -> tuple[Place, str, str]:
    """Return the place to point at, what is wrong and what would be right."""
    name = label(data, spot.place)
    if spot.is_choice:
        value = shown(inside(data, spot.place))
        return spot.place, f"{name} is {value}", f"Write {wanted_words(spot.wanted)}"
    match details["type"]:
        case "missing":
            return (
                spot.place,
                f"{name} is missing",
                f"Add {plain(spot.place[-1])}: {wanted_words(spot.wanted)}",
            )
        case "extra_forbidden" if spot.owner is not None:
            where = label(data, spot.place[:-1]) if len(spot.place) > 1 else ""
            wrong = f"unknown key '{plain(spot.place[-1])}'" + (f" in {where}" if where else "")
            known = [field.alias or name for name, field in spot.owner.model_fields.items()]
            return spot.place, wrong, hint(str(spot.place[-1]), known)
        case "union_tag_invalid" | "union_tag_not_found":
            return _explained_tag(details, spot, data)
        case "value_error" | "assertion_error":
            return _explained_rule(details, spot, data)
        case "float_parsing" if THOUSANDS.fullmatch(details["input"]):
            as_written = details["input"].strip()
            right = f"Write {as_written.replace(',', '.')} or {as_written.replace(',', '')}"
            return spot.place, f"{name} is {as_written}, which can mean either of two", right
        case "string_too_long" if (words := wanted_words(spot.wanted)) == WORDS_BY_TYPE[str]:
            number, most = len(details["input"]), details.get("ctx", {})["max_length"]
            right = f"Write {words} of at most {most}"
            return spot.place, f"{name} has {number} letters", right
        case "less_than" | "less_than_equal":
            (limit,) = details.get("ctx", {}).values()
            return spot.place, f"{name} is {shown(details['input'])}", f"The limit is {limit:.15g}"
        case _:
            right = f"Write {wanted_words(spot.wanted)}"
            literals = [str(one) for one in get_args(_bare(spot.wanted)[0])]
            near = nearest(str(details["input"]), literals)
            if details["type"] == "literal_error" and near:
                right = f"Did you mean '{near}'? {right}"
            return spot.place, f"{name} is {shown(details['input'])}", right


def _explained_rule(details: ErrorDetails, spot: Spot, data: object) -> tuple[Place, str, str]:
    """Explain a rule of a record, written "what is wrong; what would be right"."""
    error = details.get("ctx", {}).get("error")
    wrong, _, right = str(error or details["msg"]).partition("; ")
    first_word = wrong.split(" ", 1)[0]
    has_named_key = _inside(inside(data, spot.place), first_word) is not None
    place = (*spot.place, first_word) if has_named_key else spot.place
    right = right[:1].upper() + right[1:] or "Correct this entry"
    name = label(data, spot.place) if spot.place or _inside(data, "id") else ""
    return place, f"{name}: {wrong}" if name else wrong, right


def _explained_tag(details: ErrorDetails, spot: Spot, data: object) -> tuple[Place, str, str]:
    """Explain a record whose kind is missing or unknown."""
    context = details.get("ctx", {})
    key = str(context.get("discriminator", "'kind'")).strip("'")
    members = get_args(_bare(spot.wanted)[0])
    known = [str(word) for one in members for word in get_args(one.model_fields[key].annotation)]
    name = label(data, (*spot.place, key))
    value = _inside(inside(data, spot.place), key)
    if value is None:
        return spot.place, f"{name} is missing", f"Add {key}: {_one_of(known)}"
    near = nearest(str(value), known)
    right = f"Write {_one_of(known)}"
    right = f"Did you mean '{near}'? {right}" if near else right
    return (*spot.place, key), f"{name} is {shown(value)}", right


def wanted_words(annotation: Any) -> str:
    """Return what a field of this type takes, such as "a number above 0"."""
    bare, notes = _bare(annotation)
    for note in notes:
        extra = note.json_schema_extra if isinstance(note, FieldInfo) else None
        if isinstance(extra, dict) and "words" in extra:
            return str(extra["words"])
    origin, arguments = get_origin(bare), get_args(bare)
    if origin is Literal:
        return _one_of([str(argument) for argument in arguments])
    if origin in (Union, UnionType):
        return _choice(arguments)
    if origin in (tuple, list, set, frozenset):
        least = next((note.min_length for note in notes if hasattr(note, "min_length")), None)
        inner = "" if _is_record(_bare(arguments[0])[0]) else f", each {wanted_words(arguments[0])}"
        entries = "entry" if least == 1 else "entries"
        return f"a list{f' with at least {least} {entries}' if least else ''}{inner}"
    if _is_record(bare):
        needed = [name for name, field in bare.model_fields.items() if field.is_required()]
        return f"a block with the keys {', '.join(needed or bare.model_fields)}"
    return " ".join([WORDS_BY_TYPE.get(bare, "a block of keys"), *_bounds(notes)])


def _one_of(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"one of {', '.join(words)}"


def _choice(types: Iterable[Any]) -> str:
    """Return "a number or text" for types of which one may be chosen."""
    types = list(types)
    if all(_is_record(_bare(one)[0]) for one in types):
        return "a block of keys"
    return " or ".join(dict.fromkeys(wanted_words(one) for one in types))


def _bounds(notes: Iterable[Any]) -> list[str]:
    """Return the limits of a number as one phrase, or nothing."""
    limits = [
        words.format(f"{limit:g}")
        for note in notes
        for name, words in _BOUND_WORDS.items()
        if isinstance(limit := getattr(note, name, None), (int, float)) and limit < _BEYOND_DOUBT
    ]
    return [" and ".join(dict.fromkeys(limits))] if limits else []


def _inside(data: object, step: str | int) -> object:
    """Return the value at a key or list position; None where there is none."""
    if isinstance(data, Mapping):
        return data.get(step)
    if isinstance(data, (list, tuple)) and isinstance(step, int) and step < len(data):
        return data[step]
    return None


def inside(data: object, place: Place) -> object:
    """Return the value at a place; None where there is none."""
    for step in place:
        data = _inside(data, step)
    return data
