"""What is to be printed: the setting that was asked for, the plan as it is now."""

from __future__ import annotations

import os
from collections.abc import Mapping
from contextlib import suppress
from typing import Any, get_args

from kitplan.errors import SettingError
from kitplan.paper.pack.beside import ANSWERS
from kitplan.paper.pack.setting import Clock, PaperSize, Setting, Units, usual
from kitplan.web.press import Kind, Order
from kitplan.web.project import Project

CHOICES: dict[str, tuple[str, ...]] = {
    "paper": get_args(PaperSize),
    "units": get_args(Units),
    "clock": get_args(Clock),
}


def setting_of(asked: Mapping[str, Any]) -> Setting:
    """Return how papers are printed: what is asked for, else what is usual in this land.

    Raises:
        SettingError: If it asks for something else than there is.
    """
    land = usual(os.environ)
    chosen = {}
    for name, choices in CHOICES.items():
        value = asked.get(name, getattr(land, name))
        if value not in choices:
            fix = f"Choose {' or '.join(choices)}"
            raise SettingError("there is no such setting", where=name, fix=fix)
        chosen[name] = value
    return Setting(**chosen)


def order_of(project: Project, kind: Kind, setting: Setting) -> Order | None:
    """Return the order for the plan as it is now; None without a plan."""
    stamp = project.plan_stamp()
    if stamp is None:
        return None
    for answer in ANSWERS:
        beside = project.plan_path.with_name(f"{project.plan_path.stem}-{answer}.json")
        with suppress(OSError):
            seen = beside.stat()
            stamp = f"{stamp}-{seen.st_mtime_ns:x}-{seen.st_size:x}"
    return Order(kind, project.plan_path, stamp, setting)
