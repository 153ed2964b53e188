"""Flange distances and mount compatibility against published tables and open lens data.

Open lens data: the lensfun database through lensfunpy. It has no flange distances; its lists say
which lens mounts a body is said to take. Those lists are no infinity test, and the exceptions are
named here.

Both know 25 mounts: 4/3, A, C, C/Y, CX, E, EF, EF-M, EF-S, F, FD, K, L, M, M42, MFT, NX, OM, Q, R,
RF, SR, T2, X, Z. Only shared/mounts.yaml knows B4, CS, LPL, LTM39, OCT-19, PL and PV; the data know
medium-format and other mounts for which it has no register. Where the two differ:

- the data list M42 lenses on F, R, OM and C/Y bodies, whose registers are 0.04 to 1.54 mm longer:
  no ring keeps infinity there (adapters with a lens in them, or focus that stops short);
- they list M42 on K (same register) and on A (0.96 mm between them), where a ring of 1 mm does not
  fit either: such adapters screw into the bayonet's throat and are flanges, not rings;
- of 274 pairs that the registers allow, the data list 43: they name the mounts that people adapt,
  not all that are possible, and say nothing of throat, image circle or iris;
- EF: cameras with a crop factor of 1.255 to 1.29, Q: 4.6 and 5.53, formats that are not in
  shared/sensor_formats.yaml. All other cameras of these mounts have one of its formats within 2 %.
"""

from __future__ import annotations

import lensfunpy
import pytest

from kitplan.gear.mounts import own_name
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


def _listed_pairs() -> set[tuple[str, str]]:
    pairs = set()
    for mount in lensfunpy.Database().mounts:
        body = own_name(mount.name)
        lenses = (own_name(name) for name in mount.compat if name != "Generic")
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


THINNER_THAN_A_RING = {("M42", "K"), ("M42", "A"), ("EF", "EF-S")}
"""Pairs that the lens data list with a register as long, or longer by less than a ring needs: two
adapters that screw into the throat, and a bayonet made to take both."""


def test_of_the_pairs_that_both_know_all_others_take_a_plain_ring() -> None:
    """What the lens data list can be adapted by our registers too, but for the pairs named here."""
    flange = flange_mm_by_mount()
    no_ring = {
        (lens, body)
        for lens, body in _listed_pairs()
        if not ring_is_possible(flange[lens], flange[body], table("mounts")["least_ring_mm"])
    }
    assert no_ring == SHORTER_BUT_LISTED | THINNER_THAN_A_RING


def _crops_by_mount() -> dict[str, list[float]]:
    """Return the crop factors of the cameras of the lens data, by our name of their mount."""
    database = lensfunpy.Database()
    mounts = {mount.name for mount in database.mounts}
    found: dict[str, list[float]] = {}
    for camera in database.cameras:
        own = own_name(camera.mount) if camera.mount in mounts else None
        if own is not None:
            found.setdefault(own, []).append(camera.crop_factor)
    return found


OTHER_FORMATS = {"EF": (1.255, 1.282, 1.29), "Q": (4.6, 5.53)}
"""Crop factors of cameras whose formats are not in shared/sensor_formats.yaml."""


def test_cameras_of_known_mounts_have_the_crop_factors_of_our_formats() -> None:
    """Within 2 %, for every camera with a mount that both know, but those named above."""
    ours = [crop_factor(*row.values()) for row in table("sensor_formats")["formats"].values()]
    crops = _crops_by_mount()
    assert sum(map(len, crops.values())) >= 300
    for mount, found in crops.items():
        strange = {round(c, 3) for c in found if min(abs(each / c - 1) for each in ours) > 0.02}
        assert strange == set(OTHER_FORMATS.get(mount, ())), mount


def test_image_circles_of_mounts_are_diagonals_of_their_cameras() -> None:
    """Of every mount of the table of guesses some camera has that diagonal within 2 %."""
    circles = table("guesses")["image_circle_mm_by_mount"]
    crops = _crops_by_mount()
    both = circles.keys() & crops.keys()
    assert len(both) >= 10
    for mount in both:
        diagonals = [43.267 / crop for crop in crops[mount]]
        assert min(abs(each / circles[mount] - 1) for each in diagonals) < 0.02, mount


def test_every_name_of_a_mount_in_the_lens_data_is_read_as_meant() -> None:
    """The maker's name before it does not count; mounts without a register here stay unread."""
    names = [mount.name for mount in lensfunpy.Database().mounts]
    known = [name for name in names if own_name(name) is not None]
    assert len(known) == 35
    assert len(set(map(own_name, known))) == 25
    flange = flange_mm_by_mount()
    for name in known:  # the last word decides, where our table has it under the same name
        last = name.removesuffix(" System").split(" ")[-1]
        if last in flange and not name.startswith("Micro"):
            assert own_name(name) == last


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
