"""Cover page: what the plan promises and what it does not, on a page to hand to the performers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from kitplan.paper.cautions import cautions
from kitplan.paper.layout import counted, joined
from kitplan.paper.pack.blocks import (
    Beside,
    Block,
    Caution,
    Column,
    Facts,
    Heading,
    Picture,
    Points,
    Sheet,
    Table,
    Words,
)
from kitplan.paper.pack.contents.schedules import on_hand
from kitplan.paper.pack.pictures import ShotPictures
from kitplan.paper.pack.source import Source
from kitplan.paper.promises import best_words, promises, safety_shot
from kitplan.paper.worth import promise
from kitplan.plan.records import Day, Placement

PICTURE_MM = 76.0
MOST_PLACES = 1
MOST_GAPS = 9
"""On one page; the rest stands on the shortfall list."""
USES = {
    "schedules": ("one pass or several: what each buys, what it costs", "producer"),
    "floor-plan": ("where every camera stands and what it sees, to scale", "venue, crew lead"),
    "day": ("who is where when, and the hard gates", "everybody"),
    "packing": ("what goes into which case, boxes to tick", "crew lead"),
    "cards": ("place, rig, settings, songs; what to do if it fails", "at each camera"),
    "reset": ("the work between passes by clock and by person", "all who rig"),
    "power": ("which battery goes where, what is charged when", "who charges"),
    "media": ("cards, copies, what may be formatted", "who copies"),
    "restarts": ("who touches which recorder in which gap", "operators, floaters"),
    "line-up": ("what all cameras are set to alike", "who lines up"),
    "continuity": ("what has to look the same in the next pass", "stage, crew lead"),
    "moments": ("who holds each moment, who is second", "producer"),
    "fallback": ("if a thing, a person or a place is lost", "crew lead"),
    "shortfall": ("what is missing, and the cheapest help", "producer, lenders"),
    "risk": ("hazards, usual measures, who sees to them", "venue, crew lead"),
    "returns": ("what goes back to whom, loan slips", "owners"),
    "editor": ("angles, sync points, masters of each song", "editor"),
    "glossary": ("the words on these papers", "whoever is new"),
}
"""What each paper is for, and who gets it."""
OF_CAMERAS = ("cards", "line-up", "fallback", "risk", "editor")
"""Papers on which nothing stands where no camera does."""
OLD_PAPERS = (
    "At the foot of every page stands the mark of the plan. A paper with another mark is old: "
    "throw it away. Print again after every change, and collect what was handed out."
)


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield the page."""
    plan = source.plan
    places = list(dict.fromkeys(shoot.venue.name for shoot in plan.shoots.values()))
    found = promises(source.names)
    blocks: list[Block] = [*_promises(source, found.kept), *_passes(source)]
    gaps = tuple(_gaps(source, found.not_kept))
    lines = cautions(source.names, MOST_PLACES) if plan.placements else []
    if lines:
        mind = Caution("Mind", tuple(lines))
        blocks.append(Beside(gaps, (mind,), left_share=0.4))
    else:
        blocks += gaps
    where = (f"{joined(places)}. {_days(source)}",)
    yield Sheet("cover", plan.title, tuple(blocks), lines=where)
    papers = tuple(_papers(source))
    if papers:
        yield Sheet("cover", "The papers of this plan", papers, lines=where)


def _days(source: Source) -> str:
    days = [
        source.setting.day(each.start)
        for shoot in source.plan.shoots.values()
        for each in shoot.passes
    ]
    return joined(list(dict.fromkeys(days)))


def _promises(source: Source, lines: tuple[str, ...]) -> Iterator[Block]:
    if not lines:
        return
    left: tuple[Block, ...] = (Heading("This plan promises"), Points(lines))
    picture = _key_picture(source)
    glance = Facts(tuple(_at_a_glance(source)))
    yield Beside(left, (*((picture,) if picture else ()), glance), left_share=0.57)


def _at_a_glance(source: Source) -> Iterator[tuple[str, str]]:
    """Yield the size of it all."""
    plan, day = source.plan, source.day
    passes = plan.pass_ids()
    yield "Passes", str(len(passes))
    yield "Cameras", str(len({placement.letter for placement in plan.placements}))
    crew = {person.id for pass_id in passes for person in on_hand(plan, pass_id)}
    if crew:
        yield "Crew", counted(len(crew), "person", "people")
    for load in day.cases.loads if day.cases else ():
        where = f", {plan.shoots[load.shoot].title}" if len(plan.shoots) > 1 else ""
        yield "Kit", f"{counted(len(load.cases), 'case')}, {load.mass_kg:.0f} kg{where}"
    first = next((gap for gap in day.work.gaps if gap.after is None), None) if day.work else None
    if first is not None:
        begin = first.begin
        yield "Load-in", f"{source.setting.day(begin)}, {source.setting.time(begin)}"


