"""What each possible shot would see, in words."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import Any

from kitplan.paper.layout import blocks, bullets, heading, joined, paragraph, table_text
from kitplan.shoot.records import Shoot
from kitplan.whatif.sightings import Intruder, Sighting

MOST_NAMED = 3
"""Intruders that are named; the others are counted."""
NOTED = 0.005
"""Shares below half a percent are not worth a word."""
_WHAT = {"rig": "the rig", "operator": "the operator", "sweep": "the move"}


def sights_records(found: Sequence[Sighting]) -> list[dict[str, Any]]:
    """Return the sightings as plain data."""
    return [asdict(each) for each in found]


def sights_text(shoot: Shoot, found: Sequence[Sighting], *, is_detailed: bool) -> str:
    """Return the sightings as a page: every shot, or a line for each position."""
    passes = {each.id: each.label for each in shoot.passes}
    by_pass: dict[str, list[Sighting]] = defaultdict(list)
    for each in found:
        by_pass[each.pass_id].append(each)
    if not found:
        return (
            "No camera can stand there then, so there is nothing to see: the position is not open, "
            "permission is not given, or no stand of the kit fits."
        )
    write = _every_shot if is_detailed else _overview
    parts = [
        f"{heading(passes[pass_id])}\n\n{write(shoot, own)}" for pass_id, own in by_pass.items()
    ]
    if not is_detailed:
        parts.append("Every shot of a position: --position NAME; of a subject: --subject NAME.")
    return blocks(*parts)


# -- all positions ---------------------------------------------------------------------------------


def _overview(shoot: Shoot, found: Sequence[Sighting]) -> str:
    """One line a position: how many shots it gives, and what stands in the way of the others."""
    positions = {each.id: each.label for each in shoot.venue.positions}
    most = shoot.rules.hidden_most
    plain = shoot.rules.seats_share_plain
    own: dict[str, list[Sighting]] = defaultdict(list)
    spoils: Counter[str] = Counter()
    for each in found:
        own[each.position].append(each)
        if each.cameras:
            spoils.update({i.position for i in each.intruders if i.is_refused})
    rows = []
    for position, sightings in own.items():
        rows.append(
            (
                positions[position],
                len(sightings),
                sum(each.cameras > 0 for each in sightings),
                sum(each.hidden > most for each in sightings),
                sum(each.seats > plain for each in sightings),
                sum(any(i.is_refused for i in each.intruders) for each in sightings),
                spoils[position],
            )
        )
    headers = ("position", "shots", "work", "hidden", "seats", "others in", "spoils")
    legend = (
        "shots: subjects and sizes; work: those that some camera can take from there; hidden: too "
        "much of the subject is; seats: empty ones are in the frame; others in: those in which "
        "another position's rig or operator would stand; spoils: shots of others that it would "
        "stand in itself."
    )
    return f"{table_text(headers, rows)}\n\n{paragraph(legend)}"


# -- every shot ------------------------------------------------------------------------------------


def _every_shot(shoot: Shoot, found: Sequence[Sighting]) -> str:
    return bullets(shot_in_words(shoot, each) for each in found)


def shot_in_words(shoot: Shoot, each: Sighting) -> str:
    """Return a shot with all that is in the picture, as a sentence or a few."""
    positions = {position.id: position.label for position in shoot.venue.positions}
    subject = shoot.subjects_by_id[each.subject].label
    parts = [*_picture(each)]
    if each.cameras:
        parts.append(f"{each.cameras} of the cameras there can take it")
    if each.refusal and not each.cameras:
        # "empty seats fill 14% of the frame" need not be said twice
        parts = [part for part in parts if not each.refusal.startswith(part)]
        parts.append(f"no camera takes it: {each.refusal}")
    if each.unconsenting:
        names = ", ".join(shoot.subjects_by_id[one].label for one in each.unconsenting)
        parts.append(f"{names} without consent")
    parts.extend(_intruders(shoot, positions, each.intruders))
    return f"{subject} {each.size} from {positions[each.position]}: {'; '.join(parts)}."


def _picture(each: Sighting) -> list[str]:
    parts = []
    if each.hidden > NOTED:
        parts.append(f"{each.hidden:.0%} of it is hidden")
    if each.hidden_arms > each.hidden + NOTED:
        parts.append(f"{each.hidden_arms:.0%} with raised arms")
    if each.seats > NOTED:
        parts.append(f"empty seats fill {each.seats:.0%} of the frame")
    if each.wings > NOTED:
        parts.append(f"wings {each.wings:.0%}")
    if each.has_lamp:
        parts.append("against the light")
    return parts


def _intruders(
    shoot: Shoot, positions: dict[str, str], intruders: Sequence[Intruder]
) -> Iterator[str]:
    """Yield whose rigs are in a picture: one in full, several as a short list, the worst first."""
    if len(intruders) == 1:
        yield intruder_in_words(shoot, positions, intruders[0])
        return
    refused = [one for one in intruders if one.is_refused]
    borne = [one for one in intruders if not one.is_refused]
    for what, found in (("not together with", refused), ("costs marks:", borne)):
        if found:
            worst = sorted(found, key=lambda one: -one.height_share)[:MOST_NAMED]
            named = [_in_short(positions, one) for one in worst]
            more = len(found) - len(worst)
            yield f"{what} {joined([*named, *([f'{more} more'] if more else [])])}"


def _in_short(positions: dict[str, str], one: Intruder) -> str:
    how = ", before the subject" if one.is_across else ""
    return f"{_WHAT[one.what]} at {positions[one.position]} ({one.height_share:.0%}{how})"


def intruder_in_words(shoot: Shoot, positions: dict[str, str], one: Intruder) -> str:
    """Return another's rig, operator or move in a picture: how tall, and whether it is refused."""
    most = shoot.rules.rig_refused_share[shoot.performance]
    how = f"{one.height_share:.0%} of the frame's height"
    what = f"{_WHAT[one.what]} at {positions[one.position]}"
    if one.is_across:
        return f"not together with {what}: it stands before the subject, {how}"
    if one.is_refused:
        limit = f"{most:.0%} is the most" if most else "nobody may be seen"
        return f"not together with {what}: {how}, and {limit}"
    return f"{what} is in the picture, {how}: it costs marks"
