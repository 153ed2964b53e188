"""Shots: all at once in arrays, and the same one by one from the formulas of optics."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitplan.options.refusals import SENTENCES, Refusal
from kitplan.options.shots import RULES, Shots, band_names, band_of
from kitplan.options.spots import Options, find_options
from kitplan.shoot.reading import read_brief
from kitplan.shoot.venue import Subject
from kitplan.tables import scenario
from tests.options.single import MANNERS, by_hand, seen_by
from tests.small import (
    adapter,
    body,
    card,
    lens,
    optic,
    person,
    position,
    prime,
    show,
    singer,
    small_brief,
    small_kit,
    support,
    unit,
)


@cache
def demo(name: str) -> Options:
    """Return the options of a bundled shoot."""
    return find_options(read_brief(scenario(name)))


@settings(deadline=None)  # the first example reads the shoot
@given(st.sampled_from(("school-dance", "depot-brass")), st.randoms(use_true_random=False))
def test_arrays_and_single_formulas_agree(name: str, random: Any) -> None:
    """Any view with any camera at any position in any pass of a bundled shoot."""
    options = demo(name)
    spot = random.choice([spot for spot in options.spots if spot.cameras])
    row, column = random.randrange(len(spot.views)), random.randrange(len(spot.cameras))
    shots: Shots = spot.shots
    view, camera = spot.views[row], spot.cameras[column]
    one = by_hand(options.brief, spot, view, camera, seen_by(spot, row))
    place = (row, column)
    own = (one.focal_mm, one.stop, one.iso, one.frame_m, one.view_deg)
    assert shots.settings(row, column) == pytest.approx(own)
    for manner in MANNERS:
        refusal = shots.refusal(row, column, manner)
        assert (refusal.rule if refusal else "") == one.refused[manner]
        stands = {stand for stand, way in one.steady if way == manner}
        assert set(shots.stand_rows(manner)) == stands
        assert shots.possible(manner)[place] == (refusal is None and bool(stands))
        for stand in stands:
            steady = one.steady[stand, manner]
            is_refused = one.refused[manner] not in ("", "steadiness") or steady == 0
            assert shots.possible_on(stand, manner)[place] != is_refused
            assert shots.grade(manner, stand)[place] == min(one.grade[manner], steady)
            assert shots.quality(manner, stand)[place] == one.marks[manner] + steady


@pytest.mark.parametrize(
    ("view_deg", "band"),
    [
        (0.5, "long tele"),
        (4.49, "long tele"),
        (4.5, "tele"),
        (9, "short tele"),
        (17.9, "short tele"),
        (18, "normal"),
        (32, "wide"),
        (55, "very wide"),
        (120, "very wide"),
    ],
)
def test_bands_begin_at_their_lower_edge(view_deg: float, band: str) -> None:
    """The table's bands, narrowest first."""
    assert band_names()[int(band_of(np.array([view_deg]))[0])] == band


def test_a_single_shot_by_hand() -> None:
    """The singer from the front: 118.81 mm, f/5.6, ISO 965, 4.295 degrees, six threes of marks."""
    spot = find_options(small_brief()).spots[0]
    row = [view.key for view in spot.views].index(("front", "singer", "MS"))
    shots = spot.shots
    found = shots.settings(row, 0)
    assert found.focal_mm == pytest.approx(9 * 12000 / 909)
    assert found.stop == pytest.approx(5.6)
    assert found.iso == pytest.approx(241.304 * 4, rel=1e-5)
    assert found.view_deg == pytest.approx(4.2952, rel=1e-4)
    for manner in MANNERS:
        assert shots.quality(manner, "stand")[row, 0] == 18
        assert shots.grade(manner, "stand")[row, 0] == 3


@pytest.mark.parametrize(
    ("max_iso", "stop"),
    [(6400, 5.6), (965.2, 3.9598), (482.7, 2.8), (300, 2.8)],
    ids=["all-the-way", "one-stop", "none-to-spare", "short-of-light"],
)
def test_the_stop_is_closed_by_what_light_is_spare(max_iso: float, stop: float) -> None:
    """ISO 241.3 wide open: one stop is kept, the rest closes the iris, to f/5.6 at most."""
    spot = find_options(small_brief(small_kit(body(max_iso=max_iso)))).spots[0]
    row = [view.key for view in spot.views].index(("front", "singer", "MS"))
    assert spot.shots.settings(row, 0).stop == pytest.approx(stop, rel=1e-3)


@pytest.mark.parametrize(("least_stop", "stop"), [(4, 4), (5.6, 5.6), (16, 5.6)])
def test_the_stop_is_closed_as_far_as_the_lens_goes(least_stop: float, stop: float) -> None:
    """To its smallest aperture, or to the rule `most_stop`, whichever comes first."""
    kit = small_kit(body(built_in=optic(least_stop=least_stop)))
    spot = find_options(small_brief(kit)).spots[0]
    row = [view.key for view in spot.views].index(("front", "singer", "MS"))
    assert spot.shots.settings(row, 0).stop == pytest.approx(stop)


def test_a_fixed_stop_stays_open() -> None:
    """An electronic iris behind a plain ring."""
    kit = small_kit(body(mount="E"), lens(mount="PL", iris="electronic"), adapter())
    spot = find_options(small_brief(kit)).spots[0]
    for row in range(len(spot.views)):
        assert spot.shots.settings(row, 0).stop == pytest.approx(2.8)


# -- every refusal ---------------------------------------------------------------------------------


def _refused(kit: Any = None, **parts: Any) -> set[str]:
    options = find_options(small_brief(kit, **parts))
    found: list[Refusal] = [*options.refusals, *(refusal for _, refusal in options.closed)]
    found += [refusal for spot in options.spots for refusal in spot.refusals]
    found += [refusal for _, refusal in options.shot_refusals()]
    for refusal in found:
        assert str(refusal).startswith(f"{refusal.what}: ")  # every figure it prints is there
    return {refusal.rule for refusal in found}


