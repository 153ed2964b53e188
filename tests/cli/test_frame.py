"""`kitplan frame`: figures worked out by hand, and mistakes with their remedy."""

from __future__ import annotations

import json
from typing import Any

import pytest
from typer.testing import CliRunner

from kitplan.cli.main import app
from kitplan.errors import SettingError


def answer(*arguments: str) -> dict[str, Any]:
    """Ask and return the answer as data."""
    result = CliRunner().invoke(app, ["frame", *arguments, "--json"], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(result.output)["answer"]
    return found


def test_frame_height_of_a_full_frame_body() -> None:
    """16:9 of 36 mm is 20.25 mm high: 20.25 * (10 - 0.05) / 50 = 4.03 m; 36 mm give 7.16 m."""
    found = answer("--focal", "50", "--distance", "10")
    assert found["active_mm"] == pytest.approx([36, 20.25])
    assert found["frame_m"] == pytest.approx([7.164, 4.030], abs=0.001)
    assert found["size"] == "WS"
    assert found["depth"] is None


def test_size_gives_the_focal_length() -> None:
    """A medium shot is 0.9 m: 20.25 * 10000 / (900 + 20.25) = 220.05 mm."""
    found = answer("--size", "ms", "--distance", "10")
    assert found["focal_mm"] == pytest.approx(220.05, abs=0.01)
    assert (found["size"], found["fits_size"]) == ("MS", True)


def test_a_child_needs_a_longer_lens() -> None:
    """Sizes scale with stature: 1.4 of 1.75 m is 0.8, and 0.9 * 0.8 = 0.72 m."""
    found = answer("--size", "MS", "--distance", "10", "--subject-height", "1,4")
    assert found["frame_m"][1] == pytest.approx(0.72)


def test_light_needs_this_iso() -> None:
    """T = 2.8 * 2 ** 0.25 = 3.33; 250 * 3.33 ** 2 / (400 * 0.02) = 346."""
    found = answer("--focal", "50", "--distance", "5", "--stop", "2,8", "--lux", "400")
    assert found["shutter_s"] == pytest.approx(0.02)
    assert found["exposure"]["iso"] == pytest.approx(346.5, abs=0.5)
    assert found["exposure"]["nd_stops"] == 0


def test_too_much_light_needs_nd() -> None:
    """Four times the light of ISO 100 is two stops."""
    found = answer(
        *("--focal", "50", "--distance", "5", "--stop", "2.8", "--lux", str(346.48 * 16)),
        *("--base-iso", "100"),
    )
    assert found["exposure"]["iso"] == pytest.approx(25, abs=0.1)
    assert found["exposure"]["nd_stops"] == pytest.approx(2, abs=0.01)


def test_depth_of_field_reaches_infinity_beyond_the_hyperfocal_distance() -> None:
    """12 mm at f/8 on a small sensor: all but the nearest metres are sharp."""
    found = answer(
        *("--sensor", "one-inch", "--focal", "12", "--distance", "8", "--stop", "8"),
    )
    assert found["depth"]["far_m"] is None
    assert found["depth"]["hyperfocal_m"] < 8


def test_shutter_follows_mains_and_frame_rate() -> None:
    """A given one that flickers is said to."""
    assert answer("--focal", "50", "--distance", "5", "--fps", "30", "--mains", "60")[
        "shutter_s"
    ] == pytest.approx(1 / 60)
    found = answer("--focal", "50", "--distance", "5", "--shutter", "1/80")
    assert found["shutter_s"] == pytest.approx(1 / 80)
    assert "ripple" in found["shutter_words"]


@pytest.mark.parametrize(
    "sensor", ["23.6x15.6", "23,6 x 15,6 mm", "aps-c", "APS-C"], ids=["x", "comma", "name", "case"]
)
def test_sensor_by_name_or_by_size(sensor: str) -> None:
    """Both ways give the same: 16:9 of 23.6 mm is 13.275 mm high."""
    found = answer("--sensor", sensor, "--focal", "50", "--distance", "5")
    assert found["active_mm"] == pytest.approx([23.6, 13.275])


def test_text_has_every_line() -> None:
    """In words, with what is missing for the rest."""
    result = CliRunner().invoke(app, ["frame", "--focal", "85", "--distance", "12"])
    for words in ("Sensor in use", "Frame", "Angle of view", "Shot size", "Shutter", "give --stop"):
        assert words in result.output


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--distance", "5"], "neither --focal nor --size is given. Give --focal MM or --size"),
        (["--distance", "5", "--focal", "50", "--size", "MS"], "both are given"),
        (["--distance", "5", "--size", "MSS"], "Did you mean 'MS'?"),
        (["--distance", "5", "--focal", "50", "--sensor", "full"], "Did you mean 'full-frame'?"),
        (["--distance", "0.04", "--focal", "50"], "expected distance_m > focal_mm / 1000"),
    ],
)
def test_mistakes_have_their_remedy(arguments: list[str], message: str) -> None:
    """As errors that become status 2."""
    result = CliRunner().invoke(app, ["frame", *arguments])
    assert isinstance(result.exception, SettingError), result.output
    assert message in str(result.exception)


@pytest.mark.parametrize("text", ["x", "-5", "0", "nan", "inf", "1e9"])
def test_numbers_that_are_none_are_refused(text: str) -> None:
    """By the command line itself, with status 2."""
    result = CliRunner().invoke(app, ["frame", "--focal", "50", f"--distance={text}"])
    assert result.exit_code == 2
    assert "is not a number above 0" in result.output
