"""Rules of one placement (docs/model.md, section 2), its menu and its roles."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from kitplan.plan.records import Manner
from kitplan.plan.verify.findings import Fault
from kitplan.plan.verify.lasting import endurance_fault, lasting_of
from kitplan.plan.verify.marks import seen
from kitplan.plan.verify.picture import picture_of
from kitplan.plan.verify.rig import (
    camera_faults,
    payload_faults,
    position_faults,
    stand_faults,
)
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.seen import has_view_over_heads
from kitplan.plan.verify.setups import Camera, Setup, Stand
from kitplan.plan.verify.shaking import steadiness_fault, steady_share
from kitplan.plan.verify.shots import shot_faults
from kitplan.plan.verify.sight import View, sizes_of, view_of
from kitplan.shoot.records import Pass, Person, Role
from kitplan.shoot.venue import Position


def setup_faults(scene: Scene, setup: Setup) -> Iterator[Fault]:
    """Yield every rule of the single placement that a setup breaks; nothing where it is possible.

    Positions, cameras, stands, people and shots are each judged once and kept by their ids.
    """
    each, position, camera, stand = setup.each, setup.position, setup.camera, setup.stand
    yield from position_faults(scene, each, position)
    yield from camera_faults(scene, camera)
    yield from stand_faults(scene, each, position, stand)
    yield from skill_faults(scene, each, position, stand, setup.person)
    yield from payload_faults(scene, camera, stand)
    if setup.person is None or position.is_out_of_reach:
        fault = endurance_fault(scene, each, position, camera)
        if fault is not None:
            yield fault
    if setup.person is None:
        yield from rest_faults(camera, stand)
    else:
        yield from person_faults(scene, each, position, setup.person)
        yield from hand_faults(position, stand)
    view = seen(scene, setup)
    if view is None:
        yield _no_view(setup)
    else:
        yield from shot_faults(scene, each, view, camera, setup.manner)
        yield from steadiness_faults(scene, setup, view, setup.manner)


def is_possible(scene: Scene, setup: Setup) -> bool:
    """Return whether a setup breaks no rule of the single placement; stops at the first."""
    return next(setup_faults(scene, setup), None) is None


def steadiness_faults(scene: Scene, setup: Setup, view: View, manner: Manner) -> tuple[Fault, ...]:
    """Return the fault of a view that the rig of a setup does not hold steady in a manner."""
    found = picture_of(scene, setup.each, view, setup.camera)
    if found is None:
        return ()  # what is missing is said by other rules
    rig = (setup.camera, setup.stand)
    share = steady_share(scene, setup.each, setup.position, rig, found, manner)
    fault = steadiness_fault(scene, share, manner)
    return () if fault is None else (fault,)


def _no_view(setup: Setup) -> Fault:
    subject, sizes = setup.subject, sizes_of(setup.subject)
    if setup.size in sizes:
        return Fault("distance", f"{subject.id} stands in the lens", "Film it from elsewhere")
    wrong = f"{subject.id} may not be filmed as {setup.size}"
    return Fault("size", wrong, f"Choose one of {', '.join(sizes) or 'no size at all'}")


# -- people ----------------------------------------------------------------------------------------


def person_faults(
    scene: Scene, each: Pass, position: Position, person: Person
) -> tuple[Fault, ...]:
    """Return why a person may not operate at a position in a pass."""
    key = ("person", each.id, position.id, person.id)
    return scene.once(key, lambda: tuple(_person_faults(scene, each, position, person)))


def _person_faults(scene: Scene, each: Pass, position: Position, person: Person) -> Iterator[Fault]:
    who, right = person.id, "Give the camera to somebody else"
    if not person.is_operator:
        yield Fault("not-operator", f"{who} does not operate cameras", right)
    if person.id not in [hand.id for hand in scene.people(each)]:
        wrong = f"{who} is not on hand from doors to the end of the pass"
        yield Fault("not-on-hand", wrong, right)
    if all(song.id in person.performs_in for song in scene.run_songs(each)):
        yield Fault("performs", f"{who} performs in every song of the pass", right)
    if position.only_people is not None and person.id not in position.only_people:
        yield Fault("not-allowed-there", f"{who} is not one of those allowed there", right)
    if position.is_on_stage and not person.may_be_on_stage:
        yield Fault("on-stage", f"{who} may not be on stage", right)
    is_shut_in = position.is_shut_in_by_audience and each.has_audience
    if is_shut_in and scene.performs(person, each):
        wrong = f"{who} performs in this pass and could not leave the position"
        yield Fault("shut-in", wrong, right)


def skill_faults(
    scene: Scene, each: Pass, position: Position, stand: Stand, person: Person | None
) -> Iterator[Fault]:
    """Yield a fault where nobody allowed there, or not the operator, has the skill of a support."""
    skill = stand.support.skill
    if skill is None:
        return
    key = ("skilled", each.id, position.id, skill)
    if not scene.once(key, lambda: _somebody_has(scene, each, position, skill)):
        wrong = f"{stand.support.id} asks for the skill {skill}, which nobody allowed there has"
        yield Fault("skill", wrong, "Use another support")
    elif person is not None and skill not in person.skills:
        wrong = f"{person.id} lacks the skill {skill}"
        yield Fault("skill", wrong, f"{stand.support.id} asks for it")


def _somebody_has(scene: Scene, each: Pass, position: Position, skill: str) -> bool:
    return any(
        skill in person.skills and not person_faults(scene, each, position, person)
        for person in scene.shoot.crew
    )


def hand_faults(position: Position, stand: Stand) -> Iterator[Fault]:
    """Yield faults where an operator cannot frame with a stand, by hand or from afar."""
    head = stand.head
    if position.is_out_of_reach and not (head and head.is_remote and head.can_pan_tilt):
        wrong = f"nobody can reach the position; {stand.support.id} has no remote pan-tilt head"
        yield Fault("needs-remote", wrong, "Lock it off, or take a remote head")
    if stand.head is not None and not stand.head.can_pan_tilt and not stand.support.moves:
        wrong = f"{stand.head.id} neither pans nor tilts, and {stand.support.id} does not move"
        yield Fault("needs-hand", wrong, "Lock it off, or take another head")


def rest_faults(camera: Camera, stand: Stand) -> Iterator[Fault]:
    """Yield faults of a locked-off camera: stand that does not hold still, no manual control."""
    if not stand.support.can_stand_alone or stand.support.is_arm:
        wrong = f"{stand.support.id} does not hold a camera still on its own"
        yield Fault("needs-rest", wrong, "Put an operator on it")
    if not camera.body.has_manual_control:
        wrong = f"{camera.body.id} works only automatically"
        yield Fault("automatic", wrong, "Put an operator on it")


# -- menu and roles --------------------------------------------------------------------------------


def can_frame(scene: Scene, setup: Setup, subject_id: str, size: str) -> bool:
    """Return whether the rig of a setup can take a subject at a size by hand from there."""
    subject = scene.shoot.subjects_by_id.get(subject_id)
    if subject is None:
        return False
    view = view_of(scene, setup.position, subject, size)
    if view is None or shot_faults(scene, setup.each, view, setup.camera, "operated"):
        return False
    return not steadiness_faults(scene, setup, view, "operated")


def menu_faults(scene: Scene, setup: Setup) -> Iterator[Fault]:
    """Yield what is wrong with the further shots that an operator is planned to hold."""
    most = scene.shoot.rules.menu_shots if setup.person is not None else 0
    if len(setup.menu) > most:
        wrong = f"{len(setup.menu)} further shots are planned"
        yield Fault("menu", wrong, f"At most {most} are for a camera that is {setup.manner}")
    held = [(setup.subject.id, setup.size)]
    for subject, size in setup.menu:
        if (subject, size) in held:
            yield Fault("menu", f"{subject} {size} is planned twice", "Take it off the menu")
        elif not can_frame(scene, setup, subject, size):
            wrong = f"the camera cannot take {subject} {size} from there"
            yield Fault("menu", wrong, "Take it off the menu")
        held.append((subject, size))


def role_faults(scene: Scene, setup: Setup) -> Iterator[Fault]:
    """Yield the roles that a setup is given and does not do, and roles too many."""
    roles = [scene.roles_by_id[r] for r in setup.roles if r in scene.roles_by_id]
    yield from chain.from_iterable(misfits(scene, setup, role) for role in roles)
    if len(set(setup.roles)) < len(setup.roles):
        yield Fault("roles", "a role is listed twice", "List each role once")
    alone = [role.id for role in roles if not role.also]
    if len(alone) > 1:
        wrong = f"{' and '.join(alone)} are done by one placement"
        yield Fault("roles", wrong, "Only roles marked `also` may be added to another")


def does(scene: Scene, setup: Setup, role: Role) -> bool:
    """Return whether a setup can do a role."""
    return next(misfits(scene, setup, role), None) is None


def misfits(scene: Scene, setup: Setup, role: Role) -> Iterator[Fault]:
    """Yield why a setup does not do a role (docs/model.md, section 5)."""

    def misfit(wrong: str, right: str) -> Fault:
        return Fault("role", f"role {role.id}: {wrong}", right)

    if setup.each.id not in [each.id for each in scene.passes_of(role)]:
        yield misfit("it is not listed for this pass", "Leave it to its passes")
    if role.positions is not None and setup.position.id not in role.positions:
        yield misfit(f"{setup.position.id} is none of its positions", "Do it from one of them")
    if setup.subject.id != role.subject:
        yield misfit(f"the main shot is of {setup.subject.id}", f"It asks for {role.subject}")
    if setup.size not in role.sizes:
        yield misfit(f"the main shot is a {setup.size}", f"It asks for {'/'.join(role.sizes)}")
    if role.manner not in ("either", setup.manner):
        yield misfit(f"the camera is {setup.manner}", f"It asks for {role.manner}")
    if role.moves and setup.person is None:
        yield misfit("nobody is there to make the move", "It must be operated")
    if role.moves and not set(role.moves) & set(setup.stand.support.moves):
        yield misfit(f"{setup.stand.support.id} cannot {' or '.join(role.moves)}", "It must")
    if role.rolls_throughout:
        lasting = lasting_of(scene, setup.each, setup.position, setup.camera)
        if not lasting.rolls_throughout:
            yield misfit("the camera stops inside a song", "It must roll throughout")
    if role.is_safety:
        if not has_view_over_heads(scene, setup.each, setup.position):
            yield misfit("heads of the audience are before performers", "It must look over them")
        if not setup.camera.body.has_manual_control:
            yield misfit(
                "the body works only automatically", "The safety shot needs manual control"
            )
        if setup.person is not None and scene.performs(setup.person, setup.each):
            yield misfit(
                f"{setup.person.id} performs in this pass", "Give it to somebody who stays"
            )
