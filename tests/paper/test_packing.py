"""The packing list: every unit once, in build order, with what stays, moves and goes home."""

from __future__ import annotations

from collections import Counter

import pytest

from kitplan.errors import SettingError
from kitplan.gear.kit import Kit
from kitplan.gear.records import Accessory
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.paper.lists import Entry, Group, PassList, pass_lists, returns, turnarounds
from kitplan.paper.names import Names
from kitplan.paper.packing import packing
from kitplan.plan.brought import SoundKit, Unfilled, brought
from kitplan.plan.day.rolls import Roll
from kitplan.plan.heard import LACKS
from kitplan.plan.records import Plan
from kitplan.plan.verify import verify
from tests.stored import stored_plan


@pytest.fixture(params=["school-dance", "depot-brass"])
def plan(request: pytest.FixtureRequest) -> Plan:
    """A plan of each of two bundled shoots."""
    return stored_plan(request.param)


def without(plan: Plan, serves: str) -> Plan:
    """Return a plan whose kit lists no accessory of a kind."""
    items = plan.kit.items_by_id
    gone = {
        unit.id
        for unit in plan.kit.units
        if isinstance(item := items[unit.item], Accessory) and item.serves == serves
    }
    kit = plan.kit.model_copy(
        update={"units": tuple(unit for unit in plan.kit.units if unit.id not in gone)}
    )
    placements = tuple(
        p.model_copy(update={"accessories": tuple(u for u in p.accessories if u not in gone)})
        for p in plan.placements
    )
    return plan.model_copy(update={"kit": kit, "placements": placements})


def test_each_unit_stands_once_on_the_list_of_its_pass(plan: Plan) -> None:
    """Every unit of every placement, and nothing twice."""
    for each in pass_lists(Names(plan), plan.pass_ids()):
        listed = Counter(entry.unit for entry in each.entries)
        assert set(listed.values()) == {1}
        for placement in plan.placements_in(each.pass_id):
            assert set(placement.units) <= set(listed)


def test_cameras_are_listed_in_build_order(plan: Plan) -> None:
    """From the floor up: support, head, plate, body, lens; power and cards after; caps last."""
    names = Names(plan)
    for each in pass_lists(names, plan.pass_ids()):
        for group in each.groups:
            if not group.position:
                continue
            kinds = [names.item_of(entry.unit).kind for entry in group.entries]
            order = [
                k for k in kinds if k in ("support", "head", "body", "lens", "battery", "media")
            ]
            wanted = sorted(
                order, key=["support", "head", "body", "lens", "battery", "media"].index
            )
            assert order == wanted


def test_chargers_come_for_the_batteries_in_use(plan: Plan) -> None:
    """One for every kind of battery that a camera of the pass takes, if the kit has it."""
    names = Names(plan)
    for each in pass_lists(names, plan.pass_ids()):
        listed = {names.item_of(entry.unit).id for entry in each.entries}
        for item in plan.kit.items:
            if item.kind == "charger" and listed & set(item.batteries):
                assert item.id in listed or not plan.kit.units_by_item.get(item.id)


def test_mass_is_the_sum_of_the_things(plan: Plan) -> None:
    """Cases included."""
    first = pass_lists(Names(plan), plan.pass_ids())[0]
    assert first.mass_kg == pytest.approx(sum(entry.mass_kg for entry in first.entries))
    assert any(group.name == "Cases" for group in first.groups)


def test_what_the_kit_lacks_is_named(plan: Plan) -> None:
    """Nothing is hidden because nobody owns it."""
    text = packing(without(plan, "plate"))
    assert "1 x plate for Camera A: not in the kit, borrow from the venue" in " ".join(text.split())
    full = [m for each in pass_lists(Names(plan), plan.pass_ids()) for m in each.missing]
    assert not [m for m in full if m.what == "plate"]


def test_every_camera_unit_goes_one_way_between_passes(plan: Plan) -> None:
    """What stays keeps its position; what goes home is not needed again."""
    names = Names(plan)
    lists = pass_lists(names, plan.pass_ids())
    for turn in turnarounds(lists):
        ways = Counter(unit for change in turn.changes for unit in change.units)
        assert set(ways.values()) <= {1}
        before = {u for p in plan.placements_in(turn.after) for u in p.units}
        after = {u for p in plan.placements_in(turn.before) for u in p.units}
        assert set(ways) == before | after
        for change in turn.changes:
            assert set(change.units) <= (before if change.origin else after)
            assert change.what != "goes home" or not set(change.units) & after
            if change.what == "stays":
                assert change.origin.partition(", ")[2] == change.goal.partition(", ")[2]


