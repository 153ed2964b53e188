"""Locks that are given with the command."""

from __future__ import annotations

import pytest
from typer.testing import CliRunner

from kitplan.cli.locked import locked
from kitplan.cli.main import app
from kitplan.errors import BadInput, SettingError
from tests.plans import brief_of
from tests.small import show, small_brief, solve


def test_a_lock_of_the_command_stands_beside_those_of_the_file() -> None:
    """The plan keeps it, and carries it."""
    brief = small_brief(passes=(show(),))
    free = solve(brief)
    (first, *_) = free.placements
    kept = solve(locked(brief, None, [f"position={first.position}"]))
    assert all(each.position != first.position for each in kept.placements)
    (shoot,) = kept.shoots.values()
    assert [str(lock) for lock in shoot.locks.never] == [f"position {first.position}"]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("jib", "'jib' is not NAME=ID. Write it as"),
        ("positon=jib-spot", "'positon' is no part of a lock. Did you mean 'position'"),
        ("pass=show,pass=show", "'pass' is given twice. Give --keep once more"),
        ("", "'' is not NAME=ID"),
        ("position=a,,body=b", "'' is not NAME=ID"),
        ("pass_=show", "'pass_' is no part of a lock"),
        ("position=", "is not NAME=ID"),
    ],
)
def test_what_is_no_lock_is_refused(text: str, message: str) -> None:
    """With what it should look like."""
    with pytest.raises(SettingError, match=message):
        locked(small_brief(), [text], None)


@pytest.mark.parametrize("name", ["<script>", "a b", "../x", "=1", "x" * 61, "\u202eda", "a\0"])
def test_a_lock_names_what_can_be_an_id(name: str) -> None:
    """In a line, as the file would be told."""
    with pytest.raises(BadInput, match=r"--keep: person is .* Write a name of up to 60 letters"):
        locked(small_brief(), [f"person={name}"], None)


def test_a_lock_names_what_exists() -> None:
    """Positions, people and items by id, as in the file."""
    with pytest.raises(BadInput, match="names the position 'jib-spt', which does not exist"):
        locked(brief_of("depot-brass"), ["position=jib-spt"], None)


def test_a_lock_that_another_one_forbids_is_named() -> None:
    """Whichever of the two is given with the command."""
    brief = small_brief(passes=(show(),))
    position = brief.shoot.venue.positions[0].id
    (body, *_) = (item.id for item in brief.kit.items if item.kind == "body")
    with pytest.raises(BadInput, match=f"what another lock forbids .body {body}"):
        locked(brief, [f"position={position},body={body}"], [f"body={body}"])


def test_locks_are_for_one_shoot() -> None:
    """Two shoots have their own files for them."""
    result = CliRunner().invoke(app, ["plan", "a.yaml", "b.yaml", "--keep", "position=x"])
    assert isinstance(result.exception, SettingError)
    assert "locks are for one shoot" in str(result.exception)


def test_locks_that_cannot_all_be_kept_are_named() -> None:
    """A camera is wanted at a position, and every body forbidden: no lock says so for itself."""
    brief = small_brief(passes=(show(),))
    position = brief.shoot.venue.positions[0].id
    bodies = [each.id for each in brief.kit.items if each.kind == "body"]
    never = [f"body={each}" for each in bodies]
    plan = solve(locked(brief, [f"position={position}"], never))
    assert plan.status == "musts-missed"
    assert set(plan.clash) == {
        f"lock: keep a placement with position {position}",
        *(f"lock: never body {each}" for each in bodies),
    }
    assert plan.clash_reason
