"""`kitplan angles` from end to end on plans made by hand."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

from kitplan.cli.main import app
from kitplan.errors import PlanFileError, SettingError
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.plan.records import Plan
from kitplan.plan.verify import Finding
from kitplan.shoot.records import Shoot
from kitplan.shoot.venue import Subject
from tests.plans import written
from tests.small import position, run, show, singer, small_shoot
from tests.whatif.small import SAFETY, hand_plan, placed, safety

SUBJECTS = (
    singer(roam_m=1),
    singer("drummer", at_m=(1, 5), name="The drummer"),
    Subject(id="stage", kind="stage"),
)


@pytest.fixture(autouse=True)
def _no_findings(monkeypatch: pytest.MonkeyPatch) -> None:
    """Plans made by hand take no care of cards and batteries."""
    monkeypatch.setattr("kitplan.plan.verify.verify", lambda _: ())


@pytest.fixture
def angles(tmp_path: Path) -> Callable[..., str]:
    """Return a function that writes a plan and returns what the command says of it."""

    def _angles(plan: Plan, *arguments: str) -> str:
        written(tmp_path, plan)
        result = CliRunner().invoke(app, ["angles", str(tmp_path), *arguments])
        assert result.exit_code == 0, result.output
        assert max(map(len, result.output.splitlines())) <= WIDEST_TABLE
        return result.output

    return _angles


def hall() -> Shoot:
    """Return a closed run and a show with positions in front, at the sides and behind."""
    return small_shoot(
        positions=(
            position("front", rigs=3),
            position("left"),
            position("right"),
            position("back", at_m=(0, 12), name="Behind the drums"),
        ),
        subjects=SUBJECTS,
        passes=(run(), show()),
        roles=(SAFETY,),
    )


def evening() -> Plan:
    """Return a plan: a safety shot, two on the singer, one on the drummer from behind, one again.

    C sees the singer 45 degrees from the right, D from behind; B of the run and of the show are one
    view, so that only one of them counts.
    """
    return hand_plan(
        hall(),
        (
            safety("A"),
            placed("B"),
            placed("C", "right"),
            placed("B", in_pass="run", is_counted=False),
            placed("D", "back", "drummer", "MCU", in_pass="run", operator=None),
        ),
    )


def one_line(text: str) -> str:
    """Return a text without its line breaks."""
    return " ".join(text.split())


def test_closest_pairs_by_pass_and_from_pass_to_pass(angles: Callable[..., str]) -> None:
    """Counted ones; the other beside its double; the reverse with its advice; the forecast."""
    text = angles(evening())
    order = ["run\n---", "show\n----", "From pass to pass", "Not counted", "Cut forecast"]
    places = [text.index(heading) for heading in order]
    assert places == sorted(places)
    assert "4 distinct viewpoints in 5 placements" in text
    assert "Fewer than two viewpoints are counted here." in text
    assert "join it through a neutral or moving shot" in one_line(text)
    assert "(upstage" in text[places[2] : places[3]]
    assert "alike: 30" in text[places[3] :]
    assert "(not" in text[places[3] :]


def test_all_pairs(angles: Callable[..., str]) -> None:
    """Five placements make ten; nothing is left out then."""
    text = angles(evening(), "--all")
    assert text.count(" step") == 10
    assert "Not counted\n" not in text
    assert "see them with --all" not in text


def test_the_rest_is_counted_where_a_table_ends(angles: Callable[..., str]) -> None:
    """Five in one pass make ten pairs, six are shown."""
    own = (
        safety("A"),
        placed("B"),
        placed("C", "right"),
        placed("D", "left"),
        placed("E", "back", "drummer"),
    )
    assert "4 more pairs, further apart: see them with --all" in angles(hand_plan(hall(), own))


def test_only_one_pass(angles: Callable[..., str]) -> None:
    """By any of its names; pairs with other passes stay, the rest goes."""
    data = json.loads(angles(evening(), "--pass", "RUN", "--json"))
    (found,) = data["shoots"]
    # of ten pairs the three within the show go
    assert len(found["pairs"]) == 7
    assert "show\n----" not in angles(evening(), "--pass", "run")


def test_only_one_subject(angles: Callable[..., str]) -> None:
    """Pairs that both show it: the drummer alone and on the whole stage."""
    text = angles(evening(), "--subject", "the drummer")
    assert text.count(" step") == 1
    assert "Cut forecast" not in text
    plan = hand_plan(hall(), (safety("A"), placed("B")))
    assert "No two placements show drummer." in angles(plan, "--subject", "drummer")


@pytest.mark.parametrize(
    ("option", "name", "near"),
    [("--pass", "shwo", "show"), ("--subject", "drumer", "drummer")],
)
def test_a_misspelt_name_is_answered_with_the_nearest(
    option: str, name: str, near: str, tmp_path: Path
) -> None:
    """And where it was given."""
    arguments = ["angles", str(written(tmp_path, evening())), option, name]
    result = CliRunner().invoke(app, arguments)
    assert isinstance(result.exception, SettingError)
    assert result.exception.where == option
    assert f"Did you mean '{near}'?" in str(result.exception)


def test_as_data(angles: Callable[..., str]) -> None:
    """Every angle, pair and song, with the figures behind the words."""
    (found,) = json.loads(angles(evening(), "--json"))["shoots"]
    assert [angle["camera"] for angle in found["angles"]] == ["B", "D", "A", "B", "C"]
    assert [angle["is_upstage_reverse"] for angle in found["angles"]] == [False, True] + 3 * [False]
    assert len(found["pairs"]) == 10
    closest = found["pairs"][0]
    assert closest["is_alike"]
    assert closest["viewpoints"] == "alike: 30 degrees short, or a factor 2.0 short"
    assert closest["apart_deg"] == 0
    assert closest["margin"] == {"over_deg": -30, "factor": 0.5}
    assert not closest["cut"]["is_cuttable"]
    assert closest["cut"]["subject"] == "singer"
    assert {song["song"] for song in found["forecast"]["songs"]} == {"first", "second"}


@pytest.mark.parametrize("option", ["--all", "--json"])
def test_odd_plans_have_an_answer(option: str, angles: Callable[..., str]) -> None:
    """No camera, one, none that is safe, one that sees nothing."""
    for placements in ((), (placed("A"),), (placed("A", "left"), placed("B", "right"))):
        assert angles(hand_plan(hall(), placements), option)
    unseen = angles(hand_plan(hall(), (placed("A", subject="stage", size="CU"),)))
    assert "show, camera A: stage CU cannot be framed from front" in one_line(unseen)


def test_a_plan_that_does_not_hold_is_status_1(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The angles are shown all the same."""
    finding = Finding("show", "front", "cards", "none")
    monkeypatch.setattr("kitplan.plan.verify.verify", lambda _: (finding,))
    path = written(tmp_path, evening())
    result = CliRunner().invoke(app, ["angles", str(path)])
    assert result.exit_code == 1
    assert "Cut forecast" in result.stdout
    assert "does not hold in 1 place, so its angles may be wrong" in result.stderr


def test_a_plan_that_names_what_it_does_not_hold_is_refused(tmp_path: Path) -> None:
    """As in packing lists."""
    plan = hand_plan(hall(), (placed("A", "nowhere"),))
    result = CliRunner().invoke(app, ["angles", str(written(tmp_path, plan))])
    assert isinstance(result.exception, PlanFileError)
    assert "there is no position nowhere" in str(result.exception)
