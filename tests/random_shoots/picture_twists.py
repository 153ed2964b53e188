"""Twists of the picture: what hides, what is in the frame, how still it is."""

from __future__ import annotations

from tests.random_shoots.draft import SEATS, Draft, Facts
from tests.random_shoots.gear_twists import Twist
from tests.random_shoots.shoot_twists import safety
from tests.small import AS_USUAL

PERFORMANCES = ("concert", "concert", "worship", "theatre", "dance", "school")
RISER = ((-1.0, 0.5), (1.0, 0.5), (1.0, 1.2), (0.4, 1.2), (0.4, 0.9), (-1.0, 0.9))
"""An outline with a corner that turns in."""


def usual_pictures(draft: Draft) -> None:
    """The rules of the picture as every shoot has them, for some kind of performance."""
    draft.rules = {**AS_USUAL, **draft.rules}
    draft.parts["performance"] = draft.chance.choice(PERFORMANCES)


def facing(draft: Draft) -> None:
    """Cameras that look at each other across the stage."""
    usual_pictures(draft)
    spots = ((-5, 1), (5, 3), (0, 7))
    for each, spot in zip(draft.positions, spots, strict=False):
        each["at_m"] = spot
        each["lens_height_m"] = draft.chance.choice((0.8, 1.4, 1.8))


def in_the_pit(draft: Draft) -> None:
    """A camera before the stage, in the wide frame of the one behind it."""
    usual_pictures(draft)
    for each, spot in zip(draft.positions, ((0.5, -1), (0, -12), (-6, -6)), strict=False):
        each["at_m"] = spot
    draft.positions[-1]["lens_height_m"] = draft.chance.choice((1.4, 2.4))
    for support in draft.kind("support"):
        support["height_max_m"] = 2.5


def crowd(draft: Draft) -> None:
    """An audience before the cameras, seated or standing, on a rake, in part unsold."""
    usual_pictures(draft)
    state = draft.chance.choice(("seated", "standing", "standing"))
    rake = draft.chance.choice((0, 0, 8))
    draft.audience = [
        {"id": "seats", "outline_m": SEATS, "state": state, "rake_deg": rake},
    ]
    if draft.maybe(0.4):
        draft.audience[0]["empty_in"] = (draft.passes[-1]["id"],)
    draft.passes[-1]["has_audience"] = True
    for each in draft.positions:
        each["floor_height_m"] = draft.chance.choice((0, 0.5, 1.0))
    if draft.maybe(0.5):
        safety(draft)


def empty_house(draft: Draft) -> None:
    """A camera upstage that looks out into empty seats, dark or lit."""
    usual_pictures(draft)
    draft.audience = [{"id": "seats", "outline_m": SEATS, "state": "seated"}]
    draft.positions[0]["at_m"] = (draft.chance.choice((-2, 1)), 5.5)
    draft.positions[0]["floor_height_m"] = draft.chance.choice((0, 0.8))
    for each in draft.passes:
        each["house_lux"] = draft.chance.choice((None, 4, 120))


def in_the_way(draft: Draft) -> None:
    """A pillar, a riser, somebody who stands before the others."""
    usual_pictures(draft)
    draft.obstacles = [
        {"id": "riser", "outline_m": RISER, "height_m": draft.chance.choice((0.4, 1.1, 1.5))}
    ]
    draft.subjects.append({"id": "leader", "at_m": (0, 0.2), "roam_m": draft.chance.choice((0, 1))})
    if draft.maybe(0.5):
        draft.subjects[0]["part_of"] = "leader"
    if draft.maybe(0.4):
        draft.parts["stage"] = {
            "outline_m": ((-4, 0), (4, 0), (3, 6), (-3, 6)),
            "height_m": draft.chance.choice((0.5, 1.0)),
            "form": draft.chance.choice(("end", "round")),
        }


def lamps(draft: Draft) -> None:
    """Lamps, a window, a laser; one shines in some pass only."""
    usual_pictures(draft)
    kinds = draft.chance.sample(("lamp", "window", "laser"), 2)
    for number, kind in enumerate(kinds):
        draft.lamps.append(
            {
                "id": f"lamp-{number}",
                "kind": kind,
                "at_m": draft.chance.choice(((0, 6), (1, 5.5), (-3, 6))),
                "height_m": draft.chance.choice((1.5, 2.5)),
                "faces_deg": draft.chance.choice((None, 180, 0)),
                "passes": draft.chance.choice((None, (draft.passes[0]["id"],))),
            }
        )


def no_consent(draft: Draft) -> None:
    """Somebody who has not agreed to be filmed."""
    usual_pictures(draft)
    subject = draft.some(draft.subjects)
    subject["has_consent"] = False
    draft.rules["consent_wide_m"] = draft.chance.choice((1.5, 4.0, 9.0))


def moving(draft: Draft) -> None:
    """An arm with an arc and perhaps a place to park, a track, a walk."""
    facing(draft)
    arm: Facts = {"moves": ("boom",), "is_arm": True, "can_stand_alone": False}
    other = draft.chance.choice(({"moves": ("track",)}, {"moves": ("walk",)}))
    draft.kind("support")[0].update(draft.chance.choice((arm, other)))
    draft.kind("support")[0]["sweep_m"] = draft.chance.choice((None, 0.6, 1.5))
    for each in draft.positions:
        each["arc_deg"] = draft.chance.choice((None, (300, 60), (90, 180)))
        if each["arc_deg"] is not None:
            each["park_deg"] = draft.chance.choice((None, each["arc_deg"][1]))


def shaking(draft: Draft) -> None:
    """A floor that moves, supports that are held, wind, a stabiliser."""
    usual_pictures(draft)
    chance = draft.chance
    draft.passes[-1]["has_audience"] = True
    draft.audience = [{"id": "seats", "outline_m": SEATS, "state": "standing"}]
    for each in draft.positions:
        each["floor"] = chance.choice(("sprung-timber", "scaffold", "pontoon", "concrete"))
        each["is_outdoors"] = draft.maybe(0.3)
    draft.some(draft.kind("support"))["can_stand_alone"] = draft.maybe(0.4)
    draft.some(draft.kind("body"))["stabiliser_stops"] = chance.choice((0, 1, 3))


PICTURE_TWISTS: tuple[Twist, ...] = (
    usual_pictures,
    facing,
    in_the_pit,
    crowd,
    empty_house,
    in_the_way,
    lamps,
    no_consent,
    moving,
    shaking,
)
