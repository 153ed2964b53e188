"""`kitplan draw`: floor plans to scale, and what each camera should see, as SVG and PNG."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.common import JsonOption, print_json, writable
from kitplan.cli.packing import PlanArgument

if TYPE_CHECKING:
    from kitplan.paper.drawings.sheet import Sheet
    from kitplan.paper.names import Names


def draw(
    plan_path: PlanArgument,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FOLDER",
            help="Where the drawings go; by default NAME-drawings beside the plan.",
            show_default=False,
        ),
    ] = None,
    pass_names: Annotated[
        list[str] | None,
        typer.Option("--pass", metavar="NAME", help="Only these passes.", show_default=False),
    ] = None,
    only: Annotated[
        str | None,
        typer.Option(
            "--only", metavar="KINDS", help="Only plans, or only frames.", show_default=False
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Draw floor plans, and what each camera should see.

    For each pass a floor plan to scale with every camera's view, a sheet with the frames of all
    cameras, and each frame by itself. A4, for printing in black and white.

    Example: kitplan draw my-show-plan --pass show
    """
    from kitplan.cli.progress import live_words
    from kitplan.paper.drawings.files import drawn
    from kitplan.paper.names import Names
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan

    plan = read_plan(plan_path)
    require_whole(plan, str(plan_path))
    names, kinds = Names(plan), _kinds(only)
    pass_ids = _pass_ids(names, pass_names or [])
    folder = writable(out or _beside(plan_path))
    files: list[Path] = []
    with live_words("Drawing") as tell:
        for sheet in drawn(names, pass_ids, kinds):
            tell(f"Drawing {sheet.name}")
            files.extend(_written(sheet, folder))
    if as_json:
        print_json([str(path) for path in files])
        return
    for pass_id in pass_ids:
        if not plan.placements_in(pass_id):
            typer.echo(f"{names.pass_label(pass_id)}: no camera films it, so it has no frames.")
    typer.echo(f"{len(files)} drawings (SVG and PNG) written to {folder}")


def _kinds(only: str | None) -> tuple[str, ...]:
    """Return the kinds of drawings that are asked for.

    Raises:
        SettingError: If there is no such kind.
    """
    from kitplan.errors import SettingError
    from kitplan.paper.drawings.files import KINDS
    from kitplan.wording import hint

    if only is None:
        return KINDS
    asked = [part.strip() for part in only.split(",") if part.strip()]
    for part in asked or [only]:
        if part not in KINDS:
            fix = hint(part, KINDS)
            raise SettingError(f"there is no kind of drawing {part!r}", where="--only", fix=fix)
    return tuple(asked)


def _pass_ids(names: Names, asked: list[str]) -> tuple[str, ...]:
    """Return the passes that are asked for, in the order of the plan."""
    if not asked:
        return names.pass_ids(None)
    found = {pass_id for name in asked for pass_id in names.pass_ids(name)}
    return tuple(pass_id for pass_id in names.plan.pass_ids() if pass_id in found)


def _beside(plan_path: Path) -> Path:
    """Return the folder for drawings beside a plan file, or in the folder that holds it."""
    from kitplan.plan.files import plan_file

    path = plan_file(plan_path)
    return path.with_name(f"{path.stem}-drawings")


def _written(sheet: Sheet, folder: Path) -> tuple[Path, Path]:
    """Write a sheet as SVG and PNG and return the paths; never half a file.

    Raises:
        SettingError: If they cannot be written.
    """
    from kitplan.errors import SettingError
    from kitplan.paper.drawings.png import png_of

    svg = sheet.drawing.svg()
    contents = {
        folder / f"{sheet.name}.svg": svg.encode("utf-8"),
        folder / f"{sheet.name}.png": png_of(svg, sheet.drawing.width_mm),
    }
    for path, content in contents.items():
        part = path.with_name(f"{path.name}.part")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            part.write_bytes(content)
            part.replace(path)
        except OSError as error:
            reason = error.strerror or str(error)
            raise SettingError(
                f"the drawing cannot be written ({reason})",
                where=str(path),
                fix="Choose another folder with --out",
            ) from error
    svg_path, png_path = contents
    return svg_path, png_path
