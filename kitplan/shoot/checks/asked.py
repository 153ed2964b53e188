"""What is asked for can be asked for: sizes, moments, light, the safety shot."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from kitplan.gear.kit import Kit
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.fault import Fault, listed
from kitplan.shoot.records import Moment, Role, Shoot
from kitplan.shoot.sizes import AREAL, LADDER, frame_range, sizes_for
from kitplan.shoot.venue import Subject


def wrong_role_sizes(shoot: Shoot) -> Iterator[Fault]:
    """A role asks for sizes that exist for its subject and are not tighter than its closest."""
    for index, role in enumerate(shoot.roles):
        subject = shoot.subjects_by_id.get(role.subject)
        if subject is None:
            continue
        for number, size in enumerate(role.sizes):
            if size not in sizes_for(subject):
                wrong = f"role '{role.id}' asks for {size} of '{subject.id}', {_why(subject, size)}"
                yield Fault(("roles", index, "sizes", number), wrong, _sizes_there(subject))


def wrong_moment_sizes(shoot: Shoot) -> Iterator[Fault]:
    """Some size of a moment's subject is as tight as the moment asks for."""
    for song_index, song in enumerate(shoot.songs):
        for index, moment in enumerate(song.moments):
            subject = shoot.subjects_by_id.get(moment.subject)
            sizes = sizes_for(subject) if subject else ()
            if subject is None or not sizes:
                continue
            if LADDER.index(moment.size) < LADDER.index(sizes[0]):
                wrong = (
                    f"moment '{moment.name}' asks for {moment.size} or tighter of "
                    f"'{subject.id}', {_why(subject, moment.size)}"
                )
                place = ("songs", song_index, "moments", index, "size")
                yield Fault(place, wrong, _sizes_there(subject))


def _why(subject: Subject, size: str) -> str:
    """Return why a subject does not have a size."""
    if subject.closest is not None and LADDER.index(size) < LADDER.index(subject.closest):
        return f"which may be filmed no tighter than {subject.closest}"
    kind = subject.kind if subject.kind in ("person", "object") else "group, stage or audience"
    return f"but there is no {size} of {'an' if kind == 'object' else 'a'} {kind}"


def _sizes_there(subject: Subject) -> str:
    sizes = sizes_for(subject)
    return f"Its sizes are {', '.join(sizes)}" if sizes else "Correct the subject's closest"


def wrong_closest(shoot: Shoot) -> Iterator[Fault]:
    """Some size of every subject may be filmed, and none in metres is tighter than that."""
    for index, subject in enumerate(shoot.subjects):
        if subject.closest is None:
            continue
        place = ("subjects", index)
        if not sizes_for(subject):
            there = ", ".join(sizes_for(subject.model_copy(update={"closest": None})))
            wrong = f"closest {subject.closest} leaves '{subject.id}' no size to be filmed in"
            yield Fault((*place, "closest"), wrong, f"Its sizes are {there}")
        for size in subject.frames_m:
            if LADDER.index(size) < LADDER.index(subject.closest):
                wrong = f"frames_m of '{subject.id}' has {size}, tighter than its closest size"
                right = f"Take {size} out; nothing tighter than {subject.closest} is filmed"
                yield Fault((*place, "frames_m", size), wrong, right)


def wrong_frames(shoot: Shoot) -> Iterator[Fault]:
    """Frames given in metres grow along the ladder of sizes, those of the table between them."""
    for index, subject in enumerate(shoot.subjects):
        frames_m = _planned_frames_m(subject, shoot.delivery.aspect)
        for (tight, tight_m), (wide, wide_m) in pairwise(frames_m.items()):
            is_given = tight in subject.frames_m or wide in subject.frames_m
            if is_given and tight_m >= wide_m:
                wrong = (
                    f"frames of '{subject.id}' do not grow with the size: "
                    f"{tight} is {tight_m:.2f} m high and {wide} {wide_m:.2f} m"
                )
                right = f"Give {tight} less metres than {wide}"
                faulty = wide if wide in subject.frames_m else tight
                yield Fault(("subjects", index, "frames_m", faulty), wrong, right)


