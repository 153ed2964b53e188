"""`kitplan serve`: the page of a shoot, on this machine or for the crew's phones."""

from __future__ import annotations

import secrets
from pathlib import Path
from typing import Annotated

import typer

from kitplan.cli.check import KitOption, ShootArgument
from kitplan.cli.common import InventoryOption

CODE_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
"""Without those that look alike."""
CODE_LENGTH = 8


def serve(
    shoot_path: ShootArgument,
    kit: KitOption = None,
    db: InventoryOption = None,
    plan_folder: Annotated[
        Path | None,
        typer.Option("--plan", metavar="FOLDER", help="The plan's folder; by default SHOOT-plan."),
    ] = None,
    port: Annotated[int, typer.Option("--port", metavar="N", min=1024, max=65_535)] = 8047,
    is_lan: Annotated[
        bool, typer.Option("--lan", help="Let the crew's phones in, with a code.")
    ] = False,
) -> None:
    """Open the shoot as a page in the browser.

    Example: kitplan serve my-show.yaml
    """
    import uvicorn

    from kitplan.shoot.reading import read_brief
    from kitplan.web.app import application
    from kitplan.web.guard import Sessions
    from kitplan.web.project import Project

    read_brief(shoot_path, kit, db)
    folder = plan_folder or shoot_path.with_name(f"{shoot_path.stem}-plan")
    project = Project(shoot_path, folder, db, kit)
    code = "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH)) if is_lan else None
    hosts = frozenset({f"localhost:{port}", f"127.0.0.1:{port}"})
    typer.echo(f"http://localhost:{port}  (Ctrl-C ends it)")
    app = application(project, hosts, Sessions(code))
    uvicorn.run(app, host="127.0.0.1", port=port, log_level="warning")
