"""Which signs come through, and what stays together on a line."""

from __future__ import annotations

import pytest

from kitplan.paper.pack.out.signs import on_paper


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("sharp to 10 ft 1 in, f/4", "sharp to 10~ft~1~in, f/4"),
        ("roll again, 60 s", "roll again, 60~s"),
        ("4:16 pm to 4:21 pm", "4:16~pm to 4:21~pm"),
        ("4 x sandbag, 16-50 f/2.8 zoom", "4~x sandbag, 16-50~f/2.8 zoom"),
        ("100 % of 50 Mb/s", "100~% of 50~Mb/s"),
        ("3 songs, 5 in-house seats, 2 inches", "3 songs, 5 in-house seats, 2 inches"),
    ],
    ids=["feet", "seconds", "clock", "things", "rates", "words"],
)
def test_a_figure_and_its_unit_stay_on_one_line(text: str, wanted: str) -> None:
    """A fixed space (here ~) between them; words after figures may wrap."""
    assert on_paper(text).replace("\u00a0", "~") == wanted


def test_a_line_may_end_at_every_space_between_words() -> None:
    """A break (here |) where typst has none: before and after signs that hold on to a space."""
    shown = on_paper("\u05d0\u05d1 \u05d2\u05d3 {{ x }} a / b, (c) (d) 50 %").replace("\u00a0", "~")
    assert shown.replace("\u200b", "|") == "??| ?? {{| x| }} a| / b, (c)| (d) 50~%"
