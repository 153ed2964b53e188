"""What is over: the passes that have been shot, what stood in them, what each camera has got.

A plan keeps it in its shoot once something has happened; nobody writes it by hand. What stood
cannot be changed any more, and what was not got counts for nothing.
"""

from __future__ import annotations

from kitplan.gear.records import Id, Name, Record


class WasHeld(Record):
    """What a camera held in a song of a pass that is over, or for a moment of it."""

    song: Id
    moment: Name | None = None
    """None where it is what the camera held throughout."""
    subject: Id
    size: str


class Stood(Record):
    """A camera of a pass that is over, in units, and the songs that it has not got."""

    in_pass: Id
    position: Id
    letter: Name
    body: Id
    mode: Name
    lens: Id | None
    adapter: Id | None
    head: Id | None
    support: Id
    operator: Id | None
    subject: Id
    size: str
    roles: tuple[Id, ...]
    menu: tuple[tuple[Id, str], ...]
    batteries: tuple[Id, ...]
    cards: tuple[Id, ...]
    accessories: tuple[Id, ...]
    missed: tuple[Id, ...] = ()
    """Ids of songs: spoiled, or not run."""
    held: tuple[WasHeld, ...] = ()
    """What its shot sheet said; its main shot in songs that are not listed."""

    @property
    def rig(self) -> tuple[str, ...]:
        """Ids of the units of its rig."""
        parts = (self.support, self.head, self.body, self.adapter, self.lens)
        return tuple(unit for unit in parts if unit is not None)


class Past(Record):
    """The passes that are over, and what has happened in them and since."""

    passes: tuple[Id, ...] = ()
    stood: tuple[Stood, ...] = ()
    lost_units: tuple[Id, ...] = ()
    """Units that were there and are not any more."""

    def is_over(self, pass_id: str) -> bool:
        """Whether a pass is over."""
        return pass_id in self.passes

    def stood_in(self, pass_id: str) -> tuple[Stood, ...]:
        """The cameras of a pass that is over."""
        return tuple(each for each in self.stood if each.in_pass == pass_id)

    def stood_with(self, pass_id: str, body: str) -> Stood | None:
        """The camera of a pass that is over with a body, by unit id; None where there is none."""
        return next((each for each in self.stood_in(pass_id) if each.body == body), None)

    def lacks(self, pass_id: str, song_id: str) -> bool:
        """Whether no camera of a pass that is over has got a song."""
        return self.is_over(pass_id) and all(
            song_id in each.missed for each in self.stood_in(pass_id)
        )
