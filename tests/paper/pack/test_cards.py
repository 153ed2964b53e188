"""Every camera of every pass has a card that says all its operator needs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from io import BytesIO
from itertools import pairwise

import pytest
from pypdf import PdfReader

from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import (
    Beside,
    Block,
    Caution,
    Facts,
    Frames,
    Picture,
    Points,
    Sheet,
    Table,
    Words,
)
from kitplan.paper.pack.contents import cards
from kitplan.paper.pack.contents.card_camera import card_passes
from kitplan.paper.pack.contents.card_order import KEYS
from kitplan.paper.pack.out.pdf import pdf_of
from kitplan.paper.pack.setting import PaperSize, Setting
from kitplan.paper.pack.source import Source
from kitplan.paper.power import as_they_go_in
from kitplan.plan.framing import Framing
from kitplan.plan.records import Day, Placement, Plan
from tests.plan.small import changed
from tests.stored import stored_plan

SHOOTS = ("depot-brass", "school-dance", "harbour-festival")
EMPTY_SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="16mm" height="9mm"/>'

HOSTILE = '=#[*<b>"&\'\\ "]$x$ `a` 🎺 ' + "long" * 60


def blank(placement: Placement, framing: Framing, width_mm: float) -> Picture:
    """Return an empty picture that says what it would show."""
    words = f"{placement.letter} {framing.subject} {framing.size}"
    return Picture(EMPTY_SVG, width_mm, width_mm, words)


def made_of(plan: Plan, setting: Setting | None = None) -> tuple[Sheet, ...]:
    """Return the cards of a plan, without drawing."""
    return tuple(cards.cards(Source(plan, setting or Setting()), blank))


@cache
def made(name: str) -> tuple[Sheet, ...]:
    """Return the cards of a stored plan, without drawing."""
    return made_of(stored_plan(name))


def sides(plan: Plan, sheets: tuple[Sheet, ...]) -> Iterator[tuple[Placement, Sheet, Sheet]]:
    """Yield each placement with both sides of its card."""
    placements = [p for pass_id in plan.pass_ids() for p in plan.placements_in(pass_id)]
    assert len(sheets) == 2 * len(placements)
    for number, placement in enumerate(placements):
        yield placement, sheets[2 * number], sheets[2 * number + 1]


def flat(blocks: tuple[Block, ...]) -> Iterator[Block]:
    """Yield blocks, those in columns by themselves."""
    for block in blocks:
        if isinstance(block, Beside):
            yield from flat((*block.left, *block.right))
        else:
            yield block


def texts(sheet: Sheet) -> Iterator[str]:
    """Yield all text of a sheet."""
    yield from (sheet.title, *sheet.lines)
    for block in flat(sheet.blocks):
        match block:
            case Words():
                yield block.text
            case Points() | Caution():
                yield from block.lines
            case Facts():
                yield from (words for row in block.rows for words in row)
            case Table():
                yield from (words for row in block.rows for words in row)
            case Frames():
                yield from (words for c in block.cells for words in (c.title, *c.lines))
            case _:
                pass


def table_of(sheet: Sheet) -> Table:
    """Return the only table of a sheet."""
    (table,) = [block for block in sheet.blocks if isinstance(block, Table)]
    return table


def songs_of(plan: Plan, placement: Placement) -> list[str]:
    """Return the songs of a pass with their numbers."""
    shoot, run = plan.pass_of(placement.pass_id)
    run_songs = shoot.run_songs(run)
    return [f"{n} {s.label}" for n, s in enumerate(shoot.songs, 1) if s in run_songs]


@pytest.mark.parametrize("name", SHOOTS)
def test_every_operator_has_each_song_on_the_card_in_order(name: str) -> None:
    """Filmed, or 'on stage'; the number of the set list before each."""
    plan = stored_plan(name)
    for placement, _, shooting in sides(plan, made(name)):
        if placement.operator is None:
            continue
        rows = table_of(shooting).rows
        order = " | ".join(words for key, words in rows if key.split()[0] not in KEYS.values())
        places = [order.find(song) for song in songs_of(plan, placement)]
        assert -1 not in places
        assert all(one < next_ for one, next_ in pairwise(places))
        person = plan.pass_of(placement.pass_id)[0].crew_by_id[placement.operator]
        numbers = dict(enumerate(plan.pass_of(placement.pass_id)[0].songs, 1))
        played = [int(words.split()[0]) for key, words in rows if key == "ON STAGE"]
        assert {numbers[n].id for n in played} <= set(person.performs_in)


@pytest.mark.parametrize("name", SHOOTS)
def test_every_card_names_place_person_rig_and_settings(name: str) -> None:
    """Side one of each, locked off or not; both sides have the letter."""
    plan = stored_plan(name)
    names = Names(plan)
    for placement, building, other in sides(plan, made(name)):
        assert building.letter == other.letter == placement.letter
        assert building.size == other.size == "half"
        assert building.is_operated == (placement.operator is not None)
        assert names.operator(placement) in building.title
        words = " ".join(texts(building))
        for thing in (
            names.place(placement),
            placement.rig.mode,
            f"f/{placement.shot.stop:.2g}",
            *map(names.unit, placement.rig.units),
            *placement.batteries,
            *placement.cards,
        ):
            assert thing in words


@pytest.mark.parametrize("name", SHOOTS)
def test_every_touch_of_a_camera_is_on_its_card(name: str) -> None:
    """With what goes in, in order of time: a row of its own, or on a full card in its song's."""
    plan = stored_plan(name)
    assert plan.day is not None
    assert plan.day.rolls is not None
    for placement, _, other in sides(plan, made(name)):
        place = (placement.pass_id, placement.letter)
        touches = [t for t in plan.day.rolls.touches if (t.pass_id, t.letter) == place]
        touches.sort(key=lambda touch: touch.start_s)
        rows = table_of(other).rows
        if placement.operator is None:
            found = [row[0] for row in rows if row[0].split()[0].strip(",") in KEYS.values()]
        else:
            keys = {KEYS[work] for touch in touches for work in touch.does}
            found = [
                part
                for key, words in rows
                for part in (
                    [words] if key in keys else re.findall(r"at \d+:\d\d [A-Z]{4}[^;]*", words)
                )
            ]
        assert len(found) == len(touches)
        for touch, words in zip(touches, found, strict=True):
            assert (touch.battery or "") in words
            seconds = f"{touch.end_s - touch.start_s:.0f} s"
            assert seconds in words or {"roll", "stop"} & set(touch.does)


