"""What each pass takes, by camera in the order of building, and what goes where between passes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from kitplan.paper.cases import overnight_words, overnights
from kitplan.paper.clocks import wall
from kitplan.paper.layout import counted
from kitplan.paper.lists import Change, Group, PassList, Turnaround
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import (
    Block,
    Checklist,
    Column,
    Fields,
    Heading,
    Points,
    Sheet,
    Table,
)
from kitplan.paper.pack.contents.checklists import (
    OUT_AND_IN,
    count_fields,
    is_at_venue,
    ticks,
    total,
)
from kitplan.paper.pack.contents.pulling import missing_blocks
from kitplan.paper.pack.source import Source

STAYS, COMES_OUT = "stays", "comes out"
STAYS_TITLE = "Stays where it is: check level, frame and focus"


def pass_sheet(source: Source, each: PassList, before: PassList | None) -> Sheet:
    """Return the packing list of a pass.

    Args:
        before: The list of the pass before it, if there is one: what stood at a camera then comes
            from there and not out of its case.
    """
    names = source.names
    origins = _origins(names, each, before)
    units = [entry.unit for entry in each.entries]
    return Sheet(
        "packing",
        f"Packing list: {names.pass_label(each.pass_id)}",
        (
            *missing_blocks(each.missing),
            *(_group(names, group, origins) for group in each.groups),
            count_fields(f"{total(names, units)}, cases included"),
        ),
        lines=(
            f"{source.hours(each.pass_id)}.",
            "Camera by camera, from the floor up. Out: it stands at its place. In: it is back.",
        ),
    )


def _origins(names: Names, each: PassList, before: PassList | None) -> dict[str, str]:
    """Return where each unit comes from: its case, another camera, or its place of before."""
    found = {entry.unit: _source_of(names, entry.unit) for entry in each.entries}
    if before is None or not _same_day(names, before.pass_id, each.pass_id):
        return found
    here = {entry.unit: group for group in each.groups for entry in group.entries}
    for group in before.groups:
        for entry in group.entries if group.position else ():
            if entry.unit in here:
                stays = here[entry.unit].position == group.position
                found[entry.unit] = "stands there" if stays else _letter(group.name)
    return found


def _source_of(names: Names, unit: str) -> str:
    """Return the case that a unit lies in, or how else it comes."""
    return names.case(unit) or ("the venue has it" if is_at_venue(names, unit) else "by hand")


def _same_day(names: Names, one: str, other: str) -> bool:
    starts = [names.plan.pass_of(pass_id)[1].start.date() for pass_id in (one, other)]
    return starts[0] == starts[1]


def _group(names: Names, group: Group, origins: dict[str, str]) -> Checklist:
    units = [entry.unit for entry in group.entries]
    is_camera = bool(group.position)
    has_origin = not all(names.item_of(unit).kind == "case" for unit in units)
    return Checklist(
        ticks(names, units, lambda unit: (origins[unit],) if has_origin else ()),
        OUT_AND_IN,
        title=f"{group.name}: {group.position}" if is_camera else group.name,
        lead=group.who,
        columns=(Column("from", 1.1),) if has_origin else (),
        foot=total(names, units),
        fields=OUT_AND_IN,
    )


# -- between passes --------------------------------------------------------------------------------


def turn_sheet(source: Source, turn: Turnaround) -> Sheet:
    """Return what is done with the things of a pass before the next one."""
    names = source.names
    labels = [names.pass_label(pass_id) for pass_id in (turn.after, turn.before)]
    return Sheet(
        "packing",
        f"From {labels[0]} to {labels[1]}",
        (*_nights(source, turn), *_changes(source, turn)),
        lines=(_time(source, turn),),
    )


def _time(source: Source, turn: Turnaround) -> str:
    """Return when there is time for it."""
    shoot, after = source.plan.pass_of(turn.after)
    _, before = source.plan.pass_of(turn.before)
    begin, end = wall(shoot.end_of(after)), wall(before.doors or before.start)
    what = "the doors open" if before.doors else "it starts"
    setting = source.setting
    if begin.date() == end.date():
        return f"Begin at {setting.time(begin)}. All in place by {setting.time(end)}, when {what}."
    return (
        f"Begin on {setting.day(begin)} at {setting.time(begin)}. "
        f"All in place on {setting.day(end)} by {setting.time(end)}, when {what}."
    )


def _nights(source: Source, turn: Turnaround) -> Iterator[Block]:
    """Yield what stays in the building overnight and what goes home."""
    names = source.names
    for load in source.day.cases.loads if source.day.cases else ():
        for night in overnights(names, load):
            if (night.after, night.before) == (turn.after, turn.before):
                yield Heading("Overnight")
                yield Points(tuple(overnight_words(names, night)), mark="box")


def _changes(source: Source, turn: Turnaround) -> Iterator[Block]:
    """Yield where each camera goes; then what stays, what is struck, camera by camera, with where
    each thing goes, and what is new.

    In the order of the work: nobody walks to a camera twice.
    """
    names = source.names
    stays = [change for change in turn.changes if change.what == STAYS]
    struck = [change for change in turn.changes if change.origin and change.what != STAYS]
    fresh = [change for change in turn.changes if change.what == COMES_OUT]
    yield from _cameras(names, turn)
    if stays:
        yield _one_list(names, stays, STAYS_TITLE, STAYS_COLUMNS)
    if struck:
        yield Heading("Strike: what goes where")
        for camera, found in _by_origin(struck).items():
            yield _one_list(names, found, camera, {"to": partial(_goal, names)})
    if fresh:
        cells = {
            "from": lambda _, unit: _source_of(names, unit),
            "to": lambda one, _: _letter(one.goal),
        }
        yield _one_list(names, fresh, "New out of the cases", cells)
    units = [unit for change in turn.changes for unit in change.units]
    yield Fields(("Checked by", "At"), is_in_row=True, lead=f"{total(names, units)} on this sheet")


def _cameras(names: Names, turn: Turnaround) -> Iterator[Block]:
    """Yield where each camera stands before and after."""
    before, after = (
        {each.letter: names.place(each) for each in names.plan.placements_in(pass_id)}
        for pass_id in (turn.after, turn.before)
    )
    rows = tuple(
        (letter, before.get(letter, "not used"), _place_after(before, after, letter))
        for letter in sorted({*before, *after})
    )
    if rows:
        labels = [names.pass_label(pass_id) for pass_id in (turn.after, turn.before)]
        columns = (Column("camera", 0.0, is_strong=True), *(Column(label) for label in labels))
        yield Table(columns, rows)


def _place_after(before: dict[str, str], after: dict[str, str], letter: str) -> str:
    if letter not in after:
        return "into its case"
    return "stays" if before.get(letter) == after[letter] else after[letter]


def _by_origin(changes: list[Change]) -> dict[str, list[Change]]:
    """Return changes by the camera that they begin at: 'Camera A: Pit'."""
    found: dict[str, list[Change]] = {}
    for change in changes:
        found.setdefault(change.origin.replace(", ", ": ", 1), []).append(change)
    return dict(sorted(found.items()))


def _goal(names: Names, change: Change, unit: str) -> str:
    """Return where a thing goes that is struck."""
    case = names.case(unit) or "the van"
    match change.what:
        case "put by":
            return f"{case}, for later"
        case "goes home":
            return f"{case}, done"
    return _letter(change.goal)


def _letter(camera: str) -> str:
    """Return a camera without its place: 'camera A'."""
    return f"c{camera.partition(', ')[0][1:]}"


STAYS_COLUMNS: dict[str, Callable[[Change, str], str]] = {
    "at": lambda change, _: change.origin.partition(", ")[2],
    "now": lambda change, _: _letter(change.goal),
}


def _one_list(
    names: Names,
    changes: list[Change],
    title: str,
    columns: dict[str, Callable[[Change, str], str]],
) -> Checklist:
    """Return the units of changes as a list; what each column says of a change and a unit of it."""
    cells = {
        unit: tuple(cell(change, unit) for cell in columns.values())
        for change in changes
        for unit in change.units
    }
    return Checklist(
        ticks(names, cells, cells.__getitem__),
        ("done",),
        title=title,
        columns=tuple(Column(column, 2.4 if column == "at" else 1.2) for column in columns),
        foot=counted(len(cells), "thing"),
    )
