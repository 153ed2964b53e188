"""`kitplan sights`: what every possible shot would see, before anything is planned."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

import typer

from kitplan.cli.check import KitOption, ShootArgument
from kitplan.cli.common import InventoryOption, JsonOption, print_json


def sights(
    shoot_path: ShootArgument,
    position: Annotated[
        str | None, typer.Option("--position", metavar="NAME", help="Every shot from there.")
    ] = None,
    subject: Annotated[
        str | None, typer.Option("--subject", metavar="NAME", help="Every shot of it.")
    ] = None,
    pass_name: Annotated[
        str | None, typer.Option("--pass", metavar="NAME", help="One pass only.")
    ] = None,
    kit: KitOption = None,
    db: InventoryOption = None,
    as_json: JsonOption = False,
) -> None:
    """Say what every possible shot would see; plans nothing.

    What hides the subject, empty seats, wings, lamps, people without consent, and the rigs and
    operators of other positions. Names are ids or the names of the shoot file.

    Example: kitplan sights my-show.yaml

    Example: kitplan sights my-show.yaml --position pit-left --subject singer
    """
    from kitplan.paper.sights import sights_records, sights_text
    from kitplan.shoot.reading import read_brief
    from kitplan.whatif.sightings import sightings

    brief = read_brief(shoot_path, kit, db)
    shoot = brief.shoot
    found = sightings(
        brief,
        pass_id=_id(pass_name, "--pass", ((p.id, p.label) for p in shoot.passes)),
        position=_id(position, "--position", ((p.id, p.label) for p in shoot.venue.positions)),
        subject=_id(subject, "--subject", ((s.id, s.label) for s in shoot.subjects)),
    )
    if as_json:
        print_json(sights_records(found))
    else:
        typer.echo(sights_text(shoot, found, is_detailed=bool(position or subject)))


def _id(name: str | None, option: str, known: Iterable[tuple[str, str]]) -> str | None:
    """Return the id that a name or id stands for.

    Raises:
        SettingError: If there is none.
    """
    from kitplan.errors import SettingError
    from kitplan.wording import hint

    if name is None:
        return None
    ids = {word.casefold(): own for own, label in known for word in (label, own)}
    if name.casefold() not in ids:
        fix = hint(name, sorted(set(ids.values())))
        raise SettingError(f"there is no {option[2:]} {name!r}", where=option, fix=fix)
    return ids[name.casefold()]
