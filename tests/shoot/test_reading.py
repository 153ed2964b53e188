"""Reading shoots and briefs: where the kit comes from, what is refused, nothing is lost."""

from __future__ import annotations

import json
import subprocess
import sys
from copy import deepcopy
from datetime import date
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

from kitplan.errors import BadInput
from kitplan.gear.files import read_kit
from kitplan.gear.history import Booked, Booking
from kitplan.gear.store import Store
from kitplan.shoot import reading
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.every import shoot_problems
from kitplan.shoot.reading import read_brief, read_shoot
from kitplan.shoot.records import Shoot
from kitplan.tables import folder, scenario
from tests.shoot.small import KIT, SHOOT, changed, found, read, write
from tests.strategies_shoot import shoots

SCRATCH = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def refusal(path: Path, *more: Path | None) -> str:
    """Return what reading complains about."""
    with pytest.raises(BadInput) as caught:
        read_brief(path, *more)
    return str(caught.value)


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The path of the user's inventory, where nothing is yet."""
    path = tmp_path / "home" / "inventory.sqlite"
    path.parent.mkdir()
    monkeypatch.setattr(reading, "default_inventory", lambda: path)
    return path


def stored(path: Path, kit_file: Path) -> Path:
    """Make an inventory of a kit file."""
    with Store.open(path, writing=True) as store:
        store.save_kit(read_kit(kit_file), replace=False)
    return path


# -- where the kit comes from ------------------------------------------------------------------


@pytest.mark.parametrize("name", ["depot-brass", "school-dance", "harbour-festival"])
def test_the_bundled_shoots_are_right(name: str) -> None:
    """Every demo reads with the kit that it names, beside the shoot file."""
    brief = read_brief(scenario(name))
    assert brief.kit == read_kit(folder("catalog") / f"{name}.yaml")


def test_a_shoot_is_read_with_its_lines(tmp_path: Path) -> None:
    """The document knows where each value stands."""
    shoot, document = read_shoot(write(tmp_path))
    assert shoot.songs_by_id["two"].gap_s == 30
    assert SHOOT.split("\n")[document.line_of(("roles", 1, "sizes")) - 1].startswith(
        "- {id: vocals"
    )


def test_the_kit_of_the_option_comes_first(tmp_path: Path) -> None:
    """--kit is taken before --db and before the shoot's own."""
    path = write(tmp_path)
    other = tmp_path / "other.yaml"
    other.write_text(KIT.replace("name: camera", "name: another"), encoding="utf-8")
    assert (
        read_brief(path, other, tmp_path / "none.sqlite").kit.items_by_id["cam"].name == "another"
    )


def test_the_inventory_of_the_option_comes_second(tmp_path: Path) -> None:
    """--db is taken before the shoot's own kit, which need not even exist."""
    path = write(tmp_path, changed(SHOOT, "kit: kit.yaml", "kit: gone.yaml"))
    db = stored(tmp_path / "own.sqlite", tmp_path / "kit.yaml")
    assert read_brief(path, db=db).kit == read_kit(tmp_path / "kit.yaml")


def test_what_others_have_booked_is_away(tmp_path: Path) -> None:
    """From an inventory, for the shoot that is read: not what it has booked for itself."""
    path = write(tmp_path, SHOOT)
    db = stored(tmp_path / "own.sqlite", tmp_path / "kit.yaml")
    title = read_brief(path).shoot.title
    with Store.open(db, writing=True) as store:
        for name, plan, day in (("gala", "gala", 9), (path.stem, path.stem, 8)):
            row = Booked(unit="zoom-1", begins=date(2027, 5, day), ends=date(2027, 5, day))
            named = title if plan == path.stem else "Gala"
            store.bookings.book(Booking(id=name, title=named, plan=plan, booked=(row,)))
    (zoom,) = read_brief(path, db=db).kit.units_by_item["zoom"]
    assert [str(away) for away in zoom.away] == ["booked for Gala until 9 May 2027"]


def test_a_shoot_may_name_an_inventory(tmp_path: Path) -> None:
    """`kit:` takes a kit file, a folder, or an inventory."""
    path = write(tmp_path, changed(SHOOT, "kit: kit.yaml", "kit: own.sqlite"))
    stored(tmp_path / "own.sqlite", tmp_path / "kit.yaml")
    assert read_brief(path).kit == read_kit(tmp_path / "kit.yaml")


