"""Shot sizes and statures against figures from outside.

Bordwell & Thompson, Film Art (McGraw-Hill 1997), glossary, tells how much of a standing figure each
size shows, in words (neck up, chest up, waist up, an object of 4 to 5 feet, nearly the whole
figure); the shares of stature come from body measurements. Head room is not defined there.
"""

import pytest

from kitplan.shoot.sizes import frame_range, height_m
from kitplan.shoot.venue import Subject

STATURE_M = 1.740
"""British men 19-65, 50th percentile. Source: online anthropometry of City University of Hong Kong
(Pheasant lineage)."""
TOLERANCE_M = 0.05 * STATURE_M
"""The glossary calls the names loose: 0.03 to 0.05 of stature."""
HEAD_ROOM = (0.03, 0.10)
"""Share of the frame over the head, from close-up to full shot. Common practice, no source."""
UNDER_FEET = 0.05
"""Share of the frame under the feet of a full shot. Common practice, no source."""

# Size; least and most share of stature that it shows. Sources for the shares beside them.
SHOWN = [
    ("CU", 0.1333, 0.18),  # neck up: chin by the canon of 7.5 heads, 1 / 7.5, to the shoulder, .820
    ("MCU", 0.27, 0.27),  # chest up: chest height .735 (men), .719 (women), ANSUR II public data
    ("MS", 0.40, 0.40),  # waist up: waist height .601 (men), .602 (women), ANSUR II
    ("MLS", 0.7007, 0.8759),  # 4 to 5 feet of 1.74 m fill the height
    ("FS", 1.0, 1.0),  # figure nearly as high as the frame
]


def standing() -> Subject:
    """Return a standing man of average stature."""
    return Subject(id="singer", at_m=(0, 2), height_m=STATURE_M)


def published_m(size: str, least: float, most: float) -> tuple[float, float]:
    """Return the least and most frame height in m.

    Frame height = part x stature / (1 - head room), a full shot with room under the feet as well.
    """
    feet = UNDER_FEET if size == "FS" else 0.0
    low_m = least * STATURE_M / (1 - HEAD_ROOM[0]) - TOLERANCE_M
    high_m = most * STATURE_M / (1 - HEAD_ROOM[1] - feet) + TOLERANCE_M
    return low_m, high_m


@pytest.mark.parametrize(("size", "least", "most"), SHOWN, ids=[row[0] for row in SHOWN])
def test_frames_show_as_much_as_the_glossary_says(size: str, least: float, most: float) -> None:
    """The range of frames that carry a size meets the part shown with its head room."""
    low_m, high_m = published_m(size, least, most)
    found = frame_range(standing(), size, 0.0, 16 / 9)
    assert found.least_m <= high_m
    assert found.most_m >= low_m


@pytest.mark.parametrize(("size", "least", "most"), SHOWN[-2:], ids=["MLS", "FS"])
def test_loose_sizes_are_planned_as_the_glossary_says(size: str, least: float, most: float) -> None:
    """From the knees on the planned frame itself is what the glossary describes.

    The tight sizes are planned looser than its cuts (common practice, shared/shot_sizes.yaml): CU
    0.50 m against 0.28 m, MCU 0.70 m against 0.50 m, MS 0.90 m against 0.75 m.
    """
    low_m, high_m = published_m(size, least, most)
    assert low_m <= frame_range(standing(), size, 0.0, 16 / 9).frame_m <= high_m


# Stature at the 50th percentile in m. Sources: see STATURE_M; ANSUR II (2012, public data, 4082
# men), recomputed from the data set.
@pytest.mark.parametrize("published_m", [1.740, 1.755])
def test_the_standing_figure_is_an_average_man(published_m: float) -> None:
    """Within 2 cm of both published medians."""
    figure_m = height_m(Subject(id="singer", at_m=(0, 2)))
    assert figure_m == pytest.approx(published_m, abs=0.02)
