"""Charging, copying and data volume against definitions and published figures."""

from __future__ import annotations

import pytest

from kitplan.day.media.cards import copy_minutes
from kitplan.day.media.recorded import gigabytes
from kitplan.day.power.curve import curve_of
from kitplan.gear.records import Media, RecordingMode
from kitplan.options.endurance import is_fast_enough
from kitplan.shoot.rules import default_rules


@pytest.mark.parametrize(
    ("bit_rate_mbps", "gb_an_hour"),
    # GB an hour = Mb/s x 0.45 (definition of the units; the same figures are printed in the trade):
    # 28 = 12.6, 50 = 22.5, 100 = 45, 150 = 67.5, 200 = 90
    [(28, 12.6), (50, 22.5), (100, 45.0), (150, 67.5), (200, 90.0)],
)
def test_gigabytes_an_hour(bit_rate_mbps: float, gb_an_hour: float) -> None:
    """An hour of recording is the gigabytes that are printed."""
    assert gigabytes(bit_rate_mbps, 60) == pytest.approx(gb_an_hour, abs=1e-9)


def test_gigabytes_are_powers_of_ten() -> None:
    """64 GB are 59.6046 GiB (IEC binary prefixes, 1 GiB = 1.073741824 GB): what 100 Mb/s fill in
    85.3333 min, and 128 GiB what they fill in 183.2519 min.
    """
    assert gigabytes(100, 85.3333) / 1.073741824 == pytest.approx(59.6046, abs=1e-3)
    assert gigabytes(100, 183.2519) / 1.073741824 == pytest.approx(128, abs=1e-3)


@pytest.mark.parametrize(
    ("gb", "minutes"),
    # offload of 64, 128, 256 GB at 90 MB/s: 12, 24, 47 min (arithmetic, printed rounded; a second
    # copy in series doubles it)
    [(64, 12), (128, 24), (256, 47)],
)
def test_minutes_of_a_copy(gb: float, minutes: int) -> None:
    """Rounded up to whole minutes, at most one more than the rounded figure."""
    assert minutes <= copy_minutes(gb, 90) <= minutes + 1
    assert copy_minutes(gb, 90) == -(-gb * 1000 // (90 * 60))


def test_seventy_per_cent_take_half_of_the_time() -> None:
    """A partial charge brings 70 % in about half of the time (battery guides, common practice), the
    whole one what the charger's nameplate says; USB at half the power takes double.
    """
    curve = curve_of(default_rules())
    assert curve.minutes(130, 0, 700) == 65
    assert curve.minutes(130, 0, 1000) == 130
    assert curve.after(130, 0, 65) == 700
    assert curve.minutes(260, 0, 700) == 130


@pytest.mark.parametrize(
    ("bit_rate_mbps", "speed_class_mb_s"),
    # smallest SD speed class with class >= bit rate / 8, no headroom: V10 to 80 Mb/s, V30 to 240,
    # V60 from 241 (SD Association's classes, a card maker's page; arithmetic)
    [(50, 10), (80, 10), (100, 30), (200, 30), (240, 30), (241, 60)],
)
def test_smallest_speed_class(bit_rate_mbps: float, speed_class_mb_s: float) -> None:
    """The class is fast enough, the next smaller one is not."""
    classes = [6.0, 10.0, 30.0, 60.0, 90.0]
    mode = RecordingMode(
        name="HD",
        frame_width_px=1920,
        frame_height_px=1080,
        frame_rate_fps=25,
        bit_rate_mbps=bit_rate_mbps,
    )
    fast = [each for each in classes if is_fast_enough(_card(each), mode, 1.0)]
    assert fast[0] == speed_class_mb_s


def _card(sustained_mb_s: float) -> Media:
    return Media(id="card", name="card", capacity_gb=64, sustained_mb_s=sustained_mb_s)
