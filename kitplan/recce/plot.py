"""The stage plot as a simple list: 'drums centre back, two trumpets right, choir of 20 back'.

Left and right as the audience sees them, unless 'stage left' or 'stage right' is written. Whoever
shares a place stands beside the others there, and nobody stands on somebody else.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from kitplan.recce.answers import NotUnderstood, Performer, StageSize
from kitplan.recce.reading import entries_of
from kitplan.tables import table

ACROSS = {"left": -0.62, "right": 0.62, "centre": 0.0, "center": 0.0, "middle": 0.0}
"""Shares of half the stage's width."""
ALONG = {"front": 0.2, "downstage": 0.2, "back": 0.78, "rear": 0.78, "upstage": 0.78}
"""Shares of the stage's depth."""
MIDWAY = 0.5
FAR = 1.35
"""'far left' stands so many times as far out."""
NUMBERS = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip
_FILLERS = frozenset({"on", "the", "at", "in", "of", "and", "stand", "stands", "house", "to"})
_OF = re.compile(r"\s+of\s+(\d{1,3}|[a-z]+)\b")


@dataclass(frozen=True)
class _Placed:
    """A performer with the shares of the stage where it stands."""

    performer: Performer
    across: float
    along: float


def plot_of(text: str, stage: StageSize) -> tuple[Performer, ...]:
    """Return who is on stage, each with a place in metres in venue axes.

    Raises:
        NotUnderstood: If there is nobody, or a number cannot be read.
    """
    entries = entries_of(text, ",;")
    if not entries:
        raise NotUnderstood("nobody is on stage", "Write such as singer centre front, drums back")
    if len(entries) > 60:
        raise NotUnderstood(f"{len(entries)} are on stage", "Write at most 60; name groups as one")
    placed = [_read(entry) for entry in entries]
    return tuple(_spread(placed, stage))


def row_of(what: str) -> Mapping[str, Any]:
    """Return what the table says of a kind of performer."""
    rows = table("performances")
    found: Mapping[str, Any] = rows["performers"].get(what, rows["other"])
    return found


def is_group(performer: Performer) -> bool:
    """Whether it is filmed as a group."""
    return performer.count > 1 or bool(row_of(performer.what).get("is_group"))


def _read(entry: str) -> _Placed:
    words = entry.casefold().split()
    count, across, along, far = None, None, None, 1.0
    is_stage = "stage" in words
    name: list[str] = []
    if match := _OF.search(entry.casefold()):
        count = _number(match[1])
        words = _OF.sub("", entry.casefold()).split()
    for at, word in enumerate(words):
        if word in ACROSS:
            across = ACROSS[word] / 2 if across == 0.0 else (across or 0.0) + ACROSS[word]
        elif word in ALONG:
            along = ALONG[word]
        elif word == "far":
            far = FAR
        elif word == "stage" or (word in _FILLERS and name):
            continue
        elif at == 0 and (number := _number(word, is_sure=False)) is not None:
            count = number
        else:
            name.append(word)
    if not name:
        raise NotUnderstood(f"'{entry}' names nobody", "Write who and where, such as drums back")
    label = " ".join(name)
    side = -1.0 if is_stage and across else 1.0
    what = _what(label)
    group = bool(row_of(what).get("is_group"))
    number = count or (table("performances")["group_default"] if group else 1)
    performer = Performer(label.capitalize(), what, number, 0.0, 0.0)
    return _Placed(performer, side * far * (across or 0.0), along or MIDWAY)


def _number(word: str, *, is_sure: bool = True) -> int | None:
    if word.isdecimal() and len(word) <= 3 and 1 <= int(word) <= 300:
        return int(word)
    if word in NUMBERS:
        return NUMBERS[word]
    if is_sure or word.isdigit():
        raise NotUnderstood(
            f"'{word}' is no number of people", "Write 1 to 300, or a word like two"
        )
    return None


def _what(label: str) -> str:
    """Return the kind of performer that a label ends in, the longest name first; else 'other'."""
    named = {
        str(word): str(what)
        for what, row in table("performances")["performers"].items()
        for word in (what, *row["also"])
    }
    for word in sorted(named, key=len, reverse=True):
        if re.search(rf"(?:^|\s){re.escape(word)}s?$", label):
            return named[word]
    return "other"


def _spread(placed: list[_Placed], stage: StageSize) -> Iterable[Performer]:
    """Yield performers with their places; those of one place side by side, in order."""
    shared: dict[tuple[float, float], list[_Placed]] = {}
    for each in placed:
        shared.setdefault((each.across, each.along), []).append(each)
    for each in placed:
        group = shared[each.across, each.along]
        widths = [width_m(one.performer) for one in group]
        before = sum(widths[: group.index(each)]) + widths[group.index(each)] / 2
        x_m = each.across * stage.width_m / 2 + before - sum(widths) / 2
        half = max(0.0, stage.width_m / 2 - width_m(each.performer) / 2)
        x_m = min(max(x_m, -half), half)
        yield replace(each.performer, x_m=round(x_m, 1), y_m=round(each.along * stage.depth_m, 1))


def width_m(performer: Performer) -> float:
    """Return how wide a performer, or a group in rows, stands on the stage."""
    rows = table("performances")
    if is_group(performer):
        in_row = min(performer.count, rows["group_row_most"])
        return float(in_row * rows["group_person_m"])
    return float(row_of(performer.what).get("width_m", rows["other"]["width_m"]))


def depth_m(performer: Performer) -> float:
    """Return how deep a group stands in rows."""
    rows = table("performances")
    return float(-(-performer.count // rows["group_row_most"]) * rows["group_rows_m"])
