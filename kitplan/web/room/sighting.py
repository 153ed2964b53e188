"""What one camera on one stand sees of one subject from one position: drawn, with its figures, or
what refuses it. The same options and words as those of `why` and `sights`, for a single question.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

import numpy as np

from kitplan.errors import BadInput, Problem
from kitplan.gear.records import Id, Name, Record
from kitplan.options.cameras import Camera, list_cameras
from kitplan.options.crowding import Crowding
from kitplan.options.failing import BIT, RULES, Block, Failing, find_failing
from kitplan.options.parts import Parts, Scope
from kitplan.options.refusals import Refusal
from kitplan.options.sights import Lookout
from kitplan.options.spots import Options
from kitplan.options.stands import Stand, list_stands
from kitplan.options.views import View, list_views
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass
from kitplan.shoot.sizes import sizes_for
from kitplan.shoot.venue import PersonSize, Position, Subject
from kitplan.web.room.naming import one_of
from kitplan.whatif.funnel import NONE, SENTENCES_HERE

T = TypeVar("T")


class Ask(Record):
    """Which shot is asked about; parts that are left open are chosen: the first that work."""

    in_pass: Id
    position: Id
    subject: Id
    size: PersonSize | None = None
    manner: Literal["operated", "locked-off"] = "operated"
    body: Id | None = None
    mode: Name | None = None
    lens: Id | None = None
    adapter: Id | None = None
    support: Id | None = None
    head: Id | None = None


@dataclass(frozen=True)
class Sighted:
    """A shot with what refuses it, and what else could be asked about."""

    brief: Brief
    each: Pass
    position: Position
    subject: Subject
    size: str
    manner: Literal["operated", "locked-off"]
    view: View | None
    """None where the subject stands in the lens."""
    camera: Camera
    stand: Stand
    refusals: tuple[Refusal, ...]
    """All that refuse it on that stand, in the order of the pipeline."""
    options: Options
    cameras: tuple[tuple[Camera, bool], ...]
    """Every camera that the kit makes, and whether some stand lets it take the shot."""
    stands: tuple[tuple[Stand, Refusal | None], ...]
    """Every stand, and the first rule by which it is refused with this camera."""

    @property
    def words(self) -> tuple[str, ...]:
        """What refuses it, in words."""
        return tuple(map(in_words, self.refusals))


def in_words(refusal: Refusal) -> str:
    """Return a refusal of a whole shot in the words of `why`."""
    return SENTENCES_HERE[refusal.rule].format(value=refusal.value, limit=refusal.limit)


def sighted(brief: Brief, ask: Ask) -> Sighted:
    """Return a shot of a checked brief.

    Raises:
        BadInput: If it asks about something that is not there.
    """
    shoot = brief.shoot
    each = one_of(shoot.passes_by_id, ask.in_pass, "pass")
    position = one_of({p.id: p for p in shoot.venue.positions}, ask.position, "position")
    subject = one_of(shoot.subjects_by_id, ask.subject, "subject")
    sizes = sizes_for(subject)
    size = ask.size if ask.size in sizes else sizes[len(sizes) // 2]
    views = tuple(v for v in _views_from(brief, position) if v.key[1:] == (subject.id, size))
    cameras, stands = _some(list_cameras(brief)[0], "camera"), _some(list_stands(brief)[0], "stand")
    lookout = Lookout(shoot, views)
    options = Options(
        brief, cameras, stands, views, (), (), lookout, Crowding(brief, lookout, ()), ()
    )
    columns = _asked_cameras(cameras, ask)
    scope = Scope(
        passes=frozenset({each.id}), positions=frozenset({position.id}), manners=(ask.manner,)
    )
    parts = Parts(tuple((c, ()) for c in cameras), tuple((s, ()) for s in stands))
    pairs = list(_pairs(next(find_failing(options, parts, scope)), stands))
    column, number = _chosen(pairs, columns, _asked_stands(stands, ask))
    return Sighted(
        brief=brief,
        each=each,
        position=position,
        subject=subject,
        size=size,
        manner=ask.manner,
        view=views[0] if views else None,
        camera=cameras[column],
        stand=stands[number],
        refusals=tuple(_refusals(pairs[number], column)),
        options=options,
        cameras=tuple(
            (camera, any(_mask(block, n) == 0 for block in pairs))
            for n, camera in enumerate(cameras)
        ),
        stands=tuple(
            (stand, next(_refusals(block, column), None))
            for stand, block in zip(stands, pairs, strict=True)
        ),
    )


def _some(found: tuple[T, ...], what: str) -> tuple[T, ...]:
    """Return what the kit makes.

    Raises:
        BadInput: If it makes nothing.
    """
    if not found:
        wrong = f"the kit makes no {what} that can be used here"
        raise BadInput([Problem("page", 0, wrong, "See what `kitplan check` says of the kit")])
    return found


def _views_from(brief: Brief, position: Position) -> tuple[View, ...]:
    """The views from one position; the subjects keep standing where they stand."""
    venue = brief.shoot.venue.model_copy(update={"positions": (position,)})
    return list_views(Brief(brief.shoot.model_copy(update={"venue": venue}), brief.kit))


def _asked_cameras(cameras: Sequence[Camera], ask: Ask) -> list[int]:
    """Return which cameras are asked about: of that body, mode and lens, if any is."""
    found = list(range(len(cameras)))
    if ask.body is not None:
        found = [n for n in found if cameras[n].body.id == ask.body]
    if ask.mode is not None:
        found = [n for n in found if cameras[n].mode.name == ask.mode] or found
    if ask.lens is not None:
        wanted = [item for item in (ask.lens, ask.adapter) if item is not None]
        exact = [n for n in found if list(cameras[n].items[1:]) == wanted]
        found = exact or found
    return found or list(range(len(cameras)))


def _asked_stands(stands: Sequence[Stand], ask: Ask) -> list[int]:
    every = list(range(len(stands)))
    if ask.support is None:
        return every
    wanted = tuple(item for item in (ask.support, ask.head) if item is not None)
    return [n for n in every if stands[n].items == wanted] or every


def _pairs(failing: Failing, stands: Sequence[Stand]) -> Iterator[Block | None]:
    """Yield the block of each stand; None where there is nothing to see."""
    by_key = {s.key: block for block in failing.blocks for s in block.stands}
    yield from (by_key.get(stand.key) for stand in stands)


def _mask(block: Block | None, column: int) -> int:
    return BIT["closed"] if block is None else int(block.masks[0, column])


def _chosen(
    pairs: Sequence[Block | None], columns: Sequence[int], numbers: Sequence[int]
) -> tuple[int, int]:
    """Return the first camera and stand that break no rule, or the fewest."""
    found = min(
        (
            (_mask(pairs[n], c).bit_count(), place, n, c)
            for place, c in enumerate(columns)
            for n in numbers
        ),
    )
    return found[3], found[2]


def _refusals(block: Block | None, column: int) -> Iterator[Refusal]:
    """Yield every rule that a camera breaks in a block, with its figures."""
    if block is None:
        return
    mask = _mask(block, column)
    for rule in RULES:
        if mask & BIT[rule]:
            value, limit = (
                float(np.broadcast_to(figures, block.masks.shape)[0, column])
                for figures in block.figures.get(rule, (NONE, NONE))
            )
            yield Refusal("", rule, value, limit)