def test_the_users_inventory_comes_last(tmp_path: Path, home: Path) -> None:
    """Where nothing names a kit, what the user owns is taken."""
    path = write(tmp_path, changed(SHOOT, "kit: kit.yaml\n", ""))
    stored(home, tmp_path / "kit.yaml")
    assert read_brief(path).kit == read_kit(tmp_path / "kit.yaml")


def test_no_kit_at_all(tmp_path: Path, home: Path) -> None:
    """Without any kit the message names every way to give one."""
    assert not home.exists()
    text = refusal(write(tmp_path, changed(SHOOT, "kit: kit.yaml\n", "")))
    assert "no kit is named, and there is no inventory of yours" in text
    for way in ("kit:", "--kit PATH", "--db FILE", "kitplan gear add"):
        assert way in text


@pytest.mark.parametrize(
    ("named", "hint"),
    [("kit.yml", "Did you mean 'kit.yaml'?"), ("none/of/these.yaml", "Check the path")],
)
def test_a_kit_that_is_not_there(named: str, hint: str, tmp_path: Path) -> None:
    """The line of `kit` is shown, with the file that was meant."""
    text = refusal(write(tmp_path, changed(SHOOT, "kit: kit.yaml", f"kit: {named}")))
    assert f"shoot.yaml:2: kit is '{named}', and there is no such file. {hint}" in text


def test_a_path_that_no_system_takes(tmp_path: Path) -> None:
    """A name of 900 letters is a problem like any other."""
    long = "k" * 900
    text = refusal(write(tmp_path, changed(SHOOT, "kit: kit.yaml", f"kit: {long}")))
    assert "there is no such file" in text
    assert "shoot.yaml" not in refusal(write(tmp_path), tmp_path / long)


def test_an_inventory_that_is_not_there(tmp_path: Path) -> None:
    """What is wrong with the inventory is one problem among the others."""
    wrong = changed(SHOOT, "part_of: band", "part_of: bend")
    text = refusal(write(tmp_path, wrong), None, tmp_path / "none.sqlite")
    assert "none.sqlite" in text
    assert "'bend'" in text


# -- one list of everything --------------------------------------------------------------------


def test_faults_of_shoot_kit_and_both_come_together(tmp_path: Path) -> None:
    """A wrong fact of the kit and a wrong name in the shoot are told at once."""
    wrong = changed(SHOOT, "subject: singer, sizes", "subject: singr, sizes")
    problems = found(tmp_path, wrong, changed(KIT, "max_iso: 6400", "max_iso: none"))
    assert [Path(one.problem.file).name for one in problems] == ["kit.yaml", "shoot.yaml"]
    assert problems[0].line == "max_iso: none"
    assert "'singr'" in problems[1].problem.wrong


def test_the_kit_is_read_even_if_the_shoot_is_broken(tmp_path: Path) -> None:
    """A wrong type in the shoot does not hide what is wrong in the kit."""
    wrong = changed(SHOOT, "mains_hz: 50", "mains_hz: 55")
    problems = found(tmp_path, wrong, changed(KIT, "max_iso: 6400", "max_iso: none"))
    assert [one.line for one in problems] == ["max_iso: none", "mains_hz: 55"]


def test_a_broken_kit_does_not_hide_itself_behind_missing_gear(tmp_path: Path) -> None:
    """Locks on gear are not judged while the kit cannot be read."""
    (one,) = found(tmp_path, SHOOT, changed(KIT, "max_iso: 6400", "max_iso: none"))
    assert one.line == "max_iso: none"


def test_a_kit_named_like_something_else_is_a_path(tmp_path: Path) -> None:
    """`true` is text where text is wanted, so that there is something to say about it."""
    (one,) = found(tmp_path, changed(SHOOT, "kit: kit.yaml", "kit: true"))
    assert one.problem.wrong == "kit is 'true', and there is no such file"


def test_a_missing_shoot_is_all_there_is_to_say(tmp_path: Path) -> None:
    """Without the shoot no kit is asked for."""
    text = refusal(tmp_path / "none.yaml")
    assert text.count("\n") == 0
    assert "there is no such file" in text


