"""What is framed: a subject at a shot size."""

from __future__ import annotations

from kitplan.gear.records import Record


class Framing(Record):
    """A subject at a shot size."""

    subject: str
    size: str
