"""What people and the open lens data call a mount, as a name of the mount table."""

from __future__ import annotations

from functools import cache

from kitplan.tables import flange_mm_by_mount, table

_FILLER = ("-mount", " mount", " bayonet", " fit")


def own_name(name: str) -> str | None:
    """Return our name of a mount, or None where the table of mounts has no such one.

    A maker's name in front does not count: the longest run of last words that is known decides.
    """
    text = " ".join(name.casefold().split())
    for filler in _FILLER:
        text = text.removesuffix(filler)
    words = text.split()
    known = _names()
    for first in range(len(words)):
        found = known.get(" ".join(words[first:]))
        if found is not None:
            return found
    if len(words) == 1 and text.count("/") == 1:
        return known.get("/".join(part[:1] for part in text.split("/")))
    return None


@cache
def _names() -> dict[str, str]:
    """Return every known name in small letters, with ours."""
    found = {mount.casefold(): mount for mount in flange_mm_by_mount()}
    for mount, names in table("mount_names")["names"].items():
        found |= {name.casefold(): mount for name in names}
    return found
