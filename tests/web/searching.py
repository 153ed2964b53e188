"""Searches that take no time, for processes of their own."""

from __future__ import annotations

import os
import time
from dataclasses import dataclass
from typing import Any, ClassVar

from kitplan.errors import SettingError
from kitplan.web.searches import Tell


@dataclass(frozen=True)
class Waiting:
    """Waits until it is stopped, or for something to happen to it."""

    kind: ClassVar[str] = "plan"
    then: str = "result"

    def run(self, tell: Tell) -> dict[str, Any]:
        """Tell of a goal, wait for a stop, tell that, and come to an end."""
        tell("stage", "searching")
        tell("goal", {"goal": "wants", "best": 3.0, "bound": 5.0})
        tell("note", f"at work as {os.getpid()}")
        if self.then == "dies":
            os._exit(7)
        if self.then == "fault":
            raise ZeroDivisionError("a fault")
        if self.then == "refused":
            raise SettingError("it is too large", where="the shoot", fix="Make it smaller")
        try:
            time.sleep(60)
        except KeyboardInterrupt:
            if self.then == "nothing":
                raise
        return {"status": "stopped-early"}
