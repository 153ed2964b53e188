"""What each camera sees, in words: whatever in its picture somebody should know about."""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.paper.layout import joined, table_text
from kitplan.paper.names import Names
from kitplan.plan.records import Placement
from kitplan.shoot.records import Shoot

HEADERS = ("cam", "hidden", "arms up", "empty seats", "wings", "moves", "others", "grade", "marks")
MOST_MARKS = 18


def picture_lines(names: Names) -> list[str]:
    """Return a line for each thing in a picture that costs marks or asks for care."""
    return [
        f"{names.pass_label(pass_id)}, camera {placement.letter}: {remark}."
        for pass_id in names.plan.pass_ids()
        for placement in names.plan.placements_in(pass_id)
        for remark in _remarks(names, placement)
    ]


def _remarks(names: Names, placement: Placement) -> Iterator[str]:
    shoot, _ = names.plan.pass_of(placement.pass_id)
    shot, rules = placement.shot, shoot.rules
    framing = names.framing(placement.pass_id, shot)
    if shot.hidden > rules.hidden_full:
        yield f"about {shot.hidden:.0%} of {framing} is hidden"
    if shot.hidden_arms > max(shot.hidden, rules.hidden_most):
        yield f"raised arms of the audience would hide {shot.hidden_arms:.0%} of {framing}"
    if shot.seats > rules.seats_share_plain:
        yield f"empty seats fill {shot.seats:.0%} of the frame; keep them dark and out of focus"
    if shot.wings > rules.wings_share:
        yield f"{shot.wings:.0%} of the frame looks into the wings; keep them dark and clear"
    if shot.has_lamp:
        yield "it looks into a lamp or window; shade the lens, set the exposure on the faces"
    most = rules.rig_refused_share[shoot.performance]
    swept = [each.letter for each in placement.in_picture if each.height_share > most]
    if swept:
        noun, stays = ("camera", "it stays") if len(swept) == 1 else ("cameras", "they stay")
        yield (
            f"the arm of {noun} {joined(swept)} would swing through the frame; {stays} parked "
            "while this shot is held"
        )
    borne = [each for each in placement.in_picture if each.letter not in swept]
    if borne:
        others = [f"{each.letter} ({each.height_share:.0%})" for each in borne]
        noun = "camera" if len(others) == 1 else "cameras"
        yield (
            f"{noun} {joined(others)} in the frame, by share of its height; wear black, "
            "keep low and still"
        )
    if shot.unconsenting:
        yield _consent(shoot, shot.unconsenting)


def _consent(shoot: Shoot, subjects: tuple[str, ...]) -> str:
    who = joined([shoot.subjects_by_id[subject].label for subject in subjects])
    return (
        f"{who} can be made out, without consent; keep the frame wide, and ask for consent or "
        "leave the shot out before anything is shown"
    )


def pictures_table(names: Names, pass_id: str) -> str:
    """Return the figures of every picture of a pass as a table."""
    rows = [_row(placement) for placement in names.plan.placements_in(pass_id)]
    return table_text(HEADERS, rows) if rows else ""


def _row(placement: Placement) -> tuple[str, ...]:
    shot = placement.shot
    return (
        placement.letter,
        f"{shot.hidden:.0%}",
        f"{shot.hidden_arms:.0%}",
        f"{shot.seats:.0%}",
        f"{shot.wings:.0%}",
        f"{shot.steady_share:.2%}",
        " ".join(f"{each.letter} {each.height_share:.0%}" for each in placement.in_picture),
        f"{shot.grade} of 3",
        f"{shot.marks} of {MOST_MARKS}",
    )
