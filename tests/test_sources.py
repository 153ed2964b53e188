"""Reading files safely: encodings, YAML with line numbers, and problems in a producer's words."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Annotated, Any, Literal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, Field

from kitplan.errors import BadInput, SettingError
from kitplan.sources import (
    MAX_BYTES,
    build,
    nearest,
    parse_value,
    parse_yaml,
    read_text,
    read_yaml,
    writable,
    write_text,
)

any_file = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


class Lamp(BaseModel, extra="forbid"):
    """A record for these tests."""

    kind: Literal["lamp"] = "lamp"
    id: str
    power_w: Annotated[float, Field(gt=0, le=2000)]
    is_warm: bool = False
    channel: Annotated[int, Field(ge=1, le=512)] = 1
    colour: Literal["red", "green"] = "red"
    bought: date | None = None


class Stand(BaseModel, extra="forbid"):
    """Another record for these tests."""

    kind: Literal["stand"] = "stand"
    id: str
    height_m: float | Literal["floor"] = 1.0


class Rack(BaseModel, extra="forbid"):
    """A record that holds others."""

    things: tuple[Annotated[Lamp | Stand, Field(discriminator="kind")], ...] = ()
    spare: Lamp | None = None
    by_name: dict[str, Stand] = {}


def refusal(text: str, model: type[BaseModel] = Rack) -> str:
    """Return what building a record of the text complains about."""
    with pytest.raises(BadInput) as caught:
        build(model, parse_yaml(text, "rack.yaml"))
    return str(caught.value)


def complaint(read: Callable[[], object]) -> str | None:
    """Return what reading complains about, None if it succeeds; anything else is a traceback."""
    try:
        read()
    except BadInput as error:
        return str(error)
    return None


# -- text ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_accents_survive_every_accepted_encoding(tmp_path: Path, encoding: str) -> None:
    """UTF-8 with and without byte-order mark, and UTF-16 with one."""
    path = tmp_path / "a.yaml"
    path.write_bytes("name: Größe é 🎥\r\n".encode(encoding))
    assert read_text(path) == "name: Größe é 🎥\n"


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        ("a: 1\nb: é\n".encode("cp1252"), ":2: the text is not UTF-8. Save the file as UTF-8"),
        (b"a: 1\n\n\x00", ":3: the text holds the control character U+0000. Take it out"),
        (b"a: \x1b[31m", ":1: the text holds the control character U+001B"),
        (b"\xff\xfea", "is not UTF-8"),
        (b"", "the file is empty"),
        (b"# nothing\n", "the file is empty"),
    ],
)
def test_what_is_no_text_is_refused(tmp_path: Path, raw: bytes, message: str) -> None:
    """The message names the line where there is one."""
    path = tmp_path / "a.yaml"
    path.write_bytes(raw)
    with pytest.raises(BadInput) as caught:
        read_yaml(path)
    assert message in str(caught.value)


def test_missing_files_and_folders_are_refused(tmp_path: Path) -> None:
    """Both are told apart."""
    with pytest.raises(BadInput, match=r"there is no such file. Check the spelling"):
        read_yaml(tmp_path / "no.yaml")
    with pytest.raises(BadInput, match=r"this is a folder. Give the path of a file"):
        read_yaml(tmp_path)


@pytest.mark.parametrize(
    ("num_bytes", "is_read"),
    [(MAX_BYTES - 1, True), (MAX_BYTES, True), (MAX_BYTES + 1, False)],
    ids=["below", "at", "above"],
)
def test_the_size_limit_is_inclusive(tmp_path: Path, num_bytes: int, is_read: bool) -> None:
    """Larger files are refused before anything is parsed."""
    path = tmp_path / "a.yaml"
    path.write_bytes(b"a" * num_bytes)
    if is_read:
        assert len(read_text(path)) == num_bytes
    else:
        with pytest.raises(BadInput, match=r"larger than 2 MB. Split it"):
            read_text(path)


def test_written_text_replaces_the_file_as_a_whole(tmp_path: Path) -> None:
    """A failed write leaves the old text and no scratch file."""
    path = tmp_path / "a.txt"
    write_text(path, "one\n")
    write_text(path, "two\n")
    assert path.read_text(encoding="utf-8") == "two\n"
    with pytest.raises(UnicodeEncodeError):
        write_text(path, "\ud800")
    assert [one.name for one in tmp_path.iterdir()] == ["a.txt"]
    assert path.read_text(encoding="utf-8") == "two\n"
    with pytest.raises(SettingError, match="cannot be written"):
        write_text(tmp_path / "no" / "a.txt", "x")


@pytest.mark.skipif(os.name != "posix", reason="permissions of POSIX")
def test_written_text_stays_as_private_as_it_was(tmp_path: Path) -> None:
    """Whoever could not read the file before cannot read what replaces it."""
    path = tmp_path / "a.txt"
    path.write_text("one\n", encoding="utf-8")
    path.chmod(0o600)
    write_text(path, "two\n")
    assert path.stat().st_mode & 0o777 == 0o600
    assert path.read_text(encoding="utf-8") == "two\n"


def test_a_read_only_file_is_not_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Replacing would not ask for its permission, only for that of its folder."""
    path = tmp_path / "a.txt"
    path.write_text("one\n", encoding="utf-8")
    monkeypatch.setattr(os, "access", lambda *_: False)  # the superuser may always
    with pytest.raises(SettingError, match=r"cannot be written \(it is read-only\)"):
        write_text(path, "two\n")
    assert [one.name for one in tmp_path.iterdir()] == ["a.txt"]
    assert path.read_text(encoding="utf-8") == "one\n"


