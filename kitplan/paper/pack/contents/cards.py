"""Camera cards: for each operator and pass what to build, to hold and to leave alone, on half a
page to tape to the camera; for each locked-off camera its check round.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import ceil

from kitplan.paper.drawings.looks import focal_words
from kitplan.paper.layout import joined
from kitplan.paper.minding import checks_after
from kitplan.paper.pack.blocks import (
    Beside,
    Block,
    Caution,
    Cell,
    Column,
    Frames,
    Heading,
    Points,
    Sheet,
    Table,
    Words,
)
from kitplan.paper.pack.contents.card_camera import HOME, Camera, card_passes
from kitplan.paper.pack.contents.card_order import (
    brief_of,
    fallback_words,
    is_one_fallback,
    lines_of,
    place_of,
    running_order,
)
from kitplan.paper.pack.contents.card_rig import (
    build,
    cares,
    settings,
    where,
)
from kitplan.paper.pack.pictures import Draw, ShotPictures
from kitplan.paper.pack.source import Source
from kitplan.paper.shots import ranges
from kitplan.plan.day.shots import HeldShot

COLUMNS_OF_FRAMES = 3
WIDE_MM, NARROW_MM = 75.0, 60.0
"""As wide as pictures are drawn: one alone, or beside others."""
ALONE_SHARE = 0.6
"""Of the page for the only frame of an operator, beside the words."""
LARGE_ROW_MM, SMALL_ROW_MM, LINE_MM = 50.0, 31.0, 4.4
"""Rows of one or two frames, of three; a line of the running order with its share of rules."""
MOST_MM = 117.0
"""So much of these leaves room on the second side for what helps when it goes wrong."""
FULL_MM = 144.0
"""With more the second side is full."""
SMALL_COLUMNS, SMALL_SHARE, MOST_BESIDE = 4, 0.33, 2
"""Of frames on such a card; of the width for each of the few that stand beside the words."""
MOST_CARES = 2
"""With more lines to take care of, the first side has no room for it."""
MOVES = (
    "Hold 5 to 10 s, one small slow move, hold. Always a usable shot.",
    "Recompose between phrases, one camera at a time: look first.",
)
STILL = ("Hold it still. Correct slowly, and only when the stage asks for it.",)
RULES = (
    "Hand signals, no talking. Black clothes, screen dim, no beeps.",
    "No focus-assist lamp. Aisles, exits and wheelchair places stay free.",
)
"""What holds for everybody who has no headset; before it, how a shot is held. Common practice."""
CHECKS = ("red", "time", "frame", "focus")
"""Red light, time left, frame, focus."""
STOPPED = (
    "It stopped: see that another camera rolls, then record at once, red light, seconds counting, "
    "frame, focus. Write down the time."
)
LOCKED = (
    "Frame it as on side 2. Focus, exposure and balance by hand, then lock all of it: legs, head, "
    "zoom. Nobody moves it again."
)


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield the two sides of the card of each camera of each pass."""
    yield from cards(source, ShotPictures(source.names).of)


def cards(source: Source, draw: Draw) -> Iterator[Sheet]:
    """Yield the same with the drawn frames from elsewhere."""
    for each in card_passes(source):
        for letter in each.clock.placements:
            yield from cards_of(each.camera(letter), draw)


def cards_of(camera: Camera, draw: Draw) -> Iterator[Sheet]:
    """Yield the two sides of one card."""
    if camera.placement.operator is None:
        yield _side(camera, "build", 1, _before(camera))
        yield _side(camera, "check", 2, _round(camera, draw))
    else:
        yield from _operated(camera, draw)


def _side(camera: Camera, what: str, number: int, body: Iterable[Block]) -> Sheet:
    names, pass_id = camera.of.names, camera.of.clock.pass_id
    _, run = camera.of.source.plan.pass_of(pass_id)
    setting = camera.of.setting
    return Sheet(
        "cards",
        f"{names.pass_label(pass_id)}: {names.operator(camera.placement)}, {what}",
        tuple(body),
        lines=(f"Side {number} of 2. {setting.day(run.start)}, {setting.time(run.start)}",),
        letter=camera.letter,
        is_operated=camera.placement.operator is not None,
        size="half",
    )


