"""Counting against a list: what a scanner sends, and what is amiss."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.gear.counting import CODE, Count, Swap, counted, ids_in

ITEMS = {"a-1": "a", "a-2": "a", "a-3": "a", "b-1": "b", "b-2": "b", "c-1": "c"}


@pytest.mark.parametrize(
    ("text", "ids"),
    [
        ("a-1\nb-1\n", ("a-1", "b-1")),
        ("kitplan:unit/a-1\r\nKITPLAN:UNIT/b-1\r", ("a-1", "b-1")),
        ("http://10.0.0.7:8047/gear/u/a~..~b", ("a/../b",)),
        ("http://10.0.0.7:8047/gear/u/a-1\nHTTPS://KIT.EXAMPLE/GEAR/U/b-1", ("a-1", "b-1")),
        ("a-1, b-1;c-1\ta-2  a-3", ("a-1", "b-1", "c-1", "a-2", "a-3")),
        ("\ufeffa-1\x1d\x02b-1\x03", ("a-1", "b-1")),
        ("# pass one\na-1 # by the door\n\n", ("a-1",)),
        ("lens/70-200+x.1_b", ("lens/70-200+x.1_b",)),
        ("  \n", ()),
    ],
)
def test_ids_are_read_however_they_come(text: str, ids: tuple[str, ...]) -> None:
    """Plain or as codes, with whatever parts them."""
    assert ids_in(text) == ids


@given(st.lists(st.text("aZ09._/+-", max_size=9).map("x{}".format), max_size=5))
def test_codes_say_what_plain_ids_say(ids: list[str]) -> None:
    """Any ids that units can have."""
    assert ids_in("\n".join(ids)) == ids_in("\n".join(f"{CODE}{each}" for each in ids))


def test_a_count_finds_all_that_is_amiss() -> None:
    """Each unit in one place."""
    found = counted(
        ["a-1", "a-2", "b-1", "c-1"], ["a-1", "a-3", "b-2", "b-1", "what", "a-1"], ITEMS
    )
    assert found == Count(
        there=("a-1", "b-1"),
        missing=("c-1",),
        swaps=(Swap("a-2", "a-3"),),
        extra=("b-2",),
        unknown=("what",),
        repeated=("a-1",),
    )
    assert not found.is_right
    assert found.here == ("a-1", "b-1", "a-3", "b-2")


def test_all_there_is_right() -> None:
    """In any order, in small or capital letters."""
    found = counted(["a-1", "b-1"], ["B-1", "A-1"], ITEMS)
    assert found.is_right
    assert found.there == ("a-1", "b-1")


def test_letters_count_where_two_ids_differ_in_them_only() -> None:
    """Nothing is guessed between the two."""
    items = {"x": "a", "X": "a"}
    assert counted(["x", "X"], ["X"], items).missing == ("x",)
    assert counted(["x-1"], ["Y"], {"x-1": "a", "y": "b"}).extra == ("y",)


@given(
    listed=st.lists(st.sampled_from([*ITEMS])),
    seen=st.lists(st.sampled_from([*ITEMS, "what"])),
)
def test_every_unit_is_in_one_place(listed: list[str], seen: list[str]) -> None:
    """Nothing is lost and nothing counted twice; swaps are of one item."""
    found = counted(listed, seen, ITEMS)
    on_list = [*found.there, *found.missing, *(swap.listed for swap in found.swaps)]
    came = [*found.there, *found.extra, *found.unknown, *(swap.came for swap in found.swaps)]
    assert sorted(on_list) == sorted(set(listed))
    assert sorted(came) == sorted(set(seen))
    assert all(ITEMS[swap.listed] == ITEMS[swap.came] for swap in found.swaps)
    missing = {ITEMS[unit] for unit in found.missing}
    assert missing & {ITEMS[unit] for unit in found.extra} == set()
