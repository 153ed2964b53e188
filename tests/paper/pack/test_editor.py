"""The editor's hand-off holds every song, every angle and every clip of the plan."""

from __future__ import annotations

from functools import cache
from xml.etree import ElementTree as ET

import pytest

from kitplan.paper.clips import ClipRow, clips_of, folder_of
from kitplan.paper.drawings.angle_rose import angle_rose
from kitplan.paper.drawings.svg import NAMESPACE
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import Block, Facts, Picture, Points, Sheet, Table, Words
from kitplan.paper.pack.contents.editor import sheets
from kitplan.paper.pack.contents.editor_angles import CLOSE, JUMP, tags_of
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.plan.records import Day, Plan
from kitplan.whatif.pairs import angles, pairs
from tests.plans import small_plan
from tests.stored import stored_plan

SHOOTS = ("depot-brass", "school-dance", "harbour-festival")


@cache
def made(name: str) -> tuple[Sheet, ...]:
    """Return the hand-off of a stored plan."""
    return tuple(sheets(Source(stored_plan(name), Setting())))


def blocks_of(name: str) -> tuple[Block, ...]:
    """Return all its blocks."""
    return tuple(block for sheet in made(name) for block in sheet.blocks)


def tables_of(name: str, title: str) -> list[Table]:
    """Return its tables with a column of this title."""
    found = [block for block in blocks_of(name) if isinstance(block, Table)]
    return [table for table in found if title in [column.title for column in table.columns]]


@pytest.mark.parametrize("name", SHOOTS)
def test_every_song_says_what_each_pass_is_good_for(name: str) -> None:
    """One row a song, one column a pass."""
    plan = stored_plan(name)
    (shoot,) = plan.shoots.values()
    (table,) = tables_of(name, "length")
    assert [row[1] for row in table.rows] == [song.label for song in shoot.songs]
    for row, song in zip(table.rows, shoot.songs, strict=True):
        worth = [plan.worth[each][song.id].replace("none", "-") for each in plan.pass_ids()]
        assert list(row[3 : 3 + len(worth)]) == worth


@pytest.mark.parametrize("name", SHOOTS)
def test_every_placement_is_on_the_list_of_angles_once(name: str) -> None:
    """By pass and letter, with what it shows and from where."""
    plan = stored_plan(name)
    names = Names(plan)
    rows = [row[:3] for table in tables_of(name, "hears late by") for row in table.rows]
    tags = tags_of(names)
    assert sorted(rows) == sorted(
        (tags[p.pass_id, p.letter], names.framing(p.pass_id, p.shot), names.place(p))
        for p in plan.placements
    )


@pytest.mark.parametrize("name", SHOOTS)
def test_the_clips_are_those_of_the_rolls(name: str) -> None:
    """Every clip once, in its folder, with the times of the camera's clock."""
    plan = stored_plan(name)
    assert plan.day is not None
    assert plan.day.rolls is not None
    rows = [row for table in tables_of(name, "clip") for row in table.rows]
    clips = [(roll, clip) for roll in plan.day.rolls.rolls for clip in roll.clips]
    assert len(rows) == len(clips)
    for roll, clip in clips:
        start = plan.pass_of(roll.pass_id)[1].start
        folder = folder_of(Names(plan), roll.pass_id, roll.letter, clip.card)
        found = [row for row in rows if row[2] == folder]
        at = start.timestamp() + clip.start_s
        assert f"{start.fromtimestamp(at, start.tzinfo):%H:%M:%S}" in [row[3] for row in found]


def test_a_clip_knows_its_songs_and_where_it_breaks() -> None:
    """In the depot every break lies between songs; songs that are not run are on no clip."""
    names = Names(stored_plan("depot-brass"))
    rows = clips_of(names)
    assert all(row.broken is None for row in rows)
    first = [row for row in rows if (row.pass_id, row.letter) == ("depot-brass/afternoon", "A")]
    shoot, each = names.plan.pass_of("depot-brass/afternoon")
    run = [song.id for song in shoot.run_songs(each)]
    assert [song for row in first for song in row.songs] == run


def test_a_clip_that_breaks_within_a_song_says_so() -> None:
    """A card changed in the festival while a song runs; a body that splits its files."""
    names = Names(stored_plan("harbour-festival"))
    rows = clips_of(names)
    broken = [row for row in rows if row.broken is not None]
    assert broken
    assert all(_is_within(names, row) for row in broken)
    assert any(row.files > 1 for row in rows)


def _is_within(names: Names, row: ClipRow) -> bool:
    shoot, _ = names.plan.pass_of(row.pass_id)
    assert row.broken is not None
    return 0 <= row.broken_at_s <= shoot.songs_by_id[row.broken].length_s + 1


