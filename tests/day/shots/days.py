"""Random small days: two or three cameras, two or three songs, moments that crowd each other."""

from __future__ import annotations

from random import Random

from kitplan.plan.framing import Framing
from kitplan.plan.records import Manner, Placement, Plan
from kitplan.plan.verify import Camera, Scene, Setup, Stand, shot_faults, sizes_of, view_of
from kitplan.shoot.past import Past, Stood, WasHeld
from kitplan.shoot.records import Moment, Pass, Shoot, Song
from tests.day.shots.hall import Pair, hall, kit, placed, song
from tests.plan.small import changed
from tests.small import person, position, role, run, show
from tests.whatif.small import SAFETY, hand_plan

SIZES = ("CU", "MCU", "MS", "MLS", "FS", "WS")
PRIORITIES = ("must", "must", "want", "nice")


def random_day(seed: int) -> Plan:
    """Return a plan without shot sheets; every shot and menu of it is possible."""
    chance = Random(seed)
    shoot = _shoot(chance)
    scene = Scene(shoot, kit())
    cameras = [
        _camera(chance, scene, letter, each.id)
        for letter, each in zip("ABC", _passes_of(chance, shoot), strict=False)
    ]
    if chance.random() < 0.2 and len(shoot.passes) > 1:
        shoot = changed(shoot, past=_past(chance, shoot, cameras))
    return hand_plan(shoot, cameras, kit=kit())


def _shoot(chance: Random) -> Shoot:
    songs = tuple(_song(chance, f"song-{number}") for number in range(chance.choice((1, 2, 2, 3))))
    names = [each.id for each in songs]
    passes: list[Pass] = [show(songs=_runs(chance, names))]
    if chance.random() < 0.6:
        passes.insert(0, run(has_click=chance.random() < 0.7, songs=_runs(chance, names)))
    away = (chance.choice(names),) if len(names) > 1 and chance.random() < 0.4 else ()
    crew = (
        person("ann"),
        person("ben", is_skilled=False),
        person("cy", is_skilled=chance.random() < 0.5, performs_in=away),
    )
    return hall(
        *songs,
        passes=tuple(passes),
        crew=crew,
        roles=(role("close"), SAFETY),
        positions=(
            position("front", rigs=3),
            position("left", rigs=3),
            position("near", at_m=(-3, -9), rigs=3),
        ),
        rules={
            "hidden_full": 1,
            "hidden_fair": 1,
            "hidden_most": 1,
            "seats_share_plain": 1,
            "seats_share_soft": 1,
            "rig_refused_share": {"concert": 1},
            "steady_locked": 99,
            "steady_operated": 99,
            "recompose_s": chance.choice((1, 5, 8)),
            "zone_exceptions": chance.choice((0, 1, 2)),
        },
    )


def _runs(chance: Random, names: list[str]) -> dict[str, str]:
    """Sometimes one of several songs is stopped or not run."""
    if len(names) == 1 or chance.random() < 0.7:
        return {}
    return {chance.choice(names): chance.choice(("stopped", "not-run"))}


def _song(chance: Random, name: str) -> Song:
    moments = tuple(
        Moment(
            name=f"moment-{number}",
            subject=chance.choice(("singer", "drummer", "stage")),
            at_s=chance.choice((0, 3, 10, 20, 26, 55)),
            length_s=chance.choice((5, 10, 30)),
            size=chance.choice(("MS", "MLS", "WS")),
            priority=chance.choice(PRIORITIES),
        )
        for number in range(chance.choice((0, 1, 1, 2)))
    )
    return song(name, *moments, length_s=60)


def _passes_of(chance: Random, shoot: Shoot) -> list[Pass]:
    """The passes of two or three cameras, the show first."""
    number = chance.choice((2, 2, 3))
    return [shoot.master, *(chance.choice(shoot.passes) for _ in range(number - 1))]


def _camera(chance: Random, scene: Scene, letter: str, in_pass: str) -> Placement:
    place = chance.choice(("front", "left", "near"))
    operator = chance.choice((None, "ann", "ann", "ben", "cy"))
    found = possible(scene, place, in_pass, is_operated=operator is not None)
    main, *others = chance.sample(found, k=min(len(found), 3))
    menu = others[: chance.choice((0, 1, 2))] if operator else ()
    roles = {("singer", "MS"): ("close",), ("stage", "WS"): ("safety",)}.get(main, ())
    if chance.random() < 0.3:
        roles = ()
    return placed(letter, place, main, menu=menu, operator=operator, roles=roles, in_pass=in_pass)


def possible(scene: Scene, place: str, in_pass: str, *, is_operated: bool) -> list[Pair]:
    """Return what a camera can take from a place, as the checker sees it."""
    setup = setup_at(scene, place, in_pass)
    manner: Manner = "operated" if is_operated else "locked-off"
    return [
        (subject.id, size)
        for subject in scene.shoot.subjects
        for size in sizes_of(subject)
        if (view := view_of(scene, setup.position, subject, size)) is not None
        and not shot_faults(scene, setup.each, view, setup.camera, manner)
    ]


def setup_at(scene: Scene, place: str, in_pass: str) -> Setup:
    """Return Ann with the one kind of camera at a place."""
    kit_ = scene.kit
    body, legs = kit_.items_by_id["cam"], kit_.items_by_id["legs"]
    shoot = scene.shoot
    assert body.kind == "body"
    assert legs.kind == "support"
    return Setup(
        each=shoot.passes_by_id[in_pass],
        position=scene.positions_by_id[place],
        camera=Camera(body, body.modes[0]),
        stand=Stand(legs),
        person=shoot.crew_by_id["ann"],
        subject=shoot.subjects_by_id["singer"],
        size="MS",
    )


def _past(chance: Random, shoot: Shoot, cameras: list[Placement]) -> Past:
    """The closed run is over; each of its cameras held something that it can hold."""
    return Past(
        passes=("run",),
        stood=tuple(_stood(chance, shoot, p) for p in cameras if p.pass_id.endswith("/run")),
    )


def _stood(chance: Random, shoot: Shoot, placement: Placement) -> Stood:
    planned: list[Framing] = [placement.shot, *placement.menu]
    is_free = placement.operator is not None and not placement.roles
    songs = [song.id for song in shoot.songs]
    return Stood(
        in_pass="run",
        position=placement.position,
        letter=placement.letter,
        **placement.rig.model_dump(),
        operator=placement.operator,
        subject=placement.shot.subject,
        size=placement.shot.size,
        roles=placement.roles,
        menu=tuple((framing.subject, framing.size) for framing in placement.menu),
        batteries=(),
        cards=(),
        accessories=(),
        missed=tuple(name for name in songs if chance.random() < 0.2),
        held=tuple(
            WasHeld(song=name, subject=shot.subject, size=shot.size)
            for name in songs
            if is_free and (shot := chance.choice(planned))
        ),
    )