@pytest.mark.parametrize(
    ("old", "new", "text"),
    [
        ("mains_hz: 50\n", "", "mains_hz is missing. Add mains_hz: one of 50, 60"),
        ("sizes: [MCU, MS]", "sizes: [MCUU]", "Did you mean 'MCU'?"),
        ("lens_height_m: 1.6", "lens_height: 1.6", "Did you mean 'lens_height_m'?"),
        ("lens_height_m: 1.6", "lens_height_m: tall", "is 'tall'. Write a number at least 0"),
        ("kit: kit.yaml", "kit: [kit.yaml]", "kit is a list. Write text"),
        ("length_s: 300", "length_s: 0", "Write a number above 0 and at most 86400"),
        (
            "start: 2027-05-15 14:00",
            "start: 2027-05-15",
            "has no time of day. Write a time as well",
        ),
        ("start: 2027-05-15 14:00", "start: 14:00", "Write a date and time such as"),
        ("start: 2027-05-15 14:00", "start: 9999-12-31 14:00", "the year is 9999. Write a year"),
    ],
)
def test_wrong_records_are_explained(old: str, new: str, text: str, tmp_path: Path) -> None:
    """Missing, misspelt and mistyped facts say what would be right."""
    assert text in "\n".join(str(one.problem) for one in found(tmp_path, changed(SHOOT, old, new)))


@pytest.mark.parametrize("start", ["2027-05-15 14:00", "2027-05-15 14:00:00", "2027-05-15T14:00"])
def test_times_stay_as_they_are_written(start: str, tmp_path: Path) -> None:
    """Without an offset a time is the venue's and keeps having none."""
    brief = read(tmp_path, changed(SHOOT, "start: 2027-05-15 14:00", f"start: {start}"))
    assert brief.shoot.passes[0].start.isoformat() == "2027-05-15T14:00:00"


def test_times_may_all_have_an_offset(tmp_path: Path) -> None:
    """An offset is kept, and times with different ones are compared as the clock does."""
    text = SHOOT.replace(":00\n", ":00+02:00\n").replace("18:30\n", "17:30+01:00\n")
    text = text.replace("12:00,", "12:00+02:00,").replace("01:00,", "01:00+02:00,")
    first, show = read(tmp_path, text).shoot.passes
    assert first.start.isoformat() == "2027-05-15T14:00:00+02:00"
    assert show.doors is not None
    assert (show.start - show.doors).total_seconds() == 1800


# -- nothing is lost, nothing breaks ------------------------------------------------------------


def dumped(data: Any) -> str:
    """Write plain data as YAML in block style; the writer's flow style does not quote `?m`."""
    stream = StringIO()
    yaml = YAML(typ="safe", pure=True)
    yaml.default_flow_style = False
    yaml.dump(data, stream)
    return stream.getvalue()


@settings(SCRATCH, max_examples=20)
@given(shoot=shoots())
def test_a_shoot_survives_its_file(shoot: Shoot, tmp_path: Path) -> None:
    """What is written as YAML is read back unchanged, whatever the names hold."""
    path = tmp_path / "shoot.yaml"
    facts = shoot.model_dump(mode="json", by_alias=True, exclude_defaults=True)
    path.write_text(dumped(facts), encoding="utf-8")
    again, _ = read_shoot(path)
    assert again == shoot


@SCRATCH
@given(shoot=shoots())
def test_shoots_that_hold_together_are_taken(shoot: Shoot) -> None:
    """No check complains where names, times and sizes are drawn to fit."""
    assert not shoot_problems(shoot, lambda _: 1, "shoot.yaml")


def tried(folder: Path, raw: bytes) -> Brief | None:
    """Read bytes as a shoot: a brief, or the error for people, and nothing else."""
    path = folder / "shoot.yaml"
    path.write_bytes(raw)
    if not (folder / "kit.yaml").exists():
        (folder / "kit.yaml").write_text(KIT, encoding="utf-8")
    try:
        return read_brief(path)
    except BadInput:
        return None


@SCRATCH
@given(end=st.integers(0, len(SHOOT) - 1))
def test_a_shoot_cut_off(end: int, tmp_path: Path) -> None:
    """However much of the file is there, reading says what is wrong, or all is well."""
    tried(tmp_path, SHOOT[:end].encode())


@SCRATCH
@given(start=st.integers(0, len(SHOOT)), length=st.integers(0, 40), piece=st.binary(max_size=12))
def test_a_shoot_with_random_bytes(start: int, length: int, piece: bytes, tmp_path: Path) -> None:
    """Bytes in the wrong place never raise anything else."""
    raw = SHOOT.encode()
    tried(tmp_path, raw[:start] + piece + raw[start + length :])


