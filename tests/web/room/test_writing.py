"""Steps change what they are about in the text of a shoot file, and no other byte of it."""

from __future__ import annotations

import pytest

from kitplan.errors import BadInput
from tests.web.room.steps import add, after, change, delete, rename

BLOCK = """\
venue:
  positions:
    # the best one
    - id: back # at the wall
      at_m: [8.0, -3.2] # measured

      has_mains: true # by the door
    # between
    - {id: side, at_m: [1, 2], lens_height_m: 1.5} # free
subjects: # who
- id: singer
  at_m:
  - 1.0
  - 2 # upstage
# the end
"""


def test_a_number_is_changed_where_it_stands() -> None:
    """The other number, the comment and the blank line stay."""
    text = after(BLOCK, change("positions", "back", at_m=[8, -3.25]))
    assert text == BLOCK.replace("[8.0, -3.2]", "[8.0, -3.25]")


def test_a_list_with_a_line_for_each_number_keeps_its_lines() -> None:
    """Each number is changed on its line, its comment stays."""
    text = after(BLOCK, change("subjects", "singer", at_m=[1, 2.5]))
    assert text == BLOCK.replace("- 2 # upstage", "- 2.5 # upstage")


def test_a_new_fact_of_a_block_row_is_a_line_of_its_own() -> None:
    """It stands after the last one, before the comment between the rows."""
    text = after(BLOCK, change("positions", "back", name="Back: #1"))
    line = "      has_mains: true # by the door\n"
    assert text == BLOCK.replace(line, f"{line}      name: 'Back: #1'\n")


def test_a_new_fact_of_a_row_on_one_line_joins_it() -> None:
    """It stands before the bracket."""
    text = after(BLOCK, change("positions", "side", has_mains=True))
    assert text == BLOCK.replace("1.5} # free", "1.5, has_mains: true} # free")


def test_a_row_that_gets_too_wide_goes_on_below() -> None:
    """Under the first fact, as the files are written by hand."""
    text = after(BLOCK, change("positions", "side", name="x" * 60))
    assert text == BLOCK.replace("1.5} # free", f"1.5,\n       name: {'x' * 60}}} # free")


@pytest.mark.parametrize(
    ("thing", "fact", "old", "new"),
    [
        ("side", "lens_height_m", ", lens_height_m: 1.5}", "}"),
        ("back", "has_mains", "\n      has_mains: true # by the door", ""),
        ("side", "id", "{id: side, at_m", "{at_m"),
    ],
    ids=["last-on-a-line", "a-line-of-its-own", "first-on-a-line"],
)
def test_a_fact_that_is_taken_out_leaves_no_trace(
    thing: str, fact: str, old: str, new: str
) -> None:
    """With its comma, or its line."""
    if fact == "id":
        with pytest.raises(BadInput, match="an id is no fact to be set"):
            after(BLOCK, change("positions", thing, id=None))
        return
    assert after(BLOCK, change("positions", thing, **{fact: None})) == BLOCK.replace(old, new)


def test_taking_a_fact_out_keeps_the_comment_of_another() -> None:
    """The comment belongs to the fact before it."""
    text = "venue:\n  zones:\n  - {id: a, height_m: 1, # why\n     floor: concrete}\n"
    expected = "venue:\n  zones:\n  - {id: a, height_m: 1, # why\n     }\n"
    assert after(text, change("zones", "a", floor=None)) == expected


def test_new_rows_take_the_form_of_the_last_one() -> None:
    """On one line after a row on one line, with a line for each fact after a block."""
    row = {"id": "new", "at_m": [0.5, -2], "lens_height_m": 2}
    flow = "    - {id: new, at_m: [0.5, -2], lens_height_m: 2}\n"
    assert after(BLOCK, add("positions", **row)) == BLOCK.replace("# free\n", f"# free\n{flow}")
    block = "- id: new\n  at_m: [0.5, -2]\n  lens_height_m: 2\n"
    expected = BLOCK.replace("# upstage\n", f"# upstage\n{block}")
    assert after(BLOCK, add("subjects", **row)) == expected


def test_a_list_that_is_not_there_begins_where_its_part_ends() -> None:
    """In the venue, and at the end of the file for locks."""
    lamp = "  lamps:\n    - {id: l, at_m: [0, 1], height_m: 4}\n"
    text = after(BLOCK, add("lamps", id="l", at_m=[0, 1], height_m=4))
    assert text == BLOCK.replace("# free\n", f"# free\n{lamp}")
    lock = "locks:\n  keep:\n    - {position: side, pass: show}\n"
    text = after(BLOCK, add("keep", position="side", **{"pass": "show"}))
    assert text == BLOCK.replace("# upstage\n", f"# upstage\n{lock}")


