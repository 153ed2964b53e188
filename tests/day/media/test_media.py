"""Cards and copies of small shoots: minutes, gigabytes, order, what has to be done in the gap."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.day.media import media_plan
from kitplan.day.sound import sound_plan
from kitplan.plan.day.media import MediaPlan
from kitplan.shoot.brief import Brief
from tests.day.supplies import LATER, brief, placed
from tests.small import at, run, show


def media(own: Brief | None = None, **parts: Any) -> MediaPlan:
    """Return the media of the placements that the small shoot has, in this shoot."""
    own = own or brief(**parts)
    sound = sound_plan(own, "small", placed().placements)
    return media_plan(own, "small", placed().placements, sound)


def test_gigabytes_are_megabits_by_seconds() -> None:
    """20 min at 50 Mb/s are 7.5 GB; three of them and an hour of sound at 4 Mb/s 24.3 GB."""
    found = media()
    assert found.uses[0].gb == pytest.approx(7.5)
    assert found.uses[0].room_min == pytest.approx(128 * 8000 / 50 / 60 * 0.9)
    assert found.total_gb == pytest.approx(24.3)


def test_a_recorder_goes_on_on_its_card_through_a_day() -> None:
    """Run and show are copied together; a day later it begins anew."""
    found = media()
    assert ("small/run", "small/show") in {copy.passes for copy in found.copies}
    sound = [use for use in found.uses if use.letter == "room"]
    assert sound[0].room_min - sound[1].room_min == pytest.approx(20)


def test_a_card_is_formatted_after_two_copies() -> None:
    """The cards of the second evening were full: two copies of each before, and in time."""
    found = media()
    for one in found.formats:
        copies = [c for c in found.copies if c.card == one.card and LATER not in c.passes]
        assert [copy.number for copy in copies] == [1, 2]
        assert all(c.needed_by and c.end <= c.needed_by for c in copies)
        assert (one.before, one.is_late) == (LATER, False)


def test_a_copy_takes_what_the_reader_takes() -> None:
    """7.5 GB at 90 MB/s are 83 s, two whole minutes."""
    first = media().copies[0]
    assert (first.end - first.start).total_seconds() == 120


def test_copies_of_one_card_follow_each_other() -> None:
    """Fewer cards change hands."""
    cards = [copy.card for copy in media().copies]
    assert cards[0::2] == cards[1::2]


def test_late_cards_are_said() -> None:
    """Six minutes after the show ends are not enough for a slow reader."""
    soon = show(id="later", start=at(20, 26), doors=at(20, 26), is_master=False)
    own = brief(passes=(run(), show(), soon))
    slow = own.shoot.copying.model_copy(update={"read_mb_s": 1.0})
    found = media(Brief(own.shoot.model_copy(update={"copying": slow}), own.kit))
    assert found.value[0] == sum(one.is_late for one in found.formats) > 0


def test_without_a_laptop_nothing_is_copied() -> None:
    """And cards that are used again are late."""
    own = brief()
    none = own.shoot.copying.model_copy(update={"laptops": 0})
    found = media(Brief(own.shoot.model_copy(update={"copying": none}), own.kit))
    assert found.copies == ()
    assert all(one.is_late for one in found.formats)


def test_disks_hold_everything() -> None:
    """Each copy goes on a disk of its own; one of 20 GB is too small for 24.3."""
    own = brief()
    small = own.shoot.copying.model_copy(update={"disk_gb": 20.0, "copies": 3})
    found = media(Brief(own.shoot.model_copy(update={"copying": small}), own.kit))
    assert found.disks == 3
    assert not found.fits_disk
    assert media().fits_disk
