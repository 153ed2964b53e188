"""From a brief to a plan: figures, reasons, resets, and the same plan every time."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from math import log2
from typing import Any

import pytest

from kitplan.allocate.search import Found, Limits
from kitplan.plan.files import read_plan, write_plan
from kitplan.plan.records import Plan
from kitplan.produce.solve import plan_shoot
from kitplan.shoot.reading import read_brief
from kitplan.tables import scenario, tables_hash
from tests.small import (
    adapter,
    body,
    cameras,
    lens,
    person,
    position,
    role,
    run,
    show,
    singer,
    small_brief,
    small_kit,
    solve,
    support,
)

FRONT = (position("front"),)


def only(plan: Plan) -> Any:
    """Return the only placement of the show."""
    (placement,) = cameras(plan)
    return placement


# -- figures ---------------------------------------------------------------------------------------


def test_the_figures_of_a_shot_by_hand() -> None:
    """The singer from the front, 12 m away, 0.9 m of frame: f/5.6 at ISO 965.

    At 1000 lx, without headroom for coloured light: 250 * 5.6 ** 2 / (1000 * 0.02) = 392, so there
    is nothing to hold back at base ISO 100.
    """
    shot = only(solve(small_brief(positions=FRONT))).shot
    assert (shot.subject, shot.size, shot.grade, shot.marks) == ("singer", "MS", 3, 18)
    assert shot.distance_m == pytest.approx(12)
    assert shot.frame_height_m == pytest.approx(0.9)
    assert shot.focal_mm == pytest.approx(118.81, abs=0.01)
    assert (shot.stop, shot.shutter_s) == (pytest.approx(5.6), pytest.approx(0.02))
    assert shot.iso == pytest.approx(965.2, abs=0.1)
    assert shot.iso_bright == pytest.approx(392)
    assert shot.nd_stops == 0
    assert shot.focus_m == pytest.approx(12)
    assert (shot.near_m, shot.far_m) == (
        pytest.approx(11.35, abs=0.02),
        pytest.approx(12.73, abs=0.02),
    )
    assert shot.band == "long tele"


@pytest.mark.parametrize(("bright_lux", "base_iso"), [(8000, 100), (1000, 800)])
def test_bright_light_is_held_back_by_nd(bright_lux: float, base_iso: float) -> None:
    """ISO 392 at 1000 lx is 49 at 8000: log2(100 / 49) stops; or log2(800 / 392)."""
    light = ({"dim_lux": 500, "bright_lux": bright_lux},)
    brief = small_brief(small_kit(body(base_iso=base_iso)), positions=FRONT, light=light)
    shot = only(solve(brief)).shot
    assert shot.nd_stops == pytest.approx(log2(base_iso / (392 * 1000 / bright_lux)))


def test_the_focal_length_is_what_the_lens_scale_says() -> None:
    """Behind a factor of 0.8 the lens is set to 118.81 / 0.8 = 148.5 mm."""
    kit = small_kit(
        body(mount="E"),
        lens(mount="PL", image_circle_mm=40, focal_min_mm=125, focal_max_mm=160),
        adapter(has_glass=True, focal_factor=0.8),
    )
    shot = only(solve(small_brief(kit, positions=FRONT))).shot
    assert shot.focal_mm == pytest.approx(118.81 / 0.8, abs=0.02)


def test_beyond_the_hyperfocal_distance_the_far_limit_is_none() -> None:
    """A wide lens that holds the singer to infinity."""
    wide = body(built_in={"focal_min_mm": 12, "focal_max_mm": 12, "stop_wide": 2.8,
                          "closest_focus_m": 0.3})  # fmt: skip
    subjects = (singer(frames_m={"EWS": 9 * 12 / 12 - 0.009}),)
    shot = only(solve(small_brief(small_kit(wide), positions=FRONT, subjects=subjects))).shot
    assert shot.far_m is None
    assert shot.near_m < 12


# -- what the plan tells ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kit", "item", "words"),
    [
        (small_kit(body("dim", max_iso=242, mass_kg=3)), "dim", "no goal gains by it"),
        (small_kit(body("heavy", mass_kg=9)), "heavy", "no stand there carries its 9.00 kg"),
        (small_kit(support("rod", fitting="thread")), "rod", "no owned head fits on top"),
        (small_kit(lens("stray")), "stray", "no position is open for it"),
        (
            small_kit(body(mount="E"), lens(), lens("stray", mount="PL")),
            "stray",
            "no owned adapter",
        ),
    ],
    ids=["spare", "heavy", "rod", "no-mount", "no-adapter"],
)
def test_every_item_left_out_has_a_reason(kit: Any, item: str, words: str) -> None:
    """In words, with its figures."""
    plan = solve(small_brief(kit, positions=FRONT, crew=(person("ann"),)))
    (reason,) = (each.reason for each in plan.left_out if each.item == item)
    assert words in reason


def test_what_is_used_is_not_left_out() -> None:
    """Neither is what the kit lists without a unit."""
    kit = small_kit(body("wished-for"), counts={"wished-for": 0})
    assert {each.item for each in solve(small_brief(kit)).left_out} == set()


def test_the_plan_says_what_made_it() -> None:
    """Versions, tables and limits."""
    made = solve(small_brief()).made_with
    assert (made.seed, made.workers, made.seconds) == (1, 1, 5)
    assert made.tables == tables_hash()


def test_the_plan_says_what_each_pass_is_worth() -> None:
    """The run locks in one song and gives inserts in the other."""
    plan = solve(small_brief(passes=(run(songs={"second": "stopped"}), show())))
    assert plan.worth == {
        "small/run": {"first": "locks", "second": "inserts"},
        "small/show": {"first": "live", "second": "live"},
    }


def test_viewpoints_and_economy_are_told_in_points() -> None:
    """The solver counts in percent of thirds and in thousandths; the plan in points."""
    plan = solve(small_brief(positions=FRONT))
    found = {goal.goal: (goal.value, goal.bound) for goal in plan.goals}
    assert (found["viewpoints"], found["economy"]) == ((20, 20), (-6, -6))


def test_a_plan_survives_its_file(tmp_path: Any) -> None:
    """Written and read back it is the same, letter for letter."""
    plan = solve(small_brief(passes=(run(), show()), roles=(role(),)))
    assert read_plan(write_plan(plan, tmp_path, "small")) == plan


# -- the same plan every time ----------------------------------------------------------------------


def _text(plan: Plan) -> str:
    goals = tuple(goal.model_copy(update={"seconds": 0.0}) for goal in plan.goals)
    return plan.model_copy(update={"goals": goals}).model_dump_json(by_alias=True)


@pytest.mark.long
def test_a_bundled_shoot_gives_the_same_plan_twice() -> None:
    """One worker, one seed: byte for byte, even where the limit cuts the search short."""
    brief = read_brief(scenario("school-dance"))
    limits = Limits(seconds=0.6, seed=1, workers=1)
    first, second = (_text(plan_shoot(brief, shoot_id="dance", limits=limits)) for _ in range(2))
    assert first == second


def test_a_search_stopped_before_any_goal_has_no_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """Interrupted while the empty plan is all there is: nothing is shown as a plan, and it ends as
    an interrupt does.
    """

    @contextmanager
    def interrupted(found: Found) -> Iterator[None]:
        found.was_stopped = True
        yield

    monkeypatch.setattr("kitplan.produce.solve.keeping_interrupts", interrupted)
    monkeypatch.setattr("kitplan.allocate.begin.first_plan", lambda _: frozenset())
    with pytest.raises(KeyboardInterrupt):
        solve(small_brief(positions=FRONT))
