"""Pairs of angles: how far any two placements of a shoot are apart, and whether they cut together.

Over all passes, since they are cut together. What is computed beside it is the angle at the middle
of the stage: what a count on the floor plan would use, and what misleads. Words: DEVELOPERS.md.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from kitplan.options.views import View, list_views, units_and_frames
from kitplan.plan.records import Placement, Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.outlines import contains
from kitplan.shoot.records import Shoot
from kitplan.shoot.rules import Rules
from kitplan.shoot.sizes import LADDER
from kitplan.shoot.venue import Subject
from kitplan.stage.angles import (
    ANGLE_EPSILON_DEG,
    Flags,
    Floats,
    Seen,
    angles_between_deg,
    angles_seen_deg,
    differ,
    differ_clearly,
    seen_by_roamer_deg,
    size_factors,
    turned_in_plan_deg,
)
from kitplan.stage.outline import centre_of

REVERSE_DEG = 90.0
"""Turned further than this from the safety shot's axis a placement looks from the other side."""


@dataclass(frozen=True)
class Angle:
    """A placement with the view of its main shot."""

    placement: Placement
    view: View
    is_safety: bool
    is_reverse: bool
    """Upstage reverse: it shows left and right the other way round from the safety shot."""

    @property
    def subject_id(self) -> str:
        """What it films."""
        return self.view.subject.id


@dataclass(frozen=True)
class Margin:
    """How far two angles are from being distinct: either threshold is enough."""

    over_deg: float
    """Degrees over the threshold; short of it where negative."""
    factor: float
    """Factor between the frame heights over the threshold; short of it below 1."""
    angle_ratio: float
    """Degrees apart over the threshold, to weigh them against the factor."""

    @property
    def closeness(self) -> float:
        """How near the pair comes to the nearer threshold: 1 at it, more is further apart."""
        return max(self.angle_ratio, self.factor)


@dataclass(frozen=True)
class Cut:
    """Two angles on the same subject, or on one that holds the other, side by side in the edit."""

    subject: Subject
    """What both show: the inner one."""
    seen: Seen
    """The angle between the two lenses from there, wherever it roams."""
    is_cuttable: bool
    margin: Margin
    is_clear: bool
    over_clear_deg: float
    """Degrees over what is clear by the angle alone."""
    clear_with_size: Margin
    """The same where both degrees and sizes count, for what is clear by both together."""


@dataclass(frozen=True)
class Pair:
    """Two placements of a shoot."""

    first: Angle
    second: Angle
    apart_deg: float
    """Between the viewing directions, each to its own aim point, in three dimensions."""
    at_stage_deg: float
    """Between the two lenses as seen from the middle of the stage's floor, for contrast."""
    factor: float
    """Between the frame heights in metres, >= 1."""
    steps: int
    """Steps of shot size between them."""
    is_alike: bool
    """One viewpoint."""
    margin: Margin
    cut: Cut | None
    """None where they show different subjects: nothing jumps then."""

    @property
    def angles(self) -> tuple[Angle, Angle]:
        """Both."""
        return self.first, self.second

    @property
    def is_across(self) -> bool:
        """Whether one is an upstage reverse and the other is not."""
        return self.first.is_reverse != self.second.is_reverse

    @property
    def jumps(self) -> bool:
        """Whether a cut from one to the other reads as a jump cut."""
        return self.cut is not None and not self.cut.is_cuttable

    @property
    def closeness(self) -> float:
        """How near they come to being one: 1 at a threshold, below it alike or a jump cut."""
        own = self.margin.closeness
        return own if self.cut is None else min(own, self.cut.margin.closeness)


def angles(plan: Plan, shoot_id: str) -> tuple[Angle, ...]:
    """Return the angles of a shoot, by pass and letter.

    A placement whose shot cannot be seen from its position at all (in a file changed by hand) has
    no angle and is left out.
    """
    shoot = plan.shoots[shoot_id]
    brief = Brief(shoot, plan.kit)
    views = {view.key: view for view in list_views(brief)}
    safeties = {role.id for role in brief.roles if role.is_safety}
    own = [p for each in shoot.passes for p in plan.placements_in(f"{shoot_id}/{each.id}")]
    seen = [
        Angle(placement, views[key], not safeties.isdisjoint(placement.roles), is_reverse=False)
        for placement in own
        if (key := (placement.position, placement.shot.subject, placement.shot.size)) in views
    ]
    return tuple(_with_reverses(shoot, f"{shoot_id}/{shoot.master.id}", seen))


def pairs(
    shoot: Shoot, found: tuple[Angle, ...], *, below_factor: float = np.inf
) -> tuple[Pair, ...]:
    """Return every pair of angles of a shoot, those that come nearest to being one first.

    Args:
        below_factor: Only pairs whose frame heights differ by less than this factor.
    """
    if len(found) < 2:
        return ()
    units, frames_m = units_and_frames(tuple(angle.view for angle in found))
    apart, factors = angles_between_deg(units), size_factors(frames_m)
    lenses_m = np.array([angle.view.lens_at_m for angle in found])
    stage = shoot.venue.stage
    middle_m = np.array([*centre_of(stage.outline_m), stage.height_m])
    at_stage = angles_seen_deg(lenses_m[:, None], lenses_m[None, :], middle_m)
    made = [
        _pair(shoot, found[a], found[b], float(apart[a, b]), float(at_stage[a, b]), factors[a, b])
        for a, b in combinations(range(len(found)), 2)
        if factors[a, b] < below_factor
    ]
    return tuple(sorted(made, key=lambda pair: pair.closeness))


