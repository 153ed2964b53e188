"""What placements are worth: roles, counted viewpoints and menus, each settled exactly.

Subsets and assignments are tried one and all; shoots are small. Answers are remembered by what they
depend on.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from itertools import combinations
from operator import or_

from kitplan.plan.verify import Demand, Scene, Setup, alike_pairs, demands_of, does, grade_of
from kitplan.plan.verify.goals import has_got, locked_points, songs_of, value_of
from kitplan.plan.verify.marks import picture
from kitplan.plan.verify.picture import band_of
from kitplan.plan.verify.sight import is_as_tight
from kitplan.plan.verify.single import can_frame
from tests.oracle.pictures import Pictures

MUST, WANT = 1 << 40, 1 << 20
"""Worth of a met must and of a point of weight of a want against one of a nice role."""


@dataclass(frozen=True)
class Deed:
    """Roles that a placement may do together, as bits."""

    roles: int
    """One bit for each role and pass: a role is done once a pass."""
    met: int
    """Demands that it meets, the moments and locks of the placement itself among them."""
    broken: int
    """Locks that it breaks."""
    names: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Choice:
    """A placement with all that its worth depends on."""

    setup: Setup
    rig: int
    """Rules of several placements see no more of a placement than its rig, but for pictures."""
    deeds: tuple[Deed, ...]
    deeds_class: int
    """Placements of a class have the same deeds."""
    view: int
    """Number of its view; the same or an alike one is never counted twice."""
    grade: int
    songs: frozenset[int]
    points: int
    """Most points if counted."""
    counting_class: int
    """Placements of a class are the same when it comes to counting."""
    main: int
    """Bit of its main (subject, size)."""
    given: int
    """Bits that it adds to the variety in any case: the main one, and those of a menu that is over;
    none if it has not brought home what it was there for."""
    has_menu: bool
    """Whether its menu is still to be chosen."""
    framed: int
    """Bits of all that its operator could frame with this rig, if nobody were in the picture."""
    moments: tuple[tuple[int, int], ...]
    """Moments that it may hold by hand, and bits of what its operator could frame for each."""
    band: int
    met: int
    """Demands that it might meet with some deed."""


class Worth:
    """Puts placements in terms of bits and small numbers, and adds up what they come to."""

    def __init__(self, scene: Scene, pictures: Pictures) -> None:
        self.scene, self.rules, self.pictures = scene, scene.shoot.rules, pictures
        self.demands: tuple[Demand, ...] = demands_of(scene, ())
        self.pair_bits = {pair: 1 << number for number, pair in enumerate(pictures.pairs)}
        self.moments = self._moments()
        self.subject_bits = [
            sum(bit for (subject, _), bit in self.pair_bits.items() if subject == each.id)
            for each in scene.shoot.subjects
        ]
        self.given = sum(1 << n for n, demand in enumerate(self.demands) if demand.is_met)
        self.valued = [_value(demand) for demand in self.demands]
        self._numbers: dict[object, int] = {}
        self._alike: dict[tuple[int, int], bool] = {}
        self._setup_of_view: dict[int, Setup] = {}
        self._deeds: dict[tuple[tuple[int, ...], int], int] = {}
        self._pointed: dict[tuple[int, ...], int] = {}
        self._counted: dict[tuple[int, ...], tuple[int, int]] = {}

    def only(self, wanted: frozenset[int]) -> None:
        """From now on value these demands alone, each as a must."""
        self.valued = [MUST if n in wanted else 0 for n in range(len(self.demands))]

    def _number(self, key: object) -> int:
        return self._numbers.setdefault(key, len(self._numbers))

    def _moments(self) -> dict[int, int]:
        """Bits of the demands that are moments, each with those of the framings that hold it."""
        wanted = [m for song in self.scene.shoot.songs for m in song.moments]
        musts = [moment for moment in wanted if moment.priority == "must"]
        places = [n for n, demand in enumerate(self.demands) if demand.kind == "moment"]
        return {
            1 << place: union(
                bit
                for (subject, size), bit in self.pair_bits.items()
                if subject == moment.subject and is_as_tight(size, moment.size)
            )
            for place, moment in zip(places, musts, strict=True)
        }

    # -- one placement -------------------------------------------------------------------------

    def choice(self, setup: Setup) -> Choice:
        """Return a placement in terms of bits and numbers."""
        scene, framed = self.scene, self._framed(setup)
        deeds = tuple(self._deeds_of(setup))
        grade, songs = grade_of(scene, setup), songs_of(scene, setup)
        if not has_got(scene, setup):
            grade = 0
        is_over, brings = scene.shoot.past.is_over(setup.each.id), self._brings(setup)
        view = self._number(("view", setup.position.id, setup.subject.id, setup.size))
        self._setup_of_view[view] = setup
        shown = picture(scene, setup)
        assert shown is not None
        points = self.rules.points_operated
        if setup.person is None:
            points = max(self.rules.points_locked, default=0)
        counting = (setup.each.id, view, setup.manner, grade, songs, setup.missed)
        main = self.pair_bits[setup.subject.id, setup.size]
        return Choice(
            setup=setup,
            rig=self._number(("rig", *rig_of(setup))),
            deeds=deeds,
            deeds_class=self._number(("deeds", deeds)),
            view=view,
            grade=grade,
            songs=songs if grade else frozenset(),
            points=points * (value_of(scene, setup) if grade else 0),
            counting_class=self._number(("counting", counting)),
            main=main,
            given=main | union(self.pair_bits[pair] for pair in setup.menu) if brings else 0,
            has_menu=setup.person is not None and not is_over,
            framed=framed,
            moments=tuple(
                (bit, framed & pairs)
                for bit, pairs in self.moments.items()
                if setup.person is not None and deeds[0].met & bit
            ),
            band=1 << self._number(("band", band_of(shown.view_deg))) if brings else 0,
            met=union(deed.met for deed in deeds),
        )

    def _brings(self, setup: Setup) -> bool:
        return self.scene.brings(setup.each, setup.missed)

    def _framed(self, setup: Setup) -> int:
        if setup.person is None:
            return 0
        return sum(
            bit for pair, bit in self.pair_bits.items() if can_frame(self.scene, setup, *pair)
        )

    def _deeds_of(self, setup: Setup) -> Iterator[Deed]:
        """Yield every set of roles that the placement can do, at most one without `also`, beside
        those that it has done in a pass that is over.
        """
        met, broken = self._changed(setup)
        useful = []
        had = sum(not self.scene.roles_by_id[role].also for role in setup.roles)
        for role in self.scene.roles:
            if role.id not in setup.roles and does(self.scene, setup, role):
                of_role = self._changed(replace(setup, roles=(*setup.roles, role.id)))
                if of_role[0] & ~met:
                    bit = 1 << self._number(("role", role.id, setup.each.id))
                    useful.append((role, bit, *of_role))
        for count in range(len(useful) + 1):
            for chosen in combinations(useful, count):
                if sum(not role.also for role, *_ in chosen) <= max(1 - had, 0):
                    yield Deed(
                        union((*self._role_bits(setup), *(bit for _, bit, _, _ in chosen))),
                        met | union(own for _, _, own, _ in chosen),
                        broken | union(lost for *_, lost in chosen),
                        (*setup.roles, *(role.id for role, *_ in chosen)),
                    )

    def _role_bits(self, setup: Setup) -> Iterator[int]:
        """Yield the bits of the roles that a placement has done: nobody else did them there."""
        for role in setup.roles:
            yield 1 << self._number(("role", role, setup.each.id))

    def _changed(self, setup: Setup) -> tuple[int, int]:
        """Return the demands that a placement alone meets and breaks."""
        met = broken = 0
        for number, demand in enumerate(demands_of(self.scene, (setup,))):
            if demand.is_met and not self.demands[number].is_met:
                met |= 1 << number
            if self.demands[number].is_met and not demand.is_met:
                broken |= 1 << number
        return met, broken

    # -- roles, moments, locks -----------------------------------------------------------------

    def value(self, met: int) -> int:
        """Return the worth of demands given as bits."""
        return sum(value for number, value in enumerate(self.valued) if met >> number & 1)

    def free(self, choice: Choice, choices: Sequence[Choice]) -> int:
        """Return the bits of what an operator can frame with these others around."""
        spoilt = (self.pictures.spoilt(choice.setup, other.setup) for other in choices)
        return choice.framed & ~union(spoilt)

    def lost_moments(self, choices: Sequence[Choice]) -> int:
        """Return the moments that are held by nobody, as others are in every picture of them."""
        may, do = 0, 0
        for choice in choices:
            by_hand = union(bit for bit, _ in choice.moments)
            do |= choice.deeds[0].met & ~by_hand  # a locked-off main shot holds them anyway
            may |= by_hand
            free = self.free(choice, choices) if choice.moments else 0
            do |= union(bit for bit, pairs in choice.moments if pairs & free)
        return may & ~do

    def best_deeds(self, choices: Sequence[Choice], lost: int = 0) -> int:
        """Return the most that demands come to, over all ways to give out the roles.

        Args:
            lost: Demands that are not met, whatever the single placements could do.
        """
        key = (tuple(choice.deeds_class for choice in choices), lost)
        if key not in self._deeds:
            self._deeds[key] = max(value for value, _ in self.ways_to_give_out(choices, lost))
        return self._deeds[key]

    def ways_to_give_out(
        self, choices: Sequence[Choice], lost: int
    ) -> Iterator[tuple[int, tuple[Deed, ...]]]:
        """Yield every way to give out roles that matter, with what the demands come to."""

        def give(
            place: int, roles: int, met: int, broken: int, given: tuple[Deed, ...]
        ) -> Iterator[tuple[int, tuple[Deed, ...]]]:
            if place == len(choices):
                yield self.value(met & ~broken & ~lost), given
                return
            for deed in choices[place].deeds:
                if not deed.roles & roles:
                    yield from give(
                        place + 1,
                        roles | deed.roles,
                        met | deed.met,
                        broken | deed.broken,
                        (*given, deed),
                    )

        return give(0, 0, self.given, 0, ())

    # -- viewpoints ----------------------------------------------------------------------------

    def are_alike(self, one: Choice, other: Choice) -> bool:
        """Return whether two placements are one viewpoint."""
        key = (one.view, other.view)
        if key not in self._alike:
            views = [self._setup_of_view[view] for view in key]
            self._alike[key] = bool(alike_pairs(self.scene, views))
        return self._alike[key]

    def best_counting(self, choices: Sequence[Choice]) -> tuple[int, int]:
        """Return thinnest song and points of the best set of distinct viewpoints."""
        key = tuple(sorted(choice.counting_class for choice in choices))
        if key not in self._counted:
            self._counted[key] = max(
                (self._thinnest(chosen), self._points(chosen))
                for chosen in self.distinct_sets(choices)
            )
        return self._counted[key]

    def most_points(self, choices: Sequence[Choice]) -> int:
        """Return the points of the set of distinct viewpoints that has most of them."""
        key = tuple(sorted(choice.counting_class for choice in choices))
        if key not in self._pointed:
            self._pointed[key] = max(map(self._points, self.distinct_sets(choices)))
        return self._pointed[key]

    def distinct_sets(self, choices: Sequence[Choice]) -> Iterator[tuple[Choice, ...]]:
        """Yield every set of placements with a grade of which no two are alike."""
        graded = [choice for choice in choices if choice.grade > 0]
        for count in range(len(graded) + 1):
            for chosen in combinations(graded, count):
                if not any(self.are_alike(*pair) for pair in combinations(chosen, 2)):
                    yield chosen

    def _thinnest(self, chosen: Sequence[Choice]) -> int:
        songs = range(len(self.scene.shoot.songs))
        return min(sum(song in choice.songs for choice in chosen) for song in songs)

    def _points(self, chosen: Sequence[Choice]) -> int:
        total = sum(choice.points for choice in chosen if choice.setup.person is not None)
        for each in self.scene.shoot.passes:
            found = [
                value_of(self.scene, choice.setup)
                for choice in chosen
                if choice.setup.person is None and choice.setup.each.id == each.id
            ]
            total += locked_points(self.scene, found)
        return total

    # -- variety -------------------------------------------------------------------------------

    def best_pairs(self, choices: Sequence[Choice]) -> int:
        """Return the pairs that count with the best menus: at most so many a subject.

        Operators hand pairs to subjects, a menu each, every pair once, a subject so many: a flow.
        The most that flows is the least cut: some operators cut off at the length of their menus,
        and behind the rest every subject cut off at what it takes or at the pairs that reach it.
        """
        main = union(choice.given for choice in choices)
        free = [self.free(choice, choices) for choice in choices if choice.has_menu]
        framed = [pairs for pairs in free if pairs & ~main]
        length = self.rules.menu_shots
        return min(
            length * (len(framed) - count) + self.capped(main | union(rest))
            for count in range(len(framed) + 1)
            for rest in combinations(framed, count)
        )

    def capped(self, pairs: int) -> int:
        """Return how many pairs count."""
        most = self.rules.pairs_per_subject
        return sum(min((pairs & bits).bit_count(), most) for bits in self.subject_bits)


def rig_of(setup: Setup) -> tuple[object, ...]:
    """Return what the rules of several placements see of one; not what it shows."""
    person = setup.person and setup.person.id
    return (setup.each.id, setup.position.id, setup.camera.key, setup.stand.items, person)


def _value(demand: Demand) -> int:
    return {"must": MUST, "want": WANT * demand.weight, "nice": demand.weight}[demand.priority]


def union(bits: Iterable[int]) -> int:
    """Return all bits that are set in some of the numbers."""
    return reduce(or_, bits, 0)
