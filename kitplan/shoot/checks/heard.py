"""The sound that is asked for can be recorded: recorders, sources, channels, names of setups."""

from __future__ import annotations

from collections.abc import Iterator
from re import fullmatch

from kitplan.gear.records import Sound
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.fault import Fault, meant
from kitplan.shoot.records import Shoot
from kitplan.shoot.working import SoundSetup


def wrong_setup_ids(shoot: Shoot) -> Iterator[Fault]:
    """No sound setup is called like a camera: A, B ... stand on its paper and its cards."""
    for index, setup in enumerate(shoot.sound):
        if fullmatch("[A-Z]{1,2}", setup.id):
            wrong = f"the sound setup '{setup.id}' is called like a camera"
            yield Fault(("sound", index, "id"), wrong, "Give it a longer name, such as desk-mix")


def unknown_sound(brief: Brief) -> Iterator[Fault]:
    """The recorder of a setup is a recorder, its sources are microphones and feeds."""
    for index, setup in enumerate(brief.shoot.sound):
        place = ("sound", index)
        yield from _fault(brief, (*place, "recorder"), setup, setup.recorder, ("recorder",))
        for number, source in enumerate(setup.sources):
            kinds = ("microphone", "desk-feed")
            yield from _fault(brief, (*place, "sources", number), setup, source, kinds)


def _fault(
    brief: Brief,
    place: tuple[str | int, ...],
    setup: SoundSetup,
    item_id: str,
    kinds: tuple[str, ...],
) -> Iterator[Fault]:
    item = brief.kit.items_by_id.get(item_id)
    owner, what = f"sound setup '{setup.id}'", " or ".join(kinds)
    if item is None:
        known = [one.id for one in brief.kit.of_kind(Sound) if one.what in kinds]
        wrong = f"{owner} names the {what} '{item_id}', which the kit does not have"
        yield Fault(place, wrong, meant(item_id, known, what))
    elif not isinstance(item, Sound) or item.what not in kinds:
        known = [one.id for one in brief.kit.of_kind(Sound) if one.what in kinds]
        called = item.what if isinstance(item, Sound) else item.kind
        wrong = f"{owner} names '{item_id}' as its {what}, but that is a {called}"
        right = f"Name one of {', '.join(known)}" if known else f"Add a {what} to the kit"
        yield Fault(place, wrong, right)


def too_many_sources(brief: Brief) -> Iterator[Fault]:
    """A recorder has a channel for all that its sources send it."""
    items = brief.kit.items_by_id
    for index, setup in enumerate(brief.shoot.sound):
        recorder = items.get(setup.recorder)
        sources = [one for name in setup.sources if isinstance(one := items.get(name), Sound)]
        channels = sum(source.channels for source in sources)
        if not isinstance(recorder, Sound) or recorder.what != "recorder":
            continue
        if channels > recorder.channels:
            wrong = (
                f"sound setup '{setup.id}' sends {channels} channels into '{recorder.id}', which "
                f"records {recorder.channels}"
            )
            right = "Take a source out, or take a recorder with more channels"
            yield Fault(("sound", index, "sources"), wrong, right)
