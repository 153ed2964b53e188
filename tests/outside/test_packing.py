"""The packer on published bin-packing problems: data and sources in bin_packing.json.

Bins are crates of so many centilitres, items are things without mass or users; the fourth goal, the
fewest cases, is the optimum. Rules, goals and search are those of every packing.
"""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from kitplan.day.cases.pack import Packed, pack
from kitplan.day.cases.things import Cargo
from kitplan.plan.day.cases import GOALS
from tests.day.cases.loads import case, kind

INSTANCES: dict[str, Any] = json.loads(
    (Path(__file__).parent / "bin_packing.json").read_text(encoding="utf-8")
)
OPENED = GOALS.index("opened")
SPARE = 2
"""Crates beyond the optimum."""
EFFORT = 20.0


def packed(name: str) -> Packed:
    """Return the packing of an instance into one crate more or less than is needed."""
    data = INSTANCES[name]
    sizes = sorted(Counter(data["sizes"]).items(), reverse=True)
    kinds = [
        kind(*(f"{size}-{n}" for n in range(count)), bulk_cl=size, mass_g=0)
        for size, count in sizes
    ]
    crates = [
        case(f"crate-{number}", room_cl=data["capacity"]) for number in range(data["least"] + SPARE)
    ]
    return pack(Cargo(tuple(kinds), tuple(crates)), goals=OPENED + 1, effort=EFFORT)


def check(name: str) -> None:
    """Nothing is left, and the fewest cases are found and proven."""
    found = packed(name)
    least = INSTANCES[name]["least"]
    assert found.value[: OPENED + 1] == found.bound[: OPENED + 1] == (0, 0, 0, least)


@pytest.mark.parametrize("name", ["N1C3W1_A", "ortools_binpack11"])
def test_the_fewest_cases_are_found_and_proven(name: str) -> None:
    """First-fit decreasing does not find the first of these."""
    check(name)


@pytest.mark.long
@pytest.mark.parametrize("name", INSTANCES)
def test_the_fewest_cases_are_always_found_and_proven(name: str) -> None:
    """All that are at hand."""
    check(name)
