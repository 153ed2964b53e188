"""The bundled shoots and kits: they parse, hold together, and are as large as the guide says."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import cache
from math import atan2, degrees
from pathlib import Path
from typing import NamedTuple

import pytest
from ruamel.yaml import YAML

from kitplan.gear.checks import faults
from kitplan.gear.kit import Kit
from kitplan.gear.records import Accessory, Body, Case, Head, Lens, Media, Support
from kitplan.options.spots import find_options
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pattern, Shoot
from kitplan.shoot.sizes import LADDER, sizes_for
from kitplan.tables import folder, scenario


class Counts(NamedTuple):
    """How large a bundled shoot and its kit are."""

    bodies: int
    body_kinds: int
    lenses: int
    lens_kinds: int
    supports: int
    support_kinds: int
    positions: int
    passes: int
    crew: int
    songs: int
    subjects: int
    roles: int


COUNTS = {
    "depot-brass": Counts(5, 4, 7, 7, 9, 8, 14, 2, 4, 11, 8, 9),
    "school-dance": Counts(3, 3, 3, 3, 5, 4, 8, 3, 2, 8, 7, 8),
    "harbour-festival": Counts(14, 7, 20, 12, 24, 9, 30, 3, 10, 14, 10, 15),
    "library-reading": Counts(3, 3, 3, 3, 5, 4, 3, 1, 2, 4, 3, 3),
}
KIT_OF = {"library-reading": "school-dance"}
"""Shoots that share the kit of another one."""
NAMES = tuple(COUNTS)


def _read(path: Path) -> object:
    return YAML(typ="safe", pure=True).load(path.read_text(encoding="utf-8"))


@cache
def _shoot_of(name: str) -> Shoot:
    return Shoot.model_validate(_read(scenario(name)))


@cache
def _kit_of(name: str) -> Kit:
    return Kit.model_validate(_read(folder("catalog") / f"{KIT_OF.get(name, name)}.yaml"))


STARTER = "starter"
"""A kit without a shoot: for new ones."""


@pytest.fixture(name="shoot")
def _shoot(name: str) -> Shoot:
    return _shoot_of(name)


@pytest.fixture(name="kit")
def _kit(name: str) -> Kit:
    return _kit_of(name)


def _units_of(kit: Kit, kind: type[Body | Lens | Support]) -> tuple[int, int]:
    """Number of units and of items of a kind."""
    item_ids = [item.id for item in kit.of_kind(kind)]
    return sum(len(kit.units_by_item.get(i, ())) for i in item_ids), len(item_ids)


def test_every_bundled_file_is_tested() -> None:
    """A new demo needs a row in COUNTS; each shoot has a kit of the same name or shares one."""
    found = {path.stem for path in folder("scenarios").glob("*.yaml")}
    kits = {path.stem for path in folder("catalog").glob("*.yaml")}
    assert (found, kits) == (set(NAMES), {STARTER} | (set(NAMES) - KIT_OF.keys()))


def test_the_kit_to_begin_with_records_at_both_rates() -> None:
    """`kitplan new` copies it: every body records 25 and 30 frames a second, and all is ours but
    the feed from the desk."""
    kit = _kit_of(STARTER)
    for body in kit.of_kind(Body):
        assert {mode.frame_rate_fps for mode in body.modes} >= {25, 30}
    assert {unit.owner for unit in kit.units} == {"us", "the venue"}


@pytest.mark.parametrize("name", NAMES)
def test_counts(name: str, shoot: Shoot, kit: Kit) -> None:
    """Each demo is as large as the guide promises."""
    found = Counts(
        *_units_of(kit, Body),
        *_units_of(kit, Lens),
        *_units_of(kit, Support),
        len(shoot.venue.positions),
        len(shoot.passes),
        len(shoot.crew),
        len(shoot.songs),
        len(shoot.subjects),
        len(shoot.roles),
    )
    assert found == COUNTS[name]


@pytest.mark.parametrize("name", NAMES)
def test_the_shoot_names_its_kit(name: str, shoot: Shoot) -> None:
    """The path of the kit leads from the shoot file to the catalog."""
    assert shoot.kit is not None
    kit_path = (folder("scenarios") / shoot.kit).resolve()
    assert kit_path == (folder("catalog") / f"{KIT_OF.get(name, name)}.yaml").resolve()


@pytest.mark.parametrize("name", NAMES)
def test_ids_are_unique(name: str, shoot: Shoot, kit: Kit) -> None:
    """No id stands twice in a list."""
    lists = (
        [item.id for item in kit.items],
        [unit.id for unit in kit.units],
        [each.id for each in shoot.venue.zones],
        [each.id for each in shoot.venue.obstacles],
        [each.id for each in shoot.venue.positions],
        [each.id for each in shoot.subjects],
        [each.id for each in shoot.songs],
        [each.id for each in shoot.passes],
        [each.id for each in shoot.crew],
        [each.id for each in shoot.roles],
    )
    repeated = [i for ids in lists for i, count in Counter(ids).items() if count > 1]
    assert not repeated, name


@pytest.mark.parametrize("name", NAMES)
def test_kit_holds_together(name: str, kit: Kit) -> None:
    """Units have items, homes are cases, batteries exist, mounts are known, rings are possible."""
    assert not faults(kit), name
    unused = {item.id for item in kit.items} - kit.units_by_item.keys()
    assert not unused, f"items without a unit in {name}"


@pytest.mark.parametrize("name", NAMES)
def test_cases_carry_their_load(name: str, kit: Kit) -> None:
    """What has a case as its home is not heavier than the case may carry."""
    load_kg: Counter[str] = Counter()
    for unit in kit.units:
        if unit.case is not None:
            load_kg[unit.case] += kit.items_by_id[unit.item].mass_kg  # type: ignore[assignment]
    for unit in kit.units:
        item = kit.items_by_id[unit.item]
        if isinstance(item, Case):
            assert load_kg[unit.id] <= item.most_load_kg, f"{unit.id} in {name}"


@pytest.mark.parametrize("name", NAMES)
def test_rigs_can_be_built(name: str, kit: Kit) -> None:
    """Heads and supports share fittings, each plate system has a plate, each body a card."""
    heads, supports = list(kit.of_kind(Head)), list(kit.of_kind(Support))
    assert {h.fitting for h in heads} == {s.fitting for s in supports if s.fitting}, name
    systems = {h.plate for h in heads} | {s.plate for s in supports}
    assert systems - {None} == {a.fits for a in kit.of_kind(Accessory) if a.serves == "plate"}, name
    cards = {card.card_type for card in kit.of_kind(Media)}
    assert {body.card_type for body in kit.of_kind(Body)} <= cards, name


@pytest.mark.parametrize("name", NAMES)
def test_every_optic_has_a_cap(name: str, kit: Kit) -> None:
    """There is a cap for every lens, those built in included."""
    built_in = [b.id for b in kit.of_kind(Body) if b.built_in is not None]
    optics = [*(lens.id for lens in kit.of_kind(Lens)), *built_in]
    caps = [a.id for a in kit.of_kind(Accessory) if a.serves == "cap"]
    wanted, owned = (sum(len(kit.units_by_item[i]) for i in ids) for ids in (optics, caps))
    assert owned >= wanted, name


@pytest.mark.parametrize("name", NAMES)
def test_some_facts_are_measured_and_some_are_not(name: str, kit: Kit) -> None:
    """Both kinds of fact occur, so that a plan can say which ones to measure first."""
    bodies = list(kit.of_kind(Body))
    assert any(body.is_measured("battery_min") for body in bodies), name
    assert not all(body.is_measured("battery_min") for body in bodies), name


@pytest.mark.parametrize("name", NAMES)
def test_bodies_record_the_delivery(name: str, shoot: Shoot, kit: Kit) -> None:
    """Every body has a mode at the delivery's rate, at least as large as its frame."""
    wanted = shoot.delivery
    for body in kit.of_kind(Body):
        assert any(
            mode.frame_rate_fps == wanted.frame_rate_fps
            and mode.frame_width_px >= wanted.frame_width_px
            and mode.frame_height_px >= wanted.frame_height_px
            for mode in body.modes
        ), f"{body.id} in {name}"


