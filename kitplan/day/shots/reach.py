"""What the camera of each placement can frame from where it stands, with the others around it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from kitplan.gear.records import Adapter, Body, Head, Item, Lens, Support
from kitplan.options.cameras import Camera, make_camera
from kitplan.options.crowding import REFUSED, Crowding
from kitplan.options.presence import kind_of
from kitplan.options.shots import find_shots
from kitplan.options.sights import Lookout
from kitplan.options.stands import Stand
from kitplan.options.steadiness import support_row, tremors_deg
from kitplan.options.views import View, list_views
from kitplan.plan.day.shots import HeldShot, SheetKind
from kitplan.plan.records import Placement
from kitplan.shoot.brief import Brief, Worth
from kitplan.shoot.records import Pass, Song

ItemT = TypeVar("ItemT", bound=Item)
Pair = tuple[str, str]
"""A subject and a size, by id."""


@dataclass(frozen=True)
class Frame:
    """Something that a camera can frame."""

    view: View
    focal_mm: float
    """As it is engraved on the lens."""

    @property
    def pair(self) -> Pair:
        """Subject and size."""
        return self.view.subject.id, self.view.size

    @property
    def held(self) -> HeldShot:
        """What stands on a sheet."""
        subject, size = self.pair
        return HeldShot(subject=subject, size=size, focal_mm=self.focal_mm)


@dataclass(frozen=True)
class Reach:
    """A placement, the songs that it films, and what it can frame."""

    placement: Placement
    each: Pass
    kind: SheetKind
    songs: tuple[Song, ...]
    """In running order."""
    worth: dict[str, Worth]
    """What its pass is good for in each of them."""
    frames: tuple[Frame, ...]
    """The main shot first, then the menu, then all others; those that never move have one."""
    num_planned: int
    """How many of them are main shot and menu."""
    was_held: dict[tuple[str, str | None], Pair] | None = None
    """In a pass that is over: what was held, by song, and by song and moment; the main shot where
    nothing is noted. None in a pass to come."""

    @property
    def planned(self) -> tuple[Frame, ...]:
        """Main shot and menu: what it may hold for a song."""
        return self.frames[: self.num_planned]

    @property
    def is_fixed(self) -> bool:
        """Whether it holds one frame for good."""
        return self.kind in ("locked-off", "safety")

    def is_on_offer(self, song: Song) -> bool:
        """Whether its shots can stand anywhere in the edit of a song that it films."""
        return self.worth.get(song.id) in ("live", "locks")


def reaches(brief: Brief, shoot_id: str, placements: Sequence[Placement]) -> tuple[Reach, ...]:
    """Return for each placement of a shoot what it can frame, by pass and letter.

    Only positions in use are looked from, and only with the cameras that stand there.
    """
    order = [each.id for each in brief.shoot.passes]
    own = [p for p in placements if p.pass_id.partition("/")[0] == shoot_id]
    own.sort(key=lambda p: (order.index(p.pass_id.partition("/")[2]), p.letter))
    used = {placement.position for placement in own}
    venue = brief.shoot.venue
    places = tuple(place for place in venue.positions if place.id in used)
    narrowed = venue.model_copy(update={"positions": places})
    brief = Brief(brief.shoot.model_copy(update={"venue": narrowed}), brief.kit)
    look = _Look(brief, own)
    return tuple(_reach(look, placement) for placement in own)


class _Look:
    """All views from the positions in use, and who stands in them."""

    def __init__(self, brief: Brief, placements: Sequence[Placement]) -> None:
        self.brief, self.placements = brief, placements
        self.views = list_views(brief)
        self.lookout = Lookout(brief.shoot, self.views)
        self.positions = {place.id: place for place in brief.shoot.venue.positions}
        stands = {id(p): stand_of(brief, p) for p in placements}
        self.stands = stands
        self.crowding = Crowding(brief, self.lookout, list(stands.values()))

    def spoilt(self, placement: Placement, each: Pass, number: int) -> bool:
        """Whether another rig, operator or move of the pass is in a view at level 3."""
        shown = {
            (other.position, self._kind(other))
            for other in self.placements
            if other.pass_id == placement.pass_id and other.position != placement.position
        }
        return any(
            (seen.position, seen.kind) in shown and seen.level_of(number) == REFUSED
            for seen in self.crowding.seen(each)
        )

    def _kind(self, placement: Placement) -> object:
        place, stand = self.positions[placement.position], self.stands[id(placement)]
        return kind_of(stand.support, place, is_operated=placement.operator is not None)


def _reach(look: _Look, placement: Placement) -> Reach:
    brief = look.brief
    each = brief.shoot.passes_by_id[placement.pass_id.partition("/")[2]]
    kind = kind_of_sheet(brief, placement, look.placements)
    main = (placement.shot.subject, placement.shot.size)
    planned = [main, *((framing.subject, framing.size) for framing in placement.menu)]
    found = {frame.pair: frame for frame in _frames(look, placement, each)}
    if kind in ("locked-off", "safety"):
        planned, found = planned[:1], {main: found[main]}
    rest = [pair for pair in found if pair not in planned]
    songs = songs_filmed(brief, placement, each)
    return Reach(
        placement=placement,
        each=each,
        kind=kind,
        songs=songs,
        worth={song.id: brief.worth(each, song) for song in songs},
        frames=tuple(found[pair] for pair in (*planned, *rest)),
        num_planned=len(planned),
        was_held=_was_held(brief, placement, each),
    )


def _was_held(
    brief: Brief, placement: Placement, each: Pass
) -> dict[tuple[str, str | None], Pair] | None:
    past = brief.shoot.past
    if not past.is_over(each.id):
        return None
    stood = past.stood_with(each.id, placement.rig.body)
    rows = () if stood is None else stood.held
    return {(row.song, row.moment): (row.subject, row.size) for row in rows}


def kind_of_sheet(brief: Brief, placement: Placement, placements: Sequence[Placement]) -> SheetKind:
    """Return which kind of sheet a placement gets.

    Where no camera of the pass has the safety shot's role (its body may stop inside a song), those
    that frame it keep it all the same.
    """
    if placement.operator is None:
        return "locked-off"
    each = brief.shoot.passes_by_id[placement.pass_id.partition("/")[2]]
    safeties = {r.id: r for r in brief.roles if r.is_safety and each in brief.passes_of(r)}
    others = [other for other in placements if other.pass_id == placement.pass_id]
    keeps = any(
        role.subject == placement.shot.subject and placement.shot.size in role.sizes
        for role in safeties.values()
    )
    has_role = not safeties.keys().isdisjoint(placement.roles)
    is_done = any(not safeties.keys().isdisjoint(other.roles) for other in others)
    if has_role or (keeps and not is_done):
        return "safety"
    return "by-song" if brief.shoot.crew_by_id[placement.operator].is_skilled else "zone"


def songs_filmed(brief: Brief, placement: Placement, each: Pass) -> tuple[Song, ...]:
    """Return the songs that a pass runs, less those in which the operator performs and, in a pass
    that is over, those that the camera missed.
    """
    stood = brief.shoot.past.stood_with(each.id, placement.rig.body)
    away = set(stood.missed) if stood is not None else set()
    if placement.operator is not None:
        away.update(brief.shoot.crew_by_id[placement.operator].performs_in)
    return tuple(song for song in brief.shoot.run_songs(each) if song.id not in away)


def _frames(look: _Look, placement: Placement, each: Pass) -> Iterator[Frame]:
    """Yield what a camera can frame in its manner with nobody in the way, in the views' order."""
    brief, place = look.brief, look.positions[placement.position]
    camera, stand = camera_of(brief, placement), look.stands[id(placement)]
    numbers = [n for n, view in enumerate(look.views) if view.position.id == place.id]
    row, manner = support_row(stand, place), placement.manner
    tremors = {(row, manner): tremors_deg(brief, each, place, row, manner, (camera,))}
    shots = find_shots(
        brief,
        each,
        [look.views[number] for number in numbers],
        (camera,),
        np.zeros(1),
        0.0,  # how long it lasts has been settled
        look.lookout.sights(each).of(numbers),
        tremors,
    )
    factor = camera.adapter.focal_factor if camera.adapter else 1.0
    focal_mm = shots.asked.figures().reach.focal
    for at in np.flatnonzero(shots.possible_on(row, manner)[:, 0]):
        if not look.spoilt(placement, each, numbers[at]):
            yield Frame(look.views[numbers[at]], float(focal_mm[at, 0]) / factor)


def camera_of(brief: Brief, placement: Placement) -> Camera:
    """Return the camera of a placement."""
    rig = placement.rig
    body = _item(brief, rig.body, Body)
    return make_camera(
        brief,
        body,
        next(mode for mode in body.modes if mode.name == rig.mode),
        None if rig.lens is None else _item(brief, rig.lens, Lens),
        None if rig.adapter is None else _item(brief, rig.adapter, Adapter),
    )


def stand_of(brief: Brief, placement: Placement) -> Stand:
    """Return the stand of a placement."""
    rig = placement.rig
    head = None if rig.head is None else _item(brief, rig.head, Head)
    return Stand(_item(brief, rig.support, Support), head, brief.shoot.rules.payload_share)


def _item(brief: Brief, unit_id: str, kind: type[ItemT]) -> ItemT:
    """Return the item of a unit, of the kind that it is known to be."""
    unit = next(unit for unit in brief.kit.units if unit.id == unit_id)
    item = brief.kit.items_by_id[unit.item]
    assert isinstance(item, kind)
    return item