def _planned_frames_m(subject: Subject, aspect: float) -> Mapping[str, float]:
    """Frame heights by size, tightest first; of areas only those given, as theirs depend on the
    position."""
    sizes = [s for s in sizes_for(subject) if subject.kind not in AREAL or s in subject.frames_m]
    return {s: frame_range(subject, s, subject.width_m, aspect).frame_m for s in sizes}


def late_moments(shoot: Shoot) -> Iterator[Fault]:
    """A moment begins, and if its length is given ends, before its song ends."""
    for song_index, song in enumerate(shoot.songs):
        for index, moment in enumerate(song.moments):
            place = ("songs", song_index, "moments", index)
            what = f"moment '{moment.name}' begins at {moment.at_s:g} s"
            ends = f"song '{song.id}' ends at {song.length_s:g} s"
            if moment.at_s >= song.length_s:
                right = f"Give at_s below {song.length_s:g}, or correct the song's length_s"
                yield Fault((*place, "at_s"), f"{what}, but {ends}", right)
            elif _given_end_s(moment) > song.length_s:
                wrong = f"{what} and lasts {moment.length_s:g} s, but {ends}"
                right = f"Give length_s of at most {song.length_s - moment.at_s:g}"
                yield Fault((*place, "length_s"), wrong, right)


def _given_end_s(moment: Moment) -> float:
    is_given = "length_s" in moment.model_fields_set
    return moment.at_s + (moment.length_s if is_given else 0.0)


def missing_light(shoot: Shoot) -> Iterator[Fault]:
    """Some row of the light table fits every subject in every pass it can be filmed in."""
    brief = Brief(shoot, Kit.EMPTY)
    for subject in shoot.subjects:
        dark = [
            each.id
            for each in shoot.passes
            if (each.has_audience or subject.kind != "audience")
            and brief.light_on(subject, each) is None
        ]
        if dark:
            wrong = f"no row of light fits subject '{subject.id}' in {listed(dark)}"
            right = "Add one, or a last row without passes and subjects that fits everything else"
            yield Fault(("light",), wrong, right)


def missing_safety(shoot: Shoot) -> Iterator[Fault]:
    """Every pass that needs a safety shot has a role for it, or a stage that one can be made of."""
    safeties = [role for role in shoot.roles if role.is_safety]
    has_stage = any(subject.kind == "stage" for subject in shoot.subjects)
    needing = [each for each in shoot.passes if each.needs_safety]
    if not safeties and not has_stage and needing:
        wrong = (
            f"a safety shot is needed in {listed(e.id for e in needing)}, but no role asks for it"
        )
        right = (
            "Add a subject of kind stage, or a role with is_safety: true, "
            "or set needs_safety: false in the pass"
        )
        yield Fault(("subjects",), wrong, right)
    for index, each in enumerate(shoot.passes):
        if each.needs_safety and safeties and not any(_is_listed(r, each.id) for r in safeties):
            wrong = f"pass '{each.id}' needs a safety shot, but no safety role is listed for it"
            right = f"Add {each.id} to the passes of role '{safeties[0].id}', or set needs_safety"
            yield Fault(("passes", index), wrong, f"{right}: false")


def _is_listed(role: Role, pass_id: str) -> bool:
    return role.passes is None or pass_id in role.passes


def wrong_safety(shoot: Shoot) -> Iterator[Fault]:
    """A safety shot shows the stage or a group: a whole view."""
    wholes = [subject.id for subject in shoot.subjects if subject.kind in ("stage", "group")]
    for index, role in enumerate(shoot.roles):
        subject = shoot.subjects_by_id.get(role.subject)
        if role.is_safety and subject is not None and subject.id not in wholes:
            wrong = f"safety role '{role.id}' shows '{subject.id}', which is of kind {subject.kind}"
            right = f"Give it {' or '.join(wholes)}" if wholes else "Add a subject of kind stage"
            yield Fault(("roles", index, "subject"), wrong, right)
