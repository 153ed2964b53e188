"""Shot sheets (docs/model.md, "The day: shot sheets"): every row possible, every figure right."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import isclose

from kitplan.plan.day.shots import Cue, HeldShot, SheetKind, ShotSheet, SongShot
from kitplan.plan.framing import Framing
from kitplan.plan.records import Plan
from kitplan.plan.verify.crowding import in_the_way_of
from kitplan.plan.verify.day.held import Post, value_findings
from kitplan.plan.verify.figures import RELATIVE
from kitplan.plan.verify.findings import Finding
from kitplan.plan.verify.picture import picture_of
from kitplan.plan.verify.resolve import Placed, resolve
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.setups import Setup
from kitplan.plan.verify.sight import View, are_alike, is_as_tight, sizes_of, view_of
from kitplan.plan.verify.single import can_frame
from kitplan.shoot.records import Moment, Song
from kitplan.shoot.venue import Subject

_SECONDS = 1e-6
"""Times nearer to each other than this are one."""
Pair = tuple[str, str]


def shots_findings(plan: Plan, scenes: Mapping[str, Scene]) -> Iterator[Finding]:
    """Yield what does not hold in the shot sheets of a plan."""
    if plan.day is None or plan.day.shots is None:
        return
    sheets = plan.day.shots
    posts: list[Post] = []
    for shoot_id, scene in scenes.items():
        placed = resolve(plan, shoot_id, scene, [])
        for one in placed:
            own = [s for s in sheets.sheets if _is_of(s, one)]
            if len(own) != 1:
                wrong = f"{len(own)} shot sheets are for it"
                yield Finding("sheet-list", one.where, wrong, "Every camera has one")
            posts += [Post(shoot_id, scene, one, sheet) for sheet in own[:1]]
    known = {(p.pass_id, p.letter) for p in plan.placements}
    for sheet in sheets.sheets:
        if (sheet.pass_id, sheet.letter) not in known:
            where = f"shot sheet of {sheet.pass_id}, camera {sheet.letter}"
            yield Finding("sheet-list", where, "there is no such camera", "Take it out")
    for post in posts:
        yield from _Sheet(post, posts).findings()
    yield from value_findings(sheets, scenes, posts)


def _is_of(sheet: ShotSheet, one: Placed) -> bool:
    placement = one.placement
    return (sheet.pass_id, sheet.letter) == (placement.pass_id, placement.letter)


def _pair(framing: Framing) -> Pair:
    return framing.subject, framing.size


@dataclass(frozen=True)
class _Sheet:
    """The sheet of one camera, and all others."""

    post: Post
    posts: Sequence[Post]

    @property
    def scene(self) -> Scene:
        return self.post.scene

    @property
    def setup(self) -> Setup:
        return self.post.one.setup

    @property
    def sheet(self) -> ShotSheet:
        return self.post.sheet

    @property
    def main(self) -> Pair:
        return self.setup.subject.id, self.setup.size

    @property
    def is_fixed(self) -> bool:
        return self._kind in ("locked-off", "safety")

    @property
    def _kind(self) -> SheetKind:
        person = self.setup.person
        if person is None:
            return "locked-off"
        if self._keeps_the_safety_shot():
            return "safety"
        return "by-song" if person.is_skilled else "zone"

    def _keeps_the_safety_shot(self) -> bool:
        """It has the role, or frames it while no camera of the pass has the role."""
        own = self.setup
        asked = [
            role
            for role in self.scene.roles
            if role.is_safety and own.each in self.scene.passes_of(role)
        ]
        doing = [
            post.one.setup
            for post in self.posts
            if post.one.setup.each.id == own.each.id
            and post.shoot_id == self.post.shoot_id
            and any(role.id in post.one.setup.roles for role in asked)
        ]
        if doing:
            return own in doing
        return any(role.subject == own.subject.id and own.size in role.sizes for role in asked)

    def fault(self, rule: str, wrong: str, right: str, song: str = "") -> Finding:
        where = f"shot sheet of {self.post.one.where}" + (f", {song}" if song else "")
        return Finding(rule, where, wrong, right)

    # -- the whole sheet -----------------------------------------------------------------------

    def findings(self) -> Iterator[Finding]:
        """Yield what does not hold in it."""
        sheet = self.sheet
        if sheet.kind != self._kind:
            yield self.fault("sheet-kind", f"it is given as {sheet.kind}", f"It is {self._kind}")
        if _pair(sheet.home) != self.main:
            wrong = f"home is {sheet.home.subject} {sheet.home.size}"
            yield self.fault("sheet-home", wrong, f"The main shot is {' '.join(self.main)}")
        zone = [self.main, *self.setup.menu] if self._kind == "zone" else []
        if [_pair(shot) for shot in sheet.zone] != zone:
            right = "A zone is the main shot and the menu; other sheets have none"
            yield self.fault("sheet-zone", f"the zone has {len(sheet.zone)} shots", right)
        for shot in (sheet.home, *sheet.zone):
            yield from self._focal(shot, "")
        listed, filmed = [row.song for row in sheet.songs], [s.id for s in self._filmed()]
        if listed != filmed:
            wrong = f"its songs are {', '.join(listed) or 'none'}"
            right = f"This camera films {', '.join(filmed) or 'none'}, in this order"
            yield self.fault("sheet-songs", wrong, right)
        yield from self._habits()
        songs = self.scene.shoot.songs_by_id
        for row in sheet.songs:
            if row.song in songs:
                yield from self._row(songs[row.song], row)

    def _filmed(self) -> tuple[Song, ...]:
        """The songs that the pass runs, less those without an operator, and those missed."""
        setup = self.setup
        away = () if setup.person is None else setup.person.performs_in
        return tuple(
            song
            for song in self.scene.run_songs(setup.each)
            if song.id not in away and song.id not in setup.missed
        )

    def _habits(self) -> Iterator[Finding]:
        rows, most = self.sheet.songs, self.scene.shoot.rules.zone_exceptions
        at_home = sum(_pair(row.shot) == self.main for row in rows)
        if self.is_fixed:
            return
        if self.setup.each.id in self.scene.shoot.past.passes:
            yield from self._as_it_was()
            return
        away = len(rows) - at_home + sum(len(row.cues) for row in rows)
        if self._kind == "zone" and away > most:
            wrong = f"{away} songs and moments are away from home"
            yield self.fault("sheet-exceptions", wrong, f"A zone has at most {most} exceptions")
        if self.setup.roles and 2 * at_home < len(rows):
            wrong = f"the shot of its role is held in {at_home} of {len(rows)} songs"
            yield self.fault("sheet-role", wrong, "Hold it in half of them at least")

    def _as_it_was(self) -> Iterator[Finding]:
        """In a pass that is over the sheet says what was held."""
        body, past = self.post.one.placement.rig.body, self.scene.shoot.past
        noted = {
            (row.song, row.moment): (row.subject, row.size)
            for stood in past.stood
            if (stood.in_pass, stood.body) == (self.setup.each.id, body)
            for row in stood.held
        }
        songs = self.scene.shoot.songs_by_id
        for row in self.sheet.songs:
            was: list[tuple[str | None, Pair]] = [(None, noted.get((row.song, None), self.main))]
            if row.song in songs and self.scene.is_on_offer(self.setup.each, songs[row.song]):
                names = dict.fromkeys(moment.name for moment in songs[row.song].moments)
                was += [(n, noted[row.song, n]) for n in names if (row.song, n) in noted]
            says = [(None, _pair(row.shot)), *((cue.moment, _pair(cue.shot)) for cue in row.cues)]
            if sorted(says, key=str) != sorted(was, key=str):
                wrong = "the pass is over, and what was held has changed"
                yield self.fault("sheet-past", wrong, "Leave it as it was", row.song)

    # -- one song ------------------------------------------------------------------------------

    def _row(self, song: Song, row: SongShot) -> Iterator[Finding]:
        planned = [self.main] if self.is_fixed else [self.main, *self.setup.menu]
        if _pair(row.shot) not in planned:
            wrong = f"{row.shot.subject} {row.shot.size} is to be held"
            right = "Hold the main shot" if self.is_fixed else "Hold the main shot or the menu"
            yield self.fault("sheet-shot", wrong, right, song.id)
        yield from self._focal(row.shot, song.id)
        yield from self._cues(song, row)
        yield from self._fallback(song, row)

    def _focal(self, shot: HeldShot, song: str) -> Iterator[Finding]:
        """A shot can be taken, and its focal length is right."""
        view = self._view(_pair(shot))
        found = None if view is None else self._picture(view)
        if view is None or found is None or not self._can_hold(_pair(shot)):
            wrong = f"{shot.subject} {shot.size} cannot be framed from there"
            yield self.fault("sheet-possible", wrong, "Choose a shot that this camera has", song)
        elif not isclose(shot.focal_mm, found, rel_tol=RELATIVE):
            wrong = f"{shot.subject} {shot.size} is given {shot.focal_mm:.6g} mm"
            yield self.fault("sheet-focal", wrong, f"It comes to {found:.6g} mm", song)

    def _picture(self, view: View) -> float | None:
        found = picture_of(self.scene, self.setup.each, view, self.setup.camera)
        return None if found is None else found.focal_mm

    def _view(self, pair: Pair) -> View | None:
        subject = self.scene.shoot.subjects_by_id.get(pair[0])
        if subject is None:
            return None
        return view_of(self.scene, self.setup.position, subject, pair[1])

    @cached_property
    def _held(self) -> dict[Pair, bool]:
        """Which shots can be held, as far as was asked: every song asks for the same ones."""
        return {}

    def _can_hold(self, pair: Pair) -> bool:
        if pair not in self._held:
            self._held[pair] = self._is_possible(pair)
        return self._held[pair]

    def _is_possible(self, pair: Pair) -> bool:
        """Whether the operator can frame it with nobody in the way; of a fixed camera the rules of
        the placement say so."""
        if pair == self.main:
            return True
        setups = [post.one.setup for post in self.posts if post.shoot_id == self.post.shoot_id]
        return (
            not self.is_fixed
            and can_frame(self.scene, self.setup, *pair)
            and not in_the_way_of(self.scene, self.setup, *pair, setups)
        )

    def _cues(self, song: Song, row: SongShot) -> Iterator[Finding]:
        is_live = self.scene.is_on_offer(self.setup.each, song)
        if row.cues and (self.is_fixed or not is_live):
            wrong = f"it has {len(row.cues)} cues"
            right = "Only an operator whose shots can stand in the song gets cues"
            yield self.fault("sheet-cues", wrong, right, song.id)
        used: set[int] = set()
        for cue in row.cues:
            number = _number_of(song, cue)
            yield from self._focal(cue.shot, song.id)
            if number is None or number in used:
                wrong = f"the cue at {cue.at_s:g} s is for no moment of the song, or a second one"
                yield self.fault("sheet-cue", wrong, "A cue lasts as long as its moment", song.id)
                continue
            used.add(number)
            if not _holds(song.moments[number], _pair(cue.shot)):
                wrong = f"{cue.shot.subject} {cue.shot.size} does not hold '{cue.moment}'"
                moment = song.moments[number]
                right = f"It asks for {moment.subject} {moment.size} or tighter"
                yield self.fault("sheet-cue", wrong, right, song.id)
            if _pair(cue.shot) == _pair(row.shot):
                right = "It is held already: no cue is needed"
                yield self.fault("sheet-cue", "a cue goes to the song's own shot", right, song.id)
        for one, other in pairwise(row.cues):
            rest = self.scene.shoot.rules.recompose_s
            if other.at_s - one.at_s - one.length_s < rest - _SECONDS:
                wrong = f"'{other.moment}' follows '{one.moment}' too soon"
                yield self.fault("sheet-cue", wrong, f"Leave {rest:g} s to recompose", song.id)

    # -- fallback ------------------------------------------------------------------------------

    def _fallback(self, song: Song, row: SongShot) -> Iterator[Finding]:
        if self.is_fixed:
            if row.fallback is not None:
                right = "A camera that never moves has none"
                yield self.fault("sheet-fallback", "it has a fallback", right, song.id)
            return
        best = self._best_fallback(song, _pair(row.shot))
        stated = None if row.fallback is None else _pair(row.fallback)
        if row.fallback is not None:
            yield from self._focal(row.fallback, song.id)
        if stated != best:
            wrong, right = (" ".join(pair) if pair else "none" for pair in (stated, best))
            wrong, right = f"the fallback is {wrong}", f"By the rule it is {right}"
            yield self.fault("sheet-fallback", wrong, right, song.id)

    def _best_fallback(self, song: Song, shot: Pair) -> Pair | None:
        """Another planned shot, or a wider one of the same or what holds it: the best by rank."""
        held, shoot = self._view(shot), self.scene.shoot
        if held is None:
            return None
        planned = [self.main, *self.setup.menu]
        outer = _around(self.scene, shot[0])
        around = list(self._held_by_others(song))
        ranked: list[tuple[bool, bool, bool, bool, float, Pair]] = []
        for subject in shoot.subjects:
            for size in sizes_of(subject):
                pair = (subject.id, size)
                view = self._view(pair)
                if view is None or pair == shot or not (pair in planned or subject.id in outer):
                    continue
                is_wider = view.planned_m > held.planned_m * (1 + 1e-9)
                if (pair in planned or is_wider) and self._can_hold(pair):
                    is_alike = any(are_alike(self.scene, view, other) for other in around)
                    flags = is_alike, pair != self.main, not is_wider, pair not in planned
                    ranked.append((*flags, view.planned_m, pair))
        return min(ranked)[-1] if ranked else None

    def _held_by_others(self, song: Song) -> Iterator[View]:
        for other in self.posts:
            if other is self.post or other.shoot_id != self.post.shoot_id:
                continue
            for row in other.sheet.songs:
                if row.song == song.id and other.is_live(song):
                    view = other.view(row.shot)
                    if view is not None:
                        yield view


def _number_of(song: Song, cue: Cue) -> int | None:
    """The number of the moment that a cue is for: name, beginning and length agree."""
    for number, moment in enumerate(song.moments):
        length = min(moment.length_s, song.length_s - moment.at_s)
        if (
            moment.name == cue.moment
            and abs(moment.at_s - cue.at_s) < _SECONDS
            and abs(length - cue.length_s) < _SECONDS
        ):
            return number
    return None


def _holds(moment: Moment, pair: Pair) -> bool:
    return pair[0] == moment.subject and is_as_tight(pair[1], moment.size)


def _around(scene: Scene, subject_id: str) -> set[str]:
    """A subject with what it is part of and, unless it is the audience, the stage."""
    subjects = scene.shoot.subjects_by_id
    found: set[str] = set()
    inner: Subject | None = subjects.get(subject_id)
    if inner is not None and inner.kind != "audience":
        found |= {each.id for each in subjects.values() if each.kind == "stage"}
    at: str | None = subject_id
    passed: set[str] = set()
    while at is not None and at in subjects and at not in passed:
        passed.add(at)
        at = subjects[at].part_of
    return found | passed
