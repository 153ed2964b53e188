"""Understanding songs and passes: pasted lists, files, and the runs of a day.

Songs come one a line ('3. Harbour Lights 4:10', 'Harbour Lights, 250 s', or a name alone) or as
CSV with the columns title and length. Passes are written as people say them: '2027-05-15 rehearsal
14:30 to 16:00, doors 19:00, show 19:30'.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from io import StringIO
from itertools import pairwise

from kitplan.recce.answers import NotUnderstood, RunAnswer, SongAnswer

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


def songs_of(text: str) -> tuple[SongAnswer, ...]:
    """Return songs in order, from lines or from CSV; `;` also parts them on one line."""
    lines = [line for line in text.replace("\r", "").split("\n") if line.strip()]
    if not lines:
        raise NotUnderstood("there are no songs", "Write one a line, such as Harbour Lights 4:10")
    header = {cell.strip().casefold() for cell in re.split(r"[,;\t]", lines[0])}
    if header & TITLES and header & LENGTHS:
        return tuple(_from_table("\n".join(lines)))
    if len(lines) == 1:
        # A comma may be part of a title: it parts songs only where each of them has a length.
        parts = lines[0].split(";" if ";" in lines[0] else ",")
        is_list = ";" in lines[0] or all(map(_LENGTH.match, parts))
        lines = [part for part in parts if part.strip()] if is_list else lines
    return tuple(map(_song, lines))


def _song(line: str) -> SongAnswer:
    bare = _NUMBERED.sub("", line).strip()
    if match := _LENGTH.match(bare):
        length_s = int(match["min"]) * 60.0 + int(match["sec"])
    elif match := _SECONDS.match(bare):
        length_s = float(match["number"]) * (60 if match["unit"] == "min" else 1)
    else:
        return SongAnswer(_named(bare), None)
    if length_s <= 0:
        raise NotUnderstood(f"'{bare}' has no length", "Write minutes and seconds such as 4:10")
    return SongAnswer(_named(match["name"].rstrip(" ,;(-–")), length_s)


def _named(text: str) -> str:
    name = " ".join(text.split())
    if not name:
        raise NotUnderstood("a song has no name", "Write its name before its length")
    return name[:300]


def _from_table(text: str) -> list[SongAnswer]:
    delimiter = max(",;\t", key=text.split("\n", 1)[0].count)
    rows = list(csv.reader(StringIO(text), delimiter=delimiter))
    header = [cell.strip().casefold() for cell in rows[0]]
    title = next(at for at, cell in enumerate(header) if cell in TITLES)
    length = next(at for at, cell in enumerate(header) if cell in LENGTHS)
    found = []
    for row in rows[1:]:
        cells = [*row, *[""] * len(header)]
        if cells[title].strip():
            found.append(_song(f"{cells[title].strip()} {cells[length].strip()}"))
    return found


# -- passes ----------------------------------------------------------------------------------------


def passes_of(text: str, default_day: date) -> tuple[RunAnswer, ...]:
    """Return the passes in order of time; doors belong to the show that follows them."""
    entries = [entry.strip() for entry in re.split(r"[,;\n]", text) if entry.strip()]
    found: list[RunAnswer] = []
    doors: datetime | None = None
    day = default_day
    for entry in entries:
        if re.fullmatch(_DAY, entry, re.IGNORECASE):
            day = _day(entry, default_day) or day
            continue
        match = _RUN.fullmatch(entry)
        if match is None:
            raise NotUnderstood(
                f"'{entry}' is not a pass",
                "Write them such as 2027-05-15 rehearsal 14:30, doors 19:00, show 19:30",
            )
        day = _day(match["day"] or match["later"], default_day) or day
        name = match["name"].strip(" :.").casefold()
        start = datetime.combine(day, _clock(match["start"]))
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
    return tuple(found)


def _day(text: str | None, today: date) -> date | None:
    if text is None:
        return None
    try:
        if "-" in text:
            return date(*map(int, text.split("-")))
        number, word, *year = re.findall(r"\d+|[a-z]+", _bare_day(text))
        month = MONTHS.index(word[:3]) + 1
        found = date(int(year[0]) if year else today.year, month, int(number))
        return found if year or found >= today else found.replace(year=today.year + 1)
    except ValueError:
        raise NotUnderstood(f"{text} is no day", "Write it such as 2027-05-15") from None


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
        return time(hour, int(minutes or 0))
    except ValueError:
        raise NotUnderstood(f"{text.strip()} is no time of day", "Write it such as 19:30") from None


def _end(start: datetime, text: str | None) -> datetime | None:
    if text is None:
        return None
    end = datetime.combine(start.date(), _clock(text))
    return end if end > start else end + timedelta(days=1)
