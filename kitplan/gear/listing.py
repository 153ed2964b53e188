"""Lists of gear as CSV, for spreadsheets and people outside the crew."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

from kitplan.gear.cells import csv_cell

BYTE_ORDER_MARK = "\ufeff"
"""Tells spreadsheets that the text is UTF-8."""


def csv_text(headers: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Return a table as CSV; no cell of it is taken for a formula, nothing is an empty cell."""
    stream = StringIO(newline="")
    writer = csv.writer(stream)
    writer.writerow(headers)
    writer.writerows(
        ["" if value is None or value == () else csv_cell(value) for value in row] for row in rows
    )
    return stream.getvalue()