@pytest.mark.parametrize("name", NAMES)
def test_everything_named_exists(name: str, shoot: Shoot, kit: Kit) -> None:
    """Passes, songs, subjects, people, roles and locks name what the files define."""
    passes, songs = shoot.passes_by_id.keys(), shoot.songs_by_id.keys()
    subjects, crew = shoot.subjects_by_id.keys(), shoot.crew_by_id.keys()
    for position in shoot.venue.positions:
        assert set(position.open_in or ()) <= passes, position.id
        assert set(position.only_people or ()) <= crew, position.id
    for subject in shoot.subjects:
        assert subject.part_of is None or subject.part_of in subjects, subject.id
    for row in shoot.light:
        assert set(row.passes or ()) <= passes
        assert set(row.subjects or ()) <= subjects
    for each in shoot.passes:
        assert each.songs.keys() <= songs, each.id
        assert set(each.people or ()) <= crew, each.id
    for person in shoot.crew:
        assert set(person.performs_in) <= songs, person.id
    for role in shoot.roles:
        assert role.subject in subjects, role.id
        assert set(role.passes or ()) <= passes, role.id
    for unit in kit.units:
        assert not unit.owner_only or unit.owner in crew, unit.id
    unknown = [str(lock) for lock in _unknown_locks(shoot, kit)]
    assert not unknown, name


