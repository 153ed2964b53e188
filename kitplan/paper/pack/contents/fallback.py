"""Fallback table: what to do when something fails or is missing, for the evening itself.

While a pass runs the plan itself says who has what a camera loses. Before a pass the replies of
`kitplan fallback` say who moves where; without them, who could stand in for whom.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from kitplan.options.spots import person_rules
from kitplan.paper.layout import counted, joined
from kitplan.paper.names import Names
from kitplan.paper.pack.answers import FallbackAnswer, LossAnswer
from kitplan.paper.pack.blocks import Block, Column, Heading, Points, Sheet, Table, Words
from kitplan.paper.pack.contents.asking import how_to_get
from kitplan.paper.pack.source import Source
from kitplan.plan.day.shots import MomentHeld
from kitplan.plan.framing import Framing
from kitplan.plan.records import Placement, Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Role

KINDS = {
    "person": "Somebody is missing",
    "item": "A thing is missing or broken",
    "position": "A place is closed",
    "pass": "A pass is off",
}
"""People first: they are missed first."""
FIRST = (
    "Try once: stop, battery out and in, roll. No light after that: leave it, tell the crew lead.",
    "Never stop a second camera while one stands still. Whoever is free goes, nobody leaves the "
    "safety shot.",
    "Everybody else stays in their frame; each camera card names a fallback shot.",
)
LOSSES = (
    Column("lost", 1.2, is_strong=True),
    Column("pass", 0.7),
    Column("do this", 5.0),
    Column("it costs", 1.1),
)


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield the sheet, unless no camera stands anywhere."""
    if not source.plan.placements:
        return
    found = (*_while_it_runs(source), *_before(source), *_spares(source))
    lines = ("Find what is lost, do what stands beside it. Everything else stays as it is.",)
    yield Sheet("fallback", "If something is lost", found, lines=lines)


# -- while a pass runs -----------------------------------------------------------------------------


def _while_it_runs(source: Source) -> Iterator[Block]:
    yield Heading("A camera stops while the pass runs")
    yield Points(FIRST, mark="number")
    columns = (
        Column("cam", 0.0, is_strong=True),
        Column("it holds", 3.0),
        Column("then", 4.0),
    )
    for pass_id in source.plan.pass_ids():
        placements = source.plan.placements_in(pass_id)
        rows = tuple(
            (each.letter, _held(source, each), "\n".join(_then(source, each)))
            for each in placements
        )
        if rows:
            yield Table(columns, rows, title=source.names.pass_label(pass_id))


def _held(source: Source, placement: Placement) -> str:
    role = source.names.roles(placement)
    framing = source.names.framing(placement.pass_id, placement.shot)
    return f"{role}: {framing}" if role else framing


def _then(source: Source, placement: Placement) -> Iterator[str]:
    """Yield who has what is lost: the picture itself, then each moment."""
    names = source.names
    others = [p for p in names.plan.placements_in(placement.pass_id) if p != placement]
    is_safety = _is_safety(names.plan, placement)
    same = list(dict.fromkeys(_who_has(names, placement, others)))
    if same:
        yield f"{'Takes over and holds' if is_safety else 'Has it'}: {'; '.join(same)}."
    elif is_safety:
        yield f"Nobody else has the whole. {_as_wide(others)}"
    else:
        yield "Nobody else has it."
    for moment in _moments_of(source, placement):
        yield _moment(names, placement, moment)


def _as_wide(others: list[Placement]) -> str:
    """Return who shows as much of the stage as is to be had."""
    operated = [p.letter for p in others if p.operator is not None]
    match operated or [p.letter for p in others]:
        case []:
            return "Get it going again first."
        case [letter]:
            return f"Camera {letter} goes as wide as it can and holds."
        case letters:
            return f"Cameras {joined(letters)}: the widest that is free goes wide and holds."


def _is_safety(plan: Plan, placement: Placement) -> bool:
    return any(role.is_safety for role in _roles(plan, placement))


def _roles(plan: Plan, placement: Placement) -> tuple[Role, ...]:
    shoot, _ = plan.pass_of(placement.pass_id)
    return tuple(role for role in Brief(shoot, plan.kit).roles if role.id in placement.roles)


def _who_has(names: Names, placement: Placement, others: list[Placement]) -> Iterator[str]:
    """Yield cameras that frame the same, or that have it on their menu."""
    wanted: set[tuple[str, str]] = {
        (r.subject, size) for r in _roles(names.plan, placement) for size in r.sizes
    }
    wanted.add((placement.shot.subject, placement.shot.size))
    for other in others:
        found: list[Framing] = [each for each in other.menu if (each.subject, each.size) in wanted]
        if (other.shot.subject, other.shot.size) in wanted:
            found = [other.shot]
        if found:
            label = names.framing(other.pass_id, found[0])
            yield f"camera {other.letter} ({names.operator(other)}), {label}"


def _moments_of(source: Source, placement: Placement) -> tuple[MomentHeld, ...]:
    shots = source.day.shots
    own = (placement.pass_id, placement.letter)
    return tuple(row for row in (shots.moments if shots else ()) if row.first == own)


