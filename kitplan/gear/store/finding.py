"""Finding: units by words, kind, owner, condition, whereabouts, and whether they are free.

Words are looked up in the table `words`, which triggers keep. It knows triples of letters, whatever
their case; a shorter word is looked for by itself, there only a to z whatever their case. A letter
with an accent is another letter.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple

from kitplan.gear.records import Condition
from kitplan.gear.store.desk import Desk

_TRIPLE = 3


@dataclass(frozen=True)
class Question:
    """What is looked for; everything that is given has to fit."""

    words: Sequence[str] = ()
    """All of them somewhere in a unit or its item, in any order."""
    kind: str | None = None
    owner: str | None = None
    condition: Condition | None = None
    where: str | None = None
    """The id of a case that it is at home in, at any depth; else part of where it is now, or of its
    shelf.
    """
    free: tuple[date, date] | None = None
    """First and last day: it can be had on all days from one to the other."""

    @property
    def is_of_units(self) -> bool:
        """Whether only units can fit, not items of which there is none."""
        return any((self.owner, self.condition, self.where, self.free)) or not self.words


class Found(NamedTuple):
    """A unit that fits, or an item that fits and of which there is no unit."""

    unit: str
    """Empty for an item without units."""
    item: str
    name: str
    kind: str
    owner: str
    serial: str
    condition: str
    where: str
    """Where it is now, in words."""
    since: date | None
    until: date | None
    """When it should be back, where that is known."""


_TABLES = """
    FROM units JOIN items ON items.id = units.item
    LEFT JOIN loans ON loans.unit = units.id AND loans.back_at IS NULL
    LEFT JOIN repairs ON repairs.unit = units.id AND repairs.ended IS NULL
    LEFT JOIN booked ON booked.place = (SELECT place FROM booked WHERE unit = units.id
        AND begins <= :today AND ends >= :today LIMIT 1)
    LEFT JOIN bookings ON bookings.id = booked.booking
"""
_AWAY = """
    (SELECT json_extract(value, '$.{what}') FROM json_each(units.away)
        WHERE json_extract(value, '$.begins') <= :today
        AND coalesce(json_extract(value, '$.ends'), '9999') >= :today LIMIT 1)
"""
# The first that holds tells where a unit is. One that is booked for today lies where it always does
# until somebody signs it out, but who comes for it should know.
_CASES = (
    ("loans.person IS NOT NULL", "'with ' || loans.person", "date(out_at, 'localtime')", "due"),
    ("condition = 'in-repair'", "'in repair'", "repairs.begins", "expected"),
    ("condition IN ('missing', 'retired')", "condition", "NULL", "NULL"),
    ("booked.place IS NOT NULL", "'booked for ' || title", "booked.begins", "booked.ends"),
    (
        f"units.away <> '[]' AND {_AWAY.format(what='why')} IS NOT NULL",
        *(_AWAY.format(what=name) for name in ("why", "begins", "ends")),
    ),
    ("home_case IS NOT NULL", "'in ' || home_case", "NULL", "NULL"),
    ("shelf <> ''", "'on ' || shelf", "NULL", "NULL"),
)
_WHERE, _SINCE, _UNTIL = (
    f"CASE {' '.join(f'WHEN {case[0]} THEN {case[place]}' for case in _CASES)} ELSE {rest} END"
    for place, rest in ((1, "'with ' || owner"), (2, "NULL"), (3, "NULL"))
)
_UNITS = (
    "SELECT units.id AS unit, item, name, kind, owner, serial, condition, "
    f"{_WHERE} AS whereabouts, {_SINCE} AS since, {_UNTIL} AS until {_TABLES}"
)
_ITEMS = (
    "SELECT '' AS unit, id AS item, name, kind, '' AS owner, '' AS serial, '' AS condition, "
    "'none is owned' AS whereabouts, NULL AS since, NULL AS until FROM items "
    "WHERE NOT EXISTS (SELECT 1 FROM units WHERE item = items.id)"
)
_INSIDE = """
home_case IN (WITH RECURSIVE inside (id) AS (SELECT :case_id UNION
        SELECT units.id FROM units JOIN inside ON home_case = inside.id) SELECT id FROM inside)
