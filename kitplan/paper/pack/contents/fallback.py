"""Fallback table: what to do when something fails or is missing, for the evening itself.

While a pass runs the plan itself says who has what a camera loses. Before a pass the replies of
`kitplan fallback` say who moves where; without them, who could stand in for whom.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from kitplan.paper.cautions import support_of
from kitplan.paper.layout import counted, joined
from kitplan.paper.names import Names
from kitplan.paper.pack.answers import FallbackAnswer, LossAnswer
from kitplan.paper.pack.blocks import Block, Column, Heading, Points, Sheet, Table, Words
from kitplan.paper.pack.contents.asking import how_to_get
from kitplan.paper.pack.source import Source
from kitplan.plan.day.shots import MomentHeld
from kitplan.plan.framing import Framing
from kitplan.plan.records import Placement, Plan
from kitplan.plan.verify import person_faults
from kitplan.plan.verify.scene import Scene
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Role

KINDS = {
    "person": "Somebody is missing",
    "item": "A thing is missing or broken",
    "position": "A place is closed",
    "pass": "A pass is off",
}
"""People first: they are missed first."""
MOST_COLUMNS = 4
"""Passes in one table; more come as a second one."""
FIRST = (
    "Try once: stop, battery out and in, roll. No light after that: leave it, tell the crew lead.",
    "Never stop a second camera while one stands still. Whoever is free goes, nobody leaves the "
    "safety shot.",
    "Everybody else stays in their frame; each camera card names a fallback shot.",
)
LOSSES = (
    Column("lost", 1.2, is_strong=True),
    Column("pass", 0.7),
    Column("do this", 4.7),
    Column("it costs", 1.4),
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
    found = [
        (pass_id, placement, _stand_ins(source, placement))
        for pass_id in source.plan.pass_ids()
        for placement in source.plan.placements_in(pass_id)
        if placement.operator is not None
    ]
    if found:
        yield Heading("Somebody is missing")
        yield from _with_stand_in(source.names, found)
        yield from _with_none(source.names, found)
    what = "who moves where if a thing, a person, a place or a pass is lost"
    yield Words(how_to_get(source, what, "fallback PLAN", "fallback"))


Standing = list[tuple[str, Placement, list[str]]]
"""Passes with their operated placements, and who could take each over."""


def _with_stand_in(names: Names, found: Standing) -> Iterator[Block]:
    rows = tuple(
        (
            names.operator(placement),
            names.pass_label(pass_id),
            f"{placement.letter}, {names.place(placement)}",
            joined(people),
        )
        for pass_id, placement, people in found
        if people
    )
    columns = (
        Column("missing", 1.0, is_strong=True),
        Column("pass", 1.0),
        Column("camera", 2.0),
        Column("can stand in", 2.0),
    )
    if rows:
        yield Table(columns, rows)


def _with_none(names: Names, found: Standing) -> Iterator[Block]:
    """Yield, pass by pass, the cameras that nobody is free for."""
    lines = []
    for each in dict.fromkeys(pass_id for pass_id, _, _ in found):
        letters = [p.letter for pass_id, p, people in found if pass_id == each and not people]
        if letters:
            cameras = "camera" if len(letters) == 1 else "cameras"
            lines.append(
                f"{names.pass_label(each)}: nobody on hand is free for {cameras} "
                f"{joined(letters)}: lock off on the main shot, or leave it."
            )
    if lines:
        yield Points(tuple(lines))


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


def _stand_ins(source: Source, placement: Placement) -> list[str]:
    """Return who is on hand, behind no camera of the pass, and could take this one."""
    names = source.names
    shoot, each = names.plan.pass_of(placement.pass_id)
    scene, position = Scene(shoot, names.plan.kit), names.position(placement)
    busy = {p.operator for p in names.plan.placements_in(placement.pass_id)}
    skill = support_of(names, placement).skill
    return [
        person.label
        for person in shoot.crew
        if person.id not in busy
        and (skill is None or skill in person.skills)
        and not person_faults(scene, each, position, person)
    ]


# -- spares ----------------------------------------------------------------------------------------


def _spares(source: Source) -> Iterator[Block]:
    items = source.plan.kit.items_by_id
    left = _left_over(source)
    home = [items[each.item].name for each in source.plan.left_out]
    if left or home:
        yield Heading("Spares")
    passes = source.plan.pass_ids()
    for start in range(0, len(passes) if left else 0, MOST_COLUMNS):
        some = passes[start : start + MOST_COLUMNS]
        columns = (
            Column("over and above what is in use", 1.6, is_strong=True),
            *(Column(source.names.pass_label(each), 1.0) for each in some),
        )
        rows = tuple(
            (items[item].name, *(words.get(each, "") for each in some))
            for item, words in left.items()
        )
        yield Table(columns, rows, foot="Cards are counted for the whole day of their pass.")
    if home:
        yield Words(f"Not needed, could come along as spares: {joined(home)}.")


def _left_over(source: Source) -> dict[str, dict[str, str]]:
    """Return what is over of each battery and card, by item and pass."""
    day = source.day
    found: dict[str, dict[str, str]] = {}
    for pack in day.power.spares if day.power else ():
        number = int(pack.held - pack.needed + 1e-6)
        words = counted(number, "full one") if number > 0 else "NONE"
        found.setdefault(pack.item, {})[pack.pass_id] = words
    for card in day.media.spares if day.media else ():
        number = card.units - card.used
        words = str(number) if number > 0 else "NONE"
        found.setdefault(card.item, {})[card.pass_id] = words
    return found