def _unknown_locks(shoot: Shoot, kit: Kit) -> Iterator[Pattern]:
    """Yield the locks that name something the files do not define."""
    known = {
        "pass": set(shoot.passes_by_id),
        "position": {position.id for position in shoot.venue.positions},
        "person": set(shoot.crew_by_id),
        "role": set(shoot.roles_by_id),
    }
    for lock in (*shoot.locks.keep, *shoot.locks.never):
        if any(value not in known.get(part, kit.items_by_id) for part, value in lock.parts.items()):
            yield lock


@pytest.mark.parametrize("name", NAMES)
def test_moments_lie_inside_their_songs(name: str, shoot: Shoot) -> None:
    """Each moment is of a subject that exists, at a size that exists for it, within its song."""
    assert any(m.priority == "must" for song in shoot.songs for m in song.moments), name
    for song in shoot.songs:
        for moment in song.moments:
            subject = shoot.subjects_by_id[moment.subject]
            assert moment.at_s + moment.length_s <= song.length_s, f"{song.id}: {moment.name}"
            tightest = sizes_for(subject)[0]
            assert LADDER.index(moment.size) >= LADDER.index(tightest), f"{song.id}: {moment.name}"


@pytest.mark.parametrize("name", NAMES)
def test_role_sizes_exist_for_their_subject(name: str, shoot: Shoot) -> None:
    """No role asks for a size that its subject does not have, or that consent rules out."""
    for role in shoot.roles:
        sizes = sizes_for(shoot.subjects_by_id[role.subject])
        assert set(role.sizes) <= set(sizes), f"{role.id} in {name}"


@pytest.mark.parametrize("name", NAMES)
def test_children_are_not_filmed_close(name: str, shoot: Shoot) -> None:
    """No child, alone or in a group, may be filmed tighter than down to the knees."""
    for subject in shoot.subjects:
        if subject.posture == "child":
            assert "MS" not in sizes_for(subject), f"{subject.id} in {name}"


@pytest.mark.parametrize("name", NAMES)
def test_one_pass_is_the_master_and_every_pass_has_a_safety(name: str, shoot: Shoot) -> None:
    """The last pass is the take that the edit follows; a whole view is a must in every pass."""
    assert [each.is_master for each in shoot.passes] == [False] * (len(shoot.passes) - 1) + [True]
    safeties = [role for role in shoot.roles if role.is_safety]
    assert len(safeties) == 1, name
    assert safeties[0].priority == "must"
    assert safeties[0].in_passes == "every"
    assert safeties[0].passes is None


@pytest.mark.parametrize("name", NAMES)
def test_passes_follow_each_other(name: str, shoot: Shoot) -> None:
    """Each pass ends before the next one's doors, with time in between to work in."""
    for index, each in enumerate(shoot.passes[:-1]):
        following = shoot.passes[index + 1]
        assert shoot.end_of(each) < (following.doors or following.start), each.id
        assert shoot.gap_min(index) >= 60, f"after {each.id} in {name}"