@pytest.mark.parametrize("number", [250, 300], ids=["for-its-scratch-file", "for-itself"])
def test_a_name_that_is_too_long_is_told(tmp_path: Path, number: int) -> None:
    """In a line."""
    with pytest.raises(SettingError, match="cannot be written"):
        write_text(tmp_path / ("n" * number), "x")
    with pytest.raises(SettingError, match=r"cannot be made|cannot be written"):
        write_text(writable(tmp_path / ("n" * 300), "--out") / "a", "x")
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_is_told_as_such(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The old text stays, nothing lies beside it."""

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    path = tmp_path / "a.txt"
    path.write_text("one\n", encoding="utf-8")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(SettingError, match="Free some space and try again"):
        write_text(path, "two\n")
    assert [one.name for one in tmp_path.iterdir()] == ["a.txt"]
    assert path.read_text(encoding="utf-8") == "one\n"


# -- YAML ---------------------------------------------------------------------------------------


def test_dates_are_dates_and_times_are_text() -> None:
    """14:30 must not become 870 minutes, nor `no` false."""
    data = parse_yaml("a: 2026-05-31\nb: 14:30\nc: no\nd: 1,5\ne: 1.5\nf:\n", "f").data
    assert data == {
        "a": date(2026, 5, 31),
        "b": "14:30",
        "c": "no",
        "d": "1,5",
        "e": 1.5,
        "f": None,
    }


def test_lines_are_those_of_keys_and_entries_or_their_parents() -> None:
    """A place that does not exist has the line of what it would be in."""
    document = parse_yaml("a:\n  b: 1\n\n  c:\n  - x: 1\n    y: 2\n  - z\n", "f")
    lines = [document.line_of(place) for place in [("a",), ("a", "b"), ("a", "c", 0, "y")]]
    assert lines == [1, 2, 6]
    assert document.line_of(("a", "c", 1)) == 7
    assert document.line_of(("a", "c", 0, "missing", 3)) == 5


def test_aliases_are_written_out() -> None:
    """Each use is data of its own."""
    data = parse_yaml("a: &x [1]\nb: *x\n", "f").data
    assert data == {"a": [1], "b": [1]}
    assert data["a"] is not data["b"]


BOMB = "x: &a [1,1,1,1,1,1,1,1,1,1]\n" + "".join(
    f"x{n}: &a{n} [{','.join(['*a' + (str(n - 1) if n else '')] * 10)}]\n" for n in range(9)
)
CHAIN = "x0: &a0 {k: 1}\n" + "".join(f"x{n}: &a{n} {{k: *a{n - 1}}}\n" for n in range(1, 80))


@pytest.mark.parametrize(
    ("text", "line", "wrong"),
    [
        ("a: 1\nb: [1\n", 3, "not plain YAML"),
        ("a: 'x\n", 2, "not plain YAML"),
        ("a:\n\tb: 1\n", 2, "not plain YAML"),
        ("a: *b\n", 1, "undefined alias"),
        ("a: 1\nb: 2\na: 3\n", 3, "the key 'a' stands here and on line 1"),
        ("a: &x\n- *x\n", 1, "contains itself"),
        (BOMB, 1, "more than 200000 values"),
        (CHAIN, 1, "nest deeper than 60 levels"),
        ("[" * 5000, 1, "deeper than 60"),
        ("- " * 100 + "a", 1, "deeper than 60"),
        ("a: 1\n---\nb: 1\n", 2, "another document"),
        ("%YAML 1.1\n---\na: 14:30\n", 2, "only YAML 1.2"),
        ("a: !python/object x\n", 1, "tag"),
        ("a: !!binary aGk=\n", 1, "tag"),
        ("a: 1\n2: b\n", 2, "the key 2 is a number"),
        ("a: {h: 1,5}\n", 1, "the key 5 is a number"),
        ("? [a]\n: 1\n", 1, "a key is not text"),
        ("<<: {a: 1}\n", 1, "merge key"),
        ('a: "\\0"\n', 1, "control character U+0000"),
        ('a: "\\ud800"\n', 1, "U+D800"),
        ("a: 2026-13-01\n", 1, "'2026-13-01' is not a date"),
        ("a: " + "9" * 6000, 1, "is not a number"),
    ],
)
def test_what_is_no_plain_yaml_is_refused(text: str, line: int, wrong: str) -> None:
    """Each fault is told with its line, none as a traceback."""
    with pytest.raises(BadInput) as caught:
        parse_yaml(text, "f")
    first = caught.value.problems[0]
    assert wrong in first.wrong
    assert first.right
    if text not in (BOMB, CHAIN):
        assert first.line == line


@given(text=st.text(st.sampled_from("ab:-[]{}&*!|>'\"%#? ,\n\t1.0"), max_size=60))
@settings(max_examples=300, deadline=None)
def test_random_signs_raise_only_bad_input(text: str) -> None:
    """Whatever YAML's own signs are strung together, the answer is data or a list of problems."""
    assert complaint(lambda: build(Rack, parse_yaml(text, "f"))) != ""


@given(raw=st.binary(max_size=100), cut=st.integers(0, 200))
@any_file
def test_random_bytes_raise_only_bad_input(tmp_path: Path, raw: bytes, cut: int) -> None:
    """Bytes alone, a right file cut off, and one with bytes stuck on."""
    whole = "things:\n- {kind: lamp, id: 'ä', power_w: 650}\nspare: {id: b, power_w: 1}\n".encode()
    path = tmp_path / "a.yaml"
    for content in (raw, whole[:cut], whole[:cut] + raw):
        path.write_bytes(content)
        assert complaint(lambda: build(Rack, read_yaml(path))) != ""


plain_data: st.SearchStrategy[Any] = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text() | st.dates(),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["things", "spare", "id", "kind", "x"]), inner, max_size=3
        )
    ),
    max_leaves=8,
)


