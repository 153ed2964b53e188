"""What each camera sees, in words."""

from __future__ import annotations

from kitplan.paper.names import Names
from kitplan.paper.pictures import picture_lines
from tests.stored import stored_plan


def test_every_line_can_be_read_by_itself() -> None:
    """Raised arms hide a shot that is named, also where nothing else is said of it."""
    plan = stored_plan("school-dance")
    first, *others = plan.placements
    shot = first.shot.model_copy(update={"hidden": 0.0, "hidden_arms": 1.0})
    changed = first.model_copy(update={"shot": shot})
    names = Names(plan.model_copy(update={"placements": (changed, *others)}))
    framing = names.framing(first.pass_id, shot)
    start = f"{names.pass_label(first.pass_id)}, camera {first.letter}"
    words = f"{start}: raised arms of the audience would hide 100% of {framing}."
    assert words in picture_lines(names)
