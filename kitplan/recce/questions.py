"""The questions, in the order in which one knows the answers; each with a sensible default.

Their words stand in the table `recce` of shared/.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from kitplan.recce import reading, running
from kitplan.recce.answers import Answers, NotUnderstood
from kitplan.recce.plot import plot_of
from kitplan.tables import table

Known = dict[str, Any]
"""What has been understood so far, by question."""


@dataclass(frozen=True)
class Setting:
    """What is known before anybody answers."""

    today: date
    mains_hz: int = 50
    has_inventory: bool = False


MOST_OF_ONE, MOST_OF_LIST = 400, 60_000
"""Letters of an answer: nobody types more, and what goes on and on was never an answer."""
LISTS = frozenset({"passes", "crew", "songs", "plot"})
"""Questions that many things are answered to."""
Default = Callable[[Known, Setting], str]
Read = Callable[[str, Known, Setting], Any]


@dataclass(frozen=True)
class Question:
    """One question: how it is asked, what an answer looks like, what stands without one."""

    id: str
    ask: str
    example: str
    on_site: str
    """What to do for it on the recce; empty where it is answered at the desk."""
    default: Default
    read: Read


def _kinds() -> dict[str, Any]:
    kinds: dict[str, Any] = table("performances")["kinds"]
    return kinds


def _fixed(text: str) -> Default:
    return lambda _known, _setting: text


def _alone(read: Callable[[str], Any]) -> Read:
    """Return the reader of an answer that needs no other."""
    return lambda text, _known, _setting: read(text)


def _bounded(read: Read, most_letters: int) -> Read:
    """Return a reader that looks at nothing too long."""

    def bounded(text: str, known: Known, setting: Setting) -> Any:
        if len(text) > most_letters:
            raise NotUnderstood(f"it has {len(text)} letters", f"Write at most {most_letters}")
        return read(text, known, setting)

    return bounded


def _title(known: Known, setting: Setting) -> str:
    return f"{_kinds()[known['kind']]['name']} {setting.today.year}"


def _runs(_known: Known, setting: Setting) -> str:
    return f"{setting.today} rehearsal 15:00, doors 19:00, show 19:30"


def _eight(known: Known, _setting: Setting) -> str:
    word = str(_kinds()[known["kind"]]["song_word"]).capitalize()
    return "; ".join(f"{word} {number}" for number in range(1, 9))


def _kit(text: str) -> str | None:
    return None if text.strip().casefold() == "inventory" else reading.words_of(text)


ANSWERED: Mapping[str, tuple[Default, Read]] = {
    "kind": (_fixed("band"), _alone(reading.kind_of)),
    "title": (_title, _alone(reading.words_of)),
    "venue": (_fixed("The hall"), _alone(reading.words_of)),
    "stage": (_fixed("8 x 5 x 0.6"), _alone(reading.stage_of)),
    "hall": (lambda known, _: f"16 x {known['stage'].width_m + 3:g}", _alone(reading.hall_of)),
    "audience": (_fixed("seated"), _alone(reading.audience_of)),
    "balcony": (_fixed("none"), _alone(reading.balcony_of)),
    "floor": (_fixed("timber-on-concrete"), _alone(reading.floor_of)),
    "mains": (lambda _, setting: str(setting.mains_hz), _alone(reading.mains_of)),
    "light": (_fixed("usual"), lambda text, known, _: reading.light_of(text, known["kind"])),
    "passes": (_runs, lambda text, _, setting: running.passes_of(text, setting.today)),
    "crew": (_fixed("me"), _alone(reading.crew_of)),
    "songs": (_eight, _alone(running.songs_of)),
    "plot": (
        lambda known, _: str(_kinds()[known["kind"]]["plot"]),
        lambda text, known, _: plot_of(text, known["stage"]),
    ),
    "kit": (
        lambda _, setting: "inventory" if setting.has_inventory else "example",
        _alone(_kit),
    ),
}
"""What stands without an answer, and how one is understood, by question."""


@cache
def questions() -> tuple[Question, ...]:
    """Return every question in order."""
    words = table("recce")["questions"]
    return tuple(
        Question(
            each,
            row["ask"],
            str(row["example"]),
            row.get("on_site", ""),
            ANSWERED[each][0],
            _bounded(ANSWERED[each][1], MOST_OF_LIST if each in LISTS else MOST_OF_ONE),
        )
        for each, row in words.items()
    )


def understood(
    given: Mapping[str, str], setting: Setting
) -> tuple[Answers, dict[str, NotUnderstood]]:
    """Return all answers, with defaults for what is not given, and what was not understood.

    A default stands in for what was not understood, so that everything is reported at once.
    """
    known: Known = {}
    wrong: dict[str, NotUnderstood] = {}
    for question in questions():
        default = question.default(known, setting)
        try:
            known[question.id] = question.read(given.get(question.id) or default, known, setting)
        except NotUnderstood as error:
            wrong[question.id] = error
            known[question.id] = question.read(default, known, setting)
    return answers_of(known), wrong


def answers_of(known: Known) -> Answers:
    """Return the answers as a record."""
    names = {"balcony": "balcony_m", "mains": "mains_hz"}
    return Answers(**{names.get(name, name): value for name, value in known.items()})
