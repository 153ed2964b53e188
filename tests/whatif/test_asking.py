"""Which missing facts come first: those that most rigs hang on."""

from __future__ import annotations

from kitplan.gear.files import read_kit
from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import AnyItem, Support
from kitplan.shoot.reading import read_brief
from kitplan.tables import folder, scenario
from kitplan.whatif.asking import MOST_WITH_SHOOT, weighed_for, weighed_questions
from tests.gear.test_questions import BODY, HEAD, LENS

LEGS = Support(
    id="legs",
    name="legs",
    payload_kg=10,
    fitting="bowl-75",
    height_min_m=0.5,
    height_max_m=1.5,
    measured=("payload_kg",),
)


def kit(*items: AnyItem) -> Kit:
    """A kit with one unit of each item."""
    units = tuple(Unit(id=f"{i.id}-1", item=i.id, owner="Ana") for i in items)
    return Kit(items=items, units=units)


def test_what_rigs_stand_or_fall_with_comes_first() -> None:
    """A body of 1.5 kg and a lens of 0.5 kg on a head for 2 kg, of which 1.6 kg are planned on.

    One rig, possible only if the head carries 2.5 kg or more: its payload decides, and so does the
    image circle, which at its lower end (28.1 mm) does not cover the sensor.
    """
    body = BODY.model_copy(update={"mass_kg": 1.5})
    lens = LENS.model_copy(update={"mass_kg": 0.5})
    found = weighed_questions(kit(body, lens, HEAD, LEGS))
    decided = {(each.question.item, each.question.fact): each.decided for each in found}
    assert decided[("fluid", "payload_kg")] == 1
    assert decided[("wide", "image_circle_mm")] == 1
    assert decided[("cam", "max_iso")] == 0
    assert {each.question.fact for each in found[:2]} == {"payload_kg", "image_circle_mm"}
    assert all(each.rigs == 1 for each in found)


def test_two_careful_guesses_do_not_hide_each_other() -> None:
    """Head and legs both guessed at 2 kg: either alone would change nothing, yet both decide."""
    body = BODY.model_copy(update={"mass_kg": 1.5})
    lens = LENS.model_copy(update={"mass_kg": 0.5})
    legs = LEGS.model_copy(update={"payload_kg": 2, "measured": (), "to_ask": ("payload_kg",)})
    found = weighed_questions(kit(body, lens, HEAD, legs))
    payloads = {e.question.item: e.decided for e in found if e.question.fact == "payload_kg"}
    assert payloads == {"fluid": 1, "legs": 1}


def test_the_more_rigs_the_sooner() -> None:
    """In the bundled school kit the hybrid body, with three lenses on seven stands, leads."""
    found = weighed_questions(read_kit(folder("catalog") / "school-dance.yaml"))
    rigs = [each.rigs for each in found if not each.decided and not each.question.is_guess]
    assert found[0].question.item == "crop-hybrid"
    assert found[0].rigs == 21
    assert rigs == sorted(rigs, reverse=True)


def test_weight_of_small_things_never_leads() -> None:
    """A card's weight decides nothing, however many rigs take the card."""
    found = weighed_questions(read_kit(folder("catalog") / "school-dance.yaml"))
    light = {"battery", "media", "charger", "accessory"}
    kinds = read_kit(folder("catalog") / "school-dance.yaml").items_by_id
    for each in found:
        if each.question.fact == "mass_kg" and kinds[each.question.item].kind in light:
            assert each.rigs == 0


def test_a_shoot_says_which_of_them_matter_there() -> None:
    """Of the first questions with two ends, those come first that change most of its shots."""
    brief = read_brief(scenario("school-dance"))
    before = weighed_questions(brief.kit)[:4]
    after = weighed_for(brief, before)
    shares = [each.shots for each in after if each.shots is not None]
    assert len(shares) == min(MOST_WITH_SHOOT, sum(bool(each.question.ends) for each in before))
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > 0
    assert {each.question for each in after} == {each.question for each in before}
