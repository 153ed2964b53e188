"""The CP-SAT model of the shot sheets of one shoot: what each camera holds in each song.

Decisions: for each camera and song the shot, and for each moment a cue or none. Rules and goals are
those of docs/model.md, "The day: shot sheets". Cameras of all passes meet in one model, since they
are cut together.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations, pairwise
from typing import Any

from ortools.sat.python import cp_model
from ortools.sat.python.cp_model import IntVar

from kitplan.day.shots.moments import Instant, instants
from kitplan.day.shots.reach import Frame, Pair, Reach
from kitplan.options.views import alike_views
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Song

Row = tuple[int, str]
"""A camera by its place, and a song by id."""
CueKey = tuple[int, str, int]
"""The same with the number of a moment."""


@dataclass
class Sheets:
    """The decisions."""

    brief: Brief
    reaches: tuple[Reach, ...]
    model: cp_model.CpModel = field(default_factory=cp_model.CpModel)
    shots: dict[Row, dict[Pair, IntVar]] = field(default_factory=dict)
    """What a camera holds in a song: one of these; of those that never move there is but one."""
    cues: dict[CueKey, dict[Pair, IntVar]] = field(default_factory=dict)
    """What it goes to for a moment: at most one of these."""
    instants: dict[str, tuple[Instant, ...]] = field(default_factory=dict)
    """Moments by song."""

    @property
    def songs(self) -> tuple[Song, ...]:
        """All songs, in running order."""
        return self.brief.shoot.songs

    def rows_of(self, song: Song, *, on_offer: bool) -> list[int]:
        """Return the cameras that film a song; only those whose shots can stand anywhere in its
        edit, or all that give it anything."""
        return [
            number
            for number, reach in enumerate(self.reaches)
            if (number, song.id) in self.shots
            and (reach.is_on_offer(song) if on_offer else reach.worth[song.id] != "none")
        ]


@dataclass(frozen=True)
class ShotGoal:
    """What is maximised, and the most that it can come to."""

    id: str
    expression: Any
    most: int


def build(brief: Brief, reaches: Sequence[Reach]) -> Sheets:
    """Return the decisions with all rules; goals are asked for one by one."""
    sheets = Sheets(brief, tuple(reaches))
    sheets.instants = {song.id: instants(brief.shoot, song) for song in brief.shoot.songs}
    for number, reach in enumerate(sheets.reaches):
        _add_shots(sheets, number, reach)
        _add_cues(sheets, number, reach)
        _add_habits(sheets, number, reach)
    return sheets


def _add_shots(sheets: Sheets, number: int, reach: Reach) -> None:
    """Each song that a camera films has one shot; in a pass that is over, what was held."""
    model = sheets.model
    for song in reach.songs:
        name = f"{number},{song.id}"
        made = {f.pair: model.new_bool_var(f"shot {f.pair}[{name}]") for f in reach.planned}
        model.add_exactly_one(made.values())
        sheets.shots[number, song.id] = made
        if reach.was_held is not None:
            main = reach.frames[0].pair
            model.add(made.get(reach.was_held.get((song.id, None), main), made[main]) == 1)


def _add_cues(sheets: Sheets, number: int, reach: Reach) -> None:
    """A cue holds its moment, differs from the song's shot, and leaves time between two of them."""
    model = sheets.model
    for song in reach.songs:
        if reach.is_fixed or not reach.is_on_offer(song):
            continue
        found = [each for each in sheets.instants[song.id] if each.is_in_song]
        for each in found:
            holding = [frame.pair for frame in reach.frames if each.is_held_by(frame.pair)]
            name = f"{number},{song.id},{each.number}"
            made = {pair: model.new_bool_var(f"cue {pair}[{name}]") for pair in holding}
            shots = sheets.shots[number, song.id]
            for pair, cue in made.items():
                if pair in shots:
                    model.add_at_most_one(cue, shots[pair])
            model.add_at_most_one(made.values())
            sheets.cues[number, song.id, each.number] = made
            if reach.was_held is not None:
                was = reach.was_held.get((song.id, each.moment.name))
                for pair, cue in made.items():
                    model.add(cue == int(pair == was))
        for one, other in combinations(found, 2):
            if not one.is_clear_of(other):
                both = [sheets.cues[number, song.id, each.number] for each in (one, other)]
                model.add_at_most_one(cue for cues in both for cue in cues.values())


