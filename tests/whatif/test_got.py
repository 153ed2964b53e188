"""What was got in the passes that are over: the file, and the plan anew on what is missing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from kitplan.allocate.solver import Limits
from kitplan.errors import BadInput, SettingError
from kitplan.plan.records import Plan
from kitplan.plan.verify import verify
from kitplan.shoot.past import Past
from kitplan.whatif.got import read_past
from kitplan.whatif.losses import Reply, find_losses, plan_without
from tests.small import (
    body,
    cameras,
    demand_met,
    person,
    position,
    prime,
    reached,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
)

ONE = Limits(seconds=5, seed=1, workers=1)
RUN, SHOW = run(), show()


@pytest.fixture(scope="module")
def before() -> Plan:
    """Two cameras in the closed run and in the show, at three places."""
    plan = solve(small_brief(passes=(RUN, SHOW)))
    assert [len(cameras(plan, each)) for each in ("run", "show")] == [2, 2]
    return plan


def past_of(plan: Plan, folder: Path, text: str, name: str = "got.yaml") -> Past:
    """Write a file and read it."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return read_past(path, plan)


def after(plan: Plan, folder: Path, text: str, *lost: str) -> Reply:
    """Return the reply, which holds and leaves what is over as it was."""
    reply = plan_without(plan, find_losses(plan, lost), ONE, past=past_of(plan, folder, text))
    assert [str(finding) for finding in verify(reply.plan)] == []
    assert not [change for change in reply.changes if change.pass_id.endswith("/run")]
    return reply


def values(plan: Plan) -> tuple[float, float]:
    """Return thinnest song and viewpoints."""
    return reached(plan, "thinnest"), reached(plan, "viewpoints")


# -- what counts -----------------------------------------------------------------------------------


def test_all_got_changes_nothing(before: Plan, tmp_path: Path) -> None:
    """Three operated viewpoints of ten points over two songs, before and after."""
    reply = after(before, tmp_path, "- {pass: run, result: got}")
    assert reply.changes == ()
    assert values(before) == values(reply.plan) == (3, 60)


@pytest.mark.parametrize("song", ["", "song: first, "], ids=["whole pass", "one song"])
def test_what_was_spoiled_is_repeated_and_what_was_got_is_not(
    before: Plan, tmp_path: Path, song: str
) -> None:
    """The run had somebody in front, and one side locked off, which did not count beside the same
    side in the show. The first is spoiled: one of the show goes to the front, and the run's side
    counts after all, 4 x 2 points. One song alone is enough, as the thinnest song comes first.
    """
    side = cameras(before, "run")[1].position
    (other,) = {"left", "right"} - {side}
    assert [each.is_counted for each in cameras(before, "run")] == [True, False]
    reply = after(before, tmp_path, f"- {{pass: run, camera: A, {song}result: spoiled}}")
    assert values(reply.plan) == (3, 48)
    assert {each.position for each in cameras(reply.plan)} == {"front", other}
    assert [each.is_counted for each in cameras(reply.plan, "run")] == [False, True]


def test_a_song_that_was_not_run_is_worth_nothing(before: Plan, tmp_path: Path) -> None:
    """Two viewpoints in the first song, from the show, 2 x 20 points; 10 for the run's second."""
    reply = after(before, tmp_path, "- {pass: run, song: first, result: not-run}")
    assert values(reply.plan) == (2, 50)
    assert reply.plan.worth["small/run"] == {"first": "none", "second": "locks"}


def test_of_locked_off_ones_the_one_with_more_songs_has_more_points(tmp_path: Path) -> None:
    """4 points x 2 songs for the camera that got both, 3 x 1 for the one that got one."""
    nobody = (person("ann", is_operator=False), person("ben", is_operator=False))
    places = tuple(position(name, open_in=("run",)) for name in ("left", "right"))
    plan = solve(small_brief(passes=(RUN, SHOW), positions=places, crew=nobody))
    assert values(plan) == (2, 14)  # (4 + 3) x 2
    for letter in ("A", "B"):
        row = f"- {{pass: run, camera: {letter}, song: second, result: spoiled}}"
        assert values(after(plan, tmp_path, row).plan) == (1, 11)


def one_camera(**parts: Any) -> Plan:
    """Return the plan of one camera that sees only medium shots: in the run it must be in front,
    as that is open then; in the show it is on the left for a second viewpoint.
    """
    places = (position("front"), position("left", open_in=("show",)))
    kit = small_kit(body(built_in=prime(113)), counts={"cam": 1})
    given = {"roles": (role(positions=("front",)),), "crew": (person("ann"),), **parts}
    plan = solve(small_brief(kit, passes=(RUN, SHOW), positions=places, **given))
    assert [each.position for each in plan.placements] == ["front", "left"]
    return plan


