"""The one reader of the files that ship with the program: shared/, catalog/, scenarios/.

Installed from a wheel they lie in `kitplan/_bundled`; in a checkout they lie beside the package.
"""

from __future__ import annotations

from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from kitplan.errors import TableError

_BUNDLED = Path(__file__).parent / "_bundled"
_CHECKOUT = Path(__file__).parent.parent


def folder(name: str) -> Path:
    """Return the folder `shared`, `catalog` or `scenarios`.

    Raises:
        TableError: If the installation lacks it.
    """
    for root in (_BUNDLED, _CHECKOUT):
        if (root / name).is_dir():
            return root / name
    raise TableError(
        f"the folder {name} is missing", where="installation", fix="Install kitplan again"
    )


@cache
def table(name: str) -> dict[str, Any]:
    """Return one table of shared/ as plain values. Treat it as read-only.

    Raises:
        TableError: If there is no such table, or it is not YAML.
    """
    from ruamel.yaml import YAML
    from ruamel.yaml.error import YAMLError

    path = folder("shared") / f"{name}.yaml"
    try:
        found = YAML(typ="safe", pure=True).load(path.read_text(encoding="utf-8"))
    except (OSError, YAMLError) as error:
        raise TableError(
            f"cannot be read ({error})", where=str(path), fix="Install kitplan again"
        ) from error
    assert isinstance(found, dict)  # the tables are ours; a test reads every one of them
    return found


@cache
def tables_hash() -> str:
    """Return a hash over all tables of shared/, so that a plan can say what it was made with."""
    digest = sha256()
    for path in sorted(folder("shared").glob("*.yaml")):
        digest.update(path.name.encode())
        digest.update(path.read_bytes().replace(b"\r\n", b"\n"))
    return digest.hexdigest()[:16]


def flange_mm_by_mount() -> dict[str, float]:
    """Return the register of every mount of the reference table in mm."""
    return dict(table("mounts")["flange_mm"])


def taken_mounts() -> dict[str, tuple[str, ...]]:
    """Return the further lens mounts that a body mount takes without a ring."""
    return {mount: tuple(lenses) for mount, lenses in table("mounts")["takes"].items()}


def scenario(name: str) -> Path:
    """Return the path of a bundled shoot file by its name without ending."""
    return folder("scenarios") / f"{name}.yaml"
