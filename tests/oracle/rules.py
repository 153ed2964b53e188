"""Rules over several placements, asked of the checker and remembered by the rigs concerned.

What a shot shows makes no difference to any of them, so that answers are kept by rigs: placements
of a pass and position with the same camera, stand and operator are one rig.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence

from kitplan.plan.verify import Fault, Scene, Setup, pass_faults
from kitplan.plan.verify.between import (
    battery_faults,
    card_faults,
    reset_available_tenths,
    reset_work_tenths,
)
from kitplan.plan.verify.lasting import lasting_of
from kitplan.plan.verify.within import need_faults, people_faults, slot_faults, stock_faults
from kitplan.shoot.records import Pass

Key = tuple[object, ...]


class Rules:
    """Answers whether placements hold together; counts by rule how often they do not."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.refused: Counter[str] = Counter()
        self._known: dict[Key, bool] = {}

    def _holds(self, key: Key, faults: Callable[[], Iterable[Fault]]) -> bool:
        if key not in self._known:
            broken = {fault.rule for fault in faults()}
            self._known[key] = not broken
            if len(broken) == 1:
                self.refused.update(broken)
        return self._known[key]

    def may_grow(self, each: Pass, setups: Sequence[Setup]) -> bool:
        """Return whether a pass breaks none of the rules that more placements could not mend.

        Each placement takes stock, accessories, room and people and gives none back: one operated
        by an owner lends at most the units that it takes itself.
        """

        def faults() -> Iterable[Fault]:
            yield from slot_faults(setups)
            yield from stock_faults(self.scene, each, setups)
            yield from need_faults(self.scene, each, setups)
            yield from people_faults(self.scene, each, setups)

        return self._holds(("grows", each.id, *map(rig_of, setups)), faults)

    def is_sound(self, each: Pass, setups: Sequence[Setup]) -> bool:
        """Return whether the placements of a complete pass hold together."""
        key = ("pass", each.id, *map(rig_of, setups))
        return self._holds(key, lambda: pass_faults(self.scene, each, setups))

    def reset_works(self, index: int, setups: Sequence[Setup]) -> bool:
        """Return whether there is time for the reset after pass number `index`."""
        pair = self.scene.shoot.passes[index : index + 2]
        rigs = tuple((s.each.id, rig_of(s)) for s in setups if s.each in pair)

        def faults() -> Iterable[Fault]:
            work = reset_work_tenths(self.scene, index, setups)
            if work > reset_available_tenths(self.scene, index):
                yield Fault("reset", "", "")

        return self._holds(("reset", index, rigs), faults)

    def supplies_last(self, setups: Sequence[Setup]) -> bool:
        """Return whether batteries and cards suffice; more placements never mend that."""
        taken: Counter[Key] = Counter()
        for s in setups:
            lasting = lasting_of(self.scene, s.each, s.position, s.camera)
            cards = tuple(sorted(lasting.cards.items()))
            taken[(s.each.id, s.camera.body.battery, lasting.batteries, cards)] += 1

        def faults() -> Iterable[Fault]:
            yield from card_faults(self.scene, setups)
            yield from battery_faults(self.scene, setups)

        return self._holds(("supplies", frozenset(taken.items())), faults)


def rig_of(setup: Setup) -> Key:
    """Return what the rules of several placements see of one."""
    person = setup.person and setup.person.id
    return (setup.position.id, setup.camera.key, setup.stand.items, person)
