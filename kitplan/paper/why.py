"""Why a thing is not in a plan, in words: the funnel, the nearest miss, the smallest change."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Any

from kitplan.paper.layout import blocks, bullets, counted, heading, joined, paragraph, table_text
from kitplan.paper.reasons import RULE_WORDS, TAKEN_WORDS
from kitplan.paper.repairs import repair_record, repair_text
from kitplan.plan.records import DemandMet, Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Role, Shoot
from kitplan.whatif.changes import Repair
from kitplan.whatif.funnel import Funnel, NearMiss
from kitplan.whatif.why import Answer


class Labels:
    """Names for people of the ids in an answer."""

    def __init__(self, plan: Plan) -> None:
        ((_, self.shoot),) = plan.shoots.items()
        self.plan = plan
        self._items = {item.id: item.name for item in plan.kit.items}
        self._places = {place.id: place.label for place in self.shoot.venue.positions}

    def of(self, kind: str, own_id: str) -> str:
        """Return what a role, item, position or person is called."""
        match kind:
            case "role":
                role: Role | None = self.shoot.roles_by_id.get(own_id)
                return role.label if role else "Safety shot"
            case "item":
                return self._items[own_id]
            case "position":
                return self._places[own_id]
        return self.shoot.crew_by_id[own_id].label

    def in_pass(self, pass_id: str) -> str:
        """Return the name of a pass."""
        return self.shoot.passes_by_id[pass_id].label

    def miss(self, miss: NearMiss) -> str:
        """Return an option that nearly works, with its figures."""
        shoot: Shoot = self.shoot
        camera = f"{self._items[miss.body]} ({miss.mode})"
        for part in (miss.adapter, miss.lens):
            camera += f", {self._items[part]}" if part else ""
        stand = self._items[miss.support]
        stand += f" with {self._items[miss.head]}" if miss.head else ""
        return (
            f"{shoot.subjects_by_id[miss.subject].label} {miss.size} from "
            f"{self._places[miss.position]} in {self.in_pass(miss.pass_id)}, {miss.manner}, with "
            f"the {camera} on the {stand}: {miss.sentence}{self._bars(miss)}"
        )

    def _bars(self, miss: NearMiss) -> str:
        """Return what keeps the units that an option lacks."""
        if miss.rule != "no-unit":
            return ""
        brief, each = Brief(self.shoot, self.plan.kit), self.shoot.passes_by_id[miss.pass_id]
        parts = [p for p in (miss.body, miss.adapter, miss.lens, miss.support, miss.head) if p]
        gone = [part for part in parts if not brief.free_units(part, each)]
        bars = [bar for part in gone for bar in brief.bars_in_words(part)]
        return f" ({'; '.join(bars)})" if bars else ""


# -- one name --------------------------------------------------------------------------------------


def why_text(plan: Plan, answer: Answer, repair: Repair | None) -> str:
    """Return the answer about one name as a page."""
    labels = Labels(plan)
    return blocks(
        heading(f"{answer.kind.capitalize()}: {labels.of(answer.kind, answer.id)}"),
        paragraph(_where_it_is(labels, answer)),
        bullets(f"{words}." for words in answer.away),
        _funnel_text(answer),
        _nearest_text(labels, answer),
        repair_text(plan, repair) if repair is not None else "",
    )


def why_records(answer: Answer, repair: Repair | None) -> dict[str, Any]:
    """Return the answer about one name as plain data."""
    return asdict(answer) | {"repair": repair_record(repair)}


def _where_it_is(labels: Labels, answer: Answer) -> str:
    verb = {"role": "done", "item": "used", "position": "used", "person": "operating"}[answer.kind]
    missed = "" if answer.is_met else "not everywhere " if answer.cameras else "not "
    found = [f"camera {letter} in {labels.in_pass(each)}" for each, letter in answer.cameras]
    start = f"In this plan it is {missed}{verb}"
    if answer.kind == "person":
        start = f"In this plan this person is {missed}{verb}"
    return f"{start}{': ' + joined(found) if found else ''}."


def _funnel_text(answer: Answer) -> str:
    funnel = answer.funnel
    if not funnel.total:
        return paragraph(
            "There is no option at all: no body, lens and support of the kit, and no view from a "
            "position, belong to what is asked."
        )
    what = {
        "role": "that would do it",
        "item": "that use it",
        "position": "that could stand there",
        "person": "that this person could operate",
    }[answer.kind]
    # what is done or used takes parts of its own: nothing is in its way
    left = f"{funnel.left:,} left." if answer.is_met else left_words(funnel)
    rows = [
        (each.stage, RULE_WORDS[each.rule], f"{each.alone:,}", f"{each.in_all:,}")
        for each in funnel.rules
    ]
    return blocks(
        paragraph(
            f"{counted_large(funnel.total, 'option')} {what} (pass, position, camera, stand, shot "
            "and manner). What each rule removes, alone (the option breaks no other rule) and in "
            "all:"
        ),
        table_text(("", "rule", "alone", "in all"), rows) if rows else "",
        paragraph(f"{funnel.total:,} less {funnel.removed:,} removed: {left}"),
    )


def counted_large(number: int, one: str) -> str:
    """Return a number with its noun, thousands apart."""
    return counted(number, one).replace(str(number), f"{number:,}", 1)


def left_words(funnel: Funnel) -> str:
    """Return what is left, and what the plan uses of it."""
    if not funnel.left:
        return "none is left."
    text = f"{funnel.left:,} left."
    taken = [f"{number:,} {TAKEN_WORDS[what]}" for what, number in funnel.taken]
    if taken:
        text += f" Of these {joined(taken)}."
    if funnel.free == funnel.left:
        return text + " The plan uses none of their parts for anything else."
    if funnel.free:
        return text + f" {funnel.free:,} use nothing that the plan uses in that pass."
    return text + " None is free of what the plan uses for something else."


def _nearest_text(labels: Labels, answer: Answer) -> str:
    if answer.nearest is None:
        if not answer.funnel.removed:
            return ""
        return paragraph("Nearest miss: every option removed breaks two rules or more.")
    return paragraph(f"Nearest miss: {labels.miss(answer.nearest)}.")


# -- everything that is missing --------------------------------------------------------------------


def overview_text(
    plan: Plan,
    unmet: Sequence[tuple[DemandMet, Answer | None]],
    unused: Sequence[Answer],
    repair: Repair | None,
) -> str:
    """Return a line for everything asked for and not met, and for everything unused."""
    labels = Labels(plan)
    asked = [_unmet_line(demand, answer) for demand, answer in unmet]
    idle = [
        f"{labels.of(a.kind, a.id)}: {_short(a.funnel)}{''.join(f' {w}.' for w in a.away)}"
        for a in unused
    ]
    return blocks(
        _section("Asked for, not met", asked),
        _clash_text(plan, repair),
        _section("Not used", idle),
        "More about one of them: kitplan why PLAN NAME"
        if asked or idle
        else "Everything that was asked for is met, and nothing is left unused.",
    )


def overview_records(
    unmet: Sequence[tuple[DemandMet, Answer | None]],
    unused: Sequence[Answer],
    repair: Repair | None,
) -> dict[str, Any]:
    """Return the same as plain data."""
    return {
        "unmet": [
            demand.model_dump() | {"answer": asdict(answer) if answer else None}
            for demand, answer in unmet
        ],
        "unused": [asdict(answer) for answer in unused],
        "repair": repair_record(repair),
    }


def _section(title: str, lines: Iterable[str]) -> str:
    text = bullets(lines)
    return f"{heading(title, '-')}\n{text}" if text else ""


def _unmet_line(demand: DemandMet, answer: Answer | None) -> str:
    start = f"{demand.priority.upper()}: {demand.words}"
    return f"{start}: {_short(answer.funnel)}" if answer else f"{start}."


def _short(funnel: Funnel) -> str:
    """Return a funnel in a line."""
    if not funnel.total:
        return "there is no option at all."
    left = f"{funnel.left:,}" if funnel.left else "none"
    start = f"{counted_large(funnel.total, 'option')}, {left} left"
    worst = funnel.worst
    if worst is not None:
        number = f"{worst.alone:,} alone" if worst.alone else f"{worst.in_all:,}, none alone"
        start += f"; most removed by: {RULE_WORDS[worst.rule]} ({number})"
    if funnel.left:
        free = f"{funnel.free:,} of these" if funnel.free else "none of these"
        start += f"; {free} without taking what the plan uses"
    return f"{start}."


def _clash_text(plan: Plan, repair: Repair | None) -> str:
    if not plan.clash:
        return ""
    lead = "This cannot be done as things are:"
    if len(plan.clash) > 1:
        lead = "A smallest set of musts that cannot all hold; any one given up makes room:"
    why = paragraph(f"Why: {plan.clash_reason}.") if plan.clash_reason else ""
    return blocks(
        f"{paragraph(lead)}\n{bullets(plan.clash)}",
        why,
        repair_text(plan, repair) if repair is not None else "",
    )
