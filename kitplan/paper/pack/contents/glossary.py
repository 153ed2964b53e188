"""The glossary: the words that stand on the other papers of this plan, and no others."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from kitplan.paper.drawings.lessons import FRAME_MM, SIDES_MM, shot_size, sides
from kitplan.paper.drawings.svg import Drawing
from kitplan.paper.pack.blocks import Beside, Block, Cell, Column, Frames, Picture, Sheet, Table
from kitplan.paper.pack.source import Source
from kitplan.shoot.sizes import LADDER

SIZES = {
    "ECU": ("extreme close-up", "eyes and mouth, or a hand"),
    "CU": ("close-up", "head and shoulders"),
    "MCU": ("medium close-up", "down to the chest"),
    "MS": ("medium shot", "down to the waist"),
    "MLS": ("medium long shot", "down to the knees"),
    "FS": ("full shot", "head to toe"),
    "WS": ("wide shot", "with room around; all of a group"),
    "EWS": ("extreme wide shot", "small in its surroundings"),
}
DIRECTIONS = r"(house|stage) (left|right)|upstage|downstage"
WORDS = (
    ("angle", "a shot as seen from its subject: from which side, how tight", r"angles?"),
    ("bond", "steel wire that holds a thing if its clamp fails; last off", r"(safety )?bonds?"),
    ("clip", "a stretch of recording without a stop", r"clips?"),
    ("cover", "a usable shot rolls in every second of a song", r"cover(ed|age)?"),
    ("cue", "inside a song: go to another shot, then back", r"cues?"),
    ("doors", "the audience comes in; nothing may stand in its way any more", r"doors"),
    ("downbeat", "first beat of a pass; all its times count from there", r"downbeat"),
    ("drift", "how far two clocks run apart over a pass", r"drift"),
    ("fallback", "what to do if this fails", r"fall(s)? ?back"),
    ("floater", "has hands free: neither operates nor helps at a rig", r"floaters?"),
    ("FOH", "front of house: where the desks for sound and light stand", r"FOH"),
    ("gate", "when all has to be done", r"gates?"),
    ("get-out", "everything out of the venue (also load-out)", r"get-out|load-out"),
    ("home shot", "where an operator returns to", r"home shot"),
    ("insert", "a shot that keeps in step for a few seconds only", r"inserts?"),
    ("line-up", "setting all cameras alike before a pass", r"line-up"),
    ("live", "shot in the pass that the edit follows", r"live"),
    ("load-in", "everything into the venue (also get-in)", r"load-in|get-in"),
    ("locked off", "one fixed frame, nobody behind it", r"locked[ -]off|lock-offs?"),
    ("locks", "keeps in step with the show for a whole song", r"locks? to|locks|songs that lock"),
    ("master", "the recording that the edit of a song is laid on", r"master"),
    ("must, want, nice", "asked for: without fail; if it can be; if it costs nothing",
     r"musts?|wants?|nice"),
    ("ND", "grey filter before the lens, in stops", r"ND"),
    ("pass", "one recorded run: a rehearsal or a show", r"pass(es)?"),
    ("phantom", "power for a microphone from its recorder", r"phantom"),
    ("plate", "screws under a camera and clicks into its head", r"plates?"),
    ("reserve", "what is left of the shortest of clip, battery and card", r"reserves?"),
    ("reset", "the work between two passes", r"resets?"),
    ("rig", "camera and stand with all they need", r"rigs?"),
    ("roll", "to record", r"rolls?|rolling"),
    ("safety shot", "always holds the whole stage; the edit may go to it at any time",
     r"safety (shot|wide)|safety"),
    ("scratch sound", "what a camera records, for keeping in step", r"scratch sound"),
    ("slack", "how much later a job may end", r"slack"),
    ("slash", "a position off the middle axis", r"slash"),
    ("strike", "to take down", r"strikes?|struck"),
    ("upstage reverse", "looks from the far side: left and right change places",
     r"upstage reverse"),
    ("viewpoint", "an angle that no other camera has", r"viewpoints?"),
    ("zone", "what an operator may frame freely", r"zones?"),
)  # fmt: skip
"""Word, meaning, and how it is found."""


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield one page; nothing where no other paper has anything to explain."""
    text = "\n".join(_others(source))
    blocks: tuple[Block, ...] = (*_size_blocks(text), *_word_blocks(text))
    if blocks:
        yield Sheet("glossary", "Words on these papers", blocks)


def _others(source: Source) -> Iterator[str]:
    """Yield every text of the other papers."""
    from kitplan.paper.pack.papers import PAPERS  # which lists this one too

    for paper in PAPERS:
        if paper.id != "glossary":
            for sheet in paper.sheets(source):
                yield from _texts(sheet)


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for each in value:
            yield from _texts(each)
    elif is_dataclass(value):
        for field in fields(value):
            if field.name not in ("svg", "paper"):  # ids of papers are not read by anybody
                yield from _texts(getattr(value, field.name))


def _is_in(pattern: str, text: str, *, is_exact: bool = False) -> bool:
    flags = re.NOFLAG if is_exact else re.IGNORECASE
    return re.search(rf"(?<![\w-])(?:{pattern})(?![\w-])", text, flags) is not None


def _size_blocks(text: str) -> Iterator[Frames]:
    cells = tuple(
        Cell(f"{size}: {SIZES[size][0]}", (SIZES[size][1],), _picture(shot_size(size), FRAME_MM))
        for size in LADDER
        if _is_in(size, text, is_exact=True)
    )
    if cells:
        yield Frames(cells, columns=4)


def _word_blocks(text: str) -> Iterator[Beside]:
    found = [(word, meaning) for word, meaning, pattern in WORDS if _is_in(pattern, text)]
    has_sides = _is_in(DIRECTIONS, text)
    if not found and not has_sides:
        return
    middle = len(found) // 2 + (5 if has_sides else 0)
    right = (_table(found[middle:]),) if found[middle:] else ()
    if has_sides:
        right = (_picture(sides(), SIDES_MM), *right)
    yield Beside((_table(found[:middle]),) if found[:middle] else (), right)


def _table(rows: list[tuple[str, str]]) -> Table:
    return Table((Column("word", 0.0, is_strong=True), Column("meaning", 2.6)), tuple(rows))


def _picture(drawing: Drawing, size_mm: tuple[float, float]) -> Picture:
    return Picture(drawing.svg(), *size_mm, drawing.title)