@pytest.fixture(scope="module")
def single() -> Plan:
    """One camera, the must role done in the run."""
    return one_camera()


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("- {pass: run, result: got}", "left"),
        ("- {pass: run, song: first, result: spoiled}", "left"),
        ("- {pass: run, result: spoiled}", "front"),
    ],
    ids=["got", "half of it", "spoiled"],
)
def test_a_role_that_is_not_brought_home_is_done_in_the_show(
    single: Plan, tmp_path: Path, text: str, place: str
) -> None:
    """Half of the songs are enough; with none the show's camera has to go to the front."""
    reply = after(single, tmp_path, text)
    assert [each.position for each in cameras(reply.plan)] == [place]
    assert demand_met(reply.plan, "close")
    assert reply.plan.status == "solved"


def test_a_viewpoint_counts_for_the_songs_it_has(single: Plan, tmp_path: Path) -> None:
    """Front 2 x 10 and left 2 x 10; without the first song of the run 10 less."""
    assert values(single) == (2, 40)
    reply = after(single, tmp_path, "- {pass: run, song: first, camera: A, result: spoiled}")
    assert values(reply.plan) == (1, 30)


def test_a_role_of_every_pass_is_not_asked_for_where_it_is_too_late(tmp_path: Path) -> None:
    """Only in the show, even if the run's was spoiled."""
    both = role(in_passes="every")
    plan = solve(small_brief(passes=(RUN, SHOW), roles=(both,)))
    assert len(plan.demands) == 2
    reply = after(plan, tmp_path, "- {pass: run, result: spoiled}")
    assert [demand.words for demand in reply.plan.demands] == [plan.demands[1].words]


# -- lost since ------------------------------------------------------------------------------------


def test_what_is_lost_after_a_pass_was_there_in_it(before: Plan, tmp_path: Path) -> None:
    """A body, a person and a position that the run used are missing in the show alone."""
    first = cameras(before, "run")[0]
    lost = (first.rig.body, first.operator or "", "right")
    reply = after(before, tmp_path, "- {pass: run, result: got}", *lost)
    assert cameras(reply.plan, "run")[0].rig == first.rig
    (left,) = cameras(reply.plan, "show")
    assert left.rig.body != first.rig.body
    assert left.operator != first.operator
    assert left.position != "right"


def test_the_past_is_kept_from_reply_to_reply(before: Plan, tmp_path: Path) -> None:
    """What was spoiled stays so when something is lost later."""
    first = after(before, tmp_path, "- {pass: run, camera: A, result: spoiled}").plan
    then = plan_without(first, find_losses(first, ["ben"]), ONE).plan
    assert verify(then) == ()
    assert then.shoots["small"].past.stood == first.shoots["small"].past.stood
    assert cameras(then, "run")[0].operator is not None
    assert [each.operator for each in cameras(then) if each.operator] == ["ann"]


def test_what_is_over_cannot_be_lost(before: Plan, tmp_path: Path) -> None:
    """Nor the only pass that is left."""
    plan = after(before, tmp_path, "- {pass: run, result: got}").plan
    with pytest.raises(SettingError, match="it is over and cannot be lost"):
        plan_without(plan, find_losses(plan, ["run"]), ONE)
    with pytest.raises(SettingError, match="the only pass still to come"):
        plan_without(plan, find_losses(plan, ["show"]), ONE)


# -- the checker -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"operator": None}, "its operator has changed"),
        ({"position": "left"}, "its position has changed"),
        ({"roles": ()}, "its role has changed"),
        ({"cards": ()}, "its cards has changed"),
    ],
)
def test_a_plan_that_changes_what_is_over_is_found_out(
    single: Plan, tmp_path: Path, changes: dict[str, Any], words: str
) -> None:
    """Whatever it is."""
    plan = after(single, tmp_path, "- {pass: run, result: got}").plan
    first, *others = plan.placements
    spoilt = plan.model_copy(update={"placements": (first.model_copy(update=changes), *others)})
    found = [str(finding) for finding in verify(spoilt) if finding.rule == "past"]
    assert [words in line for line in found] == [True]