def _before(camera: Camera, more: tuple[Block, ...] = ()) -> Iterator[Block]:
    """Where it stands, how it is built and set."""
    yield where(camera)
    care = tuple(cares(camera))
    if care:
        yield Caution("Take care", care)
    yield Heading("Build, from the floor up")
    yield build(camera)
    yield Heading("Set")
    yield settings(camera)
    if camera.placement.operator is None:
        yield Words(LOCKED, is_large=True)
        if camera.of.minders[camera.letter] is not None:
            yield Words(STOPPED, is_large=True)
    else:
        hold = STILL if camera.sheet.kind == "safety" else MOVES
        yield Caution("All the time", (*hold, *RULES))
    yield from more


# -- operated --------------------------------------------------------------------------------------


def _operated(camera: Camera, draw: Draw) -> Iterator[Sheet]:
    """Both sides: what helps when it goes wrong stands on the second where there is room."""
    order = running_order(camera)
    duties = tuple(Words(each, is_strong=True) for each in _duties(camera))
    failing = (Heading("If it goes wrong"), Points(tuple(_failing(camera))))
    used_mm = _used_mm(camera, order, len(duties))
    if used_mm > FULL_MM:  # the longest: small frames, fewer lines, all else on the first side
        order = running_order(camera, is_tight=True)
        yield _side(camera, "build", 1, _before(camera, (*duties, *failing)))
        yield _side(camera, "shoot", 2, (*_shots(camera, draw, is_small=True), order))
        return
    during = (*_shots(camera, draw), *duties, order)
    is_tight = len(tuple(cares(camera))) > MOST_CARES
    has_room = is_tight or used_mm <= MOST_MM
    yield _side(camera, "build", 1, _before(camera, () if has_room else failing))
    yield _side(camera, "shoot", 2, (*during, *(failing if has_room else ())))


def _used_mm(camera: Camera, order: Table, num_duties: int) -> float:
    """Return about how much of the second side is taken, its words at the top left out."""
    rows = ceil(len(camera.shots) / COLUMNS_OF_FRAMES)
    frames = SMALL_ROW_MM * rows if len(camera.shots) >= COLUMNS_OF_FRAMES else LARGE_ROW_MM
    return frames + LINE_MM * (lines_of(order) + 2 * num_duties)


def _shots(camera: Camera, draw: Draw, *, is_small: bool = False) -> Iterator[Block]:
    task = Words(_task(camera), is_strong=True, is_large=True)
    frames = _frames(camera, draw, is_small=is_small)
    if len(frames.cells) <= (MOST_BESIDE if is_small else 1):
        share = SMALL_SHARE * len(frames.cells) if is_small else ALONE_SHARE
        yield Beside((frames,), (task,), share)
    else:
        yield task
        yield frames


def _task(camera: Camera) -> str:
    sheet = camera.sheet
    if sheet.kind == "safety":
        return "You are the safety shot. Hold it throughout, never leave it: everybody else may."
    if sheet.kind == "zone":
        zone = [shot for shot in sheet.zone if shot != sheet.home]
        if not zone:
            return "Your zone is the home shot: stay with it, follow gently."
        also = joined([camera.framing(shot) for shot in zone])
        return (
            f"Your zone: {camera.framing(sheet.home)}, {also}. Frame freely inside it, and come "
            f"back to the home shot. Leave it only where this card says so."
        )
    called = {camera.called(row.shot) for row in sheet.songs}
    if len(called) == 1 and any(row.cues for row in sheet.songs):
        return f"{called.pop()} in every song. Leave it only where this card says so."
    if len(called) == 1:
        return "The same shot in every song. Be on it before the first begins."
    return "A shot for every song. Be on it before the song begins."


def _frames(camera: Camera, draw: Draw, *, is_small: bool = False) -> Frames:
    shots = camera.shots.values()
    columns = min(len(shots), COLUMNS_OF_FRAMES)
    if is_small and columns > MOST_BESIDE:
        columns = SMALL_COLUMNS
    width_mm = WIDE_MM if columns == 1 else NARROW_MM
    cells = tuple(_cell(camera, draw, shot, width_mm, is_small=is_small) for shot in shots)
    return Frames(cells, columns, is_large=True)