def cuttable(shoot: Shoot, found: tuple[Angle, ...]) -> Flags:
    """Return for every pair of angles whether one may follow the other, diagonal False."""
    may_follow = ~np.eye(len(found), dtype=np.bool_)
    if len(found) < 2:
        return may_follow
    _, frames_m = units_and_frames(tuple(angle.view for angle in found))
    factors = size_factors(frames_m)
    for a, b in combinations(range(len(found)), 2):
        cut = _cut(shoot, found[a], found[b], float(factors[a, b]))
        may_follow[a, b] = may_follow[b, a] = cut is None or cut.is_cuttable
    return may_follow


def holds(shoot: Shoot, outer: Subject, inner: Angle) -> bool:
    """Return whether a subject shows what an angle films as well: it is that, or holds it.

    A group holds its parts (`part_of`, any depth), the whole stage whoever stands on it.
    """
    subject = inner.view.subject
    if outer.kind == "stage" and subject.kind != "audience":
        x, y, _ = inner.view.aim_m
        if contains(shoot.venue.stage.outline_m, (x, y)):
            return True
    return outer.id in _chain(shoot, subject)


def _chain(shoot: Shoot, subject: Subject) -> Iterator[str]:
    """Yield a subject and what it is part of, from the inside out, each once."""
    following: Subject | None = subject
    known: set[str] = set()
    while following is not None and following.id not in known:
        known.add(following.id)
        yield following.id
        following = shoot.subjects_by_id.get(following.part_of or "")


def _with_reverses(shoot: Shoot, master_id: str, seen: list[Angle]) -> list[Angle]:
    """Mark upstage reverses, measured from the safety shot of the pass, else from the master's.

    A shot of the audience is none: everybody sees where it looks, and a reverse joins through it.
    """
    if shoot.venue.stage.form == "round" or not seen:
        return seen
    units, _ = units_and_frames(tuple(angle.view for angle in seen))
    axes: dict[str, Floats] = {}
    for angle, unit in zip(seen, units, strict=True):
        if angle.is_safety:
            axes.setdefault(angle.placement.pass_id, unit)
    marked = []
    for angle, unit in zip(seen, units, strict=True):
        axis = axes.get(angle.placement.pass_id, axes.get(master_id))
        turned = 0.0 if axis is None else float(turned_in_plan_deg(unit[None], axis)[0])
        is_audience = angle.view.subject.kind == "audience"
        is_reverse = not is_audience and turned > REVERSE_DEG + ANGLE_EPSILON_DEG
        marked.append(Angle(angle.placement, angle.view, angle.is_safety, is_reverse))
    return marked


def _pair(
    shoot: Shoot, first: Angle, second: Angle, apart_deg: float, at_stage_deg: float, factor: float
) -> Pair:
    rules = shoot.rules
    steps = abs(LADDER.index(first.view.size) - LADDER.index(second.view.size))
    return Pair(
        first=first,
        second=second,
        apart_deg=apart_deg,
        at_stage_deg=at_stage_deg,
        factor=float(factor),
        steps=steps,
        is_alike=not _differ(rules, apart_deg, factor),
        margin=_margin(apart_deg, factor, rules.angle_deg, rules.size_factor),
        cut=_cut(shoot, first, second, float(factor)),
    )


def _cut(shoot: Shoot, first: Angle, second: Angle, factor: float) -> Cut | None:
    """Return how two angles cut; None where neither shows what the other films."""
    if holds(shoot, first.view.subject, second):
        inner = second.view
    elif holds(shoot, second.view.subject, first):
        inner = first.view
    else:
        return None
    home_m = np.array(inner.aim_m)
    if first.subject_id == second.subject_id:  # sizes aim at different heights: between them
        home_m[2] = (first.view.aim_m[2] + second.view.aim_m[2]) / 2
    lenses_m = np.array(first.view.lens_at_m), np.array(second.view.lens_at_m)
    seen = seen_by_roamer_deg(*lenses_m, home_m, inner.subject.roam_m)
    rules = shoot.rules
    clear = (rules.clear_angle_deg, rules.clear_angle_with_size_deg, rules.clear_size_factor)
    least = np.array(seen.least_deg)
    return Cut(
        subject=inner.subject,
        seen=seen,
        is_cuttable=_differ(rules, seen.least_deg, factor),
        margin=_margin(seen.least_deg, factor, rules.angle_deg, rules.size_factor),
        is_clear=bool(differ_clearly(least, np.array(factor), *clear)),
        over_clear_deg=seen.least_deg - rules.clear_angle_deg,
        clear_with_size=_margin(seen.least_deg, factor, *clear[1:]),
    )


def _differ(rules: Rules, apart_deg: float, factor: float) -> bool:
    found = differ(np.array(apart_deg), np.array(factor), rules.angle_deg, rules.size_factor)
    return bool(found)


def _margin(apart_deg: float, factor: float, angle_deg: float, size_factor: float) -> Margin:
    ratio = apart_deg / angle_deg if angle_deg > 0 else np.inf
    return Margin(apart_deg - angle_deg, factor / size_factor, ratio)
