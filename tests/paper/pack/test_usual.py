"""Page size, units and clock of a land."""

from __future__ import annotations

import pytest

from kitplan.paper.pack.setting import Setting, usual


@pytest.mark.parametrize(
    ("environment", "setting"),
    [
        ({}, Setting("a4", "m", "24")),
        ({"LANG": "C.UTF-8"}, Setting("a4", "m", "24")),
        ({"LANG": "de_DE.UTF-8"}, Setting("a4", "m", "24")),
        ({"LANG": "en_US.UTF-8"}, Setting("letter", "ft", "12")),
        ({"LANG": "en_US"}, Setting("letter", "ft", "12")),
        ({"LANG": "fr_CA@euro"}, Setting("letter", "m", "12")),
        ({"LANG": "en_AU.UTF-8"}, Setting("a4", "m", "12")),
        ({"LANG": "en_US.UTF-8", "LC_PAPER": "en_GB.UTF-8"}, Setting("a4", "ft", "12")),
        ({"LC_ALL": "en_GB.UTF-8", "LC_PAPER": "en_US.UTF-8"}, Setting("a4", "m", "24")),
        ({"LANG": "", "LC_TIME": "en_US.UTF-8"}, Setting("a4", "m", "12")),
    ],
)
def test_what_is_usual_follows_the_locale(environment: dict[str, str], setting: Setting) -> None:
    """`LC_ALL` before the category before `LANG`."""
    assert usual(environment) == setting