@pytest.mark.parametrize("name", SHOOTS[:2])
def test_every_jump_cut_is_named(name: str) -> None:
    """And what only just cuts, with no great change of size; nothing else."""
    plan = stored_plan(name)
    tags = tags_of(Names(plan))
    (shoot_id,) = plan.shoots
    shoot = plan.shoots[shoot_id]
    named = {
        (row[0], pair) for t in tables_of(name, "both show") for row in t.rows
        for pair in row[2].split(", ")
    }  # fmt: skip
    wanted = set()
    for pair in pairs(shoot, angles(plan, shoot_id)):
        keys = [(a.placement.pass_id, a.placement.letter) for a in pair.angles]
        both = "/".join(sorted(tags[key] for key in keys))
        if pair.jumps:
            wanted.add((JUMP, both))
        elif pair.cut and not pair.cut.is_clear and pair.factor < shoot.rules.size_factor:
            wanted.add((CLOSE, both))
    assert named == wanted


def test_an_upstage_reverse_is_named() -> None:
    """The conductor from the front looks from the far side."""
    words = " ".join(b.text for b in blocks_of("depot-brass") if isinstance(b, Words))
    assert "Upstage reverse: A1 and C2." in words


@pytest.mark.parametrize("name", SHOOTS)
def test_the_rose_shows_every_placement(name: str) -> None:
    """Each tag once, on the sheet, and no disc over another."""
    names = Names(stored_plan(name))
    tags = tags_of(names)
    drawing = angle_rose(names, tags, Setting().length)
    root = ET.fromstring(drawing.svg())
    texts = [each.text for each in root.iter(f"{{{NAMESPACE}}}text")]
    for tag in tags.values():
        assert texts.count(tag) == 1
    discs = [
        (float(c.get("cx", 0)), float(c.get("cy", 0)))
        for c in root.iter(f"{{{NAMESPACE}}}circle")
        if c.get("r") == "3.3"
    ]
    assert len(discs) == len(tags)
    assert all(0 <= x <= drawing.width_mm and 0 <= y <= drawing.height_mm for x, y in discs)
    apart = [
        (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 for n, a in enumerate(discs) for b in discs[n + 1 :]
    ]
    assert min(apart) > 6.6**2


def test_rings_are_in_the_chosen_units() -> None:
    """Feet where feet are asked for."""
    names = Names(stored_plan("school-dance"))
    drawing = angle_rose(names, tags_of(names), Setting(units="ft").length)
    root = ET.fromstring(drawing.svg())
    texts = [each.text or "" for each in root.iter(f"{{{NAMESPACE}}}text")]
    assert any("ft" in text for text in texts)


def test_the_master_sound_is_named_also_where_no_recorder_runs() -> None:
    """The depot has a desk mix, the school only its cameras."""
    facts = {
        n: dict(r for b in blocks_of(n) if isinstance(b, Facts) for r in b.rows) for n in SHOOTS
    }
    assert facts["depot-brass"]["Master sound of every song"] == "Show: Desk mix and room"
    assert "only the scratch sound" in facts["school-dance"]["Master sound of every song"]


def test_gaps_in_cover_are_said_either_way() -> None:
    """None in the depot; cameras that stop within songs are listed by number in the festival."""
    said = [line for b in blocks_of("depot-brass") if isinstance(b, Points) for line in b.lines]
    assert "None: a usable shot rolls in every second of every song." in said
    said = [
        line for b in blocks_of("harbour-festival") if isinstance(b, Points) for line in b.lines
    ]
    assert any(line.startswith("Second evening: cameras that stop within songs") for line in said)


def without_day(plan: Plan) -> Plan:
    """Return a plan without its day."""
    return plan.model_copy(update={"day": Day()})


def test_without_a_day_the_angles_are_left() -> None:
    """No empty sheets and no empty tables."""
    found = tuple(sheets(Source(without_day(stored_plan("depot-brass")), Setting())))
    assert [sheet.title for sheet in found] == ["Editor's hand-off", "Editor's hand-off: angles"]
    assert all(b.rows for sheet in found for b in sheet.blocks if isinstance(b, Table))


def test_a_plan_without_cameras_has_no_hand_off() -> None:
    """There is nothing to cut."""
    empty = small_plan().model_copy(update={"placements": ()})
    assert tuple(sheets(Source(empty, Setting()))) == ()


def test_with_one_pass_a_camera_is_called_by_its_letter() -> None:
    """No number of a pass behind it."""
    plan = stored_plan("depot-brass")
    alone = [p for p in plan.placements if p.pass_id == "depot-brass/show"]
    names = Names(plan.model_copy(update={"placements": tuple(alone)}))
    assert sorted(tags_of(names).values()) == ["A", "B", "C", "D", "E"]


def test_pictures_have_words() -> None:
    """For those who cannot see them."""
    (picture,) = (b for b in blocks_of("depot-brass") if isinstance(b, Picture))
    assert "A2 Whole stage WS from Balcony rail centre" in picture.words


def test_every_moment_says_who_has_it() -> None:
    """By camera and pass; nobody where nobody does."""
    (table,) = tables_of("depot-brass", "moment")
    rows = {row[1]: row[4:] for row in table.rows}
    assert rows["Final chord"] == ("A2", "D1")
    assert rows["Last held note"] == ("nobody", "")
    assert len(table.rows) == 11
