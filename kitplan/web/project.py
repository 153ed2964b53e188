"""What one page works on: a shoot file, its plan beside it, the inventory. Nothing else is touched.

Whoever saves names the version that they have seen; what somebody else saved meanwhile is never
overwritten.
"""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from kitplan.errors import KitplanError
from kitplan.plan.files import read_plan
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.reading import read_brief
from kitplan.sources import read_text, write_text


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
        return read_brief(self.shoot_path, self.kit, self.db)

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
        path = self.plan_folder / f"{self.shoot_id}.json"
        return read_plan(path) if path.exists() else None