@pytest.mark.parametrize(
    "begun",
    ["locks: {} # none\n", "locks: # none\n", "locks:\n  keep: [] # none\n", "locks:\n  keep:\n"],
)
def test_a_list_that_is_empty_is_begun(begun: str) -> None:
    """Whichever way nothing is written; the comment stays."""
    text = after(BLOCK + begun, add("keep", position="side"))
    assert text.endswith("  keep:\n    - {position: side}\n") or "keep: # none\n    - {" in text
    assert ("# none" in text) == ("# none" in begun)
    assert text.startswith(BLOCK)


def test_rows_all_on_one_line_stay_there() -> None:
    """A file in the form of JSON is changed in that form."""
    text = '{"venue": {"zones": [{"id": "a", "height_m": 1}]}, "locks": {}}'
    text = after(text, add("zones", id="b", height_m=2), add("never", position="p"))
    assert text == (
        '{"venue": {"zones": [{"id": "a", "height_m": 1}, {id: b, height_m: 2}]}, '
        '"locks": {never: [{position: p}]}}'
    )
    text = after(text, delete("zones", "a"), delete("zones", "b"), add("keep", position="q"))
    assert text == (
        '{"venue": {"zones": []}, "locks": {never: [{position: p}], keep: [{position: q}]}}'
    )


def test_a_row_goes_with_its_lines_and_no_others() -> None:
    """Comments above and below it stay; the last one of a list leaves it empty."""
    text = (
        "venue:\n  zones: # steps\n    # low\n    - id: a\n      height_m: 1 # gone\n    # high\n"
    )
    assert after(text, delete("zones", "a")) == (
        "venue:\n  zones: [] # steps\n    # low\n    # high\n"
    )


def test_corners_come_and_go_between_the_others() -> None:
    """The form of the list stays, over several lines as well."""
    head = "venue:\n  zones:\n  - id: a\n"
    text = f"{head}    outline_m: [[0, 0], [1.0, 0],\n      [1, 1], [0, 1]] # box\n"
    more = after(text, change("zones", "a", outline_m=[[0, 0], [1, 0], [2, 0.5], [1, 1], [0, 1]]))
    assert more == text.replace("[1.0, 0],", "[1.0, 0], [2, 0.5],")
    less = after(text, change("zones", "a", outline_m=[[0, 0], [1, 0], [0, 1]]))
    assert less == text.replace("[1.0, 0],\n      [1, 1], [0, 1]]", "[1.0, 0], [0, 1]]")


def test_a_fact_without_a_value_gets_one() -> None:
    """After its colon."""
    text = "venue:\n  lamps:\n  - id: a\n    faces_deg: # around\n    height_m: 3\n"
    expected = text.replace("faces_deg:", "faces_deg: 90")
    assert after(text, change("lamps", "a", faces_deg=90)) == expected


def test_a_place_that_is_written_for_others_too_is_left_alone() -> None:
    """An anchor that is used twice would change both."""
    text = "venue:\n  zones:\n  - {id: a, height_m: &h 1}\n  - {id: b, height_m: *h}\n"
    with pytest.raises(BadInput, match=r"shoot\.yaml:3: .* anchor .* by hand"):
        after(text, change("zones", "b", height_m=2))
    text = text.replace("*h}", "*h, base_m: 0}")
    expected = text.replace("base_m: 0}", "base_m: 0, floor: concrete}")
    assert after(text, change("zones", "b", floor="concrete")) == expected


@pytest.mark.parametrize(
    "name", ["a: b", "# x", "'", '"', "=1+1", "{x", "- y", "007", "~", "<b>é🎥"]
)
def test_names_that_look_like_something_else_stay_names(name: str) -> None:
    """They are quoted where they have to be."""
    from kitplan.sources import parse_yaml

    text = after(
        BLOCK, change("positions", "side", name=name), change("positions", "back", name=name)
    )
    rows = parse_yaml(text, "").data["venue"]["positions"]
    assert [row["name"] for row in rows] == [name, name]


def test_an_id_that_looks_like_a_number_is_found_and_followed() -> None:
    """Ids are text, whatever they look like; rows that move keep theirs."""
    text = "venue:\n  zones:\n  - {id: 1, height_m: 1}\n  - {id: 2, height_m: 2}\n"
    text = after(
        text, delete("zones", "1"), change("zones", "2", height_m=3), rename("zones", "2", "3")
    )
    assert text == "venue:\n  zones:\n  - {id: '3', height_m: 3}\n"
