"""Checks of the sound that is asked for: what is wrong, the remedy, and the line.

Each row changes one piece of a right shoot so that one check complains.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.shoot.small import KIT, SHOOT, changed, found

SOUND_KIT = """\
- {kind: sound, id: rec, name: recorder, what: recorder, channels: 2, runs_on_mains: true}
- {kind: sound, id: mic, name: microphone, what: microphone}
- {kind: sound, id: feed, name: feed, what: desk-feed, channels: 2}
units:
"""
SOUND = """\
sound:
- {id: room, recorder: rec, sources: [mic, mic], at: gallery, position: back, passes: [show]}
- {id: desk, recorder: rec, sources: [feed], at: desk}
"""
WHOLE_KIT, WHOLE = KIT.replace("units:\n", SOUND_KIT), SHOOT + SOUND


def test_a_right_shoot_is_taken(tmp_path: Path) -> None:
    """Two microphones, and a feed of two channels."""
    assert found(tmp_path, WHOLE, WHOLE_KIT) == []


@pytest.mark.parametrize(
    ("old", "new", "wrong", "right"),
    [
        ("{id: desk, rec", "{id: room, rec", "the sound setup id 'room' is given twice", "own"),
        ("{id: desk, rec", "{id: B, rec", "called like a camera", "longer name"),
        ("back, passes: [show]", "back, passes: [shew]", "names the pass 'shew'", "'show'"),
        ("back, passes: [show]", "back, passes: []", "empty list of passes", "leave passes out"),
        ("gallery, position: back", "gallery, position: bak", "names the position 'bak'", "'back'"),
        ("recorder: rec, sources: [feed]", "recorder: rek, sources: [feed]",
         "names the recorder 'rek', which the kit does not have", "'rec'"),
        ("recorder: rec, sources: [feed]", "recorder: mic, sources: [feed]",
         "names 'mic' as its recorder, but that is a microphone", "rec"),
        ("recorder: rec, sources: [feed]", "recorder: cam, sources: [feed]",
         "names 'cam' as its recorder, but that is a body", "rec"),
        ("sources: [feed]", "sources: [feet]",
         "names the microphone or desk-feed 'feet', which the kit does not have", "'feed'"),
        ("sources: [feed]", "sources: [rec]",
         "names 'rec' as its microphone or desk-feed, but that is a recorder", "mic, feed"),
        ("sources: [feed]", "sources: [feed, mic]",
         "sends 3 channels into 'rec', which records 2", "more channels"),
    ],
)  # fmt: skip
def test_wrong_sound_is_refused(tmp_path: Path, old: str, new: str, wrong: str, right: str) -> None:
    """One line that says where, what, and what to do."""
    problems = found(tmp_path, changed(WHOLE, old, new), WHOLE_KIT)
    assert [wrong in one.problem.wrong for one in problems] == [True]
    assert right in problems[0].problem.right
    assert new in problems[0].line
