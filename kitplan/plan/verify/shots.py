"""Rules of a shot (docs/model.md, sections 2 and 2b): what a view or its camera forbids.

Left to others: steadiness, which the stand decides (`shaking`), endurance (`lasting`), and rigs in
the picture (`crowding`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.plan.records import Manner
from kitplan.plan.verify.background import is_wide, lamps_in, seats_in, without_consent_in
from kitplan.plan.verify.findings import Fault
from kitplan.plan.verify.optics import SLACK, Look, stops
from kitplan.plan.verify.picture import Picture, light_in, look_through, picture_of, target_in
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.seen import SHARE_SLACK, hidden_in
from kitplan.plan.verify.setups import Camera
from kitplan.plan.verify.sight import View
from kitplan.shoot.records import Pass
from kitplan.shoot.venue import Light

SHOW_LIGHT_STOPS = 5.0
"""How far, in stops, seats are under the subject in show light where nobody measured them."""
_LEAST_LUX = 1e-30


def shot_faults(
    scene: Scene, each: Pass, view: View, camera: Camera, manner: Manner
) -> tuple[Fault, ...]:
    """Return what forbids a shot, whatever the stand and whoever else films."""
    key = ("shot", each.id, view.key, camera.key, manner)
    return scene.once(key, lambda: tuple(_shot_faults(scene, each, view, camera, manner)))


def _shot_faults(
    scene: Scene, each: Pass, view: View, camera: Camera, manner: Manner
) -> Iterator[Fault]:
    subject = target_in(scene, view)
    if subject.kind == "audience" and not each.has_audience:
        yield Fault("no-audience", "the pass has no audience to film", "Film it in a show")
    if light_in(scene, view, each) is None:
        wrong = f"no row of light fits {subject.id} in this pass"
        yield Fault("no-light-row", wrong, "Add its light to the shoot")
    yield from _view_faults(scene, each, view)
    look, picture = look_through(scene, camera), picture_of(scene, each, view, camera)
    if look is None or picture is None:
        return  # said by the rules of the camera, or just above
    yield from _frame_faults(look, view, picture)
    if picture.iso_open > look.max_iso * (1 + SLACK):
        wrong = f"wide open it takes ISO {picture.iso_open:.0f}"
        yield Fault("light", wrong, f"The body gives ISO {look.max_iso:.0f} at most")
    yield from _seat_faults(scene, each, view, look, picture)
    if manner == "locked-off":
        yield from _locked_faults(scene, view, picture)


def _frame_faults(look: Look, view: View, picture: Picture) -> Iterator[Fault]:
    size = view.key[2]
    if picture.widest_m < view.least_m * (1 - SLACK):
        wrong = f"the widest frame is {picture.widest_m:.2f} m high"
        yield Fault("too-long", wrong, f"{size} needs {view.least_m:.2f} m at least")
    if picture.tightest_m > view.most_m * (1 + SLACK):
        wrong = f"the tightest frame is {picture.tightest_m:.2f} m high"
        yield Fault("too-short", wrong, f"{size} allows {view.most_m:.2f} m at most")
    if view.distance_m < look.closest_m * (1 - SLACK):
        wrong = f"the subject is {view.distance_m:.2f} m away"
        yield Fault("closest-focus", wrong, f"The lens focuses from {look.closest_m:.2f} m")


def _locked_faults(scene: Scene, view: View, picture: Picture) -> Iterator[Fault]:
    width = picture.frame_m * scene.shoot.delivery.aspect
    if width < view.needed_width_m * (1 - SLACK):
        wrong = f"the locked frame is {width:.2f} m wide"
        yield Fault("roam", wrong, f"The subject needs {view.needed_width_m:.2f} m")
    if not picture.is_all_sharp:
        wrong = f"locked focus holds {picture.sharp_from_m:.2f} m to {picture.sharp_to_m:.2f} m"
        right = f"The subject is {view.near_m:.2f} m to {view.far_m:.2f} m away"
        yield Fault("focus", wrong, right)


# -- what is in the picture ------------------------------------------------------------------------


def _view_faults(scene: Scene, each: Pass, view: View) -> Iterator[Fault]:
    """What is wrong with a view whatever films it."""
    hidden, most = hidden_in(scene, each, view).share, scene.shoot.rules.hidden_most
    if hidden > most + SHARE_SLACK:
        yield Fault("hidden", f"{hidden:.0%} of the target is hidden", f"At most {most:.0%} may be")
    for lamp in lamps_in(scene, each, view):
        if lamp.kind == "laser":
            right = "Film from where it does not reach the lens"
            yield Fault("laser", f"the view looks into {lamp.id}", right)
    unasked = () if is_wide(scene, view) else without_consent_in(scene, view)
    if unasked:
        wrong = f"{', '.join(unasked)} did not consent and would be in the picture"
        wide = scene.shoot.rules.consent_wide_m
        yield Fault("consent", wrong, f"Frames of {wide:g} m and more may show them")


def _seat_faults(
    scene: Scene, each: Pass, view: View, look: Look, picture: Picture
) -> Iterator[Fault]:
    rules, share = scene.shoot.rules, seats_in(scene, each, view).share
    most = rules.seats_share_plain
    if are_seats_dark(scene, each, view) and are_seats_soft(scene, each, view, look, picture):
        most = rules.seats_share_soft
    if share > most + SHARE_SLACK:
        wrong = f"empty seats take {share:.1%} of the picture"
        yield Fault("empty-seats", wrong, f"At most {most:.1%} may be such")


def are_seats_dark(scene: Scene, each: Pass, view: View) -> bool:
    """Return whether the light on empty seats is far below that on the target, at its dimmest."""
    light = light_in(scene, view, each)
    if light is None:
        return False
    under = stops(light.dim_lux / max(_house_lux(each, light), _LEAST_LUX))
    return under >= scene.shoot.rules.seats_dark_stops - SLACK


def _house_lux(each: Pass, light: Light) -> float:
    if each.house_lux is not None:
        return each.house_lux
    return light.dim_lux * (2**-SHOW_LIGHT_STOPS if each.is_in_show_light else 1.0)


def are_seats_soft(scene: Scene, each: Pass, view: View, look: Look, picture: Picture) -> bool:
    """Return whether even the empty seats nearest to the focus are out of it.

    Blur in mm on the sensor, focused at the aim point; focal length and stop behind the adapter.
    """
    focal, focus = picture.focal_mm * look.focal_factor, 1000 * view.distance_m
    depth = 1000 * seats_in(scene, each, view).depth_near(view.distance_m)
    if depth <= 0 or focus <= focal:
        return True  # there are no seats, or closest focus refuses the shot
    blur = focal**2 / (picture.stop * (focus - focal)) * abs(depth - focus) / depth
    return blur >= (scene.shoot.rules.seats_soft_share - SLACK) * look.height_mm
