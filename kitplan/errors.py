"""Errors that the user can act on: where it is, what is wrong, what would be right.

Every error a command may show derives from `KitplanError`; the command line turns it into an
exit status. A file with several faults is reported as one `BadInput` that carries them all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class KitplanError(Exception):
    """Base of every error the user can act on."""

    def __init__(self, problem: str, *, where: str, fix: str) -> None:
        super().__init__(f"{where}: {problem}. {fix}")
        self.problem, self.where, self.fix = problem, where, fix


class TableError(KitplanError):
    """A reference table that ships with the program cannot be read."""


class StoreError(KitplanError):
    """The inventory cannot do what was asked (unknown id, id already taken, newer schema ...)."""


class NotFree(StoreError):
    """Units cannot be had on the days that are asked for: somebody or something has them."""

    def __init__(self, reasons: Sequence[str], *, where: str, fix: str) -> None:
        super().__init__("; ".join(reasons), where=where, fix=fix)
        self.reasons = tuple(reasons)


class PlanFileError(KitplanError):
    """A plan file cannot be read or was written by a newer version."""


class SettingError(KitplanError):
    """A command's option or environment variable does not make sense."""


@dataclass(frozen=True, order=True)
class Problem:
    """One fault in the input: `file:line: what is wrong. what would be right`."""

    file: str
    line: int
    wrong: str
    right: str

    def __str__(self) -> str:
        where = f"{self.file}:{self.line}" if self.line else self.file
        return f"{where}: {self.wrong}. {self.right}"


class BadInput(KitplanError):
    """Everything that is wrong with the input, in one list, sorted by file and line."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = tuple(sorted(set(problems)))
        first = self.problems[0]
        where = f"{first.file}:{first.line}" if first.line else first.file
        super().__init__(first.wrong, where=where, fix=first.right)

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)
