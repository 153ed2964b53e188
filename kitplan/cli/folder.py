"""A folder of papers: written as a whole, and cleared of papers that are void.

`.kitplan-papers` in it says what was written, and from what. A paper of another plan, or one in
another setting, is taken away by the next run: nobody may hold a stale card for a current one.
A file that was changed since by other hands is never taken away, and one that no run wrote is never
written over.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import Any

from kitplan.errors import SettingError

RECORD = ".kitplan-papers"
"""JSON, but not by name: the folder may be that of the plan, which is found as its only .json."""


def write_all(folder: Path, contents: Mapping[str, bytes], key: str) -> list[Path]:
    """Write files into a folder, all or none, and return the paths of those that were void.

    Args:
        key: Of whatever makes papers belong together: the mark of their plan and their setting.
    Raises:
        SettingError: If they cannot be written, or would replace what is not a paper of ours.
    """
    before = _read(folder)
    for name in contents:
        if name not in before["files"] and (folder / name).is_file():
            raise SettingError(
                "it is there already, and not known to be a paper of kitplan",
                where=str(folder / name),
                fix="Take it away, or choose another folder with --out",
            )
    kept = before["files"] if before["key"] == key else {}
    void = [] if before["key"] == key else _void(folder, before["files"], contents)
    made = {name: sha256(content).hexdigest() for name, content in contents.items()}
    record = {"key": key, "files": dict(sorted({**kept, **made}.items()))}
    # The record goes first: a run that is broken off leaves no paper that the next does not know.
    everything = {RECORD: json.dumps(record, indent=1).encode(), **contents}
    parts = {folder / name: folder / f"{name}.part" for name in everything}
    path = folder
    try:
        for (path, part), content in zip(parts.items(), everything.values(), strict=True):
            if path.is_dir():
                raise IsADirectoryError(None, "a folder stands in its place")
            part.write_bytes(content)
        for path in void:
            path.unlink()
        for path, part in parts.items():
            part.replace(path)
    except OSError as error:
        raise SettingError(
            f"the paper cannot be written ({error.strerror or error})",
            where=str(path),
            fix="Close it if it is open, or choose another folder with --out",
        ) from error
    finally:
        for part in parts.values():
            with suppress(OSError):
                part.unlink(missing_ok=True)
    return void


def _void(folder: Path, files: Mapping[str, str], coming: Mapping[str, bytes]) -> list[Path]:
    """Return the files of an earlier run that nothing replaces and nobody changed."""
    return [
        folder / name
        for name, digest in files.items()
        if name not in coming and _digest(folder / name) == digest
    ]


def _read(folder: Path) -> dict[str, Any]:
    """What an earlier run wrote down; nothing where there was none or it cannot be read."""
    try:
        found = json.loads((folder / RECORD).read_bytes())
        files = {str(name): str(digest) for name, digest in found["files"].items()}
        names_only = all(Path(name).name == name for name in files)
        return {"key": str(found["key"]), "files": files if names_only else {}}
    except (OSError, ValueError, TypeError, KeyError, AttributeError):
        return {"key": "", "files": {}}


def _digest(path: Path) -> str:
    try:
        return sha256(path.read_bytes()).hexdigest()
    except OSError:
        return ""
