"""Short answers, as people type them."""

from __future__ import annotations

import pytest

from kitplan.recce import reading
from kitplan.recce.answers import CrewAnswer, HallSize, NotUnderstood, StageSize


@pytest.mark.parametrize(
    ("text", "stage"),
    [
        ("8 x 5 x 0.6", StageSize(8, 5, 0.6)),
        ("8,5 m × 5 m × 60 cm", StageSize(8.5, 5, 0.6)),
        ("26 ft x 16 ft 6 in x 2 ft", StageSize(7.92, 5.03, 0.61)),
        ("26' x 16 x 2", StageSize(7.92, 4.88, 0.61)),
        ("8 by 5 by 0", StageSize(8, 5, 0)),
    ],
)
def test_a_stage_is_measured_in_metres_or_feet(text: str, stage: StageSize) -> None:
    """One foot is 0.3048 m, by definition; a unit named once holds for all."""
    assert reading.stage_of(text) == stage


@pytest.mark.parametrize(
    "text", ["", "8 x 5", "wide", "8 x 5 x 9", "-8 x 5 x 1", "8 x 5 x 0.6 x 1"]
)
def test_what_is_no_stage_is_refused(text: str) -> None:
    """Too few, too many, no numbers, out of bounds."""
    with pytest.raises(NotUnderstood, match="Write"):
        reading.stage_of(text)


def test_a_hall_has_length_and_width() -> None:
    """From the stage to the back wall, and from wall to wall."""
    assert reading.hall_of("18x12") == HallSize(18, 12)


def test_kinds_are_known_by_number_id_and_name() -> None:
    """A word that fits one name is enough; one that fits none is refused with a hint."""
    assert reading.kind_of("1") == reading.kind_of("BAND") == "band"
    assert reading.kind_of("brass") == "orchestra"
    assert reading.kind_of("school show") == "school"
    with pytest.raises(NotUnderstood, match="Did you mean 'choir'"):
        reading.kind_of("chior")


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("rock gig", "band"),
        ("a brass band", "orchestra"),
        ("Church service", "worship"),
        ("the school's show", "school"),
        ("ballet", "dance"),
    ],
)
def test_kinds_are_known_by_what_people_call_them(text: str, kind: str) -> None:
    """Other words, and kinds within a phrase, the longer name first."""
    assert reading.kind_of(text) == kind


def test_a_phrase_that_holds_two_kinds_is_asked_again() -> None:
    """A dance show of a school is one or the other: only who asks knows."""
    with pytest.raises(NotUnderstood, match="no kind of performance"):
        reading.kind_of("school dance show")


def test_audience_floor_and_light_take_everyday_words() -> None:
    """One meaning in a phrase counts; none or two are refused."""
    assert reading.audience_of("people stand") == "standing"
    assert reading.audience_of("no audience") == "none"
    assert reading.floor_of("wood") == "timber-on-concrete"
    assert reading.light_of("dark", "band") == reading.light_of("dim", "band")
    with pytest.raises(NotUnderstood, match="Known here: none, raked, seated, standing"):
        reading.audience_of("some sit, some stand")


def test_light_is_a_word_or_lux() -> None:
    """Words take the table of the kind; figures count as measured."""
    assert (
        reading.light_of("dim", "band").dim_lux,
        reading.light_of("dim", "band").is_measured,
    ) == (
        40,
        False,
    )
    measured = reading.light_of("150 to 300 lux", "band")
    assert (measured.dim_lux, measured.bright_lux, measured.is_measured) == (150, 300, True)
    for wrong in ("bright!", "300 to 150", "0", "9" * 400, "1 to 300000"):
        with pytest.raises(NotUnderstood):
            reading.light_of(wrong, "band")


def test_crew_have_skills_in_brackets() -> None:
    """Commas in brackets part skills, others part people."""
    assert reading.crew_of("Ada (skilled, rigger), Ben; Cleo (first time)") == (
        CrewAnswer("Ada", ("rigging",), is_skilled=True, is_first_time=False),
        CrewAnswer("Ben", (), is_skilled=False, is_first_time=False),
        CrewAnswer("Cleo", (), is_skilled=False, is_first_time=True),
    )
    assert reading.crew_of("nobody") == ()
    for wrong in ("Ada, ada", "Ada (1+1)", "Ada (b", "()"):
        with pytest.raises(NotUnderstood):
            reading.crew_of(wrong)


def test_balcony_floor_mains_and_audience() -> None:
    """Each takes the words that people use, and nothing else."""
    assert reading.balcony_of("none") is None
    assert reading.balcony_of("3.4 m") == 3.4
    assert reading.floor_of("sprung timber") == "sprung-timber"
    assert reading.mains_of("60 Hz") == 60
    assert reading.audience_of("Seats") == "seated"
    for read, wrong in (
        (reading.balcony_of, "high"),
        (reading.floor_of, "grass?"),
        (reading.mains_of, "55"),
        (reading.audience_of, "lying"),
    ):
        with pytest.raises(NotUnderstood):
            read(wrong)


@pytest.mark.parametrize("word", ["²", "9" * 5000, "0", "-1"])
def test_figures_that_are_no_number_of_a_kind_are_refused(word: str) -> None:
    """Superscripts look like digits and are none; long ones are more than Python reads."""
    with pytest.raises(NotUnderstood, match="no kind of performance"):
        reading.kind_of(word)


def test_a_crowd_is_no_crew() -> None:
    """However many commas there are, the answer comes at once."""
    with pytest.raises(NotUnderstood, match="20000 people are named"):
        reading.crew_of("a," * 20_000)


@pytest.mark.parametrize("name", ["a\0b", "a\u2028b\x07", "\ud800"])
def test_invisible_characters_are_refused_when_they_are_typed(name: str) -> None:
    """Not after fifteen questions."""
    with pytest.raises(NotUnderstood, match="invisible character"):
        reading.words_of(name)