@given(data=plain_data)
@settings(max_examples=80, deadline=None)
def test_wrong_types_raise_only_bad_input(data: Any) -> None:
    """Any plain data is a rack or a list of problems without pydantic's words."""
    document = parse_yaml("a: 1", "f")
    told = complaint(lambda: build(Rack, type(document)("f", data, {}, {})))
    assert "pydantic" not in (told or "")
    assert "Input should" not in (told or "")


# -- values typed on the command line -----------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("0123", "0123"),
        ("70-200: zoom # one", "70-200: zoom # one"),
        ("", None),
        ("~", None),
        ("[a, 1, 007]", ["a", "1", "007"]),
        ("{name: hd, crop: 1.5}", {"name": "hd", "crop": "1.5"}),
        ("'[x'", "[x"),
    ],
)
def test_typed_values_stay_words(typed: str, value: object) -> None:
    """The record decides what a word means."""
    assert parse_value(typed, "name") == value


def test_unbalanced_brackets_are_told_with_the_name() -> None:
    """The message names the option."""
    with pytest.raises(BadInput, match="--set modes"):
        parse_value("[a", "modes")


# -- records ------------------------------------------------------------------------------------


def test_a_right_document_becomes_a_record() -> None:
    """Decimal commas, yes and no, numbers as names are all taken as they are meant."""
    rack = build(
        Rack,
        parse_yaml(
            "things:\n- {kind: lamp, id: 007, power_w: '0,5', is_warm: yes}\n"
            "spare:\n  id: 2026-05-31\n  power_w: 12,25\n",
            "f",
        ),
    )
    (lamp,) = rack.things
    assert (lamp.id, lamp.model_dump()["power_w"]) == ("007", 0.5)
    assert rack.spare is not None
    assert (rack.spare.id, rack.spare.power_w) == ("2026-05-31", 12.25)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("things: 5\n", "rack.yaml:1: things is 5. Write a list"),
        ("- a\n", "rack.yaml:1: the file is a list. Write a block with the keys things"),
        ("thing: []\n", ":1: unknown key 'thing'. Did you mean 'things'? Known here: by_name"),
        (
            "things:\n- kind: lmap\n",
            ":2: things 1, kind is 'lmap'. Did you mean 'lamp'? Write one of lamp, stand",
        ),
        ("things:\n- id: a\n", ":2: things 'a', kind is missing. Add kind: one of lamp, stand"),
        ("things:\n- 5\n", ":2: things 1 is 5. Write a block of keys"),
        (
            "things:\n- kind: lamp\n  id: a\n",
            ":2: things 'a', power_w is missing. Add power_w: a number above 0 and at most 2000",
        ),
        (
            "things:\n- kind: lamp\n  id: a\n  powr_w: 1\n  power_w: 1\n",
            ":4: unknown key 'powr_w' in things 'a'. Did you mean 'power_w'? Known here: bought",
        ),
        ("spare:\n  id: a\n  power_w: 0\n", ":3: spare, power_w is 0. Write a number above 0"),
        ("spare: {id: a, power_w: 2001}\n", "power_w is 2001. The limit is 2000"),
        ("spare: {id: a, power_w: 'x'}\n", "power_w is 'x'. Write a number above 0"),
        ("spare: {id: a, power_w: true}\n", "power_w is true. Write a number"),
        ("spare: {id: a, power_w: '1,250'}\n", "1,250, which can mean either of two"),
        ("spare: {id: a, power_w: }\n", "power_w is empty. Write a number"),
        ("spare: {id: a, power_w: 1, channel: 1.5}\n", "channel is 1.5. Write a whole number"),
        ("spare: {id: a, power_w: 1, is_warm: maybe}\n", "'maybe'. Write true or false"),
        ("spare: {id: a, power_w: 1, colour: grin}\n", "Did you mean 'green'? Write one of red"),
        ("spare: {id: a, power_w: 1, bought: soon}\n", "Write a date such as 2026-05-31"),
        ("spare: {id: a, power_w: 1, bought: 86400}\n", "Write a date such as 2026-05-31"),
        ("spare: {id: [a], power_w: 1}\n", "id is a list. Write text"),
        (
            "by_name:\n  x: {id: a, height_m: tall}\n",
            ":2: by_name, x, height_m is 'tall'. Write a number or floor",
        ),
    ],
)
def test_problems_say_where_what_and_what_would_be_right(text: str, message: str) -> None:
    """The words are a producer's, the names those of the file."""
    assert message in refusal(text)


def test_every_problem_is_told_in_the_order_of_lines() -> None:
    """Three faults make three lines."""
    text = "spare: {id: a, power_w: 0}\nthings:\n- {kind: lamp, id: b, power_w: x}\n- {kind: q}\n"
    lines = [line.split(":")[1] for line in refusal(text).splitlines()]
    assert lines == ["1", "3", "4"]


@pytest.mark.parametrize(
    ("word", "near"),
    [
        ("mout", "mount"),
        ("MOUNT", "mount"),
        ("focal", "focal_min_mm"),
        ("mas", "mass_kg"),
        ("xyz", None),
        ("", None),
    ],
)
def test_nearest_is_what_was_meant(word: str, near: str | None) -> None:
    """Misspelt, shortened and capitalised names are found; strangers are not."""
    assert nearest(word, ["mount", "mass_kg", "max_iso", "focal_min_mm"]) == near
