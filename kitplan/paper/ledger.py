"""The ledger as people read it: what somebody did, when, and to which things."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from kitplan.gear.days import from_to, in_words
from kitplan.gear.history import Change, Entry
from kitplan.paper.layout import blocks, bullet, paragraph

MOST_NAMED = 12
"""A line about more things than these names the first ones."""
MOST_LINES = 40
_EMPTY = (None, "", "[]", "{}")


def log_text(changes: Sequence[Change]) -> str:
    """Return changes in order, each with a line for all things that the same was done to."""
    return blocks(*map(_change_text, changes)) or "Nothing has changed."


def _change_text(change: Change) -> str:
    at = change.at.astimezone()
    title = f"{in_words(at.date())}, {at:%H:%M}: {change.who} {change.what}"
    ids: dict[str, list[str]] = {}
    for entry in _told(change.entries):
        ids.setdefault(event(entry), []).append(entry.id)
    lines = [bullet(f"{_named(those)}: {words}") for words, those in ids.items()]
    rest = len(lines) - MOST_LINES
    more = [f"- and {rest} lines more: --json has all"] if rest > 0 else []
    return "\n".join([paragraph(title), *lines[:MOST_LINES], *more])


def _told(entries: Sequence[Entry]) -> Iterator[Entry]:
    """Yield the entries, without what a loan that ended says of a unit already."""
    ended = {each.id for each in entries if each.part == "loans" and "back_at" in each.changed}
    for each in entries:
        is_said = each.part == "units" and set(each.changed) == {"condition"} and each.id in ended
        if not is_said:
            yield each


def event(entry: Entry) -> str:
    """Return what happened to the thing of an entry: 'to Ana, due 31 May 2027'."""
    before, after = entry.before, entry.after
    if after is None:
        return f"taken out: {_said(entry.part, before or {})}"
    if before is None:
        return _said(entry.part, after)
    names = entry.changed
    if entry.part == "loans" and "back_at" in names:
        return _ended(after)
    if entry.part == "loans" and set(names) == {"due"}:
        return f"with {after['person']} until {_day(after['due'])}"
    return ", ".join(f"{name} {_word(old)} -> {_word(new)}" for name, old, new in _facts(names))


def _said(part: str, row: dict[str, Any]) -> str:
    """Return what a row says, in words."""
    match part:
        case "items":
            return f"{row['kind']}, {row['name']}"
        case "units":
            return f"{row['item']}, owner {row['owner']}"
        case "loans":
            return "".join(
                (
                    f"to {row['person']}",
                    f", due {_day(row['due'])}" if row["due"] else "",
                    f", for {row['list']}" if row["list"] else "",
                    _noted(row),
                )
            )
        case "bookings":
            return f"booking for {row['title']}, {_days(row)}{_noted(row)}"
        case "booked":
            return f"booked as {row['booking']}, {_days(row)}"
        case "repairs":
            expected = f", expected {_day(row['expected'])}" if row["expected"] else ""
            return f"in repair since {_day(row['begins'])}: {row['fault']}{expected}{_noted(row)}"
        case _:
            filled = {k: v for k, v in row.items() if k != "place" and v not in _EMPTY}
            return ", ".join(f"{name} {_word(value)}" for name, value in filled.items())


def _ended(row: dict[str, Any]) -> str:
    if row["condition_back"] == "missing":
        return f"missing, last with {row['person']}{_noted(row)}"
    was, now = row["condition_out"], row["condition_back"]
    changed = "" if was == now else f", went out {was}, is {now}"
    return f"back from {row['person']}{changed}{_noted(row)}"


def _facts(changed: dict[str, tuple[Any, Any]]) -> Iterator[tuple[str, Any, Any]]:
    """Yield name, old and new value of what changed, the facts of an item one by one."""
    for name, (old, new) in changed.items():
        if name != "facts":
            yield name, old, new
            continue
        before, after = json.loads(old or "{}"), json.loads(new or "{}")
        for fact in dict.fromkeys((*before, *after)):
            if _word(before.get(fact)) != _word(after.get(fact)):
                yield fact, before.get(fact), after.get(fact)


def _word(value: object) -> str:
    return "nothing" if value in _EMPTY else str(value)


def _noted(row: dict[str, Any]) -> str:
    return f" ({row['note']})" if row["note"] else ""


def _day(text: str | None) -> str:
    return "no day" if text is None else in_words(date.fromisoformat(text[:10]))


def _days(row: dict[str, Any]) -> str:
    return from_to(date.fromisoformat(row["begins"]), date.fromisoformat(row["ends"]))


def _named(ids: Sequence[str]) -> str:
    rest = len(ids) - MOST_NAMED
    return ", ".join(ids[:MOST_NAMED]) + (f" and {rest} more" if rest > 0 else "")
