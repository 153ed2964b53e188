"""What one page works on: a shoot file, its plan beside it, the inventory. Nothing else is touched.

Whoever saves names the version that they have seen; what somebody else saved meanwhile is never
overwritten.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from kitplan.errors import BadInput, KitplanError
from kitplan.plan.files import read_plan
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.reading import brief_with, default_inventory, read_brief, read_shoot
from kitplan.shoot.records import Shoot
from kitplan.sources import Document, read_text, write_text


class ChangedMeanwhile(KitplanError):
    """Somebody else has saved the file since it was read."""


@dataclass(frozen=True)
class Version:
    """The text of a file, and a digest that tells it from every other."""

    text: str
    digest: str


def version_of(text: str) -> Version:
    """Return a text with its digest."""
    return Version(text, sha256(text.encode()).hexdigest()[:24])


def stamp_of(path: Path) -> str | None:
    """Return what tells this state of a file from every other, unread; None without the file."""
    try:
        seen = path.stat()
    except OSError:
        return None
    return f"{seen.st_mtime_ns:x}-{seen.st_size:x}-{seen.st_ino:x}"


@dataclass(frozen=True)
class Project:
    """The files of one shoot."""

    shoot_path: Path
    plan_folder: Path
    db: Path | None = None
    """Inventory to plan with; None for the kit that the shoot names, or the user's own."""
    kit: Path | None = None

    @property
    def shoot_id(self) -> str:
        """Id of the shoot: the name of its file."""
        return self.shoot_path.stem

    def shoot(self) -> Version:
        """Return the shoot file as it is now.

        Raises:
            BadInput: If it cannot be read.
        """
        return version_of(read_text(self.shoot_path))

    def brief(self) -> Brief:
        """Return shoot and kit, checked.

        Raises:
            BadInput: With everything that is wrong.
        """
        with _READING:  # thirty phones at once: one reads, the others have it then
            kept = _BRIEFS.get(self)
            if kept is not None and kept.is_fresh:
                return kept.brief
            start_ns = time.time_ns()
            brief = self._read()
            paths = tuple(self._files_of(brief))
            stamps = _stamps(paths)
            if all(mtime_ns < start_ns for _, mtime_ns, _, _ in stamps):  # else it may be older
                _BRIEFS.clear()
                _BRIEFS[self] = _Kept(brief, paths, stamps)
            return brief

    def _read(self) -> Brief:
        try:
            shoot, document = _shoot_at(self.shoot_path, stamp_of(self.shoot_path))
        except BadInput:  # what is wrong with the kit belongs to the list
            return read_brief(self.shoot_path, self.kit, self.db)
        return brief_with(self.shoot_path, shoot, document, self.kit, self.db)

    def _files_of(self, brief: Brief) -> Iterator[Path]:
        """Yield the files and folders that shoot and kit were read from."""
        yield self.shoot_path
        if self.kit is not None:
            yield self.kit
            yield self.kit.with_name(f"{self.kit.name}-wal")
        elif self.db is not None:
            yield self.db
            yield self.db.with_name(f"{self.db.name}-wal")
        elif brief.shoot.kit is not None:
            named = self.shoot_path.parent / brief.shoot.kit
            yield named
            yield named.with_name(f"{named.name}-wal")
        else:
            yield default_inventory()
            yield default_inventory().with_name(f"{default_inventory().name}-wal")

    def save_shoot(self, text: str, seen: str) -> Version:
        """Write the shoot file and return its new version.

        Args:
            seen: Digest of the version that was changed.
        Raises:
            ChangedMeanwhile: If the file is another by now; nothing is written.
            SettingError: If it cannot be written.
        """
        now = self.shoot()
        if now.digest != seen:
            raise ChangedMeanwhile(
                "somebody else has saved it since you opened it",
                where=self.shoot_path.name,
                fix="Load it again; what you changed is still on your page",
            )
        write_text(self.shoot_path, text)
        return version_of(text)

    def plan(self) -> Plan | None:
        """Return the plan of the shoot; None where none was made yet.

        Raises:
            PlanFileError: If it cannot be read.
        """
        stamp = self.plan_stamp()
        return None if stamp is None else _plan_at(self.plan_path, stamp)

    @property
    def plan_path(self) -> Path:
        """Where the plan lies, once there is one."""
        return self.plan_folder / f"{self.shoot_id}.json"

    def plan_stamp(self) -> str | None:
        """Return what tells this state of the plan file from every other; None without a plan."""
        return stamp_of(self.plan_path)


@dataclass(frozen=True)
class _Kept:
    """A brief, and the state of the files that it was read from."""

    brief: Brief
    paths: tuple[Path, ...]
    stamps: tuple[tuple[str, int, int, int], ...]

    @property
    def is_fresh(self) -> bool:
        """Whether none of them has changed."""
        return _stamps(self.paths) == self.stamps


_BRIEFS: dict[Project, _Kept] = {}
"""The brief read last. Measured: reading one takes 0.1 s and more, and every page asks for it."""
_READING = threading.Lock()


def _stamps(paths: tuple[Path, ...]) -> tuple[tuple[str, int, int, int], ...]:
    """Return what tells this state of some files, and of all files in some folders, from others."""
    found = []
    for path in paths:
        inside = sorted(path.rglob("*")) if path.is_dir() else []
        for each in (path, *inside):
            with suppress(OSError):
                seen = each.stat()
                found.append((str(each), seen.st_mtime_ns, seen.st_size, seen.st_ino))
    return tuple(found)


@lru_cache(maxsize=2)
def _shoot_at(path: Path, stamp: str | None) -> tuple[Shoot, Document]:  # noqa: ARG001
    """Return a shoot, read once for each state of its file: an inventory changes more often."""
    return read_shoot(path)


@lru_cache(maxsize=2)
def _plan_at(path: Path, stamp: str) -> Plan:  # noqa: ARG001  (the key of what is kept)
    """Return a plan, read once for each state of its file: thirty phones ask for the same one."""
    return read_plan(path)