def test_returns_hold_everything_that_was_out_once(plan: Plan) -> None:
    """By owner; owners by name."""
    lists = pass_lists(Names(plan), plan.pass_ids())
    out = {entry.unit for each in lists for entry in each.entries}
    back = [entry for each in returns(lists) for entry in each.entries]
    assert sorted(entry.unit for entry in back) == sorted(out)
    assert all(entry.owner == each.owner for each in returns(lists) for entry in each.entries)


def test_page_is_never_too_wide(plan: Plan) -> None:
    """A tick box for every unit of every pass, and one on the returns."""
    text = packing(plan)
    lists = pass_lists(Names(plan), plan.pass_ids())
    boxes = sum(len(each.entries) for each in lists)
    boxes += sum(len(each.entries) for each in returns(lists))
    assert max(map(len, text.splitlines())) <= WIDEST_TABLE
    assert text.count("[ ]") == boxes


def test_a_pass_is_found_by_id_or_name() -> None:
    """Without changes and returns, which are about all passes."""
    plan = stored_plan("school-dance")
    by_id = packing(plan, "dress")
    assert by_id == packing(plan, "Dress run") == packing(plan, "school-dance/dress")
    assert "Returns" not in by_id
    assert "First show" not in by_id


def test_an_unknown_pass_names_the_nearest() -> None:
    """And all that there are."""
    with pytest.raises(SettingError, match=r"no pass 'dres'.* Did you mean 'dress'"):
        packing(stored_plan("school-dance"), "dres")


def test_what_the_sound_needs_next_does_not_go_home() -> None:
    """A card that is formatted for the recorder lies ready; one that nobody needs goes."""
    cards = [Entry(f"card-{n}", "card", "Ann", "", 0.01) for n in (1, 2)]
    camera = Group("Camera A", "Front", "locked off", tuple(cards))
    lists = (
        PassList("small/run", (camera,), ()),
        PassList("small/show", (Group("Sound", "", "", (cards[0],)),), ()),
    )
    (turn,) = turnarounds(lists)
    ways = {change.what: change.units for change in turn.changes}
    assert ways == {"put by": ("card-1",), "goes home": ("card-2",)}


def test_nobody_is_told_twice_where_to_borrow(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    """A card that is lacking can be formatted in time as well; the reason says so."""
    lacking = SoundKit((), (Unfilled("Desk", "SD card", LACKS["card"]),))
    monkeypatch.setattr("kitplan.paper.lists.sound_kit", lambda *_: lacking)
    text = " ".join(packing(plan).split())
    assert "1 x SD card for Desk: every one that would do is in use, borrow one or copy" in text
    assert "format one in time, borrow" not in text


def test_what_the_day_puts_into_a_camera_is_on_its_list() -> None:
    """A battery that only the clock gives, beside those of the rig: on the list, and brought."""
    plan = stored_plan("depot-brass")
    first = plan.placements_in("depot-brass/show")[0]
    own = next(unit for unit in plan.kit.units if unit.id == first.batteries[0])
    spare = f"{own.id}-more"
    units = (*plan.kit.units, own.model_copy(update={"id": spare}))
    plan = plan.model_copy(update={"kit": Kit(items=plan.kit.items, units=units)})
    day = plan.day
    assert day is not None
    assert day.rolls is not None
    rolls = tuple(
        with_battery(roll, spare)
        if (roll.pass_id, roll.letter) == (first.pass_id, first.letter)
        else roll
        for roll in day.rolls.rolls
    )
    changed = day.model_copy(update={"rolls": day.rolls.model_copy(update={"rolls": rolls})})
    given = plan.model_copy(update={"day": changed})
    (listed,) = pass_lists(Names(given), [first.pass_id])
    camera = next(group for group in listed.groups if group.name == f"Camera {first.letter}")
    assert spare in {entry.unit for entry in camera.entries}
    assert spare in brought(given, first.pass_id)
    assert any(spare in finding.where or spare in finding.wrong for finding in verify(given))


def with_battery(roll: Roll, unit_id: str) -> Roll:
    """Return a roll whose last clip runs on another battery."""
    last = roll.clips[-1].model_copy(update={"battery": unit_id})
    return roll.model_copy(update={"clips": (*roll.clips[:-1], last)})
