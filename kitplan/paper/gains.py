"""What things are worth as text: a sentence about the most valuable, and a short table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from kitplan.paper.layout import blocks, bullets, counted, heading, joined, paragraph, table_text
from kitplan.whatif.figures import Figures
from kitplan.whatif.worth import BEST_SINGLES, NOT_USED, NOWHERE, TO_SPARE, Difference, Worth

GOAL_NAMES = ("musts", "wants", "thinnest", "points", "variety")
MOST_MUSTS, MOST_ROLES = 2, 3
"""So many are named; more are counted."""


@dataclass(frozen=True)
class Gains:
    """All that was worked out for a shoot."""

    title: str
    best: Figures
    losses: tuple[Worth, ...]
    more: tuple[Worth, ...] = ()
    pairs: tuple[Worth, ...] = ()
    hired: tuple[str, ...] = ()
    """Names of what was left out because it would have to be hired."""

    @property
    def rows(self) -> tuple[Worth, ...]:
        """Everything, in the order of the page."""
        return (*self.losses, *self.more, *self.pairs)


def gains_text(found: Gains, top: int) -> str:
    """Return it on a page.

    Args:
        top: The most rows of each table.
    """
    more = (*found.pairs, *found.more)
    return blocks(
        heading(f"What things are worth: {found.title}"),
        "\n".join(paragraph(line) for line in _first_words(found)),
        _table("without", "what goes", found.losses, top),
        _table("with", "what comes", more, top) if more else "",
        bullets(_notes(found, top)),
    )


def gains_records(found: Gains) -> dict[str, Any]:
    """Return the same as plain data."""
    return {
        "title": found.title,
        "best": asdict(found.best),
        "losses": [_record(row) for row in found.losses],
        "gains": [_record(row) for row in found.more],
        "pairs": [_record(row) for row in found.pairs],
        "hired": found.hired,
    }


def _record(row: Worth) -> dict[str, Any]:
    change = row.change
    return {
        "kind": change.kind,
        "id": change.id,
        "label": change.label,
        "what": change.what,
        "price": change.price,
        "price_per_viewpoint": row.price_per_viewpoint,
        "settled": change.settled,
        "notes": change.notes,
        "difference": asdict(row.difference) if row.difference else None,
        "musts": row.musts,
        "roles": row.roles,
        "instead": row.instead,
        "reason": row.reason,
        "is_proven": row.is_proven,
        "says": joined(_parts(row)) if _that_count([row]) else "",
    }


# -- sentences -------------------------------------------------------------------------------------


def _first_words(found: Gains) -> list[str]:
    """Return a sentence about the most valuable thing there is, and one about more of them."""
    lines = [_sentence("Without", row, "goes", "go") for row in _that_count(found.losses)[:1]]
    singles, pairs = _that_count(found.more)[:1], _that_count(found.pairs)[:1]
    lines += [_sentence("With", row, "comes", "come") for row in singles]
    lines += [_sentence("With", row, "comes", "come") for row in pairs]
    if not any(row.difference and row.difference.is_more for row in found.losses):
        lines.insert(0, "The plan loses nothing without any single thing that was tried.")
    tried = [row for row in found.more if row.difference is not None]
    if tried and not singles and not pairs:
        lines.append("Nothing is gained by anything more that was tried.")
    return lines


def _that_count(rows: Sequence[Worth]) -> list[Worth]:
    return [row for row in rows if row.difference is not None and row.difference.is_more]


def _sentence(start: str, row: Worth, one: str, many: str) -> str:
    parts = _parts(row)
    first = parts[0].split()[0]
    is_single = len(parts) == 1 and first in ("the", "1")
    kind = row.change.kind
    label = f"the {kind} {row.change.label}" if kind in ("position", "pass") else row.change.label
    return f"{start} {label} {joined(parts)} {one if is_single else many}."


def _parts(row: Worth) -> list[str]:
    """Return what is lost or gained in words, most important first."""
    by = row.difference
    assert by is not None
    parts = []
    if by.musts > 0:
        parts += _listed("must", row.musts, MOST_MUSTS, by.musts)
    if by.wants > 0:
        parts += _listed("role", row.roles, MOST_ROLES, len(row.roles))
    if by.viewpoints > 0:
        parts.append(counted(by.viewpoints, "viewpoint"))
    if by.thinnest > 0:
        number = str(by.thinnest) if by.viewpoints > 0 else counted(by.thinnest, "viewpoint")
        parts.append(f"{number} in the thinnest song")
    if by.points > 0 and by.viewpoints <= 0:
        parts.append(f"{_number(by.points)} points of viewpoints")
    if not parts and by.variety > 0:
        parts.append(f"{_number(by.variety)} of variety")
    return parts or [f"{_number(max(by.wants, 0))} of want roles by weight"]


def _listed(what: str, names: Sequence[str], most: int, number: int) -> list[str]:
    """Return names one by one, or how many where there are many or their names are not known."""
    if not names or len(names) > most:
        return [counted(number, what)] if number else []
    return [f"the {what} {name}" for name in names]


def _number(value: float) -> str:
    return f"{round(value, 1):g}"


# -- tables ----------------------------------------------------------------------------------------


def _table(title: str, what: str, rows: Sequence[Worth], top: int) -> str:
    shown = _that_count(rows)
    shown = sorted(shown, key=lambda row: _order(row), reverse=True)[:top]
    if not shown:
        return ""
    has_prices = any(row.change.price is not None for row in shown)
    headers = [title, "is a", what, "goals in order", *(["price"] if has_prices else [])]
    return table_text(headers, [_row(row, has_prices=has_prices) for row in shown])


def _order(row: Worth) -> tuple[float, ...]:
    assert row.difference is not None
    return row.difference.order


def _row(row: Worth, *, has_prices: bool) -> list[str]:
    assert row.difference is not None
    words = joined(_parts(row))
    if row.instead:
        way = "given up" if row.change.kind == "more" else "met instead"
        words += f"; {joined(row.instead)} {way}"
    if not row.is_proven:
        words += " (not proven)"
    sign = 1 if row.change.kind == "more" else -1
    cells = [row.change.label, row.change.what, words, _goals(row.difference, sign)]
    return [*cells, *([_price(row)] if has_prices else [])]


def _goals(by: Difference, sign: int) -> str:
    """Return every goal that differs: 'wants -2, points -40' where that much goes."""
    named = zip(GOAL_NAMES, by.order, strict=True)
    return ", ".join(f"{name} {sign * round(value, 1):+g}" for name, value in named if value)


def _price(row: Worth) -> str:
    """Return a price and what one more viewpoint, or else a point, comes to."""
    price, by = row.change.price, row.difference
    assert by is not None
    if price is None:
        return ""
    if row.price_per_viewpoint is not None:
        return f"{price:g}, {_number(row.price_per_viewpoint)} a viewpoint"
    if by.points > 0:
        return f"{price:g}, {price / by.points:.3g} a point"
    return f"{price:g}"


# -- notes -----------------------------------------------------------------------------------------


def _notes(found: Gains, top: int) -> list[str]:
    lines = [_hidden(rows, top) for rows in (found.losses, (*found.pairs, *found.more))]
    lines.append(_named("Nothing goes without", found.losses, ""))
    lines.append(_named("Not used, so the plan stands without", found.losses, NOT_USED))
    lines.append(_named("One to spare of", found.losses, TO_SPARE))
    lines.append(_named("Nothing comes with", found.more, ""))
    lines.append(_named("Possible nowhere in this shoot", found.more, NOWHERE))
    for row in found.rows:
        if row.change.notes:
            lines.append(f"Without {row.change.label}: {'; '.join(row.change.notes)}.")
    lines += _unknown(found.rows)
    if any(not row.is_proven for row in _that_count(found.rows)):
        lines.append(
            "Not proven: one of the two plans compared may not be the best possible; more "
            "--seconds say more."
        )
    if len(found.more) > BEST_SINGLES:
        lines.append(f"Pairs are those of the best {BEST_SINGLES} single things.")
    if found.hired:
        lines.append(
            f"Left out, since they would have to be hired: {joined(found.hired)}; --allow-borrowed "
            "tries them too."
        )
    if found.more:
        lines.append("More gear comes alone: batteries, cards, plates and people are as they are.")
    return [line for line in lines if line]


def _hidden(rows: Sequence[Worth], top: int) -> str:
    more = len(_that_count(rows)) - top
    return f"{counted(more, 'row')} more with a larger --top." if more > 0 else ""


def _named(start: str, rows: Sequence[Worth], settled: str) -> str:
    """Return what is settled in one way, or was tried and makes no difference, in one line."""
    names = [
        row.change.label
        for row in rows
        if row.difference is not None
        and not row.difference.is_more
        and row.change.settled == settled
    ]
    return f"{start}: {', '.join(sorted(set(names)))}." if names else ""


def _unknown(rows: Sequence[Worth]) -> list[str]:
    """Return what is not known, by reason."""
    by_reason: dict[str, list[str]] = {}
    for row in rows:
        if row.difference is None:
            by_reason.setdefault(row.reason, []).append(row.change.label)
    return [f"Not known ({reason}): {', '.join(names)}." for reason, names in by_reason.items()]
