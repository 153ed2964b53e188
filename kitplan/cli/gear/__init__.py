"""`kitplan gear`: the inventory of the owned kit."""

from __future__ import annotations

import typer

from kitplan.cli.gear.ask import ask
from kitplan.cli.gear.booking import book, bookings, release
from kitplan.cli.gear.care import care, fault, mended, note_run
from kitplan.cli.gear.counting import count
from kitplan.cli.gear.files import export, import_gear
from kitplan.cli.gear.finding import find, value
from kitplan.cli.gear.hands import back, out, slip, who
from kitplan.cli.gear.keeping import add, change, list_gear, retire, show
from kitplan.cli.gear.lookup import lookup
from kitplan.cli.gear.trust import backup, check, log

gear_app = typer.Typer(
    help="Keep the inventory: what is owned, by whom, and what it can do.", no_args_is_help=True
)
NAMED = {list_gear: "list", import_gear: "import"}
"""Commands whose names are words of Python."""
for command in (
    *(add, list_gear, show, change, retire),
    *(import_gear, export, lookup, ask),
    *(out, back, who, slip, count),
    *(book, bookings, release),
    *(find, value, fault, mended, care, note_run),
    *(log, check, backup),
):
    gear_app.command(NAMED.get(command))(command)
