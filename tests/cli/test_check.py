"""`kitplan check` from end to end: what is printed, and how it refuses."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import typer
from typer.testing import CliRunner, Result

from kitplan.cli.check import check
from kitplan.cli.common import WIDEST_TABLE
from kitplan.errors import BadInput
from kitplan.tables import scenario
from tests.shoot.small import KIT, SHOOT, changed, write

app = typer.Typer()
app.command()(check)


def run(*arguments: object) -> Result:
    """Run the command."""
    return CliRunner().invoke(app, [str(one) for one in arguments])


def lines(*arguments: object) -> list[str]:
    """Run the command, which must succeed, and return its lines."""
    result = run(*arguments)
    assert result.exit_code == 0, result.output
    return result.output.splitlines()


def test_what_was_read_fits_a_few_lines(tmp_path: Path) -> None:
    """Passes with their hours, who and what there is, the shutter, and the verdict."""
    assert lines(write(tmp_path)) == [
        "Small evening (Hall)",
        "passes     closed: 2027-05-15 14:00 to 15:00, no audience; songs: 2 for inserts only",
        "           show: 2027-05-15 19:00 to 19:09, audience from 18:30; songs: 2 live",
        "asked for  2 songs, 6 subjects, 2 roles",
        "positions  3 (3 in closed, 2 in show)",
        "crew       3 (2 in closed, 3 in show)",
        "kit        1 body, 1 lens, 1 head, 2 supports, 1 other thing",
        "shutter    1/50 s is flicker-free under 50 Hz mains and is nearest to the 180-degree "
        "shutter, 1/50 s",
        "Nothing is wrong.",
    ]


@pytest.mark.parametrize("name", ["depot-brass", "school-dance", "harbour-festival"])
def test_the_bundled_shoots_have_nothing_wrong(name: str) -> None:
    """Nothing is wrong, and no line is too wide to read."""
    printed = lines(scenario(name))
    assert printed[-1] == "Nothing is wrong."
    assert max(map(len, printed)) <= WIDEST_TABLE


def notes(folder: Path, shoot: str = SHOOT, kit: str = KIT) -> list[str]:
    """Return the remarks on a shoot that is right."""
    found: list[str] = json.loads(run(write(folder, shoot, kit), "--json").output)["notes"]
    return found


BACK = "{id: back, at_m: [-1, -13]"
UNIT = "{id: cam-1, item: cam, owner: ana"


@pytest.mark.parametrize(
    ("old", "new", "note"),
    [
        (BACK, f"{BACK}, permission: {{state: asked, by: the venue}}",
         "Permission asked, so not used until somebody gives it: back (the venue)."),
        (BACK, f"{BACK}, permission: {{state: refused}}", "Permission refused, so not used: back."),
        (BACK, f"{BACK}, is_overhead: true",
         "Overhead, so not used until permission says given and by whom: back."),
        (BACK, f"{BACK}, is_overhead: true",
         "Nobody in the crew has the skill rigging: overhead positions are not used."),
        ("must, in_passes: every", "must",
         "Safety role safety is asked for in any one pass; in_passes: every means all."),
        ("priority: must, in_passes", "in_passes",
         "Safety role safety is only a want; must makes sure of it."),
        ("has_audience: true", "has_audience: true\n  people: [cleo]",
         "Nobody on hand in show operates: every camera there is locked off."),
        ("songs: {two: stopped}", "songs: {two: not-run}", None),
    ],
)  # fmt: skip
def test_what_is_not_wrong_but_worth_knowing(
    old: str, new: str, note: str | None, tmp_path: Path
) -> None:
    """Each remark names what it is about."""
    found = notes(tmp_path, changed(SHOOT, old, new))
    assert note in found if note else found == []


@pytest.mark.parametrize(
    ("old", "new", "note"),
    [
        (UNIT, f"{UNIT}, owner_only: true", None),
        (UNIT, "{id: cam-1, item: cam, owner: Zoe, owner_only: true",
         "Only for owners whose name is no id in the crew, so not used: cam-1."),
        ("  runs_on_mains: true", "  battery: cell\n  battery_min: 90",
         "battery_min is assumed, not measured, of cam: planned with more margin."),
        (UNIT, f"{UNIT}, condition: worn", "Worn: cam-1."),
        (UNIT, f"{UNIT}, fault: door sticks", "With a fault: cam-1 (door sticks)."),
        (UNIT, f"{UNIT}, service_due: 2000-01-01",
         "Service overdue by then: cam-1 (due 2000-01-01)."),
        (UNIT, f"{UNIT}, service_due: 2100-01-01", None),
    ],
)  # fmt: skip
def test_remarks_on_the_kit(old: str, new: str, note: str | None, tmp_path: Path) -> None:
    """Facts that nobody measured, and gear that cannot be used."""
    kit = changed(KIT, old, new).replace(
        "items:\n", "items:\n- {kind: battery, id: cell, name: c}\n"
    )
    found = notes(tmp_path, SHOOT, kit)
    assert note in found if note else found == []


def test_old_packs_are_said_while_they_are_there(tmp_path: Path) -> None:
    """All packs of a body are planned as the weakest; one that stays at home is not said."""
    kit = changed(KIT, "  runs_on_mains: true", "  battery: cell\n  battery_min: 90")
    kit = changed(kit, "items:\n", "items:\n- {kind: battery, id: cell, name: c}\n")
    for facts, is_said in (("0.79", True), ("0.8", False), ("0.5, condition: retired", False)):
        cells = f"- {{id: cell-1, item: cell, owner: ana, health: {facts}}}\n"
        found = notes(tmp_path, SHOOT, f"{kit}- {{id: cell-2, item: cell, owner: ana}}\n{cells}")
        assert ("Old packs: cell-1 (79% of its minutes)." in found) == is_said
        assert any("planned as the weakest one, cell-1 at 79%" in one for one in found) == is_said
        assert not is_said or len(found) == 3  # and that the minutes are assumed


def test_bodies_that_cannot_take_part(tmp_path: Path) -> None:
    """A body of another rate, and one without the common shutter, are named."""
    body = KIT[KIT.index("- kind: body") : KIT.index("- {kind: lens")]
    slow = body.replace("id: cam", "id: film").replace("_fps: 25", "_fps: 24")
    fast = body.replace("id: cam", "id: toy") + "  shutter_speeds_per_s: [60, 120]\n"
    kit = changed(KIT, "items:\n", f"items:\n{slow}{fast}")
    kit += "- {id: film-1, item: film, owner: ana}\n- {id: toy-1, item: toy, owner: ana}\n"
    assert notes(tmp_path, SHOOT, kit) == [
        "Not used, as they do not record the delivery's rate and size: film.",
        "Not used, as they lack the shutter 1/50 s: toy.",
    ]


def test_a_song_that_no_pass_runs(tmp_path: Path) -> None:
    """It is planned by nobody."""
    shoot = changed(SHOOT, "{two: stopped}", "{two: not-run}")
    shoot = changed(shoot, "is_master: true", "is_master: true\n  songs: {two: not-run}")
    assert notes(tmp_path, shoot) == ["No pass runs two."]


def test_json_holds_what_was_read(tmp_path: Path) -> None:
    """Other programs get the same facts, and an empty list of problems."""
    data: dict[str, Any] = json.loads(run(write(tmp_path), "--json").output)
    assert data["problems"] == []
    assert data["kit"]["bodies"] == 1
    closed, show = data["passes"]
    assert closed["songs"] == {"live": 0, "locks": 0, "inserts": 2, "none": 0}
    assert (show["start"], show["is_master"]) == ("2027-05-15T19:00:00", True)
    assert data["shutter"]["time_s"] == pytest.approx(1 / 50)


def test_everything_wrong_is_raised_as_one_error(tmp_path: Path) -> None:
    """The list goes to whoever started the command."""
    result = run(write(tmp_path, changed(SHOOT, "part_of: band", "part_of: bend")))
    assert isinstance(result.exception, BadInput)
    assert "Did you mean 'band'?" in str(result.exception)


def test_everything_wrong_as_json(tmp_path: Path) -> None:
    """With --json the list is printed, and the status is 2."""
    path = write(tmp_path, changed(SHOOT, "part_of: band", "part_of: bend"))
    result = run(path, "--json")
    assert result.exit_code == 2
    (problem,) = json.loads(result.output)["problems"]
    assert problem == {
        "file": str(path),
        "line": SHOOT[: SHOOT.index("part_of")].count("\n") + 1,
        "wrong": "subject 'singer' names the subject 'bend', which does not exist",
        "right": "Did you mean 'band'? Known here: band, child, house, piano, singer, stage",
    }


def test_another_kit(tmp_path: Path) -> None:
    """--kit replaces the kit that the shoot names."""
    path = write(tmp_path)
    (tmp_path / "other.yaml").write_text(
        f"{KIT}- {{id: cam-2, item: cam, owner: ben}}\n", encoding="utf-8"
    )
    printed = lines(path, "--kit", tmp_path / "other.yaml")
    assert "kit        2 bodies, 1 lens, 1 head, 2 supports, 1 other thing" in printed


def test_help_has_an_example() -> None:
    """The help says what the command does and shows a call."""
    text = run("--help").output
    assert "plans nothing" in text
    assert "Example: kitplan check" in text
