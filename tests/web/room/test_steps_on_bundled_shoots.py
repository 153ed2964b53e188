"""Random steps on the bundled shoots: what comes out reads as meant, all else stays as it was, and
the opposite step gives the text back.
"""

from __future__ import annotations

import re
from collections import Counter
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kitplan.errors import BadInput
from kitplan.sources import parse_yaml
from kitplan.web.room.applying import applied, as_meant, inside
from kitplan.web.room.draft import Base
from kitplan.web.room.operations import PLACES
from kitplan.web.room.writing import written
from tests.strategies import AWKWARD
from tests.web.room.steps import add, after, bundled, change, delete, read, rename

NAMES = ("school-dance", "depot-brass", "harbour-festival")
COORDINATES = st.integers(-2000, 2000).map(lambda n: n / 100)
POINTS = st.tuples(COORDINATES, COORDINATES).map(list)
WORDS = st.sampled_from([word for word in AWKWARD if word.strip()])
COMMENT = re.compile(r"(?:^|\s)#.*$", re.MULTILINE)
Step = dict[str, Any]


def rows_of(base: Base, of: str) -> list[dict[str, Any]]:
    """Return the rows of a list as they are written."""
    found: list[dict[str, Any]] = inside(base.document.data, PLACES[of]) or []
    return found


@st.composite
def steps(draw: st.DrawFn, name: str) -> tuple[Step, Step | None]:
    """Return a step, and its opposite where that gives the text back."""
    base = bundled(name)[1]
    of = draw(st.sampled_from([of for of in PLACES if of != "stage" and rows_of(base, of)]))
    row = draw(st.sampled_from(rows_of(base, of)))
    if of in ("keep", "never"):
        new = {"position": row.get("position", "somewhere"), "lens": "zoom"}
        lock: tuple[Step, Step | None] = add(of, **new), delete(of, **new)
        return lock if draw(st.booleans()) else (delete(of, **row), None)
    thing = row["id"]
    place = "at_m" if "at_m" in row else "outline_m"
    to: Any = draw(POINTS)
    if row.get(place) is None:  # the whole stage
        return change(of, thing, name="Another name"), change(of, thing, name=row["name"])
    if place == "outline_m":
        kept = draw(st.integers(0, len(row[place])))
        to = [*row[place][:kept], to, *row[place][kept + draw(st.integers(0, 1)) :], draw(POINTS)]
    new = {"id": "a-new-one", "name": draw(WORDS), "at_m": draw(POINTS)}
    if of == "positions":
        new["lens_height_m"] = 1.5
    choices: list[tuple[Step, Step | None]] = [
        (change(of, thing, **{place: to}), change(of, thing, **{place: row[place]})),
        (rename(of, thing, "other-id"), rename(of, "other-id", thing)),
        (add(of, **new), delete(of, "a-new-one")),
        (delete(of, thing), None),
        (change(of, thing, measured=["at_m"]), change(of, thing, measured=None)),
        (change(of, thing, **{draw(st.sampled_from(sorted(row.keys() - {"id"}))): None}), None),
        (change(of, thing, frames_m={"MS": 1.5}, name=draw(WORDS)), None),
    ]
    found: tuple[Step, Step | None] = draw(st.sampled_from(choices))
    return found


def plain_numbers(text: str) -> str:
    """Return a text with 8.0 written as 8: the opposite step writes numbers in short."""
    return re.sub(r"(?<=\d)\.0+(?=[,\]\s}])", "", text)


def check(base: Base, step: Step, opposite: Step | None) -> None:
    """Hold one step against what it may change."""
    text = base.version.text
    if step["do"] == "delete" and is_named(base, step.get("id")):
        with pytest.raises(BadInput, match="is still named by"):
            applied(base.document, read(step))
        return
    data = applied(base.document, read(step))
    new = written(base.document, text, read(step))
    document = parse_yaml(new, "new")
    assert as_meant(document) == data
    lost = Counter(COMMENT.findall(text)) - Counter(COMMENT.findall(new))
    takes_out = step["do"] == "delete" or None in step.get("facts", {}).values()
    assert takes_out or not lost
    assert is_kept(text, new, lines_of(base, step))
    if opposite is not None:
        back = written(document, new, read(opposite))
        assert plain_numbers(back) == plain_numbers(text)


def is_named(base: Base, thing: str | None) -> bool:
    """Return whether anything but its own row names a thing: some other value is its id."""
    values = [base.document.data]
    number = 0
    while values:
        value = values.pop()
        if isinstance(value, dict):
            values += value.values()
        elif isinstance(value, list):
            values += value
        else:
            number += thing is not None and value == thing
    return number > 1


def is_kept(old: str, new: str, own: set[int]) -> bool:
    """Return whether all lines but some stand in the new text, in their order."""
    left = iter(new.splitlines())
    kept = (line for n, line in enumerate(old.splitlines(), 1) if n not in own)
    return all(line in left for line in kept)


def lines_of(base: Base, step: Step) -> set[int]:
    """Return the lines that a step may change: those of its row, or where its id stands."""
    lines, data = base.document.lines, base.document.data
    place = PLACES[step["of"]]
    rows = rows_of(base, step["of"])
    if step["do"] == "add":
        return set()
    if step["do"] == "rename":
        text = base.version.text.splitlines()
        word = re.compile(rf"(?<![\w-]){re.escape(step['id'])}(?![\w-])")
        return {n for n, line in enumerate(text, 1) if word.search(line)}
    is_it = [row == step.get("facts") or row.get("id", "") == step.get("id") for row in rows]
    number = is_it.index(True)
    own = [line for at, line in lines.items() if at[: len(place) + 1] == (*place, number)]
    found = set(range(min(own), max(own) + 1))
    if step["do"] == "delete" and len(rows) == 1:
        found.add(lines[place])
    assert inside(data, place)
    return found


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=3, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_a_step_changes_only_what_it_is_about(name: str, data: st.DataObject) -> None:
    """The rest of the text stays byte for byte, comments included; the opposite gives it back."""
    _, base = bundled(name)
    check(base, *data.draw(steps(name)))


@pytest.mark.long
@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_many_steps_change_only_what_they_are_about(name: str, data: st.DataObject) -> None:
    """The same, at length."""
    _, base = bundled(name)
    check(base, *data.draw(steps(name)))


def test_several_steps_come_out_as_one_by_one() -> None:
    """Facts that are set together are written as if each were set alone."""
    _, base = bundled("school-dance")
    one, other = [row["id"] for row in rows_of(base, "positions")[:2]]
    done = [
        change("positions", one, at_m=[1, -2.5], has_mains=True),
        change("positions", other, lens_height_m=1.25, has_mains=None),
        change("positions", one, at_m=[1.5, -2.5]),
        rename("positions", other, "second"),
        change("positions", "second", name="The second"),
    ]
    text = base.version.text
    for step in done:
        text = after(text, step)
    assert base.text(read(*done)) == text
