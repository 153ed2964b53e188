"""The roll chart of a pass: a bar for each camera on the clock of the songs.

Grey rolls, black stands still in a song; a letter in a ring is a hand at the camera, black where it
stands still in a song for that. A triangle shows where a camera stops if nobody touches it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from kitplan.paper.drawings.plan_marks import DISC_MM, camera_disc
from kitplan.paper.drawings.sheet import GREY
from kitplan.paper.drawings.svg import INK, PAPER, Drawing, Pen, Style
from kitplan.paper.drawings.text import shortened, width_mm
from kitplan.paper.drawings.time_axis import CHART_TEXT_MM, Axis

WHO_MM, LEAST_MM = 36.0, 24.0
"""Widths of the columns beside the bars: whose camera, and the least that it has left."""
ROW_MM, BAR_MM, HEAD_MM, FOOT_MM, KEY_MM = 9.6, 4.6, 6.4, 4.6, 6.2
ROLLS = Style(width=0.2, fill="#b4b4b4")
BLIND = Style(width=0.2, fill=INK)
GAP = Style(stroke="none", fill="#e6e6e6")
LEAD_SHARE = 0.03
"""So much of the length of the songs is shown before and after them."""
WORDS = {
    "R": "stop, roll again",
    "B": "new battery",
    "C": "new card",
    "H": "let it cool",
}


@dataclass(frozen=True)
class RollBar:
    """A camera on the chart; times in seconds from the downbeat."""

    letter: str
    is_operated: bool
    who: str
    note: str
    """Under it: 'safety'."""
    clips_s: tuple[tuple[float, float], ...]
    marks: tuple[tuple[float, str], ...]
    """When somebody touches it, and letters of WORDS for what is done."""
    blind_s: tuple[tuple[float, float], ...]
    alone_s: float | None
    """When it stops if nobody touches it; None where it lasts."""
    least: str
    """The least that it has left."""


@dataclass(frozen=True)
class RollChart:
    """A pass: its songs and its cameras."""

    title: str
    downbeat: datetime
    songs_s: tuple[tuple[int, float, float], ...]
    """Number, begin and end of each."""
    bars: tuple[RollBar, ...]

    def drawing(self, wide_mm: float, words: Callable[[datetime], str]) -> Drawing:
        """Return the chart in a width.

        Args:
            words: How a time of day is written.
        """
        entries = list(self._entries())
        rows = _key_rows(entries, wide_mm)
        base = HEAD_MM + ROW_MM * len(self.bars)
        drawing = Drawing(wide_mm, base + FOOT_MM + KEY_MM * len(rows), self.title)
        end = max((end for _, _, end in self.songs_s), default=60.0)
        lead = end * LEAD_SHARE
        axis = Axis(self.downbeat, -lead, end + lead, WHO_MM, wide_mm - LEAST_MM, words)
        self._draw_songs(drawing, axis, base)
        axis.draw(drawing, HEAD_MM, base)
        for number, bar in enumerate(self.bars):
            _draw_bar(drawing, axis, bar, HEAD_MM + ROW_MM * number)
        for number, row in enumerate(rows):
            _draw_key(drawing, row, base + FOOT_MM + KEY_MM * (number + 0.6))
        return drawing

    def _draw_songs(self, pen: Pen, axis: Axis, base: float) -> None:
        """Draw the gaps between songs as bands, and the number of each song over its stretch."""
        for (_, _, over), (_, begin, _) in zip(self.songs_s, self.songs_s[1:], strict=False):
            left, right = axis.place(over), axis.place(begin)
            pen.box(left, HEAD_MM - 1.0, max(right - left, 0.3), base - HEAD_MM + 1.0, GAP)
        last = -1e9
        for number, begin, end in self.songs_s:
            middle = (axis.place(begin) + axis.place(end)) / 2
            half = width_mm(str(number), CHART_TEXT_MM, "bold") / 2
            if middle - half > last + 0.8:
                spot = (middle, HEAD_MM - 2.2)
                pen.text(spot, str(number), CHART_TEXT_MM, "bold", anchor="middle")
                last = middle + half
        if any(bar.least for bar in self.bars):
            spot = (axis.right_mm + 2.0, HEAD_MM - 2.2)
            pen.text(spot, "least left", CHART_TEXT_MM, ink=GREY)

    def _entries(self) -> Iterator[tuple[str, str]]:
        """Yield the marks that stand on the chart, and what they mean."""
        yield "rolls", "rolls"
        if len(self.songs_s) > 1:
            yield "gap", "between songs"
        done = {sign for bar in self.bars for _, signs in bar.marks for sign in signs}
        yield from ((sign, words) for sign, words in WORDS.items() if sign in done)
        if any(bar.blind_s for bar in self.bars):
            yield "blind", "stands still in a song"
        if any(bar.alone_s is not None for bar in self.bars):
            yield "alone", "untouched it stops here"


def _draw_bar(pen: Pen, axis: Axis, bar: RollBar, top: float) -> None:
    middle = top + ROW_MM / 2
    camera_disc(pen, (DISC_MM + 0.4, middle), bar.letter, is_operated=bar.is_operated)
    left = 2 * DISC_MM + 2.0
    who = shortened(bar.who, WHO_MM - left - 1.5, CHART_TEXT_MM)
    pen.text((left, middle - 0.3 if bar.note else middle + 1.0), who, CHART_TEXT_MM)
    note = shortened(bar.note, WHO_MM - left - 1.5, CHART_TEXT_MM, "bold")
    pen.text((left, middle + 3.0), note, CHART_TEXT_MM, "bold")
    for begin, end in bar.clips_s:
        _stretch(pen, axis, (begin, end), middle, ROLLS)
    for begin, end in bar.blind_s:
        _stretch(pen, axis, (begin, end), middle, BLIND)
    for at_s, signs in bar.marks:
        is_blind = any(begin <= at_s < end for begin, end in bar.blind_s)
        _ring(pen, axis.place(at_s), middle, signs, is_blind=is_blind)
    if bar.alone_s is not None and bar.alone_s < axis.last_s:
        _triangle(pen, axis.place(bar.alone_s), middle + BAR_MM / 2 + 0.3)
    least = shortened(bar.least, LEAST_MM - 2.0, CHART_TEXT_MM)
    pen.text((axis.right_mm + 2.0, middle + 1.0), least, CHART_TEXT_MM)


def _stretch(
    pen: Pen, axis: Axis, span_s: tuple[float, float], middle: float, style: Style
) -> None:
    left, right = axis.place(span_s[0]), axis.place(span_s[1])
    if right > left:
        pen.box(left, middle - BAR_MM / 2, max(right - left, 0.6), BAR_MM, style)


def _ring(pen: Pen, x: float, middle: float, signs: str, *, is_blind: bool = False) -> None:
    """Draw letters in a ring; white on black where the camera stands still in a song meanwhile."""
    fill, ink = (INK, PAPER) if is_blind else (PAPER, INK)
    half = max(width_mm(signs, CHART_TEXT_MM, "bold") / 2 + 0.7, 1.9)
    pen.box(x - half, middle - 1.9, 2 * half, 3.8, Style(width=0.35, fill=fill), corner=1.9)
    base = middle + CHART_TEXT_MM * 0.35
    pen.text((x, base), signs, CHART_TEXT_MM, "bold", anchor="middle", ink=ink)


def _triangle(pen: Pen, x: float, top: float) -> None:
    ring = ((x, top), (x - 1.1, top + 1.9), (x + 1.1, top + 1.9))
    pen.ring(ring, Style(stroke="none", fill=INK))


# -- the key ---------------------------------------------------------------------------------------

SAMPLE_MM = 5.0


def _key_rows(entries: Sequence[tuple[str, str]], wide_mm: float) -> list[list[tuple[str, str]]]:
    rows: list[list[tuple[str, str]]] = [[]]
    used = 0.0
    for sign, words in entries:
        wide = _entry_mm(words)
        if rows[-1] and used + wide > wide_mm:
            rows.append([])
            used = 0.0
        rows[-1].append((sign, words))
        used += wide
    return rows


def _entry_mm(words: str) -> float:
    return SAMPLE_MM + 1.0 + width_mm(words, CHART_TEXT_MM) + 4.0


def _draw_key(pen: Pen, row: Sequence[tuple[str, str]], middle: float) -> None:
    x = 0.3
    for sign, words in row:
        if sign in WORDS:
            _ring(pen, x + SAMPLE_MM / 2, middle, sign)
        elif sign == "alone":
            _triangle(pen, x + SAMPLE_MM / 2, middle - 1.0)
        else:
            style = {"rolls": ROLLS, "blind": BLIND, "gap": GAP}[sign]
            pen.box(x, middle - 1.6, SAMPLE_MM, 3.2, style)
        pen.text((x + SAMPLE_MM + 1.0, middle + CHART_TEXT_MM * 0.35), words, CHART_TEXT_MM)
        x += _entry_mm(words)