def _key_picture(source: Source) -> Picture | None:
    """Return the drawn frame of the safety shot in the master pass, or of its first camera."""
    plan = source.plan
    shoot_id, shoot = list(plan.shoots.items())[-1]
    pass_id = f"{shoot_id}/{shoot.master.id}"
    found = (safety_shot(plan, pass_id), *plan.placements_in(pass_id))
    placement = next((each for each in found if each is not None), None)
    return None if placement is None else _frame(source, placement)


def _frame(source: Source, placement: Placement) -> Picture:
    names = source.names
    framing = names.framing(placement.pass_id, placement.shot)
    who = f"camera {placement.letter}, {names.place(placement)}"
    caption = f"{framing}: {who}, {names.pass_label(placement.pass_id)}"
    drawn = ShotPictures(names).of(placement, placement.shot, PICTURE_MM)
    return replace(drawn, words=f"Drawn frame of {caption}", caption=caption)


def _passes(source: Source) -> Iterator[Block]:
    names, plan = source.names, source.plan
    rows = tuple(
        (
            names.pass_label(pass_id),
            source.hours(pass_id),
            "; ".join(_crew(source, pass_id)),
            promise(names, pass_id, has_hold=False),
        )
        for pass_id in plan.pass_ids()
    )
    yield Table(
        (
            Column("pass", 1.0, is_strong=True),
            Column("when", 2.3),
            Column("cameras and crew", 2.5),
            Column("in the edit", 2.3),
        ),
        rows,
    )


def _crew(source: Source, pass_id: str) -> Iterator[str]:
    """Yield who is at which camera of a pass, and which stand alone."""
    placements = source.plan.placements_in(pass_id)
    operated = [f"{p.letter} {source.names.operator(p)}" for p in placements if p.operator]
    alone = [placement.letter for placement in placements if placement.operator is None]
    if operated:
        yield ", ".join(operated)
    if alone:
        yield f"{joined(alone)} locked off"
    if not placements:
        yield "no camera"


def _gaps(source: Source, lines: tuple[str, ...]) -> Iterator[Block]:
    if len(lines) > MOST_GAPS:
        more = len(lines) - MOST_GAPS + 1
        lines = (*lines[: MOST_GAPS - 1], f"{more} more on the shortfall list.")
    if lines:
        yield Heading("It does not promise")
        yield Points(lines)
    if source.plan.placements:
        yield Words(best_words(source.plan))


# -- the pack --------------------------------------------------------------------------------------


def _papers(source: Source) -> Iterator[Block]:
    """Yield what the other papers are for and who gets them."""
    from kitplan.paper.pack.papers import PAPERS

    rows = tuple(
        (paper.title, *USES[paper.id], "")
        for paper in PAPERS
        if paper.id in USES and _has(source, paper.id)
    )
    if rows:
        columns = (
            Column("paper", 1.5, is_strong=True),
            Column("what it is for", 3.0),
            Column("who gets it", 1.5),
            Column("handed to", 1.5),
        )
        yield Table(columns, rows, has_boxes=True)
        yield Words(OLD_PAPERS)


def _has(source: Source, paper: str) -> bool:
    """Whether anything stands on a paper for this plan; that it does is known without drawing."""
    from kitplan.paper.pack.contents import continuity

    day: Day = source.day
    has_cameras = bool(source.plan.placements)
    parts = {
        "schedules": len(source.plan.pass_ids()) > 1,
        "reset": day.work is not None and any(gap.jobs or gap.reason for gap in day.work.gaps),
        "power": day.power is not None and bool(day.power.uses or day.power.mains),
        "media": day.media is not None and bool(day.media.uses),
        "restarts": day.rolls is not None and has_cameras,
        "moments": day.shots is not None and bool(day.shots.moments),
    }
    if paper == "continuity":
        return any(True for _ in continuity.sheets(source))
    return parts.get(paper, has_cameras or paper not in OF_CAMERAS)
