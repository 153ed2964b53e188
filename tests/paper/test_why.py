"""Reasons in sentences: the funnel as a table, the nearest miss, the smallest change."""

from __future__ import annotations

from kitplan.paper.layout import WIDEST_TABLE
from kitplan.paper.why import left_words, overview_text, why_records, why_text
from kitplan.whatif.changes import repair_of_clash, repair_of_role
from kitplan.whatif.funnel import Funnel
from kitplan.whatif.why import Inquiry
from tests.small import position, role, small_brief, small_kit, solve


def one_line(text: str) -> str:
    """Return a text without its line breaks."""
    return " ".join(text.split())


def page(inquiry: Inquiry, role_id: str, seconds: float = 20) -> str:
    """Return the page about a role."""
    answer = inquiry.answer("role", role_id)
    text = why_text(inquiry.plan, answer, repair_of_role(inquiry, role_id, seconds))
    assert max(map(len, text.splitlines())) <= WIDEST_TABLE
    return one_line(text)


def test_a_role_that_no_lens_reaches() -> None:
    """12 m away 125 mm frame 0.855 m; a close-up takes less: the figures stand in the sentence."""
    asked = (role("tight", sizes=("CU",), priority="want"),)
    inquiry = Inquiry(solve(small_brief(roles=asked, positions=(position("front"),))))
    text = page(inquiry, "tight")
    assert "2 options that would do it" in text
    assert "shot lens too short 2 2" in text
    assert "2 less 2 removed: none is left." in text
    assert (
        "Nearest miss: singer CU from front in show, operated, with the cam (HD) on the legs: the "
        "tightest frame is 0.86 m high; the size allows at most 0.59 m." in text
    )
    assert "Smallest change: none of the changes that are known here could help." in text


def test_a_change_with_what_it_gives() -> None:
    """One body more fills the second want: the weight of wants goes from 2 to 3."""
    asked = (role("one", priority="want", weight=2), role("two", priority="want"))
    inquiry = Inquiry(solve(small_brief(small_kit(counts={"cam": 1}), roles=asked)))
    text = page(inquiry, "two")
    assert "Smallest change: one more cam. A new plan then meets role 'two'" in text
    assert "keeps every must and want." in text
    assert "wants filled, by weight 2 3" in text
    assert "not proven" not in text
    assert "6 less 0 removed: 6 left." in page(inquiry, "one")
    assert "in use" not in page(inquiry, "one")


def test_no_time_is_said() -> None:
    """With what to do about it."""
    asked = (role("one", priority="want", weight=2), role("two", priority="want"))
    inquiry = Inquiry(solve(small_brief(small_kit(counts={"cam": 1}), roles=asked)))
    assert "not every change was tried. Give it more --seconds." in page(inquiry, "two", 0)


def test_what_is_left_in_words() -> None:
    """None, some free, none free, all free."""

    def words(left: int, free: int, *taken: tuple[str, int]) -> str:
        return left_words(Funnel(5000, (), left, free, taken))

    assert words(0, 0) == "none is left."
    assert words(1200, 0, ("body", 1200)) == (
        "1,200 left. Of these 1,200 need a body in use. "
        "None is free of what the plan uses for something else."
    )
    assert words(3, 1, ("body", 2)).endswith("1 use nothing that the plan uses in that pass.")
    assert words(3, 3).endswith("The plan uses none of their parts for anything else.")


def test_the_overview() -> None:
    """A line for what is missed, the clash with its repair, a line for what is unused."""
    asked = (role("one"), role("two"))
    places = (position("front"), position("left"), position("cupboard", open_in=()))
    kit = small_kit(counts={"cam": 1})
    inquiry = Inquiry(solve(small_brief(kit, roles=asked, positions=places)))
    unmet = [(each, inquiry.answer("role", each.id)) for each in inquiry.unmet()]
    unused = [inquiry.answer(*each) for each in inquiry.unused()]
    repair = repair_of_clash(inquiry, 20)
    text = overview_text(inquiry.plan, unmet, unused, repair)
    lines = text.splitlines()
    # 3 positions x 1 camera x 1 stand x 2 manners, a third of them closed
    assert any(line.startswith("- MUST: role") for line in lines)
    assert (
        "6 options, 4 left; most removed by: position not open in the pass (2 alone)"
        in one_line(text)
    )
    assert "A smallest set of musts that cannot all hold" in text
    assert "Smallest change: one more cam." in text
    assert any(line.startswith("- cupboard: ") and "none left" in line for line in lines)
    done = Inquiry(solve(small_brief(small_kit(counts={"cam": 1}), positions=places[:1])))
    assert "nothing is left unused" in overview_text(done.plan, [], [], None)


def test_as_data() -> None:
    """Every figure behind the words."""
    inquiry = Inquiry(solve(small_brief(roles=(role(),))))
    data = why_records(inquiry.answer("role", "close"), None)
    assert (data["kind"], data["id"], data["is_met"], data["repair"]) == (
        "role",
        "close",
        True,
        None,
    )
    assert data["funnel"]["total"] == data["funnel"]["left"]
