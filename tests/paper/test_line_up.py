"""The line-up sheet as text and as data."""

from __future__ import annotations

import pytest

from kitplan.errors import SettingError
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.paper.line_up import line_up_records, line_up_text
from tests.small import body, run, show, small_kit
from tests.whatif.small import RIG, hand_plan
from tests.whatif.test_line_up import plan


def test_the_sheet_says_what_all_cameras_share() -> None:
    """Rate, size, shutter, balance, look, and that nothing is automatic."""
    text = line_up_text(plan())
    for words in ("25 frames a second", "1920 x 1080", "1/50 s", "3200 K fixed", "all off"):
        assert words in text
    assert max(map(len, text.splitlines())) <= WIDEST_TABLE


def test_each_camera_has_its_own_settings() -> None:
    """Focal length, stop, ISO for the brightest and the dimmest, focus, bit rate, delay."""
    text = line_up_text(plan())
    for words in ("100 mm", "f/4", "200 to 400", "12.0 m (11.0 to 13.0)", "50 Mb/s"):
        assert words in text
    assert "0.7 frames late" in text  # 10.1 m at 343 m/s are 29 ms


def test_a_body_without_manual_control_is_named() -> None:
    """It cannot be set at all."""
    kit = small_kit(body("toy", has_manual_control=False))
    text = line_up_text(plan(kit, RIG.model_copy(update={"body": "toy-1"})))
    assert "the toy has no manual control" in text


def test_one_pass_can_be_asked_for() -> None:
    """By its name; another name is refused."""
    both = plan(passes=(run(), show()))
    assert "run" in line_up_text(both)
    assert "run:" not in line_up_text(both, "show")
    with pytest.raises(SettingError, match="there is no pass 'shwo'"):
        line_up_text(both, "shwo")


def test_a_plan_without_cameras_has_a_sheet() -> None:
    """Nothing to set, and no fault."""
    empty = hand_plan(plan().shoots["small"])
    assert "No camera stands in this pass." in line_up_text(empty)
    assert line_up_records(empty)["passes"][0]["cameras"] == []


def test_records_say_the_same() -> None:
    """For machines."""
    (found,) = line_up_records(plan())["passes"]
    assert found["white_balance_k"] == 3200
    assert [row["letter"] for row in found["cameras"]] == ["A", "B"]
    assert found["cameras"][0]["iso"] == (200, 400)
    assert found["cameras"][0]["late_frames"] == pytest.approx(0.74, abs=0.01)
