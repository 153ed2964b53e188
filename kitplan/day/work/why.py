"""Why the work of a gap does not fit, in plain words with minutes."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from kitplan.day.work.core import Move, moves_of, smallest_core
from kitplan.day.work.engine import Effort
from kitplan.day.work.least import least_s
from kitplan.day.work.task import Gap, Task
from kitplan.gear.records import Head, Support
from kitplan.shoot.brief import Brief
from kitplan.shoot.gaps import Stretch

DOING = {
    "off": "camera off",
    "strike": "strike",
    "away": "carry to the cases",
    "fetch": "fetch from the cases",
    "carry": "carry over",
    "build": "build",
    "frame": "frame",
    "check": "check",
    "stay": "check where it stays",
}
NUMBERS = ("nobody", "one person", "two people", "three people", "four people")


def why_not(brief: Brief, stretch: Stretch, gap: Gap, effort: Effort | None = None) -> str:
    """Return why a gap does not fit: what nobody there can do at all; without any, a smallest set
    of moves, how long they take, and what is there.
    """
    impossible = [m for m in moves_of(gap.tasks) if any(map(_missing, m.tasks))]
    if impossible:
        told = "; ".join(_move_words(brief, move) for move in impossible)
        return f"{_capital(told)}."
    return words_of(brief, stretch, gap, smallest_core(gap, effort))


def words_of(brief: Brief, stretch: Stretch, gap: Gap, core: Sequence[Move]) -> str:
    """Return moves that do not fit together as a sentence."""
    if not core:
        return "Breaks and hours do not fit into it."
    told = "; ".join(_move_words(brief, move) for move in core)
    there = _there_words(stretch, gap)
    if len(core) == 1:
        return f"{_capital(told)}. {there}"
    return f"These do not fit together: {told}. {there}"


def _there_words(stretch: Stretch, gap: Gap) -> str:
    """How much time and how many hands are there."""
    hands = _hands_words(gap)
    if stretch.gate is None:
        return f"No time is enough {hands.partition(' for ')[0]}."
    there = _minutes(gap.gate_s, up=False)
    return f"{there} are there until {_gate_words(stretch)} at {stretch.gate:%H:%M}, {hands}."


def _gate_words(stretch: Stretch) -> str:
    each = stretch.before
    if each is None:
        return "the last of the crew has to go"
    if stretch.gate == each.doors:
        return "the doors open"
    return f"{each.label} starts" if stretch.gate == each.start else "the gap is over"


def _hands_words(gap: Gap) -> str:
    """Who is there and for how many person-minutes, breaks taken off."""
    hours_s = sum(end - begin for hand in gap.hands for begin, end in hand.hours_s)
    rests_s = sum(rest.length_s * len(rest.people) for rest in gap.rests)
    words = f"with {_people(len(gap.hands))} for {(hours_s - rests_s) // 60} person-minutes"
    return f"{words} besides breaks" if rests_s else words


def _move_words(brief: Brief, move: Move) -> str:
    if move.letter is None or move.tasks[0].position is None:
        return _alone_words(brief, move.tasks[0])
    what = {"strike": "striking", "build": "building", "stay": "looking after"}[move.what]
    for task in move.tasks:
        if missing := _missing(task):
            return f"{what} {_name(brief, move)} is not possible ({_doing(task)}: {missing})"
    steps = ", ".join(map(_step_words, move.tasks))
    total = sum(map(least_s, move.tasks))
    takes = f"takes {_minutes(total)} at least"
    return f"{what} {_name(brief, move)} {takes} ({steps})"


def _alone_words(brief: Brief, task: Task) -> str:
    """Return what a task of sound, power or media takes, or why it cannot be done."""
    name = task.id.partition("/")[0]
    things = ", ".join(task.units)
    what = {
        "charge-on": f"charging {things}",
        "charge": f"charging {things}",
        "copy": f"copying {things}",
        "format": f"formatting {things}",
        "sound-up": "setting up sound",
        "level": "setting levels",
        "sound-down": "striking sound",
    }[name]
    if task.kind == "sound":
        what += f" of {next(s.label for s in brief.shoot.sound if s.id == task.letter)}"
    if missing := _missing(task):
        return f"{what} is not possible ({missing})"
    return f"{what} takes {_minutes(least_s(task))}"


def _name(brief: Brief, move: Move) -> str:
    position_id = move.tasks[0].position
    place = next(p.label for p in brief.shoot.venue.positions if p.id == position_id)
    item_of = {unit.id: brief.kit.items_by_id[unit.item] for unit in brief.kit.units}
    units = dict.fromkeys(unit for task in move.tasks for unit in task.units)
    items = [item_of[unit] for unit in units]
    stand = [item.name for item in items if isinstance(item, Support | Head)]
    return f"camera {move.letter} at {place}" + (f" ({' with '.join(stand)})" if stand else "")


def _doing(task: Task) -> str:
    return DOING[task.id.partition("/")[0]]


def _step_words(task: Task) -> str:
    return f"{_doing(task)} {_minutes(least_s(task))} by {_people(task.people)}"


def _missing(task: Task) -> str:
    """Why nobody can do a task at all; empty where somebody can."""
    able = {person for person, _ in task.able}
    if len(able) < task.people:
        return f"it takes {_people(task.people)}, and {_people(len(able))} on hand may work there"
    if any(not able & set(group) for group in task.led_by):
        return "nobody on hand who may work there has the skill or the right to lead it"
    return ""


def _people(number: int) -> str:
    return NUMBERS[number] if number < len(NUMBERS) else f"{number} people"


def _minutes(seconds: int, *, up: bool = True) -> str:
    return f"{ceil(seconds / 60) if up else seconds // 60} min"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
