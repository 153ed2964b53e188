"""The steps done to the plain data of a shoot file; what names a thing keeps naming it.

The data is that of the file as it is written: usual values are not filled in.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from copy import deepcopy
from typing import Any

from kitplan.errors import BadInput, Problem
from kitplan.shoot.checks.names import references
from kitplan.shoot.records import Shoot
from kitplan.sources import Document, build
from kitplan.web.room.operations import (
    LOCKS,
    PLACES,
    Add,
    Delete,
    Operation,
    Rename,
    Set,
    name_of,
)
from kitplan.wording import Place, nearest

REFERRED = {"positions": "position", "subjects": "subject"}
"""Lists whose things are named elsewhere, and as what."""
WORDED = ("id", "name", "floor", "part_of")
"""Facts that are text, even where it looks like a number."""
MOST_NAMED = 4


def applied(document: Document, operations: Sequence[Operation]) -> dict[str, Any]:
    """Return the data of a document after some steps.

    Raises:
        BadInput: If a step cannot be done.
    """
    data = as_meant(document)
    for operation in operations:
        apply(data, operation, document.file)
    return data


def as_meant(document: Document) -> dict[str, Any]:
    """Return a copy of the data of a document with ids and names as text, however they look.

    Rows move when others are added or taken out; what is written at their places would not.
    """
    data: dict[str, Any] = deepcopy(document.data)
    for of, above in PLACES.items():
        found = inside(data, above)
        rows: list[tuple[Place, Any]] = [(above, found)] if found else []
        if of != "stage":
            rows = [((*above, number), row) for number, row in enumerate(found or ())]
        for place, row in rows:
            for name in row if of in LOCKS else WORDED:
                if not isinstance(row.get(name), str) and (*place, name) in document.texts:
                    row[name] = document.texts[*place, name]
    return data


def apply(data: dict[str, Any], operation: Operation, file: str) -> None:
    """Do one step to the data.

    Raises:
        BadInput: If it cannot be done.
    """
    if isinstance(operation, Add):
        _add(data, operation, file)
        return
    place = place_of(data, operation, file)
    if isinstance(operation, Set):
        row = inside(data, place)
        for fact, value in operation.facts.items():
            if value is None:
                row.pop(fact, None)
            else:
                row[fact] = deepcopy(value)
    elif isinstance(operation, Rename):
        for each in (*naming_places(data, operation, file), (*place, "id")):
            inside(data, each[:-1])[each[-1]] = operation.to
    else:
        _refuse_if_named(data, operation, file)
        del inside(data, place[:-1])[place[-1]]


def place_of(data: dict[str, Any], operation: Set | Rename | Delete, file: str) -> Place:
    """Return where the thing of a step stands in the data.

    Raises:
        BadInput: If there is none such, or the step cannot be done to it.
    """
    place = PLACES[operation.of]
    if operation.of == "stage":
        if not isinstance(operation, Set) or operation.id is not None:
            raise _refused(file, "there is one stage", "Change it; it stays where it is")
        return place
    rows = inside(data, place) or []
    if operation.of in LOCKS:
        facts = operation.facts if isinstance(operation, Delete) else None
        found = [n for n, row in enumerate(rows) if facts is not None and row == facts]
        wrong, right = "there is no such lock", "Load the page again"
    else:
        found = [n for n, row in enumerate(rows) if str(row.get("id")) == operation.id]
        known = [str(row.get("id")) for row in rows]
        near = nearest(operation.id or "", known)
        wrong = f"there is no {name_of(operation)}"
        right = (
            f"Did you mean '{near}'?" if near else "Somebody may have taken it out or renamed it"
        )
    if not found:
        raise _refused(file, wrong, right)
    if isinstance(operation, Set) and "id" in operation.facts:
        raise _refused(file, "an id is no fact to be set", "Rename the thing")
    return (*place, found[0])


def naming_places(data: dict[str, Any], operation: Rename | Delete, file: str) -> list[Place]:
    """Return every place in the data that names the thing of a step."""
    return [place for place, _ in _named_by(data, operation, file)]


def _named_by(
    data: dict[str, Any], operation: Rename | Delete, file: str
) -> Iterator[tuple[Place, str]]:
    """Yield what names a thing: where, and in words who."""
    what = REFERRED.get(operation.of)
    if what is None:
        return
    shoot = build(Shoot, Document(file, data, {}, {}))
    for reference in references(shoot):
        if (reference.what, reference.id) == (what, operation.id):
            yield reference.place, reference.owner
    if what != "position":
        return
    for name, rows in (("keep", shoot.locks.keep), ("never", shoot.locks.never)):
        for number, row in enumerate(rows):
            if row.position == operation.id:
                yield ("locks", name, number, "position"), f"the lock {name} {{{row}}}"


def _refuse_if_named(data: dict[str, Any], operation: Delete, file: str) -> None:
    owners = list(dict.fromkeys(owner for _, owner in _named_by(data, operation, file)))
    if owners:
        more = len(owners) - MOST_NAMED
        shown = ", ".join(owners[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
        wrong = f"{name_of(operation)} is still named by {shown}"
        raise _refused(file, wrong, "Change those first, then delete it")


def _add(data: dict[str, Any], operation: Add, file: str) -> None:
    if operation.of == "stage":
        raise _refused(file, "there is one stage", "Change it; it stays where it is")
    *above, last = PLACES[operation.of]
    row = data
    for name in above:
        if row.get(name) is None:
            row[name] = {}
        row = row[name]
    if row.get(last) is None:
        row[last] = []
    row[last].append(deepcopy(operation.facts))


def inside(data: Any, place: Place) -> Any:
    """Return what stands at a place; None where nothing does."""
    for part in place:
        if isinstance(data, dict):
            data = data.get(part)
        elif isinstance(data, list) and isinstance(part, int) and part < len(data):
            data = data[part]
        else:
            return None
    return data


def _refused(file: str, wrong: str, right: str) -> BadInput:
    return BadInput([Problem(file, 0, wrong, right)])
