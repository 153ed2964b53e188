"""What the checker says: a fault of a rule, and a finding, which is a fault at its place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


class Fault(NamedTuple):
    """A rule that does not hold: its slug, what is wrong with figures, what would be right."""

    rule: str
    wrong: str
    right: str

    def at(self, where: str) -> Finding:
        """Return the same as a finding at a place."""
        return Finding(self.rule, where, self.wrong, self.right)


@dataclass(frozen=True)
class Finding:
    """Something in a plan that does not hold."""

    rule: str
    """Short name of the rule, such as `payload`."""
    where: str
    """Pass, position and camera, or the part of the plan: 'show, gallery-left, camera B'."""
    wrong: str
    right: str

    def __str__(self) -> str:
        return f"{self.where}: {self.wrong}. {self.right} [{self.rule}]"
