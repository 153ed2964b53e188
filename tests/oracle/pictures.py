"""Which framings of a placement another one of its pass spoils, by standing in the picture."""

from __future__ import annotations

from dataclasses import dataclass

from kitplan.plan.verify import REFUSED, Scene, Setup, level_in_picture, sizes_of, view_of


@dataclass(frozen=True)
class Pictures:
    """Framings are bits, one for each pair of a subject and a size."""

    scene: Scene
    pairs: tuple[tuple[str, str], ...]
    _known: dict[tuple[str, str, object], int]

    def spoilt(self, setup: Setup, other: Setup) -> int:
        """Return the framings from the position of a setup that another setup of its pass spoils.

        What it shows to others is up to its position, its support, and whether it is operated.
        """
        if setup.each.id != other.each.id or setup.position.id == other.position.id:
            return 0
        shows = (other.position.id, other.stand.support.id, other.person is not None)
        key = (setup.each.id, setup.position.id, shows)
        if key not in self._known:
            self._known[key] = sum(
                1 << number
                for number, pair in enumerate(self.pairs)
                if self._is_spoilt(setup, pair, other)
            )
        return self._known[key]

    def _is_spoilt(self, setup: Setup, pair: tuple[str, str], other: Setup) -> bool:
        subject = self.scene.shoot.subjects_by_id[pair[0]]
        view = view_of(self.scene, setup.position, subject, pair[1])
        return view is not None and level_in_picture(self.scene, view, other) == REFUSED


def pictures_of(scene: Scene) -> Pictures:
    """Return the framings of a shoot, none of them looked at yet."""
    return Pictures(scene, tuple((s.id, z) for s in scene.shoot.subjects for z in sizes_of(s)), {})
