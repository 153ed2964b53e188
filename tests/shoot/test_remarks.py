"""Remarks on what is round a camera: each is said, names what it is about, and is not said else."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitplan.shoot.checks.remarks import remarks
from tests.shoot.small import SHOOT, changed, read

BACK = "{id: back, at_m: [-1, -13], floor_height_m: 0.6, lens_height_m: 1.6"
IN_STALLS = "{id: back, at_m: [0, -6], floor_height_m: 0.6, lens_height_m: 1.6"
STALLS = "{id: stalls, outline_m: [[-5, -11], [5, -11], [5, -2], [-5, -2]]"
WING = "{id: wing, at_m: [-3.8, 3]"
IN_BAND = "{id: wing, at_m: [-2.5, 1.2]"
SINGER = "{id: singer, at_m: [0, 2]"
BAND = "{id: band, kind: group"
HOUSE = "{id: house, kind: audience"
WINDOW = "{id: window, kind: window"
HOUSE_LUX = "  house_lux: 8\n"
KEEP = "- {pass: show, position: back"

AMONG = "In the middle of the audience: back (stalls)."
PLAYERS = "Among the players of a group: wing (band)."
LASER = "Lasers (window): they can destroy a sensor in less than a second."


def said(folder: Path, *changes: tuple[str, str]) -> list[str]:
    """Return the remarks on the small shoot with some pieces replaced."""
    text = SHOOT
    for old, new in changes:
        text = changed(text, old, new)
    return remarks(read(folder, text))


def test_nothing_is_said_of_the_small_shoot(tmp_path: Path) -> None:
    """Every camera has room, everybody consents, the light on the seats is measured."""
    assert said(tmp_path) == []


@pytest.mark.parametrize(
    ("facts", "is_said"),
    [
        ("", True),
        (", is_shut_in_by_audience: true", False),
        (", has_public: true", False),
        (", open_in: [show]", True),
        (", is_on_stage: true", False),
        (", is_overhead: true", False),
        (", permission: {state: asked}", True),
        (", permission: {state: refused}", False),
    ],
)
def test_a_camera_in_the_middle_of_seats(facts: str, is_said: bool, tmp_path: Path) -> None:
    """It is said unless the position says what that means for the rig."""
    found = said(tmp_path, (BACK, IN_STALLS + facts))
    assert any(one.startswith(AMONG) for one in found) == is_said


@pytest.mark.parametrize(
    ("floor_m", "lens_m", "stalls", "is_said"),
    [
        (1.2, 1, STALLS, True),
        (1.3, 1, STALLS, False),
        (1.7, 1, f"{STALLS}, state: standing", True),
        (1.8, 1, f"{STALLS}, state: standing", False),
        (0, 1.5, f"{STALLS}, height_m: 1.4", True),
        (0, 1.5, f"{STALLS}, height_m: 1.5", False),
        (2, 1, f"{STALLS}, rake_deg: 10", True),
        (2.1, 1, f"{STALLS}, rake_deg: 10", False),
        (0, 1.5, f"{STALLS}, empty_in: [show]", False),
    ],
    ids=["heads-1.3", "over-seated", "heads-1.8", "over-standing", "lens-under", "under-floor",
         "raked", "over-rake", "unsold"],
)  # fmt: skip
def test_a_camera_over_or_under_the_audience(
    floor_m: float, lens_m: float, stalls: str, is_said: bool, tmp_path: Path
) -> None:
    """A floor over their heads, or a lens under theirs, is another storey.

    At y -6 a rake of 10 degrees that begins at -2 is 4 tan(10 deg) = 0.71 m up; 0.71 + 1.3 = 2.01.
    """
    place = f"{{id: back, at_m: [0, -6], floor_height_m: {floor_m}, lens_height_m: {lens_m}"
    found = said(tmp_path, (BACK, place), (STALLS, stalls))
    assert any(one.startswith(AMONG) for one in found) == is_said


def test_a_rail_among_the_audience_is_no_seat(tmp_path: Path) -> None:
    """A clamp on a rail takes nobody's place."""
    low = "{id: rail, at_m: [0, -6], floor_height_m: 1"
    assert said(tmp_path, ("{id: rail, at_m: [0, -15], floor_height_m: 4", low)) == []


def test_seats_are_no_matter_in_closed_passes(tmp_path: Path) -> None:
    """A position that is open without audience only may stand among the seats."""
    keep = KEEP.replace("show", "closed")
    found = said(tmp_path, (BACK, f"{IN_STALLS}, open_in: [closed]"), (KEEP, keep))
    assert not any(one.startswith(AMONG) for one in found)


def test_a_camera_among_players(tmp_path: Path) -> None:
    """The group then hides nothing from it; over their heads or under their feet it is elsewhere.

    The band stands at 0.8 m and is 1.75 m high.
    """
    (one,) = said(tmp_path, (WING, IN_BAND))
    assert one.startswith(PLAYERS)
    assert "In the way of that lens count only those listed one by one" in one
    for facts in ("height_m: 1.3", "floor_height_m: 2.3"):
        assert said(tmp_path, (WING, IN_BAND), (BAND, f"{BAND}, {facts}")) == []


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        ([], "or more are allowed, and those of MCU and MS are 0.9 m at most."),
        ([("sizes: [MCU, MS]", "sizes: [MS, FS]")], "those of MS and FS are 2.1 m at most."),
        ([("sizes: [MCU, MS]", "sizes: [MS, WS]")], None),
        ([("roles:", "rules: {consent_wide_m: 0.9}\nroles:")], None),
        (
            [("roles:", "rules: {consent_wide_m: 0.95}\nroles:")],
            "only frames of 0.95 m (consent_wide_m) or",
        ),
    ],
    ids=["tight", "full", "wide", "at-the-rule", "below-the-rule"],
)
def test_a_role_for_somebody_without_consent(
    changes: list[tuple[str, str]], text: str | None, tmp_path: Path
) -> None:
    """It is said where no size that is asked for is wide enough: 4 m, or what the rule says."""
    alone = f"{SINGER}, has_consent: false"
    found = said(tmp_path, (SINGER, alone), *changes)
    of_role = [one for one in found if one.startswith("Role vocals asks for singer, who has not")]
    assert len(of_role) == (0 if text is None else 1)
    assert text is None or text in of_role[0]


