"""A small shoot on two days whose one battery and few cards go round, with sound.

One camera, in the run and the show of the first evening and again a day later, 20 minutes each. A
cell lasts 36 * 0.7 = 25.2 minutes, its charger takes an hour; a card holds all. Sound: a recorder
on batteries with two microphones that need phantom power.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from kitplan.gear.kit import Kit
from kitplan.gear.records import Battery, Sound
from kitplan.plan.records import Plan
from kitplan.produce.day import with_supplies
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass
from kitplan.shoot.working import SoundSetup
from tests.small import (
    at,
    body,
    card,
    charger,
    position,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
)

RUN, SHOW, LATER = "small/run", "small/show", "small/later"


def recorder(**facts: Any) -> Sound:
    """Return a recorder of two channels: 100 * 0.7 = 70 minutes from a cell, 4 Mb/s."""
    given: dict[str, Any] = {
        "what": "recorder",
        "channels": 2,
        "battery": "rec-cell",
        "battery_min": 100,
        "card_type": "sd",
        "bit_rate_mbps": 4,
    }
    return Sound(id="rec", name="recorder", **{**given, **facts})


def microphone(**facts: Any) -> Sound:
    """Return a microphone that needs phantom power."""
    return Sound(id="mic", name="microphone", what="microphone", **{"needs_phantom": True, **facts})


def setup(**facts: Any) -> SoundSetup:
    """Return a setup of the recorder with two microphones."""
    given = {"id": "room", "recorder": "rec", "sources": ("mic", "mic"), "at": "the gallery"}
    return SoundSetup(**{**given, **facts})


def kit(*items: Any, **counts: int) -> Kit:
    """Return one camera with one cell and a charger, three cards, and the sound."""
    given = (
        body(battery_min=36),
        charger(),
        card(capacity_gb=128),
        Battery(id="rec-cell", name="recorder cell"),
        recorder(),
        microphone(),
    )
    numbers = {"cam": 1, "cell": 1, "card": 3, "mic": 2, "rec-cell": 1, "legs": 1, **counts}
    return small_kit(*given, *items, counts=numbers)


def later() -> Pass:
    """Return a second show, on the day after."""
    return show(id="later", start=at(20, day=2), doors=at(19, day=2), is_master=False)


def brief(own_kit: Kit | None = None, **parts: Any) -> Brief:
    """Return the shoot; every part can be replaced."""
    given: dict[str, Any] = {
        "passes": (run(), show(), later()),
        "positions": (position("front"),),
        "sound": (setup(),),
        "roles": (role(in_passes="every"),),
    }
    return small_brief(own_kit or kit(), **{**given, **parts})


@cache
def placed() -> Plan:
    """Return the plan without a day."""
    return solve(brief())


@cache
def supplied() -> Plan:
    """Return the plan with its sound, power and media."""
    return with_supplies(placed())
