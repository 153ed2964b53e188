"""Looks: a placement's lens, where it points and how wide it sees, for its main shot and its menu.

The focal length and angle of view of a menu shot are not in the plan: they follow from the main
shot, for the same lens and recording mode frames the menu.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, degrees, dist, hypot, radians, tan

from kitplan.gear.records import Body, Lens, Optic
from kitplan.paper.drawings.text import FIXED_SPACE
from kitplan.paper.names import Names
from kitplan.plan.framing import Framing
from kitplan.plan.records import Placement, Shot
from kitplan.shoot.records import Shoot
from kitplan.shoot.scenery import aim_height_m, floor_of, outline_of, place_of
from kitplan.shoot.sizes import AREAL, LADDER, frame_range, sizes_for
from kitplan.shoot.venue import Position, Subject
from kitplan.stage.outline import width_seen_m

Place = tuple[float, float, float]
LEAST_DISTANCE_M = 0.1
LEAST_TILT_SHARE = 0.2
WIDEST_DEG = 170.0


@dataclass(frozen=True)
class Look:
    """A shot of a placement as a camera in the venue."""

    placement: Placement
    position: Position
    subject: Subject
    size: str
    lens_m: Place
    aim_m: Place
    view_deg: float
    """Vertical angle of view."""
    aspect: float
    focal_mm: float
    is_main: bool
    """The main shot; else one of the menu."""

    @property
    def distance_m(self) -> float:
        """From the lens to the aim point."""
        return dist(self.lens_m, self.aim_m)

    @property
    def half_width_m(self) -> float:
        """Half the width of the frame at the aim point: its tangent is aspect x the vertical's."""
        return self.distance_m * self.aspect * tan(radians(self.view_deg) / 2)

    @property
    def tilt_deg(self) -> float:
        """How far the lens points down (positive) or up."""
        flat = hypot(self.aim_m[0] - self.lens_m[0], self.aim_m[1] - self.lens_m[1])
        return degrees(atan((self.lens_m[2] - self.aim_m[2]) / max(flat, 1e-9)))


def looks_of(names: Names, placement: Placement) -> tuple[Look, ...]:
    """Return the looks of a placement: its main shot, then its menu."""
    main = _look(names, placement, placement.shot)
    reach = _focal_range_mm(names, placement)
    menu = (_menu_look(names, placement, framing, main, reach) for framing in placement.menu)
    return (main, *menu)


def look_of(names: Names, placement: Placement, framing: Framing) -> Look:
    """Return the look of a placement at one framing: its main shot, or as on its menu."""
    main = _look(names, placement, placement.shot)
    if (framing.subject, framing.size) == (placement.shot.subject, placement.shot.size):
        return main
    return _menu_look(names, placement, framing, main, _focal_range_mm(names, placement))


def focal_words(focal_mm: float) -> str:
    """Return a focal length as people say it: '8.8 mm', '85 mm'."""
    figure = f"{focal_mm:.0f}" if focal_mm >= 20 else f"{focal_mm:.3g}"
    return f"{figure}{FIXED_SPACE}mm"


def _look(names: Names, placement: Placement, shot: Shot) -> Look:
    shoot, _ = names.plan.pass_of(placement.pass_id)
    subject, position = shoot.subjects_by_id[shot.subject], names.position(placement)
    aim_m, _ = _aim(shoot, position, subject, shot.size, shot.frame_height_m)
    return Look(
        placement=placement,
        position=position,
        subject=subject,
        size=shot.size,
        lens_m=position.lens_at_m,
        aim_m=aim_m,
        view_deg=min(shot.view_deg, WIDEST_DEG),
        aspect=shoot.delivery.aspect,
        focal_mm=shot.focal_mm,
        is_main=True,
    )


def _menu_look(
    names: Names,
    placement: Placement,
    framing: Framing,
    main: Look,
    reach_mm: tuple[float, float] | None,
) -> Look:
    """A menu shot: the lens zoomed to the planned frame, or as near to it as it gets."""
    shoot, _ = names.plan.pass_of(placement.pass_id)
    subject = shoot.subjects_by_id[framing.subject]
    aim_m, frame_m = _aim(
        shoot, main.position, subject, framing.size, placement.shot.frame_height_m
    )
    distance_m = max(dist(main.lens_m, aim_m), LEAST_DISTANCE_M)
    # The same sensor: frame height = active height x (distance / focal length - 1), with the active
    # height taken from the main shot. It is that of the engraved scale: adapters cancel out.
    main_m = 2 * main.distance_m * tan(radians(main.view_deg) / 2)
    focal_m = main.focal_mm / 1000
    active_m = main_m * focal_m / max(main.distance_m - focal_m, 1e-6)
    wanted_m = active_m * distance_m / (frame_m + active_m)
    if reach_mm is not None:
        wanted_m = min(max(wanted_m, reach_mm[0] / 1000), reach_mm[1] / 1000)
    seen_m = active_m * max(distance_m - wanted_m, 1e-6) / max(wanted_m, 1e-6)
    return Look(
        placement=placement,
        position=main.position,
        subject=subject,
        size=framing.size,
        lens_m=main.lens_m,
        aim_m=aim_m,
        view_deg=min(degrees(2 * atan(seen_m / 2 / distance_m)), WIDEST_DEG),
        aspect=main.aspect,
        focal_mm=wanted_m * 1000,
        is_main=False,
    )


def _aim(
    shoot: Shoot, position: Position, subject: Subject, size: str, otherwise_m: float
) -> tuple[Place, float]:
    """Return the aim point, and the planned frame height square to the line of sight, in metres.

    Args:
        otherwise_m: Height of the frame where the subject has no such size (an edited plan).
    """
    at_m, outline = place_of(shoot, subject), outline_of(shoot, subject)
    if size not in LADDER or size not in sizes_for(subject):
        return (*at_m, floor_of(shoot, subject) + 1.0), otherwise_m
    width_m = subject.width_m
    if outline is not None:
        width_m = width_seen_m(outline, position.at_m, at_m)
    frame_m = frame_range(subject, size, width_m, shoot.delivery.aspect).frame_m
    aim_m = (*at_m, floor_of(shoot, subject) + aim_height_m(subject, size, frame_m))
    if subject.kind in AREAL:
        return aim_m, frame_m
    flat_m, whole_m = dist(aim_m[:2], position.at_m), dist(aim_m, position.lens_at_m)
    tilt_share = flat_m / whole_m if whole_m > 0 else 1.0
    return aim_m, frame_m * max(tilt_share, LEAST_TILT_SHARE)


def _focal_range_mm(names: Names, placement: Placement) -> tuple[float, float] | None:
    """The focal lengths that the placement's lens has."""
    item = names.item_of(placement.rig.lens or placement.rig.body)
    optic: Optic | None = item if isinstance(item, Lens) else None
    if isinstance(item, Body):
        optic = item.built_in
    return None if optic is None else (optic.focal_min_mm, optic.focal_max_mm)


def is_steep(look: Look, limit_deg: float = 55.0) -> bool:
    """Whether a look points so far down that figures are seen from above."""
    return look.tilt_deg > limit_deg
