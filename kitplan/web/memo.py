"""Answers about the plan, worked out once for each state of its file."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

T = TypeVar("T")


class Memo:
    """Keeps answers as long as the plan is the same. Threads that ask for the same thing at the
    same time wait for one answer instead of each working it out.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._stamp: str | None = None
        self._slots: dict[Hashable, _Slot] = {}

    def get(self, stamp: str, key: Hashable, work: Callable[[], T]) -> T:
        """Return the answer kept under a key, worked out first where there is none.

        Args:
            stamp: State of the plan; another one than last time, and everything is forgotten.
        """
        with self._lock:
            if stamp != self._stamp:
                self._stamp, self._slots = stamp, {}
            slot = self._slots.setdefault(key, _Slot())
        with slot.lock:
            if not slot.is_filled:
                try:
                    slot.value, slot.is_filled = work(), True
                finally:
                    if not slot.is_filled:
                        self._forget(key, slot)
            found: T = slot.value
            return found

    def _forget(self, key: Hashable, slot: _Slot) -> None:
        """Forget a question that has no answer: there is no end of those."""
        with self._lock:
            if self._slots.get(key) is slot:
                del self._slots[key]


class _Slot:
    """Room for one answer."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.value: Any = None
        self.is_filled = False
