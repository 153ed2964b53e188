"""Card minutes, card speeds and battery arithmetic against published figures and definitions."""

from __future__ import annotations

import pytest

from kitplan.gear.records import Media, RecordingMode
from kitplan.options.endurance import card_minutes, is_fast_enough


def _card(sustained_mb_s: float) -> Media:
    return Media(id="card", name="card", capacity_gb=64, sustained_mb_s=sustained_mb_s)


def _mode(bit_rate_mbps: float) -> RecordingMode:
    return RecordingMode(
        name="HD",
        frame_width_px=1920,
        frame_height_px=1080,
        frame_rate_fps=25,
        bit_rate_mbps=bit_rate_mbps,
    )


@pytest.mark.parametrize(
    ("capacity_gb", "bit_rate_mbps", "minutes"),
    [
        # minutes = 8 * bytes / (rate * 60), GB = 10^9 bytes (SI prefix)
        (64, 50, 170.6667),
        (64, 100, 85.3333),
        (128, 100, 170.6667),
        (128, 150, 113.7778),
        (256, 400, 85.3333),
        (1000, 240, 555.5556),
        (1.073741824 * 128, 100, 183.2519),  # 128 GiB; IEC binary prefix, GiB = 1.073741824 GB
        (45.0, 100, 60.0),  # 100 Mb/s are 45 GB an hour
    ],
)
def test_card_minutes(capacity_gb: float, bit_rate_mbps: float, minutes: float) -> None:
    """A full card holds the minutes that the definition of the units gives."""
    assert card_minutes(capacity_gb, bit_rate_mbps, 1.0) == pytest.approx(minutes, abs=0.001)


@pytest.mark.parametrize(
    ("capacity_gb", "bit_rate_mbps", "minutes"),
    # 64 GB at 90 % fill: 154 min at 50, 77 at 100, 38 at 200 Mb/s (a club-concert filming blog;
    # arithmetic)
    [(64, 50, 154), (64, 100, 77), (64, 200, 38)],
)
def test_card_minutes_at_planned_fill(
    capacity_gb: float, bit_rate_mbps: float, minutes: float
) -> None:
    """The planned fill of 90 % gives the rounded minutes in print."""
    assert card_minutes(capacity_gb, bit_rate_mbps, 0.9) == pytest.approx(minutes, abs=0.6)


@pytest.mark.parametrize(
    ("speed_class_mb_s", "most_mbps"),
    # SD speed classes: V10, V30, V60, V90 write 10, 30, 60, 90 * 10^6 bytes a second (a card
    # maker's page after the SD Association; a computer encyclopedia): V30 takes 240 Mb/s at most
    [(10, 80), (30, 240), (60, 480), (90, 720)],
)
def test_speed_classes_take_eight_times_their_megabytes(
    speed_class_mb_s: float, most_mbps: float
) -> None:
    """At the class's own rate the card does, one megabit above it does not."""
    assert is_fast_enough(_card(speed_class_mb_s), _mode(most_mbps), 1.0)
    assert not is_fast_enough(_card(speed_class_mb_s), _mode(most_mbps + 1), 1.0)
