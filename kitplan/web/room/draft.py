"""A shoot file with steps that are not saved yet: checked in memory, then written as text.

The page keeps its steps and the version that they start from; going back a step is leaving it out.
So versions that pages start from are kept for a while, also after the file has become another.
"""

from __future__ import annotations

from codecs import BOM_UTF8
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock

from kitplan.errors import BadInput, KitplanError, Problem
from kitplan.gear.kit import Kit
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.every import problems
from kitplan.shoot.reading import read_brief
from kitplan.shoot.records import Shoot
from kitplan.sources import Document, build, parse_yaml, read_bytes
from kitplan.web.project import ChangedMeanwhile, Project, Version, version_of
from kitplan.web.room.applying import applied, as_meant
from kitplan.web.room.operations import Operation, Operations
from kitplan.web.room.writing import written
from kitplan.wording import file_name

MOST_KEPT = 40


class Unwritable(KitplanError):
    """The text of the file is formed so that a change cannot be put into it safely."""


@dataclass(frozen=True)
class Base:
    """A version of a shoot file, read and checked."""

    version: Version
    document: Document
    kit: Kit

    def brief(self, steps: Sequence[Operation]) -> tuple[Brief, tuple[Problem, ...]]:
        """Return shoot and kit after some steps, and what does not fit together in them.

        Raises:
            BadInput: If a step cannot be done, or a record would be wrong for itself.
        """
        document = self.document
        data = applied(document, steps)
        after = Document(document.file, data, document.lines, document.texts)
        brief = Brief(build(Shoot, after), self.kit)
        return brief, tuple(problems(brief, after.line_of, after.file))

    def text(self, steps: Sequence[Operation]) -> str:
        """Return the text of the file after some steps; it reads as it should.

        Raises:
            BadInput: If a step cannot be done.
            Unwritable: If the text is formed so that it would come out wrong.
        """
        text = written(self.document, self.version.text, steps)
        try:
            after = as_meant(parse_yaml(text, self.document.file))
            is_right = after == applied(self.document, steps)
        except BadInput:
            is_right = False
        if not is_right:
            raise Unwritable(
                "the file is formed so that the page cannot put these changes into it",
                where=self.document.file,
                fix="Make them by hand, or take them back",
            )
        return text


def _as_on_disk(path: Path, text: str) -> str:
    """Return a text with the byte-order mark and the ends of lines that a file has."""
    raw = read_bytes(path)
    if raw.count(b"\r\n") * 2 > raw.count(b"\n"):
        text = text.replace("\n", "\r\n")
    return f"\ufeff{text}" if raw.startswith(BOM_UTF8) else text


@dataclass
class Drafts:
    """What is being changed in a project."""

    project: Project
    _bases: OrderedDict[str, Base] = field(default_factory=OrderedDict)
    _lock: Lock = field(default_factory=Lock)

    def now(self) -> Base:
        """Return the file as it is on disk.

        Raises:
            BadInput: With everything that is wrong in it.
        """
        project, version = self.project, self.project.shoot()
        brief = read_brief(project.shoot_path, project.kit, project.db, text=version.text)
        document = parse_yaml(version.text, file_name(project.shoot_path))
        return self._kept(Base(version, document, brief.kit))

    def base(self, digest: str) -> Base:
        """Return a version that some page starts from.

        Raises:
            ChangedMeanwhile: If it is not known any more.
        """
        with self._lock:
            found = self._bases.get(digest)
        if found is None:
            found = self.now()
        if found.version.digest != digest:
            raise ChangedMeanwhile(
                "the file is another by now",
                where=self.project.shoot_path.name,
                fix="Load it again; what you changed is still on your page",
            )
        return found

    def brief(self, asked: Operations) -> tuple[Brief, tuple[Problem, ...]]:
        """Return shoot and kit after the steps of a page, and what has to be put right before they
        can be saved: with the lines that the text would have.

        Raises:
            BadInput: If a step cannot be done, or a record would be wrong for itself.
            ChangedMeanwhile: If the version that they start from is not known any more.
        """
        base = self.base(asked.base)
        try:
            brief, found = base.brief(asked.steps)
        except BadInput as error:
            raise BadInput(list(self._with_lines(base, asked, error.problems))) from error
        return brief, self._with_lines(base, asked, found) if found else found

    def checked(self, asked: Operations) -> Brief:
        """Return shoot and kit after the steps of a page.

        Raises:
            BadInput: With everything that is wrong then.
            ChangedMeanwhile: If the version that they start from is not known any more.
        """
        brief, found = self.brief(asked)
        if found:
            raise BadInput(list(found))
        return brief

    def save(self, asked: Operations, seen: str) -> Version:
        """Write the file with the steps of a page.

        Args:
            seen: Digest of the version that the page takes for the one on disk.
        Raises:
            BadInput: If what would be written does not read; nothing is written.
            ChangedMeanwhile: If the file on disk is another than the one seen.
            Unwritable: If the text is formed so that the page cannot change it.
        """
        project, base = self.project, self.base(asked.base)
        text = base.text(asked.steps)
        brief = read_brief(project.shoot_path, project.kit, project.db, text=text)
        with self._lock:
            project.save_shoot(_as_on_disk(project.shoot_path, text), seen)
        version = version_of(text)
        document = parse_yaml(version.text, base.document.file)
        return self._kept(Base(version, document, brief.kit)).version

    def _with_lines(
        self, base: Base, asked: Operations, found: tuple[Problem, ...]
    ) -> tuple[Problem, ...]:
        """Return faults with the lines of the text as it would be, where it can be made."""
        project = self.project
        try:
            text = base.text(asked.steps)
            read_brief(project.shoot_path, project.kit, project.db, text=text)
        except BadInput as error:
            return error.problems
        except KitplanError:
            pass
        return found

    def _kept(self, base: Base) -> Base:
        with self._lock:
            self._bases[base.version.digest] = base
            self._bases.move_to_end(base.version.digest)
            while len(self._bases) > MOST_KEPT:
                self._bases.popitem(last=False)
        return base
