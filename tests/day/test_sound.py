"""Sound of small shoots: units, power, cards, and whose recording is the master."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.day.sound import sound_plan
from kitplan.plan.day.sound import SoundPlan
from kitplan.shoot.brief import Brief
from tests.day.supplies import RUN, SHOW, brief, kit, microphone, placed, recorder, setup
from tests.small import position, run, show, song, unit


def sound(own: Brief | None = None, **parts: Any) -> SoundPlan:
    """Return the sound of the small shoot."""
    own = own or brief(**parts)
    found = sound_plan(own, "small", placed().placements)
    assert found is not None
    return found


def test_every_unit_is_used_once() -> None:
    """One recorder, two microphones, a battery, and the card that no camera fills that day."""
    first = sound().runs[0]
    assert (first.recorder, first.sources) == ("rec-1", ("mic-1", "mic-2"))
    assert (first.batteries, first.cards) == (("rec-cell-1",), ("card-3",))
    assert first.phantom == ("mic-1", "mic-2")
    assert first.holds


def test_two_setups_share_nothing() -> None:
    """The second gets no recorder, no battery and no microphone: they are the first's."""
    other = setup(id="second", sources=("mic",))
    second = sound(sound=(setup(), other)).runs[1]
    assert (second.recorder, second.sources, second.holds) == (None, (), False)
    assert second.missing == ("rec", "mic")
    assert "battery" in second.lacks


def test_a_feed_gets_no_phantom_power() -> None:
    """Only what needs it."""
    assert sound(brief(kit(microphone(needs_phantom=False)))).runs[0].phantom == ()


def test_mains_saves_the_battery() -> None:
    """A socket at its place, and a recorder that can."""
    first = sound(brief(kit(recorder(runs_on_mains=True)), sound=(setup(has_mains=True),))).runs[0]
    assert first.is_on_mains
    assert first.batteries == ()


def test_no_mains_and_no_battery_is_said() -> None:
    """A recorder for mains alone records nothing without a socket."""
    own = brief(kit(recorder(battery=None, battery_min=None, runs_on_mains=True)))
    first = sound(own).runs[0]
    assert "mains" in first.lacks
    assert not first.holds


def test_the_weakest_cell_that_is_there_decides() -> None:
    """A roll of 20 minutes from 40 * 0.7 = 28; the old one gives 14, unless it is retired."""
    cells = [unit("rec-cell", 1), unit("rec-cell", 2, health=0.5)]
    for condition, number in (("good", 2), ("retired", 1)):
        cells[1] = cells[1].model_copy(update={"condition": condition})
        own = kit(recorder(battery_min=40), **{"rec-cell": 0})
        own = own.model_copy(update={"units": (*own.units, *cells)})
        assert len(sound(brief(own)).runs[0].batteries) == number


def test_out_of_reach_it_lasts_with_a_margin() -> None:
    """20 minutes by 1.15 and 10 more: 33 minutes from one battery; 30 do not do."""
    far = (setup(is_out_of_reach=True),)
    assert sound(sound=far).runs[0].roll_min == pytest.approx(33)
    assert sound(sound=far).runs[0].holds
    weak = brief(kit(recorder(battery_min=43), **{"rec-cell": 2}), sound=far)
    assert len(sound(weak).runs[0].batteries) == 2
    assert not sound(weak).runs[0].holds


def test_a_position_shut_in_by_the_audience_is_out_of_reach() -> None:
    """In the show, not in the run."""
    shut = position("front", is_shut_in_by_audience=True)
    found = sound(positions=(shut,), sound=(setup(position="front"),))
    rolls = [run.roll_min for run in found.runs]
    assert rolls == pytest.approx([20, 33, 33])


def test_a_card_of_an_earlier_pass_is_used_again() -> None:
    """With two cards, both in the camera on the first day: none in the run, in the show the one
    that the run has filled.
    """
    found = sound(brief(kit(card=2)))
    assert found.runs[0].lacks == ("card",)
    assert found.runs[1].cards == ("card-1",)


def test_the_first_setup_that_records_a_song_is_its_master() -> None:
    """The better one is listed first; it is not there in the show."""
    first = setup(id="first", passes=("run",))
    found = sound(sound=(first, setup()))
    assert {(m.pass_id, m.setup) for m in found.masters} == {(SHOW, "room")}


def test_scratch_sound_is_the_last_resort() -> None:
    """No setup in the master pass: the camera that is there."""
    found = sound(sound=(setup(passes=("run",)),))
    assert {(m.setup, m.letter) for m in found.masters} == {(None, "A")}


def test_a_song_that_the_master_pass_does_not_run() -> None:
    """It is laid on the first pass that does; one that none runs has no sound."""
    songs = (song("first"), song("second"), song("third"))
    skipped = {"second": "not-run", "third": "not-run"}
    passes = (run(songs={"third": "not-run"}), show(songs=skipped))
    found = sound(songs=songs, passes=passes)
    assert [m.pass_id for m in found.masters] == [SHOW, RUN, None]


def test_no_setup_no_sound() -> None:
    """Then the plan says nothing of it."""
    assert sound_plan(brief(sound=()), "small", ()) is None
