"""What a camera card is made of beside its own text: styles, scripts, type.

All of it lies under an address with a digest, which never means anything else: a browser may keep
it as long as the card, without asking, and so the card looks the same without network.
"""

from __future__ import annotations

from functools import cache
from hashlib import sha256
from importlib.resources import files

from kitplan.paper.drawings.text import font_files
from kitplan.paper.pack.out.page import styles

MEDIA_TYPES = {"css": "text/css", "js": "text/javascript", "ttf": "font/ttf"}
OWN = ("card.css", "card.js", "card-kept.js")


@cache
def parts() -> dict[str, bytes]:
    """Return the parts by name."""
    static = files("kitplan.web") / "static"
    return {
        "papers.css": styles().encode(),
        **{name: static.joinpath(name).read_bytes() for name in OWN},
        **{f"{weight}.ttf": font_files()[weight].read_bytes() for weight in ("regular", "bold")},
    }


@cache
def digest() -> str:
    """Return what tells these parts from those of every other version."""
    told = sha256()
    for name, content in parts().items():
        told.update(name.encode() + content)
    return told.hexdigest()[:16]


def media_type(name: str) -> str:
    """Return what a part is sent as."""
    return MEDIA_TYPES[name.rpartition(".")[2]]
