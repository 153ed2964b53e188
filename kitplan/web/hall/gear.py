"""The gear as phones show it, and what is written down from there. The words are for people.

Everything goes through the inventory: two people who want the last one of a thing get one loan and
one refusal that says who has it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

from kitplan.errors import KitplanError, NotFree, SettingError
from kitplan.gear.days import in_words
from kitplan.gear.history import Loan
from kitplan.gear.kit import Unit
from kitplan.gear.records import USABLE
from kitplan.gear.store import Store
from kitplan.gear.store.finding import Found, Question
from kitplan.paper.pack.labels.codes import unit_of
from kitplan.shoot.reading import read_shoot
from kitplan.web.hall.inventory import inventory_of, line_of, reading, writing
from kitplan.web.hall.uses import Use, next_use, uses_of
from kitplan.web.memo import Memo
from kitplan.web.project import Project

MOST_FOUND = 60
MOST_WORDS = 12
LAST_LOANS = 5
MOST_OF_A_FAULT = 200
State = Literal["worn", "in-repair", "missing"]
STATES: dict[str, str] = {
    "worn": "works in spite of it",
    "in-repair": "needs repair",
    "missing": "is missing",
}
CONDITIONS = {"in-repair": "in repair", "missing": "missing", "retired": "no longer in use"}
"""Conditions that are worth saying; what is good or worn can be used."""


class Taken(KitplanError):
    """Somebody or something has what is asked for. Nothing was changed."""

    def __init__(self, reasons: Sequence[str], held: list[dict[str, Any]], fix: str) -> None:
        super().__init__("; ".join(reasons), where="nothing was changed", fix=fix)
        self.reasons, self.held = tuple(reasons), held

    def __str__(self) -> str:
        return f"{'; '.join(self.reasons)}. Nothing was changed. {self.fix}."


@dataclass(frozen=True)
class Gear:
    """The gear of a project. Every answer is plain data."""

    project: Project
    memo: Memo

    # -- looking up ----------------------------------------------------------------------------

    def found(self, words: str) -> dict[str, Any]:
        """Return the things that all words fit: ids, names, owners, serials. A scanned or typed
        code of a label finds its unit.
        """
        asked = words.split()[:MOST_WORDS]
        code = unit_of(words.strip())
        people = self._people()
        with reading(self.project) as store:
            if code is not None:
                hits = [each for each in store.finding.find(Question([code])) if each.unit == code]
            else:
                by_person = [p for p, label in people.items() if _is_in(asked, label)]
                hits = [*store.finding.find(Question(asked))] if asked else []
                for owner in by_person:
                    hits += store.finding.find(Question(owner=owner))
        things = list({each.unit: each for each in hits if each.unit}.values())
        return {
            "things": [self._row(each, people) for each in things[:MOST_FOUND]],
            "more": max(0, len(things) - MOST_FOUND),
        }

    def out(self) -> dict[str, Any]:
        """Return what is out, by person, and the cases that can be counted."""
        with reading(self.project) as store:
            loans, units = store.loans.open(), store.units()
            items = {item.id: item for item in store.load().items}
        names = {unit.id: items[unit.item].name for unit in units}
        inside = {unit.case for unit in units if unit.case is not None}
        by_person: dict[str, list[Loan]] = {}
        for loan in loans:
            by_person.setdefault(loan.person, []).append(loan)
        return {
            "people": [
                {
                    "person": person,
                    "things": [
                        {"unit": each.unit, "name": names.get(each.unit, ""), **_since(each)}
                        for each in theirs
                    ],
                }
                for person, theirs in sorted(by_person.items(), key=lambda pair: pair[0].casefold())
            ],
            "cases": [
                {"unit": u.id, "name": names[u.id], "number": sum(x.case == u.id for x in units)}
                for u in units
                if u.id in inside and u.condition != "retired"
            ],
        }

    def unit(self, unit_id: str, now: datetime | None = None) -> dict[str, Any] | None:
        """Return all that is to be said of a unit; None where there is none of that id."""
        people = self._people()
        with reading(self.project) as store:
            unit = store.units_by_id([unit_id]).get(unit_id)
            if unit is None:
                return None
            item = store.items_by_id([unit.item])[unit.item]
            loan = store.loans.holder(unit_id)
            earlier = [each for each in store.loans.of(unit_id) if each.back_at is not None]
            case = None if unit.case is None else store.units_by_id([unit.case]).get(unit.case)
            case_name = None if case is None else store.items_by_id([case.item])[case.item].name
            inside = [each.id for each in store.units() if each.case == unit_id]
        uses = self._uses().get(unit_id, ())
        following = next_use(uses, now or datetime.now(UTC))
        owner = people.get(unit.owner, unit.owner)
        home = None if unit.case is None else {"id": unit.case, "name": case_name}
        return {
            "id": unit.id,
            "name": item.name,
            "kind": item.kind,
            "owner": owner,
            "owner_only": unit.owner_only,
            "serial": unit.serial,
            "condition": unit.condition,
            "is_usable": unit.condition in USABLE,
            "trouble": _trouble(unit),
            "note": unit.note,
            "held": None if loan is None else {"person": loan.person, **_since(loan)},
            "where": _whereabouts(unit, loan, case_name, owner),
            "case": home,
            "inside": len(inside),
            "uses": [_use(use, is_next=use is following) for use in uses],
            "earlier": [_earlier(each) for each in earlier[-LAST_LOANS:][::-1]],
            "can_write": inventory_of(self.project) is not None,
        }

    def people(self) -> list[str]:
        """Return the names that may be meant: the crew, owners, whoever had something before."""
        known = self._people()
        with reading(self.project) as store:
            others = [known.get(each, each) for each in store.loans.people()]
        return sorted({*known.values(), *others}, key=str.casefold)

    # -- writing down --------------------------------------------------------------------------

    def sign_out(
        self,
        unit_ids: Sequence[str],
        person: object,
        who: str,
        *,
        due: date | None = None,
        is_despite: bool = False,
    ) -> None:
        """Give units to a person; what the plan takes goes out with the list of its next pass.

        Args:
            due: When they should be back.
            is_despite: Also what another shoot has booked.
        Raises:
            Taken: If somebody else has one of them, has booked it, or it is not fit to go out.
            KitplanError: If it cannot be written down.
        """
        name = line_of(person, "the name")
        uses, now = self._uses(), datetime.now(UTC)
        lists = {unit: next_use(uses.get(unit, ()), now) for unit in unit_ids}
        with writing(self.project, who) as store, store.as_one("signed out"):
            try:
                for unit, use in lists.items():
                    store.loans.sign_out(
                        [unit],
                        name,
                        due=due,
                        list_name="" if use is None else use.list_name,
                        despite_bookings=is_despite,
                    )
            except NotFree as error:
                raise _taken(store, unit_ids, error, name) from error

    def sign_back(self, unit_ids: Sequence[str], who: str) -> None:
        """Take units back as they are on record.

        Raises:
            Taken: If one of them is not out.
            KitplanError: If it cannot be written down.
        """
        with writing(self.project, who) as store:
            try:
                store.loans.sign_back(unit_ids)
            except NotFree as error:
                raise Taken(error.reasons, [], "Somebody was quicker") from error

    def note_fault(self, unit_id: str, words: object, state: object, who: str) -> None:
        """Write down what is wrong with a unit.

        Args:
            state: One of `STATES`.
        Raises:
            KitplanError: If it cannot be written down.
        """
        if not isinstance(state, str) or state not in STATES:
            raise SettingError(
                "that is no state", where="the fault", fix=f"Choose one of {', '.join(STATES)}"
            )
        is_silent = state == "missing" and words in (None, "")
        text = "" if is_silent else line_of(words, "what is wrong", MOST_OF_A_FAULT)
        with writing(self.project, who) as store, store.as_one("fault"):
            if state == "missing":
                store.loans.settle(missing=[unit_id], note=text)
            else:
                store.care.fault(unit_id, text, is_usable=state == "worn")

    def note_right(self, unit_id: str, who: str) -> None:
        """Write down that a unit is right again: found, or mended.

        Raises:
            KitplanError: If it cannot be written down.
        """
        with writing(self.project, who) as store, store.as_one("right again"):
            unit = store.units_by_id([unit_id]).get(unit_id)
            if unit is not None and unit.condition == "missing":
                store.loans.settle(back=[unit_id])
            else:
                store.care.mended(unit_id)

    # -- helpers -------------------------------------------------------------------------------

    def _uses(self) -> dict[str, tuple[Use, ...]]:
        """Return what the plan takes; nothing where there is no plan, or none that can be read."""
        try:
            stamp, plan = self.project.plan_stamp(), self.project.plan()
        except KitplanError:
            return {}
        if plan is None or stamp is None:
            return {}
        return self.memo.get(stamp, "uses", lambda: uses_of(plan))

    def _people(self) -> dict[str, str]:
        """Return the names of the crew by id; nothing while the shoot does not read."""
        try:
            seen = self.project.shoot_path.stat()
            return _crew(self.project.shoot_path, seen.st_mtime_ns, seen.st_size)
        except (KitplanError, OSError):
            return {}

    def _row(self, each: Found, people: dict[str, str]) -> dict[str, Any]:
        where = each.where
        if where == f"with {each.owner}":
            where = f"with {people.get(each.owner, each.owner)}"
        return {
            "unit": each.unit,
            "name": each.name,
            "owner": people.get(each.owner, each.owner),
            "where": where,
            "trouble": CONDITIONS.get(each.condition, ""),
        }


@lru_cache(maxsize=2)
def _crew(path: Path, changed_ns: int, size: int) -> dict[str, str]:  # noqa: ARG001  (the key)
    """Return the names of the crew by id. Not by way of the brief, which every loan makes new."""
    return {each.id: each.label for each in read_shoot(path)[0].crew}


def _is_in(words: Iterable[str], label: str) -> bool:
    given = list(words)
    return bool(given) and all(word.casefold() in label.casefold() for word in given)


def _taken(store: Store, unit_ids: Sequence[str], error: NotFree, person: str) -> Taken:
    """Return what is told to a person who cannot have units."""
    held = [
        {"unit": loan.unit, "person": loan.person, **_since(loan)}
        for loan in store.loans.open(units=unit_ids)
        if loan.person.casefold() != person.casefold()  # theirs, or taken back with the refusal
    ]
    conditions = {unit.condition for unit in store.units_by_id(unit_ids).values()}
    if not held and conditions <= USABLE:
        fix = "It can be taken all the same, once that is settled with them"
    else:
        fix = "Ask there, or take another one"
    return Taken(error.reasons, held, fix)


def _trouble(unit: Unit) -> str:
    """What is wrong with a unit in words; empty for one in order."""
    condition = CONDITIONS.get(unit.condition, "")
    if unit.fault and condition:
        return f"{condition}: {unit.fault}"
    return unit.fault or condition


def _whereabouts(unit: Unit, loan: Loan | None, case: str | None, owner: str) -> str:
    """Where a unit is, in words."""
    if loan is not None:
        return f"with {loan.person}"
    if unit.condition == "missing":
        return "nobody knows"
    if unit.case is not None:
        return f"in {case} {unit.case}" if case else f"in {unit.case}"
    return f"on {unit.shelf}" if unit.shelf else f"with {owner}"


def _since(loan: Loan) -> dict[str, str | None]:
    return {
        "since": _moment(loan.out_at),
        "due": None if loan.due is None else in_words(loan.due),
    }


def _moment(moment: datetime) -> str:
    """Return a moment for people, where this machine is: '14:05', '3 May 2027, 14:05'."""
    here = moment.astimezone()
    today = date.today()
    return f"{here:%H:%M}" if here.date() == today else f"{in_words(here.date())}, {here:%H:%M}"


def _earlier(loan: Loan) -> str:
    assert loan.back_at is not None
    return f"{loan.person}: {_moment(loan.out_at)} to {_moment(loan.back_at)}"


def _use(use: Use, *, is_next: bool) -> dict[str, Any]:
    return {
        "pass": use.own_id,
        "label": use.label,
        "when": use.when,
        "what": use.what,
        "letter": use.letter,
        "is_operated": use.is_operated,
        "place": use.place,
        "who": use.who,
        "is_next": is_next,
    }
