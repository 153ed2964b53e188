"""What `--detail` adds to the summary: items left at home, and how much rests on assumed facts."""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.gear.records import AnyItem, Body
from kitplan.paper.layout import bullets, counted, heading, paragraph, table_text
from kitplan.paper.names import Names

NOT_FACTS = frozenset({"id", "kind", "name", "note", "measured"})


def left_out(names: Names) -> str:
    """Return the items that stay at home, each with the reason."""
    plan = names.plan
    if not plan.left_out:
        return ""
    items = plan.kit.items_by_id
    rows = [(items[each.item].name, each.units, each.reason) for each in plan.left_out]
    return f"{heading('Left at home', '-')}\n{table_text(('item', 'units', 'why'), rows)}"


def assumed_facts(names: Names) -> str:
    """Return how many facts about the kit in use are assumed, and what to measure first."""
    assumed, words = _assumed(names), assumed_words(names)
    if not words:
        return ""
    first = [
        f"{item.name}: minutes from one battery, planned at {item.battery_min:g}"
        for item, fact in assumed
        if isinstance(item, Body) and fact == "battery_min" and item.battery_min
    ]
    body = [heading("How sure the facts are", "-"), paragraph(words)]
    if first:
        body += [paragraph("Measure first, since it decides how long a camera rolls:")]
        body += [bullets(first)]
    return "\n".join(body)


def assumed_words(names: Names) -> str:
    """Return how many facts about the kit in use are assumed; nothing where there are none."""
    number = len(_facts_in_use(names))
    if not number:
        return ""
    return (
        f"{len(_assumed(names))} of {counted(number, 'fact')} about the kit in use are assumed, "
        f"not measured."
    )


def _assumed(names: Names) -> list[tuple[AnyItem, str]]:
    return [(item, fact) for item, fact in _facts_in_use(names) if not item.is_measured(fact)]


def _facts_in_use(names: Names) -> list[tuple[AnyItem, str]]:
    used = {
        item.id: item
        for placement in names.plan.placements
        for unit in placement.units
        for item in [names.item_of(unit)]
    }
    return [(item, fact) for item in used.values() for fact in _facts(item)]


def _facts(item: AnyItem) -> Iterator[str]:
    """Yield the names of the facts that an item states."""
    for fact in item.model_dump(exclude_defaults=True):
        if fact not in NOT_FACTS:
            yield fact