def _moment(names: Names, placement: Placement, row: MomentHeld) -> str:
    shoot, _ = names.plan.pass_of(placement.pass_id)
    song = shoot.songs_by_id[row.song].label
    if row.second is None:
        return f"{row.moment} ({song}): nobody else holds it."
    pass_id, letter = row.second
    where = "" if pass_id == placement.pass_id else f" in {names.pass_label(pass_id)}"
    return f"{row.moment} ({song}): camera {letter}{where}."


# -- before a pass ---------------------------------------------------------------------------------


def _before(source: Source) -> Iterator[Block]:
    if source.fallback is not None:
        yield from _replies(source.fallback)
        return
    rows = tuple(row for pass_id in source.plan.pass_ids() for row in _stand_ins(source, pass_id))
    if rows:
        yield Heading("Somebody is missing")
        columns = (
            Column("missing", 0.0, is_strong=True),
            Column("pass", 0.0),
            Column("camera", 2.0),
            Column("can stand in", 3.0),
        )
        yield Table(columns, rows)
    what = "who moves where if a thing, a person, a place or a pass is lost"
    yield Words(how_to_get(source, what, "fallback PLAN", "fallback"))


def _replies(answer: FallbackAnswer) -> Iterator[Block]:
    yield Heading("Something is missing before a pass")
    yield Words(
        "Each reply stands for one loss alone, keeps what is rigged where it can, and has been "
        "checked. Worst first. Two losses at once, or a pass that is over already: plan anew."
    )
    for kind, title in KINDS.items():
        rows = tuple(_rows([each for each in answer.losses if each.kind == kind]))
        if rows:
            yield Table(LOSSES, rows, title=title)


def _rows(losses: Sequence[LossAnswer]) -> Iterator[tuple[str, str, str, str]]:
    """Yield the rows of losses; neighbours with which nothing moves share one."""
    for (do, costs), group in groupby(losses, key=lambda each: (each.do, each.costs)):
        found = list(group)
        if any(reply.label for reply in do):
            for each in found:
                yield from _loss_rows(each)
        else:
            labels = "\n".join(each.label for each in found)
            yield (
                labels,
                "",
                _listed([line for reply in do for line in reply.lines]),
                "\n".join(costs),
            )


def _loss_rows(each: LossAnswer) -> Iterator[tuple[str, str, str, str]]:
    """Yield a row for each pass in which something moves, so that no row gets too tall; the name
    stands in all of them, for a page may end in between.
    """
    costs = "\n".join(each.costs)
    for reply in each.do:
        yield each.label, reply.label, _listed(reply.lines), costs
        costs = ""


def _listed(lines: Sequence[str]) -> str:
    mark = "- " if len(lines) > 1 else ""
    return "\n".join(f"{mark}{line}" for line in lines)


def _stand_ins(source: Source, pass_id: str) -> Iterator[tuple[str, str, str, str]]:
    """Yield for each operator of a pass who is on hand and could take the camera."""
    names = source.names
    shoot, each = names.plan.pass_of(pass_id)
    brief = Brief(shoot, names.plan.kit)
    placements = names.plan.placements_in(pass_id)
    busy = {p.operator for p in placements}
    for placement in placements:
        if placement.operator is None:
            continue
        support = names.item_of(placement.rig.support)
        skill = getattr(support, "skill", None)
        found = [
            person.label
            for person in shoot.crew
            if person.id not in busy
            and (skill is None or skill in person.skills)
            and not any(person_rules(brief, each, names.position(placement), person))
        ]
        who = joined(found) or "nobody on hand is free: lock it off on its main shot, or leave it"
        camera = f"{placement.letter}, {names.place(placement)}"
        yield names.operator(placement), names.pass_label(pass_id), camera, who


# -- spares ----------------------------------------------------------------------------------------


def _spares(source: Source) -> Iterator[Block]:
    names, day, items = source.names, source.day, source.plan.kit.items_by_id
    rows = []
    for pack in day.power.spares if day.power else ():
        spare = int(pack.held - pack.needed + 1e-6)
        words = counted(spare, "full one") if spare > 0 else "NONE"
        rows.append((names.pass_label(pack.pass_id), items[pack.item].name, words))
    for card in day.media.spares if day.media else ():
        left = card.units - card.used
        words = counted(left, "card") if left > 0 else "NONE"
        rows.append((names.pass_label(card.pass_id), items[card.item].name, words))
    order = {names.pass_label(pass_id): i for i, pass_id in enumerate(source.plan.pass_ids())}
    rows.sort(key=lambda row: order[row[0]])
    home = [items[each.item].name for each in source.plan.left_out]
    if rows or home:
        yield Heading("Spares")
    if rows:
        columns = (Column("pass", 1.0), Column("thing", 2.0), Column("over and above", 1.0))
        yield Table(columns, tuple(rows))
    if home:
        yield Words(f"Not needed, could come along as spares: {joined(home)}.")