@pytest.mark.parametrize("name", SHOOTS)
def test_what_somebody_does_at_other_cameras_is_on_their_card(name: str) -> None:
    """A restart of a locked-off camera stands on the card of whoever does it while operating."""
    plan = stored_plan(name)
    assert plan.day is not None
    assert plan.day.rolls is not None
    for placement, _, other in sides(plan, made(name)):
        if placement.operator is None:
            continue
        elsewhere = sorted(
            f"{KEYS[work]} {t.letter}"
            for t in plan.day.rolls.touches
            if t.pass_id == placement.pass_id
            and t.person == placement.operator
            and t.letter != placement.letter
            for work in t.does
        )
        keys = sorted(key for key, _ in table_of(other).rows if re.search(r" [A-Z]$", key))
        assert keys == elsewhere


@pytest.mark.parametrize("name", SHOOTS)
def test_every_shot_that_a_card_speaks_of_is_drawn_on_it_once(name: str) -> None:
    """HOME and SHOT 2, 3 ... in the order, in cues and as fallbacks."""
    plan = stored_plan(name)
    for placement, _, other in sides(plan, made(name)):
        (frames,) = [block for block in flat(other.blocks) if isinstance(block, Frames)]
        pictures = [cell.picture for cell in frames.cells]
        assert None not in pictures
        assert len({picture.words for picture in pictures if picture}) == len(pictures)
        shot = placement.shot
        assert pictures[0] == blank(placement, shot, pictures[0].width_mm if pictures[0] else 0)
        if placement.operator is not None:
            drawn = {cell.title.partition(":")[0] for cell in frames.cells}
            spoken = set(re.findall(r"HOME|SHOT \d+", " ".join(texts(other))))
            assert spoken <= drawn


