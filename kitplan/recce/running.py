"""Understanding songs and passes: pasted lists, files, and the runs of a day.

Songs come one a line ('3. Harbour Lights 4:10', 'Harbour Lights, 250 s', or a name alone) or as
CSV with the columns title and length. Passes are written as people say them: '2027-05-15 rehearsal
14:30 to 16:00, doors 19:00, show 19:30'.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta
from io import StringIO
from itertools import pairwise

from kitplan.recce.answers import NotUnderstood, RunAnswer, SongAnswer
from kitplan.recce.reading import entries_of, words_of

CLOSED = ("rehearsal", "dress rehearsal", "dress run", "dress", "tech", "soundcheck", "closed run",
          "run-through", "run through", "run")  # fmt: skip
SHOWS = ("show", "concert", "performance", "service", "matinee", "evening", "gig", "premiere")
_CLOCK = r"\d{1,2}(?:[:.]\d{2})?\s*(?:am|pm)?"
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH = rf"(?:{'|'.join(MONTHS)})[a-z]*"
_WEEKDAY = r"(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*"
_DAY = (
    r"\d{4}-\d{1,2}-\d{1,2}"
    rf"|(?:{_WEEKDAY}\.?\s+)?\d{{1,2}}(?:st|nd|rd|th)?\s+{_MONTH}(?:\s+\d{{4}})?"
)
"""A day in figures, or in words; without a year the next one."""
_RUN = re.compile(
    rf"(?:(?P<day>{_DAY})\s+)?(?P<name>[^\d]*?)\s*(?P<start>{_CLOCK})"
    rf"(?:\s*(?:-|–|to|until)\s*(?P<end>{_CLOCK}))?(?:\s*(?:on\s+)?(?P<later>{_DAY}))?",
    re.IGNORECASE,
)
_LENGTH = re.compile(r"^(?P<name>.*?)[\s,;\t(–-]*\b(?P<min>\d{1,3}):(?P<sec>[0-5]\d)\)?\s*$")
_SECONDS = re.compile(r"^(?P<name>.*?)[\s,;\t(–-]+(?P<number>\d{1,5})\s*(?P<unit>s|sec|min)\)?\s*$")
_NUMBERED = re.compile(r"^\s*(?:\d{1,3}\s*[.):]|[-*•])\s+")
TITLES = frozenset({"title", "song", "name", "piece", "number", "item"})
LENGTHS = frozenset({"length", "time", "duration", "minutes"})
MOST_SONGS, MOST_LETTERS, MOST_SONG_S = 300, 300, 86_400.0
YEARS = range(2000, 2100)
EVENING_H, MORNING_H = 18, 6
"""A time before six that follows one after six in the evening is after midnight."""


def songs_of(text: str) -> tuple[SongAnswer, ...]:
    """Return songs in order, from lines or from CSV; `;` also parts them on one line."""
    lines = [line for line in text.replace("\r", "\n").split("\n") if line.strip()]
    if lines and (table := _table_in("\n".join(lines))):
        found = [song for number, row in enumerate(table, 2) for song in _of_row(row, number)]
    else:
        found = list(map(_song, _entries(lines)))
    if not found:
        raise NotUnderstood("there are no songs", "Write one a line, such as Harbour Lights 4:10")
    if len(found) > MOST_SONGS:
        raise NotUnderstood(f"there are {len(found)} songs", f"Write at most {MOST_SONGS}")
    return tuple(found)


def _entries(lines: Sequence[str]) -> list[str]:
    """Return one song each. A comma may be part of a title: it parts songs only where each of them
    has a length.
    """
    whole = entries_of("\n".join(lines), ";" if len(lines) == 1 else "", MOST_LETTERS * 10)
    if len(whole) == 1 and ";" not in lines[0]:
        parts = entries_of(whole[0], ",", MOST_LETTERS * 10)
        whole = parts if all(len(p) <= MOST_LETTERS and _LENGTH.match(p) for p in parts) else whole
    return [part for each in whole for part in entries_of(each, "", MOST_LETTERS)]


def _song(line: str) -> SongAnswer:
    bare = _NUMBERED.sub("", line).strip()
    if match := _LENGTH.match(bare):
        length_s = int(match["min"]) * 60.0 + int(match["sec"])
    elif match := _SECONDS.match(bare):
        length_s = float(match["number"]) * (60 if match["unit"] == "min" else 1)
    else:
        return SongAnswer(_named(bare), None)
    return SongAnswer(_named(match["name"].rstrip(" ,;(-–")), _possible_s(length_s, bare))


def _named(text: str) -> str:
    if not text.strip():
        raise NotUnderstood("a song has no name", "Write its name before its length")
    return words_of(text)


def _possible_s(length_s: float, words: str) -> float:
    if length_s <= 0:
        raise NotUnderstood(f"'{words}' has no length", "Write minutes and seconds such as 4:10")
    if length_s > MOST_SONG_S:
        raise NotUnderstood(f"'{words}' lasts longer than a day", "Write it such as 4:10")
    return length_s


# -- tables ----------------------------------------------------------------------------------------

Row = tuple[str, str, str]
"""Title, length, and what the column of lengths is called."""


def _table_in(text: str) -> list[Row]:
    """Return the rows of a text whose first one names columns; none where it is no table."""
    first = text.partition("\n")[0][:MOST_LETTERS]
    delimiter = max(",;\t", key=first.count)
    try:
        rows = list(csv.reader(StringIO(text), delimiter=delimiter, strict=True))
    except csv.Error as error:
        if {cell.strip(' "').casefold() for cell in first.split(delimiter)} & TITLES:
            right = "Close every quote, and keep one song a line"
            raise NotUnderstood(f"the table does not read ({error})", right) from None
        return []
    header = [cell.strip().casefold() for cell in rows[0]]
    title = next((at for at, cell in enumerate(header) if cell in TITLES), None)
    length = next((at for at, cell in enumerate(header) if cell in LENGTHS), None)
    if title is None or length is None:
        cells = {cell.strip(' "').casefold() for cell in re.split(r"[,;\t]", first)}
        if cells & TITLES and cells & LENGTHS:
            raise NotUnderstood("its columns are not parted alike", "Part them all with commas")
        return []
    wide = max(title, length) + 1
    filled = ([*row, *[""] * wide] for row in rows[1:])
    found = [(row[title].strip(), row[length].strip(), header[length]) for row in filled]
    if not found:
        raise NotUnderstood("the table has no songs", "Write a row for each below its first one")
    return found


def _of_row(row: Row, number: int) -> Iterator[SongAnswer]:
    title, length, column = row
    if title:
        yield SongAnswer(_named(title[:MOST_LETTERS]), _length_of(length, column, number))
    elif length:
        raise NotUnderstood(f"row {number} has a length and no title", "Write its title")


def _length_of(text: str, column: str, number: int) -> float | None:
    """Return the seconds of a cell: 4:10, 0:04:10, 250 s, 4 min, or 4.5 in a column of minutes."""
    if not text:
        return None
    bare = text.casefold()
    if match := re.fullmatch(r"(?:(\d{1,2}):)?(\d{1,3}):([0-5]\d)", bare):
        hours, minutes, seconds = (int(part or 0) for part in match.groups())
        return _possible_s(hours * 3600.0 + minutes * 60 + seconds, text)
    unit = r"\s*(s|sec|seconds|m|min|minutes)" + ("?" if column == "minutes" else "")
    if match := re.fullmatch(rf"(\d{{1,5}}(?:[.,]\d{{1,3}})?){unit}", bare):
        per = 1 if (match[2] or "m").startswith("s") else 60
        return _possible_s(float(match[1].replace(",", ".")) * per, text)
    wrong = f"row {number}: '{text[:40]}' is no length"
    raise NotUnderstood(wrong, "Write minutes and seconds such as 4:10, or leave it empty")


# -- passes ----------------------------------------------------------------------------------------


def passes_of(text: str, default_day: date) -> tuple[RunAnswer, ...]:
    """Return the passes in order of time; doors belong to the show that follows them."""
    found: list[RunAnswer] = []
    doors: datetime | None = None
    last: datetime | None = None
    day = default_day
    for entry in entries_of(text, ",;"):
        if re.fullmatch(_DAY, entry, re.IGNORECASE):
            day = _day(entry, default_day) or day
            last = None
            continue
        match = _RUN.fullmatch(entry)
        if match is None:
            raise NotUnderstood(
                f"'{entry}' is not a pass",
                "Write them such as 2027-05-15 rehearsal 14:30, doors 19:00, show 19:30",
            )
        named = _day(match["day"] or match["later"], default_day)
        clock, name = _clock(match["start"]), match["name"].strip(" :.").casefold()
        day = named or _following(day, last, clock)
        last = start = datetime.combine(day, clock)
        if name in ("doors", "doors open", "house opens"):
            doors = start
            continue
        is_show = name in SHOWS or (name not in CLOSED and (doors is not None or not name))
        found.append(
            RunAnswer(
                match["name"].strip(" :.").capitalize() or "Show",
                start,
                _end(start, match["end"]),
                doors if is_show else None,
                is_show,
            )
        )
        doors = None if is_show else doors
    return _in_order(found)


def _following(day: date, last: datetime | None, clock: time) -> date:
    """Return the day of a time for which none is named: the next one after midnight."""
    is_past_midnight = last is not None and last.hour >= EVENING_H and clock.hour < MORNING_H
    return day + timedelta(days=1) if is_past_midnight else day


def _in_order(found: Sequence[RunAnswer]) -> tuple[RunAnswer, ...]:
    if not found:
        raise NotUnderstood("there is no pass", "Write at least a show such as show 19:30")
    if len(found) > 12:
        raise NotUnderstood(f"there are {len(found)} passes", "Write at most 12")
    for one, following in pairwise(found):
        if following.start <= one.start:
            raise NotUnderstood(
                f"{following.name} at {following.start:%H:%M} does not come after {one.name}",
                "Write them in order of time, with their days where there are several",
            )
        if one.end is not None and one.end > following.start:
            raise NotUnderstood(
                f"{following.name} begins at {following.start:%H:%M}, before {one.name} is over",
                f"End {one.name} sooner, or begin {following.name} later",
            )
    return tuple(found)


def _day(text: str | None, today: date) -> date | None:
    if text is None:
        return None
    try:
        day: date | None = _written_day(text, today)
    except ValueError:
        day = None
    if day is None or day.year not in YEARS:
        raise NotUnderstood(f"{text} is no day", "Write it such as 2027-05-15")
    return day


def _written_day(text: str, today: date) -> date:
    if "-" in text:
        return date(*map(int, text.split("-")))
    number, word, *year = re.findall(r"\d+|[a-z]+", _bare_day(text))
    month = MONTHS.index(word[:3]) + 1
    found = date(int(year[0]) if year else today.year, month, int(number))
    return found if year or found >= today else found.replace(year=today.year + 1)


def _bare_day(text: str) -> str:
    """Return a day in words without its weekday and the ending of its number."""
    bare = re.sub(rf"^{_WEEKDAY}\.?\s+", "", text.casefold())
    return re.sub(r"(?<=\d)(?:st|nd|rd|th)\b", "", bare)


def _clock(text: str) -> time:
    word = text.strip().casefold()
    is_pm, is_am = word.endswith("pm"), word.endswith("am")
    hours, _, minutes = (
        word.removesuffix("pm").removesuffix("am").strip().replace(".", ":").partition(":")
    )
    hour = int(hours) % 12 + 12 * is_pm if is_pm or is_am else int(hours)
    try:
        if (is_pm or is_am) and not 1 <= int(hours) <= 12:
            raise ValueError
        return time(hour, int(minutes or 0))
    except ValueError:
        raise NotUnderstood(f"{text.strip()} is no time of day", "Write it such as 19:30") from None


def _end(start: datetime, text: str | None) -> datetime | None:
    if text is None:
        return None
    end = datetime.combine(start.date(), _clock(text))
    return end if end > start else end + timedelta(days=1)
