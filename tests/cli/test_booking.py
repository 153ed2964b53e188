"""`kitplan gear book, bookings, release` from end to end."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from kitplan.cli.main import app
from kitplan.errors import KitplanError
from kitplan.gear.store import Store
from kitplan.plan.files import write_plan
from kitplan.plan.records import Plan
from tests.small import SHOOT_ID, small_brief, solve

WHO = "Ana"


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The plan of the small show."""
    return solve(small_brief())


@pytest.fixture
def path(tmp_path: Path, plan: Plan, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Its file, beside an inventory of its kit."""
    db = tmp_path / "inventory.sqlite"
    monkeypatch.setenv("KITPLAN_DB", str(db))
    monkeypatch.setenv("KITPLAN_BY", WHO)
    with Store.open(db, writing=True) as store:
        store.save_kit(plan.kit, replace=False)
    return write_plan(plan, tmp_path, SHOOT_ID)


def gear(*arguments: object, status: int = 0) -> Result:
    """Run a command that ends with a status."""
    result = CliRunner().invoke(app, ["gear", *map(str, arguments)])
    assert result.exit_code == status, result.output
    return result


def booked() -> list[dict[str, object]]:
    """Return what is booked, as other programs see it."""
    found: list[dict[str, object]] = json.loads(gear("bookings", "--json").stdout)
    return found


def test_a_plan_is_booked_listed_and_released(path: Path) -> None:
    """Under the id of its shoot, signed by whoever the environment names."""
    assert gear("bookings").stdout == "Nothing is booked.\n"
    assert "Booked as small: " in gear("book", path).stdout
    (booking,) = booked()
    assert (booking["id"], booking["begins"], booking["ends"]) == (
        SHOOT_ID, "2027-05-01", "2027-05-01",
    )  # fmt: skip
    assert "Small" in gear("bookings").stdout
    (days,) = json.loads(gear("bookings", "cam-1", "--json").stdout)
    assert (days["id"], days["from"], days["until"]) == (SHOOT_ID, "2027-05-01", "2027-05-01")
    assert gear("bookings", "card-30").stdout == "It is not booked.\n"
    (entry,) = json.loads(gear("log", SHOOT_ID, "--json").stdout)
    assert (entry["who"], entry["what"]) == (WHO, "booked")
    assert "Released" in gear("release", SHOOT_ID).stdout
    assert booked() == []


def test_booked_again_with_travel_it_replaces_itself(path: Path) -> None:
    """And says what has changed."""
    gear("book", path)
    text = gear("book", path, "--travel-days", 1).stdout
    assert "Booked again as small" in text
    assert "30 Apr 2027 to 2 May 2027" in text
    assert "Before it was 1 May 2027." in text
    assert len(booked()) == 1


def test_what_stands_in_the_way_is_listed(path: Path, plan: Plan, tmp_path: Path) -> None:
    """Another shoot of the same day: exit status 1, nothing booked, for programs too."""
    gear("book", path)
    other = plan.model_copy(update={"title": "Fair", "shoots": {"fair": plan.shoots[SHOOT_ID]}})
    placements = tuple(
        p.model_copy(update={"pass_id": p.pass_id.replace(SHOOT_ID, "fair")})
        for p in plan.placements
    )
    fair = write_plan(other.model_copy(update={"placements": placements}), tmp_path, "fair")
    result = gear("book", fair, status=1)
    assert "- booked for Small (small), 1 May 2027: cam-1, " in result.stderr
    data = json.loads(gear("book", fair, "--json", status=1).stdout)
    assert len(data["in_the_way"]) == 1
    assert [each["id"] for each in booked()] == [SHOOT_ID]


def test_an_id_must_be_one(path: Path) -> None:
    """Spaces are refused before anything is written."""
    result = CliRunner().invoke(app, ["gear", "book", str(path), "--as", "two words"])
    assert isinstance(result.exception, KitplanError)
    assert "without spaces" in str(result.exception)
    assert booked() == []
