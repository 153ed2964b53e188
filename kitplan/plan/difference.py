"""The difference between two plans of the same shoots: what stays, what changes, for whom."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from kitplan.plan.records import Placement, Plan

What = Literal["gone", "new", "changed"]
PARTS = ("camera", "stand", "operator", "shot", "roles", "menu")


@dataclass(frozen=True)
class PlacementChange:
    """A placement that is not as it was."""

    pass_id: str
    position: str
    what: What
    before: Placement | None
    after: Placement | None
    parts: tuple[str, ...] = ()
    """For a changed one: which of PARTS."""

    @property
    def is_rigging(self) -> bool:
        """Whether hands have to move something."""
        return self.what != "changed" or bool({"camera", "stand"} & set(self.parts))


def difference(before: Plan, after: Plan) -> tuple[PlacementChange, ...]:
    """Return every placement that differs, by pass and position; nothing where all stays."""
    keys = dict.fromkeys((p.pass_id, p.position) for p in (*before.placements, *after.placements))
    order = {pass_id: place for place, pass_id in enumerate(before.pass_ids())}
    places = sorted(keys, key=lambda key: (order.get(key[0], len(order)), key[1]))
    return tuple(change for key in places for change in _at(key, before, after))


def _at(key: tuple[str, str], before: Plan, after: Plan) -> Iterator[PlacementChange]:
    """Compare what stands at one position in one pass, those most alike with each other."""
    old = [p for p in before.placements if (p.pass_id, p.position) == key]
    new = [p for p in after.placements if (p.pass_id, p.position) == key]
    for one in list(old):
        if not new:
            break
        other = max(new, key=lambda each: -len(_parts(one, each)))
        old.remove(one)
        new.remove(other)
        if parts := _parts(one, other):
            yield PlacementChange(*key, "changed", one, other, parts)
    yield from (PlacementChange(*key, "gone", one, None) for one in old)
    yield from (PlacementChange(*key, "new", None, one) for one in new)


def _parts(one: Placement, other: Placement) -> tuple[str, ...]:
    """Which parts of two placements differ."""
    cameras = [(p.rig.body, p.rig.lens, p.rig.adapter) for p in (one, other)]
    stands = [(p.rig.support, p.rig.head) for p in (one, other)]
    differs = {
        "camera": cameras[0] != cameras[1],
        "stand": stands[0] != stands[1],
        "operator": one.operator != other.operator,
        "shot": (one.shot.subject, one.shot.size) != (other.shot.subject, other.shot.size),
        "roles": set(one.roles) != set(other.roles),
        "menu": set(one.menu) != set(other.menu),
    }
    return tuple(part for part in PARTS if differs[part])