@pytest.mark.parametrize("name", SHOOTS)
def test_every_locked_off_camera_has_a_check_round(name: str) -> None:
    """Four boxes at each time, and who looks after it, unless nobody gets to it."""
    plan = stored_plan(name)
    for each in card_passes(Source(plan, Setting())):
        for letter, who in each.minders.items():
            (card,) = [
                other
                for placement, _, other in sides(plan, made(name))
                if (placement.pass_id, placement.letter) == (each.clock.pass_id, letter)
            ]
            table = table_of(card)
            assert [column.is_box for column in table.columns] == [False, True, True, True, True]
            words = " ".join(texts(card))
            expected = "Nobody gets to it" if who is None else each.names.person(who)
            assert expected in words


@pytest.mark.parametrize("name", SHOOTS)
def test_the_battery_that_a_card_puts_in_first_is_that_of_the_rota(name: str) -> None:
    """What the rota leaves spare is only carried along."""
    plan = stored_plan(name)
    assert plan.day is not None
    assert plan.day.power is not None
    for placement, build, _ in sides(plan, made(name)):
        used = [
            use
            for use in plan.day.power.uses
            if (use.pass_id, use.letter) == (placement.pass_id, placement.letter)
        ]
        if used and placement.batteries:
            first = as_they_go_in(Names(plan), used)[0].unit
            assert any(f"{first} in" in text for text in texts(build)), placement


def test_a_card_is_in_the_order_of_the_clock_where_a_song_is_not_run() -> None:
    """The gap before it is that of the song before: what is touched in it comes first."""
    plan = stored_plan("depot-brass")
    (order,) = [
        [key for key, *_ in table_of(shoot).rows]
        for placement, _, shoot in sides(plan, made("depot-brass"))
        if placement.letter == "D" and placement.pass_id == "depot-brass/afternoon"
    ]
    at = order.index("NOT RUN")
    assert order[at - 1 : at + 2] == ["RESTART", "NOT RUN", "HOME"]


def test_a_safety_card_says_never_to_leave_and_a_zone_card_names_the_zone() -> None:
    """What the kinds of shot sheets ask for, in one sentence at the top."""
    words = " ".join(word for sheet in made("depot-brass") for word in texts(sheet))
    assert "You are the safety shot. Hold it throughout, never leave it" in words
    assert "Your zone: Drummer FS" in words


def test_lengths_are_in_feet_where_feet_are_asked_for() -> None:
    """Height and focus."""
    sheets = made_of(stored_plan("school-dance"), Setting(units="ft"))
    words = " ".join(texts(sheets[0]))
    assert re.search(r"lens \d+ ft", words)
    assert not re.search(r"\d m\b(?!ains)", words.replace("10 m mains", ""))


def test_without_a_day_each_card_has_its_main_shot_in_every_song() -> None:
    """No sheets, no restarts: what is left is said, nothing is empty."""
    plan = stored_plan("depot-brass").model_copy(update={"day": Day()})
    for placement, _, other in sides(plan, made_of(plan)):
        rows = table_of(other).rows
        if placement.operator is not None:
            assert {key for key, _ in rows} <= {"HOME", "NOT RUN", "ON STAGE"}
            assert "HOME" in {key for key, _ in rows}
    words = " ".join(word for sheet in made_of(plan) for word in texts(sheet))
    assert "You are the safety shot." in words


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_fullest_card_stands_on_its_two_half_pages(paper: PaperSize) -> None:
    """Ten touches of its own in fourteen songs, and four of two other cameras."""
    source = Source(stored_plan("harbour-festival"), Setting(paper, "ft", "12"))

    def draw(placement: Placement, framing: Framing, width_mm: float) -> Picture:
        return replace(blank(placement, framing, width_mm), height_mm=width_mm * 9 / 16)

    first, *_ = card_passes(source)
    sheets = tuple(cards.cards_of(first.camera("B"), draw))
    assert len(PdfReader(BytesIO(pdf_of(source, sheets, "x"))).pages) == 2
    words = " ".join(texts(sheets[1]))
    assert "10 The Dredger; at 1:00 BATTERY battery-s-1, 60 s" in words
    assert "1 Slackwater; at 0:50 RESTART, 10 s" in words


