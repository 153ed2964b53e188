"""What is over: a plan leaves it as it was (docs/model.md, section 11)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kitplan.plan.records import Placement
from kitplan.plan.verify.findings import Finding
from kitplan.plan.verify.resolve import Placed
from kitplan.plan.verify.scene import Scene
from kitplan.shoot.past import Stood


def past_findings(scene: Scene, placed: Sequence[Placed]) -> Iterator[Finding]:
    """Yield what a plan says of passes that are over and that is not what stood there."""
    past, passes = scene.shoot.past, scene.shoot.passes_by_id
    known = {(stood.in_pass, stood.body): stood for stood in past.stood}
    found = {
        (one.setup.each.id, one.placement.rig.body): one
        for one in placed
        if one.setup.each.id in past.passes
    }
    for name in dict.fromkeys((*past.passes, *(stood.in_pass for stood in past.stood))):
        if name not in passes or name not in past.passes:
            wrong = f"'{name}' is said to be over"
            yield Finding("past", "past", wrong, "Name passes of the shoot, and all with cameras")
    for key in sorted(known.keys() | found.keys()):
        where = f"{key[0]}, body {key[1]}"
        if key not in found:
            wrong = "the pass is over, and the camera that stood there is missing"
            yield Finding("past", where, wrong, "Leave it as it was")
        elif key not in known:
            wrong = "the pass is over, and no such camera stood there"
            yield Finding("past", where, wrong, "Take it out")
        elif differing := list(_differing(known[key], found[key].placement)):
            wrong = f"the pass is over, and its {' and '.join(differing)} has changed"
            yield Finding("past", found[key].where, wrong, "Leave it as it was")


def _differing(stood: Stood, placement: Placement) -> Iterator[str]:
    rig, menu = placement.rig, {(each.subject, each.size) for each in placement.menu}
    pairs = {
        "position": (stood.position, placement.position),
        "letter": (stood.letter, placement.letter),
        "mode": (stood.mode, rig.mode),
        "rig": (stood.rig, rig.units),
        "operator": (stood.operator, placement.operator),
        "shot": ((stood.subject, stood.size), (placement.shot.subject, placement.shot.size)),
        "menu": (set(stood.menu), menu),
        "batteries": (sorted(stood.batteries), sorted(placement.batteries)),
        "cards": (sorted(stood.cards), sorted(placement.cards)),
        "accessories": (sorted(stood.accessories), sorted(placement.accessories)),
    }
    yield from (name for name, (was, now) in pairs.items() if was != now)
    if not set(stood.roles) <= set(placement.roles):
        yield "role"