"""
# What `Unit.is_free_on` asks, of units as `away` says that they are there for a shoot that has
# nothing of its own. What should be back by now may stay away for ever.
_FREE = """
    (condition IN ('good', 'worn')
        OR (condition = 'in-repair' AND expected >= :today
            AND (expected < :first OR repairs.begins > :last)))
    AND coalesce(available_from, '0') <= :first AND coalesce(available_until, '9999') >= :last
    AND (units.away = '[]' OR NOT EXISTS (SELECT 1 FROM json_each(units.away)
        WHERE json_extract(value, '$.begins') <= :last
        AND coalesce(json_extract(value, '$.ends'), '9999') >= :first))
    AND (loans.place IS NULL OR date(out_at, 'localtime') > :last
        OR (due >= :today AND due < :first))
    AND NOT EXISTS (SELECT 1 FROM booked AS other WHERE other.unit = units.id
        AND other.begins <= :last AND other.ends >= :first)
"""


class Finding:
    """Answers questions over everything in the inventory."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def find(self, question: Question) -> tuple[Found, ...]:
        """Return what fits, in the order of the inventory; then items of which there is no unit."""
        values: dict[str, Any] = {"today": self._desk.today().isoformat()}
        conditions = [*self._conditions(question, values)]
        if question.words:
            conditions.append(
                f"units.place IN (SELECT rowid / 2 {_words(question, values, odd=1)})"
            )
        where = f" WHERE {' AND '.join(conditions)}" if conditions else ""
        rows = self._rows(f"{_UNITS}{where} ORDER BY units.place", values)
        if not question.is_of_units:
            kind = " AND kind = :kind" if question.kind else ""
            fit = f" AND place IN (SELECT rowid / 2 {_words(question, values, odd=0)})"
            rows += self._rows(f"{_ITEMS}{kind}{fit} ORDER BY place", values)
        return tuple(rows)

    def _conditions(self, question: Question, values: dict[str, Any]) -> Iterator[str]:
        """Yield the conditions of a question, words apart, and fill in their values."""
        for name in ("kind", "owner", "condition"):
            if getattr(question, name) is not None:
                values[name] = getattr(question, name)
                yield f"{name} = :{name}"
        if question.where is not None and self._is_case(question.where):
            values["case_id"] = question.where
            yield _INSIDE
        elif question.where is not None:
            values["where"] = _pattern(question.where)
            like = "LIKE :where ESCAPE '\\'"
            yield f"({_WHERE} {like} OR shelf {like})"
        if question.free is not None:
            first, last = question.free
            values |= {"first": first.isoformat(), "last": last.isoformat()}
            yield _FREE

    def _is_case(self, text: str) -> bool:
        return bool(self._desk.rows("SELECT 1 FROM units WHERE home_case = ? LIMIT 1", [text]))

    def _rows(self, sql: str, values: dict[str, Any]) -> list[Found]:
        rows = self._desk.db.execute(sql, values).fetchall()
        return [Found._make((*row[:-2], _day(row[-2]), _day(row[-1]))) for row in rows]


def _words(question: Question, values: dict[str, Any], *, odd: int) -> str:
    """Return the rows of `words` in which all words are, those of units (1) or of items (0)."""
    words = " ".join(question.words).split()
    triples = [word for word in words if len(word) >= _TRIPLE]
    conditions = [f"rowid % 2 = {odd}"]
    if triples:
        values["triples"] = " ".join('"{}"'.format(word.replace('"', '""')) for word in triples)
        conditions.append("words MATCH :triples")
    for number, word in enumerate(word for word in words if len(word) < _TRIPLE):
        values[f"short{number}"] = _pattern(word)
        conditions.append(f"text LIKE :short{number} ESCAPE '\\'")
    return f"FROM words WHERE {' AND '.join(conditions)}"


def _pattern(text: str) -> str:
    """Return the pattern of everything that has a text inside it."""
    for sign in "\\%_":
        text = text.replace(sign, f"\\{sign}")
    return f"%{text}%"


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)
