"""Who has given the code, for how long, and how often somebody may guess.

The code has eight letters out of 32, so guessing is hopeless as long as it is slow: a wrong code
costs a pause, some wrong ones from one address a lock-out of that address, many in all a lock-out
of everybody who is not inside yet.
"""

from __future__ import annotations

import hmac
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from ipaddress import ip_address, ip_network

SESSION_S = 12 * 3600.0
"""A shoot day."""
MOST_SESSIONS = 200
PAUSE_S = 0.5
MOST_WRONG, MOST_WRONG_IN_ALL = 5, 400
"""All together they get 40,000 guesses a day, of 10^12: enough that a few jokers in the hall do not
lock the crew out, and still hopeless."""
LOCKED_S = 900.0
CODE_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
"""Without those that look alike."""
CODE_LENGTH = 8


def new_code() -> str:
    """Return a code that nobody can guess."""
    return "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))


@dataclass
class Sessions:
    """Who may come in."""

    code: str | None
    """None where no code is asked for."""
    clock: Callable[[], float] = time.monotonic
    _ends: dict[str, float] = field(default_factory=dict)
    _wrong: list[tuple[float, str]] = field(default_factory=list)
    """When which address gave a wrong code; those of the last minutes, so never many."""

    def enter(self, code: str, address: str = "") -> str | None:
        """Return the key of a new session; None where the code is wrong, or nobody may try."""
        if self.code is None or self.locked_s(address) > 0:
            return None
        now, address = self.clock(), network_of(address)
        if not hmac.compare_digest(_plain(code).encode(), self.code.encode()):
            self._wrong.append((now, address))
            return None
        self._ends = {key: end for key, end in self._ends.items() if end > now}
        while len(self._ends) >= MOST_SESSIONS:
            self._ends.pop(min(self._ends, key=self._ends.__getitem__))
        key = secrets.token_urlsafe(24)
        self._ends[key] = now + SESSION_S
        return key

    def locked_s(self, address: str) -> float:
        """Return for how many seconds an address may not try again."""
        now, address = self.clock(), network_of(address)
        self._wrong = [each for each in self._wrong if each[0] > now - LOCKED_S]
        own = [at for at, who in self._wrong if who == address]
        everybody = [at for at, _ in self._wrong]
        for times, most in ((own, MOST_WRONG), (everybody, MOST_WRONG_IN_ALL)):
            if len(times) >= most:
                return times[-most] + LOCKED_S - now
        return 0.0

    def knows(self, key: str | None) -> bool:
        """Whether somebody may come in."""
        return self.code is None or self._ends.get(key or "", 0.0) > self.clock()


def network_of(address: str) -> str:
    """Return what counts as one address: of the long kind anybody has as many as they like, but all
    in one network.
    """
    try:
        known = ip_address(address.partition("%")[0])
    except ValueError:
        return address
    return str(ip_network(f"{known}/64", strict=False)) if known.version == 6 else address


def _plain(code: str) -> str:
    """Return a code as it is compared: people put in blanks, dashes and small letters."""
    return "".join(code.split()).replace("-", "").upper()
