"""What stands in the code of a label, and the code as black and white modules.

A code holds the id of the unit and nothing else: owner, case and condition change while the label
stays on. `kitplan:unit/ID` is for scanners; with the address of the page that `kitplan serve`
opens, `http://HOST:PORT/gear/u/ID`, a phone's camera leads straight to the unit. Both are
understood. Error correction is at least M (15 % of the code may be damaged), which is usual for
things that are handled. Ids are plain ASCII without spaces, so that every reader agrees on the
characters.
"""

from __future__ import annotations

import re
from functools import cache

from kitplan.errors import SettingError
from kitplan.gear.counting import CODE, PATH, id_in, path_of

QUIET = 4
"""Modules that stay white on every side of a code (ISO/IEC 18004)."""
LEAST_MODULE_MM = 0.33
"""Four dots of a printer with 300 dots an inch: the usual recommendation for sure reading."""
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._/+-]{0,59}")
_HOST = r"(?:[A-Za-z0-9][A-Za-z0-9.-]{0,120}|\[[0-9A-Fa-f:.]{2,45}\])(?::[0-9]{1,5})?"
_ADDRESS = re.compile(rf"https?://{_HOST}")
_PAGE = re.compile(rf"https?://{_HOST}{PATH}(.+)", re.IGNORECASE)

Modules = tuple[tuple[bool, ...], ...]


def code_of(unit_id: str, address: str = "") -> str:
    """Return what the code on the label of a unit says: 'kitplan:unit/card-128-1', or where it
    stands on the page at an address.
    """
    return f"{address}{path_of(unit_id)}" if address else f"{CODE}{unit_id}"


def unit_of(code: str) -> str | None:
    """Return the id of the unit that a code stands for; None for a code of something else."""
    page = _PAGE.fullmatch(code)
    found = id_in(page[1]) if page else code.removeprefix(CODE)
    return found if found != code and _ID.fullmatch(found) else None


def address_of(text: str) -> str:
    """Return the address of a page as it stands in codes: 'http://192.168.1.20:8047'.

    Raises:
        SettingError: If it is no such address.
    """
    address = text.strip().rstrip("/")
    if not _ADDRESS.fullmatch(address):
        raise SettingError(
            "that is no address of a page",
            where="--address",
            fix="Give it as `kitplan serve --lan` shows it, such as http://192.168.1.20:8047",
        )
    return address


@cache
def modules_of(unit_id: str, address: str = "") -> Modules:
    """Return the code of a unit in rows of modules, True for black, without the quiet zone."""
    import segno

    made = segno.make(code_of(unit_id, address), error="m", micro=False)
    return tuple(tuple(bool(module) for module in row) for row in made.matrix)


def svg_of(unit_id: str, address: str = "") -> str:
    """Return the code of a unit with its quiet zone as SVG, one unit a module."""
    rows = modules_of(unit_id, address)
    side = len(rows) + 2 * QUIET
    path = "".join(
        f"M{QUIET + start} {QUIET + y}h{end - start}v1h-{end - start}z"
        for y, row in enumerate(rows)
        for start, end in _runs(row)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{side}" height="{side}" '
        f'viewBox="0 0 {side} {side}"><path d="{path}"/></svg>'
    )


def _runs(row: tuple[bool, ...]) -> list[tuple[int, int]]:
    """Return where black begins and ends in a row."""
    edges = [
        at for at in range(len(row) + 1) if (at > 0 and row[at - 1]) != (at < len(row) and row[at])
    ]
    return list(zip(edges[::2], edges[1::2], strict=True))