@pytest.mark.parametrize("name", NAMES)
def test_every_position_takes_a_support_of_the_kit(name: str, shoot: Shoot, kit: Kit) -> None:
    """At least one owned support stands there, reaches the height and has the room."""
    slack_m = shoot.rules.height_slack_m
    for position in shoot.venue.positions:
        fitting = [
            support.id
            for support in kit.of_kind(Support)
            if position.stands_on in support.stands_on
            and support.height_min_m - slack_m <= position.lens_height_m
            and position.lens_height_m <= support.height_max_m + slack_m
            and support.footprint_m <= position.room_m
        ]
        assert fitting, f"{position.id} in {name}"


@pytest.mark.parametrize("name", NAMES)
def test_skills_asked_for_are_there(name: str, shoot: Shoot, kit: Kit) -> None:
    """Somebody can work each support; somebody may rig where a position is overhead."""
    skills = {skill for person in shoot.crew for skill in person.skills}
    asked = {s.skill for s in kit.of_kind(Support) if s.skill is not None}
    if any(position.is_overhead for position in shoot.venue.positions):
        asked.add("rigging")
    assert asked <= skills, name


@pytest.mark.parametrize("name", NAMES)
def test_every_subject_is_lit_in_every_pass(name: str, shoot: Shoot) -> None:
    """Some row of the light table fits each pair of pass and subject."""
    for each in shoot.passes:
        for subject in shoot.subjects:
            assert any(
                (row.passes is None or each.id in row.passes)
                and (row.subjects is None or subject.id in row.subjects)
                for row in shoot.light
            ), f"{subject.id} in {each.id} of {name}"


def test_depot_stops_at_clip_limits() -> None:
    """In the depot kit three bodies or more stop at a clip limit, so restarts must be placed."""
    kit = Kit.model_validate(_read(folder("catalog") / "depot-brass.yaml"))
    stopping = [
        unit.id
        for body in kit.of_kind(Body)
        if all(m.clip_limit_min is not None and m.at_limit == "stops" for m in body.modes)
        for unit in kit.units_by_item[body.id]
    ]
    # 2 full-frame + 1 four-thirds + 1 APS-C
    assert len(stopping) == 4


@pytest.mark.parametrize("pass_id", ["afternoon", "show"])
def test_depot_has_directions_that_differ(pass_id: str) -> None:
    """Five cameras find places at least 30 degrees apart, seen from the stage centre (0, 3.5)."""
    shoot = Shoot.model_validate(_read(scenario("depot-brass")))
    bearings_deg = sorted(
        degrees(atan2(position.at_m[0], 3.5 - position.at_m[1]))
        for position in shoot.venue.positions
        if not position.is_overhead and (position.open_in is None or pass_id in position.open_in)
    )
    apart: list[float] = []
    for bearing_deg in bearings_deg:
        if not apart or bearing_deg - apart[-1] >= 30:
            apart.append(bearing_deg)
    assert len(apart) >= 5


@pytest.mark.parametrize("name", NAMES)
def test_every_must_can_be_framed(name: str, shoot: Shoot, kit: Kit) -> None:
    """In each pass where a must role or must moment is due, some camera can take it somewhere."""
    brief = Brief(shoot, kit)
    options = find_options(brief)
    framed = {
        (spot.each.id, view.subject.id, view.size)
        for spot in options.spots
        for view, shots in zip(spot.views, spot.shots.possible("operated"), strict=True)
        if shots.any()
    }
    for role in shoot.roles:
        if role.priority == "must":
            for each in brief.passes_of(role):
                found = {size for size in role.sizes if (each.id, role.subject, size) in framed}
                assert found, f"{role.id} in {each.id} of {name}"
    for song in shoot.songs:
        for moment in song.moments:
            tight = LADDER[: LADDER.index(moment.size) + 1]
            if moment.priority == "must":
                key = (shoot.master.id, moment.subject)
                assert any((*key, size) in framed for size in tight), f"{moment.name} in {name}"
