"""Flange distances and mount compatibility against published tables and open lens data.

Open lens data: the lensfun database through lensfunpy. It has no flange distances; its lists say
which lens mounts a body is said to take. Those lists are no infinity test, and the exceptions are
named here.
"""

from __future__ import annotations

import lensfunpy
import pytest

from kitplan.optics.lens import crop_factor, ring_is_possible, ring_mm
from kitplan.tables import flange_mm_by_mount, table

# (lens mount, body mount, ring in mm): the differences of registers as published: PL 52.00 and
# LPL 44.00 (mount maker's page); EF 44.00, F 46.50, E 18.00, M 27.80, MFT 19.25 (a camera
# dealer's table); RF 20.00 (lens-patent notes); Z 16.00 (mount maker's page); X 17.70, 4/3 38.67
# (hobby register list, collector's table of 2011); L 20.00 (trade press); B4 48.00 (BTA S-1005 in
# an encyclopedia); C 17.526 and CS 12.526 (encyclopedia); M42 45.46 (collector's table).
RINGS = [
    ("EF", "E", 26.00),
    ("F", "E", 28.50),
    ("PL", "E", 34.00),
    ("PL", "EF", 8.00),
    ("PL", "LPL", 8.00),
    ("PL", "RF", 32.00),
    ("EF", "RF", 24.00),
    ("EF", "L", 24.00),
    ("EF", "MFT", 24.75),
    ("4/3", "MFT", 19.42),
    ("F", "Z", 30.50),
    ("F", "EF", 2.50),
    ("F", "X", 28.80),
    ("M", "E", 9.80),
    ("M", "L", 7.80),
    ("E", "Z", 2.00),
    ("LPL", "E", 26.00),
    ("B4", "MFT", 28.75),
    ("C", "CS", 5.00),
    ("M42", "EF", 1.46),
]
# The same sources: shorter register, so no plain ring keeps infinity.
IMPOSSIBLE = [
    ("EF", "F"),
    ("E", "EF"),
    ("Z", "E"),
    ("M42", "F"),
    ("RF", "EF"),
    ("E", "PL"),
    ("LPL", "PL"),
    ("MFT", "L"),
]
# Bodies of which the lens data say that they take M42 although its register is shorter than theirs:
# adapters with a lens in them, or focus that stops short of infinity.
SHORTER_BUT_LISTED = {("M42", "F"), ("M42", "R"), ("M42", "OM"), ("M42", "C/Y")}


@pytest.mark.parametrize(("lens", "body", "expected_mm"), RINGS)
def test_ring_thickness_is_the_difference_of_published_registers(
    lens: str, body: str, expected_mm: float
) -> None:
    """The table of shared/ gives the ring that the published registers give."""
    flange = flange_mm_by_mount()
    assert ring_mm(flange[lens], flange[body]) == pytest.approx(expected_mm, abs=0.005)
    assert ring_is_possible(flange[lens], flange[body])


@pytest.mark.parametrize(("lens", "body"), IMPOSSIBLE)
def test_shorter_register_allows_no_plain_ring(lens: str, body: str) -> None:
    """A lens made for a shorter register cannot be moved further away by a ring."""
    flange = flange_mm_by_mount()
    assert not ring_is_possible(flange[lens], flange[body])


def _own_name(name: str, known: dict[str, float]) -> str | None:
    """Our name of a mount of the lens data: its last word, without the maker's name before it."""
    if name.startswith("Micro"):
        return "MFT"
    if "/" in name and name not in known and len(name.split("/")) == 2 and " " not in name:
        initials = "/".join(part[0] for part in name.split("/"))
        return initials if initials in known else None
    words = name.removesuffix(" System").split(" ")
    return words[-1] if words[-1] in known else None


def _listed_pairs() -> set[tuple[str, str]]:
    known = flange_mm_by_mount()
    pairs = set()
    for mount in lensfunpy.Database().mounts:
        body = _own_name(mount.name, known)
        lenses = (_own_name(name, known) for name in mount.compat if name != "Generic")
        pairs |= {(lens, body) for lens in lenses if body and lens and lens != body}
    return pairs


def test_lens_data_list_shorter_registers_only_where_named_here() -> None:
    """Every pair that the lens data list has a register as long as the body's, but for M42."""
    flange = flange_mm_by_mount()
    pairs = _listed_pairs()
    shorter = {(lens, body) for lens, body in pairs if flange[lens] < flange[body]}
    assert len(pairs) >= 20
    assert shorter == SHORTER_BUT_LISTED & pairs
    assert shorter, "the exceptions should be in the data; did the mapping of names break?"


def test_lens_data_agree_that_ef_s_bodies_take_ef() -> None:
    """The one bayonet of shared/mounts.yaml that takes a second mount without a ring."""
    for body, lenses in table("mounts")["takes"].items():
        for lens in lenses:
            assert (lens, body) in _listed_pairs()


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "published"),
    [
        # the crop factors that the open lens data give for cameras of these sensors
        (23.6, 15.6, 1.529),
        (22.3, 14.9, 1.613),
        (17.3, 13.0, 1.999),
        (13.2, 8.8, 2.727),
    ],
)
def test_sensor_formats_have_the_crop_factors_of_the_lens_data(
    width_mm: float, height_mm: float, published: float
) -> None:
    """Formats of shared/sensor_formats.yaml, and cameras of the lens data with that factor."""
    formats = [tuple(row.values()) for row in table("sensor_formats")["formats"].values()]
    assert (width_mm, height_mm) in formats
    assert crop_factor(width_mm, height_mm) == pytest.approx(published, abs=0.001)
    cameras = lensfunpy.Database().cameras
    assert sum(abs(camera.crop_factor - published) < 0.004 for camera in cameras) >= 5