def test_a_long_set_list_goes_on_line_by_line() -> None:
    """Forty songs of one shot are eight lines, so that no line is longer than a page."""
    plan = stored_plan("depot-brass").model_copy(update={"day": Day()})
    (shoot,) = plan.shoots.values()
    songs = tuple(changed(shoot.songs[0], id=f"s{n}", name=HOSTILE, moments=()) for n in range(40))
    passes = tuple(changed(each, songs={}) for each in shoot.passes)
    long = changed(
        shoot, songs=songs, passes=passes, crew=[changed(p, performs_in=()) for p in shoot.crew]
    )
    sheets = made_of(plan.model_copy(update={"shoots": {"depot-brass": long}}))
    for sheet in sheets:
        if sheet.is_operated and "Side 2" in sheet.lines[0]:
            assert [key for key, _ in table_of(sheet).rows] == ["HOME"] * 8
            assert table_of(sheet).rows[7][1].count("40 ") == 1


def test_a_plan_without_cameras_has_no_cards() -> None:
    """Nobody stands anywhere."""
    plan = stored_plan("depot-brass").model_copy(update={"placements": (), "day": None})
    assert made_of(plan) == ()


def test_hostile_names_stay_text_on_the_cards_of_a_pdf() -> None:
    """Songs and people named in markup come out as they are."""
    plan = stored_plan("depot-brass")
    (shoot,) = plan.shoots.values()
    songs = (changed(shoot.songs[0], name=HOSTILE), *shoot.songs[1:])
    crew = tuple(changed(p, name=f"{p.label} {HOSTILE}"[:300]) for p in shoot.crew)
    shoots = {"depot-brass": changed(shoot, songs=songs, crew=crew)}
    hostile = plan.model_copy(update={"shoots": shoots})
    source = Source(hostile, Setting())
    sheets = [s for s in made_of(hostile) if s.letter == "B" and "Show" in s.title]
    text = "".join(
        page.extract_text() for page in PdfReader(BytesIO(pdf_of(source, sheets, "x"))).pages
    )
    assert '#[*<b>"&' in text
    assert "$x$" in text


def test_the_songs_of_a_card_are_in_the_text_of_its_pages() -> None:
    """Read back from the PDF, card by card; a side that fits stays on one half page."""
    plan = stored_plan("depot-brass")
    sheets = [s for s in made("depot-brass") if "Show" in s.title]
    pages = PdfReader(BytesIO(pdf_of(Source(plan, Setting()), sheets, "cards"))).pages
    assert len(pages) == len(sheets)
    for page, sheet in zip(pages, sheets, strict=True):
        text = " ".join(page.extract_text().split())
        assert sheet.title in text
        assert [round(float(side)) for side in page.mediabox[2:]] == [420, 595]  # A5 in points
        if sheet.is_operated and "Side 2" in sheet.lines[0]:
            placement = next(
                p for p in plan.placements_in("depot-brass/show") if p.letter == sheet.letter
            )
            assert all(song in text for song in songs_of(plan, placement))


def test_the_drawn_frame_of_a_card_is_that_of_its_shot() -> None:
    """A real picture, drawn once for two cards that ask for it twice."""
    sheets = cards.sheets(Source(stored_plan("school-dance"), Setting()))
    next(sheets)
    shooting = next(sheets)
    (frames,) = [block for block in flat(shooting.blocks) if isinstance(block, Frames)]
    picture = frames.cells[0].picture
    assert picture is not None
    assert picture.words == "Camera A: Whole stage WS"
    assert picture.svg.count("<path") > 100
    assert picture.width_mm / picture.height_mm == pytest.approx(16 / 9)
