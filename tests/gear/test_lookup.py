"""Facts from the open lens data: only mounts and numbers of it are told here."""

from __future__ import annotations

import sys

import pytest

from kitplan.errors import BadInput, SettingError
from kitplan.gear.lookup import Candidate, candidates, item_of
from kitplan.gear.mounts import own_name
from kitplan.gear.records import Body, Lens
from kitplan.tables import flange_mm_by_mount, table

ZOOM = {"mount": "E", "focal_min_mm": 24.0, "focal_max_mm": 70.0, "stop_wide": 2.8}
CROP_BODY = {"mount": "X", "sensor_width_mm": 23.6, "sensor_height_mm": 15.6}


@pytest.mark.parametrize("words", ["24-70 2.8", "2.8 24-70", "24 70 f/2.8", "24-70 F2.8 e"])
def test_numbers_find_a_lens_in_any_order(words: str) -> None:
    """All of the first ones are 24-70 mm f/2.8."""
    found = candidates(words, kind="lens")
    assert len(found) >= 3
    first = found[0].facts
    assert (first["focal_min_mm"], first["focal_max_mm"], first["stop_wide"]) == (24, 70, 2.8)


def test_a_mount_narrows_it_down() -> None:
    """The mount counts as a word of the name."""
    mounts = {each.facts["mount"] for each in candidates("24-70 2.8 E", kind="lens")}
    assert mounts == {"E"}


def test_a_lens_that_closes_down_has_both_stops() -> None:
    """f/3.5-5.6 in its name: wide end from the data, tele end from the name."""
    for each in candidates("18-55 3.5-5.6", kind="lens")[:3]:
        assert (each.facts["stop_wide"], each.facts["stop_tele"]) == (3.5, 5.6)


def test_bodies_have_their_sensor_and_mount() -> None:
    """Every body found under MFT has the four-thirds sensor of our own table."""
    found = candidates("MFT", kind="body", most=100)
    assert len(found) >= 30
    row = table("sensor_formats")["formats"]["four-thirds"]
    assert {(b.facts["sensor_width_mm"], b.facts["sensor_height_mm"]) for b in found} == {
        (row["width_mm"], row["height_mm"])
    }


def test_what_nobody_knows_has_no_candidates() -> None:
    """And an empty question is refused."""
    assert candidates("qqqq zzzz") == []
    with pytest.raises(SettingError, match="there is no word to look for"):
        candidates("- /")


def test_what_came_from_the_data_is_marked_and_never_measured() -> None:
    """Mass and closest focus stay to be asked."""
    (lens,) = item_of(Candidate("lens", "zoom", ZOOM), "zoom", "24-70", {})
    assert isinstance(lens, Lens)
    assert lens.looked_up == tuple(ZOOM)
    assert lens.measured == ()
    assert set(lens.to_ask) == {"mass_kg", "closest_focus_m", "image_circle_mm", "iris"}


def test_what_the_user_says_counts_more() -> None:
    """A stop corrected by hand did not come from the data."""
    told = {"stop_wide": "2,9", "mass_kg": "0.9", "measured": ["mass_kg"]}
    (lens,) = item_of(Candidate("lens", "zoom", ZOOM), "zoom", "24-70", told)
    assert isinstance(lens, Lens)
    assert (lens.stop_wide, lens.mass_kg, lens.measured) == (2.9, 0.9, ("mass_kg",))
    assert "stop_wide" not in lens.looked_up


def test_a_body_comes_with_its_battery() -> None:
    """One of its own where nothing is said; none where it runs on mains."""
    body, battery = item_of(Candidate("body", "crop", CROP_BODY), "crop", "crop body", {})
    assert isinstance(body, Body)
    assert (body.battery, battery.id) == ("battery-for-crop", "battery-for-crop")
    assert "modes" in body.to_ask
    told = {"runs_on_mains": "yes"}
    assert len(item_of(Candidate("body", "crop", CROP_BODY), "crop", "crop body", told)) == 1


def test_a_built_in_lens_still_has_to_be_asked_for_its_closest_focus() -> None:
    """The rest of it came from the data."""
    facts = {"sensor_width_mm": 13.2, "sensor_height_mm": 8.8}
    optic = {k: v for k, v in ZOOM.items() if k != "mount"} | {"closest_focus_m": 0.63}
    compact = Candidate("body", "compact", facts | {"built_in": optic})
    body = item_of(compact, "compact", "compact", {})[0]
    assert "built_in.closest_focus_m" in body.to_ask
    assert "built_in" in body.looked_up


def test_a_wrong_fact_is_refused() -> None:
    """As everywhere."""
    with pytest.raises(BadInput, match="stop_wide is 'wide'"):
        item_of(Candidate("lens", "zoom", ZOOM), "zoom", "zoom", {"stop_wide": "wide"})


def test_without_the_extra_it_says_how_to_install_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """One clear line."""
    monkeypatch.setitem(sys.modules, "lensfunpy", None)
    with pytest.raises(SettingError, match=r"pip install '\.\[lookup\]'"):
        candidates("24-70")


@pytest.mark.parametrize(
    ("name", "mount"),
    [
        ("E-mount", "E"),
        ("PL mount", "PL"),
        ("ef-s", "EF-S"),
        ("micro four thirds", "MFT"),
        ("Four Thirds", "4/3"),
        ("Maker X", "X"),
        ("F AI-S", "F"),
        ("maker/other", None),
        ("unheard of", None),
    ],
)
def test_mounts_are_known_by_many_names(name: str, mount: str | None) -> None:
    """Capitals, fillers and a maker's name in front do not count."""
    assert own_name(name) == mount


def test_every_mount_of_the_table_of_names_has_a_register() -> None:
    """No name leads to a mount that nothing fits."""
    assert set(table("mount_names")["names"]) <= set(flange_mm_by_mount())
