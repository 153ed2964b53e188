"""Locks given with a command, beside those of the shoot file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from kitplan.shoot.brief import Brief
    from kitplan.shoot.records import Pattern

KeepOption = Annotated[
    list[str] | None,
    typer.Option(
        "--keep",
        metavar="PARTS",
        help="There has to be such a camera: position=jib-spot,body=hybrid,person=ada,pass=show; "
        "any of pass, position, body, lens, adapter, head, support, person, role.",
        show_default=False,
    ),
]
NeverOption = Annotated[
    list[str] | None,
    typer.Option(
        "--never",
        metavar="PARTS",
        help="No camera may be so: person=ben,support=jib.",
        show_default=False,
    ),
]


def locked(brief: Brief, keep: Sequence[str] | None, never: Sequence[str] | None) -> Brief:
    """Return a brief with further locks; the plan carries them like those of the file.

    Raises:
        SettingError: If a lock cannot be read.
        BadInput: If one names what does not exist, or cannot be kept.
    """
    if not keep and not never:
        return brief
    from kitplan.errors import BadInput
    from kitplan.shoot.brief import Brief
    from kitplan.shoot.checks.every import problems
    from kitplan.shoot.records import Locks

    own = brief.shoot.locks
    locks = Locks(
        keep=(*own.keep, *_patterns("--keep", keep)),
        never=(*own.never, *_patterns("--never", never)),
    )
    changed = Brief(brief.shoot.model_copy(update={"locks": locks}), brief.kit)
    found = problems(changed, lambda _: 0, "--keep, --never")
    if found:
        raise BadInput(found)
    return changed


def _patterns(option: str, texts: Sequence[str] | None) -> Iterator[Pattern]:
    """Yield the locks of an option that may be given several times.

    Raises:
        SettingError: If one is not a list of NAME=ID, or names a part that there is not.
        BadInput: If one names what can be no id.
    """
    from kitplan.checked import validated
    from kitplan.errors import SettingError
    from kitplan.shoot.records import Pattern
    from kitplan.wording import hint

    known = [name.rstrip("_") for name in Pattern.model_fields]
    for text in texts or ():
        parts: dict[str, str] = {}
        for pair in text.split(","):
            name, equals, value = (part.strip() for part in pair.partition("="))
            if not equals or not value:
                fix = "Write it as position=jib-spot,pass=show"
                raise SettingError(f"{pair.strip()!r} is not NAME=ID", where=option, fix=fix)
            if name not in known:
                wrong = f"{name!r} is no part of a lock"
                raise SettingError(wrong, where=option, fix=hint(name, known))
            if name in parts:
                fix = f"Give {option} once more for another camera"
                raise SettingError(f"{name!r} is given twice", where=option, fix=fix)
            parts[name] = value
        yield validated(Pattern, parts, file=option, line_of=lambda _: 0)
