"""`kitplan songs` from end to end."""

from __future__ import annotations

import json
from pathlib import Path

from typer.testing import CliRunner

from kitplan.cli.main import app
from kitplan.errors import BadInput
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.plan.files import read_plan
from kitplan.plan.verify import verify
from kitplan.produce.day import with_day
from tests.plans import small_plan, written
from tests.small import person, role, show, small_brief, solve

RUNNER = CliRunner()


def ordered(folder: Path, text: str) -> Path:
    """Write an order."""
    path = folder / "order.txt"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_new_order_in_place_of_the_old_one(tmp_path: Path) -> None:
    """The plan is written over the one before, which is kept; it holds, and says the same again."""
    path = written(tmp_path, with_day(small_plan()))
    path = path.rename(tmp_path / "small.json")
    order = ordered(tmp_path, "second, 5:00, 30\nfirst\n")
    words = ["songs", str(path), "--order", str(order), "--out", str(tmp_path)]
    done = RUNNER.invoke(app, words)
    assert done.exit_code == 0, done.output
    assert max(map(len, done.stdout.splitlines())) <= WIDEST_TABLE + len(str(tmp_path))
    assert "5:00 (was 9:00)" in done.stdout
    assert "Everything that held still holds." in done.stdout
    assert (tmp_path / "small.json.earlier").exists()
    made = read_plan(path)
    assert verify(made) == ()
    assert [song.id for song in made.shoots["small"].songs] == ["second", "first"]
    again = RUNNER.invoke(app, words)
    assert "Dropped" not in again.stdout
    assert read_plan(path).placements == made.placements


def test_json_and_what_no_longer_holds(tmp_path: Path) -> None:
    """Ann performs in the second song: with that alone her role is missed, and the status is 1."""
    crew = (person("ann", performs_in=("second",)), person("ben", is_operator=False))
    plan = solve(small_brief(crew=crew, roles=(role(manner="operated"),), passes=(show(),)))
    order = ordered(tmp_path, "second")
    words = ["songs", str(written(tmp_path / "plan", plan)), "--order", str(order)]
    done = RUNNER.invoke(app, words)
    assert done.exit_code == 1
    assert "Dropped: first." in done.output
    assert "stays at home: ann performs in every song of the pass" in " ".join(done.output.split())
    found = json.loads(RUNNER.invoke(app, [*words, "--json"]).stdout)
    assert found["dropped"] == ["first"]
    assert len(found["gone"]) == len(found["unmet"]) == 1
    assert list((tmp_path / "plan").glob("*")) == [tmp_path / "plan" / "plan.json"]


def test_an_unknown_song_is_one_clear_line(tmp_path: Path) -> None:
    """With the nearest name; nothing is written."""
    order = ordered(tmp_path, "frist\n")
    path = written(tmp_path / "plan", small_plan())
    done = RUNNER.invoke(
        app, ["songs", str(path), "--order", str(order), "--out", str(tmp_path / "x")]
    )
    assert isinstance(done.exception, BadInput)
    assert "order.txt:1: there is no song 'frist'. Did you mean 'first'?" in str(done.exception)
    assert not (tmp_path / "x").exists()
