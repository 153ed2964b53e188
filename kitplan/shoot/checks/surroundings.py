"""Remarks on what is round a camera: audience, players, people without consent, seats, lasers.

One function for each, as in `remarks`, which gathers them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import radians, tan
from typing import NamedTuple

from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.fault import listed
from kitplan.shoot.checks.outlines import contains
from kitplan.shoot.scenery import floor_of, heads, is_occupied, outline_of, place_of
from kitplan.shoot.sizes import AREAL, frame_range, height_m, is_tight_enough, sizes_for
from kitplan.shoot.venue import AudienceArea, Position, Subject
from kitplan.stage.outline import width_seen_m

# -- who stands among whom -------------------------------------------------------------------------


def _among_audience(brief: Brief) -> Iterator[str]:
    """Positions in the middle of people's seats that say nothing of it."""
    named = [
        f"{position.id} ({area.id})"
        for position in brief.shoot.venue.positions
        if not position.is_shut_in_by_audience and not position.has_public
        for area in brief.shoot.venue.audience
        if _is_among(brief, position, area)
    ]
    if named:
        yield (
            f"In the middle of the audience: {', '.join(named)}. Set is_shut_in_by_audience or "
            f"has_public, whichever is true, cut the place out of the area's outline_m, or leave "
            f"the position to closed passes; front of house says which seats go."
        )


def _is_among(brief: Brief, position: Position, area: AudienceArea) -> bool:
    """Whether a rig on the floor has people of an area round it in some pass it is used in."""
    is_refused = position.permission is not None and position.permission.state == "refused"
    if position.stands_on != "floor" or position.is_overhead or position.is_on_stage or is_refused:
        return False
    passes = [p for p in brief.shoot.passes if position.open_in is None or p.id in position.open_in]
    people = [p for p in passes if is_occupied(area, p)]
    if not people or not contains(area.outline_m, position.at_m):
        return False
    head_m = next(block.top_m for block in heads(brief.shoot, people[0]) if block.id == area.id)
    behind_m = max(y for _, y in area.outline_m) - position.at_m[1]
    rise_m = tan(radians(area.rake_deg)) * behind_m
    is_above = position.floor_height_m >= head_m + rise_m
    is_below = position.lens_at_m[2] <= area.height_m + rise_m
    return not is_above and not is_below


def _among_players(brief: Brief) -> Iterator[str]:
    """Positions inside the outline of a group, which then hides nothing from them."""
    shoot = brief.shoot
    named = []
    for position in shoot.venue.positions:
        for subject in shoot.subjects:
            if subject.kind == "group" and subject.outline_m is not None:
                over_floor_m = position.lens_at_m[2] - floor_of(shoot, subject)
                is_level = 0 <= over_floor_m <= height_m(subject)
                if is_level and contains(subject.outline_m, position.at_m):
                    named.append(f"{position.id} ({subject.id})")
    if named:
        yield (
            f"Among the players of a group: {', '.join(named)}. In the way of that lens count only "
            f"those listed one by one; agree with all of them where rig and cables go."
        )


# -- who may be seen, and what else is in the picture ----------------------------------------------


class _Wish(NamedTuple):
    """Who asks for a subject, in which sizes, from which positions (None: any)."""

    who: str
    subject: Subject
    sizes: tuple[str, ...]
    positions: tuple[str, ...] | None


def _no_consent(brief: Brief) -> Iterator[str]:
    """Roles and moments that ask for somebody without consent, never wide enough."""
    wide_m = brief.shoot.rules.consent_wide_m
    for wish in _wishes(brief):
        subject = wish.subject
        if subject.has_consent or subject.kind in ("stage", "audience"):
            continue
        widest_m = _widest_frame_m(brief, wish)
        if widest_m < wide_m - 1e-9:
            yield (
                f"{wish.who} asks for {subject.id}, who has not consented; only frames of "
                f"{wide_m:g} m (consent_wide_m) or more are allowed, and those of "
                f"{listed(wish.sizes)} are {widest_m:.1f} m at most."
            )


def _wishes(brief: Brief) -> Iterator[_Wish]:
    shoot = brief.shoot
    for role in shoot.roles:
        subject = shoot.subjects_by_id[role.subject]
        yield _Wish(f"Role {role.id}", subject, role.sizes, role.positions)
    for song in shoot.songs:
        for moment in song.moments:
            subject = shoot.subjects_by_id[moment.subject]
            tight = tuple(s for s in sizes_for(subject) if is_tight_enough(s, moment.size))
            yield _Wish(f"Moment {moment.name} of song {song.id}", subject, tight, None)


def _widest_frame_m(brief: Brief, wish: _Wish) -> float:
    """The tallest frame that some size plans, from any position that may be."""
    outline_m, aspect = outline_of(brief.shoot, wish.subject), brief.shoot.delivery.aspect
    widths_m = [wish.subject.width_m]
    if wish.subject.kind in AREAL and outline_m is not None:
        middle_m = place_of(brief.shoot, wish.subject)
        widths_m = [
            width_seen_m(outline_m, position.at_m, middle_m)
            for position in brief.shoot.venue.positions
            if wish.positions is None or position.id in wish.positions
        ]
    frames = [frame_range(wish.subject, s, w, aspect) for s in wish.sizes for w in widths_m]
    return max(frame.frame_m for frame in frames)


def _consent_without_effect(brief: Brief) -> Iterator[str]:
    """Subjects that consent is not asked for."""
    named = [
        subject.id
        for subject in brief.shoot.subjects
        if not subject.has_consent and subject.kind in ("stage", "audience")
    ]
    if named:
        yield (
            f"has_consent: false does nothing for {listed(named)}: only persons, objects and "
            f"groups are kept out of pictures."
        )


def _assumed_house_light(brief: Brief) -> Iterator[str]:
    """Passes with empty seats whose light nobody has measured."""
    assumed = [
        each.id
        for each in brief.shoot.passes
        if each.house_lux is None
        and each.is_in_show_light
        and any(not is_occupied(area, each) for area in brief.shoot.venue.audience)
    ]
    if assumed:
        yield (
            f"house_lux of {listed(assumed)} is assumed five stops under the subject; measure it: "
            f"it decides which pictures may show empty seats."
        )


def _lasers(brief: Brief) -> Iterator[str]:
    """The usual caution where lasers are listed."""
    lasers = [lamp.id for lamp in brief.shoot.venue.lamps if lamp.kind == "laser"]
    if lasers:
        yield (
            f"Lasers ({', '.join(lasers)}): they can destroy a sensor in less than a second. Keep "
            f"every lens where neither the source nor a bounce mirror can be in view; ask the "
            f"laser operator and the venue."
        )


SURROUNDINGS: tuple[Callable[[Brief], Iterator[str]], ...] = (
    _lasers,
    _among_audience,
    _among_players,
    _no_consent,
    _consent_without_effect,
    _assumed_house_light,
)
