"""What to measure first, in words: gains and losses, what is assumed, what was only screened."""

from __future__ import annotations

from dataclasses import replace

from kitplan.paper.layout import WIDEST_TABLE
from kitplan.paper.measure import measure_records, measure_text
from kitplan.whatif.facts import End, Fact
from kitplan.whatif.measure import Candidate, Effect, MeasureFirst
from kitplan.whatif.screening import Look
from kitplan.whatif.worth import Difference
from tests.small import small_brief

LIGHT = Fact(
    kind="light",
    id="row 1",
    label="light on the trombones in show",
    value=300,
    unit="lux",
    how="a lux meter app at the face, in the dimmest cue",
    absent_words="",
    ends=(End(150, small_brief()), End(600, small_brief())),
)
NOTHING = Difference(0, 0, 0, 0.0, 0.0, 0)
STANDS, BREAKS = Look(0, {}, False, 0.0), Look(2, None, False, 0.1)


def candidate(*differences: Difference | None, **changed: object) -> Candidate:
    """Return a fact with its effect at both values; the plan breaks at the first."""
    effects = tuple(
        Effect(end.value, look, by, moved, True, "" if by else "only screened")
        for end, look, by, moved in zip(
            LIGHT.ends, (BREAKS, STANDS), differences, (3, 0), strict=True
        )
    )
    return Candidate(replace(LIGHT, **changed), effects, is_settled=False)  # type: ignore[arg-type]


def text_of(*first: Candidate, rest: tuple[Candidate, ...] = (), top: int = 5) -> str:
    """Return the page on one line."""
    page = measure_text(MeasureFirst("Small", first, rest), top)
    assert max(map(len, page.splitlines())) <= WIDEST_TABLE
    return " ".join(page.split())


def test_a_fact_to_measure() -> None:
    """Where, how much is assumed, what happens below and above, and how to find out."""
    worse = Difference(-1, 0, 0, -12.5, 0.0, -1)
    better = Difference(0, 2, 1, 0.0, 0.0, 1)
    assert (
        "1. Light on the trombones in show (assumed 300 lux): at 150 lux the plan breaks in 2 "
        "places, and a new one loses 1 must and 12.5 points of viewpoints, with 3 placements "
        "changed; at 600 lux the plan gains 2 of want roles by weight and 1 viewpoint in the "
        "thinnest song. Measure: a lux meter app at the face, in the dimmest cue."
    ) in text_of(candidate(worse, better))


def test_the_more_important_side_comes_first() -> None:
    """What is gained in an earlier goal outweighs what is lost in a later one."""
    both = Difference(0, 3, 0, -20.0, 0.0, 0)
    words = text_of(candidate(both, NOTHING))
    assert "gains 3 of want roles by weight and loses 20 points of viewpoints" in words
    assert "at 600 lux the plan comes to the same. Measure" in words


def test_nothing_assumed_has_words() -> None:
    """A body that never gets too hot."""
    words = text_of(
        candidate(NOTHING, NOTHING, value=None, absent_words="never", unit="min", label="heat")
    )
    assert "Heat (assumed never): at 150 min" in words


def test_how_many_were_looked_at() -> None:
    """Planned with, settled, only screened; and more with effect than are shown."""
    one = candidate(Difference(0, -1, 0, 0.0, 0.0, 0), NOTHING)
    settled = replace(candidate(None, None), is_settled=True)
    words = text_of(one, one, rest=(candidate(None, None), settled), top=1)
    assert (
        "4 assumed facts looked at: 2 planned anew with, 1 that change nothing that is possible, "
        "1 only screened"
    ) in words
    assert "1 fact more of effect with a larger --top" in words


def test_without_any_effect() -> None:
    """It is said, and what stays is named."""
    words = text_of(rest=(candidate(NOTHING, NOTHING),))
    assert "None of the facts that were planned with changes the plan." in words


def test_as_data() -> None:
    """Everything that was looked at, the first ones apart."""
    data = measure_records(
        MeasureFirst("Small", (candidate(NOTHING, None),), (candidate(None, None),)), 5
    )
    (first,) = data["first"]
    assert (first["assumed"], first["unit"], first["status"]) == (300, "lux", "only screened")
    assert [each["value"] for each in first["values"]] == [150, 600]
    assert first["values"][0]["difference"]["wants"] == 0
    assert first["values"][1]["reason"] == "only screened"
    assert len(data["others"]) == 1