@SCRATCH
@given(raw=st.binary(max_size=200))
def test_no_shoot_at_all(raw: bytes, tmp_path: Path) -> None:
    """A file of random bytes is no shoot."""
    assert tried(tmp_path, raw) is None


ODD: st.SearchStrategy[Any] = st.sampled_from(
    [None, True, -1, 0, 1e308, float("nan"), float("inf"), "", "x", "9999-12-31 23:59",
     "0001-01-01 00:00+14:00", "2027-05-15 14:00Z", "5,5", [], [[]], [1, "x"], {}, {"x": 1},
     10**30, "\N{BELL}", "closed", ["closed", "closed"]]
)  # fmt: skip


def _places(data: Any, place: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    keys = list(data) if isinstance(data, dict) else range(len(data))
    found: list[tuple[Any, ...]] = []
    for key in keys:
        found.append((*place, key))
        if isinstance(data[key], (dict, list)):
            found += _places(data[key], (*place, key))
    return found


DATA = YAML(typ="safe", pure=True).load(SHOOT)
PLACES = _places(DATA)


@settings(SCRATCH, max_examples=30)
@given(place=st.sampled_from(PLACES), odd=ODD, more=st.sampled_from(PLACES), other=ODD)
def test_wrong_values_anywhere(
    place: tuple[Any, ...], odd: Any, more: tuple[Any, ...], other: Any, tmp_path: Path
) -> None:
    """Two values of any type in any places are explained, or fit."""
    data = deepcopy(DATA)
    for (*parents, key), value in ((place, odd), (more, other)):
        inner = data
        for step in parents:
            inner = inner[step] if isinstance(inner, (dict, list)) and step in _keys(inner) else {}
        if isinstance(inner, (dict, list)) and key in _keys(inner):
            inner[key] = value
    tried(tmp_path, json.dumps(data).replace("NaN", ".nan").replace("Infinity", ".inf").encode())


def _keys(data: dict[Any, Any] | list[Any]) -> list[Any]:
    return list(data) if isinstance(data, dict) else list(range(len(data)))


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("", "the file is empty"),
        ("- 1\n", "Write a block with the keys title"),
        ("title: &a [*a]\n", "contains itself"),
        (SHOOT.replace("mains_hz: 50", "mains_hz: 50\nmains_hz: 60"), "the key 'mains_hz' stands"),
        (SHOOT + "lighting: none\n", "unknown key 'lighting'. Did you mean 'light'?"),
        (SHOOT.replace("title", "\ttitle"), "Indent with spaces"),
    ],
    ids=["empty", "list", "cyclic-alias", "duplicate-key", "unknown-key", "tab"],
)
def test_files_that_are_no_shoot(text: str, wrong: str, tmp_path: Path) -> None:
    """Each kind of broken file is refused in words of its own."""
    assert wrong in refusal(write(tmp_path, text))


def test_a_shoot_in_another_encoding(tmp_path: Path) -> None:
    """Latin-1 is refused with its line; UTF-16 and a byte-order mark are taken."""
    path = write(tmp_path)
    text = changed(SHOOT, "Small evening", "Kleiner Abend für Bläser")
    path.write_bytes(text.encode("latin-1"))
    assert "shoot.yaml:1: the text is not UTF-8. Save the file as UTF-8" in refusal(path)
    for encoding in ("utf-8-sig", "utf-16"):
        path.write_bytes(text.encode(encoding))
        assert read_brief(path).shoot.title == "Kleiner Abend für Bläser"


def test_a_folder_is_no_shoot(tmp_path: Path) -> None:
    """The file itself must be named."""
    assert "this is a folder" in refusal(tmp_path)


def test_reading_needs_no_database_where_there_is_none(tmp_path: Path) -> None:
    """A shoot with a kit file is read without loading SQLite, which takes its time."""
    path = write(tmp_path)
    code = (
        "import sys; from pathlib import Path; from kitplan.shoot.reading import read_brief;"
        "assert 'ruamel.yaml' not in sys.modules;"
        f"read_brief(Path({str(path)!r})); assert 'sqlite_utils' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, cwd=Path(__file__).parents[2])
