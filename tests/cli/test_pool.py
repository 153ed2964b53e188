"""`kitplan plan SHOOT SHOOT`: a plan for each, and what can be done with them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from kitplan.cli.common import WIDEST_TABLE
from kitplan.cli.main import app
from kitplan.errors import KitplanError
from kitplan.gear.kit import Kit, grouped
from kitplan.gear.store import Store
from kitplan.plan.files import read_plan
from kitplan.plan.verify import verify
from kitplan.shoot.reading import read_briefs
from tests.small import body, optic, person, position, role, small_brief, small_kit

LONG = body("long", built_in=optic(focal_max_mm=250), mass_kg=0.5)
KIT = small_kit(body("cam"), LONG, counts={"cam": 1, "long": 1})
QUICK = ["--seconds", "5", "--workers", "1", "--leave-out", "day"]


@pytest.fixture(autouse=True)
def _files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two shoots of one evening and an inventory; commands write into the folder of them."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("KITPLAN_DB", "i.sqlite")
    for name, size in (("one", "MS"), ("two", "CU")):
        brief = small_brief(
            KIT,
            title=f"Show {name}",
            positions=(position("front"),),
            crew=(person(f"{name}-minder", is_operator=False),),
            roles=(role(sizes=(size,)),),
        )
        text = brief.shoot.model_dump_json(by_alias=True, exclude_none=True)
        Path(f"{name}.yaml").write_text(text, encoding="utf-8")
    with Store.open(Path("i.sqlite"), writing=True) as store:
        store.save_kit(KIT, replace=False)


def run(*arguments: str, status: int = 0) -> Result:
    """Run a command that ends with a status."""
    result = CliRunner().invoke(app, arguments)
    assert result.exit_code == status, result.output
    return result


def refusal(*arguments: str) -> str:
    """Return what a command that must refuse says."""
    result = CliRunner().invoke(app, arguments)
    assert isinstance(result.exception, KitplanError), result.output
    return str(result.exception)


def test_two_plans_are_written_booked_and_planned_again() -> None:
    """Each holds; both can be booked, and what is booked for both keeps neither from the pair."""
    text = run("plan", "one.yaml", "two.yaml", *QUICK).stdout
    assert "Two shoots from one pool, in the order given" in text
    assert max(map(len, text.splitlines())) <= WIDEST_TABLE
    for name in ("one", "two"):
        plan = read_plan(Path(f"{name}-plan"))
        assert plan.title == f"Show {name}"
        assert verify(plan) == ()
        run("gear", "book", f"{name}-plan")
    briefs = read_briefs([Path("one.yaml"), Path("two.yaml")], db=Path("i.sqlite"))
    assert [brief.kit for brief in briefs] == [grouped(KIT)] * 2


def test_alone_the_second_has_only_what_is_left() -> None:
    """The first one is booked with the long body: the must of the second is missed, and why."""
    run("plan", "one.yaml", *QUICK, "--alternatives", "0")
    run("gear", "book", "one-plan")
    text = run("plan", "two.yaml", *QUICK, "--alternatives", "0", status=1).stdout
    assert "Owned, but away" in text
    assert "Booked for Show one until 1 May 2027: long" in " ".join(text.split())


@pytest.mark.long
def test_programs_get_both_plans_and_how_they_share() -> None:
    """One JSON value; folders are put side by side with --out."""
    data = json.loads(run("plan", "one.yaml", "two.yaml", *QUICK, "--out", "both", "--json").stdout)
    assert [plan["title"] for plan in data["plans"]] == ["Show one", "Show two"]
    assert data["pool"]["way"] == "in-order"
    assert [each["now"]["musts"] for each in data["pool"]["shoots"]] == [0, 0]
    assert {path.name for path in Path("both").iterdir()} == {"one", "two"}


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["one.yaml", "--balanced"], "one shoot is given"),
        (["one.yaml", "two.yaml", "one.yaml"], "3 shoots are given"),
        (["one.yaml", "two.yaml", "--alternatives", "2"], "alternatives are not looked for"),
        (["one.yaml", "one.yaml"], "have the same name"),
        (["one.yaml", "gone.yaml"], "gone.yaml"),
    ],
)
def test_what_cannot_be_asked_is_refused(arguments: list[str], words: str) -> None:
    """Before anything is searched or written."""
    assert words in refusal("plan", *arguments)
    assert not list(Path().glob("*-plan"))


def test_two_kits_are_no_pool() -> None:
    """Each file names another kit."""
    for name, kit in (("one", KIT), ("two", Kit(items=KIT.items, units=KIT.units[1:]))):
        path = Path(f"{name}.yaml")
        shoot = json.loads(path.read_text(encoding="utf-8"))
        path.write_text(json.dumps(shoot | {"kit": f"{name}-kit.yaml"}), encoding="utf-8")
        Path(f"{name}-kit.yaml").write_text(kit.model_dump_json(exclude_none=True), "utf-8")
    with pytest.raises(KitplanError, match="the shoots have different kits"):
        read_briefs([Path("one.yaml"), Path("two.yaml")])
