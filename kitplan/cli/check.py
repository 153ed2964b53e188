"""`kitplan check`: read a shoot with its kit and say what was read, or everything that is wrong."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kitplan.cli.common import WIDEST_TABLE, DbOption, JsonOption, print_json

if TYPE_CHECKING:
    from kitplan.gear.kit import Kit
    from kitplan.shoot.brief import Brief
    from kitplan.shoot.records import Pass

ShootArgument = Annotated[
    Path, typer.Argument(metavar="SHOOT", help="The shoot file.", show_default=False)
]
KitOption = Annotated[
    Path | None,
    typer.Option(
        "--kit",
        metavar="PATH",
        help="A kit file, or a folder of them, instead of the kit that the shoot file names.",
        show_default=False,
    ),
]
_KINDS = {"body": "bodies", "lens": "lenses", "head": "heads", "support": "supports"}
_WORTH = {
    "live": "live",
    "locks": "in step with the master",
    "inserts": "for inserts only",
    "none": "not run",
}
_LABEL_WIDTH = 11


def check(
    shoot_path: ShootArgument,
    kit: KitOption = None,
    db: DbOption = None,
    as_json: JsonOption = False,
) -> None:
    """Check a shoot file, its kit, and whether they fit together; plans nothing.

    Prints what was read, or one list of everything that is wrong with file and line.

    Example: kitplan check scenarios/depot-brass.yaml
    """
    from kitplan.errors import BadInput
    from kitplan.shoot.checks.remarks import remarks
    from kitplan.shoot.reading import read_brief

    try:
        brief = read_brief(shoot_path, kit, db)
    except BadInput as error:
        if not as_json:
            raise
        print_json({"problems": [asdict(problem) for problem in error.problems]})
        raise typer.Exit(2) from error
    notes = remarks(brief)
    if as_json:
        print_json(_summary(brief) | {"notes": notes, "problems": []})
    else:
        typer.echo("\n".join([*_lines(brief), *_labelled("note", notes), "Nothing is wrong."]))


def _summary(brief: Brief) -> dict[str, Any]:
    """Return what was read as plain data."""
    shoot, shutter = brief.shoot, brief.shutter
    return {
        "title": shoot.title,
        "venue": shoot.venue.name,
        "passes": [_pass_facts(brief, each) for each in shoot.passes],
        "positions": len(shoot.venue.positions),
        "subjects": len(shoot.subjects),
        "songs": len(shoot.songs),
        "roles": [role.id for role in brief.roles],
        "crew": [person.id for person in shoot.crew],
        "kit": _num_units(brief.kit),
        "shutter": {"time_s": shutter.shutter_s, "reason": shutter.reason},
    }


def _pass_facts(brief: Brief, each: Pass) -> dict[str, Any]:
    shoot = brief.shoot
    worth = [brief.worth(each, song) for song in shoot.songs]
    return {
        "id": each.id,
        "start": each.start,
        "end": shoot.end_of(each),
        "doors": each.doors,
        "has_audience": each.has_audience,
        "is_master": each.id == shoot.master.id,
        "songs": {word: worth.count(word) for word in ("live", "locks", "inserts", "none")},
        "positions": [
            position.id
            for position in shoot.venue.positions
            if position.open_in is None or each.id in position.open_in
        ],
        "people": [person.id for person in brief.people(each)],
    }


def _num_units(kit: Kit) -> dict[str, int]:
    """Number of units of the main kinds, and of everything else together."""
    counts = dict.fromkeys([*_KINDS.values(), "other things"], 0)
    for unit in kit.units:
        counts[_KINDS.get(kit.items_by_id[unit.item].kind, "other things")] += 1
    return counts


def _lines(brief: Brief) -> list[str]:
    """Return what was read in a few lines."""
    facts = _summary(brief)
    singular = {many: one for one, many in (*_KINDS.items(), ("other thing", "other things"))}
    counts = ", ".join(
        f"{count} {singular[what] if count == 1 else what}" for what, count in facts["kit"].items()
    )
    asked = ", ".join(
        f"{number} {word}{'' if number == 1 else 's'}"
        for word, number in (
            ("song", facts["songs"]),
            ("subject", facts["subjects"]),
            ("role", len(facts["roles"])),
        )
    )
    return [
        f"{facts['title']} ({facts['venue']})",
        *_labelled("passes", [_pass_line(each) for each in facts["passes"]]),
        *_labelled("asked for", [asked]),
        *_labelled("positions", [f"{facts['positions']} ({_per_pass(facts, 'positions')})"]),
        *_labelled("crew", [f"{len(facts['crew'])} ({_per_pass(facts, 'people')})"]),
        *_labelled("kit", [counts]),
        *_labelled("shutter", [facts["shutter"]["reason"]]),
    ]


def _labelled(label: str, texts: list[str]) -> list[str]:
    """Return texts, wrapped and indented, with a label before the first."""
    wrapped = [
        part
        for text in texts
        for part in wrap(text, WIDEST_TABLE - _LABEL_WIDTH, subsequent_indent="  ")
    ]
    return [f"{'' if n else label:<{_LABEL_WIDTH}}{line}" for n, line in enumerate(wrapped)]


def _per_pass(facts: dict[str, Any], key: str) -> str:
    return ", ".join(f"{len(each[key])} in {each['id']}" for each in facts["passes"])


def _pass_line(facts: dict[str, Any]) -> str:
    """Return a pass with its hours and what it gives the edit, song by song."""
    counts = facts["songs"]
    songs = ", ".join(f"{counts[key]} {word}" for key, word in _WORTH.items() if counts[key])
    audience = "no audience"
    if facts["has_audience"]:
        audience = f"audience from {facts['doors'] or facts['start']:%H:%M}"
    hours = f"{facts['start']:%Y-%m-%d %H:%M} to {facts['end']:%H:%M}"
    return f"{facts['id']}: {hours}, {audience}; songs: {songs}"
