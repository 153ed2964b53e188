"""`kitplan serve`: the page of a shoot, on this machine or for the crew's phones."""

from __future__ import annotations

import logging
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.check import KitOption, ShootArgument
from kitplan.cli.common import InventoryOption

if TYPE_CHECKING:
    from kitplan.web.project import Project

MOST_LETTERS = 300


def serve(
    shoot_path: ShootArgument,
    kit: KitOption = None,
    db: InventoryOption = None,
    plan_folder: Annotated[
        Path | None,
        typer.Option("--plan", metavar="FOLDER", help="The plan's folder; by default SHOOT-plan."),
    ] = None,
    port: Annotated[
        int | None,
        typer.Option(
            "--port",
            metavar="N",
            min=1024,
            max=65_535,
            help="By default 8047, or the next one that is free.",
            show_default=False,
        ),
    ] = None,
    is_lan: Annotated[
        bool, typer.Option("--lan", help="Let the crew's phones in, with a code.")
    ] = False,
    is_opened: Annotated[
        bool, typer.Option("--open", help="Open the page in the browser as well.")
    ] = False,
) -> None:
    """Open the shoot as a page in the browser.

    The same functions with a face: draw the room, plan, see why, print the papers, sign gear out.
    What is saved goes into the shoot file, the plan's folder and the inventory. Only this machine
    can open it; with --lan whoever has the code that is shown. Ctrl-C ends it, and a search that
    is at work; the plan before stays.

    Example: kitplan serve my-show.yaml --open

    Example: kitplan serve my-show.yaml --lan
    """
    require_extra()
    from kitplan.web.app import Workers, application
    from kitplan.web.network import LOOPBACK, address_of, lan_addresses, open_sockets
    from kitplan.web.project import Project
    from kitplan.web.serving import serve_on
    from kitplan.web.sessions import Sessions, new_code

    folder = plan_folder or shoot_path.with_name(f"{shoot_path.stem}-plan")
    project = Project(shoot_path, folder, db, kit)
    project.brief()
    others = lan_addresses() if is_lan else ()
    if is_lan and not others:
        _refuse_lan()
    code = new_code() if is_lan else None
    sockets, port = open_sockets((LOOPBACK, *others), port)
    own, *shared = [address_of(each, port) for each in (LOOPBACK, *others)]
    _print_addresses(project, own, shared, code)
    _tell_faults()
    workers = Workers()
    app = application(
        project, frozenset({own, f"localhost:{port}", *shared}), Sessions(code), workers
    )
    address = f"http://{own}{_entrance(code)}"
    serve_on(app, sockets, workers, (lambda: _open(address)) if is_opened else lambda: None)
    typer.echo("\nThe page is closed.")


def require_extra() -> None:
    """Refuse to go on where what serves pages is not installed.

    Raises:
        SettingError: With how to install it.
    """
    from importlib.util import find_spec

    from kitplan.errors import SettingError

    if any(find_spec(name) is None for name in ("starlette", "uvicorn")):
        raise SettingError(
            "this needs the extra 'web', which is not installed",
            where="kitplan serve",
            fix="In the folder of kitplan: pip install '.[web]'",
        )


def _tell_faults() -> None:
    """Let the terminal say in a line each what the page could not do; with -v the log says more."""
    logger = logging.getLogger("kitplan")
    if any(isinstance(each, logging.StreamHandler) for each in logger.handlers):
        return

    class Lines(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            words = " ".join(record.getMessage().split())[:MOST_LETTERS]
            words = "".join(each for each in words if each.isprintable())
            typer.echo(f"{words}. Start it with -v before the command to see more.", err=True)

    logger.addHandler(Lines(logging.ERROR))


def _refuse_lan() -> None:
    from kitplan.errors import SettingError

    fix = "Join the network that the phones are on, or leave --lan out"
    raise SettingError("this machine is on no network", where="--lan", fix=fix)


def _entrance(code: str | None) -> str:
    return "/" if code is None else f"/enter?code={code}"


def _print_addresses(project: Project, own: str, shared: list[str], code: str | None) -> None:
    """Print where the page is, and what to do there."""
    typer.echo(project.brief().shoot.title)
    typer.echo(f"  on this machine  http://{own}")
    if code is not None:
        for each in shared:
            typer.echo(f"  on the network   http://{each}")
        typer.echo(f"  code             {code[:4]} {code[4:]}\n")
        typer.echo(_qr(f"http://{shared[0]}{_entrance(code)}"))
        typer.echo("Scan this with a phone on the same network, or open an address above and enter")
        typer.echo("the code. Everybody who has it can change the shoot and sign gear out.\n")
    if project.plan_stamp() is None:
        typer.echo("Next: look at the room, move what stands elsewhere, then press Plan.")
    else:
        typer.echo("Next: look at the plan, ask why, print the papers, sign gear out.")
    typer.echo(
        f"Changes are saved in {project.shoot_path.name}, plans in {project.plan_folder}. "
        "Ctrl-C ends it."
    )


def _qr(address: str) -> str:
    """Return an address as a code for phones, drawn in the terminal."""
    import io

    import segno

    drawn = io.StringIO()
    segno.make(address, micro=False, error="l").terminal(drawn, compact=True, border=2)
    lines = drawn.getvalue().splitlines()
    if sys.stdout.isatty():  # white on black whatever the terminal's own colours are
        lines = [f"\033[97;40m{line}\033[0m" for line in lines]
    return "\n".join(lines)


def _open(address: str) -> None:
    import webbrowser

    webbrowser.open(address)
