"""Lengths in metres or feet."""

from __future__ import annotations

import pytest

from kitplan.paper.pack.setting import Setting


@pytest.mark.parametrize(
    ("metres", "wanted"),
    [
        (0.0, "0 ft"),
        (0.012, "0 ft"),
        (0.2, "8 in"),
        (0.29, "11 in"),
        (0.3, "1 ft"),
        (0.33, "1 ft 1 in"),
        (3.4, "11 ft 2 in"),
        (3.66, "12 ft"),
    ],
)
def test_a_length_has_no_feet_or_inches_that_are_none(metres: float, wanted: str) -> None:
    """Under a foot it is inches, of whole feet it is feet: 0.2 / 0.0254 = 7.9 inches."""
    assert Setting(units="ft").length(metres) == wanted
