"""What to measure first, in words: each fact with what its true value may change, and how to."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from kitplan.paper.layout import blocks, bullet, bullets, counted, heading, joined, paragraph
from kitplan.whatif.facts import Fact
from kitplan.whatif.measure import Candidate, Effect, MeasureFirst
from kitplan.whatif.worth import Difference

MOST_PARTS = 3
"""So many goals are named of a difference; the first ones outweigh the rest."""


def measure_text(found: MeasureFirst, top: int) -> str:
    """Return the facts to measure first, numbered, and what was looked at.

    Args:
        top: How many facts to name.
    """
    lines = [
        bullet(_line(candidate), f"{number}. ")
        for number, candidate in enumerate(found.first[:top], start=1)
    ]
    if not lines:
        lines = [paragraph("None of the facts that were planned with changes the plan.")]
    return blocks(
        heading(f"What to measure first: {found.title}"),
        *lines,
        bullets(_notes(found, top)),
    )


def measure_records(found: MeasureFirst, top: int) -> dict[str, Any]:
    """Return the same as plain data, with all facts that were looked at."""
    return {
        "title": found.title,
        "first": [_record(each) for each in found.first[:top]],
        "others": [_record(each) for each in (*found.first[top:], *found.rest)],
    }


def _record(candidate: Candidate) -> dict[str, Any]:
    fact = candidate.fact
    return {
        "kind": fact.kind,
        "id": fact.id,
        "label": fact.label,
        "assumed": fact.value,
        "unit": fact.unit,
        "how": fact.how,
        "status": _status(candidate),
        "values": [
            {
                "value": effect.value,
                "broken": effect.look.broken,
                "shots_changed": effect.look.changed,
                "difference": asdict(effect.difference) if effect.difference else None,
                "moved": effect.moved,
                "is_proven": effect.is_proven,
                "reason": effect.reason,
            }
            for effect in candidate.effects
        ],
    }


def _status(candidate: Candidate) -> str:
    if candidate.is_solved:
        return "planned anew"
    return "changes nothing" if candidate.is_settled else "only screened"


# -- sentences -------------------------------------------------------------------------------------


def _line(candidate: Candidate) -> str:
    fact = candidate.fact
    effects = "; ".join(_effect_words(fact, effect) for effect in candidate.effects)
    return f"{_assumed(fact)}: {effects}. Measure: {fact.how}."


def _assumed(fact: Fact) -> str:
    words = fact.absent_words if fact.value is None else _figure(fact, fact.value)
    label = fact.label[:1].upper() + fact.label[1:]
    return f"{label} (assumed {words})"


def _figure(fact: Fact, value: float) -> str:
    shown = f"{value:.0f}" if value >= 100 else f"{value:.3g}"
    return f"ISO {shown}" if fact.unit == "ISO" else f"{shown} {fact.unit}"


def _effect_words(fact: Fact, effect: Effect) -> str:
    start = f"at {_figure(fact, effect.value)} the plan"
    if effect.difference is None:
        return f"{start} is not known ({effect.reason})"
    if effect.look.broken:
        where = counted(effect.look.broken, "place")
        start += f" breaks in {where}, and a new one"
    changes = _changes(effect.difference)
    moved = f", with {counted(effect.moved, 'placement')} changed" if effect.moved else ""
    doubt = "" if effect.is_proven or not any(effect.size) else " (not proven)"
    if not changes:
        return f"{start} comes to the same{moved}"
    return f"{start} {changes}{moved}{doubt}"


def _changes(by: Difference) -> str:
    """Return what is lost and what is gained, the most important goal first."""
    parts = [
        (by.musts, counted(abs(by.musts), "must")),
        (by.wants, f"{abs(by.wants)} of want roles by weight"),
        (by.thinnest, f"{counted(abs(by.thinnest), 'viewpoint')} in the thinnest song"),
        (by.points, f"{_number(by.points)} points of viewpoints"),
        (by.variety, f"{_number(by.variety)} of variety"),
    ]
    counting = [(value, words) for value, words in parts if value][:MOST_PARTS]
    lost = [words for value, words in counting if value < 0]
    gained = [words for value, words in counting if value > 0]
    sides = [
        f"{verb} {joined(words)}" for verb, words in (("loses", lost), ("gains", gained)) if words
    ]
    if counting and counting[0][0] > 0:
        sides.reverse()
    return " and ".join(sides)


def _number(value: float) -> str:
    return f"{abs(round(value, 1)):g}"


# -- notes -----------------------------------------------------------------------------------------


def _notes(found: MeasureFirst, top: int) -> list[str]:
    everything = (*found.first, *found.rest)
    status = [_status(each) for each in everything]
    lines = [
        f"{counted(len(everything), 'assumed fact')} looked at: {status.count('planned anew')} "
        f"planned anew with, {status.count('changes nothing')} that change nothing that is "
        f"possible, {status.count('only screened')} only screened (--solve N plans with more).",
        "How far a fact may be off is common practice (shared/uncertainty.yaml), not knowledge of "
        "yours. A fact named under `measured:` of its record is not asked about again.",
    ]
    more = len(found.first) - top
    if more > 0:
        lines.insert(1, f"{counted(more, 'fact')} more of effect with a larger --top.")
    same = [each.fact.label for each in found.rest if each.is_solved and not any(each.size)]
    if same:
        lines.insert(1, f"Planned anew with, and the plan stays: {', '.join(same)}.")
    if any(not e.is_proven and any(e.size) for c in found.first[:top] for e in c.effects):
        lines.append(
            "Not proven: one of the two plans compared may not be the best possible; more "
            "--seconds say more."
        )
    return lines