def _add_habits(sheets: Sheets, number: int, reach: Reach) -> None:
    """Who has a role holds its shot in half of the songs at least; a zone has few exceptions."""
    rules, model = sheets.brief.shoot.rules, sheets.model
    rows = [sheets.shots[number, song.id] for song in reach.songs]
    if reach.is_fixed or reach.was_held is not None or not rows:
        return
    main = reach.frames[0].pair
    if reach.placement.roles:
        model.add(2 * sum(row[main] for row in rows) >= len(rows))
    if reach.kind == "zone":
        away = len(rows) - sum(row[main] for row in rows)
        model.add(away + _sum(_cues_of(sheets, number)) <= rules.zone_exceptions)


def _cues_of(sheets: Sheets, number: int) -> Iterator[IntVar]:
    return (cue for key, cues in sheets.cues.items() if key[0] == number for cue in cues.values())


def _sum(terms: Iterable[Any]) -> Any:
    return cp_model.LinearExpr.sum(list(terms))


# -- goals -----------------------------------------------------------------------------------------


def goals_in_order(sheets: Sheets) -> Iterator[ShotGoal]:
    """Yield the goals in order of importance; what one counts with is added when its turn comes."""
    holders = _holders(sheets)
    for priority, name in (("must", "musts"), ("want", "wants"), ("nice", "nices")):
        yield _moments_held(sheets, holders, name, priority, 1)
    for priority, name in (("must", "second-musts"), ("want", "second-wants")):
        yield _moments_held(sheets, holders, name, priority, 2)
    yield _alike(sheets)
    yield _subjects(sheets)
    yield _variety(sheets)
    yield _changes(sheets)
    mains = [row[sheets.reaches[key[0]].frames[0].pair] for key, row in sheets.shots.items()]
    yield ShotGoal("main", _sum(mains), len(mains))


def _holders(sheets: Sheets) -> dict[tuple[str, int], list[IntVar]]:
    """For each moment the decisions that a camera holds it from beginning to end."""
    found: dict[tuple[str, int], list[IntVar]] = {}
    for song in sheets.songs:
        for each in sheets.instants[song.id]:
            found[song.id, each.number] = [
                held
                for number in sheets.rows_of(song, on_offer=True)
                if each.is_in_song and (held := _holds(sheets, number, song, each)) is not None
            ]
    return found


def _holds(sheets: Sheets, number: int, song: Song, each: Instant) -> IntVar | None:
    """By a cue that lasts throughout, or by the song's shot with no cue that disturbs it."""
    model, name = sheets.model, f"{number},{song.id},{each.number}"
    by_cue = [
        cue
        for other in sheets.instants[song.id]
        if each.is_inside(other)
        for pair, cue in sheets.cues.get((number, song.id, other.number), {}).items()
        if each.is_held_by(pair)
    ]
    by_shot = [s for pair, s in sheets.shots[number, song.id].items() if each.is_held_by(pair)]
    if not by_cue and not by_shot:
        return None
    stays = model.new_bool_var(f"stays on it[{name}]")
    model.add(stays <= _sum(by_shot))
    for other in sheets.instants[song.id]:
        if each.is_disturbed_by(other):
            for cue in sheets.cues.get((number, song.id, other.number), {}).values():
                model.add_at_most_one(stays, cue)
    holds = model.new_bool_var(f"holds[{name}]")
    model.add(holds <= _sum([*by_cue, stays]))
    return holds


