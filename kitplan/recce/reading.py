"""Understanding short answers: kinds, measures, floors, light, crew.

Every function takes text as somebody types it and returns its meaning, or raises `NotUnderstood`.
"""

from __future__ import annotations

import re
from typing import Literal

from pydantic import TypeAdapter, ValidationError

from kitplan.gear.records import Name
from kitplan.recce.answers import (
    Audience,
    CrewAnswer,
    HallSize,
    LightRange,
    NotUnderstood,
    StageSize,
)
from kitplan.tables import table
from kitplan.wording import hint

M_PER_FOOT, M_PER_INCH = 0.3048, 0.0254
_LENGTH = re.compile(
    r"(?P<feet>\d+(?:[.,]\d+)?)\s*(?:ft|feet|foot|')\s*(?:(?P<inches>\d+(?:[.,]\d+)?)\s*(?:in|\"))?"
    r"|(?P<cm>\d+(?:[.,]\d+)?)\s*cm|(?P<m>\d+(?:[.,]\d+)?)\s*(?:m\b|metres?|meters?)?"
)
ALSO = {"rigger": "rigging", "rigs": "rigging", "gimbal": "stabiliser", "jib-arm": "jib"}
"""Other words for a skill."""
SKILLED = frozenset({"skilled", "experienced", "pro", "good"})
FIRST = frozenset({"first", "first-time", "new", "novice", "beginner"})
MOST_PEOPLE = 100
MOST_LUX = 200_000
"""Full sun is half of it."""
_NAME: TypeAdapter[str] = TypeAdapter(Name)
NOTHING = frozenset({"", "-", "no", "none", "nobody", "nothing"})
FLOORS = {
    "wood": "timber-on-concrete", "wooden": "timber-on-concrete", "timber": "timber-on-concrete",
    "stone": "concrete", "tiles": "concrete", "sprung": "sprung-timber", "deck": "steel-deck",
    "steel": "steel-deck", "risers": "steel-deck", "platform": "steel-deck",
}  # fmt: skip
"""What people call a floor; of two kinds of timber the stiffer one, as the question's default."""
LIGHTS = {"dark": "dim", "low": "dim", "normal": "usual", "medium": "usual", "full": "bright"}


def kind_of(text: str) -> str:
    """Return the id of a kind of performance, by id, number or name."""
    kinds = table("performances")["kinds"]
    word = text.strip().casefold()
    if word.isdecimal() and len(word) <= 2 and 1 <= int(word) <= len(kinds):
        return str([*kinds][int(word) - 1])
    named = {
        name.casefold(): str(kind)
        for kind, row in kinds.items()
        for name in (kind, row["name"], *row.get("also", ()))
    }
    if word in named:
        return named[word]
    within = {kind for name, kind in named.items() if word and word in name}
    said = [name for name in named if re.search(rf"\b{re.escape(name)}\b", word)]
    spoken = {named[one] for one in said if not any(one in each != one for each in said)}
    for found in (within, spoken):  # 'wind', of a longer name; 'a brass band', which holds one
        if len(found) == 1:
            return found.pop()
    raise NotUnderstood(f"there is no kind of performance '{text.strip()}'", hint(word, kinds))


def words_of(text: str) -> str:
    """Return a title or name."""
    words = " ".join(text.split())
    if not words:
        raise NotUnderstood("nothing is written", "Write a few words")
    if len(words) > 300:
        raise NotUnderstood(f"it has {len(words)} letters", "Write at most 300")
    try:
        return _NAME.validate_python(words)
    except ValidationError:
        raise NotUnderstood("it holds an invisible character", "Type it anew") from None


def entries_of(text: str, apart: str, most_letters: int = 200) -> list[str]:
    """Return the parts of a list, each of them short: what is written there was typed by people.

    Args:
        apart: The characters between two parts, beside the ends of lines; those in round brackets
            part nothing, unless a bracket of the line is open for ever.
    """
    found: list[str] = []
    for line in text.split("\n"):
        is_paired, depth, start = line.count("(") == line.count(")"), 0, 0
        for at, sign in enumerate(line):
            depth = max(0, depth + (sign == "(") - (sign == ")")) if is_paired else 0
            if sign in apart and depth == 0:
                found.append(line[start:at])
                start = at + 1
        found.append(line[start:])
    parts = [part.strip() for part in found if part.strip()]
    for part in parts:
        if len(part) > most_letters:
            wrong = f"'{part[:20]}...' has {len(part)} letters"
            raise NotUnderstood(wrong, f"Write at most {most_letters} for each")
    return parts


def lengths_m(text: str, count: int, what: str) -> tuple[float, ...]:
    """Return lengths in metres: '8 x 5 x 0.6', '24 ft x 16 ft x 2 ft', '8,5 x 5'."""
    parts = [part for part in re.split(r"\s*(?:[x×*]|by)\s*", text.strip().casefold()) if part]
    is_feet = bool(re.search(r"ft|feet|foot|'", text))
    found = [_length_m(part, is_feet=is_feet) for part in parts]
    if len(found) != count or None in found:
        raise NotUnderstood(
            f"'{text.strip()}' is not {what}", f"Write {what} such as {_like(count)}"
        )
    return tuple(each for each in found if each is not None)


def _like(count: int) -> str:
    return {1: "3.5", 2: "18 x 12", 3: "8 x 5 x 0.6"}[count]


def _length_m(text: str, *, is_feet: bool) -> float | None:
    match = _LENGTH.fullmatch(text.strip())
    if match is None:
        return None
    value = {
        name: float(part.replace(",", ".")) for name, part in match.groupdict().items() if part
    }
    if "feet" in value:
        return round(value["feet"] * M_PER_FOOT + value.get("inches", 0.0) * M_PER_INCH, 2)
    if "cm" in value:
        return value["cm"] / 100
    return round(value["m"] * M_PER_FOOT, 2) if is_feet else value["m"]


