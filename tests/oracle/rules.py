"""Rules over several placements, asked of the checker and remembered by the rigs concerned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence

from kitplan.plan.verify import Fault, Scene, Setup
from kitplan.plan.verify.between import (
    battery_faults,
    card_faults,
    reset_available_tenths,
    reset_work_tenths,
)
from kitplan.plan.verify.within import (
    minding_faults,
    need_faults,
    people_faults,
    slot_faults,
    stock_faults,
)
from kitplan.shoot.records import Pass
from tests.oracle.pictures import Pictures
from tests.oracle.worth import Choice

_Faults = Iterable[Fault]


class Rules:
    """Answers whether placements hold together; counts by rule how often they do not."""

    def __init__(self, scene: Scene, pictures: Pictures) -> None:
        self.scene, self.pictures = scene, pictures
        self.refused: Counter[str] = Counter()
        self._known: dict[object, bool] = {}

    def _holds(
        self, what: object, choices: Sequence[Choice], faults: Callable[[list[Setup]], _Faults]
    ) -> bool:
        key = (what, *[choice.rig for choice in choices])
        if key not in self._known:
            broken = {fault.rule for fault in faults([choice.setup for choice in choices])}
            self._known[key] = not broken
            if len(broken) == 1:
                self.refused.update(broken)
        return self._known[key]

    def may_grow(self, each: Pass, choices: Sequence[Choice]) -> bool:
        """Return whether a pass breaks none of the rules that more placements could not mend.

        Each placement takes stock, accessories, room and people and gives none back: one operated
        by an owner lends at most the units that it takes itself. Nor does it leave a picture.

        Args:
            choices: All but the last one are known to hold together.
        """

        def faults(setups: list[Setup]) -> _Faults:
            yield from slot_faults(setups)
            yield from stock_faults(self.scene, each, setups)
            yield from need_faults(self.scene, each, setups)
            yield from people_faults(self.scene, each, setups)

        return self._holds("grows", choices, faults) and self._are_apart(choices)

    def _are_apart(self, choices: Sequence[Choice]) -> bool:
        """Return whether the last placement spoils no main shot of the others, nor they its own."""
        last = choices[-1]
        pairs = [pair for other in choices[:-1] for pair in ((last, other), (other, last))]
        is_spoilt = any(self.pictures.spoilt(a.setup, b.setup) & a.main for a, b in pairs)
        if is_spoilt:
            self.refused["pictures"] += 1
        return not is_spoilt

    def is_sound(self, each: Pass, choices: Sequence[Choice]) -> bool:
        """Return whether a complete pass, all of which may grow, also has people to mind it."""
        return self._holds("pass", choices, lambda setups: minding_faults(self.scene, each, setups))

    def reset_works(self, index: int, choices: Sequence[Choice]) -> bool:
        """Return whether there is time for the reset after pass number `index`."""
        pair = self.scene.shoot.passes[index : index + 2]
        around = [choice for choice in choices if choice.setup.each in pair]

        def faults(setups: list[Setup]) -> _Faults:
            work = reset_work_tenths(self.scene, index, setups)
            if work > reset_available_tenths(self.scene, index):
                yield Fault("reset", "", "")

        return self._holds(index, around, faults)

    def supplies_last(self, choices: Sequence[Choice]) -> bool:
        """Return whether batteries and cards suffice; more placements never mend that."""

        def faults(setups: list[Setup]) -> _Faults:
            yield from card_faults(self.scene, setups)
            yield from battery_faults(self.scene, setups)

        return self._holds("supplies", choices, faults)