def _moments_held(
    sheets: Sheets,
    holders: dict[tuple[str, int], list[IntVar]],
    name: str,
    priority: str,
    cameras: int,
) -> ShotGoal:
    """Moments of a priority that at least so many cameras hold."""
    met, most = [], 0
    for song in sheets.songs:
        for each in sheets.instants[song.id]:
            held = holders[song.id, each.number]
            if each.moment.priority == priority and len(held) >= cameras:
                is_met = sheets.model.new_bool_var(f"{name} {song.id},{each.number}")
                sheets.model.add(cameras * is_met <= _sum(held))
                met.append(is_met)
                most += 1
    return ShotGoal(name, _sum(met), most)


def _alike(sheets: Sheets) -> ShotGoal:
    """Minus the pairs of cameras whose shots of a song are one viewpoint."""
    frames: list[Frame] = [frame for reach in sheets.reaches for frame in reach.planned]
    places: dict[tuple[int, Pair], int] = {}
    for number, reach in enumerate(sheets.reaches):
        for frame in reach.planned:
            places[number, frame.pair] = len(places)
    is_alike = alike_views(sheets.brief, tuple(frame.view for frame in frames)) if frames else None
    pairs: list[IntVar] = []
    for song in sheets.songs:
        for one, other in combinations(sheets.rows_of(song, on_offer=True), 2):
            first, second = sheets.shots[one, song.id], sheets.shots[other, song.id]
            are_alike = sheets.model.new_bool_var(f"alike[{one},{other},{song.id}]")
            has_any = False
            for pair, shot in first.items():
                assert is_alike is not None
                row = is_alike[places[one, pair]]
                same = [s for p, s in second.items() if row[places[other, p]]]
                if same:
                    sheets.model.add(are_alike >= shot + _sum(same) - 1)
                    has_any = True
            if has_any:
                pairs.append(are_alike)
    return ShotGoal("alike", -_sum(pairs), 0)


def _subjects(sheets: Sheets) -> ShotGoal:
    """Subjects that some shot or cue shows where the edit can use it anywhere."""
    showing: dict[str, list[IntVar]] = defaultdict(list)
    for (number, song_id), row in sheets.shots.items():
        if sheets.reaches[number].worth[song_id] in ("live", "locks"):
            for (subject, _), shot in row.items():
                showing[subject].append(shot)
    for cues in sheets.cues.values():
        for (subject, _), cue in cues.items():
            showing[subject].append(cue)
    return ShotGoal("subjects", _sum(_any_of(sheets, showing)), len(showing))


def _variety(sheets: Sheets) -> ShotGoal:
    """Different (subject, size) pairs of each song, over all songs."""
    seen: list[IntVar] = []
    most = 0
    for song in sheets.songs:
        showing: dict[str, list[IntVar]] = defaultdict(list)
        cameras = sheets.rows_of(song, on_offer=False)
        for number in cameras:
            for (subject, size), shot in sheets.shots[number, song.id].items():
                showing[f"{subject} {size} {song.id}"].append(shot)
        seen += _any_of(sheets, showing)
        most += min(len(cameras), len(showing))
    return ShotGoal("variety", _sum(seen), most)


def _any_of(sheets: Sheets, showing: dict[str, list[IntVar]]) -> list[IntVar]:
    """For each thing a decision that can only be true where one of its own is."""
    made = []
    for name, shots in showing.items():
        is_shown = sheets.model.new_bool_var(f"shows {name}")
        sheets.model.add_bool_or([*shots, is_shown.negated()])
        made.append(is_shown)
    return made


def _changes(sheets: Sheets) -> ShotGoal:
    """Minus the changes of shot from song to song, and two for each cue: there and back."""
    changes: list[Any] = []
    for number, reach in enumerate(sheets.reaches):
        if reach.is_fixed:
            continue
        for before, after in pairwise(reach.songs):
            first, second = sheets.shots[number, before.id], sheets.shots[number, after.id]
            changed = sheets.model.new_bool_var(f"changes[{number},{after.id}]")
            for pair, shot in first.items():
                sheets.model.add_bool_or([shot.negated(), second[pair], changed])
            changes.append(changed)
        changes += [2 * cue for cue in _cues_of(sheets, number)]
    return ShotGoal("changes", -_sum(changes), 0)