def stage_of(text: str) -> StageSize:
    """Return width, depth and height of a stage."""
    width, depth, height = lengths_m(text, 3, "width x depth x height")
    _within(width, 1, 60, "the stage's width")
    _within(depth, 1, 40, "the stage's depth")
    _within(height, 0, 4, "the stage's height")
    return StageSize(width, depth, height)


def hall_of(text: str) -> HallSize:
    """Return length and width of the house."""
    length, width = lengths_m(text, 2, "length x width")
    _within(length, 2, 150, "the hall's length")
    _within(width, 2, 100, "the hall's width")
    return HallSize(length, width)


def _within(value: float, least: float, most: float, what: str) -> None:
    if not least <= value <= most:
        raise NotUnderstood(f"{what} is {value:g} m", f"Write {least:g} to {most:g} m")


def audience_of(text: str) -> Audience:
    """Return how the audience sits or stands."""
    known: dict[str, Audience] = {
        "seated": "seated", "seats": "seated", "sitting": "seated", "raked": "raked",
        "rake": "raked", "standing": "standing", "stand": "standing", "none": "none", "no": "none",
        "sit": "seated", "stands": "standing", "nobody": "none",
    }  # fmt: skip
    word = text.strip().casefold()
    found = {known[each] for each in re.findall(r"\w+", word) if each in known}
    if len(found) == 1:
        return found.pop()
    ways = dict.fromkeys(known.values())
    raise NotUnderstood(f"'{text.strip()}' is no way to hold an audience", hint(word, ways))


def balcony_of(text: str) -> float | None:
    """Return the height of a balcony's floor; None without one."""
    if text.strip().casefold() in NOTHING:
        return None
    (height,) = lengths_m(text, 1, "the height of the balcony's floor")
    _within(height, 1.5, 30, "the balcony's floor")
    return height


def floor_of(text: str) -> str:
    """Return what a stage is built of, as the table of steadiness calls it."""
    known = [*table("steadiness")["floor_deg"]]
    word = text.strip().casefold().replace(" ", "-")
    if FLOORS.get(word, word) in known:
        return FLOORS.get(word, word)
    raise NotUnderstood(f"there is no floor '{text.strip()}'", hint(word, known))


def mains_of(text: str) -> Literal[50, 60]:
    """Return the mains frequency in hertz."""
    word = text.strip().casefold().removesuffix("hz").strip()
    if word == "50":
        return 50
    if word == "60":
        return 60
    raise NotUnderstood(f"'{text.strip()}' is no mains frequency", "Write 50 or 60")


def light_of(text: str, kind: str) -> LightRange:
    """Return the light on stage: bright, usual, dim, or lux such as '120 to 600'."""
    known = table("performances")["kinds"][kind]["lux"]
    word = text.strip().casefold().removesuffix("lux").strip()
    word = LIGHTS.get(word, word)
    if word in known:
        dim, bright = known[word]
        return LightRange(dim, bright, is_measured=False)
    match = re.fullmatch(r"(\d+(?:[.,]\d+)?)(?:\s*(?:to|-|–)\s*(\d+(?:[.,]\d+)?))?", word)
    if match is None:
        right = "Write bright, usual or dim, or lux such as 120 to 600"
        raise NotUnderstood(f"'{text.strip()}' says nothing of the light", right)
    dim, bright = (float(part.replace(",", ".")) for part in (match[1], match[2] or match[1]))
    if bright > MOST_LUX:
        raise NotUnderstood(f"{bright:g} lux is brighter than the sun", "Measure it at a face")
    if dim > bright or dim <= 0:
        raise NotUnderstood(
            f"{dim:g} to {bright:g} lux is no range", "Write the dimmer state first"
        )
    return LightRange(dim, bright, is_measured=True)


def crew_of(text: str) -> tuple[CrewAnswer, ...]:
    """Return people: 'Ada (skilled, rigging), Ben, Cleo (first time)'."""
    if text.strip().casefold() in NOTHING:
        return ()
    parts = entries_of(text, ",;")
    entries = [one for part in parts for one in re.split(r"\s+(?:and|&)\s+(?![^()]*\))", part)]
    if len(entries) > MOST_PEOPLE:
        raise NotUnderstood(f"{len(entries)} people are named", f"Name at most {MOST_PEOPLE}")
    found = tuple(map(_person, entries))
    names = [person.name.casefold() for person in found]
    for name in names:
        if names.count(name) > 1:
            raise NotUnderstood(f"'{name}' is named twice", "Give each person a name of their own")
    return found


def _person(entry: str) -> CrewAnswer:
    match = re.fullmatch(r"([^()]+?)\s*(?:\(([^()]*)\))?", entry)
    if match is None:
        right = "Write names such as Ada (skilled, rigging), Ben"
        raise NotUnderstood(f"'{entry}' is not a person", right)
    words = [word.strip().casefold() for word in re.split(r"[,;/]", match[2] or "") if word.strip()]
    skills = [w for w in words if w not in SKILLED and w.split()[0] not in FIRST]
    for skill in skills:
        if not re.fullmatch(r"[a-z][a-z-]{0,39}", skill):
            right = "Write one word such as rigging, slider, jib, or skilled, or first time"
            raise NotUnderstood(f"'{skill}' is no skill", right)
    return CrewAnswer(
        words_of(match[1]),
        tuple(dict.fromkeys(ALSO.get(skill, skill) for skill in skills)),
        is_skilled=any(word in SKILLED for word in words),
        is_first_time=any(word.split()[0] in FIRST for word in words),
    )
