"""`kitplan power`, `media` and `sound`: text, data, plans that do not hold, damaged files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from kitplan.cli.main import app
from kitplan.errors import KitplanError
from kitplan.paper.sound import sound_text
from kitplan.plan.records import Plan
from kitplan.produce.day import with_day_down_to
from tests.day.supplies import brief, kit, placed, setup, supplied
from tests.plans import written

COMMANDS = ("power", "media", "sound")


def ask(path: Path, command: str, *options: str) -> Result:
    """Run a command on a plan file."""
    return CliRunner().invoke(app, [command, str(path), *options])


def text(path: Path, command: str) -> str:
    """Return what a command prints."""
    result = ask(path, command)
    assert result.exit_code == 0, result.output
    return result.stdout


def data(path: Path, command: str) -> dict[str, Any]:
    """Return what a command gives to other programs."""
    result = ask(path, command, "--json")
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(result.stdout)
    return found


@pytest.mark.parametrize("command", COMMANDS)
def test_a_plan_without_a_day_is_given_one(tmp_path: Path, command: str) -> None:
    """A plan of before there was a day is answered all the same."""
    before, with_day = (written(tmp_path / name, plan) for name, plan in _plans(command))
    assert data(before, command) == data(with_day, command)
    assert text(before, command) == text(with_day, command)


def _plans(part: str) -> tuple[tuple[str, Plan], ...]:
    return ("before", placed()), ("after", with_day_down_to(placed(), part))


def test_the_battery_rota(tmp_path: Path) -> None:
    """Who runs on what, what charges where, the low spare, and the caution with mains."""
    found = text(written(tmp_path, supplied()), "power")
    assert "Camera A  cell-1" in found
    assert "charger-1/1  cell-1     Sat 16:21  Sat 16:52  21 % to 80 %  Camera A, show" in found
    assert "show: only 1 % spare of cell; 10 % is usual." in found
    assert "the dimmed" in found
    assert "residual-current" in found


def test_cards_and_copies(tmp_path: Path) -> None:
    """Cards with minutes and GB, copies, disks, and the two-copy rule."""
    found = text(written(tmp_path, supplied()), "media")
    assert "card-3 is formatted in Camera A before this pass." in found
    assert "2 disks with 24 GB of room each" in found
    assert "2 verified copies of every card" in found
    spare = data(written(tmp_path, supplied()), "media")["uses"][0]["spare_min"]
    assert spare == pytest.approx(287.2)


def test_the_sound(tmp_path: Path) -> None:
    """Units, phantom power, master and scratch sound."""
    found = text(written(tmp_path, supplied()), "sound")
    assert "room, at the gallery: rolls 20 min, rec-cell-1" in found
    assert found.count("phantom power on") == 6
    assert "first   show    room" in found
    assert "clap" in found


def test_a_shoot_without_sound(tmp_path: Path) -> None:
    """Says so, and gives empty data."""
    own = brief(sound=())
    plan = placed().model_copy(update={"shoots": {"small": own.shoot}})
    path = written(tmp_path, plan)
    assert "No sound setup is listed" in text(path, "sound")
    assert data(path, "sound") == {"runs": [], "masters": []}


def test_what_sound_lacks_is_said(tmp_path: Path) -> None:
    """One microphone for two sources, and both cards in the camera."""
    rigs = tuple(
        p.model_copy(update={"cards": ("card-1",)}) if "card-3" in p.cards else p
        for p in placed().placements
    )
    shoot = brief(sound=(setup(passes=("run",)),)).shoot
    plan = placed().model_copy(
        update={"kit": kit(card=2, mic=1), "placements": rigs, "shoots": {"small": shoot}}
    )
    result = ask(written(tmp_path, plan), "sound")
    assert "Lacks: microphone (every one in the kit is in use" in result.stdout
    assert "Lacks: SD card" in result.stdout
    assert "It does not record the whole pass as it is." in result.stdout


def test_a_battery_that_does_not_last_comes_first(tmp_path: Path) -> None:
    """With the cheapest way out."""
    shoot = brief().shoot
    venue = shoot.venue.model_copy(update={"sockets": 1})
    plan = placed().model_copy(
        update={"shoots": {"small": shoot.model_copy(update={"venue": venue})}}
    )
    found = text(written(tmp_path, plan), "power")
    assert found.index("Does not last") < found.index("Charging, by bay")
    assert "Camera A, show: cell-1 lacks 16 of the 20 min" in found
    assert "Cheapest way out: One more socket for chargers: then every battery lasts." in found


def test_a_plan_that_does_not_hold_ends_with_one(tmp_path: Path) -> None:
    """A rota that was changed by hand is printed, and warned of."""
    day = supplied().day
    assert day is not None
    assert day.power is not None
    spoilt = day.power.model_copy(update={"charges": ()})
    plan = supplied().model_copy(update={"day": day.model_copy(update={"power": spoilt})})
    result = ask(written(tmp_path, plan), "power")
    assert result.exit_code == 1
    assert "does not hold" in result.stderr


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"recorder": "rec"', '"recorder": "reco"', "no sound item reco"),
        ('"setup": "room"', '"setup": "rom"', "no sound setup rom"),
        ('"card": "card-1"', '"card": "crad-1"', "no unit crad-1"),
        ('"item": "cell",\n     "units"', '"item": "cell-1",\n     "units"', "no item cell-1"),
        ('"mode": "HD"', '"mode": "UHD"', "has no mode UHD"),
        ('"cell-1"\n', '"card-1"\n', "card-1 is no battery"),
        ('"for_pass": "small/show"', '"for_pass": "small/shoe"', "no pass small/shoe"),
        ('"phantom"', '"fantom"', "day.sound.runs.0"),
    ],
)
def test_damaged_plans_are_refused(
    tmp_path: Path, command: str, old: str, new: str, said: str
) -> None:
    """In one line, with status 2."""
    path = written(tmp_path, supplied())
    whole = path.read_text(encoding="utf-8")
    assert old in whole
    path.write_text(whole.replace(old, new), encoding="utf-8")
    result = ask(path, command)
    assert isinstance(result.exception, KitplanError)
    assert said in str(result.exception)


def test_sound_that_does_not_hold_is_no_promise() -> None:
    """A setup without a recorder does not roll, nor on what it has built in."""
    plan = supplied()
    assert plan.day is not None
    assert plan.day.sound is not None
    first = plan.day.sound.runs[0]
    lost = first.model_copy(update={"recorder": None, "batteries": (), "cards": (), "holds": False})
    sound = plan.day.sound.model_copy(update={"runs": (lost, *plan.day.sound.runs[1:])})
    spoilt = plan.model_copy(update={"day": plan.day.model_copy(update={"sound": sound})})
    found = sound_text(spoilt)
    assert "room, at the gallery: should roll 20 min, without a recorder" in found
    assert "room, at the gallery: rolls 20 min, rec-cell-1" in found