def test_a_moment_of_somebody_without_consent(tmp_path: Path) -> None:
    """The solo asks for MS or tighter, which is 0.9 m high at most."""
    found = said(tmp_path, (SINGER, f"{SINGER}, has_consent: false"))
    assert any(
        one.startswith("Moment solo of song one asks for singer, who has not consented")
        and one.endswith("those of ECU, CU, MCU and MS are 0.9 m at most.")
        for one in found
    )


@pytest.mark.parametrize(
    ("sizes", "position", "text"),
    [
        ("MLS, WS", "rail", "those of MLS and WS are 3.9 m at most."),
        ("MLS, EWS", "rail", None),
        ("MLS, WS", "wing", None),
    ],
)
def test_a_group_without_consent(
    sizes: str, position: str, text: str | None, tmp_path: Path
) -> None:
    """How wide a group looks depends on where from.

    From the rail at (0, -15) the band's near corners (+-3, 1) are 16 m deep, its middle 17 m:
    6 * 17 / 16 = 6.375 m of width are 3.59 m of height at 16:9; WS is 1.1 times that, EWS twice.
    Beside the wing camera it fills any frame.
    """
    asked = ("subject: singer, sizes: [MCU, MS]", f"subject: band, sizes: [{sizes}]")
    place = ("positions: [back]", f"positions: [{position}]")
    found = said(tmp_path, (BAND, f"{BAND}, has_consent: false"), asked, place)
    assert len(found) == (0 if text is None else 1)
    assert text is None or text in found[0]


def test_consent_of_the_audience_does_nothing(tmp_path: Path) -> None:
    """Nobody can be kept out of a picture of the whole audience, nor the stage out of its own."""
    shy = (HOUSE, f"{HOUSE}, has_consent: false")
    (one,) = said(tmp_path, shy)
    assert one.startswith("has_consent: false does nothing for house: only persons")
    stage = ("{id: stage, kind: stage", "{id: stage, kind: stage, has_consent: false")
    (one,) = said(tmp_path, shy, stage, ("roles:", "rules: {consent_wide_m: 50}\nroles:"))
    assert one.startswith("has_consent: false does nothing for stage and house: only")


def test_light_on_empty_seats(tmp_path: Path) -> None:
    """A closed pass in show light before seats whose light nobody has measured."""
    (one,) = said(tmp_path, (HOUSE_LUX, ""))
    assert one == (
        "house_lux of closed is assumed five stops under the subject; measure it: it decides which "
        "pictures may show empty seats."
    )
    assert said(tmp_path, (HOUSE_LUX, "  is_in_show_light: false\n")) == []
    seats = SHOOT[SHOOT.index("  audience:\n") : SHOOT.index("  obstacles:\n")]
    assert said(tmp_path, (HOUSE_LUX, ""), (seats, "")) == []


def test_light_on_an_unsold_block(tmp_path: Path) -> None:
    """Seats may be empty in the show as well."""
    boxes = ("{id: boxes,", "{id: boxes, empty_in: [show],")
    (one,) = said(tmp_path, boxes)
    assert one.startswith("house_lux of show is assumed")
    (one,) = said(tmp_path, boxes, (HOUSE_LUX, ""))
    assert one.startswith("house_lux of closed and show is assumed")
    assert said(tmp_path, boxes, ("is_master: true", "is_master: true\n  house_lux: 2")) == []


def test_lasers(tmp_path: Path) -> None:
    """The usual caution, with the names of the lasers."""
    (one,) = said(tmp_path, (WINDOW, "{id: window, kind: laser"))
    assert one.startswith(LASER)
    assert "neither the source nor a bounce mirror" in one
    assert "ask the laser operator and the venue" in one


@pytest.mark.parametrize(
    ("since", "until", "is_lost"),
    [
        ("14:10", "14:50", True),  # within the closed run
        ("13:40", "15:20", True),  # 20 min before it and 20 min after it
        ("13:40", "15:30", False),
        ("13:30", "15:00", False),
        ("18:50", "19:31", True),  # 10 min before the show, which lasts 9:30, and 21:30 after it
        ("18:50", "19:40", False),
    ],
)
def test_breaks_that_only_passes_have_room_for(
    since: str, until: str, is_lost: bool, tmp_path: Path
) -> None:
    """30 min between passes, before or after them; a break is taken in one piece."""
    written = (
        f"breaks:\n- {{id: tea, length_min: 30, since: 2027-05-15 {since}, "
        f"until: 2027-05-15 {until}}}\npasses:\n"
    )
    found = said(tmp_path, ("passes:\n- id: closed", f"{written}- id: closed"))
    assert found == (
        ["Break tea: no 30 min of its window lie between passes, so it is on nobody's list."]
        if is_lost
        else []
    )
