"""The log: to the terminal with -v, to a file with --log; silent otherwise."""

from __future__ import annotations

import logging
from pathlib import Path

FORM = "%(asctime)s %(levelname)s %(message)s"


def start_log(*, is_verbose: bool, path: Path | None) -> None:
    """Send the log where it is wanted.

    Raises:
        SettingError: If the file cannot be written.
    """
    logger = logging.getLogger("kitplan")
    for handler in tuple(logger.handlers):
        logger.removeHandler(handler)
        handler.close()
    handlers: list[logging.Handler] = []
    if is_verbose:
        handlers.append(logging.StreamHandler())
        handlers[0].setLevel(logging.INFO)  # progress, a level lower, is on the terminal anyway
    if path is not None:
        handlers.append(_file(path))
    logger.setLevel(logging.DEBUG)
    logger.propagate = False
    for handler in handlers or [logging.NullHandler()]:
        handler.setFormatter(logging.Formatter(FORM))
        logger.addHandler(handler)


def _file(path: Path) -> logging.Handler:
    from kitplan.errors import SettingError

    try:
        return logging.FileHandler(path, encoding="utf-8")
    except OSError as error:
        raise SettingError(
            f"the log cannot be written ({error.strerror or error})",
            where="--log",
            fix="Give another file",
        ) from error
