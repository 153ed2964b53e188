"""Which missing facts of the gear to ask first: those that most rigs hang on.

A rig is a camera (body, lens, perhaps adapter) on a stand that carries it. Of each fact it is
counted how many rigs its item is part of, and how many of them are possible at one end of what the
fact may be and not at the other. With a shoot, what its shots say comes before that count.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from kitplan.gear.kit import Kit
from kitplan.gear.questions import Question, questions
from kitplan.gear.records import (
    Adapter,
    AnyItem,
    Battery,
    Body,
    Charger,
    Head,
    Lens,
    Media,
    Support,
)
from kitplan.optics.lens import active_area_mm, adapted_circle_mm, circle_covers
from kitplan.options.cameras import pairs_of
from kitplan.options.stands import stands_of
from kitplan.shoot.brief import Brief
from kitplan.shoot.rules import default_rules
from kitplan.units import limit_g, load_g
from kitplan.whatif.changed import with_item
from kitplan.whatif.screening import changed_shots

ASPECT = 16 / 9
MOST_WITH_SHOOT = 12
"""Questions that are held against a shoot: each takes two looks at all of its shots."""


_BETTER: Mapping[str, Callable[[Sequence[float]], float]] = {
    "mass_kg": min,
    "payload_kg": max,
    "image_circle_mm": max,
}
"""Facts that decide whether a rig is possible at all, and which end of them is the better one."""
_CARRIED = (Body, Lens, Adapter, Head, Support)
"""Kinds whose weight decides what may stand on what."""


@dataclass(frozen=True)
class Weighed:
    """A question with what hangs on it."""

    question: Question
    rigs: int
    """That its item is part of."""
    decided: int
    """Of these, possible at one end of what the fact may be and not at the other."""
    shots: float | None = None
    """With a shoot: shots that come, go or change their grade, as a share of all."""

    @property
    def order(self) -> tuple[Any, ...]:
        """What it is sorted by, the most valuable first."""
        asked = self.question
        first = -(self.shots or 0.0)
        return (first, -self.decided, not asked.is_guess, -self.rigs, asked.item, asked.fact)


def weighed_questions(kit: Kit) -> list[Weighed]:
    """Return everything that is to ask of a kit, the most valuable first."""
    asked = list(questions(kit))
    rigs = _Rigs(_hopeful(kit, asked))
    return sorted((_weighed(each, rigs) for each in asked), key=lambda each: each.order)


def _hopeful(kit: Kit, asked: Sequence[Question]) -> Kit:
    """Return the kit with every guess at its better end: two careful guesses about one rig must not
    make each other look unimportant."""
    items = dict(kit.items_by_id)
    for each in asked:
        if each.is_guess and each.ends and each.fact in _BETTER:
            better = _BETTER[each.fact](each.ends)
            items[each.item] = items[each.item].model_copy(update={each.fact: better})
    return kit.model_copy(update={"items": tuple(items.values())})


def weighed_for(brief: Brief, found: Sequence[Weighed]) -> list[Weighed]:
    """Return questions sorted anew by what they change in a shoot; only the first of them."""
    first = [each for each in found if each.question.ends][:MOST_WITH_SHOOT]
    others = [
        [_with_value(brief, each.question, value) for value in each.question.ends] for each in first
    ]
    shares = changed_shots(brief, others)
    again = [
        Weighed(each.question, each.rigs, each.decided, share)
        for each, share in zip(first, shares, strict=True)
    ]
    rest = [each for each in found if each not in first]
    return sorted([*again, *rest], key=lambda each: each.order)


def _with_value(brief: Brief, asked: Question, value: float) -> Brief:
    outer, _, inner = asked.fact.partition(".")
    item = brief.kit.items_by_id[asked.item]
    if inner:
        block = getattr(item, outer).model_copy(update={inner: value})
        return with_item(brief, asked.item, **{outer: block})
    changed = {outer: value}
    if isinstance(item := brief.kit.items_by_id[asked.item], Body) and outer == "max_iso":
        changed["base_iso"] = min(item.base_iso, value)
    return with_item(brief, asked.item, **changed)


def _weighed(question: Question, rigs: _Rigs) -> Weighed:
    item = rigs.kit.items_by_id[question.item]
    counts = [rigs.with_item(item)]
    if question.fact in _BETTER:
        counts += [
            rigs.with_item(item.model_copy(update={question.fact: value}))
            for value in question.ends
        ]
    is_light = question.fact == "mass_kg" and not isinstance(item, _CARRIED)
    return Weighed(question, 0 if is_light else max(counts), max(counts) - min(counts))


class _Rigs:
    """Counts the rigs of a kit."""

    def __init__(self, kit: Kit) -> None:
        self.kit = kit
        self._share = default_rules().payload_share

    def with_item(self, item: AnyItem) -> int:
        """Return in how many rigs an item is; with other facts than in the kit, how many then."""
        match item:
            case Body() | Lens() | Adapter():
                return self._carried(self._cameras(item), self._all_stands)
            case Head() | Support():
                return self._carried(self._all_cameras, sorted(self._stands(item)))
            case Battery() | Charger() | Media():
                fed = [body for body in self.kit.of_kind(Body) if _feeds(item, body)]
                return sum(self.with_item(body) for body in fed)
            case _:
                return 0

    @staticmethod
    def _carried(cameras_g: Sequence[int], stands_g: Sequence[int]) -> int:
        """Return how many pairs of a camera and a stand that carries it there are."""
        return sum(len(stands_g) - bisect_left(stands_g, camera_g) for camera_g in cameras_g)

    @cached_property
    def _all_cameras(self) -> list[int]:
        return self._cameras(None)

    @cached_property
    def _all_stands(self) -> list[int]:
        return sorted(self._stands(None))

    def _cameras(self, item: AnyItem | None) -> list[int]:
        """Return the masses in grams of all cameras, or of those that an item is part of."""
        kit = self._kit_with(item)
        found = []
        for body in kit.of_kind(Body):
            is_other = isinstance(item, Body) and body.id != item.id
            if is_other or body.id not in kit.units_by_item:
                continue
            for lens, adapter in pairs_of(kit, body, []):
                parts = [part for part in (body, lens, adapter) if part is not None]
                is_in = item is None or any(part.id == item.id for part in parts)
                if is_in and _covers(body, lens, adapter):
                    found.append(sum(load_g(part.mass_kg) for part in parts))
        return found

    def _stands(self, item: AnyItem | None) -> Iterator[int]:
        """Yield the grams that all stands carry, or those that an item is part of."""
        kit = self._kit_with(item)
        for support in kit.of_kind(Support):
            if support.id not in kit.units_by_item:
                continue
            for stand in stands_of(kit, support, self._share):
                if item is None or item.id in stand.items:
                    yield limit_g(max(stand.capacity_kg, 0.0))

    def _kit_with(self, item: AnyItem | None) -> Kit:
        if item is None or self.kit.items_by_id[item.id] is item:
            return self.kit
        items = tuple(item if each.id == item.id else each for each in self.kit.items)
        return self.kit.model_copy(update={"items": items})


def _feeds(item: Battery | Charger | Media, body: Body) -> bool:
    """Whether a body depends on a battery, on what charges it, or takes a card."""
    match item:
        case Battery():
            return body.battery == item.id
        case Charger():
            return body.battery in item.batteries
        case Media():
            return body.card_type == item.card_type


def _covers(body: Body, lens: Lens | None, adapter: Adapter | None) -> bool:
    """Whether the image of a lens covers what some mode reads of the sensor."""
    if lens is None:
        return True
    factor = adapter.focal_factor if adapter is not None else 1.0
    circle_mm = adapted_circle_mm(lens.image_circle_mm, factor)
    areas = (
        active_area_mm(body.sensor_width_mm, body.sensor_height_mm, mode.crop, ASPECT)
        for mode in body.modes
    )
    return any(circle_covers(circle_mm, *area) for area in areas)
