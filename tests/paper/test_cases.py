"""The packing on paper: contents, lifts, order, nights between passes, remedies, packing lists."""

from __future__ import annotations

from kitplan.gear.kit import Kit
from kitplan.paper.cases import cases_records, cases_text, overnights
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.paper.lists import pass_lists, returns
from kitplan.paper.names import Names
from kitplan.plan.records import Plan
from tests.day.cases.small import changed_kit, packed, unpacked
from tests.small import at, run, show


def two_days() -> Plan:
    """Return the plan with its run on the day before the show."""
    return packed(passes=(run(), show(start=at(20, day=2), doors=at(19, day=2))))


def test_each_case_says_what_is_in_it() -> None:
    """With litres and kilograms used, and who lifts it."""
    text = cases_text(packed())
    assert "everything fits; no better packing exists" in " ".join(text.split())
    assert "of 40 l, 10.0 of 20 kg; 12.0 kg in all: one person" in text
    assert "legs-1" in text
    assert "At the venue already: feed (feed-1)." in text
    assert max(map(len, text.splitlines())) <= WIDEST_TABLE


def test_figures_of_lifting_are_only_a_filter() -> None:
    """The venue and the employer decide."""
    assert "filters, not limits" in cases_text(packed())


def test_two_lift_what_is_above_the_guideline() -> None:
    """12 kg where the rule says 10."""
    assert "12.0 kg in all: two people" in cases_text(packed(rules={"lift_kg": 10}))


def test_what_does_not_fit_comes_with_its_remedy() -> None:
    """Legs of 50 litres each."""
    text = cases_text(packed(changed_kit(items_changed={"legs": {"volume_l": 50}})))
    assert "2 things left" in text
    assert "a long bag of 100 l, or by hand" in text


def test_what_is_not_at_home_says_where_it_lives() -> None:
    """All but the sandbag in the long bag, since the car is small: 80 l."""
    text = cases_text(packed(vehicle={"volume_l": 80}))
    assert "cam, wrapped, else in bag-1" in text
    assert "(it takes 80 l)" in " ".join(text.split())


def test_cases_beyond_homes_are_named() -> None:
    """Nothing has a home: a bag of some kind has to come."""
    plan = packed(homeless().kit)
    assert "Nobody's home, brought for their room:" in cases_text(plan)


def test_what_is_needed_again_stays_overnight() -> None:
    """Bag and long bag stay; the card and the cell of the run go home."""
    plan = two_days()
    assert plan.day is not None
    assert plan.day.cases is not None
    (night,) = overnights(Names(plan), plan.day.cases.loads[0])
    assert night.stay == ("sandbag-1", "bag-1", "long-1")
    assert night.go == ()
    assert set(night.take_out) == {"card-1", "cell-1"}
    assert "Out of what stays, home for the night: 1 card" in cases_text(plan)


def test_passes_of_one_day_have_no_night_between() -> None:
    """Run and show of the same day."""
    assert "Stays in the building" not in cases_text(packed())


def test_records_say_the_same() -> None:
    """For machines."""
    (found,) = cases_records(packed())["shoots"]
    assert found["order"] == ("sandbag-1", "bag-1", "long-1")
    assert found["first_needed"]["sandbag-1"] == "small/show"
    assert found["goals"][0] == "parts"


def homeless() -> Plan:
    """Return the plan in which nothing has a home."""
    kit = changed_kit()
    units = tuple(one.model_copy(update={"case": None}) for one in kit.units)
    return unpacked(Kit(items=kit.items, units=units))


def test_packing_lists_name_the_case_of_the_packing() -> None:
    """Each unit once, with its case; without a packing nothing is said."""
    plan = packed(homeless().kit)
    assert plan.day is not None
    assert plan.day.cases is not None
    case_of = plan.day.cases.case_of
    for each in pass_lists(Names(plan), plan.pass_ids()):
        listed = [entry.unit for entry in each.entries]
        assert len(listed) == len(set(listed))
        assert {e.case for e in each.entries if e.unit in case_of} <= set(listed)
        for entry in each.entries:
            assert entry.case == case_of.get(entry.unit, "")
    bare = pass_lists(Names(homeless()), homeless().pass_ids())
    assert {entry.case for each in bare for entry in each.entries} == {""}


def test_a_pouch_is_listed_in_its_bag() -> None:
    """Cards lie in the pouch, the pouch in the bag."""
    plan = packed()
    lists = pass_lists(Names(plan), plan.pass_ids())
    cases = {e.unit: e.case for one in returns(lists) for e in one.entries}
    assert cases["card-1"] == "pouch-1"
    assert cases["pouch-1"] == "bag-1"
    assert cases["sandbag-1"] == ""
