"""How different a plan as good as the best can be, found by going through all of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from kitplan.plan.verify import Scene
from kitplan.shoot.brief import Brief
from tests.oracle.search import Search, Values
from tests.oracle.worth import Choice

Places = Counter[tuple[str, str]]
"""How many rigs stand where, by pass and position; ids without the shoot."""


def most_left(brief: Brief, values: Values, others: Sequence[Places]) -> tuple[int, int]:
    """Return the least number of places, and their sum, that a plan of these values with as many
    cameras as the first of the others can leave of each of them; the first of two numbers goes
    before the second.
    """
    search = _MostLeft(Scene(brief.shoot, brief.kit), values, others)
    search.run()
    return search.most


class _MostLeft(Search):
    """Visits every set of placements that is as good and may leave more than the best so far."""

    def __init__(self, scene: Scene, values: Values, others: Sequence[Places]) -> None:
        super().__init__(scene)
        self.target, self.others = values, others
        self.cameras = others[0].total()
        self.most = (0, 0)

    def _branch(self, place: int, taken: tuple[Choice, ...], first: int) -> None:
        slots_left = len(self.slots) - place
        if len(taken) + slots_left < self.cameras or self._bound(place, taken) < self.target:
            return
        left = self._left(place, taken)
        if left[0] == 0 or left <= self.most:
            return
        if place < len(self.slots):
            self._spread(place, taken, first)
        elif self._values(taken) == self.target:
            self.most = left

    def _left(self, place: int, taken: tuple[Choice, ...]) -> tuple[int, int]:
        """Return what is left at most of the others once the slots from a place on are decided."""
        used = Counter((c.setup.each.id, c.setup.position.id) for c in taken)
        open_later = {(each.id, position.id) for each, position in self.choices.spots[place:]}
        left = [
            sum(rigs if key in open_later else max(0, rigs - used[key]) for key, rigs in o.items())
            for o in self.others
        ]
        return min(left), sum(left)