def test_a_camera_more_or_less_in_the_past_is_found_out(single: Plan, tmp_path: Path) -> None:
    """And one that got nothing does not count."""
    plan = after(single, tmp_path, "- {pass: run, result: spoiled}").plan
    first, *others = plan.placements
    without = plan.model_copy(update={"placements": tuple(others)})
    assert "past" in {finding.rule for finding in verify(without)}
    more = first.model_copy(update={"rig": first.rig.model_copy(update={"body": "x"})})
    with_more = plan.model_copy(update={"placements": (*plan.placements, more)})
    assert {"unit"} <= {finding.rule for finding in verify(with_more)}
    counted = first.model_copy(update={"is_counted": True})
    claims = plan.model_copy(update={"placements": (counted, *others)})
    assert "counted-got" in {finding.rule for finding in verify(claims)}


def test_a_lost_unit_in_a_pass_to_come_is_found_out(before: Plan, tmp_path: Path) -> None:
    """It was there in the run."""
    unit = cameras(before)[0].rig.support
    plan = after(before, tmp_path, "- {pass: run, result: got}").plan
    (shoot,) = plan.shoots.values()
    past = shoot.past.model_copy(update={"lost_units": (unit,)})
    spoilt = plan.model_copy(update={"shoots": {"small": shoot.model_copy(update={"past": past})}})
    assert "unit-lost" in {finding.rule for finding in verify(spoilt)}


# -- the file --------------------------------------------------------------------------------------


def missed(past: Past) -> dict[str, tuple[str, ...]]:
    """Return the songs that each camera has not got."""
    return {stood.letter: stood.missed for stood in past.stood}


@pytest.mark.parametrize(
    ("name", "text"),
    [
        (
            "a.yaml",
            "- {pass: run, camera: a, result: spoiled}\n"
            "- {pass: RUN, song: Second, camera: A, result: got}\n",
        ),
        ("a.csv", "pass,camera,song,result\nrun,A,,spoiled\n\nrun,A,second,got\n"),
        ("a.csv", "song;result;pass;camera\n;Spoiled;run;A\nsecond;Got;run;A\n"),
    ],
    ids=["yaml", "commas", "semicolons"],
)
def test_later_rows_win(before: Plan, tmp_path: Path, name: str, text: str) -> None:
    """All of camera A, but for one song; in any of the forms."""
    assert missed(past_of(before, tmp_path, text, name)) == {"A": ("first",), "B": ()}


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("a.yaml", "- {pass: rum, result: got}", r"a.yaml:1: there is no pass 'rum'. Did you mean"),
        ("a.yaml", "\n- {pass: run, camera: C, result: got}", r"a.yaml:2: there is no camera 'C'"),
        ("a.csv", "pass,camera,song,result\nrun,,frist,got", r"a.csv:2: .*'frist'. Did you mean"),
        ("a.yaml", "- {pass: run, result: lost}", "a.yaml:1: result is 'lost'"),
        ("a.yaml", "- {pass: run}", "result is missing"),
        ("a.yaml", "run: spoiled", "this is not a list of rows"),
        ("a.yaml", "- run", "a.yaml:1"),
        ("a.csv", "pass,camera\nrun,A", "the columns are pass, camera. Let the first line be"),
        ("a.csv", "pass,camera,song,result\nrun,A,first,got,x", "a.csv:2: the row has 5 cells"),
        ("a.csv", 'pass,camera,song,result\n"run', "not a CSV table"),
        ("a.csv", "pass,camera,song,result\n", "the file has no rows"),
        ("a.txt", "x", "files with the ending '.txt' are not read"),
    ],
)
def test_a_faulty_file_is_told_line_by_line(
    before: Plan, tmp_path: Path, name: str, text: str, words: str
) -> None:
    """What is wrong and what would be right."""
    with pytest.raises(BadInput, match=words):
        past_of(before, tmp_path, text, name)


def test_everything_that_is_wrong_comes_at_once(before: Plan, tmp_path: Path) -> None:
    """Two rows, two problems."""
    with pytest.raises(BadInput) as caught:
        past_of(before, tmp_path, "- {pass: a, result: got}\n- {pass: b, result: got}")
    assert len(caught.value.problems) == 2


def test_songs_that_a_pass_does_not_run_and_passes_all_over(tmp_path: Path) -> None:
    """Neither makes sense."""
    plan = solve(small_brief(passes=(run(songs={"second": "not-run"}), SHOW)))
    with pytest.raises(BadInput, match="song 'second' was not to be run in pass 'run'"):
        past_of(plan, tmp_path, "- {pass: run, song: second, result: spoiled}")
    with pytest.raises(SettingError, match="every pass is over"):
        past_of(plan, tmp_path, "- {pass: show, result: got}")