def _cell(camera: Camera, draw: Draw, shot: HeldShot, width_mm: float, *, is_small: bool) -> Cell:
    title = camera.framing(shot)
    if camera.placement.operator is not None:
        title = f"{camera.called(shot)}: {title}"
    words = focal_words(shot.focal_mm)
    songs = "" if is_small else _songs_of(camera, shot)  # the order below names them
    lines = (f"{words}, {songs}" if songs else words, *_cell_lines(camera, shot))
    return Cell(title, lines, draw(camera.placement, shot, width_mm))


def _songs_of(camera: Camera, shot: HeldShot) -> str:
    """Return the songs that a shot is held in: 'songs 1-8, 10'."""
    called = camera.called(shot)
    rows = [row for row in camera.sheet.songs if camera.called(row.shot) == called]
    if not rows or camera.sheet.kind not in ("zone", "by-song"):
        return ""
    return f"song{'s' * (len(rows) > 1)} {ranges([camera.of.numbers[row.song] for row in rows])}"


def _cell_lines(camera: Camera, shot: HeldShot) -> Iterator[str]:
    called = camera.called(shot)
    rows = [row for row in camera.sheet.songs if camera.called(row.shot) == called]
    fallback = fallback_words(camera, rows[0]) if rows else ""
    if fallback and is_one_fallback(camera):
        yield fallback


def _duties(camera: Camera) -> Iterator[str]:
    """What this operator has to do besides."""
    names = camera.of.names
    for letter in camera.looked_after:
        placement = camera.of.clock.placements[letter]
        is_beside = placement.position == camera.placement.position
        there = "beside you" if is_beside else names.place(placement)
        yield (
            f"Camera {letter} ({there}, locked off) is yours too: look over in every gap, red "
            f"light and frame."
        )


def _failing(camera: Camera) -> Iterator[str]:
    whom = joined(camera.of.floaters) or "the crew lead"
    yield STOPPED
    if camera.sheet.kind == "safety":
        yield "The shot is blocked: stay wide and usable, come back as soon as it is clear."
    elif any(row.fallback for row in camera.sheet.songs):
        yield "The shot fails: go to its fallback, stay on it until the phrase is over."
    else:
        yield f"The shot fails: back to {HOME}, or as wide as the lens goes."
    is_stuck = camera.position.is_shut_in_by_audience and camera.of.clock.each.has_audience
    if is_stuck:
        yield "You cannot get out once the audience is in: drink, toilet and battery before doors."
    else:
        yield f"You must leave: lock off on {HOME}, leave it rolling, tell {whom}."


# -- locked off ------------------------------------------------------------------------------------


def _round(camera: Camera, draw: Draw) -> Iterator[Block]:
    minder = Words(_minder(camera), is_strong=True, is_large=True)
    yield Beside((_frames(camera, draw),), (minder,), left_share=ALONE_SHARE)
    columns = (Column("when", 1.0), *(Column(word, 0.0, is_box=True) for word in CHECKS))
    rows = sorted(_rounds(camera))
    yield Table(columns, tuple((words, "", "", "", "") for _, words in rows), is_large=True)


def _minder(camera: Camera) -> str:
    who = camera.of.minders[camera.letter]
    if who is None:
        return "Nobody gets to it while the pass runs. Check all of it before."
    return f"{camera.of.names.person(who)} looks after it: red light, time left, frame, focus."


def _rounds(camera: Camera) -> Iterator[tuple[float, str]]:
    """When somebody is at the camera: its touches, and looks between them."""
    names, minder = camera.of.names, camera.of.minders[camera.letter]
    for touch in camera.touches:
        is_other = touch.person is not None and touch.person != minder
        who = f"; {names.person(touch.person)}" if is_other and touch.person else ""
        yield touch.start_s, f"{brief_of(touch)} {place_of(camera.of, touch)}{who}"
    if minder is not None:
        for row in checks_after(camera.of.clock, camera.touches):
            yield row.end, f"after {camera.of.song(row.song.id)}"