def _front(**facts: Any) -> dict[str, Any]:
    return {"positions": (position("front", **facts),)}


ROAMS = (singer(roam_m=3),)
CROWD = (singer(), Subject(id="crowd", kind="audience"))
PILLAR = {"id": "pillar", "outline_m": ((-1, -2), (1, -2), (1, -1), (-1, -1)), "height_m": 3}
FAIR = {"hidden_full": 0.02, "hidden_fair": 0.1, "hidden_most": 0.25}
BEHIND = ((-9, 8), (9, 8), (9, 20), (-9, 20))
"""Seats behind the singer."""
REFUSED: dict[str, tuple[Any, dict[str, Any]]] = {
    "mount": (small_kit(body(mount="E"), lens(mount="PL"), body("spare")), {}),
    "flange": (
        small_kit(
            body(mount="PL"),
            lens(),
            adapter(lens_mount="E", body_mount="PL"),
            body("spare"),
        ),
        {},
    ),
    "image-circle": (small_kit(body(mount="E"), lens(image_circle_mm=11), body("spare")), {}),
    "mode": (small_kit(body(mode={"frame_rate_fps": 50}), body("spare")), {}),
    "shutter": (
        small_kit(body(shutter_speeds_per_s=(60,)), body("spare", shutter_speeds_per_s=(50,))),
        {},
    ),
    "no-unit": (small_kit(body("spare"), units=(unit("cam", condition="missing"),)), {}),
    "fitting": (small_kit(support("tower", fitting="thread")), {}),
    "stands-on": (small_kit(support("clamp", stands_on=("rail",))), {}),
    "height": (small_kit(support("low", height_max_m=0.6)), {}),
    "room": (small_kit(support("slider", footprint_m=3)), {}),
    "mains": (small_kit(support("crane", needs_mains=True)), {}),
    "payload": (small_kit(body("heavy", mass_kg=9)), {}),
    "skill": (small_kit(support("jib", skill="jib")), {}),
    "hands": (small_kit(support("crane", people=3)), {}),
    "closed": (None, _front(open_in=("run",))),
    "permission": (None, _front(permission={"state": "refused"})),
    "overhead": (None, _front(is_overhead=True)),
    "not-operator": (None, {"crew": (person("ann", is_operator=False),)}),
    "not-on-hand": (None, {"passes": (show(people=("ann",)),)}),
    "performs": (None, {"crew": (person("ann", performs_in=("first", "second")),)}),
    "on-stage": (
        None,
        _front(is_on_stage=True) | {"crew": (person("ann"), person("ben", may_be_on_stage=True))},
    ),
    "not-allowed-there": (None, _front(only_people=("ann",))),
    "nobody-rigs": (None, _front(is_on_stage=True)),
    "shut-in": (
        None,
        {
            "crew": (person("ann", performs_in=("first",)),),
            **_front(is_shut_in_by_audience=True),
        },
    ),
    "too-long": (None, {}),
    "too-short": (None, {}),
    "closest-focus": (small_kit(body(built_in=optic(closest_focus_m=50))), {}),
    "light": (small_kit(body(max_iso=200)), {}),
    "no-light-row": (None, {"light": ({"subjects": ("x",), "dim_lux": 1, "bright_lux": 1},)}),
    "no-audience": (None, {"subjects": CROWD, "passes": (show(has_audience=False),)}),
    "focus": (None, {"subjects": (singer(roam_m=0.75),)}),
    "roam": (None, {"subjects": ROAMS}),
    "endurance": (small_kit(body(battery_min=20)), _front(is_out_of_reach=True)),
    "needs-hand": (None, _front(is_out_of_reach=True)),
    "needs-rest": (small_kit(support("shoulder", can_stand_alone=False)), {}),
    "no-card": (small_kit(card(card_type="cf")), {}),
    "automatic": (small_kit(body(has_manual_control=False)), {}),
    "laser": (None, {"lamps": ({"id": "beam", "kind": "laser", "at_m": (0, 4), "height_m": 1.5},)}),
    "consent": (None, {"subjects": (singer(has_consent=False),)}),
    "hidden": (None, {"obstacles": (PILLAR,), "rules": FAIR}),
    "empty-seats": (
        None,
        {
            "audience": ({"id": "behind", "outline_m": BEHIND},),
            "passes": (show(has_audience=False),),
            "rules": {"seats_share_plain": 0.03},
        },
    ),
    "steadiness": (None, {"rules": {"steady_operated": 1e-4, "steady_locked": 1e-4}}),
}
"""A shoot and kit for every rule that refuses something."""


@pytest.mark.parametrize("rule", REFUSED)
def test_every_refusal_can_be_reached(rule: str) -> None:
    """And its sentence has all its figures."""
    kit, parts = REFUSED[rule]
    assert rule in _refused(kit, **parts)


def test_every_sentence_has_a_case_and_every_rule_a_sentence() -> None:
    """No rule without words, no words without a rule."""
    assert set(REFUSED) == set(SENTENCES)
    assert set(RULES) - {""} <= set(SENTENCES)


def test_the_first_rule_that_fails_is_named() -> None:
    """Too long and too dark: too long comes first."""
    kit = small_kit(body(max_iso=200, built_in=prime(200)))
    spot = find_options(small_brief(kit)).spots[0]
    row = [view.key for view in spot.views].index(("front", "singer", "MS"))
    refusal = spot.shots.refusal(row, 0, "operated")
    assert refusal is not None
    assert refusal.rule == "too-long"
