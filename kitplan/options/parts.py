"""Every camera and stand of the kit, those that do not go together as well: for asking why.

A lens that no adapter puts on a body is tried bare, a body without a fitting mode in its first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kitplan.gear.records import Adapter, Body, Head, Lens, Support
from kitplan.options.cameras import (
    Camera,
    circle_refusal,
    fits_bare,
    flange_refusal,
    make_camera,
    shutter_refusal,
)
from kitplan.options.refusals import Refusal
from kitplan.options.stands import Stand
from kitplan.options.steadiness import Manner
from kitplan.options.views import View
from kitplan.shoot.brief import Brief

MANNERS: tuple[Manner, ...] = ("operated", "locked-off")


@dataclass(frozen=True)
class Scope:
    """Which options are asked about; None asks for no part in particular."""

    passes: frozenset[str] | None = None
    positions: frozenset[str] | None = None
    subject: str | None = None
    sizes: tuple[str, ...] | None = None
    manners: tuple[Manner, ...] = MANNERS
    moves: frozenset[str] = frozenset()
    rolls_throughout: bool = False
    is_safety: bool = False
    item: str | None = None
    person: str | None = None

    def takes_view(self, view: View) -> bool:
        """Whether a view is asked about."""
        is_subject = self.subject is None or view.subject.id == self.subject
        return is_subject and (self.sizes is None or view.size in self.sizes)


@dataclass(frozen=True)
class Parts:
    """Every camera and stand of the kit with what is wrong with it anywhere."""

    cameras: tuple[tuple[Camera, tuple[Refusal, ...]], ...]
    stands: tuple[tuple[Stand, tuple[Refusal, ...]], ...]

    def some(self, scope: Scope) -> Parts:
        """Return those that are asked about."""
        cameras, stands = self.cameras, self.stands
        if scope.item is not None:
            cameras = tuple(each for each in cameras if scope.item in each[0].items)
            if not cameras:
                stands = tuple(each for each in stands if scope.item in each[0].items)
                cameras = self.cameras if stands else ()
        if scope.moves:
            stands = tuple(s for s in stands if scope.moves & set(s[0].support.moves))
        return Parts(cameras, stands)


def all_parts(brief: Brief) -> Parts:
    """Return every camera and stand of the kit, possible or not."""
    return Parts(tuple(_cameras(brief)), tuple(_stands(brief)))


def _cameras(brief: Brief) -> Iterator[tuple[Camera, tuple[Refusal, ...]]]:
    for body in brief.kit.of_kind(Body):
        own = [shutter_refusal(brief, body)]
        modes = brief.modes_of(body)
        if not modes:
            modes = body.modes[:1]
            own.append(Refusal(body.id, "mode"))
        for lens, adapter, fit in _pairs(brief, body):
            for mode in modes:
                camera = make_camera(brief, body, mode, lens, adapter)
                found = (*own, fit, circle_refusal(camera))
                yield camera, tuple(each for each in found if each is not None)


def _pairs(
    brief: Brief, body: Body
) -> Iterator[tuple[Lens | None, Adapter | None, Refusal | None]]:
    """Yield every lens with every way to put it on a body, and what is wrong with that way."""
    if body.mount is None:
        yield None, None, None
        return
    for lens in brief.kit.of_kind(Lens):
        is_bare = fits_bare(lens, body)
        rings = [
            adapter
            for adapter in brief.kit.of_kind(Adapter)
            if (adapter.lens_mount, adapter.body_mount) == (lens.mount, body.mount)
        ]
        if is_bare:
            yield lens, None, None
        yield from ((lens, ring, flange_refusal(ring)) for ring in rings)
        if not is_bare and not rings:
            yield lens, None, Refusal(f"{lens.id} on {body.id}", "mount")


def _stands(brief: Brief) -> Iterator[tuple[Stand, tuple[Refusal, ...]]]:
    share = brief.shoot.rules.payload_share
    for support in brief.kit.of_kind(Support):
        if support.fitting is None:
            yield Stand(support, None, share), ()
            continue
        heads = [head for head in brief.kit.of_kind(Head) if head.fitting == support.fitting]
        yield from ((Stand(support, head, share), ()) for head in heads)
        if not heads:
            yield Stand(support, None, share), (Refusal(support.id, "fitting"),)
