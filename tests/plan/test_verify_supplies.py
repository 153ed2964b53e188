"""Power, media and sound of a good plan have no finding; every way to spoil them has its own."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from kitplan.gear.records import Record
from kitplan.plan.day.power import OnMains
from kitplan.plan.records import Day, Plan
from kitplan.plan.verify import verify
from tests.day.supplies import LATER, RUN, SHOW, later, recorder, setup, supplied
from tests.small import at

Change = Callable[[Plan], Plan]


def _day(plan: Plan) -> Day:
    assert plan.day is not None
    return plan.day


def whole(part: str, **changes: Any) -> Change:
    """Change fields of a part of the day."""

    def change(plan: Plan) -> Plan:
        record: Record = getattr(_day(plan), part)
        return plan.model_copy(
            update={"day": _day(plan).model_copy(update={part: record.model_copy(update=changes)})}
        )

    return change


def rows(part: str, name: str, edit: Callable[[list[Any]], list[Any]]) -> Change:
    """Change the rows of a list in a part of the day."""

    def change(plan: Plan) -> Plan:
        found = list(getattr(getattr(_day(plan), part), name))
        return whole(part, **{name: tuple(edit(found))})(plan)

    return change


def row(part: str, name: str, number: int, /, **changes: Any) -> Change:
    """Change fields of one row."""

    def edit(found: list[Any]) -> list[Any]:
        found[number] = found[number].model_copy(update=changes)
        return found

    return rows(part, name, edit)


def moved(part: str, name: str, number: int, minutes: int, end: int | None = None) -> Change:
    """Move begin and end of one row."""

    def edit(found: list[Any]) -> list[Any]:
        one = found[number]
        found[number] = one.model_copy(
            update={
                "start": one.start + timedelta(minutes=minutes),
                "end": one.end + timedelta(minutes=minutes if end is None else end),
            }
        )
        return found

    return rows(part, name, edit)


def without(part: str, name: str, number: int) -> Change:
    """Take one row out."""
    return rows(part, name, lambda found: found[:number] + found[number + 1 :])


def twice(part: str, name: str, place: int, /, **changes: Any) -> Change:
    """List one row twice, the second time changed."""
    return rows(part, name, lambda found: [*found, found[place].model_copy(update=changes)])


def asked(**changes: Any) -> Change:
    """Change what the shoot asks for."""

    def change(plan: Plan) -> Plan:
        shoot = plan.shoots["small"]
        kept = {name: getattr(shoot, name) for name in type(shoot).model_fields}
        return plan.model_copy(
            update={"shoots": {"small": type(shoot).model_validate({**kept, **changes})}}
        )

    return change


def owned(item_id: str, **changes: Any) -> Change:
    """Change an item of the kit."""

    def change(plan: Plan) -> Plan:
        items = tuple(
            i.model_copy(update=changes) if i.id == item_id else i for i in plan.kit.items
        )
        return plan.model_copy(update={"kit": type(plan.kit)(items=items, units=plan.kit.units)})

    return change


def places(**changes: Any) -> Change:
    """Change the venue."""

    def change(plan: Plan) -> Plan:
        venue = plan.shoots["small"].venue
        kept = {name: getattr(venue, name) for name in type(venue).model_fields}
        return asked(venue=type(venue).model_validate({**kept, **changes}))(plan)

    return change


def rules(**changes: Any) -> Change:
    """Change rules of the shoot."""

    def change(plan: Plan) -> Plan:
        own = plan.shoots["small"].rules
        return asked(rules=own.model_copy(update=changes))(plan)

    return change


MAINS = OnMains(pass_id=RUN, letter="A")
CHARGES, COPIES = ("power", "charges"), ("media", "copies")
SPOILT: list[tuple[str, str, Change]] = [
    # -- power ---------------------------------------------------------------------------------
    ("a battery that runs is left out", "power-use", without("power", "uses", 0)),
    ("a use in no pass", "power-use", row("power", "uses", 0, pass_id="small/none")),
    ("a use listed twice", "power-use", twice("power", "uses", 0)),
    ("minutes that it does not run", "power-minutes", row("power", "uses", 0, minutes=19)),
    ("minutes that it does not last", "power-minutes", row("power", "uses", 0, full_min=36)),
    ("mains where there is none", "power-mains", whole("power", mains=(MAINS,))),
    ("more charge than there is", "power-charge", row("power", "uses", 2, before=0.9)),
    ("less used up than it takes", "power-charge", row("power", "uses", 2, after=0.1)),
    ("no charge that it needs", "power-charge", without(*CHARGES, 0)),
    ("charged twice", "power-charge", twice(*CHARGES, 0, bay="charger-1/1")),
    ("charged before its first pass", "power-charge", row(*CHARGES, 0, for_pass=RUN)),
    ("from more than it holds", "power-charge", row(*CHARGES, 0, from_share=0.4)),
    ("faster than the charger", "power-curve", moved(*CHARGES, 0, 0, end=-1)),
    ("begins while the pass runs", "power-time", moved(*CHARGES, 0, -10)),
    ("begins before it is free", "power-time", moved(*CHARGES, 0, -1, end=0)),
    ("done after the downbeat", "power-time", moved(*CHARGES, 0, 188)),
    ("needed later than it is", "power-time", row(*CHARGES, 0, needed_by=at(23))),
    ("put in at night", "power-time", moved(*CHARGES, 1, 5 * 60)),
    ("a bay that the charger has not", "power-bay", row(*CHARGES, 0, bay="charger-1/2")),
    ("a charger that is none", "power-bay", row(*CHARGES, 0, bay="cam-1/1")),
    ("a bay without number", "power-bay", row(*CHARGES, 0, bay="charger-1")),
    ("a charger for other batteries", "power-bay", owned("charger", batteries=("rec-cell",))),
    ("no socket", "power-sockets", places(sockets=1)),
    ("spares that are not there", "power-spare", row("power", "spares", 0, held=2)),
    ("a spare left out", "power-spare", without("power", "spares", 0)),
    ("other goals", "power-value", whole("power", value=(0, 0, 1, 353))),
    ("a bound above the goal", "power-value", whole("power", bound=(0, 0, 3, 353))),
    ("proven without proof", "power-value", whole("power", bound=(0, 0, 1, 353))),
    ("a way out of nothing", "power-short", whole("power", way_out="One more cell")),
    ("a charger that is slower", "power-curve", owned("charger", charge_min=61)),
    # -- media ---------------------------------------------------------------------------------
    ("a card left out", "media-use", without("media", "uses", 0)),
    ("a card listed twice", "media-use", twice("media", "uses", 0)),
    ("a card in no pass", "media-use", row("media", "uses", 0, pass_id="small/none")),
    ("less recorded", "media-use", row("media", "uses", 0, minutes=10)),
    ("other gigabytes", "media-use", row("media", "uses", 0, gb=7)),
    ("more room", "media-use", row("media", "uses", 0, room_min=400)),
    ("one copy only", "media-copy", without(*COPIES, 1)),
    ("a third copy", "media-copy", twice(*COPIES, 0, number=3)),
    ("both copies at once", "media-copy", moved(*COPIES, 1, -2)),
    ("faster than the reader", "media-copy", moved(*COPIES, 0, 0, end=-1)),
    ("a smaller copy", "media-copy", row(*COPIES, 0, gb=1)),
    ("copied while the pass runs", "media-copy", moved(*COPIES, 0, -2)),
    ("needed later", "media-copy", row(*COPIES, 0, needed_by=at(23, day=2))),
    ("needed although not used again", "media-copy", row(*COPIES, 2, needed_by=at(23, day=2))),
    ("part of a card", "media-copy", row(*COPIES, 4, passes=(RUN,))),
    ("a copy of no pass", "media-use", row(*COPIES, 0, passes=("small/none",))),
    ("two on one laptop", "media-laptop", moved(*COPIES, 2, 1)),
    ("a laptop that is not there", "media-laptop", row(*COPIES, 0, laptop="laptop/2")),
    ("formatted never", "media-format", without("media", "formats", 0)),
    ("in time although late", "media-format", asked(passes=(
        supplied().shoots["small"].passes[0], supplied().shoots["small"].passes[1],
        later().model_copy(update={"start": at(20, 26), "doors": None, "has_audience": False}),
    ))),
    ("formatted although full", "media-format", twice("media", "formats", 0, card="card-2")),
    ("late although in time", "media-format", row("media", "formats", 0, is_late=True)),
    ("fewer gigabytes in all", "media-disk", whole("media", total_gb=1)),
    ("one disk", "media-disk", whole("media", disks=1)),
    ("larger disks", "media-disk", whole("media", disk_gb=4000)),
    ("spare cards that are not there", "media-spare", row("media", "spares", 0, units=9)),
    ("other goals of copying", "media-value", whole("media", value=(0, 0, 1))),
    ("a bound above", "media-value", whole("media", bound=(0, 1, 1707))),
    # -- sound ---------------------------------------------------------------------------------
    ("a setup left out", "sound-run", without("sound", "runs", 0)),
    ("a setup in no pass", "sound-run", row("sound", "runs", 0, pass_id="small/none")),
    ("one microphone twice", "sound-units",
     row("sound", "runs", 0, sources=("mic-1", "mic-1"), phantom=("mic-1", "mic-1"))),
    ("another recorder", "sound-units", row("sound", "runs", 0, recorder="mic-1")),
    ("a microphone that is not there", "sound-units",
     row("sound", "runs", 0, sources=("mic-1", "mic-9"), phantom=("mic-1",))),
    ("a microphone lacking that is free", "sound-units",
     row("sound", "runs", 0, sources=("mic-1",), phantom=("mic-1",), missing=("mic",))),
    ("no phantom power", "sound-phantom", row("sound", "runs", 0, phantom=())),
    ("mains where there is none for it", "sound-power",
     row("sound", "runs", 0, is_on_mains=True)),
    ("no battery", "sound-power", row("sound", "runs", 0, batteries=())),
    ("a battery of a camera", "sound-units", row("sound", "runs", 0, batteries=("cell-1",))),
    ("a battery that does not fit", "sound-power",
     row("sound", "runs", 0, batteries=("cell-1",))),
    ("a battery lacking that is free", "sound-power",
     row("sound", "runs", 0, batteries=(), lacks=("battery",), holds=False)),
    ("no card", "sound-card", row("sound", "runs", 0, cards=())),
    ("a card lacking that is free", "sound-card",
     row("sound", "runs", 2, cards=(), lacks=("card",), holds=False)),
    ("a card of a camera", "sound-units", row("sound", "runs", 0, cards=("card-1",))),
    ("a card that a later pass fills", "sound-card",
     row("sound", "runs", 0, cards=("card-2",))),
    ("a card too small", "sound-card", owned("rec", bit_rate_mbps=4e5)),
    ("a shorter roll", "sound-roll", row("sound", "runs", 0, roll_min=10)),
    ("fails although it lasts", "sound-roll", row("sound", "runs", 0, holds=False)),
    ("another master", "sound-master", row("sound", "masters", 0, pass_id=RUN)),
    ("scratch sound instead of a setup", "sound-master",
     row("sound", "masters", 0, setup=None, letter="A")),
    ("a song without a master", "sound-master", without("sound", "masters", 0)),
]  # fmt: skip


def test_a_good_plan_has_no_finding() -> None:
    """And it has charges, cards that are used again, and sound that holds."""
    day = _day(supplied())
    assert verify(supplied()) == ()
    assert day.power is not None
    assert len(day.power.charges) == 2
    assert day.media is not None
    assert {one.before for one in day.media.formats} == {LATER}
    assert day.sound is not None
    assert [run.pass_id for run in day.sound.runs if run.holds] == [RUN, SHOW, LATER]
    assert recorder().battery == "rec-cell"
    assert setup().sources == ("mic", "mic")


@pytest.mark.parametrize(
    ("rule", "change"), [case[1:] for case in SPOILT], ids=[case[0] for case in SPOILT]
)
def test_spoilt_plans_are_found(rule: str, change: Change) -> None:
    """Each way to spoil it is named by its rule."""
    found = {finding.rule for finding in verify(change(supplied()))}
    assert rule in found
