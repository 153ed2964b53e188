"""From the kit of a plain file to an inventory, so that gear can be signed out of it.

The plain file stays as it is. The shoot file names the inventory from then on, every other byte of
it unchanged.
"""

from __future__ import annotations

import threading
from pathlib import Path
from tempfile import TemporaryDirectory

from kitplan.errors import KitplanError, SettingError
from kitplan.gear.kit import Kit
from kitplan.gear.store import Store
from kitplan.shoot.reading import kit_at
from kitplan.web.hall.inventory import inventory_of, line_of
from kitplan.web.project import Project
from kitplan.web.room.tree import Splice, Tree, flow, spliced

_ONE_AT_A_TIME = threading.Lock()


def can_start(project: Project) -> bool:
    """Whether the kit is a plain file that the shoot file itself names.

    Raises:
        BadInput: If the shoot file cannot be read.
    """
    return project.kit is None and inventory_of(project) is None


def start_inventory(project: Project, who: object) -> dict[str, str]:
    """Put the kit into an inventory beside the shoot file, which names it then.

    Args:
        who: Signs the change in the ledger.
    Returns:
        {"inventory": its file name}.
    Raises:
        SettingError: If there is an inventory already, or one cannot be made.
        ChangedMeanwhile: If the shoot file was saved by somebody else just now.
        BadInput: If shoot or kit cannot be read.
    """
    signer = line_of(who, "your name")
    with _ONE_AT_A_TIME:
        if not can_start(project):
            wrong = "there is no plain kit file here that the shoot file names"
            raise SettingError(wrong, where="the gear", fix="Load the page again")
        seen = project.shoot()
        tree = Tree(seen.text, project.shoot_path.name)
        node = tree.at(("kit",))
        plain = project.shoot_path.parent / node.value
        path = project.shoot_path.with_name(f"{plain.stem}.sqlite")
        if path.exists():
            fix = "Rename it, or write it into the shoot file as `kit`"
            raise SettingError(f"{path.name} is there already", where="the gear", fix=fix)
        named = Splice(node.start_mark.index, tree.end(node), flow(path.name))
        _fill(path, kit_at(plain), signer)
        try:
            project.save_shoot(spliced(seen.text, [named]), seen.digest)
        except KitplanError:
            path.unlink()
            raise
    return {"inventory": path.name}


def _fill(path: Path, kit: Kit, who: str) -> None:
    """Write an inventory that is whole or not there."""
    try:
        with TemporaryDirectory(prefix=".kitplan-", dir=path.parent) as folder:
            part = Path(folder) / path.name
            with Store.open(part, writing=True, who=who) as store:
                store.save_kit(kit, replace=False)
            part.replace(path)
    except OSError as error:
        wrong = f"{path.name} cannot be written ({error.strerror or error})"
        raise SettingError(wrong, where="the gear", fix="Check the folder") from error
