"""The funnel: how many options there are, what each rule removes, what is left, what nearly is."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kitplan.options.failing import BIT, RULES, STAGE, Block, Failing
from kitplan.options.refusals import SENTENCES
from kitplan.whatif.taken import TAKEN, Use, taken_masks

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
NONE = np.array(np.nan)
SENTENCES_HERE = SENTENCES | {
    "payload": "the camera weighs {value:.2f} kg; the stand carries {limit:.2f} kg with margin",
    "steadiness": "it shakes by {value:.1f}% of the frame's height; {limit:.1f}% is the most",
    "no-operator": "nobody on hand may operate there",
    "over-heads": "heads of the audience stand before somebody on stage",
    "stops": "it stops inside a song",
}
"""Of rules that the refusals do not know, or whose figures are others here."""


@dataclass(frozen=True)
class RuleCount:
    """How many options a rule removes."""

    stage: str
    rule: str
    alone: int
    """Options that break no other rule."""
    in_all: int


@dataclass(frozen=True)
class Funnel:
    """How many options there are, what each rule removes, and what is left."""

    total: int
    rules: tuple[RuleCount, ...]
    """In the order of the pipeline."""
    left: int
    free: int
    """Options left that use nothing which the plan uses for something else in that pass."""
    taken: tuple[tuple[str, int], ...]
    """How many of those left each kind of part keeps from being free."""

    @property
    def removed(self) -> int:
        """Options that break a rule."""
        return self.total - self.left

    @property
    def worst(self) -> RuleCount | None:
        """The rule that removes most alone, or in all where none does alone."""
        return max(self.rules, key=lambda each: (each.alone, each.in_all), default=None)


@dataclass(frozen=True)
class NearMiss:
    """An option that breaks one rule only."""

    pass_id: str
    position: str
    body: str
    mode: str
    lens: str | None
    adapter: str | None
    support: str
    head: str | None
    subject: str
    size: str
    manner: str
    rule: str
    value: float | None
    limit: float | None
    margin: float | None
    """Share by which the figure misses the limit; None where the rule has no figures."""
    sentence: str


class Tally:
    """Counts options by the set of rules that they break."""

    def __init__(self) -> None:
        self.masks: Counter[int] = Counter()
        self.taken: Counter[int] = Counter()

    def see(self, failing: Failing, use: Use | None = None) -> None:
        """Count the options at one position in one pass; with a plan, what it takes of them."""
        for block in failing.blocks:
            masks, numbers = np.unique(block.masks, return_counts=True)
            for mask, number in zip(masks.tolist(), numbers.tolist(), strict=True):
                self.masks[mask] += number * len(block.stands)
            if use is not None and 0 in masks:
                self.taken.update(taken_masks(failing, block, use))

    def funnel(self) -> Funnel:
        """Return the counts rule by rule."""
        rules = []
        for rule in RULES:
            bit = BIT[rule]
            in_all = sum(number for mask, number in self.masks.items() if mask & bit)
            if in_all:
                rules.append(RuleCount(STAGE[rule], rule, self.masks[bit], in_all))
        taken = {
            what: sum(n for mask, n in self.taken.items() if mask & 1 << place)
            for place, what in enumerate(TAKEN)
        }
        return Funnel(
            total=self.masks.total(),
            rules=tuple(rules),
            left=self.masks[0],
            free=self.taken[0],
            taken=tuple((what, number) for what, number in taken.items() if number),
        )


# -- the nearest miss ------------------------------------------------------------------------------


class Nearest:
    """Keeps the option that breaks one rule only, by the smallest margin."""

    def __init__(self) -> None:
        self.best: NearMiss | None = None

    def see(self, failing: Failing) -> None:
        """Look at the options at one position in one pass."""
        for block in failing.blocks:
            for rule in RULES:
                is_alone = block.masks == BIT[rule]
                if is_alone.any():
                    self._see(failing, block, rule, is_alone)

    def _see(self, failing: Failing, block: Block, rule: str, is_alone: Flags) -> None:
        value, limit = (
            np.broadcast_to(each, is_alone.shape) for each in block.figures.get(rule, (NONE, NONE))
        )
        margins = np.where(is_alone, _margin(value, limit), np.inf)
        place = np.unravel_index(int(np.argmin(margins)), margins.shape)
        if np.isinf(margins[place]):  # no figures: any of them
            place = np.unravel_index(int(np.argmax(is_alone)), margins.shape)
        row, column = int(place[0]), int(place[1])
        margin = float(margins[row, column])
        if self.best is not None and margin >= _or_inf(self.best.margin):
            return
        figures = float(value[row, column]), float(limit[row, column])
        view, camera, stand = failing.views[row], failing.cameras[column], block.stands[0]
        has_figures = np.isfinite(margin)
        self.best = NearMiss(
            pass_id=failing.each.id,
            position=failing.position.id,
            body=camera.body.id,
            mode=camera.mode.name,
            lens=camera.lens.id if camera.lens else None,
            adapter=camera.adapter.id if camera.adapter else None,
            support=stand.support.id,
            head=stand.head.id if stand.head else None,
            subject=view.subject.id,
            size=view.size,
            manner=block.manner,
            rule=rule,
            value=figures[0] if has_figures else None,
            limit=figures[1] if has_figures else None,
            margin=margin if has_figures else None,
            sentence=SENTENCES_HERE[rule].format(value=figures[0], limit=figures[1]),
        )


def _margin(value: Floats, limit: Floats) -> Floats:
    """Return the share by which figures miss their limits, whichever way; infinite without any."""
    is_known = np.isfinite(value) & np.isfinite(limit) & (value > 0) & (limit > 0)
    ratio = np.where(is_known, value, 1.0) / np.where(is_known, limit, 1.0)
    return np.where(is_known, np.maximum(ratio, 1 / ratio) - 1, np.inf)


def _or_inf(margin: float | None) -> float:
    return np.inf if margin is None else margin
