"""The command line: every command, and one place that turns errors into exit statuses.

0 done; 1 a must is missed or a check found something; 2 wrong input or options; 3 a fault of
kitplan itself; 130 stopped by Ctrl-C.
"""

from __future__ import annotations

import errno
import os
import signal
import sys
import threading
from contextlib import suppress
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from kitplan import __version__
from kitplan.cli.angles import angles
from kitplan.cli.cases import cases
from kitplan.cli.check import check
from kitplan.cli.compare import compare
from kitplan.cli.draw import draw
from kitplan.cli.fallback import fallback
from kitplan.cli.frame import frame
from kitplan.cli.gains import gains
from kitplan.cli.gear import gear_app
from kitplan.cli.labels import labels
from kitplan.cli.late import late
from kitplan.cli.line_up import line_up
from kitplan.cli.measure import measure_first
from kitplan.cli.media import media
from kitplan.cli.new import new, recce
from kitplan.cli.packing import packing
from kitplan.cli.papers import papers
from kitplan.cli.plan import demo, plan
from kitplan.cli.power import power
from kitplan.cli.reset import reset
from kitplan.cli.restarts import coverage, restarts
from kitplan.cli.schema import schema
from kitplan.cli.serve import serve
from kitplan.cli.shots import shots
from kitplan.cli.sights import sights
from kitplan.cli.songs import songs
from kitplan.cli.sound import sound
from kitplan.cli.verify import verify
from kitplan.cli.why import why
from kitplan.cli.without import without

BAD_INPUT, OWN_FAULT, INTERRUPTED = 2, 3, 130
MOST_WORDS = 200
MOST_OF_A_PATH = 60

app = typer.Typer(
    name="kitplan",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
for command in (
    demo,
    new,
    recce,
    serve,
    plan,
    without,
    fallback,
    songs,
    late,
    packing,
    papers,
    labels,
    shots,
    coverage,
    restarts,
    cases,
    line_up,
    power,
    media,
    sound,
    reset,
    draw,
    angles,
    compare,
    gains,
    check,
    verify,
    why,
    measure_first,
    sights,
    frame,
    schema,
):
    app.command()(command)
app.add_typer(gear_app, name="gear")


def _print_version(is_wanted: bool) -> None:
    if is_wanted:
        typer.echo(f"kitplan {__version__}")
        raise typer.Exit


@app.callback()
def start(
    is_verbose: Annotated[
        bool, typer.Option("-v", "--verbose", help="Log to the terminal what is being done.")
    ] = False,
    log: Annotated[
        Path | None, typer.Option("--log", metavar="FILE", help="Log to a file as well.")
    ] = None,
    version: Annotated[  # noqa: ARG001  (the callback answers it)
        bool,
        typer.Option(
            "--version", callback=_print_version, is_eager=True, help="Print the version."
        ),
    ] = False,
) -> None:
    """Plan where each camera stands in each pass, with which lens on which support, run by whom.

    For filming a live performance with the kit you own. Begin with a plan for an invented evening:

    Example: kitplan demo

    Then copy one of the shoot files that come with it, change it, and plan your own:

    Example: kitplan plan my-show.yaml
    """
    from kitplan.cli.log import start_log

    start_log(is_verbose=is_verbose, path=log)


def run() -> None:
    """Run the command line; every way out ends here with its exit status."""
    if signal.getsignal(signal.SIGINT) is signal.SIG_DFL:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        status = _status()
        sys.stdout.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        status = 0
    _leave(status)


def _leave(status: int) -> NoReturn:
    """End, even while a solver that does not listen is still at work on a thread of its own: it
    would abort the process where Python takes itself apart.
    """
    if any(thread.daemon and thread.is_alive() for thread in threading.enumerate()):
        for stream in (sys.stdout, sys.stderr):
            with suppress(OSError, ValueError):
                stream.flush()
        os._exit(status)
    sys.exit(status)


def _status() -> int:
    from kitplan.errors import KitplanError

    try:
        app(prog_name="kitplan")
    except SystemExit as ending:
        return ending.code if isinstance(ending.code, int) else int(ending.code is not None)
    except KitplanError as error:
        return _refuse(error)
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        raise
    except OSError as error:
        if error.errno in (errno.ENAMETOOLONG, errno.ELOOP) and error.filename is not None:
            return _refuse_path(error)  # asking whether such a file exists is a fault already
        return _own_fault(error)
    except Exception as error:
        return _own_fault(error)
    return 0


def _refuse(error: Exception) -> int:
    """Say what is wrong with the input: one line per problem, then how many."""
    from kitplan.errors import BadInput

    typer.echo(str(error), err=True)
    if isinstance(error, BadInput):
        number = len(error.problems)
        typer.echo(f"{number} problem{'' if number == 1 else 's'} found.", err=True)
    return BAD_INPUT


def _refuse_path(error: OSError) -> int:
    name = str(error.filename)
    shown = name if len(name) <= MOST_OF_A_PATH else f"{name[:MOST_OF_A_PATH]}..."
    typer.echo(f"{shown}: {error.strerror}. Give another path", err=True)
    return BAD_INPUT


def _own_fault(error: Exception) -> int:
    import logging

    logging.getLogger("kitplan").error("the fault in full", exc_info=error)
    words = " ".join(str(error).split())[:MOST_WORDS] or "no more is known"
    typer.echo(
        f"kitplan met a fault of its own: {type(error).__name__}: {words}. "
        "Run it again with -v before the command and please report what it says.",
        err=True,
    )
    return OWN_FAULT
