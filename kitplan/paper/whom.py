"""Who does what differently: what a new plan changes, as it is said on the hall floor.

Person by person, operators first; then what the hands that rig take down, build and change.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from kitplan.paper.layout import bullet, heading, joined
from kitplan.paper.names import Names, settings
from kitplan.plan.difference import PlacementChange
from kitplan.plan.records import Placement, Plan

RIGGING = "Rigging"
"""Whom a change of rigs matters to: whoever has hands free."""


@dataclass(frozen=True)
class Detail:
    """How much is told of a change."""

    has_menus: bool = True
    """Also what the further shots of an operator are now."""
    has_settings: bool = True
    """Focal length, stop and ISO of each shot."""
    has_before: bool = True
    """What was there instead."""


@dataclass(frozen=True)
class Told:
    """What somebody is told about a pass."""

    pass_id: str
    person: str | None
    """Id of an operator; None for whoever rigs."""
    name: str
    words: tuple[str, ...]


def to_whom(
    before: Plan, after: Plan, changes: Sequence[PlacementChange], detail: Detail | None = None
) -> tuple[Told, ...]:
    """Return what changes, by pass and person; whoever is not there any more is told nothing."""
    return tuple(
        told
        for pass_id in before.pass_ids()
        if (own := [change for change in changes if change.pass_id == pass_id])
        for told in _of_pass(Names(before), Names(after), pass_id, own, detail or Detail())
    )


def whom_text(before: Plan, told: Sequence[Told]) -> str:
    """Return what everybody is told as a page part, pass by pass."""
    parts = []
    for pass_id in dict.fromkeys(each.pass_id for each in told):
        lines = [
            bullet(f"{each.name}: {words}")
            for each in told
            if each.pass_id == pass_id
            for words in each.words
        ]
        parts.append("\n".join([heading(Names(before).pass_label(pass_id), "-"), *lines]))
    return "\n\n".join(parts)


def _of_pass(
    old: Names, new: Names, pass_id: str, changes: Sequence[PlacementChange], detail: Detail
) -> Iterator[Told]:
    if pass_id not in new.plan.pass_ids():
        yield Told(pass_id, None, "Everybody", ("this pass is not shot.",))
        return
    sides = [change.before for change in changes], [change.after for change in changes]
    involved = {each.operator for side in sides for each in side if each and each.operator}
    shoot, each = new.plan.pass_of(pass_id)
    for person in shoot.crew:
        is_there = each.people is None or person.id in each.people
        if person.id in involved and is_there:
            was, now = (_operated_by(side, person.id) for side in sides)
            words = _for_operator(old, new, was, now, detail)
            if words:
                yield Told(pass_id, person.id, person.label, (words,))
    rigging = tuple(filter(None, (_for_hands(old, new, change, detail) for change in changes)))
    if rigging:
        yield Told(pass_id, None, RIGGING, rigging)


def _operated_by(placements: Iterable[Placement | None], person: str) -> Placement | None:
    return next((each for each in placements if each and each.operator == person), None)


def _for_operator(
    old: Names, new: Names, one: Placement | None, other: Placement | None, detail: Detail
) -> str:
    """Return what an operator does differently; nothing where all of it is the same."""
    if other is None:
        return f"free; camera {one.letter} at {old.place(one)} is no longer yours." if one else ""
    start = f"camera {other.letter} at {new.place(other)}"
    if one is None or one.position != other.position:
        was = f" instead of {old.place(one)}" if one and detail.has_before else ""
        role = f", as {new.roles(other)}" if other.roles else ""
        return f"{start}{was}: {_framed(new, other, detail)}{role}."
    found = []
    if other.letter != one.letter:
        found.append(f"no longer camera {one.letter}")
    if new.camera(other) != old.camera(one):
        found.append(f"with {new.camera(other)}")
    was_framed, is_framed = (n.framing(p.pass_id, p.shot) for n, p in ((old, one), (new, other)))
    if was_framed != is_framed:
        was = f" instead of {was_framed}" if detail.has_before else ""
        found.append(f"{_framed(new, other, detail)}{was}")
    elif found:
        found.append(_framed(new, other, detail))
    if set(one.roles) != set(other.roles):
        found.append(f"as {new.roles(other)}" if other.roles else "free choice now")
    if detail.has_menus and set(one.menu) != set(other.menu):
        framings = [new.framing(other.pass_id, each) for each in other.menu]
        found.append(f"between songs also {joined(framings)}" if framings else "no further shots")
    return f"{start}: {'; '.join(found)}." if found else ""


def _framed(names: Names, placement: Placement, detail: Detail) -> str:
    return f"frame {_shot(names, placement, detail)}"


def _shot(names: Names, placement: Placement, detail: Detail) -> str:
    framing = names.framing(placement.pass_id, placement.shot)
    return f"{framing} ({settings(placement.shot)})" if detail.has_settings else framing


def _for_hands(old: Names, new: Names, change: PlacementChange, detail: Detail) -> str:
    """Return what is taken down, built or changed; of operated cameras the shot is theirs."""
    one, other = change.before, change.after
    if other is None:
        assert one is not None  # one of the two is there
        return f"take down camera {one.letter} at {old.place(one)}."
    manner = f"for {new.operator(other)}" if other.operator else _frames(new, other, detail)
    if one is None:
        rig = f"{new.camera(other)} on {new.stand(other)}"
        return f"build camera {other.letter} at {new.place(other)}: {rig}, {manner}."
    found = []
    if "camera" in change.parts:
        found.append(_camera(old, new, one, other, detail))
    if "stand" in change.parts:
        found.append(_stand(old, new, one, other, detail))
    if other.operator is None and {"shot", "operator"} & set(change.parts):
        found.append(_frames(new, other, detail))
    return f"at {new.place(other)}, camera {other.letter}: {'; '.join(found)}." if found else ""


def _frames(names: Names, placement: Placement, detail: Detail) -> str:
    return f"lock off on {_shot(names, placement, detail)}"


def _camera(old: Names, new: Names, one: Placement, other: Placement, detail: Detail) -> str:
    """Return which camera comes where another stood; the unit where the words are the same."""
    words = new.camera(other), old.camera(one)
    if words[0] != words[1]:
        return f"{words[0]} instead of {words[1]}" if detail.has_before else words[0]
    return _units(one, other, ("body", "lens", "adapter"))


def _stand(old: Names, new: Names, one: Placement, other: Placement, detail: Detail) -> str:
    words = new.stand(other), old.stand(one)
    if words[0] != words[1]:
        return f"on {words[0]} instead of {words[1]}" if detail.has_before else f"on {words[0]}"
    return _units(one, other, ("support", "head"))


def _units(one: Placement, other: Placement, kinds: tuple[str, ...]) -> str:
    pairs = [(getattr(other.rig, kind), getattr(one.rig, kind)) for kind in kinds]
    return joined([f"{now} instead of {was}" for now, was in pairs if now != was])
