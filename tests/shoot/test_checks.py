"""Every cross-check but those of the ground: its message names the wrong value and the remedy and
points at the line.

Each row changes one piece of a right shoot so that one check complains, and again so that none
does.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.shoot.small import KIT, SHOOT, Case, assert_refused, assert_taken, changed, found

KEEP = "- {pass: closed, position: wing, person: ana}"
SAFETY = (
    "- {id: safety, subject: stage, sizes: [WS], priority: must, in_passes: every, is_safety: true}"
)
SHOW = "doors: 2027-05-15 18:30\n  has_audience: true\n  is_master: true"


# fmt: off
CASES = [
    # -- ids -----------------------------------------------------------------------------------
    Case("zone id", "id: tower", "id: riser", "id: riser2", "id: riser, outline_m: [[-2, -14]",
         "zone id 'riser' is given twice", "id of its own"),
    Case("audience id", "id: boxes", "id: stalls", "id: stalls2", "[[6, -11]",
         "audience area id 'stalls' is given twice", "id of its own"),
    Case("obstacle id", "id: pillar", "id: desk", "id: riser", "[[5, -6]",
         "obstacle id 'desk' is given twice", "id of its own"),
    Case("lamp id", "{id: window, kind", "{id: spot, kind", "{id: pillar, kind", "kind: window",
         "lamp id 'spot' is given twice", "id of its own"),
    Case("position id", "{id: rail, at_m", "{id: back, at_m", "{id: rail, name: back, at_m",
         "[0, -15]", "position id 'back' is given twice", "id of its own"),
    Case("subject id", "id: piano", "id: child", "id: one", "kind: object",
         "subject id 'child' is given twice", "id of its own"),
    Case("song id", "{id: two, length_s", "{id: one, length_s", "{id: two, name: one, length_s",
         "length_s: 240", "song id 'one' is given twice", "id of its own"),
    Case("pass id", "- id: show", "- id: closed", "- id: show\n  name: closed", "- id: closed",
         "pass id 'closed' is given twice", "id of its own"),
    Case("person id", "{id: cleo", "{id: ana", "{id: stage", "is_operator: false",
         "person id 'ana' is given twice", "id of its own"),
    Case("role id", "{id: vocals", "{id: safety", "{id: singer", "sizes: [MCU, MS]",
         "role id 'safety' is given twice", "id of its own"),
    # -- names ---------------------------------------------------------------------------------
    Case("role subject", "subject: singer, sizes", "subject: singr, sizes",
         "subject: singer, sizes", "sizes: [MCU, MS]", "role 'vocals' names the subject 'singr'",
         "Did you mean 'singer'?"),
    Case("role pass", "passes: [show], pos", "passes: [shew], pos", "passes: [closed], pos",
         "sizes: [MCU, MS]", "role 'vocals' names the pass 'shew'", "Did you mean 'show'?"),
    Case("role position", "positions: [back]", "positions: [rail, bak]", "positions: [rail, back]",
         "sizes: [MCU, MS]", "the position 'bak'", "Did you mean 'back'?"),
    Case("moment subject", "solo, subject: singer", "solo, subject: drummer",
         "solo, subject: piano", "name: solo",
         "moment 'solo' of song 'one' names the subject 'drummer'", "Known here: band, child"),
    Case("light pass", "passes: [closed], dim", "passes: [close], dim", "passes: [show], dim",
         "dim_lux: 500", "light row 1 names the pass 'close'", "Did you mean 'closed'?"),
    Case("light subject", "{subjects: [singer]", "{subjects: [sinner]", "{subjects: [band]",
         "dim_lux: 500", "light row 1 names the subject 'sinner'", "Did you mean 'singer'?"),
    Case("open in", "open_in: [closed]", "open_in: [closed, matinee]", "open_in: [closed, show]",
         "open_in:", "position 'wing' names the pass 'matinee'", "Known here: closed, show"),
    Case("only people", "only_people: [ana, ben]", "only_people: [ana, bne]", "only_people: [cleo]",
         "only_people:", "position 'rail' names the person 'bne'", "Did you mean 'ben'?"),
    Case("lamp pass", "180, passes: [show]", "180, passes: [shoe]", "180, passes: [closed]",
         "id: spot", "lamp 'spot' names the pass 'shoe'", "Did you mean 'show'?"),
    # a pass without an audience leaves every seat empty: naming it changes nothing
    Case("empty in", "{id: boxes,", "{id: boxes, empty_in: [closed, opening],",
         "{id: boxes, empty_in: [closed],", "id: boxes",
         "audience area 'boxes' names the pass 'opening'", "Known here: closed, show"),
    Case("pass people", "people: [ana, ben]\n-", "people: [ana, anna]\n-", "people: [ana]\n-",
         "people: [ana, anna]", "pass 'closed' names the person 'anna'", "Did you mean 'ana'?"),
    Case("pass songs", "songs: {two: stopped}", "songs: {tow: stopped}", "songs: {one: stopped}",
         "songs: {tow", "pass 'closed' names the song 'tow'", "Did you mean 'two'?"),
    Case("performs in", "performs_in: [two]", "performs_in: [twoo]", "performs_in: [one]",
         "id: ben", "person 'ben' names the song 'twoo'", "Did you mean 'two'?"),
    Case("part of", "part_of: band", "part_of: bend", "part_of: stage", "id: singer",
         "subject 'singer' names the subject 'bend'", "Did you mean 'band'?"),
    Case("part of itself", "kind: group,", "kind: group, part_of: singer,",
         "kind: group, part_of: stage,", "kind: group",
         "subject 'band' is part of itself (band in singer in band)", "Take part_of out"),
    Case("empty list", "positions: [back]", "positions: []", "positions: [rail]", "id: vocals",
         "role 'vocals' has an empty list of positions", "leave positions out to mean all"),
    Case("lamp never on", "180, passes: [show]", "180, passes: []", "180", "id: spot",
         "lamp 'spot' has an empty list of passes", "leave passes out to mean all"),
    Case("floor of the stage", "[-4, 6]], height_m: 0.8", "[-4, 6]], floor: sprung, height_m: 0.8",
         "[-4, 6]], floor: sprung-timber, height_m: 0.8", "stage: {",
         "the stage has the floor 'sprung', which does not exist", "Did you mean 'sprung-timber'?"),
    Case("floor of a zone", "{id: tower,", "{id: tower, floor: scaffhold,",
         "{id: tower, floor: scaffold,", "id: tower",
         "zone 'tower' has the floor 'scaffhold'", "Did you mean 'scaffold'?"),
    Case("floor of a position", "{id: back,", "{id: back, floor: carpet,",
         "{id: back, floor: concrete,", "id: back", "position 'back' has the floor 'carpet'",
         "Known here: concrete, pontoon, scaffold"),
    # -- locks ---------------------------------------------------------------------------------
    Case("lock pass", "pass: show, position: back", "pass: shov, position: back",
         "position: back", "body: cam", "names the pass 'shov'", "Did you mean 'show'?"),
    Case("lock position", "- {position: rail,", "- {position: roll,", "- {position: back,",
         "- {position: roll", "names the position 'roll'", "Known here: back, rail, wing"),
    Case("lock person", "person: ben}", "person: bin}", "person: cleo}", "person: bin",
         "names the person 'bin'", "Did you mean 'ben'?"),
    Case("lock role", "role: safety}", "role: safty}", "role: vocals}", "role: safty",
         "names the role 'safty'", "Did you mean 'safety'?"),
    Case("lock body", "body: cam,", "body: cem,", "", "body: cem",
         "names the body 'cem', which is not in the kit", "Did you mean 'cam'?"),
    Case("lock unit", "body: cam,", "body: cam-1,", "", "body: cam-1",
         "'cam-1', which is a single unit", "Write body: cam"),
    Case("lock lens", "lens: zoom,", "lens: legs,", "", "lens: legs",
         "'legs' as its lens, but it is of kind support", "Write support: legs"),
    Case("lock head", "head: fluid,", "head: crate,", "", "head: crate",
         "'crate' as its head, but it is of kind case", "Known here: fluid"),
    Case("lock support", "support: legs,", "support: legz,", "support: clamp,", "support: legz",
         "names the support 'legz'", "Did you mean 'legs'?"),
    Case("lock adapter", "body: cam,", "adapter: ring,", "body: cam,", "adapter: ring",
         "names the adapter 'ring'", "Add the adapter, or take the name out"),
    Case("two positions", KEEP, f"{KEEP}\n  - {{pass: closed, position: back, person: ana}}",
         f"{KEEP}\n  - {{pass: show, position: back, person: ana}}", "pass: closed, position: back",
         "'ana' is kept at two positions in pass 'closed': wing and back", "Keep one of the two"),
    Case("keep against never", "- {position: rail, person: ben}", "- {person: ana}",
         "- {position: back, person: ana}", KEEP,
         "keeps what another lock forbids (person ana)", "Take one of the two out"),
    Case("keep closed", "pass: show, position: back", "pass: show, position: wing",
         "pass: show, position: rail", "position: wing, body",
         "keeps 'wing' in pass 'show', where it is not open", "Add show to open_in"),
    Case("keep no operator", KEEP, KEEP.replace("ana", "cleo"), KEEP.replace(", person: ana", ""),
         "person: cleo", "'cleo' is no operator", "set is_operator: true"),
    Case("listed but not there yet", "{id: ana, since: 2027-05-15 12:00",
         "{id: ana, since: 2027-05-15 14:01", "{id: ana, since: 2027-05-15 14:00",
         "people: [ana, ben]",
         "from 2027-05-15 14:00 to 15:00, but is there from 2027-05-15 14:01", "Take 'ana' out"),
    Case("listed but performing", "performs_in: [two]}", "performs_in: [one, two]}",
         "performs_in: [one]}", "people: [ana, ben]",
         "'ben' is listed for pass 'closed', but performs in all of it", "Take 'ben' out"),
    Case("keep on stage", KEEP, KEEP.replace("ana", "ben"),
         "- {pass: closed, position: back, person: ben}", "person: ben",
         "'ben' may not be on stage, where 'wing' is", "may_be_on_stage: true"),
    # -- what is asked -------------------------------------------------------------------------
    Case("role size of kind", "sizes: [WS], priority", "sizes: [WS, MCU], priority",
         "sizes: [WS, EWS], priority", "id: safety",
         "role 'safety' asks for MCU of 'stage', but there is no MCU of a group",
         "Its sizes are MLS, WS, EWS"),
    Case("role size too tight", "subject: singer, sizes: [MCU, MS]", "subject: child, sizes: [MS]",
         "subject: child, sizes: [FS]", "id: vocals",
         "asks for MS of 'child', which may be filmed no tighter than FS",
         "Its sizes are FS, WS, EWS"),
    Case("moment size", "subject: singer, at_s: 100, length_s: 20, size: MS",
         "subject: band, at_s: 100, length_s: 20, size: MS",
         "subject: band, at_s: 100, length_s: 20, size: MLS", "name: solo",
         "moment 'solo' asks for MS or tighter of 'band'", "Its sizes are MLS, WS, EWS"),
    Case("closest leaves nothing", "kind: object,", "kind: object, closest: EWS,",
         "kind: object, closest: WS,", "kind: object", "closest EWS leaves 'piano' no size",
         "Its sizes are ECU, CU, MS, FS, WS"),
    Case("frame against closest", "closest: FS}", "closest: FS, frames_m: {MS: 0.8}}",
         "closest: FS, frames_m: {FS: 1.4}}", "id: child",
         "frames_m of 'child' has MS, tighter than its closest size", "Take MS out"),
    Case("frames out of order", "part_of: band", "frames_m: {MS: 0.6}", "frames_m: {MS: 0.95}",
         "id: singer", "MCU is 0.70 m high and MS 0.60 m", "Give MCU less metres than MS"),
    Case("late moment", "at_s: 100", "at_s: 300", "at_s: 280", "at_s: 300",
         "begins at 300 s, but song 'one' ends at 300 s", "Give at_s below 300"),
    Case("long moment", "length_s: 20", "length_s: 201", "length_s: 200", "length_s: 201",
         "begins at 100 s and lasts 201 s, but song 'one' ends at 300 s",
         "length_s of at most 200"),
    Case("light", "- {dim_lux: 300",
         "- {subjects: [stage, band, child, piano, house], dim_lux: 300",
         "- {subjects: [singer, stage, band, child, piano, house], dim_lux: 300", "light:",
         "no row of light fits subject 'singer' in show", "without passes and subjects"),
    Case("light on audience", "- {dim_lux: 300",
         "- {subjects: [stage, band, child, piano, singer], dim_lux: 300",
         "- {subjects: [house], dim_lux: 30, bright_lux: 60}\n- {dim_lux: 300", "light:",
         "no row of light fits subject 'house' in show", "Add one"),
    Case("safety not listed", "in_passes: every", "passes: [show]", "passes: [show, closed]",
         "- id: closed", "pass 'closed' needs a safety shot, but no safety role is listed for it",
         "Add closed to the passes of role 'safety', or set needs_safety: false"),
    Case("safety subject", "{id: safety, subject: stage, sizes: [WS]",
         "{id: safety, subject: piano, sizes: [WS]", "{id: safety, subject: band, sizes: [WS]",
         "id: safety", "safety role 'safety' shows 'piano', which is of kind object",
         "Give it stage or band"),
    # -- time ----------------------------------------------------------------------------------
    Case("time zone", "Europe/Paris", "Europe/Pariss", "Europe/Lisbon", "time_zone",
         "the time zone 'Europe/Pariss' is not known", "Did you mean 'Europe/Paris'?"),
    Case("time zone folder", "Europe/Paris", "Europe", "UTC", "time_zone",
         "the time zone 'Europe' is not known", ""),
    Case("offsets", "since: 2027-05-15 12:00", "since: 2027-05-15 12:00+02:00",
         "since: 2027-05-15 12:30", "id: ana",
         "since 2027-05-15 12:00+0200 has an offset, other times have none",
         "times are those of Europe/Paris"),
    Case("order of passes", "start: 2027-05-15 19:00\n  doors: 2027-05-15 18:30",
         "start: 2027-05-15 13:00", "start: 2027-05-15 15:00", "start: 2027-05-15 13:00",
         "starts at 2027-05-15 13:00, before the pass above it, 'closed', at 2027-05-15 14:00",
         "List the passes in order of time"),
    Case("overlap", "start: 2027-05-15 19:00\n  doors: 2027-05-15 18:30",
         "start: 2027-05-15 14:59", "start: 2027-05-15 15:00", "start: 2027-05-15 14:59",
         "but 'closed' lasts until 2027-05-15 15:00", "Start it later"),
    Case("early doors", "doors: 2027-05-15 18:30", "doors: 2027-05-15 14:59",
         "doors: 2027-05-15 15:00", "doors: 2027-05-15 14:59",
         "doors at 2027-05-15 14:59, but 'closed' lasts until", "give 15:00 or later"),
    Case("doors without audience", SHOW, SHOW.replace("  has_audience: true\n", ""),
         SHOW.replace("doors: 2027-05-15 18:30\n  ", ""), "doors:",
         "pass 'show' has doors at 18:30 but no audience", "Add has_audience: true"),
    Case("two masters", "people: [ana, ben]\n-", "is_master: true\n-", "people: [ben, ana]\n-",
         "is_master", "pass 'show' is a master, and so is 'closed'", "in the one pass"),
    Case("no song", "songs: {two: stopped}", "songs: {one: not-run, two: not-run}",
         "songs: {two: not-run}", "songs: {one", "pass 'closed' runs no song: all 2 are not-run",
         "run a song in it"),
    # 300 s + 15 s gap + 240 s = 555 s; the gap of 30 s after the last song does not count
    Case("short pass", "end: 2027-05-15 15:00", "end: 2027-05-15 14:09:14",
         "end: 2027-05-15 14:09:15", "end:",
         "pass 'closed' lasts 9.2 min, but its 2 songs with their gaps take 9.2 min",
         "Give a later end"),
    Case("listed but gone", "{id: ben, until: 2027-05-16 01:00",
         "{id: ben, until: 2027-05-15 14:30", "{id: ben, until: 2027-05-15 15:00",
         "people: [ana, ben]", "'ben' is listed for pass 'closed'", "Take 'ben' out"),
    # -- kit -----------------------------------------------------------------------------------
    Case("delivery rate", "frame_rate_fps: 25}", "frame_rate_fps: 30}", "frame_rate_fps: 25.0}",
         "delivery:", "no body records 1920 x 1080 or more at 30 frames per second",
         "The bodies record 1920 x 1080 at 25"),
    Case("delivery size", "frame_width_px: 1920", "frame_width_px: 3840", "frame_width_px: 1280",
         "delivery:", "no body records 3840 x 1080", "The bodies record 1920 x 1080 at 25"),
    Case("shutter", "frame_rate_fps: 25}", "frame_rate_fps: 600}", "frame_rate_fps: 25.001}",
         "delivery:", "the shortest shutter time of the bodies is 1/500 s", "shutter_speeds_per_s"),
    Case("nothing stands there", "stands_on: rail", "stands_on: bar", "stands_on: rail",
         "id: rail", "no owned support stands on a bar, as 'rail' asks for", "Correct stands_on"),
    # the rule height_slack_m allows 0.2 m above the 1.8 m of the legs
    Case("out of reach", "lens_height_m: 1.6", "lens_height_m: 2.1", "lens_height_m: 2.0",
         "id: back", "position 'back' wants the lens at 2.1 m, out of reach",
         "The nearest is 'legs' with 0.6 to 1.8 m"),
]
# fmt: on


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_a_check_names_the_fault_and_the_remedy(case: Case, tmp_path: Path) -> None:
    """What is wrong is said, with what would be right, at the line that holds it."""
    assert_refused(tmp_path, case)


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_a_check_takes_the_valid_neighbour(case: Case, tmp_path: Path) -> None:
    """A like change that is right passes."""
    assert_taken(tmp_path, case)


def only(folder: Path, shoot: str = SHOOT, kit: str = KIT) -> tuple[str, str]:
    """Return the text and the line of the one problem that there is."""
    (one,) = found(folder, shoot, kit)
    return str(one.problem), one.line


def test_a_kept_person_is_on_hand(tmp_path: Path) -> None:
    """Ben is kept in the show, but leaves before it ends; staying until then is enough.

    The show lasts from 19:00 for 300 + 15 + 240 + 30 s = 9 min 45 s.
    """
    keep = "- {pass: show, position: back, person: ben}"
    kept = changed(SHOOT, KEEP, keep)
    text, line = only(tmp_path, changed(kept, "until: 2027-05-16 01:00", "until: 2027-05-15 19:09"))
    assert "'ben' is not on hand from doors to end in pass 'show'. Name somebody else" in text
    assert line == keep
    assert not found(tmp_path, changed(kept, "until: 2027-05-16 01:00", "until: 2027-05-15 19:10"))


def test_a_kept_person_does_not_perform_all_along(tmp_path: Path) -> None:
    """Ben performs in both songs of the show; one is allowed."""
    kept = changed(SHOOT, KEEP, "- {pass: show, position: back, person: ben}")
    kept = changed(kept, "people: [ana, ben]\n-", "people: [ana]\n-")
    text, _ = only(tmp_path, changed(kept, "performs_in: [two]", "performs_in: [one, two]"))
    assert "'ben' performs in all of show" in text
    assert not found(tmp_path, kept)


def test_a_kept_person_may_go_to_the_position(tmp_path: Path) -> None:
    """Only Ben may go to the rail, and Ana is kept there."""
    kept = changed(SHOOT, KEEP, "- {position: rail, person: ana}")
    text, _ = only(tmp_path, changed(kept, "only_people: [ana, ben]", "only_people: [ben]"))
    assert "'ana' is not among only_people of 'rail'. Add ana there" in text
    assert not found(tmp_path, kept)


def test_the_safety_shot_needs_a_stage_or_a_role(tmp_path: Path) -> None:
    """Without a safety role one is made of the stage, and without a stage somebody must say how."""
    bare = changed(changed(SHOOT, f"{SAFETY}\n", ""), ", role: safety", "")
    assert not found(tmp_path, bare)
    text, line = only(tmp_path, changed(bare, "- {id: stage, kind: stage}\n", ""))
    assert "a safety shot is needed in closed and show, but no role asks for it" in text
    assert "Add a subject of kind stage, or a role with is_safety: true" in text
    assert line == "subjects:"


def test_a_lock_may_name_the_safety_role_that_is_added(tmp_path: Path) -> None:
    """The role `safety` exists also where the shoot leaves it to the program."""
    assert not found(tmp_path, changed(SHOOT, f"{SAFETY}\n", ""))


def test_people_performing_in_a_song_that_is_not_run_are_free(tmp_path: Path) -> None:
    """Ben performs in song two, the closed pass leaves it out."""
    assert not found(tmp_path, changed(SHOOT, "{two: stopped}", "{two: not-run}"))


def test_a_moment_without_a_length_may_begin_late(tmp_path: Path) -> None:
    """Nobody wrote the ten seconds that a moment lasts if nothing else is said."""
    late = changed(SHOOT, "at_s: 100, length_s: 20", "at_s: 295")
    assert not found(tmp_path, late)


def test_positions_without_permission_need_no_support(tmp_path: Path) -> None:
    """A refused position is kept on file; nobody buys a clamp for it."""
    bar = changed(SHOOT, "stands_on: rail", "stands_on: bar, permission: {state: refused}")
    assert not found(tmp_path, bar)


@pytest.mark.parametrize(
    ("pieces", "text"),
    [
        ([KIT], "the kit is empty. Name a kit file"),
        ([KIT[KIT.index("units:") :]], "the kit has no unit of any body (cam). Add a row under"),
        (["- {id: cam-1, item: cam, owner: ana}\n"], "no unit of any body (cam). Add a row under"),
    ],
    ids=["empty", "no-units", "no-unit-of-a-body"],
)
def test_a_kit_has_a_camera(pieces: list[str], text: str, tmp_path: Path) -> None:
    """Without a body to film with nothing can be planned; it is said once, at `kit`."""
    kit = KIT
    for piece in pieces:
        kit = changed(kit, piece, "items: []" if piece == KIT else "")
    unlocked = SHOOT[: SHOOT.index("locks:")]
    message, line = only(tmp_path, unlocked, kit)
    assert text in message
    assert line == "kit: kit.yaml"


def test_some_body_is_there_on_the_day(tmp_path: Path) -> None:
    """The only body comes a day late, or is in repair."""
    unit = "{id: cam-1, item: cam, owner: ana"
    kit = changed(KIT, unit, f"{unit}, available_from: 2027-05-16")
    problems = [str(one.problem) for one in found(tmp_path, SHOOT, kit)]
    assert len(problems) == 2
    assert "no unit of any body can be used on 2027-05-15, in pass 'closed'. Free" in problems[0]
    assert "cam-1 (lent by its owner only from 16 May 2027)" in problems[0]
    assert not found(tmp_path, SHOOT, changed(KIT, unit, f"{unit}, available_from: 2027-05-15"))
    assert found(tmp_path, SHOOT, changed(KIT, unit, f"{unit}, condition: in-repair"))


def test_long_lists_of_names_are_not_printed(tmp_path: Path) -> None:
    """With more than fifteen songs the nearest one is named, not all."""
    more = "".join(f"- {{id: encore-{number}, length_s: 60}}\n" for number in range(20))
    long = changed(SHOOT, "passes:\n- id: closed", f"{more}passes:\n- id: closed")
    long = changed(long, "end: 2027-05-15 15:00", "end: 2027-05-15 16:00")
    text, _ = only(tmp_path, changed(long, "performs_in: [two]", "performs_in: [encore-99]"))
    assert "Did you mean 'encore-" in text
    assert "Known here" not in text
    text, _ = only(tmp_path, changed(long, "performs_in: [two]", "performs_in: [xyz]"))
    assert "Write the id of a song, such as one" in text


def test_everything_is_reported_together_in_order_of_lines(tmp_path: Path) -> None:
    """Three faults in three places make one list."""
    wrong = changed(SHOOT, "part_of: band", "part_of: bend")
    wrong = changed(wrong, "Europe/Paris", "Mars/Base")
    wrong = changed(wrong, "person: ben}", "person: bin}")
    lines = [one.problem.line for one in found(tmp_path, wrong)]
    assert len(lines) == 3
    assert lines == sorted(lines)
