"""What a lens sees from a position: as plans have it, and refused in the words of `why`."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from kitplan.errors import BadInput
from kitplan.gear.records import Support
from kitplan.options.failing import find_failing
from kitplan.options.parts import Scope, all_parts
from kitplan.options.spots import find_options
from kitplan.plan.records import Placement
from kitplan.shoot.brief import Brief
from kitplan.web.room.picture import answer
from kitplan.web.room.sighting import Ask, sighted
from kitplan.whatif.funnel import Tally
from tests.shoot.small import SHOOT, changed, read
from tests.stored import stored_plan

NAME = "school-dance"
FIGURES = {"focal_mm", "stop", "iso", "hidden", "wings", "near_m", "far_m", "steady_share", "grade"}


def brief_of(name: str) -> Brief:
    """Return the brief of a stored plan."""
    plan = stored_plan(name)
    return Brief(plan.shoots[name], plan.kit)


def ask_of(placement: Placement, **other: Any) -> Ask:
    """Return the question whose answer a placement is."""
    plan = stored_plan(NAME)
    items = {unit.id: unit.item for unit in plan.kit.units}
    rig = placement.rig
    facts = {
        "in_pass": placement.pass_id.partition("/")[2],
        "position": placement.position,
        "subject": placement.shot.subject,
        "size": placement.shot.size,
        "manner": placement.manner,
        "body": items[rig.body],
        "mode": rig.mode,
        "lens": items[rig.lens] if rig.lens else None,
        "adapter": items[rig.adapter] if rig.adapter else None,
        "support": items[rig.support],
        "head": items[rig.head] if rig.head else None,
    }
    return Ask.model_validate(facts | other)


@pytest.mark.parametrize("placement", stored_plan(NAME).placements, ids=lambda p: p.position)
def test_every_camera_of_a_plan_sees_what_the_plan_says(placement: Placement) -> None:
    """The same figures, and nothing refuses it."""
    from kitplan.web.room.picture import _shot

    seen = sighted(brief_of(NAME), ask_of(placement))
    assert seen.words == ()
    shot = _shot(seen)
    assert shot is not None
    expected, found = (each.model_dump(include=FIGURES) for each in (placement.shot, shot))
    assert (found["far_m"] is None) == (expected["far_m"] is None)
    assert found | {"far_m": found["far_m"] or 0} == pytest.approx(
        expected | {"far_m": expected["far_m"] or 0}, rel=1e-9
    )


def test_what_refuses_a_shot_is_what_the_funnel_counts() -> None:
    """Every rule that `why` would count for the same body, stand and shot, and no other."""
    brief = brief_of(NAME)
    options = find_options(brief)
    for position in [each.id for each in brief.shoot.venue.positions]:
        for subject in ("whole-stage", "company"):
            ask = Ask(in_pass="dress", position=position, subject=subject, size="WS")
            seen = sighted(brief, ask)
            scope = Scope(
                passes=frozenset({"dress"}),
                positions=frozenset({position}),
                subject=subject,
                sizes=("WS",),
                manners=("operated",),
                item=seen.camera.body.id,
            )
            tally = Tally()
            for failing in find_failing(options, all_parts(brief), scope):
                tally.see(failing)
            counted = {count.rule for count in tally.funnel().rules}
            assert {refusal.rule for refusal in seen.refusals} <= counted
            assert (tally.funnel().left > 0) >= (not seen.refusals)


def test_a_refusal_is_told_in_words_with_its_figures(tmp_path: Path) -> None:
    """A closed position with a lens that is too long for the stage."""
    brief = read(tmp_path)
    ask = Ask(in_pass="show", position="wing", subject="stage", size="WS", body="cam")
    words = sighted(brief, ask).words
    assert words[0] == "the position is not open in this pass"
    assert any(word.startswith("the widest frame is") for word in words)


def test_what_is_left_open_is_chosen_to_work(tmp_path: Path) -> None:
    """Legs on the floor, a clamp on a rail."""
    brief = read(tmp_path)
    for position, support in (("back", "legs"), ("rail", "clamp")):
        seen = sighted(brief, Ask(in_pass="show", position=position, subject="stage", size="WS"))
        assert (seen.words, seen.stand.support.id) == ((), support)


def test_every_other_choice_says_whether_it_works(tmp_path: Path) -> None:
    """Cameras, and stands with what is wrong with them."""
    told = answer(sighted(read(tmp_path), Ask(in_pass="show", position="back", subject="stage")))
    assert [each["works"] for each in told["cameras"]] == [True]
    refusals = {each["support"]: each["refusal"] for each in told["stands"]}
    assert refusals == {"legs": None, "clamp": "it does not stand on what the position offers"}
    assert told["chosen"]["size"] in told["sizes"]


def test_the_frame_is_drawn_and_names_are_text(tmp_path: Path) -> None:
    """A drawing that parses, whatever things are called."""
    shoot = changed(SHOOT, "{id: singer,", '{id: singer, name: "</svg><script>",')
    told = answer(
        sighted(read(tmp_path, shoot), Ask(in_pass="show", position="back", subject="singer"))
    )
    root = ElementTree.fromstring(told["svg"])
    tags = {element.tag.rpartition("}")[2] for element in root.iter()}
    assert "path" in tags
    assert "script" not in tags
    assert len(told["cone"]) == 3


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"in_pass": "shwo"}, "there is no pass 'shwo'. Did you mean 'show'"),
        ({"position": "bakc"}, "there is no position 'bakc'. Did you mean 'back'"),
        ({"subject": "nobody"}, "there is no subject 'nobody'"),
    ],
)
def test_what_is_not_there_is_said(tmp_path: Path, facts: dict[str, str], words: str) -> None:
    """With the nearest name."""
    ask = {"in_pass": "show", "position": "back", "subject": "stage"} | facts
    with pytest.raises(BadInput, match=words.replace("(", r"\(")):
        sighted(read(tmp_path), Ask.model_validate(ask))


def test_a_kit_without_a_camera_says_so(tmp_path: Path) -> None:
    """There is nothing to look through."""
    brief = read(tmp_path)
    kit = brief.kit.model_copy(update={"items": tuple(brief.kit.of_kind(Support))})
    with pytest.raises(BadInput, match="the kit makes no camera"):
        sighted(Brief(brief.shoot, kit), Ask(in_pass="show", position="back", subject="stage"))
