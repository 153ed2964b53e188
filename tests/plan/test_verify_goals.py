"""Values of the goals by hand, and the best set of viewpoints to count."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest

from kitplan.plan.verify import (
    Camera,
    Scene,
    Setup,
    Stand,
    alike_pairs,
    best_counting,
    count_best,
    goal_values,
)
from kitplan.shoot.venue import Position
from tests.small import (
    STAGE_M,
    WIDE,
    body,
    optic,
    person,
    position,
    role,
    run,
    show,
    singer,
    small_kit,
    small_shoot,
    support,
)

CAM = body(built_in=optic(**WIDE))


def scene(**parts: Any) -> Scene:
    """Return a small scene without wings whose camera takes every size."""
    stage = {"outline_m": STAGE_M, "has_wings": False}
    return Scene(small_shoot(stage=stage, **parts), small_kit(CAM))


def setup(place: Position, who: str | None = None, size: str = "MS", **facts: Any) -> Setup:
    """Return a counted shot of the singer in the show, locked off unless somebody operates."""
    given: dict[str, Any] = {
        "each": show(),
        "person": None if who is None else person(who),
        "is_counted": True,
    }
    return Setup(
        position=place,
        camera=Camera(CAM, CAM.modes[0]),
        stand=Stand(support()),
        subject=singer(),
        size=size,
        **{**given, **facts},
    )


FRONT, LEFT, RIGHT = map(position, ("front", "left", "right"))


def test_points_by_hand() -> None:
    """One by hand 10, locked off 4 and 3, all of grade 3, over two songs of three thirds each."""
    values = goal_values(scene(), [setup(FRONT, "ann"), setup(LEFT), setup(RIGHT)])
    assert values["viewpoints"] == (10 + 4 + 3) * 100 * 6
    assert values["thinnest"] == 3
    # one size of one subject; from the front it fills under 4.5 degrees, from 11.3 m more: two
    # bands; every shot has 18 marks; 1 + 2 kg three times at 2 points each
    assert values["variety"] == 1 + 3 * 2
    assert values["quality"] == 0
    assert values["economy"] == -2 * 3 * 3000


def test_who_performs_is_not_on_offer() -> None:
    """Ann sings in the first song, so her camera is on offer in the second only."""
    ann = person("ann", performs_in=("first",))
    setups = [setup(FRONT, person=ann), setup(LEFT)]
    assert goal_values(scene(crew=(ann,)), setups)["thinnest"] == 1


def test_a_run_for_inserts_gives_a_third_and_is_never_on_offer() -> None:
    """Without a click the run gives one third a song, and nothing to the thinnest song."""
    free = run(has_click=False)
    setups = [setup(FRONT, "ann", each=free), setup(LEFT, "ben")]
    values = goal_values(scene(passes=(free, show())), setups)
    assert values["viewpoints"] == 10 * 100 * (2 + 6)
    assert values["thinnest"] == 1


def test_roles_by_weight() -> None:
    """A want role counts its weight for each pass that it is wanted in every time."""
    wanted = role("solo", priority="want", weight=4, in_passes="every")
    nice = role("pretty", priority="nice", weight=5, also=True)
    setups = [setup(FRONT, "ann", roles=("solo", "pretty"))]
    values = goal_values(scene(roles=(wanted, nice), passes=(run(), show())), setups)
    assert values["wants"] == 4
    assert values["variety"] == 1 + 3 + 5
    assert values["musts"] == 0


def test_narrow_views_want_a_steady_hand() -> None:
    """4.3 degrees are under 6: three marks for somebody without a steady hand, none locked off."""
    shaky = person("ben", is_skilled=False)
    assert goal_values(scene(), [setup(FRONT, person=shaky)])["quality"] == -3
    assert goal_values(scene(), [setup(FRONT)])["quality"] == 0


def test_views_that_differ_but_not_clearly_lose_a_mark_each() -> None:
    """Left of the front by 45 degrees is clear; at 40 degrees both lose one."""
    near = position("near", at_m=(-7.713, -7.193))  # 12 m at 40 degrees
    assert goal_values(scene(), [setup(FRONT), setup(LEFT)])["quality"] == 0
    assert goal_values(scene(), [setup(FRONT), setup(near)])["quality"] == -2


def test_a_lens_change_is_a_camera_that_was_not_together_before() -> None:
    """Built-in lenses never change; a lens on another body does."""
    values = goal_values(scene(passes=(run(), show())), [setup(FRONT, each=run()), setup(LEFT)])
    # 15 minutes of reset and 3 kg
    assert values["economy"] == -(15_000 + 2 * 3000)


@pytest.mark.parametrize(("angle_deg", "is_alike"), [(44.9, False), (45.0, False), (45.1, True)])
def test_at_the_threshold_views_differ(angle_deg: float, is_alike: bool) -> None:
    """Left and front are 45 degrees apart in plan, level with the aim point."""
    setting = scene(rules={"angle_deg": angle_deg})
    setups = [setup(position("front")), setup(position("left", at_m=(-12, 2)))]
    right_angle = alike_pairs(scene(rules={"angle_deg": 90.0}), setups)
    assert right_angle == []
    turned = [setups[0], setup(position("left", at_m=(-(72**0.5), 2 - 72**0.5)))]
    assert bool(alike_pairs(setting, turned)) is is_alike


def test_two_beside_beat_one_between() -> None:
    """The view between two others is alike to both; counting it alone is worth less."""
    between = position("between", at_m=(-4.6, -9.1))
    setups = [setup(between, "ann"), setup(FRONT, "ben"), setup(LEFT, "cy")]
    setting = scene(crew=tuple(map(person, ("ann", "ben", "cy"))))
    assert alike_pairs(setting, setups) == [(0, 1), (0, 2)]
    best = best_counting(setting, setups)
    assert (best.chosen, best.thinnest, best.is_exact) == ((1, 2), 2, True)
    assert [one.is_counted for one in count_best(setting, setups)] == [False, True, True]


def test_the_thinnest_song_comes_before_the_points() -> None:
    """Ann's shot is worth more, but she performs in the second song; the locked-off one is kept."""
    ann = person("ann", performs_in=("second",))
    setups = [setup(FRONT, person=ann), setup(FRONT)]
    best = best_counting(scene(crew=(ann,)), setups)
    assert (best.chosen, best.thinnest) == ((1,), 1)


@pytest.mark.parametrize("seed", range(6))
def test_no_set_beats_the_best_counting(seed: int) -> None:
    """Every set of views that are not alike is tried: none is worth more."""
    spots = [
        position(f"p{n}", at_m=(((seed + 3) * 7 * n) % 23 - 11, -10 + (seed * 5 + n * n) % 11))
        for n in range(9)
    ]
    setups = [
        setup(spot, "ann" if n % 3 == 0 else None, ("MS", "FS", "WS")[(n * seed) % 3])
        for n, spot in enumerate(spots)
    ]
    setting = scene(rules={"angle_deg": 45.0})
    alike = set(alike_pairs(setting, setups))
    best = (0, 0)
    for number in range(len(setups) + 1):
        for chosen in combinations(range(len(setups)), number):
            if not alike.intersection(combinations(chosen, 2)):
                counted = [
                    replace(one, is_counted=place in chosen) for place, one in enumerate(setups)
                ]
                values = goal_values(setting, counted)
                best = max(best, (values["thinnest"], values["viewpoints"]))
    found = best_counting(setting, setups)
    assert (found.thinnest, found.viewpoints) == best
