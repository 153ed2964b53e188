"""What the shot sheets come to: who holds each moment, and what the goals are worth."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from kitplan.plan.day.shots import SHOT_GOALS, ShotSheet, ShotSheets, SongShot
from kitplan.plan.framing import Framing
from kitplan.plan.verify.findings import Finding
from kitplan.plan.verify.resolve import Placed
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.sight import View, are_alike, is_as_tight, view_of
from kitplan.shoot.records import Moment, Song

_INSTANT_S = 1e-6
"""No stretch shorter than this is seen."""
Name = tuple[str, str]


@dataclass(frozen=True)
class Post:
    """A placement with its shot sheet."""

    shoot_id: str
    scene: Scene
    one: Placed
    sheet: ShotSheet

    @property
    def name(self) -> Name:
        """Pass and letter."""
        return self.sheet.pass_id, self.sheet.letter

    def is_live(self, song: Song) -> bool:
        """Whether its shots can stand anywhere in the edit of a song."""
        return self.scene.is_on_offer(self.one.setup.each, song)

    def row_of(self, song: Song) -> SongShot | None:
        """What it holds in a song; None where it does not film it."""
        return next((row for row in self.sheet.songs if row.song == song.id), None)

    def view(self, shot: Framing) -> View | None:
        """The view of a shot from there; None where there is none."""
        subject = self.scene.shoot.subjects_by_id.get(shot.subject)
        if subject is None:
            return None
        return view_of(self.scene, self.one.setup.position, subject, shot.size)


def value_findings(
    sheets: ShotSheets, scenes: Mapping[str, Scene], posts: Sequence[Post]
) -> Iterator[Finding]:
    """Yield what is wrong with the table of moments, with the values, and with what is proven."""
    yield from _moment_findings(sheets, scenes, posts)
    where = "shot sheets"
    if not len(sheets.value) == len(sheets.bound) == len(SHOT_GOALS):
        wrong = f"{len(sheets.value)} values and {len(sheets.bound)} bounds are given"
        yield Finding("sheet-value", where, wrong, f"There are {len(SHOT_GOALS)} goals")
        return
    derived = [0] * len(SHOT_GOALS)
    for shoot_id, scene in scenes.items():
        own = [post for post in posts if post.shoot_id == shoot_id]
        counted = _values(scene, own)
        derived = [total + counted[goal] for total, goal in zip(derived, SHOT_GOALS, strict=True)]
    for goal, value, bound, right in zip(
        SHOT_GOALS, sheets.value, sheets.bound, derived, strict=True
    ):
        if value != right:
            wrong = f"{goal} is given as {value:g}"
            yield Finding("sheet-value", where, wrong, f"The sheets come to {right}")
        if not bound >= value:
            wrong = f"the bound {bound:g} of {goal} is below its value {value:g}"
            yield Finding("sheet-bound", where, wrong, "Nothing can be better than its bound")
    if sheets.is_proven != (sheets.value == sheets.bound):
        wrong = f"they are marked {'proven' if sheets.is_proven else 'open'}"
        yield Finding("sheet-proven", where, wrong, "Proven is what meets every bound")


# -- moments ---------------------------------------------------------------------------------------


def _moment_findings(
    sheets: ShotSheets, scenes: Mapping[str, Scene], posts: Sequence[Post]
) -> Iterator[Finding]:
    asked = [
        (shoot_id, song, moment)
        for shoot_id, scene in scenes.items()
        for song in scene.shoot.songs
        for moment in song.moments
    ]
    listed = [(row.shoot, row.song, row.moment) for row in sheets.moments]
    wanted = [(shoot_id, song.id, moment.name) for shoot_id, song, moment in asked]
    if listed != wanted:
        wrong = f"{len(listed)} moments are listed"
        right = f"List the {len(wanted)} of the shoot in their order"
        yield Finding("moment-list", "moments held", wrong, right)
        return
    for row, (shoot_id, song, moment) in zip(sheets.moments, asked, strict=True):
        own = [post for post in posts if post.shoot_id == shoot_id]
        holding = [post.name for post in holders(own, song, moment)]
        named = [name for name in (row.first, row.second) if name is not None]
        where = f"moment '{row.moment}' in {row.song}"
        strangers = [name for name in named if name not in holding]
        if strangers or len(set(named)) < len(named):
            words = " and ".join(" camera ".join(name) for name in named)
            right = f"{len(holding)} cameras hold it throughout"
            yield Finding("moment-held", where, f"{words} are said to hold it", right)
        elif (row.first is None and row.second is not None) or len(named) < min(2, len(holding)):
            wrong = f"{len(named)} are said to hold it"
            yield Finding("moment-held", where, wrong, f"{len(holding)} cameras do")


def holders(posts: Sequence[Post], song: Song, moment: Moment) -> list[Post]:
    """Return the cameras that hold a moment from beginning to end where the edit can use it."""
    found = []
    for post in posts:
        row = post.row_of(song) if post.is_live(song) else None
        recompose_s = post.scene.shoot.rules.recompose_s
        if row is not None and _is_held(row, song, moment, recompose_s):
            found.append(post)
    return found


def _is_held(row: SongShot, song: Song, moment: Moment, recompose_s: float) -> bool:
    """Whether all that is framed between the beginning and the end of a moment holds it."""
    start, end = moment.at_s, min(moment.at_s + moment.length_s, song.length_s)
    if end <= start:
        return False
    edges = {start, end}
    for cue in row.cues:
        cue_end = cue.at_s + cue.length_s
        edges |= {cue.at_s - recompose_s, cue.at_s, cue_end, cue_end + recompose_s}
    inside = sorted(edge for edge in edges if start <= edge <= end)
    pieces = [(a, b) for a, b in pairwise(inside) if b - a > _INSTANT_S]
    framed = [_framed_at(row, (a + b) / 2, recompose_s) for a, b in pieces]
    return all(
        shot is not None and shot.subject == moment.subject and is_as_tight(shot.size, moment.size)
        for shot in framed
    )


def _framed_at(row: SongShot, at_s: float, recompose_s: float) -> Framing | None:
    """What is framed at a second of a song; None on the way to a cue and back."""
    for cue in row.cues:
        if cue.at_s <= at_s <= cue.at_s + cue.length_s:
            return cue.shot
    if any(
        cue.at_s - recompose_s <= at_s <= cue.at_s + cue.length_s + recompose_s for cue in row.cues
    ):
        return None
    return row.shot


# -- values ----------------------------------------------------------------------------------------


def _values(scene: Scene, posts: Sequence[Post]) -> dict[str, int]:
    """What the goals come to, by name."""
    counts = {
        (song.id, number): len(holders(posts, song, moment))
        for song in scene.shoot.songs
        for number, moment in enumerate(song.moments)
    }
    asked = [
        (moment.priority, counts[song.id, number])
        for song in scene.shoot.songs
        for number, moment in enumerate(song.moments)
    ]

    def held(priority: str, cameras: int) -> int:
        return sum(each == priority and count >= cameras for each, count in asked)

    return {
        "musts": held("must", 1),
        "wants": held("want", 1),
        "nices": held("nice", 1),
        "second-musts": held("must", 2),
        "second-wants": held("want", 2),
        "alike": -sum(_alike_in(scene, posts, song) for song in scene.shoot.songs),
        "subjects": len(_subjects(scene, posts)),
        "variety": sum(
            len({(row.shot.subject, row.shot.size) for post in posts if (row := post.row_of(song))})
            for song in scene.shoot.songs
        ),
        "changes": -sum(_changes(post.sheet) for post in posts),
        "main": sum(
            (row.shot.subject, row.shot.size) == (post.one.setup.subject.id, post.one.setup.size)
            for post in posts
            for row in post.sheet.songs
        ),
    }


def _alike_in(scene: Scene, posts: Sequence[Post], song: Song) -> int:
    """Pairs of cameras whose shots of a song are one viewpoint."""
    views = [
        view
        for post in posts
        if post.is_live(song)
        and (row := post.row_of(song)) is not None
        and (view := post.view(row.shot)) is not None
    ]
    return sum(are_alike(scene, one, other) for one, other in combinations(views, 2))


def _subjects(scene: Scene, posts: Sequence[Post]) -> set[str]:
    return {
        shot.subject
        for post in posts
        for song in scene.shoot.songs
        if post.is_live(song) and (row := post.row_of(song)) is not None
        for shot in (row.shot, *(cue.shot for cue in row.cues))
    }


def _changes(sheet: ShotSheet) -> int:
    shots = [(row.shot.subject, row.shot.size) for row in sheet.songs]
    changed = sum(one != other for one, other in pairwise(shots))
    return changed + 2 * sum(len(row.cues) for row in sheet.songs)
